"""Rear end and fork against their own papers: every number that can be found in two ways."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coursekit.buildable import FrontFork, RearTriangle
from coursekit.closure import Check
from coursekit.sections import Array
from coursekit.sheets import end_cards, end_words
from coursekit.sheets.build import Build
from coursekit.stays import CutStay

NEAR = 1e-5  # mm, where splay and shoulder are worked out from each other


def of(build: Build) -> Iterator[Check]:
    """Every check of rear end and fork; none without either."""
    if (rear := build.ends.rear) is not None:
        yield from _rear(build, rear)
    if (front := build.ends.front) is not None:
        yield from _fork(build, front)


def _rear(build: Build, rear: RearTriangle) -> Iterator[Check]:
    plate, axle = rear.end.dropout, np.array([*rear.end.axle, 0.0])
    for which, cut in rear.right.items():
        tab = plate.chainstay if which == "chainstay" else plate.seatstay
        end = cut.stay.line.at(cut.stay.length).point
        way = float(np.hypot(*(end - axle)[:2]))
        say = f"{which}: from the axle to its end, the tab and the stay"
        yield Check(say, tab.stay_ends, way)
        apart = 2 * abs(float(end[2])) - plate.thickness
        yield Check(f"{which}s: spacing, dropouts and stays", rear.end.spacing, apart)
        yield from _cut(build, f"right_{which}")
    half = float(build.tubes["shell"].diameter) / 2
    edge = rear.chainstay.a.edge
    off = float(np.abs(np.hypot(edge[:, 0], edge[:, 1]) - half).max())
    yield Check("chainstay: its edge on the shell", off, 0.0)
    yield from _on_seat_tube(build, rear)
    for name, one in rear.bridges.items():
        say = f"{name.replace('_', ' ')}: its length, and the stays apart there"
        stay = rear.right[name.split("_")[0]].stay
        yield Check(say, one.length, 2 * float(stay.line.at(one.s).point[2]))


def _on_seat_tube(build: Build, rear: RearTriangle) -> Iterator[Check]:
    """How far the edge of what meets the seat tube lies from the seat tube's outside."""
    pair, seat = rear.seatstays, build.pieces["seat_tube"]
    cut, say = (pair.right, "seatstay") if pair.mono is None else (pair.mono, "mono-tube")
    if not cut.a.meets or cut.a.meets[0] != "seat_tube":
        return
    edge = cut.a.edge[np.asarray(cut.a.touches) == 0]
    beside = np.linalg.norm(np.cross(edge - seat.start, seat.direction), axis=1)
    off = float(np.abs(beside - seat.diameter / 2).max())
    yield Check(f"{say}: its edge on the seat tube", off, 0.0)


def _fork(build: Build, front: FrontFork) -> Iterator[Check]:
    own, stay = front.fork, front.right.stay
    tip = stay.line.at(stay.length)
    ahead = _ahead(front)
    axle = tip.point + float(own.dropout.reach) * tip.direction + float(own.dropout.ahead) * ahead
    length, offset = float(build.frame.fork_length), float(build.frame.fork_offset)
    yield Check("fork: length, drawing and blades", length, float(np.hypot(axle[0], axle[1])))
    yield Check("fork: offset, drawing and blades", offset, float(axle[0]))
    apart = 2 * float(axle[2]) - float(own.dropout.thickness)
    yield Check("fork: spacing, dropouts and blades", float(own.dropout.spacing), apart, NEAR)
    if front.shoulder is not None and front.steerer is not None:
        edge, half = front.right.a.edge, front.steerer.diameter / 2
        off = float(np.abs(np.hypot(edge[:, 0], edge[:, 2]) - half).max())
        yield Check("fork blade: its edge on the steerer", off, 0.0)
    yield from _cut(build, "right_blade")


def _ahead(front: FrontFork) -> Array:
    """The direction square to the tip, ahead in the blade's plane."""
    tip = front.right.stay.line.at(front.right.stay.length)
    return -np.asarray(tip.zero)


def _cut(build: Build, name: str) -> Iterator[Check]:
    """Both cuts and the piece, and the tube as bought."""
    cut, bought = end_cards.to_cut(build, name)
    if bought is not None:
        plain = end_words.said(name).split(",")[0]
        say = f"{plain}: both cuts and the piece, and the tube as bought"
        whole = bought.from_a + _between(cut) + max(0.0, bought.from_b(cut.finished))
        yield Check(say, whole, bought.length, arithmetic=True)


def _between(cut: CutStay) -> float:
    """From long point to long point, by the lines of the finished stay."""
    return float(cut.stay.length - cut.a.along.min() - cut.b.along.min())
