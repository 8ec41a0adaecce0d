"""A class at a glance: what was handed out to each student, what came back, is marked or is due."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.gradebook import due, read_only, reader
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.intake.safe_reading import read_regular
from coursekit.classroom.marking.marked_work import has_newer_work, is_by_other_rules
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report.made_from import is_old


@dataclass(frozen=True)
class StudentState:
    """How one student stands with one exercise.

    `came` is when the work came, in UTC without a zone, or None if that is not known. `stale` says
    that newer work is there than was marked, or that the class has changed a question since;
    `waits` says that a person must still mark a part.
    `feedback_old` says that the feedback page was made from other marks than there are now.
    `trouble` says why the files could not be read, or "" if they could.
    """

    handed_out: bool = False
    taken_in: bool = False
    came: datetime | None = None
    marked: bool = False
    stale: bool = False
    marks: float | None = None
    waits: bool = False
    printed: bool = False
    overdue: bool = False
    late: bool = False
    feedback: bool = False
    feedback_old: bool = False
    trouble: str = ""

    @property
    def word(self) -> str:
        """The furthest that the work has come, in a word or two."""
        if self.marked and not self.stale:
            return "to read" if self.waits else "marked"
        if self.taken_in:
            return "to mark again" if self.stale else "to mark"
        if self.overdue:
            return "overdue"
        return "handed out" if self.handed_out else "–"


@dataclass(frozen=True)
class LessonState:
    """One exercise in a class: its marks, when it is due (UTC), how each student stands."""

    slug: str
    out_of: float | None
    due: datetime | None
    students: Mapping[str, StudentState]

    @property
    def old_feedback(self) -> list[str]:
        """The students whose feedback page is older than their marks."""
        return [student for student, place in self.students.items() if place.feedback_old]

    def count(self, what: str) -> int:
        """Return how many students have `what`, one of the names in `StudentState`."""
        return sum(bool(getattr(place, what)) for place in self.students.values())


@dataclass(frozen=True)
class Overview:
    """A whole class at one moment."""

    title: str
    names: Mapping[str, str]
    lessons: tuple[LessonState, ...]

    def as_json(self) -> dict[str, Any]:
        """Return the same as plain mappings, lists, texts and numbers."""
        return {
            "class": self.title,
            "students": [{"id": id, "name": name} for id, name in self.names.items()],
            "lessons": [
                {
                    "exercise": lesson.slug,
                    "out_of": lesson.out_of,
                    "due": said(lesson.due),
                    "students": {id: _as_json(place) for id, place in lesson.students.items()},
                }
                for lesson in self.lessons
            ],
        }


def _as_json(place: StudentState) -> dict[str, Any]:
    found = asdict(place) | {"came": said(place.came), "state": place.word}
    if not place.trouble:
        del found["trouble"]
    return found


def said(moment: datetime | None) -> str | None:
    """Return a time in UTC as text that programs read."""
    return None if moment is None else moment.isoformat(timespec="seconds") + "Z"


def overview(
    folder: ClassFolder, now: datetime | None = None, only: Sequence[str] = ()
) -> Overview:
    """Return how the class stands at `now` (UTC without zone), by default at this moment.

    With `only` it is of these lessons alone.
    """
    now = now or datetime.now(UTC).replace(tzinfo=None)
    slugs = [slug for slug in in_use(folder) if not only or slug in only]
    dues = due.due_times(folder, slugs)
    with read_only.reading(folder) as book:
        held = {slug: _held(book, slug) for slug in slugs}
    lessons = []
    for slug in slugs:
        out_of, marks = held[slug]
        when = dues.get(slug)
        paper = paper_places.printed(folder, slug)
        places = {
            s.id: _state(folder, slug, s.id, marks.get(s.id), s.id in paper, when, now)
            for s in folder.students
        }
        lessons.append(LessonState(slug, out_of, when, places))
    return Overview(folder.title, {s.id: s.name for s in folder.students}, tuple(lessons))


def in_use(folder: ClassFolder) -> list[str]:
    """Return the exercises that this class uses: released, handed in or given a due time.

    They come in the order in which they were first handed out, then by due time, then by name.
    """
    found = {p.name for p in _folders(folder.path / "release")} | set(folder.due)
    for student in folder.students:
        found |= {p.name for p in _folders(folder.path / "submitted" / student.id)}

    def order(slug: str) -> tuple[str, float, str]:
        note = folder.made / f"{slug}.first"
        first = note.read_text(encoding="utf-8") if note.is_file() else "~"
        when = folder.due.get(slug)
        return (first, when.timestamp() if when else float("inf"), slug)

    return sorted(found, key=order)


def _folders(path: Path) -> Iterable[Path]:
    return (p for p in path.iterdir() if p.is_dir()) if path.is_dir() else ()


def _held(book: Any, slug: str) -> tuple[float | None, dict[str, reader.Standing]]:
    """Return what the gradebook holds of an exercise: marks in all, and each student's standing.

    Marks are added up later, for one student at a time, so that a mark that is not a number spoils
    only that student's total.
    """
    if not reader.knows(book, slug):
        return None, {}
    return reader.out_of(book, slug), reader.standings(book, slug)


def _state(folder: ClassFolder, slug: str, student: str, *facts: Any) -> StudentState:
    """Return how a student stands; if their files can't be read, only why not."""
    troubles: list[str] = []
    with one_piece(troubles.append):
        return _place(folder, slug, student, *facts)
    return StudentState(taken_in=True, trouble=troubles[0])


def old_feedback(lessons: Iterable[LessonState]) -> list[str]:
    """Return a line for each lesson with feedback older than its marks: whose it is, what to do."""
    return [
        f"{lesson.slug}: the feedback of {listed(old)} is older than the marks. "
        f"`coursekit feedback {lesson.slug}`."
        for lesson in lessons
        if (old := lesson.old_feedback)
    ]


def listed(ids: list[str]) -> str:
    """Return up to three ids, and how many more there are."""
    more = f" and {len(ids) - 3} more" if len(ids) > 3 else ""
    return f"{', '.join(ids[:3])}{more}"


def troubles(lessons: Iterable[LessonState]) -> list[str]:
    """Return a line for each student and exercise whose files could not be read."""
    return [
        left_line(student, lesson.slug, place.trouble)
        for lesson in lessons
        for student, place in lesson.students.items()
        if place.trouble
    ]


def _place(
    folder: ClassFolder,
    slug: str,
    student: str,
    held: reader.Standing | None,
    printed: bool,
    when: datetime | None,
    now: datetime,
) -> StudentState:
    work = folder.submitted(student, slug)
    record = folder.autograded(student, slug) / RECORD
    there = work.is_dir() and any(work.iterdir())
    came = time_of((read_regular(work / STAMP_FILE, 200) or b"").decode("utf-8", "replace"))
    page = folder.feedback(student, slug) / f"{slug}.html"
    marks = None if held is None or not held.questions else held.total
    marked = record.is_file() and marks is not None
    feedback = page.is_file()
    return StudentState(
        handed_out=folder.bundle(student, slug).is_dir(),
        taken_in=there,
        came=came,
        marked=marked,
        stale=marked
        and (has_newer_work(folder, student, slug) or is_by_other_rules(folder, student, slug)),
        marks=marks if marked else None,
        waits=marked and held is not None and held.waits,
        printed=printed,
        overdue=when is not None and not there and now > when,
        late=when is not None and came is not None and came > when,
        feedback=feedback,
        feedback_old=marked and feedback and held is not None and is_old(page, held, record),
    )
