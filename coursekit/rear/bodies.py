"""What turns beside the stays: tyre, chainring, crank, heel, as bodies. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from coursekit.rear.chainrings import tip_diameter
from coursekit.rear.turned import Turned
from coursekit.rules import not_negative, number, positive, require
from coursekit.sections import Array

RING_THICK = 2.0  # mm, of a chainring; common practice, no source
HUGE = 500.0  # mm, how far sideways ring, crank and shoe go on


@dataclass(frozen=True)
class Tyre:
    """A tyre as a ring of round section that stands in the frame's plane.

    Attributes
    ----------
    axle : tuple of float
        The wheel's axle in side view, (x, y), mm.
    radius : float
        Of the wheel with its tyre, without knobs, mm.
    width : float
        Of the tyre, mm.
    knobs : float
        How far knobs stand out of the tyre all round its section, mm, 0 or more.

    Raises
    ------
    ValueError
        "The tyre must be less wide than its wheel is high; got 400 mm of a radius of 340 mm. …"

    Examples
    --------
    >>> float(Tyre((-415.0, 70.0), 340.0, 25.0).outside((-415.0, 415.0, 0.0)))
    5.0
    >>> Tyre((-415.0, 70.0), 340.0, 400.0)
    Traceback (most recent call last):
    ValueError: The tyre must be less wide than its wheel is high; got 400 mm of a radius of 340 mm.
    Check both numbers.
    """

    axle: tuple[float, float]
    radius: float
    width: float
    knobs: float = 0.0

    def __post_init__(self) -> None:
        number("axle", list(self.axle))
        positive("wheel's radius", self.radius)
        positive("tyre's width", self.width)
        not_negative("knobs", self.knobs)
        require(
            self.width < self.radius,
            "The tyre must be less wide than its wheel is high; got {width} mm of a radius of "
            "{radius} mm. Check both numbers.",
            width=self.width,
            radius=self.radius,
        )

    @property
    def core(self) -> float:
        """Radius of the circle in the middle of the tyre's section, mm."""
        return self.radius - self.width / 2

    @property
    def half(self) -> float:
        """Half the tyre's width with its knobs, mm."""
        return self.width / 2 + self.knobs

    def outside(self, points: Any) -> Array:
        """Return how far points lie outside the tyre.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative inside.
        """
        points = np.asarray(points, dtype=float)
        out = np.hypot(points[..., 0] - self.axle[0], points[..., 1] - self.axle[1]) - self.core
        return np.asarray(np.hypot(out, points[..., 2]) - self.half)


@dataclass(frozen=True)
class Chainring:
    """A chainring about the bottom bracket, as a disc over the tips of its teeth.

    What lies outward of it counts as taken, too, because nothing of the frame stands there. So a
    stay that reaches into the ring shows by how much.

    Attributes
    ----------
    teeth : int
        How many.
    chainline : float
        From the frame's plane to the middle of its teeth, mm, above 0.
    thickness : float
        mm, above 0.

    Raises
    ------
    ValueError
        "The chainline must be greater than 0; …", and the messages of `tip_diameter`.

    Examples
    --------
    >>> round(float(Chainring(42, 45.0).outside((-80.0, 0.0, 40.0))), 6)
    4.0
    >>> Chainring(42, 0.0)
    Traceback (most recent call last):
    ValueError: The chainline must be greater than 0; got 0 mm. Check the number.
    """

    teeth: int
    chainline: float
    thickness: float = RING_THICK
    body: Turned = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        positive("chainline", self.chainline)
        half = positive("chainring's thickness", self.thickness) / 2
        near, radius = self.chainline - half, tip_diameter(self.teeth) / 2
        profile = ((0.0, near), (radius, near), (radius, HUGE), (0.0, HUGE))
        object.__setattr__(self, "body", Turned((0.0, 0.0), profile))

    def outside(self, points: Any) -> Array:
        """Return how far points lie outside the chainring.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative inside.
        """
        return self.body.outside(points)


