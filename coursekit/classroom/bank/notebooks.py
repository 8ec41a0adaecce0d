"""Notebooks of an exercise: the instructor's source, and a student's copy put back in order.

The source is made from both halves of the bank and goes through `nbgrader generate_assignment`.
Cell ids are frozen: `<question>-text`, `<question>-answer`, and `<question>` for the cell that
carries the marks. They never change once an exercise has been handed out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit.classroom.bank import merged_cells
from coursekit.classroom.bank.closeness import pairs
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.json_lines import indented
from coursekit.classroom.bank.keys import Value
from coursekit.classroom.bank.own_numbers import Drawn
from coursekit.sheets.text import quantity, unit_word

NUMBERS_FILE = "numbers.json"
OWN_NUMBERS = "own-numbers"  # id of the cell that reads it
TEXT_STUB = "*Write your answer here.*"
_KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}


@dataclass(frozen=True)
class Probe:
    """Where a student's value is read: after cell `cell` has run, from the variable `variable`."""

    cell: str
    variable: str


def probes(exercise: Exercise) -> tuple[Probe, ...]:
    """Return the probe of every marked question that the machine marks."""
    return tuple(Probe(q.id, q.variable) for q in exercise.graded if q.kind != "written")


def locked_code(exercise: Exercise) -> dict[str, str]:
    """Return the code of the cells that students must not change, id → as they see it.

    The first prints the student's numbers, each of the others one answer, and none does more.
    """
    shown = {q.id: _shown_value(q) for q in exercise.graded if q.kind != "written"}
    return {OWN_NUMBERS: _own_numbers(exercise), **shown}


def source(
    exercise: Exercise, answers: Mapping[str, Value], worked: Mapping[str, str]
) -> NotebookNode:
    """Return the source notebook: all questions, with the instructor's own answers filled in.

    Everything between BEGIN and END marks is taken out by `nbgrader generate_assignment`.
    """
    cells = [
        _text("read-first", f"# {exercise.title}\n\n{exercise.intro}\n\n{_HOW_TO}"),
        _code(OWN_NUMBERS, _own_numbers(exercise)),
    ]
    for number, question in enumerate(exercise.graded, start=1):
        cells.append(_text(f"{question.id}-text", _question_text(number, question)))
        if question.kind == "written":
            cells.append(_written(question, worked[question.id]))
        else:
            cells.append(
                _code(
                    f"{question.id}-answer", _answer(question, answers[question.id]), solution=True
                )
            )
            cells.append(_code(question.id, _check(question), points=question.marks))
    return _new_notebook(
        cells=cells, metadata={"kernelspec": dict(_KERNEL), "language_info": {"name": "python"}}
    )


_HOW_TO = (
    "Work from top to bottom. Run a cell with **Shift + Enter**. In each answer cell put your "
    "value, or the sum that gives it, in place of `None`: a plain number with a decimal **point**, "
    "like `31.5`, without its unit. A sum may use `sqrt(…)`, `pi`, `sin(radians(…))` and the names "
    "of your numbers. Run the cell below it too: it shows what you will hand in. When all is done, "
    "choose *Restart Kernel and Run All Cells* in the menu *Run*, save, and hand in this file."
)


def _own_numbers(exercise: Exercise) -> str:
    lines = [
        "# Your own numbers. Run this cell first; do not change it.",
        "import json",
        "from math import atan, cos, degrees, pi, radians, sin, sqrt, tan",
        "",
        f'with open("{NUMBERS_FILE}", encoding="utf-8") as file:',
        "    sheet = json.load(file)",
        "",
        'given = sheet["numbers"]',
    ]
    lines += [f'{q.name} = given["{q.name}"]' for q in exercise.quantities]
    return "\n".join([*lines, "", 'print(*sheet["in words"], sep="\\n")'])


def numbers_sheet(exercise: Exercise, student: str, drawn: Drawn) -> str:
    """Return the text of the file that a student's notebook reads its numbers from."""
    numbers = drawn.numbers
    words = [f"{q.name:<18} {numbers[q.name]:>8g} {q.unit:<4} {q.say}" for q in exercise.quantities]
    facts = {
        "student": student,
        "exercise": exercise.slug,
        # in the exercise's order, whether they were drawn now or are known from before
        "numbers": {q.name: numbers[q.name] for q in exercise.quantities},
        "in words": words,
    }
    if drawn.instead:
        facts["another frame"] = another_frame(drawn)
    return indented(facts) + "\n"


def another_frame(drawn: Drawn) -> str:
    """Return the sentence that says why numbers are of another frame; "" where they are not."""
    if not drawn.instead:
        return ""
    return (
        "These numbers are of another frame, drawn for this lesson alone, because with your own "
        f"{drawn.instead}."
    )


