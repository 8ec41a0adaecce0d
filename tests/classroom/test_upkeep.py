"""One marking at a time, backups of the gradebook, a gradebook file that is safe."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

from coursekit.classroom.gradebook import opener
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassError

from . import small
from .conftest import LIMITS

HOLD = """
import sys
from pathlib import Path
from coursekit.classroom.register.class_folder import load
from coursekit.classroom.register.lock_and_backup import only_writer

with only_writer(load(Path(sys.argv[1]))):
    print("held", flush=True)
    sys.stdin.readline()
"""


@pytest.fixture
def holder(evening):
    """Another process that marks this class now."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(evening.folder.path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout.readline() == "held\n"
    yield process
    process.kill()
    process.communicate()


def test_two_markings_at_once_are_refused(evening, holder):
    before = small.tree(evening.folder.path)
    with pytest.raises(ClassError) as caught:
        mark_class.mark_class(evening, limits=LIMITS)
    assert f"another is at work (process {holder.pid} since" in str(caught.value)
    assert str(caught.value).endswith("Wait until it ends, then run this again.")
    assert small.tree(evening.folder.path) == before


def test_a_killed_marking_leaves_no_lock(evening, holder):
    holder.kill()
    holder.wait()
    with lock_and_backup.only_writer(evening.folder):
        pass


def test_a_backup_is_the_gradebook_before_the_marking(evening):
    rows = small.rows(evening)
    small.hand_in(evening, "bench-04")
    mark_class.mark_class(evening, limits=LIMITS)
    assert small.rows(evening) != rows
    evening.folder.gradebook_file.write_bytes(
        lock_and_backup.backups(evening.folder)[-1].read_bytes()
    )
    assert small.rows(evening) == rows


def test_the_last_backups_are_kept_and_none_is_made_twice(evening):
    for i in range(8):
        with opener.gradebook(evening.folder) as book:
            book.find_grade("area", "small", "small", "bench-01").extra_credit = i
            book.db.commit()
        first = lock_and_backup.backup(evening.folder)
        assert lock_and_backup.backup(evening.folder) == first
    kept = lock_and_backup.backups(evening.folder)
    assert len(kept) == lock_and_backup.BACKUPS_KEPT
    credits = []
    for path in kept:
        with closing(sqlite3.connect(path)) as old:
            credits += old.execute("select max(extra_credit) from grade").fetchone()
    assert credits == [3, 4, 5, 6, 7]


def test_half_written_files_are_swept(evening):
    part = evening.folder.autograded("bench-01", "small") / ".small.ipynb.123.part"
    part.write_text("half")
    files = small.tree(evening.folder.path / "autograded")
    mark_class.mark_class(evening, limits=LIMITS)
    assert small.tree(evening.folder.path / "autograded") == {
        k: v for k, v in files.items() if not k.endswith(".part")
    }


def test_each_connection_to_the_gradebook_file_syncs_each_commit(evening):
    from sqlalchemy import text

    with opener.gradebook(evening.folder) as book:
        # https://www.sqlite.org/pragma.html#pragma_synchronous: EXTRA is 3
        assert book.db.execute(text("pragma synchronous")).scalar() == 3
        assert book.db.execute(text("pragma journal_mode")).scalar() == "delete"


def test_a_new_gradebook_has_nbgraders_tables_and_version(evening, monkeypatch):
    import os
    from pathlib import Path

    from nbgrader.api import Gradebook, get_alembic_version
    from sqlalchemy import inspect, text

    monkeypatch.setenv("PATH", f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}")
    evening.folder.gradebook_file.unlink()
    opener.found(evening.folder)
    with Gradebook(evening.folder.db_url) as ours:
        version = ours.db.execute(text("select version_num from alembic_version")).scalar()
        tables = inspect(ours.engine).get_table_names()
    assert version == get_alembic_version()
    theirs_at = evening.folder.path / "theirs.db"
    with Gradebook(f"sqlite:///{theirs_at}") as theirs:
        assert tables == inspect(theirs.engine).get_table_names()


def test_a_gradebook_that_is_none_is_told(evening):
    evening.folder.gradebook_file.write_bytes(b"not a database, not at all, but long enough" * 99)
    with (
        pytest.raises(ClassError, match="the gradebook must open; the database says: file is not"),
        opener.gradebook(evening.folder),
    ):
        pass


def test_a_release_is_made_again_only_where_the_gradebook_does_not_know_it(evening, monkeypatch):
    from coursekit.classroom.handout import assignments, release

    made = []
    generate = release._generate
    monkeypatch.setattr(release, "_generate", lambda *a: made.append(a) or generate(*a))
    assignments.make_release(evening)
    assert made == []
    evening.folder.gradebook_file.unlink()
    assignments.make_release(evening)
    with closing(sqlite3.connect(evening.folder.gradebook_file)) as book:
        book.execute("delete from source_cell where name = 'why'")
        book.commit()
    assignments.make_release(evening)
    assignments.make_release(evening)
    assert len(made) == 2
