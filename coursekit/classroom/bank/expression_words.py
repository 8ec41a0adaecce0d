"""What an answer's expression may name: quantities, earlier questions, functions, kit modules.

The kit's modules of the craft (`miters`, `statics`, …) are open to an expression; the parts that
run a class, write the book or draw are not.
"""

from __future__ import annotations

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
from types import ModuleType, SimpleNamespace
from typing import Any

import coursekit

_MOST_STEPS = 1000  # of a range
_GIVEN = ("n", "earlier")  # parameters that are filled in without the expression naming them
_NOT_THE_CRAFT = {"book", "classroom", "cli", "commands", "figures", "project", "sheets"}
# called as the student calls them in the notebook: angles in radians
_MATHS = "acos asin atan atan2 ceil cos degrees exp floor hypot log radians sin sqrt tan"
_PLAIN = (abs, float, int, len, list, max, min, round, sorted, sum, tuple, zip)
CONSTANTS = {"pi": math.pi, "True": True, "False": False}


def _range(*ends: int) -> range:
    found = range(*ends)
    if len(found) > _MOST_STEPS:
        raise ValueError(f"a range must have {_MOST_STEPS} steps or fewer, not {len(found)}")
    return found


FUNCTIONS: dict[str, Callable[..., Any]] = {
    **{name: getattr(math, name) for name in _MATHS.split()},
    **{function.__name__: function for function in _PLAIN},
    "mean": statistics.fmean,
    "range": _range,
}


class Shelf(SimpleNamespace):
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

    def later(self, name: str, question: str) -> bool:
        """Whether `name` is that of `question` itself or of one that comes after it."""
        ids = self.questions[self.questions.index(question) :]
        return name in {id.replace("-", "_") for id in ids}

    def taken(self, name: str) -> bool:
        """Whether a quantity or a question is called `name`."""
        return name in self.quantities or name in {id.replace("-", "_") for id in self.questions}

    def constant(self, name: str) -> Any:
        """Return the value of `name` that is the same for every student, or raise KeyError."""
        if name in self.own and not callable(self.own[name]):
            return self.own[name]
        return shelf(name) if name in modules() else CONSTANTS[name]

    def function(self, name: str) -> Callable[..., Any] | None:
        """Return the lesson's own function called `name`, or else the mathematical one, or None."""
        found = self.own.get(name, FUNCTIONS.get(name))
        return found if callable(found) else None

    def nearest(self, name: str, question: str) -> str:
        """Return the part of an error message that lists the names most like `name`."""
        constants = [word for word, value in self.own.items() if not callable(value)]
        return nearest(
            name,
            [*self.quantities, *self.before(question), *CONSTANTS, *constants, *modules()],
        )

    def nearest_function(self, name: str) -> str:
        """Return the part of an error message that lists the functions named most like `name`."""
        return nearest(name, [*FUNCTIONS, *(w for w, value in self.own.items() if callable(value))])


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


@cache
def modules() -> frozenset[str]:
    """Return the names of the craft's modules."""
    found = {module.name for module in pkgutil.iter_modules(coursekit.__path__)}
    return frozenset(name for name in found - _NOT_THE_CRAFT if not name.startswith("_"))


@cache
def shelf(name: str) -> Shelf:
    """Return the public names of a module of the craft, without what it imported from outside."""
    module = import_module(f"coursekit.{name}")
    return Shelf(
        **{n: v for n, v in vars(module).items() if not n.startswith("_") and of_the_craft(v)}
    )


def of_the_craft(value: object) -> bool:
    """Whether a value is defined in the kit, or is a plain number, string or tuple."""
    if isinstance(value, ModuleType):
        return False
    home = str(getattr(value, "__module__", None) or type(value).__module__)
    return home.split(".")[0] == "coursekit" or isinstance(value, int | float | str | tuple)


def filled(function: Callable[..., Any]) -> Callable[[Any, Any], Callable[..., Any]]:
    """Return a wrapper that fills in `function`'s parameters `n` and `earlier`, if it has them.

    The arguments that stand in the expression then fill the other parameters in their order.
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


def nearest(name: str, known: Iterable[str]) -> str:
    """Return the part of an error message that lists the names of `known` most like `name`."""
    near = get_close_matches(name, list(known), n=3, cutoff=0.5)
    return f"The nearest are {', '.join(near)}" if near else "Mend the spelling"
