"""Answers on paper, typed in: kept as they were written, and handed in as a notebook.

They lie in the class folder in `answers/<slug>.csv`, with one line for each answer, and are kept in
the same way as the bench record. `as_notebook` puts them into the release notebook, so the same
runner and marker mark them and the marks go into the same gradebook.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC

from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bench.class_record import ClassRecord
from coursekit.classroom.bench.ledger import Row
from coursekit.classroom.gradebook.stamp_file import time_of
from coursekit.classroom.intake import handwriting
from coursekit.classroom.intake.handwriting import NO_ANSWER
from coursekit.classroom.register import dates
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.former_ids import ids_today

_LONGEST = 3000  # characters


@dataclass(frozen=True)
class PaperAnswer:
    """One answer as it stands on paper: whose, to which question of which lesson, and the text.

    `handed_in` is when the sheet came in, as written, or "" if that is not known, and `by` is who
    typed it. `source` and `post` are as in the bench record, which also sets `number` and `when`
    (UTC).
    """

    student: str
    slug: str
    question: str
    answer: str
    handed_in: str = ""
    by: str = ""
    source: str = ""
    post: str = ""
    number: int = 0
    when: str = ""

    @property
    def place(self) -> tuple[str, str]:
        """Which box of which sheet: student, question."""
        return self.student, self.question


def _adds_nothing(row: Row, stands: Row) -> bool:
    """Whether an answer stands already, and the new line gives no other time of handing in."""
    same = row["answer"] == stands["answer"]
    return same and row["handed_in"] in ("", stands["handed_in"])


ANSWERS = ClassRecord(
    PaperAnswer, "answers", ("student", "question"), "answer", "answer", _adds_nothing
)
record = ANSWERS.record
every = ANSWERS.every
slugs = ANSWERS.slugs
harm = ANSWERS.harm
erase = ANSWERS.erase


def latest(folder: ClassFolder, slug: str) -> dict[str, dict[str, PaperAnswer]]:
    """Return student → question → the answer that stands, without those that were taken back."""
    found: dict[str, dict[str, PaperAnswer]] = {}
    for one in ANSWERS.latest(folder, slug).values():
        some = found.setdefault(one.student, {})
        if one.answer != NO_ANSWER:
            some[one.question] = one
    return found


def checked(
    folder: ClassFolder,
    exercise: Exercise,
    student: str,
    question: str,
    text: str,
    *,
    handed_in: str = "",
    by: str = "",
    source: str = "",
    post: str = "",
) -> PaperAnswer:
    """Return the answer that was typed as `text`; a lone "-" says that the box was left empty.

    What the student wrote is taken as it is, right or wrong, number or not, because the marker says
    what it is worth.

    Raises
    ------
    ClassError
        For a student who is not on the roster.
    ValueError
        For what can't stand on a sheet: an answer to a question that the exercise does not have,
        more entries than boxes, an option that is not printed.
    """
    student = folder.student(ids_today(folder).get(student, student)).id
    asked = _question(exercise, question)
    answer = _laid(asked, text.strip())
    said = _time_said(handed_in.strip())
    return PaperAnswer(student, exercise.slug, asked.id, answer, said, by.strip(), source, post)


def _laid(asked: Question, text: str) -> str:
    """Return an answer as it is kept: its entries, one for each box, separated by semicolons."""
    if len(text) > _LONGEST:
        raise ValueError(
            f"'{asked.title}' must have an answer of at most {_LONGEST} signs; got {len(text)}. "
            "Shorten it."
        )
    if text == NO_ANSWER or asked.kind == "written":
        return text
    return "; ".join(handwriting.entries(asked, text))


def _time_said(said: str) -> str:
    if not said or (re.match(r"\d{4}-\d\d-\d\d", said) and time_of(said)):
        return said
    moment = dates.read(said[:60], "The time of handing in")
    if moment.second:
        raise ValueError(
            f"The time of handing in must be a date and time; got {said[:30]!r}. Write it "
            "like 3.2.2026 19:30."
        )
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"


def _question(exercise: Exercise, id: str) -> Question:
    wanted = id.strip()
    graded = exercise.graded
    if wanted.isascii() and wanted.isdigit() and 1 <= int(wanted) <= len(graded):
        return graded[int(wanted) - 1]
    for question in graded:
        if wanted in (question.id, question.variable):
            return question
    raise ValueError(
        f"An answer must be to a question of {exercise.slug}, by its number on the sheet or its "
        f"id; got '{wanted[:40]}'. They are 1 to {len(graded)}: {', '.join(q.id for q in graded)}."
    )
