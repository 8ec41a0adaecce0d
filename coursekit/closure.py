"""Closure: does a walk round a figure come back to its start, and do two ways to a number agree.

References: U.S. Naval Education and Training, Engineering Aid (intermediate), chapter 7 (latitudes
and departures, linear error of closure, the course that lies parallel to it); JCGM 100:2008 (GUM),
5.1.2.
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

EXACT = 1e-6  # mm: two ways to one number may differ by rounding alone
ALONG = ("down_tube", "top_tube")  # the tubes of the main triangle that are cut at both ends


@dataclass(frozen=True)
class Traverse:
    """A walk of straight legs, and by how much it misses its start.

    x points forward and y up; directions count counter-clockwise from forward.

    Attributes
    ----------
    points : array, (…, legs + 1, 2)
        Corners of the walk, mm; the first is 0, 0.
    misclosure : array, (…, 2)
        From the start to where the walk ends, mm.
    distance : float or array
        Length of the misclosure, mm.
    direction_deg : float or array
        Direction of the misclosure, degrees, 0 up to 360.
    perimeter : float or array
        All legs together, mm.
    apart_deg : array, (…, legs)
        Angle between each leg and the misclosure, taken as lines, degrees, 0 to 90: a leg of wrong
        length lies along the misclosure.
    """

    points: Array
    misclosure: Array
    distance: Any
    direction_deg: Any
    perimeter: Any
    apart_deg: Array


def traverse(lengths: ArrayLike, directions_deg: ArrayLike) -> Traverse:
    """Return the walk of straight legs taken one after another.

    Parameters
    ----------
    lengths : array, (…, legs)
        mm, 0 or more; three legs or more.
    directions_deg : array, (…, legs)
        Degrees counter-clockwise from forward.

    Returns
    -------
    Traverse
        The walk and its misclosure, mm and degrees.

    Raises
    ------
    ValueError
        "The walk must have three legs or more; got 2. …"; "Each leg must have a length and a
        direction; got …"; "The length must be 0 or more; got …"

    Examples
    --------
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
    return Traverse(
        points=points,
        misclosure=points[..., -1, :],
        distance=bare(np.hypot(x, y)),
        direction_deg=bare(np.degrees(toward) % 360.0),
        perimeter=bare(long.sum(axis=-1)),
        apart_deg=apart,
    )


