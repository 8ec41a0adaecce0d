"""The round tubes of `tubes`: of one wall, and butted."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.sections import Ellipse
from coursekit.tubes.oval import STEEL_DENSITY


@dataclass(frozen=True)
class Round:
    """A round tube of one wall; a solid bar has a wall of half its diameter.

    Attributes
    ----------
    diameter : float or array
        Outside diameter, mm, above 0.
    wall : float or array
        mm, above 0 and at most half the diameter.

    Raises
    ------
    ValueError
        "The wall must be at most half the diameter; got 15 mm in a 28.6 mm tube. Check which is
        which."; "The diameter must be greater than 0; …"

    References
    ----------
    Young & Budynas, Roark's Formulas (2002), Table A.1 (section values).

    Examples
    --------
    >>> tube = Round(28.6, 0.9)
    >>> round(tube.area, 3), round(tube.inertia, 2), round(tube.modulus, 3), round(tube.bore, 3)
    (78.32, 7519.69, 525.852, 26.8)
    >>> Round(0.9, 28.6)
    Traceback (most recent call last):
    ValueError: The wall must be at most half the diameter; got 28.6 mm in a 0.9 mm tube. Check
    which is which.
    """

    diameter: Any
    wall: Any

    def __post_init__(self) -> None:
        diameter, wall = positive("diameter", self.diameter), positive("wall", self.wall)
        require(
            np.multiply(2, wall) <= diameter,
            "The wall must be at most half the diameter; got {wall} mm in a {diameter} mm tube. "
            "Check which is which.",
            wall=wall,
            diameter=diameter,
        )

    @property
    def bore(self) -> Any:
        """Inside diameter, mm."""
        return self.diameter - 2 * self.wall

    @property
    def mid_radius(self) -> Any:
        """Radius of the middle of the wall, mm."""
        return (self.diameter - self.wall) / 2

    @property
    def perimeter(self) -> Any:
        """Outside circumference, mm: the length of a template wrapped once round."""
        return np.pi * self.diameter

    @property
    def area(self) -> Any:
        """Area of the metal across the tube, mm²: π·(D − t)·t."""
        return np.pi * (self.diameter - self.wall) * self.wall

    @property
    def inertia(self) -> Any:
        """Second moment of area about any diameter, mm⁴: A·(D² + d²)/16, d the bore."""
        return self.area * (self.diameter**2 + self.bore**2) / 16

    @property
    def modulus(self) -> Any:
        """Elastic section modulus, mm³: bending moment over stress at the outside."""
        return 2 * self.inertia / self.diameter

    @property
    def plastic_modulus(self) -> Any:
        """Plastic section modulus, mm³: (D³ − d³)/6, the moment when all of it yields over σy."""
        return (self.diameter**3 - self.bore**3) / 6

    @property
    def torsion(self) -> Any:
        """Torsion constant, mm⁴; for a closed round tube the polar second moment, 2·I."""
        return 2 * self.inertia

    @property
    def slit_torsion(self) -> Any:
        """Torsion constant of the tube slit from end to end: 2π·r·t³/3, for thin walls only.

        Returns
        -------
        float or array
            mm⁴.

        References
        ----------
        Timoshenko & Goodier, Theory of Elasticity (1970), art. 109.
        """
        return 2 * np.pi * self.mid_radius * self.wall**3 / 3

    def grams_per_metre(self, density: Any = STEEL_DENSITY) -> Any:
        """Return the mass of one metre of the tube.

        Parameters
        ----------
        density : float or array
            g/cm³, above 0.

        Returns
        -------
        float or array
            g.
        """
        return self.area * positive("density", density, "g/cm³")

    def section(self) -> Ellipse:
        """The outside as the miters see it."""
        return Ellipse(self.diameter / 2, self.diameter / 2)


@dataclass(frozen=True)
class Butted:
    """A round tube whose wall is thicker towards its ends, with a straight outside.

    x runs along the tube from end a (x = 0) to end b. The wall is `walls[0]` through butt a, falls
    in a straight taper to `walls[1]`, the belly, and rises again to `walls[2]`. A plain end has a
    butt and a taper of length 0.

    Attributes
    ----------
    diameter : float or array
        Outside diameter, mm.
    walls : tuple of three
        Walls of end a, belly and end b, mm, each a number or an array.
    lengths : tuple of five
        butt_a, taper_a, belly, taper_b and butt_b, mm, each a number or an array, 0 or more and not
        all 0.

    Raises
    ------
    ValueError
        "The walls must be three: end a, belly, end b; got 2. …"; "The lengths must be five: butt_a,
        taper_a, belly, taper_b, butt_b; got …"; "The tube must have a length; …"

    Examples
    --------
    >>> tube = Butted(28.6, (0.9, 0.6, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))
    >>> tube.length, float(tube.wall_at(90.0)), round(float(tube.mass()), 2)
    (600.0, 0.75, 296.74)
    >>> Butted(28.6, (0.9, 0.6), (70.0, 40.0, 320.0, 40.0, 130.0))
    Traceback (most recent call last):
    ValueError: The walls must be three: end a, belly, end b; got 2. Give a plain tube the same
    wall three times.
    """

    diameter: Any
    walls: tuple[Any, Any, Any]
    lengths: tuple[Any, Any, Any, Any, Any]

    def __post_init__(self) -> None:
        if len(self.walls) != 3:
            raise ValueError(
                f"The walls must be three: end a, belly, end b; got {len(self.walls)}. "
                "Give a plain tube the same wall three times."
            )
        if len(self.lengths) != 5:
            raise ValueError(
                "The lengths must be five: butt_a, taper_a, belly, taper_b, butt_b; "
                f"got {len(self.lengths)}. Give 0 for a part that is not there."
            )
        for wall in self.walls:
            Round(self.diameter, wall)
        for name, length in zip(_PARTS, self.lengths, strict=True):
            not_negative(name, length)
        require(
            np.asarray(self.length) > 0,
            "The tube must have a length; got {total} mm in all. Give at least one of the five "
            "lengths.",
            total=self.length,
        )
        object.__setattr__(self, "walls", tuple(self.walls))
        object.__setattr__(self, "lengths", tuple(self.lengths))

    @property
    def length(self) -> Any:
        """Length from end to end, mm."""
        return sum(self.lengths)

    @property
    def marks(self) -> tuple[Any, Any, Any, Any]:
        """Where butt a, taper a, the belly and taper b end, mm from end a."""
        a, b, c, d, _ = self.lengths
        return a, a + b, a + b + c, a + b + c + d

    def wall_at(self, x: ArrayLike) -> Any:
        """Return the wall at a place along the tube.

        Parameters
        ----------
        x : float or array
            mm from end a.

        Returns
        -------
        float or array
            Wall, mm.

        Raises
        ------
        ValueError
            "The place must lie on the tube; got 700 mm on 600 mm. Measure from end a."
        """
        x = np.asarray(number("place", x), dtype=float)
        require(
            (x >= 0) & (x <= np.asarray(self.length) * (1 + 1e-12)),
            "The place must lie on the tube; got {x} mm on {length} mm. Measure from end a.",
            x=x,
            length=self.length,
        )
        end_a, belly, end_b = self.walls
        start_a, stop_a, start_b, stop_b = self.marks
        down, up = _share(x, start_a, stop_a), _share(x, start_b, stop_b)
        return end_a + (belly - end_a) * down + (end_b - belly) * up

    def section_at(self, x: ArrayLike) -> Round:
        """Return the round tube, with all its section values, that lies at a place along the tube.

        Parameters
        ----------
        x : float or array
            mm from end a.

        Returns
        -------
        Round
            A tube of the wall at that place.
        """
        return Round(self.diameter, self.wall_at(x))

    def mass(self, density: Any = STEEL_DENSITY) -> Any:
        """Return the mass of the tube; it is exact, because the area is a square of x in a taper.

        Parameters
        ----------
        density : float or array
            g/cm³, above 0.

        Returns
        -------
        float or array
            g.
        """
        end_a, belly, end_b = self.walls
        walls = ((end_a, end_a), (end_a, belly), (belly, belly), (belly, end_b), (end_b, end_b))
        volume = sum(
            length * np.pi * (self.diameter * (s + e) / 2 - (s * s + s * e + e * e) / 3)
            for length, (s, e) in zip(self.lengths, walls, strict=True)
        )
        return volume * positive("density", density, "g/cm³") / 1000

    def cut(self, from_a: Any, from_b: Any) -> Butted:
        """Return the tube that is left when both ends are cut.

        Parameters
        ----------
        from_a, from_b : float or array
            What comes off end a and end b, mm, 0 or more.

        Returns
        -------
        Butted
            What is left.

        Raises
        ------
        ValueError
            "The cuts must leave some tube; got 400 mm and 250 mm off 600 mm. Take less or a longer
            tube."
        """
        from_a, from_b = not_negative("cut at a", from_a), not_negative("cut at b", from_b)
        require(
            np.asarray(self.length - from_a - from_b) > 0,
            "The cuts must leave some tube; got {a} mm and {b} mm off {length} mm. Take less or a"
            " longer tube.",
            a=from_a,
            b=from_b,
            length=self.length,
        )
        end = self.length - from_b
        edges = (0.0, *self.marks, self.length)
        left = tuple(
            np.maximum(np.minimum(stop, end) - np.maximum(start, from_a), 0.0)[()]
            for start, stop in pairwise(edges)
        )
        belly = self._wall_left(from_a, end)
        return Butted(self.diameter, (self.wall_at(from_a)[()], belly, self.wall_at(end)[()]), left)

    def _wall_left(self, start: Any, end: Any) -> Any:
        """The belly's wall between two cuts, or the thinnest wall left if they took the belly."""
        gone_a, gone_b = start > self.marks[2], end < self.marks[1]
        wall = np.where(gone_a, self.wall_at(start), self.walls[1])
        return np.where(gone_b, self.wall_at(end), wall)[()]

    def section(self) -> Ellipse:
        """The outside as the miters see it."""
        return Ellipse(self.diameter / 2, self.diameter / 2)


STEP = 1e-9  # mm; a taper not longer than this is a step
_PARTS = ("butt a", "taper a", "belly", "taper b", "butt b")


def _share(x: Any, start: Any, stop: Any) -> Any:
    """How much of a taper lies before x, 0 to 1; a taper of (next to) no length is a step."""
    length = np.asarray(stop - start, dtype=float)
    slope = (x - start) / np.where(length > STEP, length, 1.0)
    return np.where(length > STEP, np.clip(slope, 0.0, 1.0), x > start)
