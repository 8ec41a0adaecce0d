"""Closure: does a walk round a figure come back to its start, do two ways to one number agree?

References: U.S. Naval Education and Training, Engineering Aid (intermediate), chapter 7 (latitudes and
departures, linear error of closure, the course that lies parallel to it); JCGM 100:2008 (GUM), 5.1.2.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import fixture
from coursekit.frame import Frame
from coursekit.pieces import Piece, Trimmed
from coursekit.rules import not_negative, require
from coursekit.scalars import bare, finite
from coursekit.sections import Array

__all__ = ["Check", "Traverse", "allowance", "of_frame", "traverse"]

EXACT = 1e-6  # mm: two ways of the kit to one number differ by rounding alone
ALONG = ("down_tube", "top_tube")  # the tubes of the main triangle that are cut at both ends


@dataclass(frozen=True)
class Traverse:
    """A walk of straight legs, and by how much it misses its start.

    Picture: x forward, y up, directions in degrees counter-clockwise from forward. `points`, (…, legs
    + 1, 2) mm, the first is 0, 0; `misclosure`, (…, 2) mm, from the start to where the walk ends;
    `distance`, its length; `direction_deg`, its direction, 0 up to 360; `perimeter`, all legs
    together, mm; `apart_deg`, (…, legs), angle between each leg and the misclosure as lines, 0 to 90:
    a leg of wrong length lies along the misclosure.
    """

    points: Array
    misclosure: Array
    distance: Any
    direction_deg: Any
    perimeter: Any
    apart_deg: Array


def traverse(lengths: ArrayLike, directions_deg: ArrayLike) -> Traverse:
    """The walk of straight legs one after another: a `Traverse`, mm and degrees.

    Parameters: `lengths`, mm, 0 or more, and `directions_deg`, degrees counter-clockwise from forward,
    both (…, legs), three legs or more.

    Raises ValueError: "The walk must have three legs or more; got 2. Walk all the way round."; "Each
    leg must have a length and a direction; got …"; "The length must be 0 or more; …"

    >>> walk = traverse([300.0, 400.0, 501.0], [0.0, 90.0, 180.0 + 53.130102])
    >>> print(np.round(walk.misclosure, 2), round(walk.distance, 2), int(np.argmin(walk.apart_deg)))
    [-0.6 -0.8] 1.0 2
    >>> traverse([300.0, 400.0], [0.0, 90.0])
    Traceback (most recent call last):
    ValueError: The walk must have three legs or more; got 2. Walk all the way round.
    """
    long, way = finite("lengths", lengths), np.radians(finite("directions", directions_deg))
    require(
        long.shape[-1:] == way.shape[-1:],
        "Each leg must have a length and a direction; got {long} lengths and {way} "
        "directions. Check the lists.",
        long=np.shape(long)[-1:],
        way=np.shape(way)[-1:],
    )
    legs = long.shape[-1] if long.ndim else 1
    require(
        legs >= 3,
        "The walk must have three legs or more; got {legs}. Walk all the way round.",
        legs=legs,
    )
    long, way = np.broadcast_arrays(not_negative("length", long), way)
    steps = np.stack([long * np.cos(way), long * np.sin(way)], axis=-1)
    points = np.concatenate([np.zeros_like(steps[..., :1, :]), np.cumsum(steps, axis=-2)], axis=-2)
    x, y = points[..., -1, 0], points[..., -1, 1]
    toward = np.arctan2(y, x)
    across = np.abs(np.sin(way - toward[..., None]))
    apart = np.degrees(np.arcsin(np.minimum(across, 1.0)))
    return Traverse(points, points[..., -1, :], bare(np.hypot(x, y)), bare(np.degrees(toward) % 360.0),
                    bare(long.sum(axis=-1)), apart)  # fmt: skip


def allowance(lengths: ArrayLike, length_u: Any, direction_u_deg: Any) -> Any:
    """How far a right walk may miss its start by its readings alone: standard uncertainty, mm.

    Each leg moves the end along itself by what its length is uncertain, and square to itself by its
    length times what its direction is uncertain; both as root sum of squares. It is the root mean
    square of the misclosure's distance.

    Parameters: `lengths`, mm, (…, legs); `length_u`, mm, and `direction_u_deg`, degrees, standard
    uncertainties, numbers or one a leg, 0 or more.

    Raises ValueError: "The length uncertainty must be 0 or more; …"

    >>> print(round(allowance([300.0, 400.0, 500.0], 0.5, 0.0), 3))  # 0.5 · √3
    0.866
    >>> allowance([300.0], -0.5, 0.0)
    Traceback (most recent call last):
    ValueError: The length uncertainty must be 0 or more; got -0.5 mm. Check the sign.
    """
    long = not_negative("length", finite("lengths", lengths))
    along = not_negative("length uncertainty", length_u)
    turn = np.radians(not_negative("direction uncertainty", direction_u_deg))
    parts = np.square(along) + np.square(long * turn)
    return bare(np.sqrt(np.sum(parts, axis=-1)))


@dataclass(frozen=True)
class Check:
    """One number by two ways: `say`, what it is; `one` and `other`, mm; `allowed`, how much they may differ."""

    say: str
    one: float
    other: float
    allowed: float = EXACT

    @property
    def difference(self) -> float:
        """One less the other, mm."""
        return self.one - self.other

    @property
    def closes(self) -> bool:
        """Whether the two ways agree."""
        return bool(abs(self.difference) <= self.allowed)


def of_frame(frame: Frame, trimmed: Mapping[str, Trimmed], rail: Any = 0.0) -> tuple[Check, ...]:
    """Every number of a placed frame that the kit comes to by two ways that share no step.

    Drawing against fixture (wheelbase, head tube, trail), the main triangle walked round by its cut
    tubes, each cut edge against the tube it meets, and each bought tube against its parts.

    Parameters: `frame`, one placed frame; `trimmed`, its tubes by name, as of `pieces.cut_out`; the
    walk is left out where top or down tube is not among them; `rail`, as of `fixture.settings`.

    Raises ValueError as `fixture.settings` does.
    """
    pieces = {name: cut.piece for name, cut in trimmed.items()}
    made = [*_against_fixture(frame, rail)]
    if set(ALONG) <= pieces.keys():
        walk = main_triangle(frame, pieces)
        made.append(Check("main triangle, walked round", float(walk.distance), 0.0))
    for name, cut in trimmed.items():
        made += _of_tube(name.replace("_", " "), cut)
    made += [_edge(frame, piece, end) for piece in pieces.values() for end in "ab" if piece.end(end).joints]  # fmt: skip
    return tuple(made)


def _against_fixture(frame: Frame, rail: Any) -> tuple[Check, ...]:
    s = fixture.settings(frame, rail)
    lean = np.radians(float(s.head_angle_deg))
    axle = s.head_ahead - s.axle_along * np.cos(lean) + s.axle_ahead * np.sin(lean)
    again = fixture.built(frame, s, rail)
    return (
        Check("wheelbase, drawing and fixture", float(frame.wheelbase), float(s.rear_back + axle)),
        Check("head tube, drawing and fixture", float(frame.head_tube), float(s.high_face - s.low_face)),
        Check("trail, drawing and as the fixture holds it", float(frame.trail), float(again.trail)),
    )  # fmt: skip


def main_triangle(frame: Frame, pieces: Mapping[str, Piece]) -> Traverse:
    """The walk up the down tube, up the steering axis, back along the top tube, down the seat tube.

    Lengths and directions of down and top tube are those of the cut pieces, directions of the other
    two are the drawing's angles: where an end lies beside its axis, the walk doesn't close.
    """
    down, top = (pieces[name] for name in ALONG)
    ends = [p.start[:2] + p.length * p.direction[:2] for p in (down, top)]
    head, seat = (180.0 - float(a) for a in (frame.head_angle_deg, frame.seat_angle_deg))
    up, lean = ((np.cos(np.radians(a)), np.sin(np.radians(a))) for a in (head, seat))
    lengths = [
        down.length,
        float((ends[1] - ends[0]) @ up),
        top.length,
        float(top.start[:2] @ lean),
    ]
    ways = [_way(down), head, _way(top) + 180.0, seat + 180.0]
    return traverse(lengths, ways)


def _way(piece: Piece) -> float:
    return float(np.degrees(np.arctan2(piece.direction[1], piece.direction[0])))


def _of_tube(say: str, cut: Trimmed) -> tuple[Check, ...]:
    off = float(cut.plan.from_a + cut.plan.from_b)
    return (
        Check(f"{say}: both cuts and the piece, and the tube as bought", off + cut.piece.blank, float(cut.bought.length)),
        Check(f"{say}: butts, tapers and belly left, and the piece", float(cut.tube.length), cut.piece.blank),
    )  # fmt: skip


def _edge(frame: Frame, piece: Piece, end: str) -> Check:
    """How far the cut edge, put in its place, lies off the outside of the tube that it meets."""
    assert frame.tubes is not None
    edge, off = piece.edge(end), []
    for name in piece.end(end).meets:
        axis = frame.tubes.axes[name]
        beside = np.cross(edge - axis.start, axis.direction)
        off.append(np.abs(np.linalg.norm(beside, axis=-1) - float(axis.diameter) / 2))
    meets = " and ".join(n.replace("_", " ") for n in piece.end(end).meets)
    return Check(f"{piece.name.replace('_', ' ')}: its edge on the {meets}", float(np.min(off, axis=0).max()), 0.0)  # fmt: skip
