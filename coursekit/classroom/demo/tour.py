"""Runs the demo: the whole course once from end to end, with the invented class."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

from rich.console import Console
from rich.table import Table

from coursekit.classroom.answer_page import pages as answer_pages
from coursekit.classroom.demo import invented_class, invented_readings
from coursekit.classroom.handout import assignments, printing
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.intake.first_look import new_work
from coursekit.classroom.marking import mark_class
from coursekit.classroom.report import class_report, feedback
from coursekit.classroom.report.class_page import class_page
from coursekit.classroom.report.class_report import Draw
from coursekit.classroom.report.marks_table import course_table, marks_table
from coursekit.classroom.running.places import Here

Step = Callable[[str], None]
Bar = Callable[[str, int | None], AbstractContextManager[Step]]


def demo(
    root: Path,
    slugs: Sequence[str],
    console: Console,
    bar: Bar,
    build_book: Callable[[Path], Path],
    draw: Draw,
) -> None:
    """Run the whole course once on the demo class, and say at the end where everything is.

    `slugs` are the lessons in the book's order. `build_book` takes the course's folder and returns
    the book's first page, and `draw` draws a lesson's figure; both are passed in because the
    classroom must not import the book. Nothing
    in the class needs the book or the worksheets, so they are made in threads beside it.
    """
    folder = invented_class.open_demo(root / "build" / "demo")
    count = len(folder.students) * len(slugs)
    works, in_making = [], []
    with _one_thread() as press, _one_thread() as beside:
        book = press.submit(build_book, root)
        with bar("Notebooks, own numbers", count) as step:
            for slug in slugs:
                work = assignments.assignment(folder, slug, root)
                assignments.hand_out(work, _naming(step, work))
                answer_pages.make(work, lesson=False)
                in_making.append(beside.submit(_print, work))
                works.append(work)
        for work in works:
            invented_class.hand_in(work)
            invented_readings.record(work)
        with bar("Running and marking", count) as step, Here() as here:
            new = new_work(folder, slugs)
            if new.to_run:
                here.start()
            for work in works:
                mark_class.mark_class(work, place=here, progress=_teller(step, work), new=new)
        with bar("Feedback", count) as step:
            for work in works:
                feedback.give_feedback(folder, work.slug, _teller(step, work))
        with bar("Worksheets", len(works)) as step:
            paper = {}
            for work, made in zip(works, in_making, strict=True):
                paper[work.slug] = made.result()
                step(work.slug)
        with bar("The book", None):
            index = book.result()
        with bar("Report", None):  # after the book, because both draw figures
            found = class_page(folder, root)
            report = class_report.write(found, folder.path / "reports", draw=draw)
    shown = next(w for w in works if w.slug == invented_class.EVERYTHING)
    said = {student: case.say for student, case in invented_class.CASES.items()}
    console.print(marks_table(shown, said))
    console.print(course_table(works))
    class_set, key = paper[shown.slug]
    console.print(_places(root, shown, index, class_set, key, report[0]))


def _print(work: Assignment) -> tuple[Path, Path]:
    """Write worksheets, blank set and key of a lesson; return the class set and the key."""
    assert work.root
    plan = printing.plan(work.folder, work.root, ["worksheets", "blank", "key"], [work])
    made = printing.write(plan, work.folder.path)
    return made.sets[0], made.files[-1]


@contextmanager
def _one_thread() -> Iterator[ThreadPoolExecutor]:
    """Yield a pool of one thread; what still waits when the block ends is dropped."""
    pool = ThreadPoolExecutor(1)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


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
