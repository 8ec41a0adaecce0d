"""Reads a notebook whose answers are plain literals as a run would, but runs nothing.

An answer page, a message and a sheet of paper become such notebooks, and so does the notebook of
whoever types values alone. Every answer cell holds comments and one literal for the question's own
variable, or code to complete that nobody touched; cells that the student added hold no code. The
locked cells are the kit's own, so it is known what they would print. If anything else stands in
it, the notebook needs running.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator

from nbformat import NotebookNode

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bank.notebooks import OWN_NUMBERS, grade_id, locked_code
from coursekit.classroom.bank.questions import Question
from coursekit.classroom.running import cell_text, untrusted
from coursekit.classroom.running.cell_text import NOT_GIVEN
from coursekit.classroom.running.plain_value import Plain
from coursekit.classroom.running.runner import Run

_UNKNOWN: Plain = {"is": "unknown"}


def run_of(
    exercise: Exercise, release: NotebookNode, notebook: NotebookNode, numbers: str
) -> Run | None:
    """Return what a run of `notebook` would give, or None if it needs running.

    `notebook` has been put back in order by `release`; `numbers` is the text of the file from
    which its first cell prints the student's numbers. The outputs of cells that carry marks are
    left out, because the marks take their place.
    """
    reader = _Reader(exercise, release)
    run = Run()
    for index, cell in enumerate(notebook.cells):
        if cell.cell_type != "code":
            continue
        id = grade_id(cell) or ""
        if not reader.goes_on(id, str(cell.source)):
            return None
        if id == OWN_NUMBERS:
            run.outputs[index] = _printed(numbers)
        elif id in reader.asked:
            run.values[id] = reader.value(id)
    return None if _UNKNOWN in run.values.values() else run


class _Reader:
    """Reads one cell after another and keeps what each variable holds by then."""

    def __init__(self, exercise: Exercise, release: NotebookNode) -> None:
        self.asked = {q.id: q for q in exercise.graded if q.kind != "written"}
        self._locked = locked_code(exercise)
        self._released = {grade_id(c): str(c.source) for c in release.cells}
        self._holds: dict[str, Plain] = {}

    def value(self, id: str) -> Plain:
        """Return what the variable of a question holds now."""
        return dict(self._holds.get(self.asked[id].variable, NOT_GIVEN))

    def goes_on(self, id: str, text: str) -> bool:
        """Read a cell; return False if it needs running. `id` is "" for a student's own cell."""
        if id in self._locked:
            return text == self._locked[id]
        question = self.asked.get(id.removesuffix("-answer")) if id.endswith("-answer") else None
        if cell_text.says_nothing(text):
            return True
        if question is None:
            return False
        if is_untouched(question, text, self._released.get(id, "")):
            self._holds |= dict.fromkeys(_names(text), _UNKNOWN)
            self._holds[question.variable] = NOT_GIVEN
            return True
        found = cell_text.literal(text, question.variable)
        if found is not None:
            self._holds[question.variable] = found
            return True
        # Python takes 1011,09 for a mistake, and the variable keeps what it holds
        return question.kind == "number" and bool(cell_text.with_comma(text, question.variable))


def is_untouched(question: Question, text: str, released: str) -> bool:
    """Whether a cell holds the code to complete just as it was handed out."""
    return bool(question.scaffold) and text.strip() == released.strip()


def _names(code: str) -> Iterator[str]:
    """Yield the names that the code to complete may give another value to."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store | ast.Del):
            yield node.id
        elif isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.alias):
            yield (node.asname or node.name).partition(".")[0]


def _printed(numbers: str) -> list[untrusted.Output]:
    """Return the output of the first cell."""
    words = "\n".join(map(str, json.loads(numbers)["in words"]))
    return untrusted.outputs([{"output_type": "stream", "name": "stdout", "text": f"{words}\n"}])
