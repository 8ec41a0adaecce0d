"""Opens nbgrader's own gradebook and reads what it holds; `grades` writes marks into it.

A gradebook in a file keeps SQLite's rollback journal and syncs fully. The faster write-ahead log
keeps fresh marks in a second file beside the first: a class folder that is copied, synced or put
on a stick while formgrader is open would lose them, and it does not work on network drives.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from nbformat import NotebookNode

from coursekit.classroom.register.class_folder import ClassError, ClassFolder, Student

_PRAGMAS = ("busy_timeout=30000", "journal_mode=DELETE", "synchronous=EXTRA")


@contextmanager
def gradebook(folder: ClassFolder) -> Iterator[Any]:
    """Yield the class's gradebook, closed at the end; ClassError where it cannot be opened."""
    with _opened(folder) as book:
        yield book


def _opened(folder: ClassFolder) -> Any:
    from nbgrader.api import Gradebook
    from sqlalchemy.exc import DBAPIError

    try:
        found(folder)
        book = Gradebook(folder.db_url)
    except ModuleNotFoundError:
        raise ClassError(
            f"{folder.path / 'class.toml'}: a gradebook on a PostgreSQL server must have the package "
            "psycopg; it is not installed. Run `pip install 'coursekit[postgresql]'`."
        ) from None
    except DBAPIError as error:  # its text names host and user, never the password
        said = str(error.orig).strip().splitlines()[0]
        raise ClassError(
            f"{folder.path}: the gradebook must open; the database says: {said}. Look whether it is "
            "there, free and yours."
        ) from None
    _set_safe(book)
    return book


def found(folder: ClassFolder) -> None:
    """Make a new, empty gradebook where there is none: all of it or nothing.

    nbgrader's own way makes the tables first and notes their version later, which a kill between
    the two leaves undone for good; and it asks for a program on the PATH.
    """
    from sqlalchemy import create_engine, inspect

    if folder.gradebook:
        engine = create_engine(folder.db_url)
        try:
            if not inspect(engine).get_table_names():
                _make_tables(engine)
        finally:
            engine.dispose()
    elif not folder.gradebook_file.is_file():
        part = folder.path / f".gradebook.{os.getpid()}.part"
        part.unlink(missing_ok=True)
        engine = create_engine(f"sqlite:///{part.resolve()}")
        _make_tables(engine)
        engine.dispose()
        part.replace(folder.gradebook_file)


def _make_tables(engine: Any) -> None:
    """Make nbgrader's tables and note their version, in one transaction where the server has that."""
    import nbgrader
    from alembic.script import ScriptDirectory
    from nbgrader.api import Base
    from sqlalchemy import text

    scripts = ScriptDirectory(str(Path(nbgrader.__file__).parent / "alembic"))
    with engine.begin() as connection:
        Base.metadata.create_all(connection)
        connection.execute(text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)"))
        connection.execute(
            text("INSERT INTO alembic_version (version_num) VALUES (:head)"),
            {"head": scripts.get_current_head()},
        )
        # the course of a class folder that names none: a server holds nbgrader to its own reference
        connection.execute(text("INSERT INTO course (id) VALUES ('')"))


def _set_safe(book: Any) -> None:
    """Let every connection to a gradebook file sync each commit to the disk."""
    from sqlalchemy import event

    if book.engine.dialect.name != "sqlite":
        return

    def set_safe(connection: Any, _record: Any) -> None:
        for pragma in _PRAGMAS:
            connection.execute(f"PRAGMA {pragma}")

    book.db.remove()
    book.engine.dispose()  # the connections made so far were made without it
    event.listen(book.engine, "connect", set_safe)


def enrol(book: Any, students: Sequence[Student]) -> None:
    """Put the roster's students into the gradebook; ones that are there get their name again."""
    from nbgrader.api import Student as Row

    known = {student.id: student for student in book.students}
    for student in students:
        if student.id not in known:
            book.db.add(Row(id=student.id, first_name=student.name))
        elif known[student.id].first_name != student.name:
            known[student.id].first_name = student.name
    book.db.commit()


def notebook_of(submission: Any, slug: str) -> Any:
    """Return the notebook `slug` of a submission."""
    for notebook in submission.notebooks:
        if notebook.name == slug:
            return notebook
    raise KeyError(slug)


def scores(book: Any, slug: str) -> dict[str, dict[str, float]]:
    """Return student id → question id → marks as the gradebook has them, for handed-in work."""
    return {
        student: {question: float(score or 0.0) for question, (_, score) in grades.items()}
        for student, grades in _grades(book, slug).items()
    }


