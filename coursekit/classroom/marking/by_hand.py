"""Reads what a person must mark in one lesson, and writes the score and comment that they give.

Reading takes the marked notebooks as text and the gradebook by SQL, so it needs nothing of
nbgrader. Writing goes through nbgrader's own rows, exactly as formgrader writes them, so both can
be used side by side. Whoever gives a score names the answer that they saw by its `seen`, and where
something has changed since, nothing is written.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.notebooks import TEXT_STUB
from coursekit.classroom.bank.worked_solutions import shown, worked
from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.gradebook.reader import QuestionMarks
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.marking.marked_work import has_newer_work
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import RECORD, ClassError
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import shown as shown_name

_SCORE = re.compile(
    r"(?P<whole>\d{1,6}([.,]\d{1,6})?)|((?P<ones>\d{1,6}) ?)?½|((?P<and>\d{1,6}) )?1/2", re.ASCII
)
WAIT = 10.0  # seconds that a score waits for a marking that is at work


@dataclass(frozen=True)
class Written:
    """What one student wrote at a question, and what a person made of it.

    `score` and `comment` are a person's, None and "" if nobody gave one. `waits` says that a person
    must still look at it, `newer` that other work was handed in and is not marked yet. `expected`
    is the worked solution with the student's own numbers, "" for a written question, where it is
    the same for all. `trouble` says why the marked notebook can't be read, "" if it can. `seen`
    names all of this for `give`.
    """

    student: str
    name: str
    text: str
    score: float | None
    comment: str
    waits: bool
    newer: bool
    seen: str
    expected: str = ""
    trouble: str = ""

    @property
    def blank(self) -> bool:
        """Whether the student wrote nothing."""
        return not self.text


@dataclass(frozen=True)
class ToRead:
    """One question with what every student wrote there.

    `expected` is the worked solution of a written question, which says what earns the marks, and
    `comments` are those that were given in this class for this question, the most used first.
    """

    id: str
    title: str
    asked: str
    marks: float
    expected: str
    written: bool
    answers: tuple[Written, ...]
    comments: tuple[str, ...]

    @property
    def waiting(self) -> int:
        """How many answers still wait for a person."""
        return sum(answer.waits for answer in self.answers)


def to_read(work: Assignment) -> tuple[ToRead, ...]:
    """Return what a person marks in a lesson, in the exercise's order.

    That is every written question with all students whose work is marked, and of the others the
    answers that wait for a person or that a person has marked.
    """
    with read_only.reading(work.folder) as book:
        held = reader.questions(book, work.slug)
        comments = reader.manual_comments(book, work.slug)
    marked = [
        _Marked(work, s.id, s.name, held[s.id], comments.get(s.id, {}))
        for s in work.folder.students
        if s.id in held and (work.folder.autograded(s.id, work.slug) / RECORD).is_file()
    ]
    return tuple(filter(None, (_question(work, q, marked) for q in work.exercise.graded)))


def _question(work: Assignment, question: Question, marked: list[_Marked]) -> ToRead | None:
    """Return a question with its answers; None if nothing of it is a person's to mark."""
    written = question.kind == "written"
    mine = [one for one in marked if question.id in one.held]
    if not written:
        mine = [one for one in mine if _is_a_persons(one.held[question.id])]
    if not mine:
        return None
    return ToRead(
        question.id,
        question.title,
        question.on_paper,
        question.marks,
        worked(work.key, question, {}, "") if written else "",
        written,
        tuple(one.answer(question) for one in mine),
        _most_used(one.comment(question) for one in marked),
    )


def _most_used(comments: Iterable[str]) -> tuple[str, ...]:
    said = Counter(filter(None, comments))
    return tuple(sorted(said, key=lambda text: (-said[text], text)))


def _is_a_persons(held: QuestionMarks) -> bool:
    return held.waits or held.sure is None or held.manual is not None


class _Marked:
    """One student's marked work, read from its files once."""

    def __init__(
        self,
        work: Assignment,
        student: str,
        name: str,
        held: Mapping[str, QuestionMarks],
        comments: Mapping[str, str],
    ) -> None:
        self.work, self.student, self.name = work, student, name
        self.held, self.comments = held, comments
        self.cells: dict[str, str] = {}
        whys: list[str] = []
        with one_piece(whys.append):
            place = work.folder.autograded(student, work.slug) / f"{work.slug}.ipynb"
            self.cells = dict(_cells(read_regular(place, LARGEST_NOTEBOOK) or b""))
        self.trouble = whys[0] if whys else ""
        handed_in = work.folder.submitted(student, work.slug) / f"{work.slug}.ipynb"
        self.handed_in = _digest(read_regular(handed_in, LARGEST_NOTEBOOK) or b"")

    def comment(self, question: Question) -> str:
        """Return the comment that a person gave, "" for none."""
        return _comment(self.comments, question.id)

    def answer(self, question: Question) -> Written:
        """Return what the student wrote at a question, and what stands in the gradebook."""
        held, comment = self.held[question.id], self.comment(question)
        cell = question.id if question.kind == "written" else f"{question.id}-answer"
        text = self.cells.get(cell, "")
        facts = (text, held.auto, held.manual, held.out_of, held.waits, comment, self.handed_in)
        return Written(
            self.student,
            self.name,
            text.removeprefix(TEXT_STUB).strip(),
            held.manual,
            comment,
            held.waits or held.sure is None,
            has_newer_work(self.work.folder, self.student, self.work.slug),
            _digest(repr(facts).encode()),
            "" if question.kind == "written" else self._expected(question),
            self.trouble,
        )

    def _expected(self, question: Question) -> str:
        exercise, key = self.work.exercise, self.work.key
        numbers = self.work.numbers(self.student)
        right = own_numbers.answers(exercise, key, numbers)[question.id]
        return worked(key, question, numbers, shown(question, right))