def allowance(lengths: ArrayLike, length_u: Any, direction_u_deg: Any) -> Any:
    """Return how far a correct walk may miss its start because of its readings alone.

    The uncertainty of a leg's length moves the end along the leg. The uncertainty of its direction
    moves the end square to the leg, by the leg's length times that angle. Both add as the root of
    the sum of squares, which gives the root mean square of the misclosure's distance.

    Parameters
    ----------
    lengths : array, (…, legs)
        mm, 0 or more.
    length_u : float or array
        Standard uncertainty of a length, mm, 0 or more; one number, or one for each leg.
    direction_u_deg : float or array
        Standard uncertainty of a direction, degrees, 0 or more; one number, or one for each leg.

    Returns
    -------
    float or array
        Standard uncertainty, mm.

    Raises
    ------
    ValueError
        "The length uncertainty must be 0 or more; got -0.5 mm. …"

    Examples
    --------
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
    """One number found in two ways.

    Attributes
    ----------
    say : str
        What it is.
    one, other : float
        What the two ways give, mm.
    allowed : float
        How much they may differ, mm.
    arithmetic : bool
        Whether one side was worked out from the other, so that they must agree whatever the frame
        is. Such a line tests the kit's adding up and nothing else.
    """

    say: str
    one: float
    other: float
    allowed: float = EXACT
    arithmetic: bool = False

    @property
    def difference(self) -> float:
        """The first way less the second, mm."""
        return self.one - self.other

    @property
    def closes(self) -> bool:
        """Whether the two ways agree."""
        return bool(abs(self.difference) <= self.allowed)


def of_frame(frame: Frame, trimmed: Mapping[str, Trimmed], rail: Any = 0.0) -> tuple[Check, ...]:
    """Return every number of a placed frame that the kit finds in two ways.

    It checks the drawing against the fixture (wheelbase, head tube, trail), walks round the main
    triangle by its cut tubes, and checks each cut edge against the tube it meets and each bought
    tube against its parts. The head tube on the fixture and the parts of the bought tubes are
    worked out from what they are checked against, and say so: they are `arithmetic`.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    trimmed : mapping of str to Trimmed
        Its tubes by name, as from `pieces.cut_out`. The walk is left out where the top tube or the
        down tube is missing.
    rail : float
        As for `fixture.settings`, mm.

    Returns
    -------
    tuple of Check
        All the checks, in that order.

    Raises
    ------
    ValueError
        As `fixture.settings`.
    """
    pieces = {name: cut.piece for name, cut in trimmed.items()}
    made = [*_against_fixture(frame, rail)]
    if set(ALONG) <= pieces.keys():
        walk = main_triangle(frame, pieces)
        made.append(Check("main triangle, walked round", float(walk.distance), 0.0))
    for name, cut in trimmed.items():
        made += _of_tube(name.replace("_", " "), cut)
    for piece in pieces.values():
        made += [_edge(frame, piece, end) for end in "ab" if piece.end(end).joints]
    return tuple(made)


def _against_fixture(frame: Frame, rail: Any) -> tuple[Check, ...]:
    s = fixture.settings(frame, rail)
    lean = np.radians(float(s.head_angle_deg))
    axle = s.head_ahead - s.axle_along * np.cos(lean) + s.axle_ahead * np.sin(lean)
    again = fixture.built(frame, s, rail)
    faces = float(s.high_face - s.low_face)
    return (
        Check("wheelbase, drawing and fixture", float(frame.wheelbase), float(s.rear_back + axle)),
        Check("head tube, drawing and fixture", float(frame.head_tube), faces, arithmetic=True),
        Check("trail, drawing and as the fixture holds it", float(frame.trail), float(again.trail)),
    )


def main_triangle(frame: Frame, pieces: Mapping[str, Piece]) -> Traverse:
    """Return the walk up the down tube and the steering axis, and back by the top and seat tubes.

    Lengths and directions of the down tube and the top tube are those of the cut pieces; directions
    of the other two legs are the drawing's angles. So if an end lies beside its axis, the walk
    doesn't close.

    Parameters
    ----------
    frame : Frame
        The drawing.
    pieces : mapping of str to Piece
        The cut tubes by name, with "down_tube" and "top_tube" among them.

    Returns
    -------
    Traverse
        The walk, mm and degrees.
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
    finished, off = cut.piece.finished, float(cut.plan.from_a + cut.plan.from_b)
    cuts = f"{say}: both cuts and the piece, and the tube as bought"
    left = f"{say}: butts, tapers and belly left, and the piece"
    return (
        Check(cuts, off + finished, float(cut.bought.length), arithmetic=True),
        Check(left, float(cut.tube.length), finished, arithmetic=True),
    )


def _edge(frame: Frame, piece: Piece, end: str) -> Check:
    """How far the cut edge, put in its place, lies from the outside of the tube that it meets."""
    assert frame.tubes is not None
    edge, off = piece.edge(end), []
    for name in piece.end(end).meets:
        axis = frame.tubes.axes[name]
        beside = np.cross(edge - axis.start, axis.direction)
        off.append(np.abs(np.linalg.norm(beside, axis=-1) - float(axis.diameter) / 2))
    meets = " and ".join(n.replace("_", " ") for n in piece.end(end).meets)
    say = f"{piece.name.replace('_', ' ')}: its edge on the {meets}"
    return Check(say, float(np.min(off, axis=0).max()), 0.0)
