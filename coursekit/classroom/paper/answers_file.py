"""Answers on paper as a CSV file: a blank one for typing, and how a filled-in one is taken in."""

from __future__ import annotations

from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bench.csv_cells import csv_text
from coursekit.classroom.bench.take_file import Cells, FilledFile
from coursekit.classroom.paper.paper_answers import ANSWERS, PaperAnswer, checked
from coursekit.classroom.register.class_folder import ClassError, ClassFolder

_BLANK = ("student", "name", "lesson", "question", "what", "how", "answer", "handed in", "by")
_ALSO = {
    "student": ("id", "student id"),
    "lesson": ("slug", "exercise"),
    "question": ("question id", "no"),
    "answer": ("value",),
    "handed in": ("when", "date", "handed_in"),
    "by": ("typed by",),
}


def _checked(folder: ClassFolder, exercise: Exercise, cells: Cells) -> PaperAnswer:
    said = (cells[k] for k in ("student", "question", "answer"))
    origin = {k: cells[k] for k in ("by", "source")}
    return checked(folder, exercise, *said, handed_in=cells["handed in"], **origin)


ANSWERS_FILE = FilledFile(
    ANSWERS,
    called="An answer",
    needed=("student", "question", "answer"),
    may=("lesson", "handed in", "by"),
    also=_ALSO,
    checked=_checked,
    shown=lambda one: f"'{one.answer[:40]}'",
)


def blank(folder: ClassFolder, exercise: Exercise) -> str:
    """Return a CSV for typing in a class's answers: a row for each question of each student."""
    if not exercise.graded:
        raise ClassError(f"{exercise.source}: an exercise must have a marked question; got none.")
    rows = [
        (s.id, s.name, exercise.slug, q.id, f"{n}. {q.title}", how_to_write(q), "", "", "")
        for s in folder.students
        for n, q in enumerate(exercise.graded, start=1)
    ]
    return csv_text(_BLANK, rows)


def how_to_write(question: Question) -> str:
    """Return in a few words how an answer is written in a file."""
    if question.kind == "choice":
        return "one of: " + ", ".join(question.options or {})
    if question.kind == "order":
        return "in order, with semicolons: " + "; ".join(question.entries)
    if question.kind == "points":
        names = (f"{e} x; {e} y" for e in question.entries)
        return f"{question.unit}, with semicolons: " + "; ".join(names)
    if question.kind == "numbers":
        return f"{question.unit}, with semicolons: " + "; ".join(question.entries)
    return "the student's words" if question.kind == "written" else question.unit
