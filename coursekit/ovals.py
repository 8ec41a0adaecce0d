"""Squeezing a round tube oval: the other axis, how far to press, and what springs back.

The model takes a slice of the tube as a thin ring that is pressed between two flat plates. Its
middle line keeps its length and lies on an ellipse. The metal is elastic up to the yield stress and
then gives way without hardening. Four plastic hinges, at the plates and half-way between them, let
the ring flatten, and when it is let go it springs back elastically.

The model leaves out work hardening, the support of the tube beyond the pressed part and rounded
plates, and it holds for a thin wall (t/D below about 1/15). On a real tube expect the spring-back
to be within about a third of what it says: press, measure, press again (common practice, no
source).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.sections import ellipse_perimeter, gauss
from coursekit.tubes import Round


def depth_for(diameter: Any, wall: Any, width: Any) -> Any:
    """Return the other outside axis of a round tube that has been made oval.

    Looking along the tube, `width` is one outside axis and the answer is the axis square to it,
    whichever is longer. The middle of the wall keeps its length and lies on an ellipse.

    Parameters
    ----------
    diameter, wall : float or array
        Of the round tube, mm.
    width : float or array
        The axis you know, outside, mm: above the wall, and below π/2 times the middle diameter plus
        the wall, where the tube is pressed flat.

    Returns
    -------
    float or array
        The other axis, outside, mm, to machine precision.

    Raises
    ------
    ValueError
        "The width must lie between the wall and the tube pressed flat; got 60 mm, from 0.9 mm to
        44.4 mm. …"

    References
    ----------
    Length of the ellipse by the complete elliptic integral E, Abramowitz & Stegun (1964), 17.3.3.

    Examples
    --------
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
    """Full axis of the ellipse that is as long round as a circle of `round_axis`.

    The length is convex in the axis and at least π/2 times the sum of both axes, so Newton's steps
    come down from 2·round − axis to the answer and never pass it. The slope is that of Ramanujan's
    form.
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
    """Return the perimeter of an ellipse by one of Ramanujan's two hand formulas.

    With h = ((a − b)/(a + b))², where a and b are the semi-axes, form 1 is π(3(a + b) − √((3a +
    b)(a + 3b))) and form 2 is π(a + b)(1 + 3h/(10 + √(4 − 3h))). Both come out low; form 2 by less
    than 1 in 10⁶ for axes up to 4 : 1. `sections.ellipse_perimeter` is exact.

    Parameters
    ----------
    width, depth : float or array
        Full axes, mm, above 0.
    form : int
        1 or 2.

    Returns
    -------
    float or array
        Perimeter, mm.

    Raises
    ------
    ValueError
        "The form must be 1 or 2; got 3. …"

    References
    ----------
    Ramanujan, "Modular equations and approximations to π", Q. J. Math. 45 (1914).

    Examples
    --------
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
    """Return (shortening, widening) of a thin round ring that is pressed on one diameter, elastic.

    The ring is a slice of the tube, 1 mm long. It gets shorter along the load and wider square to
    it.

    Parameters
    ----------
    diameter, wall : float or array
        Of the tube, mm.
    modulus : float or array
        MPa, above 0.
    load : float or array
        N per mm of the tube's length.

    Returns
    -------
    shortening : float or array
        By how much the diameter along the load gets shorter, mm.
    widening : float or array
        By how much the diameter square to the load gets longer, mm.

    Raises
    ------
    ValueError
        "The modulus must be greater than 0; …", and the messages of `tubes.Round`.

    References
    ----------
    Timoshenko, Strength of Materials, part I, art. 80: 0.149 and 0.137 P·R³/(E·I), which are
    exactly π/4 − 2/π and 2/π − 1/2; Young & Budynas, Roark's Formulas (2002), Table 9.2, case 1.

    Examples
    --------
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
    """Return the load at which a round ring gives way: 4·Mp/R.

    Mp = σy·t²/4 is the plastic moment of a strip 1 mm wide, and R is the radius of the middle of
    the wall.

    Parameters
    ----------
    diameter, wall : float or array
        Of the tube, mm.
    yield_stress : float or array
        MPa, above 0.

    Returns
    -------
    float or array
        Load, N per mm of the tube's length.

    Raises
    ------
    ValueError
        "The yield stress must be greater than 0; …", and the messages of `tubes.Round`.

    References
    ----------
    DeRuntz & Hodge, J. Appl. Mech. 30 (1963) 391 (crushing of a tube between rigid plates, first
    collapse load), from memory; derived from four hinges.

    Examples
    --------
    >>> round(float(hinge_load(28.6, 0.9, 517.0)), 3)
    30.236
    >>> hinge_load(28.6, 0.9, -517.0)
    Traceback (most recent call last):
    ValueError: The yield stress must be greater than 0; got -517 MPa. Check the number.
    """
    radius = Round(diameter, wall).mid_radius
    return positive("yield stress", yield_stress, "MPa") * np.asarray(wall) ** 2 / radius


def round_springback(diameter: Any, wall: Any, yield_stress: Any, modulus: Any) -> Any:
    """Return what springs back, by the hand formula for a ring that is still round.

    It is the elastic shortening under the hinge load: 12·(π/4 − 2/π)·σy·R²/(E·t), about
    1.8·σy·R²/(E·t). If you squeeze by less than this, all of it springs back. For a large squeeze
    use `springback`, which follows the change of shape.

    Parameters
    ----------
    diameter, wall : float or array
        Of the tube, mm.
    yield_stress, modulus : float or array
        MPa, above 0.

    Returns
    -------
    float or array
        By how much the pressed diameter grows again, mm.

    Raises
    ------
    ValueError
        The messages of `ring` and `hinge_load`.

    References
    ----------
    As `ring` and `hinge_load`.

    Examples
    --------
    >>> round(float(round_springback(28.6, 0.9, 517.0, 205_000.0)), 3)
    0.96
    >>> round_springback(28.6, 0.9, 517.0, 0.0)
    Traceback (most recent call last):
    ValueError: The modulus must be greater than 0; got 0 MPa. Check the number.
    """
    return ring(diameter, wall, modulus, hinge_load(diameter, wall, yield_stress))[0]


def springback(diameter: Any, wall: Any, pressed: Any, yield_stress: Any, modulus: Any) -> Any:
    """Return what springs back when a tube that was pressed down to `pressed` is let go.

    The four hinges of the oval ring carry 4·Mp/(half the other axis). Unloading an elastic oval
    ring gives the spring-back, with its bending integrated along the ellipse. Where `pressed`
    equals `diameter`, the answer is that of `round_springback`.

    Parameters
    ----------
    diameter, wall : float or array
        Of the round tube, mm.
    pressed : float or array
        Outside size between the plates under load, mm, in the range of `width` in `depth_for`.
    yield_stress, modulus : float or array
        MPa, above 0.

    Returns
    -------
    float or array
        By how much the pressed size grows again, mm.

    Raises
    ------
    ValueError
        The messages of `depth_for`, `hinge_load` and `ring`.

    References
    ----------
    Castigliano's theorem for a thin ring, Timoshenko, Strength of Materials, part I, art. 80, on an
    ellipse; see the module's model and its limits.

    Examples
    --------
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
    """Return how far to press a tube so that it springs back to `width`.

    Press the tube between flat plates until they stand this far apart, let go, and it springs back
    to `width`. The press travels by `diameter` less the answer. To make a tube wider than it was,
    press the other axis: give `depth_for` of that width as `width` here.

    Parameters
    ----------
    diameter, wall : float or array
        Of the round tube, mm.
    width : float or array
        The outside size you want, mm, below `diameter`.
    yield_stress, modulus : float or array
        MPa, above 0.

    Returns
    -------
    float or array
        Outside size between the plates, mm, to 1e-9. The module's model and its limits apply.

    Raises
    ------
    ValueError
        "The width must be below the diameter, for a press only makes it smaller; got 30 mm from
        28.6 mm. …"; "The tube must not be pressed flat on the way; got …", and the messages of
        `springback`.

    References
    ----------
    As `springback`.

    Examples
    --------
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
