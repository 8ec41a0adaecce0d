"""Outlines of tubes, seen along the tube, and lengths of ellipses.

The centre of the tube is the origin. x lies in the plane of the two tubes that meet, and y is
square to it. Directions round the outline are angles from x towards y.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Protocol, runtime_checkable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coursekit.rules import number, positive

Array = NDArray[np.float64]


@lru_cache(maxsize=16)
def gauss(points: int) -> tuple[Array, Array]:
    """Return nodes and weights of Gauss-Legendre quadrature from 0 to 1.

    Parameters
    ----------
    points : int
        How many nodes.

    Returns
    -------
    nodes, weights : array, (points,)
        Both are kept for all callers and can't be written to.
    """
    nodes, weights = np.polynomial.legendre.leggauss(points)
    made: tuple[Array, Array] = (nodes + 1) / 2, weights / 2
    for array in made:
        array.flags.writeable = False
    return made


@runtime_checkable
class Section(Protocol):
    """A convex outline: what the miters need to know of a tube."""

    def point(self, around_deg: ArrayLike) -> tuple[Array, Array]:
        """Return (x, y) of the outline in some directions from the centre.

        Parameters
        ----------
        around_deg : float or array
            Directions, degrees from x towards y.

        Returns
        -------
        x, y : array
            Places on the outline, mm.
        """
        ...

    def arc(self, around_deg: ArrayLike) -> Array:
        """Return the length of the outline from direction 0 to some directions.

        Parameters
        ----------
        around_deg : array
            Directions, degrees, rising from 0 to 360.

        Returns
        -------
        array
            Lengths, mm.
        """
        ...

    def height(self, y: ArrayLike) -> Array:
        """Return the largest x of the outline at a sideways distance.

        Parameters
        ----------
        y : float or array
            Sideways distance, mm.

        Returns
        -------
        array
            x, mm; nan beside the outline.
        """
        ...

    def normal(self, around_deg: ArrayLike) -> tuple[Array, Array]:
        """Return (x, y) of the unit vector square to the outline, pointing outwards.

        Parameters
        ----------
        around_deg : float or array
            Directions from the centre, degrees from x towards y.

        Returns
        -------
        x, y : array
            Parts of the unit vector.
        """
        ...


def ellipse_perimeter(width: Any, depth: Any) -> Any:
    """Return the perimeter of an ellipse with these two full axes, to machine precision.

    Width and depth are outside sizes, twice the semi-axes. It doesn't matter which one is larger.

    Parameters
    ----------
    width, depth : float or array
        Full axes, mm, above 0.

    Returns
    -------
    float or array
        Perimeter, mm.

    Raises
    ------
    ValueError
        "The width must be greater than 0; got … Check the number." and the same for the depth.

    References
    ----------
    Abramowitz & Stegun (1964), 17.6 (E by the arithmetic-geometric mean) and 17.3.3.

    Examples
    --------
    >>> round(float(ellipse_perimeter(4.0, 2.0)), 9)
    9.688448221
    >>> ellipse_perimeter(4.0, 0.0)
    Traceback (most recent call last):
    ValueError: The depth must be greater than 0; got 0 mm. Check the number.
    """
    width, depth = positive("width", width), positive("depth", depth)
    a, b = np.maximum(width, depth) / 2.0, np.minimum(width, depth) / 2.0
    total, weight = a * a - (a * a - b * b) / 2, 1.0
    for _ in range(10):  # the means meet to rounding within eight, even at a billionth of the width
        a, b, c = (a + b) / 2, np.sqrt(a * b), (a - b) / 2
        total = total - weight * c * c
        weight *= 2
    return 4 * np.pi * total / (a + b)


@dataclass(frozen=True)
class Ellipse:
    """Outline of a round or oval tube.

    Attributes
    ----------
    half_x, half_y : float
        Semi-axes along x and y before it is turned, mm, above 0.
    turned_deg : float
        How far it is then turned from x towards y, degrees.

    Raises
    ------
    ValueError
        "The half_x must be greater than 0; got … Check the number."

    Examples
    --------
    >>> Ellipse(20.0, 10.0).height(6.0)
    array(16.)
    >>> Ellipse(20.0, 0.0)
    Traceback (most recent call last):
    ValueError: The half_y must be greater than 0; got 0 mm. Check the number.
    """

    half_x: Any
    half_y: Any
    turned_deg: Any = 0.0

    def __post_init__(self) -> None:
        positive("half_x", self.half_x)
        positive("half_y", self.half_y)
        number("turned_deg", self.turned_deg, "degrees")

    @cached_property
    def _form(self) -> tuple[Any, Any, Any]:
        """(p, q, s) of p·x² + 2·q·x·y + s·y² = 1."""
        turn = np.radians(self.turned_deg)
        c, s = np.cos(turn), np.sin(turn)
        a, b = np.square(1.0 / self.half_x), np.square(1.0 / self.half_y)
        return a * c * c + b * s * s, (a - b) * c * s, a * s * s + b * c * c

    def point(self, around_deg: ArrayLike) -> tuple[Array, Array]:
        """Return (x, y) of the outline in some directions from the centre.

        Parameters
        ----------
        around_deg : float or array
            Directions, degrees from x towards y.

        Returns
        -------
        x, y : array
            Places on the outline, mm.
        """
        around = np.radians(around_deg)
        c, s = np.cos(around), np.sin(around)
        p, q, t = self._form
        reach = 1 / np.sqrt(p * c * c + 2 * q * c * s + t * s * s)
        return reach * c, reach * s

    def normal(self, around_deg: ArrayLike) -> tuple[Array, Array]:
        """Return (x, y) of the unit vector square to the outline, pointing outwards.

        Parameters
        ----------
        around_deg : float or array
            Directions from the centre, degrees from x towards y.

        Returns
        -------
        x, y : array
            Parts of the unit vector.
        """
        p, q, t = self._form
        x, y = self.point(around_deg)
        nx, ny = p * x + q * y, q * x + t * y
        length = np.hypot(nx, ny)
        return nx / length, ny / length

    def arc(self, around_deg: ArrayLike) -> Array:
        """Return the length of the outline from direction 0 to some directions.

        Parameters
        ----------
        around_deg : array
            Directions, degrees, rising from 0 to 360.

        Returns
        -------
        array
            Lengths, mm.
        """
        around = np.asarray(around_deg, dtype=float)
        nodes, weights = gauss(24)
        step = np.diff(np.concatenate([[0.0], around]))[:, None]
        at = around[:, None] - step * nodes
        pieces: Array = np.sum(
            np.radians(step) * weights * self._arc_per_radian(np.radians(at)), axis=-1
        )
        length: Array = np.cumsum(pieces)
        return length

    def _arc_per_radian(self, around: Array) -> Any:
        c, s = np.cos(around), np.sin(around)
        p, q, t = self._form
        form = p * c * c + 2 * q * c * s + t * s * s
        slope = 2 * (t - p) * c * s + 2 * q * (c * c - s * s)
        return np.sqrt(1 / form + slope**2 / (4 * form**3))

    def height(self, y: ArrayLike) -> Array:
        """Return the largest x of the outline at a sideways distance.

        Parameters
        ----------
        y : float or array
            Sideways distance, mm.

        Returns
        -------
        array
            x, mm; nan beside the outline.
        """
        p, q, t = self._form
        y = np.asarray(y, dtype=float)
        widest = np.sqrt(p / (p * t - q * q))
        inside = np.maximum((widest - y) * (widest + y), 0.0) * ((p * t - q * q) / (p * p))
        beside = np.abs(y) > widest * (1 + 1e-12)
        return np.where(beside, np.nan, np.sqrt(inside) - q / p * y)


def section_of(thing: Any, name: str = "tube") -> Section:
    """Return the outline of a tube.

    Parameters
    ----------
    thing : float, tube or Section
        A diameter in mm, a tube with ``.section()``, or an outline, which comes back as it is.
    name : str
        What the number is, for the message.

    Returns
    -------
    Section
        The outline.

    Raises
    ------
    ValueError
        "The *name* must be a finite number in mm; …" for anything else.

    Examples
    --------
    >>> section_of(28.6).height(0.0)
    array(14.3)
    >>> section_of("28.6 mm")
    Traceback (most recent call last):
    ValueError: The tube must be a finite number in mm; got '28.6 mm'. Turn text into mm with
    units.mm first.
    """
    if isinstance(thing, Section):
        return thing
    if hasattr(thing, "section"):
        return thing.section()  # type: ignore[no-any-return]
    radius = positive(name, thing) / 2
    return Ellipse(radius, radius)