def _comment(given: Mapping[str, str], question: str) -> str:
    return given.get(question) or given.get(f"{question}-answer") or ""


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:20]


def _cells(data: bytes) -> Iterator[tuple[str, str]]:
    """Yield id and text of each cell of a notebook that has an id of nbgrader's."""
    notebook: Any = json.loads(data)
    for cell in notebook["cells"]:
        if id := cell["metadata"].get("nbgrader", {}).get("grade_id"):
            source = cell["source"]
            yield id, source if isinstance(source, str) else "".join(source)


def score_of(typed: str) -> float | None:
    """Return the score that somebody typed: `2`, `1.5`, `0,5`, `½`, `1½`, or None for `none`.

    >>> [score_of(typed) for typed in ("2", "½", "1½", "1 1/2", "0,5", "none")]
    [2.0, 0.5, 1.5, 1.5, 0.5, None]
    """
    text = typed.strip()
    if text.lower() == "none":
        return None
    if not (found := _SCORE.fullmatch(text)):
        raise ClassError(
            f"A score must be a number like 1, 1.5 or ½; got {shown_name(text[:20])!r}. Type it so."
        )
    if found["whole"]:
        return float(found["whole"].replace(",", "."))
    return int(found["ones"] or found["and"] or 0) + 0.5


def give(
    work: Assignment,
    student: str,
    question: str,
    score: float | None,
    comment: str | None = None,
    seen: str = "",
) -> Written:
    """Give a student's answer a score and a comment; return the answer as it now stands.

    A `score` of None takes the person's score back, and a `comment` of None leaves the one that
    stands there. `seen` is the `Written.seen` of the answer that was read.

    Raises
    ------
    ClassError
        If the student or the question isn't there, if the score lies outside 0 and the question's
        marks, if the answer is no longer the one that was `seen`, or if the class is being marked.
    """
    from coursekit.classroom.gradebook import marks_writer, opener
    from coursekit.classroom.gradebook.nbgrader_settings import late_rule

    asked = _asked(work, question)
    work.folder.student(student)
    if score is not None and not 0 <= score <= asked.marks:
        raise ClassError(
            f"{work.slug}, question '{question}': a score must lie from 0 to {asked.marks:g}, the "
            f"question's marks; got {score:g}. Give another."
        )
    with lock_and_backup.only_writer(work.folder, WAIT):
        found = answer(work, student, question)
        if seen and found.seen != seen:
            raise ClassError(
                f"{work.slug}, question '{question}': a score must be for the answer as it was "
                f"read; {student}'s was handed in or marked again since. Read it again."
            )
        with opener.gradebook(work.folder) as book:
            marks_writer.give(
                book, work.slug, student, question, score, comment, late_rule(work.folder)
            )
    return answer(work, student, question)


def _asked(work: Assignment, question: str) -> Question:
    for one in work.exercise.graded:
        if one.id == question:
            return one
    there = ", ".join(q.id for q in work.exercise.graded if q.kind == "written")
    raise ClassError(
        f"{work.slug}: a question to mark by hand must be one of the lesson's; got '{question}'. "
        f"The written ones are {there or 'none'}."
    )


def given_comments(work: Assignment, question: str) -> tuple[str, ...]:
    """Return the comments that were given in this class for a question, the most used first."""
    with read_only.reading(work.folder) as book:
        given = reader.manual_comments(book, work.slug)
    here = [given[s.id] for s in work.folder.students if s.id in given]
    return _most_used(_comment(one, question) for one in here)


def answer(work: Assignment, student: str, question: str) -> Written:
    """Return one student's answer, and what a person made of it.

    Raises ClassError if the student or the question isn't there, or if the work is not marked.
    """
    with read_only.reading(work.folder) as book:
        held = reader.questions(book, work.slug, student).get(student, {})
        comments = reader.manual_comments(book, work.slug).get(student, {})
    record = work.folder.autograded(student, work.slug) / RECORD
    if question not in held or not record.is_file():
        raise ClassError(
            f"{work.slug}: work must be marked before a person reads it; {student}'s is not. Run "
            f"`coursekit mark {work.slug}` first."
        )
    name = work.folder.student(student).name
    return _Marked(work, student, name, held, comments).answer(_asked(work, question))
