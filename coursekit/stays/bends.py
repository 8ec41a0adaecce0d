"""Bends, and the straight and bent pieces of a centre line. The picture is that of `stays`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.sections import Array


@dataclass(frozen=True)
class Bend:
    """One circular bend, as it is marked on the straight tube.

    Attributes
    ----------
    at : float
        Where the bend begins, mm along the centre line from end a, 0 or more.
    radius : float
        Of the bent centre line, mm, above 0.
    angle_deg : float
        By how much the tube changes its direction, degrees, above 0 and below 180.
    toward_deg : float
        The line of the tube on the inside of the bend, degrees. A right chainstay that is bent
        toward 90° swings out to the drive side.

    Raises
    ------
    ValueError
        "The bend must turn the tube by more than 0° and less than 180°; got 180°. …"

    Examples
    --------
    >>> round(Bend(100.0, 200.0, 9.0).length, 4)
    31.4159
    >>> Bend(100.0, 200.0, 0.0)
    Traceback (most recent call last):
    ValueError: The bend must turn the tube by more than 0° and less than 180°; got 0°. Leave it
    out, or check the angle.
    """

    at: float
    radius: float
    angle_deg: float
    toward_deg: float = 90.0

    def __post_init__(self) -> None:
        number("bend's place", self.at)
        positive("bend's radius", self.radius)
        number("bend's side", self.toward_deg, "degrees")
        angle = number("bend's angle", self.angle_deg, "degrees")
        require(
            0 < angle < 180,
            "The bend must turn the tube by more than 0° and less than 180°; got {angle}°. Leave "
            "it out, or check the angle.",
            angle=angle,
        )

    @property
    def length(self) -> float:
        """Length of the bent piece along its centre line, mm."""
        return float(self.radius * np.radians(self.angle_deg))

    @property
    def end(self) -> float:
        """Where the bend ends, mm along the centre line from end a."""
        return self.at + self.length


def arc(far: Any, curvature: Any) -> tuple[Any, Any, Any]:
    """Return where a circular arc comes to: ahead, aside, and by how much it turns.

    Parameters
    ----------
    far : float or array
        Along the arc, mm.
    curvature : float or array
        One over its radius, 1/mm, 0 or more.

    Returns
    -------
    ahead, aside : float or array
        mm, along the direction in which it begins and toward the middle of the bend.
    turn : float or array
        Radians.

    References
    ----------
    R sin t and R(1 − cos t), written so that they hold for a curvature of 0.

    Examples
    --------
    >>> [round(float(v), 4) for v in arc(100.0, 1 / 200.0)]
    [95.8851, 24.4835, 0.5]
    """
    turn = far * curvature
    half = np.sinc(turn / (2 * np.pi))  # of half the turn: sin(t/2)/(t/2)
    return far * np.sinc(turn / np.pi), far * turn / 2 * half**2, turn


@dataclass(frozen=True, eq=False)
class Place:
    """A place on a centre line, and how the tube lies there.

    Attributes
    ----------
    point : array, (…, 3)
        Where the place is in the frame, mm.
    direction : array, (…, 3)
        Unit vector along the tube, from end a to end b.
    zero, ninety : array, (…, 3)
        Unit vectors from the centre line to the lines 0° and 90° of the tube.
    """

    point: Array
    direction: Array
    zero: Array
    ninety: Array


@dataclass(frozen=True, eq=False)
class Piece:
    """One straight or bent piece of a centre line.

    Attributes
    ----------
    start, end : float
        mm along the centre line.
    curvature : float
        One over the radius, 1/mm; 0 for a straight piece.
    toward_deg : float
        The line of the tube on the inside of the bend, degrees.
    begin : Place
        Where it begins.
    """

    start: float
    end: float
    curvature: float
    toward_deg: float
    begin: Place

    def _inward(self) -> tuple[Array, Array]:
        """Unit vectors to the middle of the bend, and square to its plane."""
        turn, here = np.radians(self.toward_deg), self.begin
        inward = np.cos(turn) * here.zero + np.sin(turn) * here.ninety
        return inward, np.cos(turn) * here.ninety - np.sin(turn) * here.zero

    def at(self, s: Array) -> Place:
        """Return where the piece is at some arc length; a straight piece goes on beyond its ends.

        Parameters
        ----------
        s : array
            mm along the centre line.

        Returns
        -------
        Place
            The places.
        """
        far, here = (s - self.start)[..., None], self.begin
        if not self.curvature:
            point = here.point + far * here.direction
            axes = (
                np.broadcast_to(v, point.shape) for v in (here.direction, here.zero, here.ninety)
            )
            return Place(point, *axes)
        inward, up = self._inward()
        forth, aside, turn = arc(far, self.curvature)
        c, t = np.radians(self.toward_deg), turn
        tilted = np.cos(t) * inward - np.sin(t) * here.direction
        return Place(
            here.point + forth * here.direction + aside * inward,
            np.cos(t) * here.direction + np.sin(t) * inward,
            np.cos(c) * tilted - np.sin(c) * up,
            np.sin(c) * tilted + np.cos(c) * up,
        )

    def nearest(self, points: Array) -> Array:
        """Return the arc length at which the piece comes nearest to some points.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm along the centre line, `start` to `end`.
        """
        off, here = points - self.begin.point, self.begin
        ahead = off @ here.direction
        if not self.curvature:
            return np.asarray(np.clip(self.start + ahead, self.start, self.end))
        inward, _ = self._inward()
        radius = 1 / self.curvature
        turn = np.arctan2(ahead, radius - off @ inward)
        whole = (self.end - self.start) * self.curvature
        middle = (
            whole / 2
        )  # count from the middle, so that what lies opposite goes to its nearer end
        turn = middle + (turn - middle + np.pi) % (2 * np.pi) - np.pi
        return np.asarray(self.start + np.clip(turn, 0.0, whole) * radius)
