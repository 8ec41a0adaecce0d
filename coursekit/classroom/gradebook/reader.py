"""Reads what a class's gradebook holds, by SQL; `marks_writer` writes marks into it.

A `book` here is one that `read_only.reading` opened, or nbgrader's own from `opener.gradebook`. The
same SQL goes to both, and the answers are the ones that nbgrader itself gives.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any

from coursekit.classroom.gradebook.read_only import ReadOnlyBook, Row

if TYPE_CHECKING:
    from nbformat import NotebookNode


def rows(book: Any, sql: str, **values: object) -> list[Row]:
    """Return the rows that `sql` selects from `book`, which may be either kind."""
    if isinstance(book, ReadOnlyBook):
        return book.rows(sql, **values)
    from sqlalchemy import text

    book.db.flush()
    return [tuple(row) for row in book.db.execute(text(sql), values)]


# the cells of an exercise as it was handed out, and the work that students handed in for it
_CELLS = """
    base_cell
    JOIN notebook ON notebook.id = base_cell.notebook_id
    JOIN assignment ON assignment.id = notebook.assignment_id
    LEFT JOIN grade_cells ON grade_cells.id = base_cell.id
    LEFT JOIN task_cells ON task_cells.id = base_cell.id
"""
_HANDED_IN = """
    submitted_assignment
    JOIN assignment ON assignment.id = submitted_assignment.assignment_id
    JOIN submitted_notebook ON submitted_notebook.assignment_id = submitted_assignment.id
"""
_OUT_OF = "COALESCE(grade_cells.max_score, task_cells.max_score, 0.0)"


@dataclass(frozen=True)
class QuestionMarks:
    """What the gradebook holds for one question: the machine's mark, a person's, extra credit.

    `waits` is true if nbgrader says that a person must look at it.
    """

    auto: float | None
    manual: float | None
    extra: float
    out_of: float
    waits: bool

    @property
    def sure(self) -> float | None:
        """A person's mark, else the machine's, without extra credit; None if there is neither."""
        return self.auto if self.manual is None else self.manual

    @property
    def marks(self) -> float:
        """The marks that count. As in nbgrader, extra credit counts only on top of a mark."""
        return 0.0 if self.sure is None else self.sure + self.extra


def _only(slug: str | None, student: str | None) -> str:
    """Return an SQL condition that lets one exercise's and one student's work through, or all."""
    wanted = "" if slug is None else " AND assignment.name = :slug"
    return "TRUE" + wanted + ("" if student is None else " AND student_id = :student")


def questions(
    book: Any, slug: str, student: str | None = None
) -> dict[str, dict[str, QuestionMarks]]:
    """Return student id → question id → what the gradebook holds, of one student or of all."""
    found = _questions(book, slug, student)
    return {whose: found[name, whose] for name, whose in sorted(found)}


def _questions(
    book: Any, slug: str | None, student: str | None
) -> dict[tuple[str, str], dict[str, QuestionMarks]]:
    """Return (exercise, student id) → question id → what the gradebook holds.

    The rows of a whole class are many, so SQL only finds them, and what they belong to is looked up
    here; that takes a third of the time.
    """
    whose, cells = _notebooks(book, slug, student), _cells(book)
    found: dict[tuple[str, str], dict[str, QuestionMarks]] = {}
    for notebook, cell, auto, manual, extra, waits in rows(
        book,
        f"""
        SELECT notebook_id, cell_id, auto_score, manual_score, extra_credit, needs_manual_grade
        FROM grade WHERE {_in_work(slug, student)} ORDER BY cell_id
        """,
        slug=slug,
        student=student,
    ):
        if notebook in whose and cell in cells:
            question, out_of = cells[cell]
            marks = QuestionMarks(auto, manual, float(extra or 0.0), out_of, bool(waits))
            found.setdefault(whose[notebook], {})[question] = marks
    return found


def _notebooks(book: Any, slug: str | None, student: str | None) -> dict[str, tuple[str, str]]:
    """Return a handed-in notebook's row → its exercise and its student."""
    sql = f"""
        SELECT submitted_notebook.id, assignment.name, student_id
        FROM {_HANDED_IN} WHERE {_only(slug, student)}
    """
    found = rows(book, sql, slug=slug, student=student)
    return {id: (name, whose) for id, name, whose in found}


def _cells(book: Any) -> dict[str, tuple[str, float]]:
    """Return a cell's row → its name and how many marks it has."""
    sql = f"SELECT base_cell.id, base_cell.name, {_OUT_OF} FROM {_CELLS}"
    return {id: (name, float(marks)) for id, name, marks in rows(book, sql)}


