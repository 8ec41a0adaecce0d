"""One expression of an answer or a slip: read once, checked, worked out for a student's numbers.

`90 - angle_deg`, `centre_length - obtuse_side - shell_end`, `miters.mill_setting_deg(angle_deg)`.
`simpleeval` works it out on the parsed tree; nothing is handed to Python's own `eval`.
"""

from __future__ import annotations

import ast
import inspect
import math
import pkgutil
import statistics
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache, partial
from importlib import import_module
from itertools import takewhile
from threading import Lock
from types import ModuleType, SimpleNamespace
from typing import Any, cast

from simpleeval import DEFAULT_OPERATORS, EvalWithCompoundTypes

import coursekit
from coursekit.classroom.bank.exercises import AuthoringError

_LONGEST = 400  # characters; what is longer reads better as a function
_MOST_STEPS = 1000  # of a range
_GIVEN = ("n", "earlier")  # what a function of the lesson's Python file is given without asking
_NOT_THE_CRAFT = {"book", "classroom", "cli", "commands", "figures", "project", "sheets"}
_MATHS = (
    "acos", "asin", "atan", "atan2", "ceil", "cos", "degrees", "exp", "floor", "hypot", "log",
    "radians", "sin", "sqrt", "tan",
)  # fmt: skip


def _range(*ends: int) -> range:
    found = range(*ends)
    if len(found) > _MOST_STEPS:
        raise ValueError(f"a range must have {_MOST_STEPS} steps or fewer, not {len(found)}")
    return found


FUNCTIONS: dict[str, Callable[..., Any]] = {
    **{name: getattr(math, name) for name in _MATHS},
    **{f.__name__: f for f in (abs, float, int, len, list, max, min, round, sorted, sum, tuple)},
    "mean": statistics.fmean,
    "range": _range,
    "zip": zip,
}
_CONSTANTS = {"pi": math.pi, "True": True, "False": False}


def _power(base: Any, exponent: Any) -> Any:
    """Return the power in floating point, so that no whole number grows without end."""
    return float(base) ** exponent if isinstance(base, int) else base**exponent


_ARITHMETIC = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.FloorDiv, ast.Mod, ast.USub, ast.UAdd)
_COMPARISONS = (ast.Eq, ast.NotEq, ast.Gt, ast.Lt, ast.GtE, ast.LtE, ast.In, ast.NotIn, ast.Not)
_OPERATORS = {kind: DEFAULT_OPERATORS[kind] for kind in (*_ARITHMETIC, *_COMPARISONS)} | {
    ast.Pow: _power
}
_SHAPES = (
    ast.Constant, ast.Name, ast.UnaryOp, ast.BinOp, ast.BoolOp, ast.Compare, ast.IfExp, ast.Call,
    ast.keyword, ast.Attribute, ast.Subscript, ast.Slice, ast.List, ast.Tuple, ast.ListComp,
    ast.GeneratorExp, ast.comprehension,
)  # fmt: skip
_GRAMMAR = (*_SHAPES, *_OPERATORS, ast.And, ast.Or, ast.Load, ast.Store)


class _Evaluator(EvalWithCompoundTypes):  # type: ignore[misc]
    """The library's evaluator, with attributes of the craft's modules and their results alone."""

    def _eval_attribute(self, node: ast.Attribute) -> Any:
        owner = self._eval(node.value)
        ours = isinstance(owner, _Shelf) or type(owner).__module__.split(".")[0] == "coursekit"
        if not ours or node.attr.startswith("_"):
            raise ValueError(f"'.{node.attr}' is not open to an expression")
        return getattr(owner, node.attr)


class _Shelf(SimpleNamespace):
    """The public names of one module of the craft."""


@dataclass(frozen=True)
class Words:
    """What the expressions of one exercise may name.

    `questions` are the ids in the exercise's order; `own` are the functions and the constants (in
    capitals) of the lesson's Python file.
    """

    quantities: tuple[str, ...]
    questions: tuple[str, ...]
    own: Mapping[str, Any] = field(default_factory=dict)

    def before(self, question: str) -> dict[str, str]:
        """Return name → id of the questions that come before `question`."""
        ids = self.questions[: self.questions.index(question)]
        return {id.replace("-", "_"): id for id in ids}


