"""What a hand-out notes of an exercise in the gradebook: all its cells or none."""

from __future__ import annotations

import sqlite3

import pytest
from nbgrader.api import Gradebook

from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.handout import assignments
from coursekit.classroom.register.class_folder import ClassError, open_class

from . import small


def noted(work):
    with sqlite3.connect(work.folder.gradebook_file) as book:
        return [
            book.execute(f"SELECT count(*) FROM {t}").fetchone()[0]
            for t in ("base_cell", "notebook")
        ]


def test_a_hand_out_that_is_cut_short_notes_no_cell(tmp_path, monkeypatch):
    root = small.write(tmp_path / "course")
    folder = open_class(tmp_path / "class", invented_class.students(2), "Evening")
    work = assignments.assignment(folder, "small", root)
    stock, calls = Gradebook.update_or_create_source_cell, []

    def third_time_unlucky(book, *what, **more):
        calls.append(what)
        if len(calls) == 3:
            raise RuntimeError("the disk is gone")
        return stock(book, *what, **more)

    with monkeypatch.context() as patch:
        patch.setattr(Gradebook, "update_or_create_source_cell", third_time_unlucky)
        with pytest.raises(ClassError, match="the release must be made"):
            assignments.make_release(work)
    assert len(calls) == 3 and noted(work) == [0, 0]
    release = assignments.make_release(work)
    with read_only.reading(work.folder) as book:
        assert reader.knows(book, "small", release.notebook)
