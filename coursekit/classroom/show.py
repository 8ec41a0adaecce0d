"""What the commands put on the screen: tables of marks, and the demo from end to end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Literal, cast

from rich.console import Console
from rich.table import Table

from coursekit.classroom import demo as demo_class
from coursekit.classroom import feedback, handout, marking
from coursekit.classroom import worksheets as paper_sheets
from coursekit.classroom.gradebook import gradebook, late_penalties, scores
from coursekit.classroom.handout import Assignment

Step = Callable[[str], None]
Bar = Callable[[str, int | None], AbstractContextManager[Step]]
DEMO_SLUG = "miter-angles"


def marks_table(work: Assignment, handed_in: Mapping[str, str] | None = None) -> Table:
    """Return the marks of a class as its gradebook has them, a line a student.

    `handed_in` says, student id → words, what each is known to have handed in.
    """
    table = Table(title=f"{work.exercise.title}: marks", title_justify="left")
    table.add_column("student")
    table.add_column("marks", justify="right")
    table.add_column("of", justify="right")
    table.add_column("what came of it")
    if handed_in:
        table.add_column("what was handed in")
    with gradebook(work.folder) as book:
        enrolled = {a.name for a in book.assignments}
        got = scores(book, work.slug) if work.slug in enrolled else {}
        late = late_penalties(book, work.slug)
    for student in work.folder.students:
        less = late.get(student.id, 0.0)
        total = f"{sum(got[student.id].values()) - less:g}" if student.id in got else "–"
        words = in_short(work, student.id) + (f", late: −{less:g}" if less else "")
        row = [student.id, total, f"{work.exercise.marks:g}", words]
        table.add_row(*row, *([handed_in[student.id]] if handed_in else []))
    return table


_WORDS = (
    ("right", "right"),
    ("carried", "carried on"),
    ("part", "right in part"),
    ("slip", "known slips"),
    ("unit", "wrong unit"),
    ("sign", "wrong sign"),
    ("wrong", "wrong"),
    ("unreadable", "no number"),
    ("stopped", "stopped"),
    ("blank", "blank"),
    ("to-read", "for you to read"),
)


def in_short(work: Assignment, student: str) -> str:
    """Return what came of one student's work in a few words."""
    record = marking.recorded(work.folder, student, work.slug)
    if record is None:
        return "not handed in"
    counts = {verdict: 0 for verdict, _ in _WORDS}
    for mark in record.marks:
        counts[mark.verdict] += 1
    found = [(counts[verdict], words) for verdict, words in _WORDS if counts[verdict]]
    return ", ".join(f"{n} {w.replace('slips', 'slip') if n == 1 else w}" for n, w in found)


def worksheets(work: Assignment, paper: str, step: Step | None = None) -> tuple[Path, Path]:
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
    )
    key = next(p for p in made if p.is_relative_to(folder / "answer-key"))
    return folder / "worksheets" / work.slug / "class.pdf", key


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
    ):
        table.add_row(what, str(path.relative_to(root)))
    return table
