"""Squeezing a round tube oval: the other axis, how far to press, and what springs back.

Model: a slice of the tube is a thin ring, pressed between two flat plates. Its middle line keeps
its length and lies on an ellipse. The metal is elastic up to the yield stress and then gives way
without hardening; four plastic hinges (at the plates and half way between) let the ring flatten;
on unloading it springs back elastically.
Limits: no work hardening, no support from the tube beyond the pressed part, plates not rounded,
wall thin against the radius (t/D below about 1/15). On a real tube expect the spring-back within
a third or so; press, measure, press again (common practice, no source).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.sections import ellipse_perimeter, gauss
from coursekit.tubes import Round


def depth_for(diameter: Any, wall: Any, width: Any) -> Any:
    """Return the other outside axis, in mm, of a round tube made oval to `width`.

    Picture: looking along the tube, `width` is one outside axis and the answer the one square to
    it, whichever is longer. The middle of the wall keeps its length and lies on an ellipse.

    Parameters: `diameter`, `wall` of the round tube, mm; `width`, outside, mm: above the wall, and
    below π/2 times the middle diameter plus the wall (pressed flat). Scalars or arrays.

    Returns: mm, to machine precision.

    Raises ValueError: "The width must lie between the wall and the tube pressed flat; got 60 mm,
    from 0.9 mm to 44.4 mm. Check the number."

    References: ellipse length by the complete elliptic integral E, Abramowitz & Stegun (1964), 17.3.3.

    >>> round(float(depth_for(28.6, 0.9, 26.0)), 3), round(float(depth_for(28.6, 0.9, 28.6)), 3)
    (31.083, 28.6)
    >>> depth_for(28.6, 0.9, 60.0)
    Traceback (most recent call last):
    ValueError: The width must lie between the wall and the tube pressed flat; got 60 mm, from
    0.9 mm to 44.41106 mm. Check the number.
    """
    round_tube = Round(diameter, wall)
    middle = 2 * round_tube.mid_radius
    width = number("width", width)
    require(
        (np.asarray(width) > wall) & (np.asarray(width) < wall + middle * np.pi / 2),
        "The width must lie between the wall and the tube pressed flat; got {width} mm, from "
        "{wall} mm to {flat} mm. Check the number.",
        width=width,
        wall=wall,
        flat=wall + middle * np.pi / 2,
    )
    return _other_axis(middle, width - wall) + wall


def _other_axis(round_axis: Any, axis: Any) -> Any:
    """Full axis of the ellipse as long round as a circle of `round_axis`.

    The length is convex in the axis and at least π/2 times the sum of both, so Newton's steps from
    2·round − axis come down to the answer and never pass it; the slope is that of Ramanujan's form.
    """
    goal = np.pi * np.asarray(round_axis, dtype=float)
    other = 2.0 * round_axis - np.asarray(axis, dtype=float)
    for _ in range(60):
        h = 1e-4 * other
        slope = (ramanujan(other + h, axis) - ramanujan(other - h, axis)) / (2 * h)
        step = (ellipse_perimeter(other, axis) - goal) / slope
        other = np.maximum(other - step, other / 8)
        if np.all(np.abs(step) < 1e-14 * goal):
            break
    return other[()]


def ramanujan(width: Any, depth: Any, form: int = 2) -> Any:
    """Return the perimeter, in mm, of an ellipse by Ramanujan's hand formula, 1 or 2.

    With h = ((a − b)/(a + b))², a and b the semi-axes: form 1 is π(3(a + b) −
    √((3a + b)(a + 3b))), form 2 π(a + b)(1 + 3h/(10 + √(4 − 3h))). Both are low; form 2 by less
    than 1 in 10⁶ for axes up to 4 : 1. `sections.ellipse_perimeter` is exact.

    Parameters: `width`, `depth`, full axes, mm; `form`, 1 or 2.

    Raises ValueError: "The form must be 1 or 2; got 3. Ramanujan gave two."

    References: Ramanujan, "Modular equations and approximations to π", Q. J. Math. 45 (1914).

    >>> round(float(ramanujan(4.0, 2.0)), 9), round(float(ramanujan(4.0, 2.0, form=1)), 9)
    (9.688448216, 9.688421098)
    >>> ramanujan(4.0, 2.0, form=3)
    Traceback (most recent call last):
    ValueError: The form must be 1 or 2; got 3. Ramanujan gave two.
    """
    a, b = positive("width", width) / 2, positive("depth", depth) / 2
    if form not in (1, 2):
        raise ValueError(f"The form must be 1 or 2; got {form}. Ramanujan gave two.")
    if form == 1:
        return np.pi * (3 * (a + b) - np.sqrt((3 * a + b) * (a + 3 * b)))
    h = ((a - b) / (a + b)) ** 2
    return np.pi * (a + b) * (1 + 3 * h / (10 + np.sqrt(4 - 3 * h)))


def ring(diameter: Any, wall: Any, modulus: Any, load: Any = 1.0) -> tuple[Any, Any]:
    """Return (shortening, widening), in mm, of a thin round ring pressed on one diameter, elastic.

    Picture: a slice 1 mm long of the tube; `load` in N per mm of its length. Shortening is along
    the load, widening square to it, both of the whole diameter.

    Parameters: `diameter`, `wall`, mm; `modulus`, MPa; `load`, N/mm. Scalars or arrays.

    Raises ValueError: as `tubes.Round`; "The modulus must be greater than 0; …"

    References: Timoshenko, Strength of Materials, part I, art. 80: 0.149 and 0.137 P·R³/(E·I);
    exactly π/4 − 2/π and 2/π − 1/2; Young & Budynas, Roark's Formulas (2002), Table 9.2, case 1.

    >>> [round(float(d), 4) for d in ring(28.6, 0.9, 205_000.0, 10.0)]
    [0.3174, 0.2914]
    >>> ring(28.6, 0.9, 0.0)
    Traceback (most recent call last):
    ValueError: The modulus must be greater than 0; got 0 MPa. Check the number.
    """
    radius = Round(diameter, wall).mid_radius
    bending = positive("modulus", modulus, "MPa") * np.asarray(wall) ** 3 / 12
    size = number("load", load, "N/mm") * radius**3 / bending
    return (np.pi / 4 - 2 / np.pi) * size, (2 / np.pi - 0.5) * size


def hinge_load(diameter: Any, wall: Any, yield_stress: Any) -> Any:
    """Return the load, in N per mm of tube, at which a round ring gives way: 4·Mp/R.

    Mp = σy·t²/4 is the plastic moment of a strip 1 mm wide, R the radius of the middle of the wall.

    Raises ValueError: as `tubes.Round`; "The yield stress must be greater than 0; …"

    References: DeRuntz & Hodge, J. Appl. Mech. 30 (1963) 391 (crushing of a tube between rigid
    plates, first collapse load), from memory; derived from four hinges.

    >>> round(float(hinge_load(28.6, 0.9, 517.0)), 3)
    30.236
    >>> hinge_load(28.6, 0.9, -517.0)
    Traceback (most recent call last):
    ValueError: The yield stress must be greater than 0; got -517 MPa. Check the number.
    """
    radius = Round(diameter, wall).mid_radius
    return positive("yield stress", yield_stress, "MPa") * np.asarray(wall) ** 2 / radius


def round_springback(diameter: Any, wall: Any, yield_stress: Any, modulus: Any) -> Any:
    """Return what springs back, in mm of diameter, by the hand formula for a ring still round.

    It is the elastic shortening under the hinge load: 12·(π/4 − 2/π)·σy·R²/(E·t), about
    1.8·σy·R²/(E·t). A squeeze smaller than this springs back wholly. For a large squeeze see
    `springback`, which follows the change of shape.

    Raises ValueError: as `ring` and `hinge_load`.

    References: as `ring` and `hinge_load`.

    >>> round(float(round_springback(28.6, 0.9, 517.0, 205_000.0)), 3)
    0.96
    >>> round_springback(28.6, 0.9, 517.0, 0.0)
    Traceback (most recent call last):
    ValueError: The modulus must be greater than 0; got 0 MPa. Check the number.
    """
    return ring(diameter, wall, modulus, hinge_load(diameter, wall, yield_stress))[0]


def springback(diameter: Any, wall: Any, pressed: Any, yield_stress: Any, modulus: Any) -> Any:
    """Return what springs back, in mm, when a tube pressed down to `pressed` is let go.

    Picture: `pressed` is the outside size between the plates under load. The four hinges of the
    oval ring carry 4·Mp/(half the other axis); unloading an elastic oval ring gives the rest, its
    bending integrated along the ellipse. At `pressed` = `diameter` it equals `round_springback`.

    Parameters: `diameter`, `wall`, of the round tube, mm; `pressed`, mm, as `width` in
    `depth_for`; `yield_stress`, `modulus`, MPa. Scalars or arrays.

    Raises ValueError: as `depth_for`, `hinge_load`, `ring`.

    References: Castigliano's theorem for a thin ring, Timoshenko, Strength of Materials, part I,
    art. 80, on an ellipse; see the module's model and its limits.

    >>> round(float(springback(28.6, 0.9, 26.0, 517.0, 205_000.0)), 3)
    1.061
    >>> springback(28.6, 0.9, 60.0, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The width must lie between the wall and the tube pressed flat; got 60 mm, from
    0.9 mm to 44.41106 mm. Check the number.
    """
    other = (depth_for(diameter, wall, pressed) - wall) / 2
    along = (np.asarray(pressed) - wall) / 2
    load = positive("yield stress", yield_stress, "MPa") * np.asarray(wall) ** 2 / other
    bending = positive("modulus", modulus, "MPa") * np.asarray(wall) ** 3 / 12
    return load * _quarter_spread(other, along) / bending


_POINTS = 64  # Gauss-Legendre points on a quarter of the ellipse


def _quarter_spread(other: Any, along: Any) -> Any:
    """∫ (x − mean x)² ds over a quarter ellipse, mm³, x measured from the line of the load."""
    share, weights = gauss(_POINTS)
    turn = np.pi / 2 * share
    other, along = np.asarray(other)[..., None], np.asarray(along)[..., None]
    x = other * np.sin(turn)
    ds = np.hypot(other * np.cos(turn), along * np.sin(turn)) * weights * np.pi / 2
    mean = np.sum(x * ds, axis=-1, keepdims=True) / np.sum(ds, axis=-1, keepdims=True)
    return np.sum((x - mean) ** 2 * ds, axis=-1)


def squeeze_to(diameter: Any, wall: Any, width: Any, yield_stress: Any, modulus: Any) -> Any:
    """Return the outside size between the plates, in mm, to press to so that `width` is left.

    Picture: press the tube between flat plates until they stand this far apart, let go, and it
    springs back to `width`. The press's travel is `diameter` less the answer. To make a tube
    wider than it was, press the other axis: take `depth_for` of that width as `width` here.

    Parameters: `diameter`, `wall`, of the round tube, mm; `width`, wanted, outside, below
    `diameter`; `yield_stress`, `modulus`, MPa. Scalars or arrays.

    Returns: mm, to 1e-9. The module's model and its limits apply.

    Raises ValueError: "The width must be below the diameter, for a press only makes it smaller;
    got 30 mm from 28.6 mm. Press the other axis."; "The tube must not be pressed flat on the way;
    got … Anneal it, or squeeze it less."; as `springback`.

    References: as `springback`.

    >>> round(float(squeeze_to(28.6, 0.9, 26.0, 517.0, 205_000.0)), 3)
    24.902
    >>> squeeze_to(28.6, 0.9, 30.0, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The width must be below the diameter, for a press only makes it smaller; got 30 mm
    from 28.6 mm. Press the other axis.
    """
    diameter, width = positive("diameter", diameter), positive("width", width)
    require(
        np.less(width, diameter),
        "The width must be below the diameter, for a press only makes it smaller; got {width}"
        " mm from {diameter} mm. Press the other axis.",
        width=width,
        diameter=diameter,
    )
    given = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (diameter, wall, width, yield_stress, modulus))
    )
    diameter, wall, width, yield_stress, modulus = given
    low = wall * (1 + 1e-9) + 1e-9
    left = low + springback(diameter, wall, low, yield_stress, modulus)
    require(
        left < width,
        "The tube must not be pressed flat on the way; got {width} mm from {diameter} mm. "
        "Anneal it, or squeeze it less.",
        width=width,
        diameter=diameter,
    )
    pressed = width
    for _ in range(100):  # the spring-back changes little with the squeeze, so this settles fast
        before = pressed
        pressed = width - springback(diameter, wall, before, yield_stress, modulus)
        if np.all(np.abs(pressed - before) < 1e-12):
            break
    return pressed[()]
