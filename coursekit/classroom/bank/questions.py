"""What an exercise consists of: quantities of which every student has own values, and questions."""

from __future__ import annotations

import builtins
import keyword
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Kind = Literal["number", "numbers", "points", "order", "choice", "written"]

# what the notebook's own first cell brings in
_MATHS = ("atan", "cos", "degrees", "pi", "radians", "sin", "sqrt", "tan")
_READING = ("json", "file", "sheet", "given")
# no variable of a notebook may be called so, because Python or the first cell needs the name
TAKEN_NAMES = frozenset({*keyword.kwlist, *dir(builtins), *_MATHS, *_READING})


@dataclass(frozen=True)
class Quantity:
    """A number that every student gets of their own: its name, words, unit and possible values.

    `practice` are the values of the practice cards, none of them among `values`, so that no card
    shows a student the answer to a graded question.

    A number of the student's own frame has no values: `fact` names it, as `frame_facts.facts` does.
    On practice cards it comes from other frames, unless it has `practice`.
    """

    name: str
    say: str
    unit: str
    values: tuple[float, ...]
    practice: tuple[float, ...] = ()
    fact: str = ""


@dataclass(frozen=True)
class Question:
    """One question as a student reads it.

    `tolerance` is absolute, in `unit`; with `relative` true it is a fraction of the answer; for
    points it is a distance. `digit` is the last digit that was asked for (0.1), 0 where none was.
    `method_marks` is what an answer earns that is right for the student's own wrong earlier value.
    `entries` names the parts of a list of numbers, the points, or the labels to be put in order;
    `options` the choices (id → text), `given` the quantities the question is about, `scaffold` the
    code that the student completes. `read` is the lesson's heading to read again, as it stands in
    the page's address. `finds` names the number of the student's frame that the answer is, where it
    is one.
    """

    id: str
    title: str
    text: str
    kind: Kind
    marks: float
    unit: str = ""
    tolerance: float = 0.0
    relative: bool = False
    digit: float = 0.0
    method_marks: float | None = None
    graded: bool = True
    given: tuple[str, ...] = ()
    entries: tuple[str, ...] = ()
    options: Mapping[str, str] | None = None
    scaffold: str = ""
    read: str = ""
    finds: str = ""

    @property
    def variable(self) -> str:
        """Name of the student's variable in the notebook."""
        return self.id.replace("-", "_")

    def allowance(self, answer: float) -> float:
        """How far a value may lie from `answer`, in the question's unit."""
        return abs(answer) * self.tolerance if self.relative else self.tolerance
