"""Break one formula at a time and see whether the tests go red.

    uv run python tests/mutate.py coursekit/tubes.py tests/test_tubes.py tests/sources/test_mott.py
    uv run python tests/mutate.py coursekit/tubes.py tests --every 5 --jobs 2

A plain script, not collected by pytest. Each mutant is one change of the module's source: + for −,
* for /, sin for cos, a constant moved, a comparison turned or its bound moved, a minus sign dropped,
max for min. Docstrings, messages and type hints are left alone. The interpreter imports numpy,
pytest and what the tests need once; every mutant is a fork of it, so it starts warm. In the fork
the mutated source stands in for the module wherever it is imported from; the run stops at the
first red test. Prints one line a mutant and the share that was killed; survivors come last.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import importlib
import importlib.abc
import importlib.util
import io
import os
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

SWAPS: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Pow: ast.Mult, ast.Mod: ast.Add, ast.MatMult: ast.Add,
}  # fmt: skip
TURNS: dict[type, list[type]] = {
    ast.Lt: [ast.LtE, ast.Gt], ast.LtE: [ast.Lt, ast.Gt], ast.Gt: [ast.GtE, ast.Lt],
    ast.GtE: [ast.Gt, ast.Lt], ast.Eq: [ast.NotEq], ast.NotEq: [ast.Eq],
}  # fmt: skip
NAMES = {
    "sin": "cos", "cos": "sin", "tan": "sin", "arcsin": "arccos", "arccos": "arcsin", "sinh": "cosh",
    "cosh": "sinh", "maximum": "minimum", "minimum": "maximum", "max": "min", "min": "max",
    "fmax": "fmin", "fmin": "fmax", "argmax": "argmin", "argmin": "argmax", "less": "greater",
    "less_equal": "greater", "add": "subtract", "subtract": "add", "multiply": "divide",
    "divide": "multiply", "radians": "degrees", "degrees": "radians", "floor": "ceil",
    "ceil": "floor", "all": "any", "any": "all",
}  # fmt: skip


class Mutant(NamedTuple):
    """One changed source: where, what was done, and the whole text."""

    line: int
    what: str
    source: str


class Site(NamedTuple):
    """A place to change: the path to a node from the module, and the change's name and maker."""

    line: int
    what: str
    path: tuple[tuple[str, int | None], ...]
    make: Any


def _at(tree: ast.AST, path: tuple[tuple[str, int | None], ...]) -> tuple[Any, str, int | None]:
    node: Any = tree
    for field, index in path[:-1]:
        node = getattr(node, field) if index is None else getattr(node, field)[index]
    return node, *path[-1]


def _changes(node: ast.AST) -> Iterator[tuple[str, Any]]:
    """(what, function from the node to its replacement) for each way to break this node."""
    if isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in SWAPS:
        new = SWAPS[type(node.op)]
        yield f"{type(node.op).__name__} to {new.__name__}", lambda n: _with(n, op=new())
    if isinstance(node, ast.Compare):
        for i, op in enumerate(node.ops):
            for new_op in TURNS.get(type(op), []):
                ops = [new_op() if j == i else o for j, o in enumerate(node.ops)]
                yield (
                    f"{type(op).__name__} to {new_op.__name__}",
                    lambda n, ops=ops: _with(n, ops=ops),
                )
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.USub, ast.Not, ast.Invert)):
        yield f"drop {type(node.op).__name__}", lambda n: n.operand
    if isinstance(node, ast.BoolOp):
        new_bool = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield f"to {new_bool.__name__}", lambda n: _with(n, op=new_bool())
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        value = node.value
        moved = value + 1 if isinstance(value, int) else (value * 1.01 if value else 0.01)
        yield f"{value!r} to {moved!r}", lambda n: ast.copy_location(ast.Constant(moved), n)
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield f"{node.value} to {not node.value}", lambda n: _with(n, value=not n.value)
    if isinstance(node, ast.Attribute) and node.attr in NAMES:
        yield f"{node.attr} to {NAMES[node.attr]}", lambda n: _with(n, attr=NAMES[n.attr])
    if isinstance(node, ast.Name) and node.id in ("max", "min", "any", "all"):
        yield f"{node.id} to {NAMES[node.id]}", lambda n: _with(n, id=NAMES[n.id])


