"""What the commands put on the screen: worksheets made, and the demo from end to end."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Literal, cast

from rich.console import Console
from rich.table import Table

from coursekit.classroom import demo as demo_class
from coursekit.classroom import demo_bench, feedback, handout, marking
from coursekit.classroom import worksheets as paper_sheets
from coursekit.classroom.handout import Assignment
from coursekit.classroom.marks_table import marks_table

Step = Callable[[str], None]
Bar = Callable[[str, int | None], AbstractContextManager[Step]]
DEMO_SLUG = "miter-angles"


def worksheets(
    work: Assignment, paper: str, step: Step | None = None, large: bool = False
) -> tuple[Path, Path]:
    """Make the worksheets and the answer key of a class; return class set and key."""
    folder = work.folder.path
    students = [(s.id, s.name) for s in work.folder.students]
    made = paper_sheets.make(
        work.exercise,
        work.key,
        students,
        {s.id: work.numbers(s.id) for s in work.folder.students},
        folder / "worksheets",
        folder / "answer-key",
        paper=cast(Literal["a4", "us-letter"], paper),
        progress=step,
        large=large,
    )
    key = next(p for p in made if p.is_relative_to(folder / "answer-key"))
    return made[0], key


def demo(root: Path, console: Console, bar: Bar, build_book: Callable[[Path], Path]) -> None:
    """Run everything once on the demo class, and say at the end where everything is.

    `build_book` takes the course's folder and returns the book's first page: the book stands above
    the classroom, which does not import it.
    """
    index = build_book(root)
    folder = demo_class.open_demo(root / "build" / "demo")
    work = handout.assignment(folder, DEMO_SLUG, root)
    count = len(folder.students)
    with bar("Notebooks, own numbers", count) as step:
        handout.hand_out(work, step)
    with bar("Worksheets", None) as step:
        sheets, key = worksheets(work, "a4", step)
    demo_class.hand_in(work)
    demo_bench.record(work)
    with bar("Running and marking", count) as step:
        marking.mark_class(work, progress=lambda student, what: step(f"{student} {what}"))
    with bar("Feedback", count) as step:
        feedback.give_feedback(folder, work.slug, lambda student, what: step(f"{student} {what}"))
    said = {student: case.say for student, case in demo_class.CASES.items()}
    console.print(marks_table(work, said))
    console.print(_places(root, work, index, sheets, key))


def _places(root: Path, work: Assignment, index: Path, sheets: Path, key: Path) -> Table:
    folder = work.folder.path
    table = Table(title="Where everything is", title_justify="left")
    table.add_column("what")
    table.add_column("where", overflow="fold")
    for what, path in (
        ("the book", index),
        ("the class folder, an nbgrader course", folder),
        ("a student's notebook and numbers", work.folder.bundle("bench-01", work.slug)),
        ("worksheets, whole class", sheets),
        ("answer key (instructor only)", key),
        ("handed-in notebooks", folder / "submitted"),
        ("run and marked notebooks", folder / "autograded"),
        ("feedback pages", folder / "feedback"),
        ("gradebook", folder / "gradebook.db"),
        ("bench record (invented readings)", folder / "bench"),
    ):
        table.add_row(what, str(path.relative_to(root)))
    return table
