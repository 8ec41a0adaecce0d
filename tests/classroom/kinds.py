"""An exercise with an order and points, for tests of how they are marked."""

from __future__ import annotations

from pathlib import Path

PUBLIC = """\
---
title: Kinds
numbers:
  hold:
    say: share of the pull that a tack leaves to the next
    unit: "1"
    from: [0.5, 0.6, 0.7]
  reach:
    say: how far the corner lies from the origin
    unit: mm
    low: 100
    high: 200
    step: 10
---

Two kinds.

## sequence
kind: order
marks: 3
entries: [0°, 90°, 180°, 270°]
given: [hold]

In what order do you set the four tacks?

## left-over
marks: 2
unit: mm
tolerance: 1 %
method_marks: 1
given: [hold]

How large is the pull that your order leaves?

## corners
kind: points
marks: 4
unit: mm
tolerance: 0.5
entries: [near corner, far corner]
given: [reach]

Where do the two corners lie?
"""

PRIVATE = '''\
from math import cos, hypot, radians, sin

from coursekit.classroom.bank.keys import Key

key = Key("kinds")

BEST = ("0°", "180°", "90°", "270°")


def left(n, order):
    """Length of the tilt vector."""
    angles = [radians(float(label.rstrip("°"))) for label in order]
    x = sum(n.hold**k * cos(a) for k, a in enumerate(angles))
    y = sum(n.hold**k * sin(a) for k, a in enumerate(angles))
    return hypot(x, y)


@key.answer("sequence")
def _(n):
    return BEST


@key.score("sequence")
def _(n, order):
    mine, best = left(n, order), left(n, BEST)
    share = 1.0 if mine <= best * (1 + 1e-9) else best / mine
    return share, f"It leaves a pull of {mine:.3f}, the best one {best:.3f}."


@key.slip("sequence")
def round_the_clock(n):
    """You went round the clock. Let each pull meet its opposite."""
    return [0, 90, 180, 270]


@key.answer("left-over", after=("sequence",))
def _(n, earlier):
    return left(n, earlier["sequence"])


@key.slip("left-over")
def added_as_numbers(n):
    """You added pulls as numbers. They have a direction."""
    return sum(n.hold**k for k in range(4))


@key.answer("corners")
def _(n):
    return [(n.reach, 0.0), (n.reach, 50.0)]


@key.slip("corners")
def swapped(n):
    """You wrote y before x."""
    return [(0.0, n.reach), (50.0, n.reach)]
'''

WORKED = "\n".join(f"## {id}\nWorked.\n" for id in ("sequence", "left-over", "corners"))


def write(root: Path, public: str = PUBLIC, private: str = PRIVATE) -> Path:
    """Write a course with this one exercise below `root` and return `root`."""
    for folder in ("course", "exercises", "solutions"):
        (root / folder).mkdir(parents=True, exist_ok=True)
    (root / "course" / "_toc.yml").write_text("root: intro\n")
    (root / "exercises" / "kinds.md").write_text(public, encoding="utf-8")
    (root / "solutions" / "kinds.py").write_text(private, encoding="utf-8")
    (root / "solutions" / "kinds.md").write_text(WORKED, encoding="utf-8")
    return root
