"""Blades on the surface plate: the heights to expect of one, and whether two lie in one plane.

The picture for one blade: its straight upper part lies level in V-blocks, the rake points up, and
heights are read above the plate. For a pair the whole fork lies on its back in the same way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import fitting
from coursekit.fork.bend import BladeLine
from coursekit.fork.blade import Blade
from coursekit.rules import number, positive, require
from coursekit.scalars import bare

_HALVINGS = 60
SAME = 1e-3  # mm by which a blade's length may differ from that of its bend


def heights(bend: BladeLine, blade: Blade, at: ArrayLike, level: float) -> Any:
    """Return the heights of a raked blade's upper side above the plate, to expect at some places.

    Parameters
    ----------
    bend : BladeLine
        How the blade is to run.
    blade : Blade
        The blade, cut to the bend's length.
    at : float or array
        Places along the plate, mm from the blade's upper end, 0 or more.
    level : float
        Height of the axis of the straight upper part, mm.

    Returns
    -------
    float or array
        Height of the upper side, mm. In the upper part it is the level and half the blade's depth.

    Raises
    ------
    ValueError
        "The blade must be cut to the bend's length; got 400 mm and 380 mm. …"; "The place must lie
        under the blade; got 390 mm, from 0 mm to 368 mm. …"

    Notes
    -----
    The outside lies square to the axis, half the depth away from it; where the blade slopes, the
    place on the plate is not that of the axis.

    Examples
    --------
    >>> from coursekit.fork import tapered
    >>> bend = BladeLine(250.0, 200.0, 30.0, 20.0)
    >>> blade = tapered(bend.length, top=24.0, tip=24.0, straight=0.0, wall=0.9)
    >>> heights(bend, blade, 100.0, level=40.0)
    52.0
    >>> heights(bend, blade, 390.0, level=40.0)
    Traceback (most recent call last):
    ValueError: The place must lie under the blade; got 390 mm, from 0 mm to 361.3205 mm. Measure
    from its upper end.
    """
    require(
        abs(blade.length - bend.length) < SAME,
        "The blade must be cut to the bend's length; got {blade} mm and {bend} mm. Call cut first.",
        blade=blade.length,
        bend=bend.length,
    )
    x = np.asarray(number("place", at), dtype=float)
    last = _outside(bend, blade, np.asarray(bend.length))[0]
    require(
        (x >= 0) & (x <= last),
        "The place must lie under the blade; got {x} mm, from 0 mm to {last} mm. Measure from its "
        "upper end.",
        x=x,
        last=np.round(last, 4),
    )
    low, high = np.zeros_like(x), np.full_like(x, bend.length)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        short = _outside(bend, blade, middle)[0] < x
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return bare(number("level", level) + _outside(bend, blade, (low + high) / 2)[1])


def _outside(bend: BladeLine, blade: Blade, along: Any) -> tuple[Any, Any]:
    """Where the front of the blade lies in its plane: down and ahead."""
    down, ahead, slope_deg = bend.at(np.minimum(along, bend.length))
    half = blade.depth_at(np.minimum(along, blade.length)) / 2
    turn = np.radians(slope_deg)
    return down - half * np.sin(turn), ahead + half * np.cos(turn)


@dataclass(frozen=True)
class Pair:
    """How the drive-side blade runs against the other one, in side view.

    Attributes
    ----------
    ahead : float or array
        How far it lies ahead where the place is 0, mm.
    angle_deg : float or array
        How much more it leans forward on its way down, degrees.
    ahead_uncertainty, angle_deg_uncertainty : float or array
        Standard uncertainties, in the same units.
    scatter : float or array
        Standard deviation of one difference about the line, mm.
    freedom : float
        Readings less unknowns, or infinity where the noise was given.
    """

    ahead: Any
    angle_deg: Any
    ahead_uncertainty: Any
    angle_deg_uncertainty: Any
    scatter: Any
    freedom: float


def pair(
    place: ArrayLike, drive: ArrayLike, other: ArrayLike, noise: ArrayLike | None = None
) -> Pair:
    """Return whether the straight parts of the two blades lie in one plane.

    The fork lies on its back. The heights of both blades' upper sides are read at the same places;
    a line is fitted to their difference, in which the V-blocks and the blades' own size drop out.

    Parameters
    ----------
    place : array, (readings,)
        mm down the blades from the crown.
    drive, other : array, (…, readings)
        Heights of the drive-side blade and of the other, mm.
    noise : float or array, optional
        Standard uncertainty of one height, mm. Left out, it is taken from the scatter, which needs
        at least three places.

    Returns
    -------
    Pair
        Where the drive-side blade lies against the other, and how much more it leans.

    Raises
    ------
    ValueError
        "The two blades must have one height for each place; got 2 and 3 heights at 3 places. …";
        "The readings must outnumber the unknowns; got 2 for 2. …"

    References
    ----------
    JCGM 100:2008 (GUM), H.3 (line by least squares with covariance).

    Examples
    --------
    >>> found = pair([0.0, 100.0, 200.0], [52.1, 52.3, 52.5], [52.0, 52.0, 52.0], noise=0.05)
    >>> round(found.ahead, 4), round(found.angle_deg, 4), round(found.angle_deg_uncertainty, 4)
    (0.1, 0.1146, 0.0286)
    >>> pair([0.0, 100.0, 200.0], [52.1, 52.3], [52.0, 52.0, 52.0])
    Traceback (most recent call last):
    ValueError: The two blades must have one height for each place; got 2 and 3 heights at 3
    places. Read both at the same places.
    """
    x = np.asarray(number("place", place), dtype=float)
    right = np.asarray(number("height", drive), dtype=float)
    left = np.asarray(number("height", other), dtype=float)
    require(
        x.ndim == 1 and right.shape == left.shape and right.shape[-1:] == x.shape,
        "The two blades must have one height for each place; got {a} and {b} heights at {x} "
        "places. Read both at the same places.",
        a=right.size,
        b=left.size,
        x=x.size,
    )
    one = None if noise is None else positive("noise", noise) * np.sqrt(2)
    fit = fitting.linear(np.column_stack([np.ones_like(x), x]), right - left, one)
    slope, spread = fit.values[..., 1], fit.uncertainty
    return Pair(
        ahead=bare(fit.values[..., 0]),
        angle_deg=bare(np.degrees(np.arctan(slope))),
        ahead_uncertainty=bare(spread[..., 0]),
        angle_deg_uncertainty=bare(np.degrees(spread[..., 1] / (1 + slope**2))),
        scatter=bare(fit.scatter),
        freedom=fit.freedom,
    )