@dataclass(frozen=True)
class Crank:
    """All places that a crank comes to in a turn.

    Its inner face is taken as straight from the bottom bracket to the pedal.

    Attributes
    ----------
    length : float
        From the bottom bracket to the pedal's axle, mm, above 0.
    inside_at_bb, inside_at_pedal : float
        From the frame's plane to the crank's inner face, at the bottom bracket and at its tip, mm.
    tip : float
        How far the crank goes on beyond the pedal's axle, mm, 0 or more.
    side : str
        "right" or "left".

    Raises
    ------
    ValueError
        "The crank must stand away from the frame's plane; got -5 mm. …"; "The crank's side must be
        right or left; …"

    Examples
    --------
    >>> round(float(Crank(170.0, 50.0, 60.0).outside((-100.0, 0.0, 40.0))), 3)
    15.412
    >>> Crank(170.0, -5.0, 60.0)
    Traceback (most recent call last):
    ValueError: The crank must stand away from the frame's plane; got -5 mm. Measure it to either
    side as a positive number.
    """

    length: float
    inside_at_bb: float
    inside_at_pedal: float
    tip: float = 14.0
    side: str = "right"
    body: Turned = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        far = positive("crank", self.length) + not_negative("crank's tip", self.tip)
        for inside in (self.inside_at_bb, self.inside_at_pedal):
            _refuse_inside("crank", inside)
        hand = _hand("crank", self.side)
        faces = ((0.0, self.inside_at_bb), (far, self.inside_at_pedal), (far, HUGE), (0.0, HUGE))
        profile = tuple((r, hand * z) for r, z in faces)
        object.__setattr__(self, "body", Turned((0.0, 0.0), profile))

    def outside(self, points: Any) -> Array:
        """Return how far points lie outside the crank's turn.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative inside.
        """
        return self.body.outside(points)


@dataclass(frozen=True)
class Heel:
    """All places that a shoe's heel comes to in a turn of the crank, the shoe held level.

    The heel goes round on a circle as large as the pedal's. What lies inside that circle counts as
    taken, too, because the rest of the shoe passes there.

    Attributes
    ----------
    crank : float
        From the bottom bracket to the pedal's axle, mm, above 0.
    behind : float
        From the pedal's axle back to the middle of the heel's round, mm, above 0.
    inside : float
        From the frame's plane to the inner edge of the shoe, mm.
    up : float
        How much higher than the pedal's axle the middle of the heel stands, mm.
    round : float
        Radius of the heel, mm, 0 or more.
    side : str
        "right" or "left".

    Raises
    ------
    ValueError
        "The shoe must stand away from the frame's plane; got -5 mm. …"; "The shoe's side must be
        right or left; …"

    Examples
    --------
    >>> round(float(Heel(170.0, 160.0, 105.0).outside((-300.0, 20.0, 75.0))), 6)
    30.0
    >>> Heel(170.0, 160.0, -5.0)
    Traceback (most recent call last):
    ValueError: The shoe must stand away from the frame's plane; got -5 mm. Measure it to either
    side as a positive number.
    """

    crank: float
    behind: float
    inside: float
    up: float = 0.0
    round: float = 30.0
    side: str = "right"
    body: Turned = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        far = positive("crank", self.crank) + not_negative("heel's round", self.round)
        positive("way to the heel", self.behind)
        number("heel's height", self.up)
        _refuse_inside("shoe", self.inside)
        hand = _hand("shoe", self.side)
        faces = ((0.0, self.inside), (far, self.inside), (far, HUGE), (0.0, HUGE))
        profile = tuple((r, hand * z) for r, z in faces)
        object.__setattr__(self, "body", Turned((-self.behind, self.up), profile))

    def outside(self, points: Any) -> Array:
        """Return how far points lie outside the heel's turn.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative inside.
        """
        return self.body.outside(points)


def _refuse_inside(what: str, inside: float) -> None:
    number(f"way to the {what}", inside)
    require(
        0 <= inside < HUGE,
        "The {what} must stand away from the frame's plane; got {inside} mm. Measure it to either "
        "side as a positive number.",
        what=what,
        inside=inside,
    )


def _hand(what: str, side: str) -> float:
    if side not in ("right", "left"):
        raise ValueError(
            f"The {what}'s side must be right or left; got {side!r}. Name one of the two."
        )
    return 1.0 if side == "right" else -1.0
