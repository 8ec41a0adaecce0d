"""Ends of stays cut to fit other bodies. The picture is that of `stays`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.miters import curve
from coursekit.rules import require
from coursekit.sections import Array
from coursekit.stays.stay import Body, Stay
from coursekit.stays.vectors import point, unit

LOOKS = 161  # places along each line at the first look
HALVINGS = 60
CLOSE = 1e-11  # mm from the surface that count as on it
BEYOND = 0.25  # of the length: how far past its end a line is followed
GOLD = (np.sqrt(5) - 1) / 2


@dataclass(frozen=True, eq=False)
class Plane:
    """All that lies behind a plane, as a body to cut to.

    Attributes
    ----------
    at : array, (3,)
        A point of the plane, mm.
    normal : array, (3,)
        Points from the plane to the side that stays; it is stored as a unit vector.

    Raises
    ------
    ValueError
        "The normal must point somewhere; …"

    Examples
    --------
    >>> float(Plane((0, 0, 1), (0, 0, 2)).outside((5.0, 5.0, 4.0)))
    3.0
    >>> Plane((0, 0, 1), (0, 0, 0))
    Traceback (most recent call last):
    ValueError: The normal must point somewhere; got an arrow of length 0 mm. Give two different
    points.
    """

    at: Any
    normal: Any

    def __post_init__(self) -> None:
        object.__setattr__(self, "at", point("place of the plane", self.at))
        object.__setattr__(self, "normal", unit("normal", self.normal))

    def outside(self, points: Any) -> Array:
        """Return how far points lie on the side that stays.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative behind the plane.
        """
        return np.asarray((np.asarray(points, dtype=float) - self.at) @ self.normal)


@dataclass(frozen=True, eq=False)
class EndCut:
    """One end of a stay, line by line.

    Attributes
    ----------
    end : str
        "a" or "b".
    around_deg : array, (stations,)
        Lines of the stay, degrees, from 0 to 360 inclusive.
    along : array, (stations,)
        Where each line ends, mm along the centre line from its end, positive into the stay.
    edge : array, (stations, 3)
        The same places in the frame, mm.
    meets : tuple of str
        Names of the bodies it is cut to fit, the main one first; empty where the end is square.
    touches : array of int, (stations,)
        Which of `meets` each line ends on, counted from 0.
    """

    end: str
    around_deg: Array
    along: Array
    edge: Array
    meets: tuple[str, ...]
    touches: Any

    @property
    def long_point(self) -> float:
        """Where the stay reaches farthest into the joint, counted as `along`, mm."""
        return float(self.along.min())

    @property
    def short_point(self) -> float:
        """Where the cut goes deepest into the stay, counted as `along`, mm."""
        return float(self.along.max())

    @property
    def depth(self) -> float:
        """From the long point to the short point along the stay, mm."""
        return self.short_point - self.long_point


def cut_end(
    stay: Stay, into: Mapping[str, Body] | None = None, end: str = "a", stations: int = 361
) -> EndCut:
    """Return the end of a stay that is cut to fit one or more bodies.

    Each line of the stay is followed from the other end to this one, and it stops where it first
    comes to one of the bodies. So it doesn't matter whether the stay is round or oval, tapered or
    bent there, nor at which angle and offset it comes. Where the cut goes over from one body to the
    next it has a sharp corner; between two stations that corner is cut off, by up to 0.2 mm where
    the cut is steep and there is a station a degree.

    Parameters
    ----------
    stay : Stay
        What is cut.
    into : mapping of str to Body
        What it meets, by name, the main one first; without it the end is square.
    end : str
        End of the stay, "a" or "b".
    stations : int
        How many lines, from 0° to 360° inclusive, 2 or more.

    Returns
    -------
    EndCut
        The outer edge; each place lies on the surfaces to 1e-9 mm.

    Raises
    ------
    ValueError
        "The cut stay must lie within the width of what it meets; got a line at 90° that passes
        beside it. …"; "The end must be 'a' or 'b'; …"; "The stay must come from outside of what it
        meets; …"

    Examples
    --------
    >>> from coursekit.stays import Taper, between, rod
    >>> taper = Taper((0.0, 400.0), (22.0, 12.0))
    >>> stay = between("right_chainstay", (0, 0, 20), (-420, 60, 60), taper)
    >>> shell = rod("shell", (0, 0, -34), (0, 0, 34), 40.0)
    >>> one = cut_end(stay, {"shell": shell})
    >>> round(one.long_point, 2), round(one.depth, 2)
    (16.84, 4.26)
    >>> cut_end(stay, {"shell": rod("shell", (0, 0, -34), (0, 0, 34), 20.0)})
    Traceback (most recent call last):
    ValueError: The cut stay must lie within the width of what it meets; got a line at 0° that
    passes beside it. Take a thinner stay or a wider tube, or move them together.
    """
    if end not in ("a", "b"):
        raise ValueError(f"The end must be 'a' or 'b'; got {end!r}. Name one of the two.")
    around = np.linspace(0.0, 360.0, curve.count(stations))
    into = into or {}

    def place(along: Array) -> Array:
        return stay.surface(along if end == "a" else stay.length - along, around)

    along = np.zeros(around.size)
    if into:
        along = _first(lambda u: _nearest(into, place(u)), stay.length, around)
    edge = place(along)
    apart = np.array([body.outside(edge) for body in into.values()])
    touches = apart.argmin(axis=0) if into else np.zeros(around.size, dtype=int)
    return EndCut(end, around, along, edge, tuple(into), touches)


def _nearest(into: Mapping[str, Body], points: Array) -> Array:
    return np.asarray(np.min([body.outside(points) for body in into.values()], axis=0))


def _first(outside: Callable[[Array], Array], length: float, around: Array) -> Array:
    """Where each line first comes to what it meets, mm from the end of the centre line."""
    looks = np.linspace(-BEYOND * length, length, LOOKS)
    apart = outside(looks[:, None])
    require(
        apart[-1] > 0,
        "The stay must come from outside of what it meets; got the line at {line}° inside at its "
        "far end. Check where both lie.",
        line=around,
    )
    hit = apart <= 0
    last = np.where(hit.any(axis=0), LOOKS - 1 - hit[::-1].argmax(axis=0), apart.argmin(axis=0))
    step = looks[1] - looks[0]
    inner = looks[last]
    graze = ~hit.any(axis=0)
    if graze.any():
        inner = np.where(graze, _least(outside, inner - step, inner + step), inner)
        beside = outside(inner)
        require(
            ~graze | (beside <= curve.SLACK),
            "The cut stay must lie within the width of what it meets; got a line at {line}° that "
            "passes beside it. Take a thinner stay or a wider tube, or move them together.",
            line=around,
        )
    return _between(outside, inner, inner + step)


def _between(outside: Callable[[Array], Array], inner: Array, outer: Array) -> Array:
    """Where each line comes to what it meets: by straight lines through both ends or by halving."""
    f_in, f_out = outside(inner), outside(outer)
    for step in range(HALVINGS):
        if np.all(np.minimum(np.abs(f_in), np.abs(f_out)) < CLOSE):
            break
        share = 0.5 if step % 3 == 2 else f_in / np.minimum(f_in - f_out, -CLOSE)
        middle = inner + share * (outer - inner)
        there = outside(middle)
        within = there <= 0
        inner, f_in = np.where(within, middle, inner), np.where(within, there, f_in)
        outer, f_out = np.where(within, outer, middle), np.where(within, f_out, there)
    return np.where(np.abs(f_in) < np.abs(f_out), inner, outer)


def _least(outside: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Where each line comes nearest, by the golden section."""
    for _ in range(HALVINGS):
        one, other = high - GOLD * (high - low), low + GOLD * (high - low)
        nearer = outside(one) < outside(other)
        low, high = np.where(nearer, low, one), np.where(nearer, other, high)
    return np.asarray((low + high) / 2)