def own_words(module: ModuleType) -> dict[str, Any]:
    """Return the functions that a key's file defines, and its constants, by name."""
    return {
        name: value
        for name, value in vars(module).items()
        if not name.startswith("_")
        and (
            (callable(value) and getattr(value, "__module__", "") == module.__name__)
            or (name.isupper() and not isinstance(value, ModuleType))
        )
    }


class Expression:
    """An expression that is called with the numbers `n` and the earlier answers, as a sum is."""

    def __init__(self, text: str, question: str, words: Words, where: str) -> None:
        self.text = text
        self.where = f"{where} `{text}`"
        self._tree = self._parsed()
        found = [n for n in ast.walk(self._tree) if isinstance(n, ast.Name)]
        names = [n.id for n in found]
        bound = {n.id for n in found if isinstance(n.ctx, ast.Store)}
        called = {
            n.func.id
            for n in ast.walk(self._tree)
            if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        }
        earlier = words.before(question)
        free = [name for name in dict.fromkeys(names) if name not in bound | called]
        self._fixed: dict[str, Any] = {
            name: _fixed(name, words)
            for name in free
            if name not in words.quantities and name not in earlier
        }
        self._quantities = tuple(name for name in free if name in words.quantities)
        self._earlier = {
            name: earlier[name] for name in free if name in earlier and name not in words.quantities
        }
        self._refuse_unknown(words, called, earlier, question)
        self._fill = {
            name: _filled(words.own[name]) for name in sorted(called) if name in words.own
        }
        functions = {name: FUNCTIONS[name] for name in called if name not in words.own}
        self._evaluator = _Evaluator(_OPERATORS, functions, {})
        self._one_at_a_time = Lock()

    @property
    def after(self) -> tuple[str, ...]:
        """The earlier questions that the expression names, in its own order."""
        return tuple(self._earlier.values())

    def __repr__(self) -> str:
        return f"Expression({self.text!r})"

    def __call__(self, n: SimpleNamespace, earlier: Mapping[str, Any]) -> Any:
        """Return what the expression gives for the numbers `n` on top of `earlier` answers."""
        names = {
            **self._fixed,
            **{name: getattr(n, name) for name in self._quantities},
            **{name: earlier[id] for name, id in self._earlier.items()},
        }
        filled = {name: fill(n, earlier) for name, fill in self._fill.items()}
        with self._one_at_a_time:
            self._evaluator.names = names
            self._evaluator.functions |= filled
            return self._evaluator.eval(self.text, self._tree)

    def _parsed(self) -> ast.expr:
        if len(self.text) > _LONGEST:
            raise self._error(
                f"an expression must have {_LONGEST} characters or fewer", len(self.text),
                "Write a function in the lesson's Python file and call it here",
            )  # fmt: skip
        try:
            tree = ast.parse(self.text, mode="eval").body
        except (SyntaxError, ValueError, MemoryError, RecursionError) as error:
            reason = getattr(error, "msg", str(error))
            raise self._error(
                "an answer or a slip must be one expression, like `90 - angle_deg`", reason,
                "Mend it, or write it as a function in the lesson's Python file",
            ) from None  # fmt: skip
        for node in ast.walk(tree):
            if not isinstance(node, _GRAMMAR) or (
                isinstance(node, ast.Constant) and not isinstance(node.value, int | float | str)
            ):
                raise self._error(
                    "an expression must be made of numbers, names, calls, lists, comparisons and "
                    "`a if … else b`", type(node).__name__,
                    "Write it as a function in the lesson's Python file",
                )  # fmt: skip
        return tree

    def _refuse_unknown(
        self, words: Words, called: set[str], earlier: Mapping[str, str], question: str
    ) -> None:
        for name in (n for n, value in self._fixed.items() if value is _UNKNOWN):
            id = name.replace("_", "-")
            if id in words.questions and id not in earlier.values():
                raise self._error("it must build on earlier questions", f"'{name}', which does not "
                                  "come earlier", "Swap them, or mend the name")  # fmt: skip
            known = [*words.quantities, *earlier, *_CONSTANTS, *_modules(), *words.own]
            raise self._error(
                "a name must be a quantity, an earlier question, a module of the craft or a "
                "constant", f"'{name}'", _nearest(name, known),
            )  # fmt: skip
        taken = {*words.quantities, *(id.replace("-", "_") for id in words.questions)}
        for name in sorted(called):
            if name in words.own and name in taken:
                raise self._error(
                    "a function of the lesson's Python file must not be called like a quantity or "
                    "a question", f"'{name}'", "Rename the function",
                )  # fmt: skip
            if name not in FUNCTIONS and not callable(words.own.get(name)):
                own = [n for n, value in words.own.items() if callable(value)]
                raise self._error(
                    "a function must be one of mathematics, one of the lesson's Python file or "
                    "one of a module of the craft", f"'{name}'",
                    _nearest(name, [*FUNCTIONS, *own]),
                )  # fmt: skip
        for node in ast.walk(self._tree):
            if isinstance(node, ast.Attribute):
                self._refuse_attribute(node)

    def _refuse_attribute(self, node: ast.Attribute) -> None:
        shelf = self._fixed.get(node.value.id) if isinstance(node.value, ast.Name) else None
        if node.attr.startswith("_") or (
            isinstance(shelf, _Shelf) and not hasattr(shelf, node.attr)
        ):
            known = vars(shelf) if isinstance(shelf, _Shelf) else ()
            raise self._error(
                "what stands after a dot must be a public name of the craft", f"'{node.attr}'",
                _nearest(node.attr, known),
            )  # fmt: skip

    def _error(self, rule: str, got: object, cure: str) -> AuthoringError:
        return AuthoringError(f"{self.where}: {rule}; got {got}. {cure}.")


