"""What an exercise consists of: questions, and quantities that each student gets values of."""

from __future__ import annotations

import builtins
import keyword
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Kind = Literal["number", "numbers", "points", "order", "choice", "written"]

# names that the notebook's first cell brings in
_MATHS = ("atan", "cos", "degrees", "pi", "radians", "sin", "sqrt", "tan")
_READING = ("json", "file", "sheet", "given")
# names that no variable of a notebook may have, because Python or the first cell needs them
TAKEN_NAMES = frozenset({*keyword.kwlist, *dir(builtins), *_MATHS, *_READING})


@dataclass(frozen=True)
class Quantity:
    """A number that every student gets of their own: its name, words, unit and possible values.

    `practice` holds the values of the practice cards. None of them is among `values`, so that no
    card shows a student the answer to a graded question.

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

    `tolerance` is absolute, in `unit`; if `relative` is true it is a fraction of the answer, and
    for points it is a distance. `digit` is the last digit that was asked for (like 0.1), or 0 if
    none was. An answer that follows correctly from the student's own wrong earlier value earns
    `method_marks`. `entries` names the numbers of a list, the points, or the labels to be put in
    order. `options` are the choices (id → text), `given` the quantities the question is about, and
    `scaffold` the code that the student completes. `read` is the lesson's heading to read again, as
    it stands in the page's address. `finds` names the number of the student's frame that the
    answer is, if it is one. `text` is what stands in the notebook, and `on_paper` the same question
    on the worksheet and the answer page, without code and names of variables. `bare` refuses a
    number in another unit, where turning it into `unit` is what is asked.
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
    on_paper: str = ""
    bare: bool = False

    @property
    def variable(self) -> str:
        """Name of the student's variable in the notebook."""
        return self.id.replace("-", "_")

    def allowance(self, answer: float) -> float:
        """How far a value may lie from `answer`, in the question's unit."""
        return abs(answer) * self.tolerance if self.relative else self.tolerance
