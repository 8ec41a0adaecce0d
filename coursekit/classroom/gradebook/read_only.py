"""Opens a gradebook for reading only, without nbgrader's own code, which takes seconds to import.

A gradebook in a file is read by Python's own `sqlite3`, one on a server by SQLAlchemy's core.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from coursekit.classroom.register.class_folder import ClassError, ClassFolder

_WAIT = 30.0  # seconds that a reader waits for a writer to finish its commit

Row = tuple[Any, ...]


class ReadOnlyBook:
    """An open gradebook that answers SQL queries and can't be written.

    `connection` is sqlite3's or SQLAlchemy's. None stands for a gradebook that isn't made yet,
    which reads like an empty one.
    """

    def __init__(self, connection: Any = None) -> None:
        self._connection = connection

    def rows(self, sql: str, **values: object) -> list[Row]:
        """Return the rows that `sql` selects; each `:name` in it stands for one of the `values`."""
        if self._connection is None:
            return []
        if isinstance(self._connection, sqlite3.Connection):
            return self._connection.execute(sql, values).fetchall()
        from sqlalchemy import text

        return [tuple(row) for row in self._connection.execute(text(sql), values)]


@contextmanager
def reading(folder: ClassFolder) -> Iterator[ReadOnlyBook]:
    """Yield the class's gradebook for reading, closed at the end.

    If there is no gradebook yet, none is made. Raises ClassError if it can't be read.
    """
    with _on_server(folder) if folder.gradebook else in_file(folder) as book:
        yield book


@contextmanager
def in_file(folder: ClassFolder, backup: Path | None = None) -> Iterator[ReadOnlyBook]:
    """Yield the gradebook in the class's file, or in a `backup` of it, for reading.

    Raises ClassError if it can't be read.
    """
    file = backup or folder.gradebook_file
    if not file.is_file():
        yield ReadOnlyBook()
        return
    # "rw" makes no new file, but unlike "ro" it lets SQLite undo a commit that was cut short
    address = f"{file.resolve().as_uri()}?mode=rw"
    try:
        with closing(sqlite3.connect(address, uri=True, timeout=_WAIT)) as connection:
            connection.execute("PRAGMA query_only = ON")
            tables = connection.execute("SELECT name FROM sqlite_master WHERE name = 'assignment'")
            yield ReadOnlyBook(connection if tables.fetchone() else None)
    except sqlite3.Error as error:
        raise not_opened(folder, error) from None


def state(folder: ClassFolder) -> tuple[object, ...] | None:
    """Return what differs whenever the gradebook was written; None if that can't be told.

    It can be told of a file: SQLite counts its commits in bytes 24 to 27 of it, unless it writes
    them to a file beside it first (https://www.sqlite.org/fileformat2.html, section 1.3).
    """
    file = folder.gradebook_file
    if folder.gradebook:
        return None
    try:
        with file.open("rb") as opened:
            head, found = opened.read(28), os.fstat(opened.fileno())
    except OSError:
        return None
    if head[18:20] != b"\1\1":
        return None
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns, head[24:28]


@contextmanager
def _on_server(folder: ClassFolder) -> Iterator[ReadOnlyBook]:
    from sqlalchemy import create_engine, inspect
    from sqlalchemy.exc import DBAPIError

    try:
        engine = create_engine(folder.db_url)
    except ModuleNotFoundError:
        raise without_driver(folder) from None
    try:
        with engine.connect() as plain:
            connection = plain.execution_options(postgresql_readonly=True)
            made = inspect(connection).has_table("assignment")
            yield ReadOnlyBook(connection if made else None)
    except DBAPIError as error:
        raise not_opened(folder, error.orig) from None
    finally:
        engine.dispose()


def without_driver(folder: ClassFolder) -> ClassError:
    """Return the error for a gradebook on a server if the package that reaches it is missing."""
    return ClassError(
        f"{folder.path / 'class.toml'}: a gradebook on a PostgreSQL server must have the package "
        "psycopg; it is not installed. Run `pip install 'coursekit[postgresql]'`."
    )


def not_opened(folder: ClassFolder, error: object) -> ClassError:
    """Return the error for a gradebook that its database won't open.

    The message quotes the database, which names the host and the user but never the password.
    """
    said = str(error).strip().splitlines()[0]
    return ClassError(
        f"{folder.path}: the gradebook must open; the database says: {said}. Look whether it is "
        "there, free and yours."
    )
