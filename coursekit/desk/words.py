"""How the desk says things: titles for slugs, names for ids, counts and dates in words."""

from __future__ import annotations

from datetime import datetime

from coursekit.classroom.bank import lesson_names
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register import dates
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.names import called


def title(view: FormClass, slug: str) -> str:
    """Return the lesson's title, or its slug if the course has no such lesson."""
    return lesson_names.title(slug, view.root)


def names(folder: ClassFolder) -> dict[str, str]:
    """Return id → what to call the student: the name, with the id where two share one."""
    return called(folder.students)


def many(count: int, one: str, more: str = "") -> str:
    """Return a count with its noun.

    >>> many(1, "sheet"), many(7, "sheet"), many(2, "copy", "copies")
    ('1 sheet', '7 sheets', '2 copies')
    """
    return f"{count} {one if count == 1 else more or one + 's'}"


def listed(some: list[str]) -> str:
    """Return names as a sentence has them.

    >>> listed(["Ann"]), listed(["Ann", "Ben", "Cem"])
    ('Ann', 'Ann, Ben and Cem')
    """
    return " and ".join(filter(None, (", ".join(some[:-1]), *some[-1:])))


def day(moment: datetime | None) -> str:
    """Return a moment (UTC without a zone) as the day that it is here, as the system writes it."""
    return "" if moment is None else dates.day(moment)


def when(moment: datetime | None) -> str:
    """Return a moment (UTC without a zone) as day and hour here, as the system writes them."""
    return "" if moment is None else dates.shown(moment)


def marks(count: float) -> str:
    """Return marks with no more digits than they need.

    >>> marks(12.0), marks(7.25), marks(10 / 3)
    ('12', '7.25', '3.33')
    """
    return f"{round(count, 2):g}"