def _with(node: Any, **fields: Any) -> Any:
    new = copy.copy(node)
    for name, value in fields.items():
        setattr(new, name, value)
    return new


def _children(node: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    """Children worth breaking: no type hints, docstrings, raised messages or f-strings."""
    skip = {"annotation", "returns", "type_comment"}
    for field, value in ast.iter_fields(node):
        if field in skip or isinstance(node, (ast.Raise, ast.JoinedStr, ast.ImportFrom)):
            continue
        if isinstance(node, ast.keyword) and node.arg in ("strict", "maxsize"):  # guards, no sums
            continue
        if isinstance(value, list):
            for i, item in enumerate(value):
                if isinstance(item, ast.AST):
                    yield field, i, item
        elif isinstance(value, ast.AST):
            yield field, None, value


def sites(tree: ast.AST) -> Iterator[Site]:
    """All places that can be broken, in the order of the source."""

    def walk(node: ast.AST, path: tuple[tuple[str, int | None], ...]) -> Iterator[Site]:
        for field, index, child in _children(node):
            here = (*path, (field, index))
            for what, make in _changes(child):
                yield Site(getattr(child, "lineno", 0), what, here, make)
            yield from walk(child, here)

    yield from sorted(walk(tree, ()), key=lambda s: s.line)


def mutants(source: str) -> Iterator[Mutant]:
    """Every mutant of a module's source that differs from it."""
    plain = ast.unparse(ast.parse(source))
    for site in sites(ast.parse(source)):
        tree = ast.parse(source)
        parent, field, index = _at(tree, site.path)
        old = getattr(parent, field) if index is None else getattr(parent, field)[index]
        new = site.make(old)
        if index is None:
            setattr(parent, field, new)
        else:
            getattr(parent, field)[index] = new
        text = ast.unparse(ast.fix_missing_locations(tree))
        if text != plain:
            yield Mutant(site.line, site.what, text)


class _Stand(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Finds the mutated module in place of the file."""

    def __init__(self, name: str, path: Path, source: str) -> None:
        self.name, self.path, self.source = name, path, source

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> Any:
        if fullname != self.name:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=str(self.path))

    def exec_module(self, module: Any) -> None:
        module.__file__ = str(self.path)
        exec(compile(self.source, str(self.path), "exec"), module.__dict__)


def _run(name: str, path: Path, mutant: str | None, tests: list[str]) -> int:
    """Pytest's exit code for the tests, in this process, with the mutant standing in."""
    import pytest

    for loaded in [m for m in sys.modules if m.split(".")[0] == name.split(".")[0]]:
        del sys.modules[loaded]
    if mutant is not None:
        sys.meta_path.insert(0, _Stand(name, path, mutant))
    os.environ["HYPOTHESIS_MAX_EXAMPLES"] = "20"
    options = [
        "-x",
        "-q",
        "-n0",
        "-p",
        "no:cacheprovider",
        "--no-header",
        "--tb=no",
        "-W",
        "ignore",
    ]
    return int(pytest.main([*options, *tests]))


def _child(pipe: int, name: str, path: Path, mutant: str | None, tests: list[str]) -> None:
    """Run in the fork and send the exit code home; silence what pytest prints."""
    os.setsid()
    code = 99
    with (
        Path(os.devnull).open("w") as nothing,
        contextlib.redirect_stdout(nothing),
        contextlib.redirect_stderr(nothing),
        contextlib.suppress(BaseException),
    ):
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)
        code = _run(name, path, mutant, tests)
    os.write(pipe, str(code).encode())
    os._exit(0)


def verdict(
    name: str, path: Path, mutant: str | None, tests: list[str], limit: float
) -> tuple[str, float]:
    """("killed" | "survived" | "timeout", seconds) of one forked run."""
    read, write = os.pipe()
    begun = time.monotonic()
    child = os.fork()
    if child == 0:
        os.close(read)
        _child(write, name, path, mutant, tests)
    os.close(write)
    import select

    ready, _, _ = select.select([read], [], [], limit)
    code = os.read(read, 8) if ready else b""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(read)
    spent = time.monotonic() - begun
    if not ready:
        return "timeout", spent
    return ("survived" if code == b"0" else "killed"), spent


def _one(job: tuple[str, Path, Mutant, list[str], float]) -> tuple[Mutant, str, float]:
    name, path, mutant, tests, limit = job
    return mutant, *verdict(name, path, mutant.source, tests, limit)


def _warm(imports: list[str]) -> None:
    """Import what the tests import, so that every fork starts with it."""
    for one in ["numpy", "pytest", "_pytest.doctest", "hypothesis", *imports]:
        with contextlib.suppress(ImportError), contextlib.redirect_stderr(io.StringIO()):
            importlib.import_module(one)


def _results(jobs: list[Any], workers: int) -> Iterator[tuple[Mutant, str, float]]:
    if workers == 1:
        yield from map(_one, jobs)
        return
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(workers) as pool:  # each thread forks and waits
        yield from pool.map(_one, jobs)


def main() -> int:
    """Report the mutants of one module; 0 if at least 90 % were killed."""
    parser = argparse.ArgumentParser(description="Break a module's formulas one by one.")
    parser.add_argument("module", type=Path, help="file of the module, such as coursekit/tubes.py")
    parser.add_argument("tests", nargs="+", help="test files (the module's doctests are not run)")
    parser.add_argument("--every", type=int, default=1, help="take only each n-th mutant")
    parser.add_argument("--lines", default="", help="only these lines, such as 40-90")
    parser.add_argument("--limit", type=float, default=30.0, help="seconds for one mutant")
    parser.add_argument("--jobs", type=int, default=1, help="mutants at a time")
    parser.add_argument("--warm", default="scipy.optimize,scipy.integrate,scipy.special,sympy",
                        help="modules to import before forking")  # fmt: skip
    parser.add_argument("--quiet", action="store_true", help="print survivors only")
    asked = parser.parse_args()
    name = ".".join(asked.module.with_suffix("").parts)
    sys.path.insert(0, str(Path.cwd()))
    _warm(asked.warm.split(","))
    state, spent = verdict(name, asked.module, None, asked.tests, 10 * asked.limit)
    if state != "survived":
        print(f"the tests are not green before anything is broken ({state}); mend them first")
        return 2
    chosen = _chosen(asked)
    print(f"{name}: {len(chosen)} mutants; tests alone take {spent:.1f} s", flush=True)
    jobs = [(name, asked.module, m, asked.tests, asked.limit) for m in chosen]
    return _report(asked, _results(jobs, asked.jobs), asked.module.read_text().splitlines())


def _chosen(asked: argparse.Namespace) -> list[Mutant]:
    low, high = (int(n) for n in asked.lines.split("-")) if asked.lines else (0, 10**9)
    every = [m for m in mutants(asked.module.read_text()) if low <= m.line <= high]
    return every[:: asked.every]


def _report(asked: argparse.Namespace, results: Any, lines: list[str]) -> int:
    alive, count, begun = [], 0, time.monotonic()
    for mutant, state, spent in results:
        count += 1
        if state == "survived":
            alive.append(mutant)
        if not asked.quiet:
            print(
                f"{state:9s} {asked.module}:{mutant.line} {mutant.what} ({spent:.1f} s)", flush=True
            )
    share = 1 - len(alive) / max(count, 1)
    print(
        f"\n{count - len(alive)} of {count} killed, {share:.1%}, in {time.monotonic() - begun:.0f} s"
    )
    for mutant in alive:
        print(f"survived  line {mutant.line}: {mutant.what}: {lines[mutant.line - 1].strip()}")
    return 0 if share >= 0.9 else 1


if __name__ == "__main__":
    sys.exit(main())
