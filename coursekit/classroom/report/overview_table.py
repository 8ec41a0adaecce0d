"""A class at a glance, as tables for the screen."""

from __future__ import annotations

from rich import box
from rich.console import RenderableType
from rich.table import Table

from coursekit.classroom.register import dates, outside_names
from coursekit.classroom.report.overview import LessonState, Overview, StudentState

_COUNTS = {
    "handed_out": "handed\nout",
    "printed": "print-\ned",
    "taken_in": "taken\nin",
    "marked": "mark-\ned",
    "feedback": "feed-\nback",
    "overdue": "over-\ndue",
}
_MOST_IN_WORDS = 3  # lessons; with more of them, symbols stand in place of words
_MOST_BESIDE = 8  # lessons side by side; more of them make another table


def shown(found: Overview) -> list[RenderableType]:
    """Return what the command shows: a line for each lesson, then a line for each student."""
    if not found.lessons:
        count = f"{len(found.names)} student{'' if len(found.names) == 1 else 's'}"
        return [f"{_title(found)}: {count}. Nothing is handed out yet: `coursekit hand-out`."]
    beside = range(0, len(found.lessons), _MOST_BESIDE)
    tables = [_students(found, start) for start in beside]
    return [_lessons(found), *tables, *([_SIGNS] if _in_signs(found) else [])]


def _in_signs(found: Overview) -> bool:
    return len(found.lessons) > _MOST_IN_WORDS


_SIGNS = (
    "–  nothing yet    o  handed out    !  overdue    in  to mark\n"
    "85  per cent of the marks    85?  a part waits for you    85*  newer work lies there\n"
    "'  came late"
)


def _title(found: Overview) -> str:
    return outside_names.shown(found.title)


def _table(title: str) -> Table:
    return Table(title=title, title_justify="left", box=box.SIMPLE_HEAD, padding=0, pad_edge=False)


def _lessons(found: Overview) -> Table:
    table = _table(f"{_title(found)}: {len(found.names)} students")
    table.add_column("", justify="right")
    table.add_column("lesson", no_wrap=True)
    table.add_column("due", no_wrap=True)
    for heading in _COUNTS.values():
        table.add_column(heading, justify="right", no_wrap=True)
    for number, lesson in enumerate(found.lessons, start=1):
        table.add_row(
            str(number),
            lesson.slug,
            local(lesson),
            *(str(lesson.count(c)) for c in _COUNTS),
        )
    return table


def local(lesson: LessonState) -> str:
    """Return in short when a lesson is due by this computer's clock."""
    if lesson.due is None:
        return "–"
    return dates.short(lesson.due)


def _students(found: Overview, start: int) -> Table:
    signs = _in_signs(found)
    table = _table("Who stands where")
    table.add_column("student", no_wrap=True)
    some = list(enumerate(found.lessons, start=1))[start : start + _MOST_BESIDE]
    for number, lesson in some:
        table.add_column(
            str(number) if signs else lesson.slug, justify="right" if signs else "left"
        )
    cell = _sign if signs else _cell
    for id in found.names:
        table.add_row(id, *(cell(lesson, lesson.students[id]) for _, lesson in some))
    return table


def _sign(lesson: LessonState, place: StudentState) -> str:
    """Return how a student stands with a lesson, in a few characters."""
    if place.marked and place.marks is not None:
        share = 100 * place.marks / lesson.out_of if lesson.out_of else 0.0
        sign = f"{share:.0f}" + ("*" if place.stale else "?" if place.waits else "")
    elif place.taken_in:
        sign = "in"
    else:
        sign = "!" if place.overdue else "o" if place.handed_out else "–"
    return sign + ("'" if place.late else "")


def _cell(lesson: LessonState, place: StudentState) -> str:
    words = place.word
    if place.marked and place.marks is not None:
        words = f"{place.marks:.3g} of {lesson.out_of:g}"
        words += "" if place.word == "marked" else f", {place.word}"
    return words + (", late" if place.late else "")
