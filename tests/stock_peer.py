"""The peer: the same work in a class folder of stock nbgrader, with check cells that it can run.

A check cell looks the student's expected value up and asserts that the handed-in one lies within the
question's tolerance: full marks or none, as `nbgrader autograde` gives them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import nbformat

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.notebooks import TEXT_STUB
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import found
from coursekit.classroom.handout import assignments
from coursekit.classroom.register.class_folder import ClassFolder, write_text

CONFIG = f"""\
c = get_config()
c.ClearSolutions.code_stub = {{"python": ""}}
c.ClearSolutions.text_stub = {TEXT_STUB!r}
"""


def checking(question: Any, expected: dict[str, Any]) -> str:
    """Return a check cell that asserts what a student's own numbers demand."""
    lines = ["### BEGIN HIDDEN TESTS", f"_expected = {expected!r}[sheet['student']]"]
    given, allowed = question.variable, question.tolerance
    if question.kind == "choice":
        lines.append(f"assert {given} == _expected")
    elif question.kind == "order":
        lines.append(f"assert list({given}) == list(_expected)")
    elif question.kind == "points":
        lines.append(
            f"_flat = [x for p in {given} for x in (p if isinstance(p, (list, tuple)) else [p])]"
        )
        lines.append("assert len(_flat) == len(_expected)")
        near = (
            f"(_flat[i] - _expected[i])**2 + (_flat[i + 1] - _expected[i + 1])**2 <= {allowed}**2"
        )
        lines.append(f"assert all({near} for i in range(0, len(_flat), 2))")
    else:
        allowance = f"abs(b) * {allowed}" if question.relative else f"{allowed}"
        listed = "_expected" if question.kind == "numbers" else "[_expected]"
        values = given if question.kind == "numbers" else f"[{given}]"
        lines.append(f"assert len({values}) == len({listed})")
        lines.append(f"assert all(abs(a - b) <= {allowance} for a, b in zip({values}, {listed}))")
    return "\n".join([*lines, "### END HIDDEN TESTS"])


def answer(question: Any, right: Any, wrong: bool) -> Any:
    """Return a value that is right, or wrong in every entry and no slip of the key."""
    if not wrong:
        return right
    if isinstance(right, str):
        return next(option for option in question.options if option != right)
    if isinstance(right, tuple):
        return tuple(v * 1.37 + 7 * question.tolerance + 3.3 for v in right)
    return right * 1.37 + 7 * question.tolerance + 3.3


def write_source(folder: Path, work: assignments.Assignment) -> None:
    """Write the peer's source of an exercise: this kit's, with check cells of its own."""
    name, students = f"{work.slug}.ipynb", [s.id for s in work.folder.students]
    right = {s: own_numbers.answers(work.exercise, work.key, work.numbers(s)) for s in students}
    notebook = nbformat.read(work.folder.source(work.slug) / name, as_version=4)
    for cell in notebook.cells:
        if cell.cell_type == "code" and cell.metadata.nbgrader["grade"]:
            question = work.exercise.question(cell.id)
            cell.source = checking(question, {s: right[s][cell.id] for s in students})
    write_text(folder / "source" / work.slug / name, nbformat.writes(notebook))
    found(ClassFolder(folder, "", ()))  # nbgrader's own way asks for a program on the PATH


def hand_in(
    folder: Path, work: assignments.Assignment, student: str, cells: dict[str, str]
) -> None:
    """Hand `cells` in, question id → code, in the peer's class folder."""
    name, place = f"{work.slug}.ipynb", folder / "submitted" / student / work.slug
    release = nbformat.read(folder / "release" / work.slug / name, as_version=4)
    write_text(place / name, nbformat.writes(invented_class.filled(release, cells)))
    write_text(place / "numbers.json", work.numbers_text(student))
