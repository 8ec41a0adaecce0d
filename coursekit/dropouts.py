"""Dropouts and the string: is the rear end centred, spaced and parallel.

The picture: seen from behind, the drive side on the right. Distances to either side are given as
positive numbers from the frame's centre plane (datum: the faced bottom-bracket shell); results
are positive toward the drive side.
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
    """`spacing` between the inner faces and `off_centre` of their middle, mm, with uncertainties."""

    spacing: Any
    off_centre: Any
    spacing_uncertainty: Any
    off_centre_uncertainty: Any


def centre(drive: ArrayLike, other: ArrayLike, noise: ArrayLike = 0.0) -> Centre:
    """Spacing of the dropouts and how far their middle lies off the centre plane, mm.

    Parameters: `drive`, `other`, from the centre plane to the inner face on the drive side and on
    the other, mm, greater than 0; `noise`, standard uncertainty of one of them, mm, 0 or more.

    Returns: `Centre`; off centre is *half* the difference, positive toward the drive side.

    Raises ValueError: "The distance on the drive side must be greater than 0; got -65 mm. Check
    the number."

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
    """How far two dropout faces are from parallel, degrees.

    `upright_deg`, positive where they open at the top; `level_deg`, positive where they open to
    the front; `angle_deg`, 0 or more, between the faces whichever way they open; each with its
    standard uncertainty (that of `angle_deg` holds where it is well above its uncertainty).
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
    """Angles between the dropout faces, degrees, from the gap between two cups bolted to them.

    Parameters: `top`, `bottom`, `front`, `rear`, gap between the rims of the cups at those four
    places, mm, 0 or more; `cup_diameter`, across the places where the gap is read, mm, greater
    than 0; `noise`, standard uncertainty of one gap, mm, 0 or more.

    Returns: `Faces`.

    Raises ValueError: "The gap at the top must be 0 or more; got -1 mm. Check the sign."

    >>> found = faces(3.5, 3.0, 3.2, 3.2, 50.0)
    >>> round(found.upright_deg, 4), found.level_deg, round(found.angle_deg, 4)
    (0.5729, 0.0, 0.5729)
    >>> faces(-1.0, 3.0, 3.2, 3.2, 50.0)
    Traceback (most recent call last):
    ValueError: The gap at the top must be 0 or more; got -1 mm. Check the sign.
    """
    gaps = [np.asarray(not_negative(f"gap at the {name}", gap), dtype=float)
            for name, gap in (("top", top), ("bottom", bottom), ("front", front), ("rear", rear))]  # fmt: skip
    across = positive("cup diameter", cup_diameter)
    one = np.sqrt(2) * np.asarray(not_negative("noise", noise), dtype=float) / across
    upright, level = (gaps[0] - gaps[1]) / across, (gaps[2] - gaps[3]) / across
    both = np.hypot(upright, level)
    slopes = upright, level, both
    angles = [np.degrees(np.arctan(s)) for s in slopes]
    return Faces(*(bare(a) for a in angles), *(bare(np.degrees(one / (1 + s**2))) for s in slopes))


@dataclass(frozen=True)
class String:
    """`off_centre` of the dropouts, mm, positive toward the drive side, and its uncertainty."""

    off_centre: Any
    off_centre_uncertainty: Any


def string_test(
    drive_gap: ArrayLike,
    other_gap: ArrayLike,
    to_seat_tube: ArrayLike,
    to_head_tube: ArrayLike,
    noise: ArrayLike = 0.0,
) -> String:
    """How far the dropouts lie off the plane of head and seat tube, mm, from a string's two gaps.

    The picture, from above: a string runs from one dropout round the head tube back to the other;
    its gap to the seat tube is read on each side. The triangle from the head tube widens
    rearward, so of an offset e at the dropouts the seat tube sees the share 1 − s/h.

    Limits: it sees only the rear end against head and seat tube; a twisted head tube or a bent
    seat tube passes. The string is taken to leave the head tube at its full half diameter and
    its slant is small; for a frame that costs less than 1 %.

    Parameters: `drive_gap`, `other_gap`, mm, 0 or more; `to_seat_tube`, `to_head_tube`, along the
    centre line from the rear axle to where the string passes, mm, the first less than the second;
    `noise`, standard uncertainty of one gap, mm, 0 or more.

    Returns: `String`.

    Raises ValueError: "The seat tube must lie between the axle and the head tube; got 900 mm and
    400 mm. Swap them."

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
    """Gap between string and seat tube on the drive side, mm, to expect before the string is on.

    The picture and limits: as `string_test`. For the other side change the sign of `off_centre`.

    Parameters: `spacing`, between the faces the string touches, mm; `seat_tube`, `head_tube`,
    diameters where it passes, mm, all greater than 0; `to_seat_tube`, `to_head_tube`, as
    `string_test`; `off_centre`, of the dropouts, mm, positive toward the drive side.

    Raises ValueError: as `string_test`.

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
