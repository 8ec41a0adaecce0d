"""The long point of a round joint, in closed form; the words are those of `miters`."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.miters import curve


def long_point(diameter: Any, into: Any, angle_deg: Any) -> tuple[Any, Any]:
    """Return where a round tube reaches farthest into its joint: (line, along).

    On a slant the saddle comes nearest to the crossing of the axes somewhere between the ear and
    the obtuse line. The derivative of the curve of `saddle` is zero where

        r cos φ sin θ = cos θ √(R² − r²),    and there    along = √(R² − r²)

    So the long point is as far from the crossing as the ears of a square joint, whatever the angle.
    Where no line of the tube has so large a cosine, because the joint is too sharp or the tube too
    thin, it lies on the obtuse line: along = (R − r cos θ) / sin θ.

    Parameters
    ----------
    diameter : float or array
        Outside diameter of the tube that is cut, mm, above 0.
    into : float or array
        Outside diameter of the tube that it meets, mm, above 0. The axes must meet: there is no
        offset here.
    angle_deg : float or array
        Included angle between the axes, degrees, above 0 and below 180.

    Returns
    -------
    around_deg : float or array
        How far round the tube from the obtuse line of `saddle`, degrees, 0 to 180; the second long
        point lies as far to the other side.
    along : float or array
        Distance along the tube from the crossing of the axes, mm.

    Raises
    ------
    ValueError
        The messages of `saddle`.

    References
    ----------
    Derived from the curve of `saddle` by setting its slope to zero.

    Examples
    --------
    >>> line, along = long_point(25.4, 31.8, 62.0)
    >>> round(float(line), 1), round(float(along), 2)
    (66.4, 9.57)
    >>> long_point(31.8, 28.6, 90.0)
    Traceback (most recent call last):
    ValueError: The cut tube must not be wider than the tube it meets; got 31.8 mm into 28.6 mm.
    Swap them.
    """
    diameter, into, angle_deg, _ = curve.checked(diameter, into, angle_deg, 0.0)
    r, big, angle = np.divide(diameter, 2), np.divide(into, 2), np.radians(angle_deg)
    ears = np.sqrt(np.maximum(big - r, 0.0) * (big + r))  # of a square joint
    cosine = np.clip(ears / np.tan(angle) / r, -1.0, 1.0)
    on_line = (big - r * np.abs(np.cos(angle))) / np.sin(angle)
    along = np.where(np.abs(cosine) < 1.0, ears, on_line)[()]
    return np.degrees(np.arccos(cosine))[()], along
