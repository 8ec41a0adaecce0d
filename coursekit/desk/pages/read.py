"""One question at a time, with what every student wrote there, to give scores and comments."""

from __future__ import annotations

import asyncio
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from markupsafe import Markup

from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.form.door import COOKIE
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.marking import by_hand
from coursekit.classroom.marking.by_hand import ToRead, Written
from coursekit.classroom.register.class_folder import RECORD, ClassError
from coursekit.classroom.report import overview, safe_html
from coursekit.desk import words
from coursekit.desk.page import DeskPage

LONGEST_COMMENT = 2000
NAMES = "desk_names"  # the cookie that says that names are hidden
KEEP = "keep"  # in place of a score: the one that stands there stays
_HALVES_UP_TO = 5.0  # marks; above these only whole scores have buttons


@dataclass(frozen=True)
class Entry:
    """A question that a person reads: how many answers wait for it, and how many there are."""

    lesson: str
    question: str
    title: str
    waiting: int
    count: int

    @property
    def page(self) -> str:
        """The address where it is read."""
        return address(self.lesson, self.question)


@dataclass(frozen=True)
class Answer:
    """What the page shows of one answer; `who` is the name, or a number where names are hidden.

    `place` names the answer's place on the page and says nothing of whose it is. `given` is the
    score as text, "" if there is none, and `value` the same as a form has it.
    """

    student: str
    place: str
    who: str
    text: Markup
    code: str
    expected: Markup
    given: str
    value: str
    comment: str
    waits: bool
    note: str
    seen: str


@dataclass(frozen=True)
class Facts:
    """What the page shows of one question.

    `scores` are (value, text, name) of each button, `next` is the question that is read after it.
    """

    lesson: str
    lesson_title: str
    question: str
    title: str
    asked: Markup
    expected: Markup
    marks: str
    scores: tuple[tuple[str, str, str], ...]
    answers: tuple[Answer, ...]
    comments: tuple[str, ...]
    waiting: int
    hidden: bool
    next: Entry | None


def address(lesson: str, question: str) -> str:
    """Return the address of the page for one question."""
    return "/read?" + urlencode({"lesson": lesson, "question": question})


def entries(view: FormClass) -> tuple[Entry, ...]:
    """Return every question that has answers for a person to read, in the order of the lessons."""
    found: list[Entry] = []
    with read_only.reading(view.folder) as book:
        for slug in overview.in_use(view.folder):
            found += _entries_of(view, slug, reader.questions(book, slug))
    return tuple(found)


def _entries_of(
    view: FormClass, slug: str, held: Mapping[str, Mapping[str, reader.QuestionMarks]]
) -> list[Entry]:
    try:
        asked = view.exercise(slug).graded
    except (AuthoringError, FileNotFoundError):
        return []
    record = view.folder.autograded
    marked = [
        held[s.id]
        for s in view.folder.students
        if s.id in held and (record(s.id, slug) / RECORD).is_file()
    ]
    found = []
    for question in asked:
        mine = [one[question.id] for one in marked if question.id in one]
        if question.kind != "written":
            mine = [one for one in mine if _waits(one) or one.manual is not None]
        if mine:
            title = f"{words.title(view, slug)}: {question.title}"
            found.append(Entry(slug, question.id, title, sum(map(_waits, mine)), len(mine)))
    return found


def _waits(held: reader.QuestionMarks) -> bool:
    return held.waits or held.sure is None


def chosen(some: tuple[Entry, ...], lesson: str, question: str) -> Entry | None:
    """Return the question that was asked for; else the lesson's first that waits, or of all."""
    fitting = [e for e in some if lesson in ("", e.lesson) and question in ("", e.question)]
    return next((e for e in fitting if e.waiting), next(iter(fitting), None))


def facts(view: FormClass, some: tuple[Entry, ...], entry: Entry, hidden: bool) -> Facts:
    """Return what the page shows of one question; ClassError if it is no longer there."""
    found = _question(view, entry.lesson, entry.question)
    after = [*some[some.index(entry) + 1 :], *some[: some.index(entry)]]
    return Facts(
        entry.lesson,
        words.title(view, entry.lesson),
        found.id,
        found.title,
        safe_html.markdown(found.asked),
        safe_html.markdown(found.expected) if found.expected else Markup(),
        f"{found.marks:g}",
        tuple((f"{score:g}", halves(score), _named(score)) for score in scores(found.marks)),
        shown(view, found, hidden),
        found.comments,
        found.waiting,
        hidden,
        next((e for e in after if e.waiting), None),
    )


def _question(view: FormClass, lesson: str, question: str) -> ToRead:
    for one in by_hand.to_read(view.work(lesson)):
        if one.id == question:
            return one
    raise ClassError("There is nothing to read at this question any more.")


def shown(view: FormClass, found: ToRead, hidden: bool) -> tuple[Answer, ...]:
    """Return the answers as the page shows them.

    Where names are hidden, their order says nothing of the roster's.
    """
    names, answers = words.names(view.folder), list(found.answers)
    if hidden:
        answers.sort(key=lambda one: _place(found.id, one.student))
    return tuple(
        _answer(found, one, f"Answer {n}" if hidden else names[one.student])
        for n, one in enumerate(answers, start=1)
    )


def _place(question: str, student: str) -> str:
    return "a" + hashlib.sha256(f"{question} {student}".encode()).hexdigest()[:12]


