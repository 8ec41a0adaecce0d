"""One tube as a beam: hand calculations that check what `statics` does for a whole frame."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.materials import STEEL_4130
from coursekit.rules import number, positive, require
from coursekit.tubes import Round

__all__ = ["bending_at", "edge_stress", "fall", "sag"]

GRAVITY = 9.80665  # m/s², standard


def sag(force: Any, length: Any, inertia: Any, modulus: Any = STEEL_4130.modulus) -> Any:
    """Return how far the free tip of a tube sinks when its other end is held fast: F·L³ / (3·E·I).

    The force acts square to the tube at its tip, and the sag goes the same way as the force.

    Parameters
    ----------
    force : float or array
        N, at the tip.
    length : float or array
        mm from the clamp to the tip, greater than 0.
    inertia : float or array
        Second moment of area, mm⁴, greater than 0.
    modulus : float or array
        MPa, greater than 0; by default that of 4130 steel.

    Returns
    -------
    float or array
        mm, with the sign of the force.

    Raises
    ------
    ValueError
        "The length must be greater than 0; got 0 mm. …"

    References
    ----------
    Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), Table G-1 (from memory).

    Examples
    --------
    >>> round(float(sag(200.0, 500.0, 7519.69)), 4)
    5.4059
    >>> sag(200.0, 0.0, 7519.69)
    Traceback (most recent call last):
    ValueError: The length must be greater than 0; got 0 mm. Check the number.
    """
    force, length = np.asarray(number("force", force, "N"), float), positive("length", length)
    inertia = positive("second moment of area", inertia, "mm⁴")
    return force * length**3 / (3 * positive("modulus", modulus, "MPa") * inertia)


def bending_at(first: Any, last: Any, length: Any, at: Any) -> Any:
    """Return the bending at a place between two joints of a tube.

    Nothing pushes on the tube between its joints, so the bending goes in a straight line from
    `first` to the other end, where `last` bends the tube **the other way round**.

    Parameters
    ----------
    first, last : float or array
        Bending at the two joints, N·m or N·mm.
    length : float or array
        mm from joint to joint, greater than 0.
    at : float or array
        mm from the first joint, 0 to `length`.

    Returns
    -------
    float or array
        Bending, with the sign and the unit of `first`.

    Raises
    ------
    ValueError
        "The place must lie on the tube; got 600 mm of 585 mm. …"

    References
    ----------
    Equilibrium of a piece of tube, in any text.

    Examples
    --------
    >>> print(bending_at(90.0, 45.0, 600.0, 400.0))
    0.0
    >>> bending_at(90.0, 46.0, 585.0, 600.0)
    Traceback (most recent call last):
    ValueError: The place must lie on the tube; got 600 mm of 585 mm. Measure from the first joint.
    """
    length, at = positive("length", length), number("place", at)
    on = np.greater_equal(at, 0) & np.less_equal(at, length)
    require(
        on,
        "The place must lie on the tube; got {at} mm of {length} mm. Measure from the first joint.",
        at=at,
        length=length,
    )
    first = number("bending", first, "N·m")
    return first - (first + np.asarray(number("bending", last, "N·m"))) * at / length


def edge_stress(force: Any, bending: Any, tube: Round) -> Any:
    """Return the greatest stress on the edge of a tube that is bent, and pushed or pulled as well.

    Parameters
    ----------
    force : float or array
        N along the tube, either sign.
    bending : float or array
        N·mm, either sign.
    tube : tubes.Round
        The section.

    Returns
    -------
    float or array
        |F|/A + |M|/W, MPa, without a sign.

    Raises
    ------
    ValueError
        "The bending must be a finite number in N·mm; got nan. …"

    References
    ----------
    Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), eq. 5-13, added to the stress of a
    pull (from memory).

    Examples
    --------
    >>> round(float(edge_stress(0.0, 100_000.0, Round(28.6, 0.9))), 2)
    190.17
    >>> edge_stress(0.0, float("nan"), Round(28.6, 0.9))
    Traceback (most recent call last):
    ValueError: The bending must be a finite number in N·mm; got nan. Give a plain number.
    """
    force, bending = number("force", force, "N"), number("bending", bending, "N·mm")
    return np.abs(force) / np.asarray(tube.area) + np.abs(bending) / np.asarray(tube.modulus)


def fall(mass: Any, height: Any) -> Any:
    """Return the work that a falling mass brings with it: mass · 9.80665 m/s² · height.

    Parameters
    ----------
    mass : float or array
        kg, greater than 0.
    height : float or array
        mm that it falls, greater than 0.

    Returns
    -------
    float or array
        Work, J.

    Raises
    ------
    ValueError
        "The mass must be greater than 0; got 0 kg. …"

    References
    ----------
    Work is weight times height; 9.80665 m/s² is standard gravity.

    Examples
    --------
    >>> round(float(fall(22.5, 180.0)), 1)
    39.7
    >>> fall(0.0, 180.0)
    Traceback (most recent call last):
    ValueError: The mass must be greater than 0; got 0 kg. Check the number.
    """
    return positive("mass", mass, "kg") * GRAVITY * np.divide(positive("height", height), 1000)
