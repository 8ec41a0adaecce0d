"""Who owes what, in words to paste into a message."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.report import overview


@dataclass(frozen=True)
class Owed:
    """One exercise that a student has not handed in, when it is due (UTC), and if it is overdue."""

    slug: str
    title: str
    due: datetime | None
    overdue: bool

    @property
    def line(self) -> str:
        """What is owed, in one line, with the time by this computer's clock."""
        if self.due is None:
            return f"- {self.title}"
        local = self.due.replace(tzinfo=UTC).astimezone()
        when = f"{local.day} {local:%B %Y, %H:%M}"
        return f"- {self.title}, {'was ' if self.overdue else ''}due on {when}"


def owed(
    folder: ClassFolder, root: Path, *, all_open: bool = False, now: datetime | None = None
) -> dict[str, tuple[Owed, ...]]:
    """Return student → what is overdue and, with `all_open`, everything else not yet handed in.

    Students who owe nothing are left out.
    """
    found = overview.overview(folder, now)
    titles = {lesson.slug: _title(lesson.slug, root) for lesson in found.lessons}
    owed: dict[str, tuple[Owed, ...]] = {}
    for student in found.names:
        some = tuple(
            Owed(lesson.slug, titles[lesson.slug], lesson.due, place.overdue)
            for lesson in found.lessons
            if (place := lesson.students[student]).overdue
            or (all_open and place.handed_out and not place.taken_in)
        )
        if some:
            owed[student] = some
    return owed


def _title(slug: str, root: Path) -> str:
    try:
        return exercises.load(slug, root).title
    except AuthoringError:
        return slug


def messages(found: Mapping[str, tuple[Owed, ...]], names: Mapping[str, str]) -> str:
    """Return a message for each student who owes something, one after another."""
    parts = []
    for student, some in found.items():
        lines = "\n".join(one.line for one in some)
        work = "these are" if len(some) > 1 else "this is"
        parts.append(
            f"{names[student]},\n{work} still missing from you:\n{lines}\n"
            "Send the notebook as it is, or bring your worksheet; half of it is better than "
            "nothing."
        )
    return "\n\n".join(parts)
