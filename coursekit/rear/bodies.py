"""Tyre and chainring as bodies that turn beside the stays. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from coursekit.rear.chainrings import tip_diameter
from coursekit.rear.turned import HUGE, Turned
from coursekit.rules import not_negative, number, positive, require
from coursekit.sections import Array

RING_THICK = 2.0  # mm, of a chainring; common practice, no source


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
