"""The versions of a student's work, as the instructor sees them, and how one is chosen."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from coursekit.classroom.intake import kept_versions, which_counts
from coursekit.classroom.intake.which_counts import Version
from coursekit.classroom.intake.worth import ASK_AGAIN
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassError, ClassFolder


@dataclass(frozen=True)
class Listed:
    """A kept version: its number, when it came (UTC), where from, and whether it counts.

    `why` says what is wrong with it, or why another counts. `copy` is the number of a copy of saved
    answers and `saved` its own word on when it was saved; both are empty for other work.
    """

    number: int
    came: datetime
    source: str
    by: str
    answers: int
    counts: bool
    why: str
    copy: str = ""
    saved: str = ""

    def as_json(self) -> dict[str, Any]:
        """Return the same with the time as text."""
        return asdict(self) | {"came": f"{self.came:%Y-%m-%dT%H:%M:%SZ}"}


def versions(folder: ClassFolder, student: str, slug: str) -> list[Listed]:
    """Return the versions of a student's work on an exercise; ClassError if there are none."""
    student = folder.student(student).id
    there = kept_versions.versions(folder, student, slug)
    if not there:
        raise ClassError(
            f"{student}: work on {slug} must have been taken in before a version of it can count; "
            "there is none. Look at the names."
        )
    standing = which_counts.standing(folder, slug, there)
    listed = []
    for number, path in enumerate(there, start=1):
        one = Version(folder, slug, path)
        reason = standing.why_not.get(path, "")
        trouble = one.worth.trouble
        why = [reason if reason.startswith(trouble.removesuffix(ASK_AGAIN)) else trouble, reason]
        if path == standing.counts == standing.chosen:
            why.append("it was chosen")
        said = "; ".join(dict.fromkeys(filter(None, why)))
        source, by = (str(one.origin.get(name, "?")) for name in ("source", "by"))
        by = f"by {by}" if by.startswith(("its ", "the ")) else by
        came = kept_versions.came_of(path)
        counts = path == standing.counts
        copy, saved = (str(one.origin.get(name, "")) for name in ("copy", "saved"))
        listed.append(
            Listed(number, came, source, by, one.worth.answers, counts, said, copy, saved)
        )
    return listed


def use(folder: ClassFolder, student: str, slug: str, number: int) -> None:
    """Let a version count, by its number in `versions`, and submit it.

    It counts until work that is handed in later takes its place. Raises ClassError if there is no
    such version, or if the class is being marked.
    """
    student = folder.student(student).id
    versions(folder, student, slug)
    with lock_and_backup.only_writer(folder):
        chosen = which_counts.by_number(kept_versions.versions(folder, student, slug), number)
        kept_versions.keep_what_was_put_there(folder, student, slug)
        which_counts.choose(kept_versions.versions(folder, student, slug), chosen)
        kept_versions.submit_what_counts(folder, student, slug)
