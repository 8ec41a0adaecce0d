"""A small exercise of two chained questions, for tests that change one thing at a time."""

from __future__ import annotations

from pathlib import Path

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
from coursekit.classroom.key import Key

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
