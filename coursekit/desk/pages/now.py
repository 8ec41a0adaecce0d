"""The first page: what waits for the instructor, in sentences, and the class as a grid."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from urllib.parse import urlencode

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.intake import drops, for_the_eye
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.report.overview import LessonState, StudentState, overview
from coursekit.desk import words
from coursekit.desk.page import DeskPage


@dataclass(frozen=True)
class Link:
    """A piece of a sentence, and the page that it leads to."""

    words: str
    page: str


@dataclass(frozen=True)
class Waits:
    """What waits, of one kind: how much in all, then how much in each lesson."""

    all: Link
    each: tuple[Link, ...] = ()


@dataclass(frozen=True)
class Place:
    """How a student stands with a lesson: a number, a word, and where both lead.

    `kind` is one of the words that the style sheet knows: `owes`, `waits`, `done`, `out`, `none`.
    """

    number: str
    word: str
    kind: str
    page: str


@dataclass(frozen=True)
class Column:
    """A lesson's heading in the grid: its title, what it is out of, the day on which it is due."""

    title: str
    out_of: str
    due: str


@dataclass(frozen=True)
class Facts:
    """What the page shows.

    In the grid the newest lesson comes first; `rows` go by student. `to_come` are the lessons that
    have a date but nobody has yet, with it. `troubles` say whose files can't be read, and why.
    """

    waits: tuple[Waits, ...]
    lessons: tuple[Column, ...]
    rows: tuple[tuple[str, tuple[Place, ...]], ...]
    to_come: tuple[str, ...] = ()
    troubles: tuple[str, ...] = ()


_NAMED = 5  # lessons that a sentence names before it counts the rest together
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
    begun = [lesson for lesson in reversed(seen.lessons) if _is_begun(lesson)]
    return Facts(
        tuple(_waits(view.folder, seen.lessons, titles, now)),
        tuple(_column(lesson, titles[lesson.slug]) for lesson in begun),
        tuple((names[id], tuple(_place(lesson, id, now) for lesson in begun)) for id in seen.names),
        tuple(
            f"{titles[lesson.slug]}, {words.day(lesson.due)}" if lesson.due else titles[lesson.slug]
            for lesson in seen.lessons
            if lesson not in begun
        ),
        tuple(
            f"{names[id]}, {titles[lesson.slug]}: {place.trouble}"
            for lesson in seen.lessons
            for id, place in lesson.students.items()
            if place.trouble
        ),
    )


def _is_begun(lesson: LessonState) -> bool:
    """Whether any student has got the lesson, or has handed something in."""
    return any(
        place.handed_out or place.printed or place.taken_in or place.marked
        for place in lesson.students.values()
    )


def _column(lesson: LessonState, title: str) -> Column:
    out_of = "" if lesson.out_of is None else f"of {words.marks(lesson.out_of)}"
    return Column(title, out_of, words.day(lesson.due))


def _place(lesson: LessonState, student: str, now: datetime) -> Place:
    state = lesson.students[student]
    page = "/work?" + urlencode({"student": student, "lesson": lesson.slug})
    if state.trouble:
        return Place("", "can’t be read", "waits", page)
    word = "" if state.word == "–" else state.word
    said = {"overdue": "owes", "to read": f"{state.to_read} to read"}.get(word, word)
    if state.late and word:
        said += ", late"
    return Place(_number(lesson, state, now), said, _KINDS.get(word, "none"), page)


def _number(lesson: LessonState, state: StudentState, now: datetime) -> str:
    """Return the marks, or for how many days the work is owed."""
    if state.marks is not None:
        return words.marks(state.marks)
    if state.overdue and lesson.due:
        return words.many(max(1, (now - lesson.due).days), "day")
    return ""


def _dropped(folder: ClassFolder) -> list[Waits]:
    """Return what waits on the page on which things are dropped."""
    found = []
    if files := drops.unclear(folder):
        found.append(Waits(Link(f"{words.many(files, 'file')} unclear", "/drop")))
    if photos := sum(count for _, _, count in for_the_eye.waiting(folder)):
        found.append(Waits(Link(f"{words.many(photos, 'photo')} to type in", "/drop#photos")))
    return found


def _waits(
    folder: ClassFolder, lessons: tuple[LessonState, ...], titles: Mapping[str, str], now: datetime
) -> list[Waits]:
    """Return what waits, the most pressing first."""
    found = _dropped(folder)

    def gather(count: Callable[[StudentState], int], say: Callable[[int], str], page: str) -> None:
        """Note what waits in each lesson, all of one kind in one sentence."""
        some = [(sum(map(count, one.students.values())), one.slug) for one in reversed(lessons)]
        some = [(many, slug) for many, slug in some if many]
        if some:
            each = [Link(f"{titles[slug]} {many}", _asked(page, slug)) for many, slug in some]
            if rest := some[_NAMED:]:
                told = f"{words.many(len(rest), 'older lesson')} {sum(many for many, _ in rest)}"
                each[_NAMED:] = [Link(told, page)]
            all_in_all = say(sum(many for many, _ in some))
            found.append(Waits(Link(f"{all_in_all}:", _asked(page, some[0][1])), tuple(each)))

    gather(_is_to_mark, lambda n: f"{n} to mark", "/mark")
    gather(lambda state: state.to_read, lambda n: f"{words.many(n, 'answer')} to read", "/read")
    if owing := [lesson for lesson in reversed(lessons) if lesson.count("overdue")]:
        owed = [_owed(lesson, titles) for lesson in owing[:_NAMED]]
        if rest := owing[_NAMED:]:
            owed.append(Link(f"{words.many(len(rest), 'older lesson')} owed as well", "/report"))
        found.append(Waits(owed[0], tuple(owed[1:])))
    coming = [lesson for lesson in lessons if lesson.due and lesson.due > now]
    if coming:
        day = min(lesson.due for lesson in coming if lesson.due)
        due = words.listed([titles[lesson.slug] for lesson in coming if lesson.due == day])
        found.append(Waits(Link(f"Next evening: {words.day(day)}, {due}", "/next-lesson")))
    return found


def _is_to_mark(state: StudentState) -> int:
    return int(state.taken_in and (not state.marked or state.stale) and not state.trouble)


def _owed(lesson: LessonState, titles: Mapping[str, str]) -> Link:
    count = lesson.count("overdue")
    return Link(f"{count} {'owes' if count == 1 else 'owe'} {titles[lesson.slug]}", "/report")


def _asked(page: str, slug: str) -> str:
    return f"{page}?{urlencode({'lesson': slug})}"


class Now(DeskPage):
    """The first page."""

    def get(self) -> None:
        """Show what waits, and the class."""
        self.show("now", facts=facts(self.desk.view), broken_off=self.jobs.broken_off())
