"""Honest work gets the marks that stock `nbgrader autograde` gives it, cell by cell, in every exercise.

Judge: nbgrader's own autograde without this kit's plug-ins, on check cells that it runs itself. Where
this kit is meant to give more (method marks, a part of a vector, a slip's credit) there is nothing to
compare with, so the work is right, blank, plainly wrong, or a slip that earns nothing.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

from coursekit.classroom.bank import exercises, own_numbers
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import load, write_text
from tests import stock_peer

from .conftest import LIMITS, SLUG

SLUGS = exercises.slugs(Path(__file__).resolve().parents[2])


def right(work, student):
    return own_numbers.answers(work.exercise, work.key, work.numbers(student))


def wrong_here_and_there(work, student):
    """Every other value plainly wrong; of an order this kit gives part marks, so it stays right."""
    marked = [q for q in work.exercise.graded if q.kind != "written"]
    return {
        q.id: stock_peer.answer(q, right(work, student)[q.id], i % 2 == 0 and q.kind != "order")
        for i, q in enumerate(marked)
    }


def slips(work, student):
    """Slips that earn nothing, at questions that no other builds on."""
    found = right(work, student)
    built_on = {q for answer in work.key.answers.values() for q in answer.after}
    for question in work.exercise.graded:
        for slip in work.key.slips.get(question.id, ()):
            if (
                not slip.credit
                and question.kind in ("number", "choice")
                and question.id not in built_on
            ):
                value = work.key.slip_value(slip, question, work.numbers(student), found)
                found = found | {question.id: value}
                break
    return found


CASES = {"bench-01": right, "bench-02": lambda work, student: {}, "bench-03": wrong_here_and_there,
         "bench-04": slips}  # fmt: skip


def nbgrader(folder, *words):
    done = subprocess.run(
        [sys.executable, "-m", "nbgrader", *words], cwd=folder, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr[-3000:]


@pytest.mark.parametrize(
    "slug", [SLUG, *(pytest.param(s, marks=pytest.mark.slow) for s in SLUGS if s != SLUG)]
)
def test_marks_are_the_same_cell_by_cell(root, handed_out, tmp_path, slug):
    shutil.copytree(handed_out(slug).folder.path, tmp_path / "kit")
    folder = load(tmp_path / "kit")
    work = assignments.assignment(folder, slug, root)
    peer = tmp_path / "stock"
    stock_peer.write_source(peer, work)
    (peer / "nbgrader_config.py").write_text(stock_peer.CONFIG)
    nbgrader(peer, "generate_assignment", slug)
    wrong = {}
    for student, answers in CASES.items():
        values = answers(work, student)
        wrong[student] = sum(values.get(q) != v for q, v in right(work, student).items())
        cells = {q: c for q, c in invented_class._cells(work, values).items() if q in values}
        stock_peer.hand_in(peer, work, student, cells)
        bundle = folder.bundle(student, slug) / f"{slug}.ipynb"
        filled = invented_class.filled(nbformat.read(bundle, as_version=4), cells)
        write_text(folder.submitted(student, slug) / bundle.name, nbformat.writes(filled))
    nbgrader(peer, "autograde", slug)
    mark_class.mark_class(work, limits=LIMITS)
    with gradebook(folder) as book:
        ours = scores(book, slug)
    from nbgrader.api import Gradebook

    with Gradebook(f"sqlite:///{peer / 'gradebook.db'}") as book:
        theirs = scores(book, slug)
    assert ours == theirs
    # and what they agree on is what it should be
    machine = sum(q.marks for q in work.exercise.graded if q.kind != "written")
    assert sum(theirs["bench-01"].values()) == machine
    assert sum(theirs["bench-02"].values()) == 0
    for student in ("bench-03", "bench-04"):
        assert wrong[student] > 1
        assert 0 < sum(theirs[student].values()) < machine
