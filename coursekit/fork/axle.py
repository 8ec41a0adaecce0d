"""The axle of a finished fork against its steering axis, read on the surface plate.

The picture: the steerer lies level in V-blocks, and heights are read above the plate. Lying on its
*back* the fork has its rake up; lying on its *front*, after half a turn of the steerer in the same
V-blocks, it has its rake down; lying on its side it has the drive side up or down. Every value that
is read both ways up is half a difference, so the height of the V-blocks and a slope of the steerer
drop out, as in `alignment.line`. What does not drop out is a plate that is not flat.

Signs are the fork's: ahead to the front, sideways and leans to the drive side. `alignment.decide`
says whether a value keeps a limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare


@dataclass(frozen=True)
class Rake:
    """What the plate says of the axle against the steering axis.

    Attributes
    ----------
    offset : float or array
        From the steering axis ahead to the middle of the axle, mm.
    turn_deg : float or array
        How far the wheel points to one side, degrees, positive to the drive side.
    offset_uncertainty, turn_deg_uncertainty : float or array
        Standard uncertainties, in the same units.
    """

    offset: Any
    turn_deg: Any
    offset_uncertainty: Any
    turn_deg_uncertainty: Any


def rake(
    back: tuple[ArrayLike, ArrayLike],
    front: tuple[ArrayLike, ArrayLike],
    apart: ArrayLike,
    noise: ArrayLike = 0.0,
) -> Rake:
    """Return offset and turn of the axle from heights read with the rake up and down.

    A straight dummy axle sits in the dropouts. The height of its axis is read at the same two
    places of the axle each time, as far to either side of the fork's middle.

    Parameters
    ----------
    back, front : pair of float or array
        Heights on the drive side and on the other side, mm: with the fork on its back, rake up,
        and on its front, rake down.
    apart : float or array
        Between the two places on the axle, mm, above 0.
    noise : float or array
        Standard uncertainty of one height, mm, 0 or more.

    Returns
    -------
    Rake
        Half the difference between rake up and rake down.

    Raises
    ------
    ValueError
        "The distance between the two places must be greater than 0; got 0 mm. …"; "The height must
        be a finite number in mm; got …"

    Examples
    --------
    Rake up the drive side stands 0.4 higher, so the drive end is ahead, and the wheel points to
    the other side.

    >>> found = rake((145.2, 144.8), (55.0, 55.4), 100.0, noise=0.05)
    >>> round(found.offset, 4), round(found.turn_deg, 4)
    (44.9, -0.2292)
    >>> round(found.offset_uncertainty, 4), round(found.turn_deg_uncertainty, 4)
    (0.025, 0.0286)
    >>> rake((145.2, 144.8), (55.0, 55.4), 0.0)
    Traceback (most recent call last):
    ValueError: The distance between the two places must be greater than 0; got 0 mm. Check the
    number.
    """
    up = [np.asarray(number("height", h), dtype=float) for h in back]
    down = [np.asarray(number("height", h), dtype=float) for h in front]
    wide = np.asarray(positive("distance between the two places", apart), dtype=float)
    one = np.asarray(not_negative("noise", noise), dtype=float)
    offset = (up[0] + up[1] - down[0] - down[1]) / 4
    slope = -(up[0] - up[1] - down[0] + down[1]) / (2 * wide)
    return Rake(
        offset=bare(offset),
        turn_deg=bare(np.degrees(np.arctan(slope))),
        offset_uncertainty=bare(one / 2),
        turn_deg_uncertainty=bare(np.degrees(one / wide / (1 + slope**2))),
    )


@dataclass(frozen=True)
class Lean:
    """How far the axle is from square to the steering axis, seen from the front.

    Attributes
    ----------
    lean_deg : float or array
        Lean of the wheel, degrees, positive where its top goes to the drive side.
    lean_deg_uncertainty : float or array
        Standard uncertainty, degrees.
    """

    lean_deg: Any
    lean_deg_uncertainty: Any


def lean(drive: ArrayLike, other: ArrayLike, apart: ArrayLike, noise: ArrayLike = 0.0) -> Lean:
    """Return the lean of the axle from how far its two ends lie below the crown race seat.

    The distances run along the steering axis, from a square face on the crown race seat to the axle
    on each side: with the fork on its side, by a square that stands on the plate; else by a rod.

    Parameters
    ----------
    drive, other : float or array
        Distances on the drive side and on the other side, mm, above 0.
    apart : float or array
        Between the two places on the axle, mm, above 0.
    noise : float or array
        Standard uncertainty of one distance, mm, 0 or more.

    Returns
    -------
    Lean
        Positive where the drive side is longer.

    Raises
    ------
    ValueError
        "The distance on the drive side must be greater than 0; got -377 mm. …"

    Examples
    --------
    >>> found = lean(377.9, 377.3, 106.0, noise=0.1)
    >>> round(found.lean_deg, 3), round(found.lean_deg_uncertainty, 3)
    (0.324, 0.076)
    >>> lean(-377.0, 377.0, 106.0)
    Traceback (most recent call last):
    ValueError: The distance on the drive side must be greater than 0; got -377 mm. Check the
    number.
    """
    right = np.asarray(positive("distance on the drive side", drive), dtype=float)
    left = np.asarray(positive("distance on the other side", other), dtype=float)
    wide = np.asarray(positive("distance between the two places", apart), dtype=float)
    one = np.sqrt(2) * np.asarray(not_negative("noise", noise), dtype=float) / wide
    slope = (right - left) / wide
    return Lean(bare(np.degrees(np.arctan(slope))), bare(np.degrees(one / (1 + slope**2))))


@dataclass(frozen=True)
class Sideways:
    """Where the middle of the dropouts lies against the steering axis, seen from the front.

    Attributes
    ----------
    off_centre : float or array
        mm, positive to the drive side.
    spacing : float or array
        Between the two faces that were read, mm.
    off_centre_uncertainty, spacing_uncertainty : float or array
        Standard uncertainties, mm.
    """

    off_centre: Any
    spacing: Any
    off_centre_uncertainty: Any
    spacing_uncertainty: Any


def sideways(
    drive_up: tuple[ArrayLike, ArrayLike],
    drive_down: tuple[ArrayLike, ArrayLike],
    noise: ArrayLike = 0.0,
) -> Sideways:
    """Return how far the dropouts are off the steering axis, from heights on either side.

    Parameters
    ----------
    drive_up, drive_down : pair of float or array
        Heights of the drive dropout's face and of the other's, mm: the fork on its side with the
        drive side up, and with the drive side down. Read the same two faces both times, both inner
        or both outer.
    noise : float or array
        Standard uncertainty of one height, mm, 0 or more.

    Returns
    -------
    Sideways
        Half the difference between drive side up and drive side down.

    Raises
    ------
    ValueError
        "The drive side must stand higher when it is up; got 40 mm and 140 mm. …"

    Examples
    --------
    >>> found = sideways((150.6, 50.6), (49.4, 149.4), noise=0.05)
    >>> round(found.off_centre, 4), round(found.spacing, 4), found.off_centre_uncertainty
    (0.6, 100.0, 0.025)
    >>> sideways((40.0, 140.0), (49.4, 149.4))
    Traceback (most recent call last):
    ValueError: The drive side must stand higher when it is up; got 40 mm and 140 mm. Swap them.
    """
    up = [np.asarray(number("height", h), dtype=float) for h in drive_up]
    down = [np.asarray(number("height", h), dtype=float) for h in drive_down]
    for high, low in ((up[0], up[1]), (down[1], down[0])):
        require(
            high > low,
            "The drive side must stand higher when it is up; got {high} mm and {low} mm. Swap "
            "them.",
            high=high,
            low=low,
        )
    one = np.asarray(not_negative("noise", noise), dtype=float)
    off = (up[0] + up[1] - down[0] - down[1]) / 4
    wide = (up[0] - up[1] + down[1] - down[0]) / 2
    return Sideways(bare(off), bare(wide), bare(one / 2), bare(one))