def _in_work(slug: str | None, student: str | None) -> str:
    """Return an SQL condition on rows that belong to handed-in notebooks."""
    if slug is None and student is None:
        return "TRUE"
    wanted = f"SELECT submitted_notebook.id FROM {_HANDED_IN} WHERE {_only(slug, student)}"
    return f"notebook_id IN ({wanted})"


def scores(book: Any, slug: str) -> dict[str, dict[str, float]]:
    """Return student id → question id → marks as the gradebook has them, for handed-in work."""
    return {
        student: {question: held.marks for question, held in grades.items()}
        for student, grades in questions(book, slug).items()
    }


def machine_scores(book: Any, slug: str) -> dict[str, dict[str, float | None]]:
    """Return student id → question id → the machine's mark, None where a person must give it."""
    return {
        student: {question: held.auto for question, held in grades.items()}
        for student, grades in questions(book, slug).items()
    }


def sure_scores(book: Any, slug: str) -> dict[str, dict[str, float | None]]:
    """Return student id → question id → a person's mark, else the machine's, else None."""
    return {
        student: {question: held.sure for question, held in grades.items()}
        for student, grades in questions(book, slug).items()
    }


def late_penalties(book: Any, slug: str) -> dict[str, float]:
    """Return student id → late penalty, for work that has one."""
    found = rows(
        book,
        f"""
        SELECT submitted_assignment.student_id, submitted_notebook.late_submission_penalty
        FROM {_HANDED_IN} WHERE assignment.name = :slug
        """,
        slug=slug,
    )
    return {student: float(penalty) for student, penalty in found if penalty}


def perhaps_late(book: Any) -> dict[str, list[str]]:
    """Return slug → who handed in after the due time or has a late penalty, for what has either."""
    found: dict[str, list[str]] = {}
    for slug, whose in rows(
        book,
        f"""
        SELECT assignment.name, submitted_assignment.student_id FROM {_HANDED_IN}
        WHERE submitted_notebook.late_submission_penalty IS NOT NULL
            OR submitted_assignment.timestamp > assignment.duedate
        ORDER BY assignment.name, submitted_assignment.student_id
        """,
    ):
        found.setdefault(slug, []).append(whose)
    return found


def out_of(book: Any, slug: str) -> float:
    """Return the marks of the whole exercise, or 0 if the gradebook doesn't have it."""
    sql = f"SELECT SUM({_OUT_OF}) FROM {_CELLS} WHERE assignment.name = :slug"
    return float(rows(book, sql, slug=slug)[0][0] or 0.0) if knows(book, slug) else 0.0


def knows(book: Any, slug: str, release: NotebookNode | None = None) -> bool:
    """Whether the gradebook holds the assignment and, if `release` is given, all of its cells.

    It may not, if the gradebook was lost or put back from a backup, or if a hand-out was cut short.
    """
    cells = rows(
        book,
        f"""
        SELECT base_cell.name, base_cell.type, {_OUT_OF}
        FROM {_CELLS} WHERE assignment.name = :slug AND notebook.name = :slug
        """,
        slug=slug,
    )
    points = {name: marks for name, kind, marks in cells if kind == "GradeCell"}
    if release is None:
        return bool(points)
    metas = [cell.metadata["nbgrader"] for cell in release.cells]
    return (
        _source_cells(book, slug) == {m["grade_id"] for m in metas}
        and points == {m["grade_id"]: m["points"] for m in metas if m["grade"]}
        and {name for name, kind, _ in cells if kind == "SolutionCell"}
        == {m["grade_id"] for m in metas if m["solution"]}
    )


def knows_student(book: Any, student: str) -> bool:
    """Whether the gradebook has a row for this student."""
    return bool(rows(book, "SELECT id FROM student WHERE id = :student", student=student))


def _source_cells(book: Any, slug: str) -> set[str]:
    sql = """
        SELECT source_cell.name FROM source_cell
        JOIN notebook ON notebook.id = source_cell.notebook_id
        JOIN assignment ON assignment.id = notebook.assignment_id
        WHERE assignment.name = :slug AND notebook.name = :slug
    """
    return {name for (name,) in rows(book, sql, slug=slug)}


def waiting(book: Any, slug: str) -> set[str]:
    """Return who has a question that a person must mark, or look at again."""
    found = questions(book, slug)
    return {who for who, held in found.items() if any(map(_is_a_persons, held.values()))}


def _is_a_persons(held: QuestionMarks) -> bool:
    return held.waits or held.sure is None


