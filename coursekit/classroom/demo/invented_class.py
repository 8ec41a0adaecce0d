"""A demo class: twelve invented students and what each hands in, from right to broken.

The students write their notebooks here the way people do: with calculations gone wrong in the
usual ways, a cell that crashes, a loop that never ends. All of it is invented.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit.classroom.bank.closeness import pairs
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.keys import Value
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import (
    ClassFolder,
    Student,
    load,
    open_class,
    write_text,
)
from coursekit.classroom.register.secret import make_secret

SECRET = bytes(range(32))  # always the same one, so that every demo gives the same numbers
Cells = dict[str, str]


@dataclass(frozen=True)
class Case:
    """What a demo student does, in words, and the function that writes their answer cells."""

    say: str
    write: Callable[[Assignment, str], Cells]


def students(count: int = 12) -> list[Student]:
    """Return the demo's roster: bench-01, bench-02 and so on."""
    return [Student(f"bench-{i:02d}", f"Bench {i}") for i in range(1, count + 1)]


def open_demo(path: Path, count: int = 12) -> ClassFolder:
    """Return the demo class in `path`, opened if it is not there."""
    path.mkdir(parents=True, exist_ok=True)
    if not (path / "secret").exists():
        make_secret(path / "secret", SECRET)
    open_class(path, students(count), "Evening class at the harbour workshop (demo)")
    return load(path)


def right_cells(work: Assignment, student: str) -> Cells:
    """Return answer cells, question id → code, in which everything is right."""
    return _cells(work, answers(work.exercise, work.key, work.numbers(student)))


def slip_cells(work: Assignment, student: str, turn: int, only: str = "") -> Cells:
    """Return answer cells with the `turn`-th slip of each question (or of `only` one), carried on.

    Later answers build on the student's own earlier values, as they would on paper. A question with
    fewer slips is answered right.
    """
    numbers, own = work.numbers(student), dict[str, Value]()
    for question in work.exercise.graded:
        if question.kind == "written":
            continue
        slips = work.key.slips[question.id]
        if turn < len(slips) and only in ("", question.id):
            own[question.id] = work.key.slip_value(slips[turn], question, numbers, own)
        else:
            own[question.id] = work.key.value(question, numbers, own)
    return _cells(work, own)


def _cells(work: Assignment, values: Mapping[str, Value]) -> Cells:
    written = {
        q.id: "The ears do not reach: I file where the tube touches." for q in _written(work)
    }
    return {
        q.id: f"{q.variable} = {_code(_as_typed(q, v))}"
        for q in work.exercise.graded
        if (v := values.get(q.id)) is not None
    } | written


def _as_typed(question: Question, value: Value) -> Any:
    """Return a value as a student types it: points in pairs."""
    if question.kind == "points" and isinstance(value, tuple):
        return pairs(tuple(value))
    return value


def _written(work: Assignment) -> list[Question]:
    return [q for q in work.exercise.graded if q.kind == "written"]


def _code(value: Any) -> str:
    if isinstance(value, tuple | list):
        return "[" + ", ".join(_code(v) for v in value) + "]"
    if isinstance(value, str):
        return repr(value)
    return f"{value:.4f}" if abs(value) >= 0.1 else f"{value:.6g}"


def _first_chain(work: Assignment) -> tuple[str, str]:
    """Return ids of a question that builds on another, and of the first it builds on."""
    for question in work.exercise.graded:
        if question.id in work.key.answers and work.key.answers[question.id].after:
            return question.id, work.key.answers[question.id].after[0]
    raise ValueError("The demo needs an exercise with a chain; got none.")


def _carry(work: Assignment, student: str) -> Cells:
    return slip_cells(work, student, 0, only=_first_chain(work)[1])


def _in_inches(work: Assignment, student: str) -> Cells:
    right = answers(work.exercise, work.key, work.numbers(student))
    return _cells(
        work,
        {
            q.id: v / 25.4
            if q.unit == "mm" and isinstance(v := right[q.id], float)
            else right[q.id]
            for q in work.exercise.graded
            if q.kind != "written"
        },
    )


