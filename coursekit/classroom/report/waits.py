"""Who owes what, and what waits for the instructor: both from how every student stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.intake.for_the_eye import ANY, FOLDER, for_the_eye
from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.report.overview import LessonState, StudentState


@dataclass(frozen=True)
class Owing:
    """A lesson that students have not handed in, by the names that the page calls them.

    `due` is UTC, or None if the lesson has no due time. `overdue` says whether that has passed.
    """

    lesson: str
    due: datetime | None
    overdue: bool
    students: tuple[str, ...]


@dataclass(frozen=True)
class Waiting:
    """What waits for the instructor at one lesson ("" for none), and whose it is.

    `what` is "to read" (`count` written answers), "to mark" (that many students' work), "to look
    at" (files that nobody has marked since they came) or "can't be read" (handed-in work, `why`).
    """

    what: str
    lesson: str
    students: tuple[str, ...]
    count: int
    why: str = ""


def owing(
    lessons: Sequence[LessonState], titles: Mapping[str, str], names: Mapping[str, str]
) -> Iterable[Owing]:
    """Yield the lessons that somebody has not handed in, those that are overdue first."""
    for overdue in (True, False):
        for lesson in lessons:
            out = [s for s, p in lesson.students.items() if _is_out(p) and p.overdue == overdue]
            if out:
                yield Owing(titles[lesson.slug], lesson.due, overdue, _named(out, names))


def _is_out(place: StudentState) -> bool:
    return place.overdue or (place.handed_out and not place.taken_in)


def _named(students: Iterable[str], names: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(names[s] for s in students if s in names)


def waiting(
    folder: ClassFolder,
    lessons: Sequence[LessonState],
    titles: Mapping[str, str],
    names: Mapping[str, str],
) -> Iterable[Waiting]:
    """Yield what waits for the instructor: to read, to mark, what can't be read, to look at."""
    for lesson in lessons:
        waits = [s for s, p in lesson.students.items() if p.waits and not p.stale]
        if waits:
            count = _sentences(folder, lesson.slug, waits)
            yield Waiting("to read", titles[lesson.slug], _named(waits, names), count)
    for lesson in lessons:
        fresh = [
            s
            for s, p in lesson.students.items()
            if p.taken_in and (p.stale or not p.marked) and not p.trouble
        ]
        if fresh:
            yield Waiting("to mark", titles[lesson.slug], _named(fresh, names), len(fresh))
    for lesson in lessons:
        for student, place in lesson.students.items():
            if place.trouble:
                whose = _named([student], names)
                yield Waiting("can't be read", titles[lesson.slug], whose, 1, place.trouble)
    yield from _files(folder, titles, names)


def _sentences(folder: ClassFolder, slug: str, students: Sequence[str]) -> int:
    """Return how many written answers of these students nobody has marked yet."""
    with read_only.reading(folder) as book:
        held = reader.questions(book, slug)
    return sum(q.sure is None for s in students for q in held.get(s, {}).values())


def _files(
    folder: ClassFolder, titles: Mapping[str, str], names: Mapping[str, str]
) -> Iterable[Waiting]:
    """Yield the files to look at that came since the student's work was last marked."""
    found: dict[str, dict[str, int]] = {}
    for place in sorted((folder.path / FOLDER).glob("*/*")):
        student, slug = place.parent.name, place.name
        if student not in names or (slug != ANY and slug not in titles):
            continue
        marked = _last_marked(folder, student, [slug] if slug != ANY else list(titles))
        kept = {f.path: f.came for f in for_the_eye(folder, student, slug) if f.came}
        count = sum(came > marked for path, came in kept.items() if path.parent == place)
        if count:
            found.setdefault(slug, {})[student] = count
    for slug, counts in found.items():
        lesson = titles.get(slug, "")
        yield Waiting("to look at", lesson, _named(counts, names), sum(counts.values()))


def _last_marked(folder: ClassFolder, student: str, slugs: Sequence[str]) -> datetime:
    """Return when one of these exercises of a student's was last marked, UTC without a zone."""
    records = [folder.autograded(student, slug) / RECORD for slug in slugs]
    times = [r.stat().st_mtime for r in records if r.is_file()]
    return datetime.fromtimestamp(max(times, default=0.0), UTC).replace(tzinfo=None)
