"""One tube as a beam: what a hand can check of the sums that `statics` does for a whole frame."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.materials import STEEL_4130
from coursekit.rules import number, positive, require
from coursekit.tubes import Round

__all__ = ["bending_at", "edge_stress", "fall", "sag"]

GRAVITY = 9.80665  # m/s², standard


def sag(force: Any, length: Any, inertia: Any, modulus: Any = STEEL_4130.modulus) -> Any:
    """Return how far the tip of a tube sinks that is held fast at its other end, in mm.

    Picture: `force` square to the tube at its tip, `length` from the clamp; the sag goes with the force.

    Parameters: `force`, N; `length`, mm; `inertia`, second moment of area, mm⁴; `modulus`, MPa, by
    default that of 4130. Scalars or arrays.

    Returns: F L³ / (3 E I).

    Raises ValueError: "The length must be greater than 0; got 0 mm. Check the number."

    References: Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), Table G-1 (from memory).

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
    """Return the bending at a place between two joints, with the sign and unit of `first`.

    Picture: nothing pushes on the tube between its joints, so the bending goes in a straight line from
    `first` to the other end, where the tube is bent by `last` **the other way round**.

    Parameters: `first`, `last`, N·m or N·mm; `length`, mm from joint to joint; `at`, mm from the
    first joint, 0 to `length`. Scalars or arrays.

    Raises ValueError: "The place must lie on the tube; got 600 mm of 585 mm. Measure from the first
    joint."

    References: equilibrium of a piece of tube, any text.

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
    """Return the greatest stress on the edge of a tube that is pushed or pulled and bent, in MPa, without its sign.

    Parameters: `force`, N along the tube, and `bending`, N·mm, either sign; `tube`, round. Scalars or
    arrays.

    Returns: |F|/A + |M|/W.

    Raises ValueError: "The bending must be a finite number in N·mm; got nan. Give a plain number."

    References: Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), eq. 5-13 and its sum with a
    pull (from memory).

    >>> round(float(edge_stress(0.0, 100_000.0, Round(28.6, 0.9))), 2)
    190.17
    >>> edge_stress(0.0, float("nan"), Round(28.6, 0.9))
    Traceback (most recent call last):
    ValueError: The bending must be a finite number in N·mm; got nan. Give a plain number.
    """
    force, bending = number("force", force, "N"), number("bending", bending, "N·mm")
    return np.abs(force) / np.asarray(tube.area) + np.abs(bending) / np.asarray(tube.modulus)


def fall(mass: Any, height: Any) -> Any:
    """Return the work that a falling mass brings with it, in J.

    Parameters: `mass`, kg; `height`, mm that it falls. Scalars or arrays.

    Raises ValueError: "The mass must be greater than 0; got 0 kg. Check the number."

    References: mass · 9.80665 · height.

    >>> round(float(fall(22.5, 180.0)), 1)
    39.7
    >>> fall(0.0, 180.0)
    Traceback (most recent call last):
    ValueError: The mass must be greater than 0; got 0 kg. Check the number.
    """
    return positive("mass", mass, "kg") * GRAVITY * np.divide(positive("height", height), 1000)
