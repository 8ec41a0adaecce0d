"""A mutant put into a module that is already loaded, by giving its functions their broken code.

Everyone who imported a function from the module then runs the broken one, and no test has to be
collected anew. It works where only bodies of functions differ; otherwise `patch` changes nothing.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator, Mapping
from types import CodeType, FunctionType, ModuleType
from typing import Any

import numpy as np


def _codes(code: CodeType) -> Iterator[CodeType]:
    """This code and all that stand in it, but not what stands in functions."""
    yield code
    for one in code.co_consts:
        if isinstance(one, CodeType):
            if one.co_flags & 0x1:  # CO_OPTIMIZED: a function, a lambda or a comprehension
                yield one
            else:
                yield from _codes(one)


def _shell(code: CodeType) -> tuple[Any, ...]:
    """What tells two codes apart; functions that stand in a class or a module are left out."""
    inside = bool(code.co_flags & 0x1)
    consts = tuple(
        (_shell(c) if inside else c.co_qualname) if isinstance(c, CodeType) else (type(c), repr(c))
        for c in code.co_consts
    )
    return code.co_code, code.co_names, code.co_varnames, code.co_freevars, consts


def _functions(values: Any, name: str) -> Iterator[FunctionType]:
    """Functions of a module, from its dictionary: plain ones, methods, properties, cached ones."""
    for value in list(values):
        for part in (
            value,
            *(getattr(value, a, None) for a in ("fget", "func", "__func__", "__wrapped__")),
        ):
            if isinstance(part, FunctionType) and part.__module__ == name:
                yield part
        if isinstance(value, type) and value.__module__ == name:
            yield from _functions(vars(value).values(), name)


def patch(name: str, plain: str, broken: str) -> bool:
    """Break the loaded module `name`; false, and nothing done, where this way does not reach."""
    old = {c.co_qualname: c for c in _codes(compile(plain, name, "exec"))}
    new = {c.co_qualname: c for c in _codes(compile(broken, name, "exec"))}
    differ = [q for q in old if q not in new or _shell(old[q]) != _shell(new[q])]
    mine = list(_functions(vars(sys.modules[name]).values(), name))
    known = {f.__qualname__ for f in mine}
    if differ == ["<module>"]:
        return _patch_constants(name, plain, broken)
    if old.keys() != new.keys() or not differ or not known.issuperset(differ):
        return False
    for function in mine:
        if function.__qualname__ in differ:
            function.__code__ = new[function.__qualname__]
    _forget(name.split(".")[0])
    return True


def _plain(value: Any) -> bool:
    """A number, a text, an array, or nothing but these in a container."""
    if isinstance(value, Mapping):
        return all(map(_plain, (*value.keys(), *value.values())))
    if isinstance(value, (list, tuple, set, frozenset)):
        return type(value) in (list, tuple, set, frozenset) and all(map(_plain, value))
    return value is None or isinstance(value, (int, float, str, np.ndarray))


def _patch_constants(name: str, plain: str, broken: str) -> bool:
    """The same for numbers and tables of a module, here and where they were imported by name."""
    sound, mutant = (_executed(name, source) for source in (plain, broken))
    if sound is None or mutant is None:
        return False
    loaded = vars(sys.modules[name])
    changed = [n for n, v in sound.items() if _plain(v) and repr(v) != repr(mutant.get(n))]
    if not changed or _defaults(sound) != _defaults(mutant):
        return False
    package = name.split(".")[0]
    holders = [vars(m) for n, m in sys.modules.items() if n.split(".")[0] in (package, "tests")]
    for one in changed:
        for holder in holders:
            if one in holder and holder[one] is loaded[one] and holder is not loaded:
                holder[one] = mutant[one]
        loaded[one] = mutant[one]
    _forget(package)
    return True


def _executed(name: str, source: str) -> dict[str, Any] | None:
    """What a module's source makes, run apart; nothing if it fails."""
    space = ModuleType(name)
    space.__dict__["__file__"] = name
    try:
        exec(compile(source, name, "exec"), space.__dict__)
    except Exception:
        return None
    return {k: v for k, v in vars(space).items() if not k.startswith("__")}


def _defaults(space: dict[str, Any]) -> list[Any]:
    """All of a module that is neither plain nor a function or class by itself, as text."""
    out: list[Any] = []
    for name, value in space.items():
        if isinstance(value, FunctionType):
            out.append((name, repr(value.__defaults__), repr(value.__kwdefaults__)))
        elif not _plain(value) and not isinstance(value, (type, ModuleType)):
            out.append((name, re.sub(r" at 0x[0-9a-f]+", "", repr(value))))
    return out


def _forget(package: str) -> None:
    """Empty the caches that the package filled while tests were collected."""
    for loaded, module in list(sys.modules.items()):
        if loaded.split(".")[0] == package:
            for value in list(vars(module).values()):
                if hasattr(value, "cache_clear"):
                    value.cache_clear()


def normal(source: str) -> str:
    """The source as mutants are written: without comments and blank lines."""
    return ast.unparse(ast.parse(source))