def _answer(found: ToRead, one: Written, who: str) -> Answer:
    note = one.trouble
    if one.newer:
        note = "Newer work was handed in, and is not marked yet. Mark it before you read this."
    return Answer(
        one.student,
        _place(found.id, one.student),
        who,
        safe_html.markdown(one.text) if found.written and one.text else Markup(),
        "" if found.written else one.text,
        safe_html.markdown(one.expected) if one.expected else Markup(),
        "" if one.score is None else halves(one.score),
        "" if one.score is None else f"{one.score:g}",
        one.comment,
        one.waits,
        note,
        one.seen,
    )


def scores(most: float) -> list[float]:
    """Return the scores that have a button, from 0 to a question's marks.

    >>> scores(2), scores(1.25)
    ([0.0, 0.5, 1.0, 1.5, 2.0], [0.0, 0.5, 1.0, 1.25])
    """
    step = 0.5 if most <= _HALVES_UP_TO else 1.0
    return [n * step for n in range(int(most / step) + 1)] + [most] * bool(most % step)


def halves(score: float) -> str:
    """Return a score as a person writes it.

    >>> halves(0), halves(0.5), halves(1.5), halves(0.75)
    ('0', '½', '1½', '0.75')
    """
    if score % 1 == 0.5:
        return f"{int(score) or ''}½"
    return f"{score:g}"


def _named(score: float) -> str:
    return f"{halves(score)} {'mark' if 0 < score <= 1 else 'marks'}"


class Read(DeskPage):
    """The page on which answers are read."""

    async def get(self) -> None:
        """Show the question that the address names, or the first that waits."""
        await self.ask("")

    async def ask(self, error: str) -> None:
        """Show the page; `error` says why a score was not kept."""
        view, hidden = self.desk.view, self.get_cookie(NAMES) == "hidden"
        lesson, question = self.fields.get("lesson", ""), self.fields.get("question", "")

        def found() -> tuple[tuple[Entry, ...], Facts | None]:
            some = entries(view)
            entry = chosen(some, lesson, question)
            return some, facts(view, some, entry, hidden) if entry else None

        some, one = await asyncio.to_thread(found)
        self.show("read", entries=some, facts=one, error=error, longest=LONGEST_COMMENT)

    async def post(self) -> None:
        """Give a score, and answer the script with what stands now, or show the page again."""
        view, said = self.desk.view, dict(self.fields)
        async with self.desk.turn:
            answer = await asyncio.to_thread(give, view, said)
        if "json" in self.request.headers.get("Accept", ""):
            self.set_status(answer.pop("status"))
            self.set_header("Content-Type", "application/json; charset=utf-8")
            self.finish(json.dumps(answer))
        elif answer["error"]:
            self.set_status(answer["status"])
            await self.ask(answer["error"])
        else:
            question = said["question"]
            here = address(said["lesson"], question)
            self.redirect(f"{here}#{_place(question, said['student'])}", status=303)


def give(view: FormClass, said: Mapping[str, str]) -> dict[str, Any]:
    """Write the score and comment that a form says; return what stands now.

    `status` is 200, or 409 with `error` if the answer is no longer the one that was seen, or 422 if
    what was said can't be.
    """
    lesson, question = said.get("lesson", ""), said.get("question", "")
    student, seen = said.get("student", ""), said.get("seen", "")
    comment = (said.get("comment", "").strip() or said.get("earlier", "")).replace("\r\n", "\n")
    try:
        if lesson not in overview.in_use(view.folder):
            raise ClassError("The lesson must be one that this class uses.")
        work = view.work(lesson)
        was = by_hand.answer(work, student, question)
        if was.seen != seen:
            return _state(view, work, question, was, 409, _CHANGED)
        if len(comment) > LONGEST_COMMENT:
            raise ClassError(f"A comment must have at most {LONGEST_COMMENT} characters. Cut it.")
        score = was.score if said.get("score") == KEEP else _score(said.get("score", ""))
        now = by_hand.give(work, student, question, score, comment, seen)
        return _state(view, work, question, now, 200, "")
    except (ValueError, FileNotFoundError) as error:
        return {"status": 422, "error": str(error)}


_CHANGED = (
    "This answer has changed since you saw it, so your score was not written. Look at it again, "
    "then give your score."
)


def _score(text: str) -> float | None:
    """Return the score that a button says, None to take it back."""
    return None if text == "none" else float(text)


def _state(
    view: FormClass, work: Assignment, question: str, one: Written, status: int, error: str
) -> dict[str, Any]:
    """Return what a script shows of an answer, and of the question that it belongs to."""
    with read_only.reading(view.folder) as book:
        some = _entries_of(view, work.slug, reader.questions(book, work.slug))
    return {
        "seen": one.seen,
        "given": "" if one.score is None else halves(one.score),
        "value": "" if one.score is None else f"{one.score:g}",
        "comment": one.comment,
        "waits": one.waits,
        "waiting": sum(entry.waiting for entry in some if entry.question == question),
        "comments": by_hand.given_comments(work, question),
        "status": status,
        "error": error,
    }


class Names(DeskPage):
    """Hides the names on the Read page, or shows them, until the browser is closed."""

    def post(self) -> None:
        """Do so, and go back to the question."""
        self.set_cookie(
            NAMES, "shown" if self.get_cookie(NAMES) == "hidden" else "hidden", **COOKIE
        )
        here = address(self.fields.get("lesson", ""), self.fields.get("question", ""))
        self.redirect(here, status=303)