@dataclass(frozen=True, eq=False)
class CutStay:
    """A stay with both ends cut.

    Attributes
    ----------
    stay : Stay
        What is cut.
    a, b : EndCut
        Its two ends.
    """

    stay: Stay
    a: EndCut
    b: EndCut

    @property
    def finished(self) -> float:
        """Return the finished length, from long point to long point along the centre line.

        It is also the shortest straight tube out of which the stay can be cut and bent.

        Returns
        -------
        float
            mm.
        """
        return self.stay.length - self.a.long_point - self.b.long_point

    @property
    def lengths(self) -> Array:
        """Length of each line of the finished stay, counted along the centre line, mm."""
        return self.stay.length - self.a.along - self.b.along

    def mirrored(self) -> CutStay:
        """Return the cut stay of the other side: its mirror image in the frame's plane.

        Line 90° of both lies on the drive side, so what was cut at 90° is cut at 270° here.

        Returns
        -------
        CutStay
            "left_…" for "right_…", and the other way round; what it meets keeps its name.

        Raises
        ------
        ValueError
            As `Stay.mirrored`.
        """
        ends = (
            EndCut(
                one.end,
                one.around_deg,
                one.along[::-1],
                one.edge[::-1] * np.array([1.0, 1.0, -1.0]),
                one.meets,
                one.touches[::-1],
            )
            for one in (self.a, self.b)
        )
        return CutStay(self.stay.mirrored(), *ends)
