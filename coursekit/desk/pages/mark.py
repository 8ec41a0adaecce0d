"""What is new in each lesson, marking it, and what came of that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.report.overview import LessonState, overview
from coursekit.desk import words
from coursekit.desk.page import DeskPage


@dataclass(frozen=True)
class ToMark:
    """A lesson that somebody has handed in: what is new in it in words, "" if nothing is."""

    slug: str
    title: str
    new: str
    marked: int


@dataclass(frozen=True)
class Facts:
    """What the page shows: lessons with new work, and the others that can be marked again."""

    new: tuple[ToMark, ...]
    others: tuple[ToMark, ...]


@dataclass(frozen=True)
class Row:
    """What came of one student's work, and the marks as text; `late` is what lateness took off."""

    name: str
    what: str
    marks: str
    late: str


@dataclass(frozen=True)
class Came:
    """What came of marking a lesson.

    `changed` and `same` are the students whose marks were written and those with nothing new,
    `left` why some work was left as it is, each with the names.
    """

    slug: str
    title: str
    out_of: str
    changed: tuple[Row, ...]
    same: tuple[Row, ...]
    left: tuple[tuple[str, str], ...]
    to_read: int


_WORDS = {"late penalty set": "late deduction changed"}


def facts(view: FormClass, now: datetime | None = None) -> Facts:
    """Return what is there to mark in the class."""
    found = [
        ToMark(lesson.slug, words.title(view, lesson.slug), _new(lesson), lesson.count("marked"))
        for lesson in overview(view.folder, now).lessons
        if lesson.count("taken_in")
    ]
    return Facts(tuple(f for f in found if f.new), tuple(f for f in found if not f.new))


def _new(lesson: LessonState) -> str:
    states = [state.word for state in lesson.students.values()]
    unread = sum(bool(state.trouble) for state in lesson.students.values())
    again, new = states.count("to mark again"), states.count("to mark") - unread
    said = [f"{new} new"] * bool(new) + [f"{again} handed in again"] * bool(again)
    said += [f"{unread} that cannot be read"] * bool(unread)
    return words.listed(said)


def came_of(view: FormClass, result: Mapping[str, Any]) -> tuple[Came, ...]:
    """Return what the page shows of a marking that has ended, from what the job returned."""
    names = words.names(view.folder)
    return tuple(_came(view, names, lesson) for lesson in result["lessons"])


def _came(view: FormClass, names: Mapping[str, str], lesson: Mapping[str, Any]) -> Came:
    rows = [(one["what"], _row(names, one)) for one in lesson["rows"] if one["what"]]
    return Came(
        lesson["slug"],
        words.title(view, lesson["slug"]),
        f"{lesson['out_of']:g}",
        tuple(row for what, row in rows if what != "unchanged"),
        tuple(row for what, row in rows if what == "unchanged"),
        tuple((_all(names, one["students"]), one["why"]) for one in lesson["left"]),
        lesson["to_read"],
    )


def _all(names: Mapping[str, str], students: Sequence[str]) -> str:
    return words.listed([names.get(id, id) for id in students])


def _row(names: Mapping[str, str], one: Mapping[str, Any]) -> Row:
    marks, late = one.get("marks"), one.get("late")
    return Row(
        names.get(one["id"], one["id"]),
        _WORDS.get(one["what"], one["what"]),
        "" if marks is None else f"{marks:g}",
        f"{late:g}" if late else "",
    )


class Mark(DeskPage):
    """The page on which work is marked."""

    def get(self) -> None:
        """Show what is new, and what came of the marking that the address names."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page; `error` says why marking was not begun."""
        job = self.job()
        done = job.result if job and job.task == "mark" else None
        came = came_of(self.desk.view, done) if done else ()
        self.show("mark", facts=facts(self.desk.view), came=came, error=error)

    def post(self) -> None:
        """Order the marking of the lessons that are ticked."""
        here = facts(self.desk.view)
        chosen = [one for one in (*here.new, *here.others) if f"lesson.{one.slug}" in self.fields]
        if not chosen:
            self.set_status(422)
            self.ask("Tick at least one lesson.")
            return
        titles = words.listed([one.title for one in chosen])
        what = titles if len(chosen) < 4 else words.many(len(chosen), "lesson")
        self.order("mark", f"Marking {what}", "/mark", {"lessons": [one.slug for one in chosen]})
