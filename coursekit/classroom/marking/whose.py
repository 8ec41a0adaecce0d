"""Proposes whose work it may be where nothing tells: whose own numbers the answers fit.

It is a proposal and no more, because a friend's answers fit the friend's numbers. A student is
proposed if at least two of the answers that differ from student to student fit theirs, and half of
those that were given, and no other student's numbers fit more than half as many.
"""

from __future__ import annotations

import ast
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursekit.classroom.bank import closeness, own_numbers
from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.gradebook.nbgrader_settings import course_root
from coursekit.classroom.handout.assignments import Assignment, assignment
from coursekit.classroom.intake import as_notebook
from coursekit.classroom.intake.submission import parsed
from coursekit.classroom.intake.taken import Taken
from coursekit.classroom.marking import read_answer
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.running.plain_value import plain

_LONGEST = 20_000  # characters of a cell
_ENOUGH = 2


@dataclass(frozen=True)
class Fit:
    """Whose numbers answers fit: `fits` of the `given` answers that tell students apart."""

    student: str
    name: str
    fits: int
    given: int

    def __str__(self) -> str:
        who = self.student if self.name == self.student else f"{self.name} ({self.student})"
        return (
            f"{self.fits} of {self.given} answers fit the numbers of {who}. If it is theirs, take "
            f"it in with --student {self.student}"
        )


def proposals(
    folder: ClassFolder, told: Sequence[Taken], root: Path | None = None
) -> dict[int, Fit]:
    """Return place in the list `told` → whose numbers the answers fit, for work that is nobody's.

    `root` is the course's folder; if it is not given, it is found from the class folder. Where a
    proposal can't be made, there is none.
    """
    found: dict[int, Fit] = {}
    works: dict[str, Assignment] = {}
    for place, one in enumerate(told):
        if one.given is None or not one.slug:
            continue
        with one_piece(lambda why: None):  # it is only a proposal
            if one.slug not in works:
                works[one.slug] = assignment(folder, one.slug, root or course_root(folder))
            if fit := whose(works[one.slug], one.given):
                found[place] = fit
    return found


def whose(work: Assignment, given: bytes | AnswerText) -> Fit | None:
    """Return whose numbers a notebook's or a saved text's answers fit, or None if it isn't clear.

    Nothing is run: only answers that stand there as plain values are looked at.
    """
    said = _answers(work, given)
    right = {
        s.id: own_numbers.answers(work.exercise, work.key, work.numbers(s.id))
        for s in work.folder.students
    }
    asked = [q for q in work.exercise.graded if q.id in said]
    telling = [q for q in asked if len({repr(one[q.id]) for one in right.values()}) > 1]
    found = sorted(
        (
            Fit(s.id, s.name, _fits(said, telling, right[s.id]), len(telling))
            for s in work.folder.students
        ),
        key=lambda fit: -fit.fits,
    )
    best, others = found[0], found[1:]
    clear = all(2 * other.fits <= best.fits for other in others)
    return best if clear and best.fits >= max(_ENOUGH, best.given / 2) else None


def _fits(said: Mapping[str, object], asked: list[Question], right: Mapping[str, object]) -> int:
    return sum(closeness.same(q, said[q.id], right[q.id]) for q in asked)


def _answers(work: Assignment, given: bytes | AnswerText) -> dict[str, Any]:
    """Return the answers that stand there as plain values, as the marker reads them."""
    cells = _cells(work, given)
    found = {}
    for question in work.exercise.graded:
        if question.kind == "written" or question.id not in cells:
            continue
        value = read_answer.read(question, plain(_literal(cells[question.id], question.variable)))
        if value.value is not None:
            found[question.id] = value.value
    return found


def _cells(work: Assignment, given: bytes | AnswerText) -> dict[str, str]:
    """Return question → the text of its answer cell."""
    if isinstance(given, AnswerText):
        return as_notebook.cells(work.exercise, given)
    notebook = parsed(given)
    ids = {f"{q.id}-answer": q.id for q in work.exercise.graded}
    there = (
        [(grade_id(cell) or "", str(cell.source)) for cell in notebook.cells] if notebook else ()
    )
    return {ids[id]: text for id, text in there if id in ids}


def _literal(text: str, variable: str) -> object:
    """Return the plain value that a cell gives to a variable, None if it gives it none."""
    if len(text) > _LONGEST:
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Python warns of odd escapes in a student's text
            body = ast.parse(text).body
            for one in reversed(body):
                if isinstance(one, ast.Assign) and ast.unparse(one.targets[0]) == variable:
                    return ast.literal_eval(one.value)
    except (ValueError, SyntaxError, TypeError, MemoryError, RecursionError):
        pass
    return None
