"""The course's lessons as a page offers them: first those that are out, then in course order."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from coursekit.book import evenings
from coursekit.book.lesson import lessons
from coursekit.classroom.bank import exercises, lesson_names
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.report import overview

OUT, NOT_OUT = "Handed out", "Not handed out yet"
Group = tuple[str, tuple[tuple[str, str], ...]]


def in_order(root: Path) -> tuple[str, ...]:
    """Return every lesson that has an exercise: by the plan of evenings, the book, the name."""
    there = exercises.slugs(root)
    found: list[str] = []
    # a course may have no plan, or one that is being written
    with suppress(AuthoringError, OSError, KeyError, TypeError):
        found += [slug for evening in evenings.plan(root).evenings for slug in evening.home]
    with suppress(OSError, KeyError, TypeError):
        found += lessons(root)
    return tuple(slug for slug in dict.fromkeys([*found, *there]) if slug in there)


def groups(view: FormClass) -> tuple[Group, ...]:
    """Return the lessons in groups (what the group is, ((slug, title), …)).

    First those in use, the newest first, then the others in the order of the course; an empty group
    is left out. A lesson whose exercise has a mistake is among them: whoever opens it is told.
    """
    order = in_order(view.root)
    out = [slug for slug in reversed(overview.in_use(view.folder)) if slug in order]
    rest = [slug for slug in order if slug not in out]
    titles = lesson_names.titles(view.root)
    found = ((OUT, out), (NOT_OUT, rest))
    return tuple((what, tuple((s, titles[s]) for s in some)) for what, some in found if some)
