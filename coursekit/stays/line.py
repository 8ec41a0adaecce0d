"""The centre line of a stay: straight pieces and circular bends. The picture is that of `stays`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.sections import Array
from coursekit.stays.bends import Bend, Piece, Place
from coursekit.stays.vectors import TINY, point, square_to, unit

DRIVE_SIDE = (0.0, 0.0, 1.0)


@dataclass(frozen=True, eq=False)
class CentreLine:
    """A centre line in the frame.

    The lines of the tube are carried along without twist: through a bend they turn about the bend's
    own axis and no further. Beyond both ends the line goes on straight.

    Attributes
    ----------
    start : array, (3,)
        End a, mm.
    direction : array, (3,)
        Where the tube points at end a; it is stored as a unit vector.
    length : float
        Along the centre line, mm: the length of the straight tube before it is bent.
    bends : tuple of Bend
        In their order along the tube.
    zero : array, (3,)
        Where line 0° lies at end a; it is stored square to the tube.
    ninety : array, (3,)
        Which side line 90° lies on; the drive side, unless told otherwise. It is stored square to
        both.

    Raises
    ------
    ValueError
        "The bends must follow each other on the tube; got one that begins at 90 mm where 100 mm is
        free. …"; "The bends must end on the tube; …"; "The line 90° must lie beside the line 0° and
        the tube's axis; …"

    Examples
    --------
    A bend of 90° to the drive side, in the plan view:

    >>> line = CentreLine((0, 0, 0), (-1, 0, 0), 300.0, (Bend(100.0, 100.0, 90.0),), (0, -1, 0))
    >>> [round(float(v), 3) + 0.0 for v in line.at(300.0).point]
    [-200.0, 0.0, 142.92]
    >>> CentreLine((0, 0, 0), (-1, 0, 0), 200.0, (Bend(100.0, 100.0, 90.0),), (0, -1, 0))
    Traceback (most recent call last):
    ValueError: The bends must end on the tube; got 257.0796 mm on 200 mm. Make the tube longer, or
    bend it less.
    """

    start: Any
    direction: Any
    length: float
    bends: tuple[Bend, ...]
    zero: Any
    ninety: Any = DRIVE_SIDE

    def __post_init__(self) -> None:
        way = unit("direction", self.direction)
        zero = square_to(way, point("line 0°", self.zero))
        square = np.cross(way, zero)
        side = float(square @ point("line 90°", self.ninety))
        if abs(side) < TINY:
            raise ValueError(
                "The line 90° must lie beside the line 0° and the tube's axis; got a direction "
                "along one of them. Name another side of the tube."
            )
        stored = {
            "start": point("start", self.start),
            "direction": way,
            "length": float(positive("length", self.length)),
            "bends": tuple(self.bends),
            "zero": zero,
            "ninety": np.sign(side) * square,
        }
        for name, value in stored.items():
            object.__setattr__(self, name, value)
        _refuse_bends(self.bends, self.length)

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Straight pieces and bends in turn, beginning and ending with a straight piece."""
        made, here = [], Place(self.start, self.direction, self.zero, self.ninety)
        free = 0.0
        for bend in (*self.bends, None):
            until = bend.at if bend else self.length
            straight = Piece(free, until, 0.0, 0.0, here)
            here = straight.at(np.asarray(until))
            made.append(straight)
            if bend:
                curve = Piece(bend.at, bend.end, 1 / bend.radius, bend.toward_deg, here)
                here = curve.at(np.asarray(bend.end))
                made.append(curve)
                free = bend.end
        return tuple(made)

    def at(self, s: Any) -> Place:
        """Return where the line is at some arc length, and how the tube lies there.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a; below 0 and beyond the length it goes on straight.

        Returns
        -------
        Place
            Arrays of the shape of `s` with three numbers more.
        """
        s = np.asarray(number("place", s), dtype=float)
        edges = np.array([piece.start for piece in self.pieces[1:]])
        which = np.searchsorted(edges, s, side="right")
        made = np.empty((4, *s.shape, 3))
        for i, piece in enumerate(self.pieces):
            here = which == i
            if here.any():
                one = piece.at(s[here])
                made[:, here] = (one.point, one.direction, one.zero, one.ninety)
        return Place(*made)

    def nearest(self, points: Any) -> Array:
        """Return the arc length at which the line comes nearest to some points.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm from end a, 0 to the length of the line.
        """
        points = np.asarray(points, dtype=float)
        found, least = np.zeros(points.shape[:-1]), np.full(points.shape[:-1], np.inf)
        for piece in self.pieces:
            s = piece.nearest(points)
            far = np.linalg.norm(points - piece.at(s).point, axis=-1)
            nearer = far < least
            found, least = np.where(nearer, s, found), np.where(nearer, far, least)
        return found

    def straight_at(self, s: float) -> tuple[float, float]:
        """Return where the straight piece that holds a place begins and ends.

        Parameters
        ----------
        s : float
            mm along the centre line from end a.

        Returns
        -------
        begin, end : float
            mm from end a.

        Raises
        ------
        ValueError
            "The place must lie on a straight piece of the tube; got 110 mm in the bend from 100 mm
            to 131 mm. Move it out of the bend."
        """
        s = number("place", s)
        for bend in self.bends:
            require(
                s < bend.at + TINY or s > bend.end - TINY,
                "The place must lie on a straight piece of the tube; got {s} mm in the bend from "
                "{begin} mm to {end} mm. Move it out of the bend.",
                s=s,
                begin=bend.at,
                end=bend.end,
            )
        edges = [0.0, *(v for bend in self.bends for v in (bend.at, bend.end)), self.length]
        straights = list(pairwise(edges))[::2]
        return min(straights, key=lambda one: max(one[0] - s, s - one[1]))


def _refuse_bends(bends: tuple[Bend, ...], length: float) -> None:
    free = 0.0
    for bend in bends:
        require(
            bend.at >= free - TINY,
            "The bends must follow each other on the tube; got one that begins at {at} mm where "
            "{free} mm is free. Move it, or bend it tighter.",
            at=bend.at,
            free=free,
        )
        free = bend.end
    require(
        free <= length + TINY,
        "The bends must end on the tube; got {free} mm on {length} mm. Make the tube longer, or "
        "bend it less.",
        free=free,
        length=length,
    )