def _one_cell(code: str) -> Callable[[Assignment, str], Cells]:
    def write(work: Assignment, student: str) -> Cells:
        cells = right_cells(work, student)
        first = next(q for q in work.exercise.graded if q.kind == "number")
        cells[first.id] = code.format(variable=first.variable)
        return cells

    return write


def _by_hand(work: Assignment, student: str) -> Cells:
    """Return right values written as people write them, and a list right in part."""
    right = answers(work.exercise, work.key, work.numbers(student))
    cells = right_cells(work, student)
    for question in work.exercise.graded:
        value = right.get(question.id)
        if isinstance(value, float):
            text = f"{value:.2f} {question.unit}".replace(".", ",")
            cells[question.id] = f'{question.variable} = "{text}"'
        elif isinstance(value, tuple) and isinstance(value[0], float):
            wrong = (value[0] + 5, *value[1:])
            cells[question.id] = f"{question.variable} = {_code(wrong)}"
    return cells


CASES: dict[str, Case] = {
    "bench-01": Case("everything right", right_cells),
    "bench-02": Case("first slip of each question", lambda w, s: slip_cells(w, s, 0)),
    "bench-03": Case("second slip of each question", lambda w, s: slip_cells(w, s, 1)),
    "bench-04": Case("third slip of each question", lambda w, s: slip_cells(w, s, 2)),
    "bench-05": Case("fourth slip of each question", lambda w, s: slip_cells(w, s, 3)),
    "bench-06": Case("an early slip, carried on", _carry),
    "bench-07": Case("handed in blank", lambda w, s: {}),
    "bench-08": Case("inches for millimetres", _in_inches),
    "bench-09": Case("a cell that crashes", _one_cell("{variable} = 90 - angel_deg")),
    "bench-10": Case("a loop that never ends", _one_cell("while True:\n    {variable} = 1")),
    "bench-11": Case("a broken file", lambda w, s: {}),
    "bench-12": Case("written by hand, list right in part", _by_hand),
}
_BROKEN, EVERYTHING = "bench-11", "miter-angles"


ELSEWHERE: dict[str, Case | None] = {
    **CASES,
    "bench-09": Case("everything right", right_cells),
    "bench-10": Case("an early slip, carried on", _carry),
    "bench-11": None,
}


def cases(slug: str) -> dict[str, Case | None]:
    """Return what each student hands in for an exercise, or None if nothing comes.

    The crash, the endless loop and the broken file come once, in the exercise `EVERYTHING`.
    """
    return dict(CASES) if slug == EVERYTHING else ELSEWHERE


def hand_in(work: Assignment) -> None:
    """Write what each demo student hands in to the class's `submitted` folder."""
    name = f"{work.slug}.ipynb"
    for student in work.folder.students:
        case = cases(work.slug)[student.id]
        if case is None:
            continue
        text = (work.folder.bundle(student.id, work.slug) / name).read_text(encoding="utf-8")
        if student.id == _BROKEN and work.slug == EVERYTHING:
            text = text[: len(text) // 2]
        else:
            notebook = nbformat.reads(text, as_version=4)
            text = nbformat.writes(filled(notebook, case.write(work, student.id)))
        folder = work.folder.submitted(student.id, work.slug)
        write_text(folder / name, text)
        write_text(folder / "timestamp.txt", "2026-02-03 19:30:00 UTC\n")


def filled(notebook: NotebookNode, cells: Mapping[str, str]) -> NotebookNode:
    """Return `notebook` with the text of `cells`, question id → code, in its answer cells."""
    for cell in notebook.cells:
        id = grade_id(cell) or ""
        question = id.removesuffix("-answer")
        if cell.metadata.nbgrader["solution"] and question in cells:
            cell.source = cells[question]
    return notebook