_UNKNOWN = object()


def _fixed(name: str, words: Words) -> Any:
    """Return what `name` stands for whatever the student's numbers: a constant or a module."""
    if name in words.own:
        return _UNKNOWN if callable(words.own[name]) else words.own[name]
    if name in _CONSTANTS:
        return _CONSTANTS[name]
    return _shelf(name) if name in _modules() else _UNKNOWN


@cache
def _modules() -> frozenset[str]:
    found = {module.name for module in pkgutil.iter_modules(coursekit.__path__)}
    return frozenset(name for name in found - _NOT_THE_CRAFT if not name.startswith("_"))


@cache
def _shelf(name: str) -> _Shelf:
    """Return the public names of a module of the craft, without what it imported from outside."""
    module = import_module(f"coursekit.{name}")
    found = {n: v for n, v in vars(module).items() if not n.startswith("_") and _of_the_craft(v)}
    return _Shelf(**found)


def _of_the_craft(value: object) -> bool:
    if isinstance(value, ModuleType):
        return False
    home = cast(str, getattr(value, "__module__", None) or type(value).__module__)
    return home.split(".")[0] == "coursekit" or isinstance(value, int | float | str | tuple)


def _filled(function: Callable[..., Any]) -> Callable[[Any, Any], Callable[..., Any]]:
    """Return what gives `function` the numbers `n` and the `earlier` answers if it asks for them.

    The expression's own arguments then fill the other places in their order.
    """
    names = list(inspect.signature(function).parameters)
    first = list(takewhile(_GIVEN.__contains__, names))
    later = [name for name in names[len(first) :] if name in _GIVEN]

    def fill(n: Any, earlier: Any) -> Callable[..., Any]:
        known = {"n": n, "earlier": earlier}
        return partial(
            function, *(known[name] for name in first), **{name: known[name] for name in later}
        )

    return fill


def _nearest(name: str, known: Iterable[str]) -> str:
    near = get_close_matches(name, list(known), n=3, cutoff=0.5)
    return f"The nearest are {', '.join(near)}" if near else "Mend the spelling"
