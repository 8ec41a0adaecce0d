"""Writes marks into nbgrader's own gradebook, with one commit for each submission."""

from __future__ import annotations

import weakref
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.gradebook.nbgrader_settings import LateRule
from coursekit.classroom.gradebook.opener import notebook_of
from coursekit.classroom.register.class_folder import ClassError


def write(
    book: Any,
    slug: str,
    student: str,
    marks: Sequence[Mark],
    timestamp: datetime | None,
    rule: LateRule,
    *,
    again: bool = False,
) -> None:
    """Write one submission's marks and late penalty.

    A mark that a person gave stays, and the question is flagged so that the person looks again. A
    question that only a person can mark waits for that (`to-read`), unless the student wrote
    nothing. `again` means that the same work was marked again, so questions for which the machine's
    mark is unchanged are left as they are.
    """
    cells = _exercise_cells(book, slug)
    due, came_before = _due_and_submitted(book, cells, student)
    if came_before:
        submission, notebook = _renew(book, slug, student, marks, timestamp, again)
        _set_late_penalty(book, submission, notebook, rule)
    else:
        _insert(book, cells, student, marks, timestamp)
        if timestamp and due and timestamp > due:
            submission, notebook, _, _ = _submission(book, slug, student)
            _set_late_penalty(book, submission, notebook, rule)
    book.db.commit()


def give(
    book: Any,
    slug: str,
    student: str,
    question: str,
    score: float | None,
    comment: str | None,
    rule: LateRule,
) -> None:
    """Write a person's score and comment for one question, with one commit, as formgrader does.

    A `score` of None takes the person's score back; a `comment` of None leaves the one that is
    there. Extra credit stays. The late penalty is a share of the marks, so it follows.
    """
    submission, notebook, grades, comments = _submission(book, slug, student)
    grade = grades[question]
    grade.manual_score = score
    grade.needs_manual_grade = score is None and grade.auto_score is None
    cell = comments.get(question) or comments.get(f"{question}-answer")
    if comment is not None and cell is not None and (comment or cell.manual_comment):
        cell.manual_comment = comment
    _set_late_penalty(book, submission, notebook, rule)
    book.db.commit()


def auto_score(mark: Mark) -> float | None:
    """Return the score that the machine gives, or None if a person must give it."""
    return None if mark.verdict == "to-read" else float(mark.marks)


@dataclass(frozen=True)
class _ExerciseCells:
    """What the gradebook holds of an exercise itself: ids, and its cells as (id, name, kind)."""

    assignment: str
    notebook: str
    cells: tuple[tuple[str, str, str], ...]


_read: weakref.WeakKeyDictionary[Any, dict[str, _ExerciseCells]] = weakref.WeakKeyDictionary()


def _exercise_cells(book: Any, slug: str) -> _ExerciseCells:
    """Return the exercise's cells, read once for as long as the gradebook is open."""
    from nbgrader.api import Assignment, BaseCell, Notebook

    read = _read.setdefault(book, {})
    if slug not in read:
        assignment, notebook = (
            book.db.query(Assignment.id, Notebook.id)
            .join(Notebook, Notebook.assignment_id == Assignment.id)
            .filter(Assignment.name == slug, Notebook.name == slug)
            .one()
        )
        cells = book.db.query(BaseCell.id, BaseCell.name, BaseCell.type).filter(
            BaseCell.notebook_id == notebook
        )
        found = tuple((id, name, kind) for id, name, kind in cells.order_by(BaseCell.id))
        read[slug] = _ExerciseCells(assignment, notebook, found)
    return read[slug]


def _due_and_submitted(
    book: Any, cells: _ExerciseCells, student: str
) -> tuple[datetime | None, bool]:
    """Return when the exercise is due, and whether the student's submission is there."""
    from nbgrader.api import Assignment, SubmittedAssignment
    from sqlalchemy import and_, select

    assignment, submitted = Assignment.__table__.c, SubmittedAssignment.__table__.c
    is_theirs = and_(submitted.assignment_id == assignment.id, submitted.student_id == student)
    places = Assignment.__table__.outerjoin(SubmittedAssignment.__table__, is_theirs)
    found = select(assignment.duedate, submitted.id).select_from(places)
    due, submission = book.db.execute(found.where(assignment.id == cells.assignment)).one()
    return due, submission is not None


