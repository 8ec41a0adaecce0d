"""How the desk says things: titles for slugs, names for ids, counts and dates in words."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime

from coursekit.classroom.bank import exercises
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register.class_folder import ClassFolder


def title(view: FormClass, slug: str) -> str:
    """Return the lesson's title, or its slug if it has none."""
    return exercises.title(slug, view.root)


def names(folder: ClassFolder) -> dict[str, str]:
    """Return id → what to call the student: the name, with the id where two share one."""
    often = Counter(s.name for s in folder.students)
    return {
        s.id: s.name if s.name == s.id or often[s.name] == 1 else f"{s.name} ({s.id})"
        for s in folder.students
    }


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
    """Return a moment (UTC without a zone) as the day that it is here, in the system's words."""
    if moment is None:
        return ""
    here = moment.replace(tzinfo=UTC).astimezone()
    return f"{here:%A} {here.day} {here:%B}"
