"""Dropouts and the string: is the rear end centred, spaced and parallel.

Look at the frame from behind, with the drive side on the right. Distances to either side are
given as positive numbers from the frame's centre plane, whose datum is the faced bottom-bracket
shell. Results are positive toward the drive side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare

__all__ = ["Centre", "Faces", "String", "centre", "faces", "string_gap", "string_test"]


@dataclass(frozen=True)
class Centre:
    """Spacing of the dropouts and how far their middle lies from the centre plane.

    Attributes
    ----------
    spacing : float or array
        Between the inner faces, mm.
    off_centre : float or array
        Of the faces' middle, mm, positive toward the drive side.
    spacing_uncertainty, off_centre_uncertainty : float or array
        Standard uncertainties, mm.
    """

    spacing: Any
    off_centre: Any
    spacing_uncertainty: Any
    off_centre_uncertainty: Any


def centre(drive: ArrayLike, other: ArrayLike, noise: ArrayLike = 0.0) -> Centre:
    """Return the spacing of the dropouts and how far their middle lies off the centre plane.

    Parameters
    ----------
    drive, other : float or array
        From the centre plane to the inner face on the drive side and on the other side, mm, greater
        than 0.
    noise : float or array
        Standard uncertainty of one of these distances, mm, 0 or more.

    Returns
    -------
    Centre
        Off centre is *half* the difference, positive toward the drive side.

    Raises
    ------
    ValueError
        "The distance on the drive side must be greater than 0; got -65 mm. …"

    Examples
    --------
    >>> found = centre(65.6, 64.4)
    >>> found.spacing, round(found.off_centre, 6)
    (130.0, 0.6)
    >>> centre(-65.0, 65.0)
    Traceback (most recent call last):
    ValueError: The distance on the drive side must be greater than 0; got -65 mm. Check the number.
    """
    right = np.asarray(positive("distance on the drive side", drive), dtype=float)
    left = np.asarray(positive("distance on the other side", other), dtype=float)
    one = np.asarray(not_negative("noise", noise), dtype=float)
    values = (right + left, (right - left) / 2, np.sqrt(2) * one, one / np.sqrt(2))
    return Centre(*(bare(v) for v in values))


@dataclass(frozen=True)
class Faces:
    """How far two dropout faces are from parallel.

    Attributes
    ----------
    upright_deg : float or array
        Degrees, positive where the faces open at the top.
    level_deg : float or array
        Degrees, positive where the faces open to the front.
    angle_deg : float or array
        Degrees between the faces whichever way they open, 0 or more.
    upright_deg_uncertainty, level_deg_uncertainty, angle_deg_uncertainty : float or array
        Standard uncertainties, degrees; the one of `angle_deg` holds where the angle is well above
        its uncertainty.
    """

    upright_deg: Any
    level_deg: Any
    angle_deg: Any
    upright_deg_uncertainty: Any
    level_deg_uncertainty: Any
    angle_deg_uncertainty: Any


def faces(
    top: ArrayLike,
    bottom: ArrayLike,
    front: ArrayLike,
    rear: ArrayLike,
    cup_diameter: ArrayLike,
    noise: ArrayLike = 0.0,
) -> Faces:
    """Return the angles between the dropout faces, from the gap between two cups bolted to them.

    Parameters
    ----------
    top, bottom, front, rear : float or array
        Gap between the rims of the cups at these four places, mm, 0 or more.
    cup_diameter : float or array
        Across the places where the gap is read, mm, greater than 0.
    noise : float or array
        Standard uncertainty of one gap, mm, 0 or more.

    Returns
    -------
    Faces
        The angles, degrees.

    Raises
    ------
    ValueError
        "The gap at the top must be 0 or more; got -1 mm. …"

    Examples
    --------
    >>> found = faces(3.5, 3.0, 3.2, 3.2, 50.0)
    >>> round(found.upright_deg, 4), found.level_deg, round(found.angle_deg, 4)
    (0.5729, 0.0, 0.5729)
    >>> faces(-1.0, 3.0, 3.2, 3.2, 50.0)
    Traceback (most recent call last):
    ValueError: The gap at the top must be 0 or more; got -1 mm. Check the sign.
    """
    read = {"top": top, "bottom": bottom, "front": front, "rear": rear}
    gap = {at: np.asarray(not_negative(f"gap at the {at}", v), float) for at, v in read.items()}
    across = positive("cup diameter", cup_diameter)
    one = np.sqrt(2) * np.asarray(not_negative("noise", noise), dtype=float) / across
    upright = (gap["top"] - gap["bottom"]) / across
    level = (gap["front"] - gap["rear"]) / across
    slopes = upright, level, np.hypot(upright, level)
    angles = [np.degrees(np.arctan(s)) for s in slopes]
    return Faces(*(bare(a) for a in angles), *(bare(np.degrees(one / (1 + s**2))) for s in slopes))


@dataclass(frozen=True)
class String:
    """How far the dropouts lie off the plane of head tube and seat tube.

    Attributes
    ----------
    off_centre : float or array
        mm, positive toward the drive side.
    off_centre_uncertainty : float or array
        Standard uncertainty, mm.
    """

    off_centre: Any
    off_centre_uncertainty: Any


def string_test(
    drive_gap: ArrayLike,
    other_gap: ArrayLike,
    to_seat_tube: ArrayLike,
    to_head_tube: ArrayLike,
    noise: ArrayLike = 0.0,
) -> String:
    """Return how far the dropouts lie off the plane of head and seat tube, by a string's two gaps.

    Seen from above, a string runs from one dropout round the head tube and back to the other
    dropout, and its gap to the seat tube is read on each side. The string and the head tube form a
    triangle that widens to the rear, so where the dropouts are off by e, the seat tube sees only
    the share 1 − s/h of it, with s from the axle to the seat tube and h to the head tube.

    Parameters
    ----------
    drive_gap, other_gap : float or array
        Gap on the drive side and on the other side, mm, 0 or more.
    to_seat_tube, to_head_tube : float or array
        Along the centre line from the rear axle to where the string passes, mm; the first must be
        less than the second.
    noise : float or array
        Standard uncertainty of one gap, mm, 0 or more.

    Returns
    -------
    String
        Positive toward the drive side, mm.

    Raises
    ------
    ValueError
        "The seat tube must lie between the axle and the head tube; got 900 mm and 400 mm. …"; "The
        gap on the drive side must be 0 or more; got …"

    Notes
    -----
    The test sees only the rear end against the head tube and the seat tube, so a twisted head tube
    or a bent seat tube passes. It takes the string to leave the head tube at its full half diameter
    and its slant to be small; on a frame that costs less than 1 %.

    Examples
    --------
    >>> round(string_test(30.0, 29.0, 400.0, 900.0).off_centre, 6)
    0.9
    >>> string_test(30.0, 29.0, 900.0, 400.0)
    Traceback (most recent call last):
    ValueError: The seat tube must lie between the axle and the head tube; got 900 mm and 400 mm.
    Swap them.
    """
    right = np.asarray(not_negative("gap on the drive side", drive_gap), dtype=float)
    left = np.asarray(not_negative("gap on the other side", other_gap), dtype=float)
    share = 2 * (1 - _along(to_seat_tube, to_head_tube))
    one = np.sqrt(2) * np.asarray(not_negative("noise", noise), dtype=float)
    return String(bare((right - left) / share), bare(one / share))


def string_gap(
    spacing: ArrayLike,
    seat_tube: ArrayLike,
    head_tube: ArrayLike,
    to_seat_tube: ArrayLike,
    to_head_tube: ArrayLike,
    off_centre: ArrayLike = 0.0,
) -> Any:
    """Return the gap between string and seat tube on the drive side, to expect before it is strung.

    The string runs as in `string_test`, with the same limits. For the gap on the other side, change
    the sign of `off_centre`.

    Parameters
    ----------
    spacing : float or array
        Between the faces that the string touches, mm, greater than 0.
    seat_tube, head_tube : float or array
        Diameters where the string passes, mm, greater than 0.
    to_seat_tube, to_head_tube : float or array
        Along the centre line from the rear axle to where the string passes, mm; the first must be
        less than the second.
    off_centre : float or array
        Of the dropouts, mm, positive toward the drive side.

    Returns
    -------
    float or array
        Gap, mm.

    Raises
    ------
    ValueError
        "The seat tube must lie between the axle and the head tube; got 900 mm and 400 mm. …"; "The
        spacing must be greater than 0; got …"

    Examples
    --------
    >>> round(string_gap(130.0, 28.6, 36.0, 400.0, 900.0), 3)
    29.811
    >>> string_gap(130.0, 28.6, 36.0, 900.0, 400.0)
    Traceback (most recent call last):
    ValueError: The seat tube must lie between the axle and the head tube; got 900 mm and 400 mm.
    Swap them.
    """
    half = np.asarray(positive("spacing", spacing), dtype=float) / 2 + number("offset", off_centre)
    seat = np.asarray(positive("seat tube", seat_tube), dtype=float) / 2
    head = np.asarray(positive("head tube", head_tube), dtype=float) / 2
    share = _along(to_seat_tube, to_head_tube)
    return bare(half * (1 - share) + head * share - seat)


def _along(to_seat_tube: ArrayLike, to_head_tube: ArrayLike) -> Any:
    near = np.asarray(positive("way to the seat tube", to_seat_tube), dtype=float)
    far = np.asarray(positive("way to the head tube", to_head_tube), dtype=float)
    require(
        near < far,
        "The seat tube must lie between the axle and the head tube; got {near} mm and {far} "
        "mm. Swap them.",
        near=near,
        far=far,
    )
    return near / far
