"""A class at a glance: what was handed out to each student, what came back, is marked or is due."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.gradebook import due, read_only, reader
from coursekit.classroom.marking.marked_work import has_newer_work, is_by_other_rules
from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report.files_there import Files, FilesThere
from coursekit.classroom.report.made_from import is_old


@dataclass(frozen=True)
class StudentState:
    """How one student stands with one exercise.

    `came` is when the work came, in UTC without a zone, or None if that is not known. `stale` says
    that newer work is there than was marked, or that the class has changed a question since;
    `waits` says that a person must still mark a part, and `to_read` how many answers.
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
    to_read: int = 0
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
    files = FilesThere(folder)
    slugs = [slug for slug in in_use(folder, files) if not only or slug in only]
    dues = due.due_times(folder, slugs)
    marks = _marks(folder)
    lessons = []
    for slug in slugs:
        held = marks.get(slug)
        standings = held.standings if held else {}
        when = dues.get(slug)
        places = {
            s.id: _state(files, slug, s.id, standings.get(s.id), when, now) for s in folder.students
        }
        lessons.append(LessonState(slug, held.out_of if held else None, when, places))
    return Overview(folder.title, {s.id: s.name for s in folder.students}, tuple(lessons))


_kept: dict[Path, tuple[object, Mapping[str, reader.LessonMarks]]] = {}


def _marks(folder: ClassFolder) -> Mapping[str, reader.LessonMarks]:
    """Return what the gradebook holds; it is read again only if it was written since."""
    state = read_only.state(folder)
    held = _kept.get(folder.path)
    if held is None or state is None or held[0] != state:
        with read_only.reading(folder) as book:
            held = state, reader.lessons(book)
        _kept.clear()  # one class at a time is looked at
        _kept[folder.path] = held
    return held[1]


def in_use(folder: ClassFolder, files: FilesThere | None = None) -> list[str]:
    """Return the exercises that this class uses: released, handed in or given a due time.

    They come in the order in which they were first handed out, then by due time, then by name.
    """
    files = files or FilesThere(folder)
    found = {*files.folders("release"), *folder.due}
    for student in folder.students:
        with suppress(OSError):  # each of the student's lessons will say why
            found.update(files.folders("submitted", student.id))

    def order(slug: str) -> tuple[str, float, str]:
        note = folder.made / f"{slug}.first"
        first = note.read_text(encoding="utf-8") if note.is_file() else "~"
        when = folder.due.get(slug)
        return (first, when.timestamp() if when else float("inf"), slug)

    return sorted(found, key=order)


def _state(files: FilesThere, slug: str, student: str, *facts: Any) -> StudentState:
    """Return how a student stands; if their files can't be read, only why not."""
    troubles: list[str] = []
    with one_piece(troubles.append):
        return _place(files, slug, student, *facts)
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
    files: FilesThere,
    slug: str,
    student: str,
    held: reader.Standing | None,
    when: datetime | None,
    now: datetime,
) -> StudentState:
    there = files.of(student, slug)
    marks = None if held is None or not held.questions else held.total
    marked = there.record_at is not None and marks is not None
    to_read = held.to_read if held and marked else 0
    return StudentState(
        handed_out=there.handed_out,
        taken_in=there.handed_in,
        came=there.came,
        marked=marked,
        stale=marked and _is_stale(files.folder, student, slug, there),
        marks=marks if marked else None,
        waits=to_read > 0,
        printed=there.printed,
        overdue=when is not None and not there.handed_in and now > when,
        late=when is not None and there.came is not None and there.came > when,
        feedback=there.page_at is not None,
        feedback_old=marked and _is_page_old(files.folder, student, slug, there, held),
        to_read=to_read,
    )


def _is_stale(folder: ClassFolder, student: str, slug: str, there: Files) -> bool:
    newer = (there.work_at or 0.0) > (there.record_at or 0.0)
    return (newer and has_newer_work(folder, student, slug)) or is_by_other_rules(
        folder, student, slug
    )


def _is_page_old(
    folder: ClassFolder, student: str, slug: str, there: Files, held: reader.Standing | None
) -> bool:
    if held is None or there.page_at is None:
        return False
    page = folder.feedback(student, slug) / f"{slug}.html"
    return is_old(page, held, folder.autograded(student, slug) / RECORD)