def _question_text(number: int, question: Question) -> str:
    """Return a question's text with its number, marks and, for a choice, its options."""
    marks = f"{question.marks:g} mark" + ("" if question.marks == 1 else "s")
    parts = [f"## {number}. {question.title} ({marks})", question.text]
    if question.given:
        parts.append("Your numbers for this: " + ", ".join(f"`{g}`" for g in question.given) + ".")
    if question.digit:
        parts.append(f"Give it to {quantity(question.digit, question.unit)}.")
    if question.options:
        parts.append("\n".join(f'- `"{id}"`: {text}' for id, text in question.options.items()))
    return "\n\n".join(parts)


def _answer(question: Question, answer: Value) -> str:
    stub = question.scaffold or f"# {_to_write(question)}\n{question.variable} = None"
    solved: object = answer
    if isinstance(answer, tuple):
        solved = pairs(answer) if question.kind == "points" else list(answer)
    return f"{stub}\n### BEGIN SOLUTION\n{question.variable} = {solved!r}\n### END SOLUTION"


def _to_write(question: Question) -> str:
    """Return what an answer cell asks for, in words."""
    unit = f", in {unit_word(question.unit)}" if question.unit else ""
    entries = ", ".join(question.entries)
    like = ", ".join(f"{i + 1}" for i in range(len(question.entries)))
    points = ", ".join(f"({2 * i + 1}, {2 * i + 2})" for i in range(len(question.entries)))
    if question.kind == "choice":
        return "Put one of the words above in place of None, in quotes."
    if question.kind == "numbers":
        return f"A list in square brackets{unit}: {entries}. Like [{like}]."
    if question.kind == "points":
        return f"A list of points (x, y){unit}: {entries}. Like [{points}]."
    if question.kind == "order":
        quoted = ", ".join(f'"{entry}"' for entry in question.entries)
        return f"A list in square brackets of all of these, in your order: {quoted}."
    return f"Put your answer{unit + ',' if unit else ''} in place of None."


def _shown_value(question: Question) -> str:
    """Return the code, as students see it, of the cell that shows what is handed in."""
    unit = f", {unit_word(question.unit)!r}" if question.unit else ""
    return f'# This is what you hand in.\nprint("{question.variable} =", {question.variable}{unit})'


def _check(question: Question) -> str:
    """Return the cell that shows what is handed in.

    Plain `nbgrader autograde` would give full marks for a cell that only prints. The hidden line
    makes the cell fail there, because marks come from `coursekit mark` alone.
    """
    return (
        f"{_shown_value(question)}\n"
        "### BEGIN HIDDEN TESTS\n"
        'raise RuntimeError("This notebook is marked with `coursekit mark`.")\n'
        "### END HIDDEN TESTS"
    )


def _metadata(id: str, *, solution: bool = False, points: float | None = None) -> dict[str, object]:
    meta: dict[str, object] = {
        "grade": points is not None,
        "grade_id": id,
        "locked": not solution,
        "schema_version": 3,
        "solution": solution,
        "task": False,
    }
    if points is not None:
        meta["points"] = points
    return meta


def _new_notebook(cells: list[NotebookNode], metadata: Any) -> NotebookNode:
    notebook: NotebookNode = nbformat.v4.new_notebook(metadata=metadata)
    # given to new_notebook above, each cell would be checked against the schema, which is slow
    notebook.cells = cells
    return notebook


def _text(id: str, text: str) -> NotebookNode:
    return _cell("markdown", text, id, {"nbgrader": _metadata(id)})


def _code(
    id: str, code: str, *, solution: bool = False, points: float | None = None
) -> NotebookNode:
    meta = _metadata(id, solution=solution, points=points)
    return _cell("code", code, id, {"nbgrader": meta})


def _written(question: Question, worked: str) -> NotebookNode:
    meta = _metadata(question.id, solution=True, points=question.marks)
    text = f"### BEGIN SOLUTION\n{worked}\n### END SOLUTION"
    return _cell("markdown", text, question.id, {"nbgrader": meta})


def grade_id(cell: NotebookNode) -> str | None:
    """Return the frozen id of a cell, or None for a cell that the student added."""
    meta = cell.metadata.get("nbgrader")
    id = meta.get("grade_id") if isinstance(meta, dict) else None
    return id if isinstance(id, str) else None


