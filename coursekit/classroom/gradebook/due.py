"""Due times of a class's exercises: kept in `class.toml`, followed by nbgrader's gradebook."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from coursekit.classroom.gradebook import reader
from coursekit.classroom.register import class_toml
from coursekit.classroom.register.class_folder import ClassFolder, load, write_text


def set_due(folder: ClassFolder, slug: str, moment: datetime | None) -> ClassFolder:
    """Return the class with `slug` due at `moment`, or at no time for None; the gradebook follows."""
    file = folder.path / "class.toml"
    value = None if moment is None else class_toml.quoted(moment.isoformat())
    write_text(file, class_toml.put(file, "due", slug, value))
    changed = load(folder.path)
    with reader.gradebook(changed) as book:
        _follow(book, slug, moment)
    return changed


def follow(folder: ClassFolder, slug: str) -> None:
    """Give the gradebook the due time of `slug` that the class has; one set by hand there stays.

    A class that has none for `slug` leaves the gradebook as it is.
    """
    if slug in folder.due:
        with reader.gradebook(folder) as book:
            _follow(book, slug, folder.due[slug])


def _follow(book: Any, slug: str, moment: datetime | None) -> None:
    from nbgrader.api import MissingEntry

    try:
        assignment = book.find_assignment(slug)
    except MissingEntry:
        return  # it follows when the exercise is handed out
    wanted = None if moment is None else class_toml.as_utc(moment)
    if assignment.duedate != wanted:
        assignment.duedate = wanted
        book.db.commit()


def due_times(folder: ClassFolder, slugs: Iterable[str]) -> dict[str, datetime]:
    """Return slug → due time, UTC without zone: the class's own, else one set by hand in formgrader."""
    from nbgrader.api import MissingEntry

    found = {slug: class_toml.as_utc(moment) for slug, moment in folder.due.items()}
    with reader.gradebook(folder) as book:
        for slug in set(slugs) - set(found):
            try:
                moment = book.find_assignment(slug).duedate
            except MissingEntry:
                continue
            if moment is not None:
                found[slug] = moment
    return found
