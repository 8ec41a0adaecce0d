"""Writes marks into nbgrader's own gradebook: one writer, one commit a submission."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from coursekit.classroom.classes import ClassFolder, Student
from coursekit.classroom.marker import Mark


@contextmanager
def gradebook(folder: ClassFolder) -> Iterator[Any]:
    """Yield the class's gradebook, closed at the end."""
    from nbgrader.api import Gradebook

    with Gradebook(folder.db_url) as book:
        yield book


def enrol(book: Any, students: Sequence[Student]) -> None:
    """Put the roster's students into the gradebook; ones that are there get their name again."""
    for student in students:
        book.update_or_create_student(student.id, first_name=student.name)


def write(
    book: Any, slug: str, student: str, marks: Sequence[Mark], timestamp: datetime | None = None
) -> None:
    """Write one submission's marks.

    A mark given by a person stays, and the question is put up for another look. Questions that a
    person marks wait for it (`to-read`), unless nothing was written.
    """
    submission = _submission(book, slug, student)
    submission.timestamp = timestamp
    notebook = _notebook(submission, slug)
    grades = {grade.name: grade for grade in notebook.grades}
    for mark in marks:
        grade = grades[mark.question]
        grade.auto_score = None if mark.verdict == "to-read" else float(mark.marks)
        grade.needs_manual_grade = grade.auto_score is None or grade.manual_score is not None
    empty = {mark.question for mark in marks if mark.verdict == "blank"}
    for comment in notebook.comments:
        blank = comment.name.removesuffix("-answer") in empty
        comment.auto_comment = "No response." if blank else None
    _late_penalty(submission, slug)
    book.db.commit()


def _submission(book: Any, slug: str, student: str) -> Any:
    """Return the student's submission, made if it is new."""
    from sqlalchemy.exc import SAWarning

    with warnings.catch_warnings():
        # nbgrader links the new rows one by one, which SQLAlchemy remarks on; they end up linked
        warnings.simplefilter("ignore", SAWarning)
        return book.update_or_create_submission(slug, student)


def _notebook(submission: Any, slug: str) -> Any:
    for notebook in submission.notebooks:
        if notebook.name == slug:
            return notebook
    raise KeyError(slug)


def _late_penalty(submission: Any, slug: str) -> None:
    """Set the late penalty by nbgrader's own rule, as its `AssignLatePenalties` does."""
    from nbgrader.plugins import LateSubmissionPlugin

    notebook = _notebook(submission, slug)
    notebook.late_submission_penalty = None
    late = submission.total_seconds_late
    if late > 0:
        score = sum(_score(grade) for grade in notebook.grades)
        penalty = LateSubmissionPlugin().late_submission_penalty(submission.student.id, score, late)
        if penalty is not None:
            notebook.late_submission_penalty = min(max(penalty, 0.0), score)


def _score(grade: Any) -> float:
    kept = grade.manual_score if grade.manual_score is not None else grade.auto_score
    return float(kept or 0.0) + float(grade.extra_credit or 0.0)


def scores(book: Any, slug: str) -> dict[str, dict[str, float]]:
    """Return student id → question id → marks as the gradebook has them, for handed-in work."""
    found: dict[str, dict[str, float]] = {}
    for submission in book.assignment_submissions(slug):
        grades = _notebook(submission, slug).grades
        found[submission.student.id] = {grade.name: float(grade.score or 0.0) for grade in grades}
    return found
