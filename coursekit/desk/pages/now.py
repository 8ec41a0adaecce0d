"""The first page: what waits for the instructor, in sentences, and the class as a grid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from urllib.parse import urlencode

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.intake import drops, for_the_eye
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.report.overview import LessonState, Overview, StudentState, overview
from coursekit.desk import words
from coursekit.desk.page import DeskPage


@dataclass(frozen=True)
class Waits:
    """Something that waits, in words, and the page on which it is done."""

    words: str
    page: str


@dataclass(frozen=True)
class Place:
    """How a student stands with a lesson: a word, the marks as text, and where it leads.

    `kind` is one of the words that the style sheet knows: `owes`, `waits`, `done`, `out`, `none`.
    """

    word: str
    marks: str
    kind: str
    page: str


@dataclass(frozen=True)
class Facts:
    """What the page shows; `lessons` are titles with the day they are due, `rows` go by student."""

    waits: tuple[Waits, ...]
    lessons: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, tuple[Place, ...]], ...]
    troubles: tuple[str, ...] = ()


_KINDS = {
    "overdue": "owes",
    "to read": "waits",
    "to mark": "waits",
    "to mark again": "waits",
    "marked": "done",
    "handed out": "out",
}


def facts(view: FormClass, now: datetime | None = None) -> Facts:
    """Return what the page shows of a class at `now` (UTC without zone), by default this moment."""
    now = now or datetime.now(UTC).replace(tzinfo=None)
    seen = overview(view.folder, now)
    names = words.names(view.folder)
    titles = {lesson.slug: words.title(view, lesson.slug) for lesson in seen.lessons}
    rows = tuple(
        (names[id], tuple(_place(lesson, id) for lesson in seen.lessons)) for id in seen.names
    )
    lessons = tuple((titles[lesson.slug], words.day(lesson.due)) for lesson in seen.lessons)
    waits = [*_dropped(view.folder), *_waits(seen, titles, now)]
    return Facts(tuple(waits), lessons, rows)


def _dropped(folder: ClassFolder) -> list[Waits]:
    """Return what waits on the page on which things are dropped."""
    found = []
    if files := drops.unclear(folder):
        found.append(Waits(f"{words.many(files, 'file')} unclear", "/drop"))
    if photos := sum(count for _, _, count in for_the_eye.waiting(folder)):
        found.append(Waits(f"{words.many(photos, 'photo')} to type in", "/drop#photos"))
    return found


def _place(lesson: LessonState, student: str) -> Place:
    state = lesson.students[student]
    word = "cannot be read" if state.trouble else "" if state.word == "–" else state.word
    kind = "waits" if state.trouble else _KINDS.get(word, "none")
    page = "/work?" + urlencode({"student": student, "lesson": lesson.slug})
    return Place(word, _marks(state), kind, page)


def _marks(state: StudentState) -> str:
    return "" if state.marks is None else f"{state.marks:g}"


def _waits(seen: Overview, titles: dict[str, str], now: datetime) -> list[Waits]:
    """Return what waits, the most pressing first."""
    found: list[Waits] = []
    for lesson in seen.lessons:
        ask = urlencode({"lesson": lesson.slug})
        if to_mark := _count(lesson, ("to mark", "to mark again")):
            found.append(Waits(f"{to_mark} to mark in {titles[lesson.slug]}", f"/mark?{ask}"))
    for lesson in seen.lessons:
        ask = urlencode({"lesson": lesson.slug})
        if to_read := _count(lesson, ("to read",)):
            found.append(Waits(f"{to_read} to read in {titles[lesson.slug]}", f"/read?{ask}"))
    for lesson in seen.lessons:
        if owe := lesson.count("overdue"):
            verb = "owes" if owe == 1 else "owe"
            found.append(Waits(f"{owe} {verb} {titles[lesson.slug]}", "/report"))
    coming = [lesson for lesson in seen.lessons if lesson.due and lesson.due > now]
    if coming:
        first = min(coming, key=lambda lesson: lesson.due or now)
        said = f"Next evening: {words.day(first.due)}, {titles[first.slug]}"
        found.append(Waits(said, "/next-lesson"))
    return found


def _count(lesson: LessonState, some: Sequence[str]) -> int:
    return sum(state.word in some for state in lesson.students.values())


class Now(DeskPage):
    """The first page."""

    def get(self) -> None:
        """Show what waits, and the class."""
        self.show("now", facts=facts(self.desk.view), broken_off=self.jobs.broken_off())
