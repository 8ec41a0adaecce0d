"""What a feedback page shows of answers that came by the answer page or on paper.

Such answers were never Python to the student. So neither the cell that holds them for the marker is
shown nor the names of variables, but the question as it was put there, what was typed into each
box, and the way there line by line.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from coursekit.classroom.answer_page.pages import boxes
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.bank.notebooks import TEXT_STUB, grade_id
from coursekit.classroom.intake import as_notebook
from coursekit.classroom.paper import as_notebook as from_paper
from coursekit.classroom.report import safe_html
from coursekit.sheets.text import unit_after
from coursekit.sheets.worksheet import SheetQuestion

# the note at the notebook's head → where the answers are from, and what the student did there
_ORIGINS = {
    as_notebook.NOTE: ("the answer page", "typed"),
    from_paper.NOTE: ("paper", "wrote"),
}
_WORKED = "# worked: "
_BARE = re.compile(r"[-+−–]?[\d\s.,/]*\d")  # a number that was typed without a unit


@dataclass(frozen=True)
class Filled:
    """One answer: what was asked, and what the student put down; `did` is their deed, in a word.

    `lines` are the boxes, a label (or "") and the text of each, and `words` is a written answer.
    """

    asked: Markup
    did: str
    lines: tuple[tuple[str, str], ...] = ()
    words: Markup | None = None
    working: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing was answered."""
        return not self.lines and self.words is None


def origin(cells: Sequence[Any]) -> str:
    """Return where the answers of a marked notebook are from; "" if it was written as one."""
    return _ORIGINS[cells[0].source][0] if cells and is_note(cells[0]) else ""


def is_note(cell: Any) -> bool:
    """Whether a cell is the kit's own note that says where the answers are from."""
    return grade_id(cell) is None and cell.source in _ORIGINS


def filled(
    cells: Sequence[Any], question: Question, task: SheetQuestion, mark: Mark | None
) -> Filled | None:
    """Return what to show of a question of a notebook that was filled in.

    None if its answer is not as the kit filled it in, so that somebody changed the notebook by hand
    and only the cell itself tells what stands there.
    """
    asked, did = asked_on_paper(task), _ORIGINS[cells[0].source][1]
    written = question.kind == "written"
    id = question.id if written else f"{question.id}-answer"
    source = next((str(cell.source) for cell in cells if grade_id(cell) == id), "")
    if written:
        said = source.removeprefix(TEXT_STUB).strip()
        return Filled(asked, did, words=safe_html.markdown(said) if said else None)
    working = tuple(line for line in source.splitlines() if line.startswith("# "))
    if not working or not working[0].startswith("# from the "):  # the cell as it was handed out
        untouched = source == question.scaffold or not (mark and mark.given)
        return Filled(asked, did) if untouched else None
    typed = lines(question, source)
    if typed is None:
        return None
    steps = tuple(line.removeprefix(_WORKED).removeprefix("# ") for line in working[1:])
    return Filled(asked, _deed(question, did), typed, working=steps)


def lines(question: Question, source: str) -> tuple[tuple[str, str], ...] | None:
    """Return what was put into each box, a label and the text; nothing if all are empty.

    None if the cell `source` is not as the kit fills it in.
    """
    try:
        return _lines(question, _entries(question, source))
    except (SyntaxError, ValueError, TypeError, MemoryError, RecursionError):
        return None


def asked_on_paper(task: SheetQuestion) -> Markup:
    """Return a question as it stands on the worksheet and the answer page, with its choices."""
    options = "".join(f"\n- {words}" for words in task.options)
    return safe_html.markdown(f"{task.text}\n{options}" if options else task.text)


def _deed(question: Question, did: str) -> str:
    return {"choice": "chose", "order": "put them in this order"}.get(question.kind, did)


def _entries(question: Question, source: str) -> list[str]:
    """Return what stands in each box, "" for an empty one; raises ValueError for other code."""
    (line,) = ast.parse(source).body
    if not isinstance(line, ast.Assign):
        raise ValueError(source)
    value = ast.literal_eval(line.value)
    return ["" if one is None else str(one) for one in (value if type(value) is list else [value])]


def _lines(question: Question, entries: list[str]) -> tuple[tuple[str, str], ...]:
    """Return a label and the text for each box; none at all if every box is empty."""
    if not any(entries):
        return ()
    if question.kind == "choice":
        return tuple(("", (question.options or {}).get(entry, entry)) for entry in entries)
    if question.kind == "order":
        return (("", ", ".join(filter(None, entries))),)
    labels = [box.label for box in boxes(question)]
    if len(labels) == 1 or len(labels) != len(entries):
        labels = [""] * len(entries)
    return tuple(
        (label, _with_unit(question, entry)) for label, entry in zip(labels, entries, strict=True)
    )


def _with_unit(question: Question, entry: str) -> str:
    """Return what stands in a box with the unit behind it, unless the student wrote one."""
    return entry + unit_after(question.unit).rstrip() if _BARE.fullmatch(entry) else entry
