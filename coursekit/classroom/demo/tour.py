"""What the commands put on the screen: worksheets made, and the demo from end to end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Literal, cast

from rich.console import Console
from rich.table import Table

from coursekit.classroom.demo import invented_class as demo_class
from coursekit.classroom.demo import invented_readings
from coursekit.classroom.handout import assignments
from coursekit.classroom.handout import worksheets as paper_sheets
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.intake.first_look import has_new
from coursekit.classroom.marking import mark_class
from coursekit.classroom.report import class_facts, class_report, feedback
from coursekit.classroom.report.marks_table import course_table, marks_table
from coursekit.classroom.running.places import Here

Step = Callable[[str], None]
Bar = Callable[[str, int | None], AbstractContextManager[Step]]


def worksheets(
    work: Assignment, paper: str, step: Step | None = None, large: bool = False
) -> tuple[list[Path], Path]:
    """Make the worksheets and the answer key of a class; return the class set's files and the key."""
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
    return [p for p in made if paper_sheets.is_class_set(p)], made[-1]


def demo(
    root: Path,
    slugs: Sequence[str],
    console: Console,
    bar: Bar,
    build_book: Callable[[Path], Path],
) -> None:
    """Run the whole course once on the demo class, and say at the end where everything is.

    `slugs` are the lessons in the book's order; `build_book` takes the course's folder and returns the
    book's first page: the book stands above the classroom, which does not import it.
    """
    index = build_book(root)
    folder = demo_class.open_demo(root / "build" / "demo")
    works = [assignments.assignment(folder, slug, root) for slug in slugs]
    count = len(folder.students) * len(works)
    with bar("Notebooks, own numbers", count) as step:
        for work in works:
            assignments.hand_out(work, _naming(step, work))
    with bar("Worksheets", None) as step:
        sheets = [worksheets(work, "a4", step) for work in works]
    for work in works:
        demo_class.hand_in(work)
        invented_readings.record(work)
    with bar("Running and marking", count) as step, Here() as here:
        if any(has_new(folder, slug) for slug in slugs):
            here.start()
        for work in works:
            told = _teller(step, work)
            mark_class.mark_class(work, place=here, progress=told)
    with bar("Feedback", count) as step:
        for work in works:
            feedback.give_feedback(folder, work.slug, _teller(step, work))
    with bar("Report", None):
        made = class_report.write(class_facts.gather(folder, root, names=True), folder.path / "reports", "a4", names=True)  # fmt: skip
    shown = next(w for w in works if w.slug == demo_class.EVERYTHING)
    said = {student: case.say for student, case in demo_class.CASES.items()}
    console.print(marks_table(shown, said))
    console.print(course_table(works))
    (class_set, *_), key = dict(zip(slugs, sheets, strict=True))[shown.slug]
    console.print(_places(root, shown, index, class_set, key, made[0]))


def _naming(step: Step, work: Assignment) -> Step:
    return lambda student: step(f"{work.slug}: {student}")


def _teller(step: Step, work: Assignment) -> Callable[[str, str], None]:
    return lambda student, what: step(f"{work.slug}: {student} {what}")


def _places(
    root: Path, work: Assignment, index: Path, sheets: Path, key: Path, report_page: Path
) -> Table:
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
        ("report on the class", report_page),
        ("bench record (invented readings)", folder / "bench"),
    ):
        table.add_row(what, str(path.relative_to(root)))
    return table
