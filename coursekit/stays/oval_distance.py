"""How far a point is from an ellipse, to machine precision."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import positive
from coursekit.sections import Array

STEPS = 60
GRAIN = 1e-12  # share of the half axis that keeps a point off the long axis


def from_ellipse(x: Any, y: Any, half_x: Any, half_y: Any) -> Array:
    """Return how far points lie outside an ellipse.

    The nearest point of the ellipse is at (a²x/(t + a²), b²y/(t + b²)), where t is the largest root
    of (ax/(t + a²))² + (by/(t + b²))² = 1. Newton's steps from the left come up to that root and
    never pass it, because the left side is convex and falls.

    Parameters
    ----------
    x, y : float or array
        The points, mm from the middle of the ellipse.
    half_x, half_y : float or array
        Half axes along x and y, mm, above 0.

    Returns
    -------
    array
        mm; negative inside.

    Raises
    ------
    ValueError
        "The half axis must be greater than 0; got 0 mm. Check the number."

    References
    ----------
    Eberly, Distance from a Point to an Ellipse, an Ellipsoid, or a Hyperellipsoid (2013), from
    memory.

    Examples
    --------
    >>> from_ellipse([15.0, 0.0, 0.0], [0.0, 13.0, 0.0], 12.0, 8.0)
    array([ 3.,  5., -8.])
    >>> from_ellipse(1.0, 1.0, 12.0, 0.0)
    Traceback (most recent call last):
    ValueError: The half axis must be greater than 0; got 0 mm. Check the number.
    """
    half_x, half_y = (np.asarray(positive("half axis", v), float) for v in (half_x, half_y))
    x, y, half_x, half_y = np.broadcast_arrays(
        np.abs(np.asarray(x, float)), np.abs(np.asarray(y, float)), half_x, half_y
    )
    wide = half_x >= half_y
    a, b = np.where(wide, half_x, half_y), np.where(wide, half_y, half_x)
    u, v = np.where(wide, x, y), np.where(wide, y, x)
    u, v = np.maximum(u, GRAIN * a), np.maximum(v, GRAIN * b)
    more = (a - b) * (a + b)
    t = np.maximum(b * v, a * u - more)  # counted from −b², so that no digits are lost near it
    for _ in range(STEPS):
        p, q = (a * u / (t + more)) ** 2, (b * v / t) ** 2
        step = (p + q - 1) / (2 * (p / (t + more) + q / t))
        t = t + step
        if np.all(np.abs(step) <= 1e-15 * t):
            break
    near_u, near_v = a * a * u / (t + more), b * b * v / t
    inside = (u / a) ** 2 + (v / b) ** 2 < 1
    return np.asarray(np.where(inside, -1.0, 1.0) * np.hypot(u - near_u, v - near_v))
