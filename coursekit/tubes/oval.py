"""The oval tube of `tubes`: an ellipse outside, the same wall all round."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.materials import STEEL_4130
from coursekit.rules import positive, require
from coursekit.sections import Ellipse, ellipse_perimeter

STEEL_DENSITY = STEEL_4130.density  # g/cm³

_ROUND = np.linspace(0, 2 * np.pi, 1024, endpoint=False)


@dataclass(frozen=True)
class Oval:
    """An oval tube: outside an ellipse, its wall the same all round, measured square to it.

    Looking along the tube, `width` and `depth` are the two outside axes. Which of them stands
    upright in the frame is up to you.

    Attributes
    ----------
    width, depth : float or array
        Outside axes, mm, above 0.
    wall : float or array
        mm, less than the tightest outside radius (half the short axis squared over half the long
        axis), because the bore would fold.

    Raises
    ------
    ValueError
        "The wall must be less than the tightest outside radius; got …"

    References
    ----------
    Steiner's formula for parallel curves, e.g. Santaló, Integral Geometry (1976), I.1.3; Bredt
    (1896) for torsion.

    Examples
    --------
    >>> oval = Oval(30.0, 20.0, 0.9)
    >>> round(float(oval.perimeter), 4), round(float(oval.area), 4)
    (79.3272, 68.8498)
    >>> Oval(30.0, 4.0, 0.9)
    Traceback (most recent call last):
    ValueError: The wall must be less than the tightest outside radius; got a 0.9 mm wall at a
    radius of 0.2666667 mm. Take a rounder oval or a thinner wall.
    """

    width: Any
    depth: Any
    wall: Any

    def __post_init__(self) -> None:
        width, depth = positive("width", self.width), positive("depth", self.depth)
        wall = positive("wall", self.wall)
        tightest = np.minimum(width, depth) ** 2 / np.maximum(width, depth) / 2
        require(
            np.less(wall, tightest),
            "The wall must be less than the tightest outside radius; got a {wall} mm wall at a "
            "radius of {tightest} mm. Take a rounder oval or a thinner wall.",
            wall=wall,
            tightest=tightest,
        )

    @property
    def perimeter(self) -> Any:
        """Outside perimeter, mm."""
        return ellipse_perimeter(self.width, self.depth)

    @property
    def area(self) -> Any:
        """Area of the metal across the tube, mm²: outside perimeter · t − π·t² (Steiner)."""
        return self.perimeter * self.wall - np.pi * self.wall**2

    @property
    def inertia_width(self) -> Any:
        """Second moment of area about the **width** axis, mm⁴: resists bending along the depth."""
        return _wall_inertia(self.depth / 2, self.width / 2, self.wall)

    @property
    def inertia_depth(self) -> Any:
        """Second moment of area about the **depth** axis, mm⁴: resists bending along the width."""
        return _wall_inertia(self.width / 2, self.depth / 2, self.wall)

    @property
    def torsion(self) -> Any:
        """Torsion constant by Bredt: 4·(mid-line area)²·t / (mid-line length).

        This is a thin-wall form. For a round tube it comes out low by (t/2r)², where r is the
        middle radius: 0.1 % at 28.6 × 0.9.

        Returns
        -------
        float or array
            mm⁴.
        """
        length = self.perimeter - np.pi * self.wall
        solid = np.pi / 4 * self.width * self.depth
        enclosed = solid - self.perimeter * self.wall / 2 + np.pi * self.wall**2 / 4
        return 4 * enclosed**2 * self.wall / length

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

    def section(self, turned_deg: Any = 0.0) -> Ellipse:
        """Return the outside as the miters see it: the width along x, then turned from x towards y.

        Parameters
        ----------
        turned_deg : float
            Turn, degrees.

        Returns
        -------
        Ellipse
            The outline.
        """
        return Ellipse(self.width / 2, self.depth / 2, turned_deg)


def _wall_inertia(far: Any, other: Any, wall: Any) -> Any:
    """∫ x² dA over the wall inside an ellipse with half axis `far` along x.

    The wall is cut into strips of depth s under the outside; a strip's length shrinks by the
    curvature times s. The trapezoidal rule converges faster than any power on a closed curve.
    """
    a, b, t = (np.asarray(v, dtype=float)[..., None] for v in (far, other, wall))
    c, s = np.cos(_ROUND), np.sin(_ROUND)
    speed = np.sqrt((a * s) ** 2 + (b * c) ** 2)
    x, lean, bend = a * c, b * c / speed, a * b / speed**3
    strips = x**2 * (t - bend * t**2 / 2)
    strips = strips - 2 * x * lean * (t**2 / 2 - bend * t**3 / 3)
    strips = strips + lean**2 * (t**3 / 3 - bend * t**4 / 4)
    return np.sum(strips * speed, axis=-1) * (2 * np.pi / len(_ROUND))
