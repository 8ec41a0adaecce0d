"""A class at a glance, as tables for the screen."""

from __future__ import annotations

from rich.console import RenderableType
from rich.table import Table

from coursekit.classroom.overview import Lesson, Overview, Place

_COUNTS = ("handed_out", "printed", "taken_in", "marked", "feedback", "overdue")


def shown(found: Overview) -> list[RenderableType]:
    """Return what the command shows: a line a lesson, then a line a student."""
    if not found.lessons:
        count = f"{len(found.names)} student{'' if len(found.names) == 1 else 's'}"
        return [f"{found.title}: {count}. Nothing is handed out yet: `coursekit hand-out`."]
    return [_lessons(found), _students(found)]


def _lessons(found: Overview) -> Table:
    table = Table(title=f"{found.title}: {len(found.names)} students", title_justify="left")
    table.add_column("lesson")
    table.add_column("due (UTC)")
    for name in _COUNTS:
        table.add_column(name.replace("_", " "), justify="right")
    for lesson in found.lessons:
        when = f"{lesson.due:%Y-%m-%d %H:%M}" if lesson.due else "–"
        table.add_row(lesson.slug, when, *(str(lesson.count(c)) for c in _COUNTS))
    return table


def _students(found: Overview) -> Table:
    table = Table(title="Who stands where", title_justify="left")
    table.add_column("student")
    for lesson in found.lessons:
        table.add_column(lesson.slug)
    for id in found.names:
        table.add_row(id, *(_cell(lesson, lesson.students[id]) for lesson in found.lessons))
    return table


def _cell(lesson: Lesson, place: Place) -> str:
    words = place.word
    if place.marked and place.marks is not None:
        words = f"{place.marks:g} of {lesson.out_of:g}" + (
            "" if words == "marked" else f", {words}"
        )
    more = [", late"] if place.late else []
    if place.handed_out and not place.printed and not place.taken_in:
        more.append(", not printed")
    return words + "".join(more)
