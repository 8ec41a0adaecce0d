"""Who owes what, in words to paste into a message."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from coursekit.classroom.bank import lesson_names
from coursekit.classroom.register import dates
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
        return f"- {self.title}, {'was ' if self.overdue else ''}due on {dates.shown(self.due)}"


def owed(
    folder: ClassFolder, root: Path, *, all_open: bool = False, now: datetime | None = None
) -> dict[str, tuple[Owed, ...]]:
    """Return student → what is overdue and, with `all_open`, everything else not yet handed in.

    Students who owe nothing are left out.
    """
    return owed_in(overview.overview(folder, now), root, all_open=all_open)


def owed_in(
    found: overview.Overview, root: Path, *, all_open: bool = False
) -> dict[str, tuple[Owed, ...]]:
    """Return the same of a class that was looked at already."""
    titles = {one.slug: lesson_names.title(one.slug, root) for one in found.lessons}
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


def nothing_owed(found: overview.Overview, *, all_open: bool = False) -> str:
    """Return in a sentence why nobody is reminded: by what was looked at, nobody owes anything."""
    if all_open:
        there = any(one.count("handed_out") for one in found.lessons)
        return "Nobody owes anything." if there else "Nothing is handed out yet."
    if not any(one.due for one in found.lessons):
        return "No lesson has a due date. `coursekit class due` sets one."
    return "Nothing is overdue."


def without_date(found: overview.Overview, root: Path) -> str:
    """Return in a sentence which lessons are out without a due date, while others have one."""
    out = [one.slug for one in found.lessons if one.due is None and one.count("handed_out")]
    if not out or not any(one.due for one in found.lessons):
        return ""
    names = ", ".join(lesson_names.title(slug, root) for slug in out)
    return f"Handed out without a due date, so never overdue: {names}."


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