def manual_comments(book: Any, slug: str) -> dict[str, dict[str, str]]:
    """Return student id → cell id → the comment that a person gave, where there is one."""
    found: dict[str, dict[str, str]] = {}
    for whose, cell, said in rows(
        book,
        f"""
        SELECT submitted_assignment.student_id, base_cell.name, comment.manual_comment
        FROM {_HANDED_IN}
        JOIN comment ON comment.notebook_id = submitted_notebook.id
        JOIN base_cell ON base_cell.id = comment.cell_id
        WHERE assignment.name = :slug AND comment.manual_comment IS NOT NULL
        ORDER BY submitted_assignment.student_id, base_cell.id
        """,
        slug=slug,
    ):
        found.setdefault(whose, {})[cell] = said
    return found


def due_times(book: Any) -> dict[str, datetime | None]:
    """Return slug → due time of each exercise, UTC without zone, or None if it has none."""
    return {slug: _moment(due) for slug, due in rows(book, "SELECT name, duedate FROM assignment")}


def _moment(found: str | datetime | None) -> datetime | None:
    """Return a time from the database, which SQLite keeps as text."""
    return datetime.fromisoformat(found) if isinstance(found, str) else found


@dataclass(frozen=True)
class Standing:
    """What the gradebook holds for one student's work on an exercise."""

    questions: dict[str, QuestionMarks]
    comments: dict[str, str]  # cell id → comment, a person's if there is one, else the machine's
    late_penalty: float
    came: datetime | None

    @property
    def waits(self) -> bool:
        """Whether a person must mark a part of it, or look at it again."""
        return self.to_read > 0

    @property
    def to_read(self) -> int:
        """How many answers a person must mark, or look at again."""
        return sum(map(_is_a_persons, self.questions.values()))

    @cached_property
    def digest(self) -> str:
        """A short text that differs whenever anything here does."""
        held = [
            (id, q.auto, q.manual, q.extra, q.out_of, q.waits) for id, q in self.questions.items()
        ]
        said = repr((held, self.comments, self.late_penalty, self.came))
        return hashlib.sha256(said.encode()).hexdigest()[:16]

    @property
    def total(self) -> float:
        """Marks in all, with the late penalty taken off."""
        return sum(g.marks for g in self.questions.values()) - self.late_penalty


def standings(book: Any, slug: str, student: str | None = None) -> dict[str, Standing]:
    """Return student id → what the gradebook holds, for those who handed something in."""
    return _standings(book, slug, student).get(slug, {})


def _standings(book: Any, slug: str | None, student: str | None) -> dict[str, dict[str, Standing]]:
    marks, comments = _questions(book, slug, student), _comments(book, slug, student)
    found: dict[str, dict[str, Standing]] = {}
    for name, whose, came, late in rows(
        book,
        f"""
        SELECT assignment.name, student_id, timestamp, late_submission_penalty
        FROM {_HANDED_IN} WHERE {_only(slug, student)}
        """,
        slug=slug,
        student=student,
    ):
        key, of_lesson = (name, whose), found.setdefault(name, {})
        before = of_lesson[whose].late_penalty if whose in of_lesson else 0.0
        of_lesson[whose] = Standing(
            marks.get(key, {}), comments.get(key, {}), float(late or before), _moment(came)
        )
    return found


@dataclass(frozen=True)
class LessonMarks:
    """What the gradebook holds of an exercise: the marks of the whole, and how students stand."""

    out_of: float
    standings: dict[str, Standing]


def lessons(book: Any) -> dict[str, LessonMarks]:
    """Return slug → what the gradebook holds, for every exercise that it knows, in few queries."""
    found = _standings(book, None, None)
    sql = f"""
        SELECT assignment.name, notebook.name, base_cell.type, {_OUT_OF} FROM {_CELLS}
    """
    marks: dict[str, float] = {}
    known = set()
    for slug, notebook, kind, worth in rows(book, sql):
        marks[slug] = marks.get(slug, 0.0) + float(worth)
        if slug == notebook and kind == "GradeCell":
            known.add(slug)
    return {slug: LessonMarks(marks[slug], found.get(slug, {})) for slug in sorted(known)}


def _comments(
    book: Any, slug: str | None, student: str | None
) -> dict[tuple[str, str], dict[str, str]]:
    """Return (exercise, student id) → cell id → comment, a person's if there is one."""
    whose, cells = _notebooks(book, slug, student), _cells(book)
    found: dict[tuple[str, str], dict[str, str]] = {}
    for notebook, cell, said in rows(
        book,
        f"""
        SELECT notebook_id, cell_id, COALESCE(manual_comment, auto_comment)
        FROM comment WHERE {_in_work(slug, student)} ORDER BY cell_id
        """,
        slug=slug,
        student=student,
    ):
        if said and notebook in whose and cell in cells:
            found.setdefault(whose[notebook], {})[cells[cell][0]] = said
    return found


def standing(book: Any, slug: str, student: str) -> Standing | None:
    """Return what the gradebook holds for one student, or None if nothing was handed in."""
    return standings(book, slug, student).get(student)
