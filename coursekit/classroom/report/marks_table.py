"""A class's marks on an exercise as a table for the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import fmean

from rich.table import Table

from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import QuestionMarks, late_penalties, questions, scores
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.intake.for_the_eye import for_the_eye
from coursekit.classroom.marking.marked_work import recorded


def marks_table(work: Assignment, handed_in: Mapping[str, str] | None = None) -> Table:
    """Return the marks of a class as its gradebook has them, with a row for each student.

    `handed_in` maps student ids to words on what each of them handed in, as the demo knows it.
    """
    table = Table(title=f"{work.exercise.title}: marks", title_justify="left")
    table.add_column("student")
    table.add_column("marks", justify="right")
    table.add_column("of", justify="right")
    table.add_column("what came of it")
    if handed_in:
        table.add_column("what was handed in")
    with reading(work.folder) as book:
        held = questions(book, work.slug)
        late = late_penalties(book, work.slug)
    for student in work.folder.students:
        less, mine = late.get(student.id, 0.0), held.get(student.id, {})
        total = f"{sum(q.marks for q in mine.values()) - less:g}" if mine else "–"
        words = in_short(work, student.id, mine) + (f", late: −{less:g}" if less else "")
        row = [student.id, total, f"{work.exercise.marks:g}", words]
        table.add_row(*row, *([handed_in[student.id]] if handed_in else []))
    return table


def course_table(works: Sequence[Assignment]) -> Table:
    """Return a class's marks over several exercises; `right` and `slips` count answers."""
    table = Table(title="The whole course", title_justify="left")
    for name in (
        "lesson",
        "handed in",
        "questions",
        "of",
        "mean",
        "least",
        "most",
        "right",
        "slips",
    ):
        table.add_column(name, justify="left" if name == "lesson" else "right")
    for work in works:
        with reading(work.folder) as book:
            got = scores(book, work.slug)
        totals = [sum(marks.values()) for marks in got.values()]
        records = [recorded(work.folder, s.id, work.slug) for s in work.folder.students]
        came = sum(record is not None for record in records)
        ends = (
            [f"{v:.1f}" for v in (fmean(totals), min(totals), max(totals))] if totals else ["–"] * 3
        )
        verdicts = [m.verdict for r in records if r for m in r.marks]
        table.add_row(
            work.exercise.title,
            f"{came} of {len(records)}",
            str(len(work.exercise.graded)),
            f"{work.exercise.marks:g}",
            *ends,
            str(verdicts.count("right")),
            str(verdicts.count("slip")),
        )
    return table


_WORDS = (
    ("right", "right"),
    ("carried", "carried on"),
    ("part", "right in part"),
    ("slip", "usual slips"),
    ("unit", "wrong unit"),
    ("sign", "wrong sign"),
    ("filled-in", "filled in"),
    ("wrong", "wrong"),
    ("unreadable", "can't be read"),
    ("stopped", "stopped"),
    ("blank", "blank"),
    ("by-hand", "marked by you"),
    ("to-read", "for you to read"),
)


def in_short(work: Assignment, student: str, held: Mapping[str, QuestionMarks]) -> str:
    """Return what came of one student's work in a few words; `held` is what the gradebook has."""
    record = recorded(work.folder, student, work.slug)
    if record is None:
        return f"not handed in{_waiting(work, student)}"
    verdicts = [_verdict(mark, held.get(mark.question)) for mark in record.marks]
    found = [(verdicts.count(verdict), words) for verdict, words in _WORDS if verdict in verdicts]
    return ", ".join(f"{n} {w.replace('slips', 'slip') if n == 1 else w}" for n, w in found)


def _verdict(mark: Mark, held: QuestionMarks | None) -> str:
    """Return what came of a question: what a person made of it, else the marker's verdict."""
    if held is None or held.sure is None:
        return mark.verdict
    if held.waits:
        return "to-read"
    return mark.verdict if held.manual is None else "by-hand"


def _waiting(work: Assignment, student: str) -> str:
    """Return in words what is kept of a student's to be looked at, "" if there is nothing."""
    found = [one for one in for_the_eye(work.folder, student, work.slug) if one.came]
    if not found:
        return ""
    photos = all(one.kind == "a photo" for one in found)
    what = "photo" if photos else "file"
    return f"; {len(found)} {what}{'' if len(found) == 1 else 's'} to look at"
