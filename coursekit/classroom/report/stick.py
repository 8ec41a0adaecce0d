"""One file for a USB stick with lessons, feedback or both, for the whole class or for some."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from zipfile import ZipFile

from coursekit.classroom.handout import zips
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.marking.marked_work import has_newer_work
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.report import feedback, feedback_mail


@dataclass(frozen=True)
class Stick:
    """The file, the students in it, and those who have nothing of a lesson in it: (slug, id)."""

    file: Path
    students: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]


def make(
    folder: ClassFolder, lessons: Sequence[Assignment], marked: Sequence[str], target: Path
) -> Stick:
    """Make the file for the students of `folder`, who may be some of the class alone.

    It holds what was handed out of the `lessons`, and feedback on the exercises `marked`, a folder
    for each student. It is written as a whole or not at all.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{target.name}.part")
    part.unlink(missing_ok=True)
    there: set[tuple[str, str]] = set()
    try:
        ZipFile(part, "w").close()
        for work in lessons:
            there |= {(work.slug, id) for id in _lesson(folder, work, part)}
        for slug in marked:
            there |= {(slug, id) for id in _feedback(folder, slug, part)}
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    slugs = dict.fromkeys([*(work.slug for work in lessons), *marked])
    missing = [(slug, s.id) for slug in slugs for s in folder.students if (slug, s.id) not in there]
    some = {id for _, id in there}
    return Stick(target, tuple(s.id for s in folder.students if s.id in some), tuple(missing))


def _lesson(folder: ClassFolder, work: Assignment, part: Path) -> set[str]:
    """Add a lesson as it lies on the class's stick; return whose folders were added."""
    stick, ids = zips.stick_of(work), {s.id for s in folder.students}
    if not stick.is_file():
        return set()
    with ZipFile(stick) as whole:
        names = {name: name.split("/")[1] for name in whole.namelist()}
        shared = (zips.PAGES, zips.READ_ME)
        zips.add(part, {n: whole.read(n) for n, at in names.items() if at in ids or at in shared})
    return ids & set(names.values())


def _feedback(folder: ClassFolder, slug: str, part: Path) -> set[str]:
    """Add the feedback pages on an exercise, each whole in one file; return whose were added."""
    pages = {
        id: page.read_text(encoding="utf-8")
        for id in feedback.marked_students(folder, slug)
        if (page := folder.feedback(id, slug) / f"{slug}.html").is_file()
        and not has_newer_work(folder, id, slug)
    }
    name = f"{slug}/{{}}/feedback.html"
    zips.add(part, {name.format(id): feedback_mail.whole(t).encode() for id, t in pages.items()})
    return set(pages)
