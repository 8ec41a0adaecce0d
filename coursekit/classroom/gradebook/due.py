"""Due times of a class's exercises: kept in `class.toml`, followed by nbgrader's gradebook."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from datetime import UTC, datetime, timedelta

from coursekit.classroom.gradebook import late_work, opener, read_only, reader
from coursekit.classroom.register import class_toml, dates
from coursekit.classroom.register.class_folder import ClassFolder, load, write_text

_NEAR = timedelta(days=200)  # a due time lies no farther ahead


def set_due(folder: ClassFolder, slug: str, moment: datetime | None) -> ClassFolder:
    """Return the class with `slug` due at `moment`, or never if it is None.

    Both `class.toml` and the gradebook are changed, and with them what late work has lost.
    """
    file = folder.path / "class.toml"
    value = None if moment is None else class_toml.quoted(moment.isoformat())
    write_text(file, class_toml.put(file, "due", slug, value))
    changed = load(folder.path)
    if _follow(changed, slug, moment):
        late_work.renew(changed, slug)
    return changed


def is_over(title: str, moment: datetime, now: datetime | None = None) -> str:
    """Return in a sentence that a lesson's due time is over; "" for one that is yet to come.

    Where the same day a year or more later is near, it asks whether that was meant.
    """
    now = now or datetime.now(UTC)
    if moment >= now:
        return ""
    days = (now - moment).days
    ago = f"{days} day{'' if days == 1 else 's'} ago" if days else "today"
    asks = ""
    for year in range(moment.year + 1, now.year + 2):
        with suppress(ValueError):  # 29 February
            if timedelta() <= moment.replace(year=year) - now < _NEAR:
                asks = f" Did you mean {year}?"
    return (
        f"The due time of {title} must be yet to come; got {dates.shown(moment)}, which was {ago}."
        f"{asks}"
    )


def follow(folder: ClassFolder, slug: str) -> None:
    """Give the gradebook the due time that `class.toml` has for `slug`.

    If it has none, the gradebook stays as it is, so a time set by hand in formgrader remains.
    """
    if slug in folder.due:
        _follow(folder, slug, folder.due[slug])


def _follow(folder: ClassFolder, slug: str, moment: datetime | None) -> bool:
    """Give the gradebook a due time; return whether it had another."""
    wanted = None if moment is None else class_toml.as_utc(moment)
    with read_only.reading(folder) as book:
        held = reader.due_times(book)
    if slug not in held or held[slug] == wanted:
        return False  # an exercise that isn't handed out yet gets its due time when it is
    with opener.gradebook(folder) as book:
        book.find_assignment(slug).duedate = wanted
        book.db.commit()
    return True


def due_times(folder: ClassFolder, slugs: Iterable[str]) -> dict[str, datetime]:
    """Return slug → due time, UTC without zone: from `class.toml`, else as set in formgrader."""
    found = {slug: class_toml.as_utc(moment) for slug, moment in folder.due.items()}
    if others := set(slugs) - set(found):
        with read_only.reading(folder) as book:
            by_hand = reader.due_times(book)
        found |= {slug: due for slug in others if (due := by_hand.get(slug))}
    return found
