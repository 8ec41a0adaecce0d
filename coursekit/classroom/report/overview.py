"""A class at a glance: what was handed out to each student, what came back, is marked or is due."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.gradebook import due, read_only, reader
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.intake.safe_reading import read_regular
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report import newer_work

_Marks = tuple[tuple[reader.QuestionMarks, ...], float]  # each question's, the late penalty


@dataclass(frozen=True)
class StudentState:
    """How one student stands with one exercise.

    `came` is when the work came, in UTC without a zone, or None if that is not known. `stale` says
    that newer work is there than was marked, and `waits` that a person must still mark a part.
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


def overview(folder: ClassFolder, now: datetime | None = None) -> Overview:
    """Return how the class stands at `now` (UTC without zone), by default at this moment."""
    now = now or datetime.now(UTC).replace(tzinfo=None)
    slugs = in_use(folder)
    dues = due.due_times(folder, slugs)
    with read_only.reading(folder) as book:
        held = {slug: _held(book, slug) for slug in slugs}
    lessons = []
    for slug in slugs:
        out_of, marks, waiting = held[slug]
        when = dues.get(slug)
        paper = paper_places.printed(folder, slug)
        places = {}
        for id in (s.id for s in folder.students):
            facts = (marks.get(id), id in waiting, id in paper, when, now)
            places[id] = _state(folder, slug, id, *facts)
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


def _held(book: Any, slug: str) -> tuple[float | None, dict[str, _Marks], set[str]]:
    """Return what the gradebook holds of an exercise: marks in all, each student's, who waits.

    A student's marks are those of each question and the late penalty. They are added up later, for
    one student at a time, so that a mark that is not a number spoils only that student's total.
    """
    if not reader.knows(book, slug):
        return None, {}, set()
    late = reader.late_penalties(book, slug)
    marks = {
        student: (tuple(some.values()), late.get(student, 0.0))
        for student, some in reader.questions(book, slug).items()
    }
    return reader.out_of(book, slug), marks, reader.waiting(book, slug)


def _state(folder: ClassFolder, slug: str, student: str, *facts: Any) -> StudentState:
    """Return how a student stands; if their files can't be read, only why not."""
    troubles: list[str] = []
    with one_piece(troubles.append):
        return _place(folder, slug, student, *facts)
    return StudentState(taken_in=True, trouble=troubles[0])


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
    held: _Marks | None,
    waits: bool,
    printed: bool,
    when: datetime | None,
    now: datetime,
) -> StudentState:
    work = folder.submitted(student, slug)
    record = folder.autograded(student, slug) / RECORD
    there = work.is_dir() and any(work.iterdir())
    came = time_of((read_regular(work / STAMP_FILE, 200) or b"").decode("utf-8", "replace"))
    marks = None if held is None else sum(q.marks for q in held[0]) - held[1]
    marked = record.is_file() and marks is not None
    return StudentState(
        handed_out=folder.bundle(student, slug).is_dir(),
        taken_in=there,
        came=came,
        marked=marked,
        stale=marked and newer_work.is_there(folder, slug, student),
        marks=marks if marked else None,
        waits=marked and waits,
        printed=printed,
        overdue=when is not None and not there and now > when,
        late=when is not None and came is not None and came > when,
        feedback=(folder.feedback(student, slug) / f"{slug}.html").is_file(),
    )
