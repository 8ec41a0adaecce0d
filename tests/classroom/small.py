"""A small exercise of two chained questions, for tests that change one thing at a time."""

from __future__ import annotations

from pathlib import Path

import nbformat

from coursekit.classroom.demo import invented_class
from coursekit.classroom.demo.invented_class import students
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.handout import assignments, printing
from coursekit.classroom.register.class_folder import load, open_class, write_text

PUBLIC = """\
---
title: Small
numbers:
  side:
    say: side of a square
    unit: mm
    low: 10
    high: 30
    step: 0.5
---

Two sums.

## area
marks: 2
unit: mm
tolerance: 1
given: [side]

What is its area?

## double
marks: 3
method_marks: 2
unit: mm
tolerance: 1

And of two?

## shape
marks: 1
options:
  round: a circle
  square: a square

What is it?

## why
kind: written
marks: 2

Say why.
"""

PRIVATE = '''\
from coursekit.classroom.bank.keys import Key

key = Key("small")


@key.answer("area")
def _(n):
    return n.side**2


@key.slip("area", credit=0.25)
def perimeter(n):
    """You went round it."""
    return 4 * n.side


@key.answer("double", after=("area",))
def _(n, earlier):
    return 2 * earlier["area"]


@key.slip("double")
def doubled_side(n):
    """You doubled the side."""
    return 4 * n.side**2


@key.answer("shape")
def _(n):
    return "square"


@key.slip("shape")
def a_ring(n):
    """It has corners."""
    return "round"
'''

WORKED = """\
## area
{side} squared.

## double
Twice that.

## shape
A square.

## why
Because.
"""


def write(
    root: Path, public: str = PUBLIC, private: str | None = PRIVATE, worked: str | None = WORKED
) -> Path:
    """Write a course with this one exercise below `root` and return `root`."""
    for folder in ("course", "exercises", "solutions"):
        (root / folder).mkdir(parents=True, exist_ok=True)
    (root / "course" / "_toc.yml").write_text("root: intro\n")
    (root / "exercises" / "small.md").write_text(public)
    if private is not None:
        (root / "solutions" / "small.py").write_text(private)
    if worked is not None:
        (root / "solutions" / "small.md").write_text(worked)
    return root


def evening(path: Path, count: int = 5, public: str = PUBLIC):
    """Return the small exercise handed out to a class of `count`, all below `path`."""
    root = write(path / "course", public)
    folder = open_class(path / "class", students(count), "Evening")
    work = assignments.assignment(folder, "small", root)
    assignments.hand_out(work)
    return work


def opened(path: Path):
    """Return the class and exercise that `evening` made below `path`, read again from its files."""
    return assignments.assignment(load(path / "class"), "small", path / "course")


def hand_in(work, student: str, cells=None, stamp: str = "2026-02-03 19:30:00 UTC\n"):
    """Hand in right answers for `student`, with `cells`, question id → code, in place of some."""
    text = (work.folder.bundle(student, "small") / "small.ipynb").read_text(encoding="utf-8")
    filled = invented_class.filled(
        nbformat.reads(text, as_version=4),
        {**invented_class.right_cells(work, student), **(cells or {})},
    )
    place = work.folder.submitted(student, "small")
    write_text(place / "small.ipynb", nbformat.writes(filled))
    if stamp:
        write_text(place / "timestamp.txt", stamp)
    return place


def rows(work):
    """Every grade, comment and submission of the gradebook, without the random row ids."""
    with gradebook(work.folder) as book:
        found = []
        for submission in book.assignment_submissions(work.slug):
            (notebook,) = submission.notebooks
            student = submission.student.id
            found.append((student, str(submission.timestamp), notebook.late_submission_penalty))
            for g in notebook.grades:
                found.append(
                    (student, g.name, g.auto_score, g.manual_score, g.extra_credit,
                     g.needs_manual_grade)
                )  # fmt: skip
            for c in notebook.comments:
                found.append((student, c.name, c.auto_comment, c.manual_comment))
        found += [(s.id, s.first_name, s.last_name) for s in book.students]
    return sorted(found, key=repr)


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below `folder`: name → content."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


def print_paper(work, size="a4", large=False):
    """Write the worksheets of everybody in the class, a blank set and the key."""
    how = printing.How(size, large=large)
    kinds = ["worksheets", "blank", "key"]
    made = printing.plan(work.folder, work.root, kinds, [work], how=how)
    return printing.write(made, work.folder.path)
