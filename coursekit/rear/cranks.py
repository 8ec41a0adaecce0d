"""Crank and heel as the bodies that they sweep in a turn. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from coursekit.rear.turned import HUGE, Turned
from coursekit.rules import not_negative, number, positive, require
from coursekit.sections import Array


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