def put_back_in_order(
    release: NotebookNode, submitted: NotebookNode
) -> tuple[NotebookNode, list[str]]:
    """Return the submitted notebook put back in order, and what had to be done to it.

    Locked cells get the release's text back, and an answer cell keeps the student's. A cell that
    was deleted comes back after the cell it followed. If a cell was copied, the last copy counts,
    which is nbgrader's own rule. Cells that the student added stay where they are, and all outputs
    are dropped.

    An answer that was merged into another cell still counts. If another of the student's cells
    assigns the answer's variable, the answer's own cell comes back empty after that one. If it was
    merged into a locked cell, the locked text is put back and the rest goes into the answer's cell.
    """
    master = {id: cell for cell in release.cells if (id := grade_id(cell))}
    taken: list[str] = []
    cells, repairs = _kept(submitted.cells, master, taken)
    order = list(master)
    texts = [(grade_id(cell) or "", str(cell.source)) for cell in submitted.cells]
    beside = merged_cells.beside_locked(texts, master)
    for position, id in enumerate(order):
        if id in taken:
            continue
        at = _place_after(cells, order[:position])
        text, said = master[id].source, "was missing and has been put back"
        if not master[id].metadata.nbgrader["locked"]:
            kind = master[id].cell_type
            there = merged_cells.where_answered(id, cells) if kind == "code" else None
            if there is not None:
                at, text, said = max(at, there + 1), "", "was merged into another cell and counts"
            elif found := merged_cells.answer_among(beside, id, kind):
                text, said = found, "was merged into a locked cell and has been taken out of it"
        cells.insert(at, _fresh(master[id], text))
        repairs.append(f"'{id}' {said}")
    return _new_notebook(cells=_with_unique_ids(cells), metadata=release.metadata), repairs


def _kept(
    submitted: Sequence[NotebookNode], master: Mapping[str, NotebookNode], taken: list[str]
) -> tuple[list[NotebookNode], list[str]]:
    kept: list[NotebookNode] = []
    repairs: list[str] = []
    for cell in reversed(submitted):
        id = grade_id(cell)
        if id is None or id not in master or id in taken:
            kept.append(_loose(cell))
            if id in taken:
                repairs.append(f"'{id}' stood there twice; the last one counts")
            continue
        taken.append(id)
        locked = master[id].metadata.nbgrader["locked"]
        if locked and str(cell.source) != master[id].source:
            repairs.append(f"'{id}' was changed and has been put back")
        kept.append(_fresh(master[id], master[id].source if locked else str(cell.source)))
    return kept[::-1], repairs[::-1]


def _fresh(master: NotebookNode, text: str) -> NotebookNode:
    # two levels are deep enough for a copy, because nbgrader's metadata are plain scalars
    meta = {k: dict(v) if isinstance(v, dict) else v for k, v in master.metadata.items()}
    return _cell(master.cell_type, text, master.id, meta)


def _loose(cell: NotebookNode) -> NotebookNode:
    return _cell(cell.cell_type, str(cell.source), "added", {})


def _cell(kind: str, text: str, id: str, meta: dict[str, Any]) -> NotebookNode:
    """Return a cell without outputs; nbformat's `new_code_cell` would check it, which is slow."""
    cell: dict[str, Any] = {"cell_type": "markdown", "id": id, "metadata": meta, "source": text}
    if kind == "code":
        cell |= {"cell_type": "code", "execution_count": None, "outputs": []}
    made: NotebookNode = nbformat.from_dict(cell)
    return made


def file_text(notebook: NotebookNode) -> str:
    """Return a valid notebook as the text of its file, the same text that `nbformat.write` gives.

    `nbformat.write` is slower, because it first checks the notebook again and copies it twice.
    """
    cells = [_in_lines(cell) for cell in notebook.cells]
    whole = {**notebook, "cells": cells}
    return indented(whole, sort=True) + "\n"


def _in_lines(tree: Any) -> Any:
    """Return a cell, or an output of it, with long texts as lists of lines."""
    made = {k: v.splitlines(True) if k in ("source", "text") else v for k, v in tree.items()}
    if "data" in made:
        made["data"] = {
            k: v.splitlines(True) if isinstance(v, str) and _is_text(k) else v
            for k, v in made["data"].items()
        }
    if "outputs" in made:
        made["outputs"] = [_in_lines(output) for output in made["outputs"]]
    return made


def _is_text(mime: str) -> bool:
    return mime.startswith("text/") or mime == "image/svg+xml"


def _place_after(cells: Sequence[NotebookNode], before: Sequence[str]) -> int:
    """Return where a missing cell goes: after the last cell of those before it that is there."""
    for id in reversed(before):
        for index, cell in enumerate(cells):
            if grade_id(cell) == id:
                return index + 1
    return 0


def _with_unique_ids(cells: list[NotebookNode]) -> list[NotebookNode]:
    """Number the student's own cells in order, so that the same notebook gives the same bytes."""
    own = 0
    for cell in cells:
        if grade_id(cell) is None:
            own += 1
            cell.id = f"added-{own}"
    return cells