def machine_scores(book: Any, slug: str) -> dict[str, dict[str, float | None]]:
    """Return student id → question id → the machine's score, None where a person must give it."""
    return {
        student: {question: auto for question, (auto, _) in grades.items()}
        for student, grades in _grades(book, slug).items()
    }


def sure_scores(book: Any, slug: str) -> dict[str, dict[str, float | None]]:
    """Return student id → question id → a person's score, else the machine's; None where one waits."""
    found: dict[str, dict[str, float | None]] = {}
    for submission in book.assignment_submissions(slug):
        grades = notebook_of(submission, slug).grades
        found[submission.student_id] = {
            g.name: g.auto_score if g.manual_score is None else g.manual_score for g in grades
        }
    return found


def _grades(book: Any, slug: str) -> dict[str, dict[str, tuple[float | None, float | None]]]:
    """Return all grades of an assignment, by one query."""
    from nbgrader.api import Assignment, BaseCell, Grade, SubmittedAssignment, SubmittedNotebook

    rows = (
        book.db.query(SubmittedAssignment.student_id, BaseCell.name, Grade.auto_score, Grade.score)
        .join(SubmittedNotebook, SubmittedNotebook.assignment_id == SubmittedAssignment.id)
        .join(Assignment, Assignment.id == SubmittedAssignment.assignment_id)
        .join(Grade, Grade.notebook_id == SubmittedNotebook.id)
        .join(BaseCell, BaseCell.id == Grade.cell_id)
        .filter(Assignment.name == slug)
    )
    found: dict[str, dict[str, tuple[float | None, float | None]]] = {}
    for student, question, auto, score in rows:
        found.setdefault(student, {})[question] = (auto, score)
    return found


def late_penalties(book: Any, slug: str) -> dict[str, float]:
    """Return student id → late penalty, for work that has one."""
    from nbgrader.api import Assignment, SubmittedAssignment, SubmittedNotebook

    rows = (
        book.db.query(SubmittedAssignment.student_id, SubmittedNotebook.late_submission_penalty)
        .join(SubmittedNotebook, SubmittedNotebook.assignment_id == SubmittedAssignment.id)
        .join(Assignment, Assignment.id == SubmittedAssignment.assignment_id)
        .filter(Assignment.name == slug)
    )
    return {student: float(penalty) for student, penalty in rows if penalty}


def knows(book: Any, slug: str, release: NotebookNode | None = None) -> bool:
    """Whether the gradebook holds the assignment, and with `release` whether all of its cells.

    A gradebook that was lost or put back may not, nor one whose making was cut short.
    """
    from nbgrader.api import MissingEntry

    try:
        notebook = book.find_notebook(slug, slug)
    except MissingEntry:
        return False
    if release is None:
        return bool(notebook.grade_cells)
    metas = [cell.metadata["nbgrader"] for cell in release.cells]
    return (
        {c.name for c in notebook.source_cells} == {m["grade_id"] for m in metas}
        and {c.name: c.max_score for c in notebook.grade_cells}
        == {m["grade_id"]: m["points"] for m in metas if m["grade"]}
        and {c.name for c in notebook.solution_cells}
        == {m["grade_id"] for m in metas if m["solution"]}
    )


@dataclass(frozen=True)
class QuestionMarks:
    """What the gradebook holds for one question: the machine's mark, a person's, extra credit."""

    auto: float | None
    manual: float | None
    extra: float
    out_of: float
    waits: bool

    @property
    def marks(self) -> float:
        """The marks that count."""
        kept = self.manual if self.manual is not None else self.auto
        return float(kept or 0.0) + self.extra


@dataclass(frozen=True)
class Standing:
    """What the gradebook holds for one student's work on an exercise."""

    questions: dict[str, QuestionMarks]
    comments: dict[str, str]  # cell id → comment, a person's where there is one
    late_penalty: float
    came: datetime | None

    @property
    def total(self) -> float:
        """Marks in all, the late penalty taken off."""
        return sum(g.marks for g in self.questions.values()) - self.late_penalty


def standing(book: Any, slug: str, student: str) -> Standing | None:
    """Return what the gradebook holds for one student; None where nothing is handed in."""
    from nbgrader.api import MissingEntry

    try:
        submission = book.find_submission(slug, student)
    except MissingEntry:
        return None
    notebook = notebook_of(submission, slug)
    return Standing(
        {
            g.name: QuestionMarks(
                g.auto_score,
                g.manual_score,
                float(g.extra_credit or 0.0),
                float(g.cell.max_score),
                bool(g.needs_manual_grade),
            )
            for g in notebook.grades
        },
        {c.name: c.comment for c in notebook.comments if c.comment},
        float(notebook.late_submission_penalty or 0.0),
        submission.timestamp,
    )
