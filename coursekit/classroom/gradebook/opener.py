"""Opens nbgrader's own gradebook for writing, and makes an empty one if there is none.

A gradebook in a file keeps SQLite's rollback journal and syncs fully. The write-ahead log would be
faster, but it keeps fresh marks in a second file beside the first, so a class folder that is
copied, synced or put on a stick while formgrader is open would lose them. It also does not work on
network drives.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from coursekit.classroom.gradebook.read_only import not_opened, without_driver
from coursekit.classroom.register.class_folder import ClassFolder, Student

_PRAGMAS = ("busy_timeout=30000", "journal_mode=DELETE", "synchronous=EXTRA")


@contextmanager
def gradebook(folder: ClassFolder) -> Iterator[Any]:
    """Yield nbgrader's own gradebook, closed at the end; ClassError if it can't be opened.

    A class that has no gradebook yet gets an empty one.
    """
    with _opened(folder) as book:
        yield book


def _opened(folder: ClassFolder) -> Any:
    from nbgrader.api import Gradebook
    from sqlalchemy.exc import DBAPIError

    try:
        found(folder)
        book = Gradebook(folder.db_url)
    except ModuleNotFoundError:
        raise without_driver(folder) from None
    except DBAPIError as error:
        raise not_opened(folder, error.orig) from None
    _set_safe(book)
    return book


def found(folder: ClassFolder) -> None:
    """Found a gradebook: make a new, empty one if there is none, all of it or nothing.

    nbgrader itself makes the tables first, asks a program on the PATH for their version and then
    notes it. If it is killed in between, the version is missing for good.
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
    """Make nbgrader's tables and note their version, in one transaction if the database can."""
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
        # nbgrader refers to the course '' if none is named, and a server insists that it exists
        connection.execute(text("INSERT INTO course (id) VALUES ('')"))


def _set_safe(book: Any) -> None:
    """Make every connection to a gradebook file sync each commit to the disk."""
    from sqlalchemy import event

    if book.engine.dialect.name != "sqlite":
        return

    def set_safe(connection: Any, _record: Any) -> None:
        for pragma in _PRAGMAS:
            connection.execute(f"PRAGMA {pragma}")

    book.db.remove()
    book.engine.dispose()  # connections made before this would lack the pragmas
    event.listen(book.engine, "connect", set_safe)


def enrol(book: Any, students: Sequence[Student]) -> None:
    """Put the roster's students into the gradebook, and bring the known ones' names up to date."""
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