def _insert(
    book: Any,
    exercise: _ExerciseCells,
    student: str,
    marks: Sequence[Mark],
    timestamp: datetime | None,
) -> None:
    """Make the rows of a new submission, the same that nbgrader's `add_submission` makes.

    That one is slow, because it commits the submission empty and then reads every row again.
    """
    from nbgrader.api import Comment, Grade, SubmittedAssignment, SubmittedNotebook, new_uuid

    submission, copy = new_uuid(), new_uuid()
    by_name, empty = {m.question: m for m in marks}, _empty(marks)
    grades, comments = [], []
    for cell, name, kind in exercise.cells:
        row = {"id": new_uuid(), "cell_id": cell, "notebook_id": copy}
        if kind in ("GradeCell", "TaskCell"):
            score = auto_score(by_name[name]) if name in by_name else None
            grades.append({**row, "auto_score": score, "needs_manual_grade": score is None})
        if kind in ("SolutionCell", "TaskCell"):
            comments.append({**row, "id": new_uuid(), "auto_comment": _comment(name, empty)})
    about = {"assignment_id": exercise.assignment, "student_id": student, "timestamp": timestamp}
    for table, rows in (
        (SubmittedAssignment, [{"id": submission, **about}]),
        (
            SubmittedNotebook,
            [{"id": copy, "assignment_id": submission, "notebook_id": exercise.notebook}],
        ),
        (Grade, grades),
        (Comment, comments),
    ):
        if rows:
            book.db.execute(table.__table__.insert(), rows)


def _empty(marks: Sequence[Mark]) -> set[str]:
    return {mark.question for mark in marks if mark.verdict == "blank"}


def _comment(cell: str, empty: set[str]) -> str | None:
    """Return the machine's comment on an answer cell, as nbgrader words it."""
    return "No response." if cell.removesuffix("-answer") in empty else None


def _renew(
    book: Any,
    slug: str,
    student: str,
    marks: Sequence[Mark],
    timestamp: datetime | None,
    again: bool,
) -> tuple[Any, Any]:
    """Change the marks of a submission that is there; return it and its notebook."""
    submission, notebook, grades, comments = _submission(book, slug, student)
    submission.timestamp = timestamp
    for mark in marks:
        grade, score = grades[mark.question], auto_score(mark)
        if again and grade.auto_score == score:
            continue
        grade.auto_score = score
        grade.needs_manual_grade = score is None or grade.manual_score is not None
    empty = _empty(marks)
    for name, comment in comments.items():
        comment.auto_comment = _comment(name, empty)
    book.db.flush()
    return submission, notebook


def _submission(
    book: Any, slug: str, student: str
) -> tuple[Any, Any, dict[str, Any], dict[str, Any]]:
    """Return the student's submission, its notebook, and its grades and comments by cell name."""
    from nbgrader.api import Assignment, Comment, Grade, Notebook, SubmittedAssignment
    from nbgrader.api import SubmittedNotebook as Copy

    found = (
        book.db.query(SubmittedAssignment, Copy)
        .join(Copy, Copy.assignment_id == SubmittedAssignment.id)
        .join(Notebook, Notebook.id == Copy.notebook_id)
        .join(Assignment, Assignment.id == SubmittedAssignment.assignment_id)
        .filter(Assignment.name == slug, Notebook.name == slug)
        .filter(SubmittedAssignment.student_id == student)
        .one()
    )
    submission, copy = found
    return submission, copy, _rows(book, Grade, copy), _rows(book, Comment, copy)


def _rows(book: Any, table: Any, copy: Any) -> dict[str, Any]:
    """Return the grades or comments of one student's notebook by the names of their cells."""
    from nbgrader.api import BaseCell

    query = book.db.query(BaseCell.name, table).join(table, table.cell_id == BaseCell.id)
    return dict(query.filter(table.notebook_id == copy.id).all())


def _set_late_penalty(book: Any, submission: Any, notebook: Any, rule: LateRule) -> bool:
    """Set the late penalty as nbgrader's `AssignLatePenalties` does; return whether it changed."""
    penalty = None
    # without a due date, `total_seconds_late` would fail as soon as there is an extension
    late = submission.total_seconds_late if submission.assignment.duedate else 0
    if late > 0:
        book.db.flush()
        book.db.refresh(notebook)  # because the database adds up its score
        made = rule()
        try:
            penalty = made.plugin_inst.late_submission_penalty(
                submission.student.id, notebook.score, late
            )
        except Exception as error:
            raise ClassError(
                f"The late-penalty plug-in {type(made.plugin_inst).__name__} must give a number or "
                f"None; got {type(error).__name__}: {error}. Mend it."
            ) from error
        if penalty is not None:
            penalty = made._check_late_penalty(notebook, penalty)
    changed = bool(notebook.late_submission_penalty != penalty)
    if changed:
        notebook.late_submission_penalty = penalty
    return changed


def renew_late_penalties(
    book: Any, slug: str, students: Sequence[str], rule: LateRule
) -> list[str]:
    """Set the late penalty of work that is marked already; return whose penalty changed.

    A due date, an extension or the plug-in may have changed since it was marked.
    """
    renewed = []
    for submission in book.assignment_submissions(slug) if students else ():
        if submission.student.id in students and _set_late_penalty(
            book, submission, notebook_of(submission, slug), rule
        ):
            renewed.append(submission.student.id)
    book.db.commit()
    return renewed
