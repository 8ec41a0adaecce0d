"""Wheel radius from a tyre's size, and what a measured roll-out says.

A tyre's size reads width-bead seat, as 32-622: the width of the inflated tyre and the diameter of
the rim where the tyre's beads sit, both in mm.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import positive, require
from coursekit.scalars import bare

# mm (ISO 5775-1 and -2). 406, 559, 597 and 622 as encyclopaedia articles quote it; the others are
# from memory.
BEAD_SEATS = (305, 349, 369, 406, 451, 507, 520, 540, 559, 571, 584, 590, 597, 622, 630, 635)

# share of the radius by which a real tyre may differ from bead seat and width: `wheel_radius`
RADIUS_DOUBT = 0.007


@dataclass(frozen=True)
class TyreSize:
    """What is written on a tyre's side.

    Attributes
    ----------
    width : float
        Of the inflated tyre without knobs, mm, above 0.
    bead_seat : int
        Diameter of the rim where the beads sit, mm, one of `BEAD_SEATS`.

    Raises
    ------
    ValueError
        "The bead seat must be one of 305, 349, …; got 700 mm. …"

    Examples
    --------
    >>> TyreSize(32.0, 622).bead_seat
    622
    >>> TyreSize(32.0, 700)
    Traceback (most recent call last):
    ValueError: The bead seat must be one of 305, 349, 369, 406, 451, 507, 520, 540, 559, 571, 584,
    590, 597, 622, 630, 635; got 700 mm. Read the second number of a size like 32-622.
    """

    width: float
    bead_seat: int

    def __post_init__(self) -> None:
        positive("width of the tyre", self.width)
        require(
            self.bead_seat in BEAD_SEATS,
            "The bead seat must be one of {all}; got {seat} mm. Read the second number of a size "
            "like 32-622.",
            all=", ".join(str(seat) for seat in BEAD_SEATS),
            seat=self.bead_seat,
        )


def tyre_size(text: str) -> TyreSize:
    """Return the size that is written on a tyre.

    Parameters
    ----------
    text : str
        Width and bead seat in mm, as "32-622".

    Returns
    -------
    TyreSize
        The two numbers.

    Raises
    ------
    ValueError
        "The tyre's size must be width-bead seat in mm; got '700x32C'. …"

    References
    ----------
    ISO 5775-1, as encyclopaedia articles quote it.

    Examples
    --------
    >>> tyre_size("47-406")
    TyreSize(width=47.0, bead_seat=406)
    >>> tyre_size("700x32C")
    Traceback (most recent call last):
    ValueError: The tyre's size must be width-bead seat in mm; got '700x32C'. Write it like 32-622.
    """
    found = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*[-–]\s*(\d{3})\s*", str(text))
    if found is None:
        raise ValueError(
            f"The tyre's size must be width-bead seat in mm; got {text!r}. Write it like 32-622."
        )
    return TyreSize(float(found[1]), int(found[2]))


def wheel_radius(size: TyreSize, height: ArrayLike | None = None) -> Any:
    """Return the radius of a wheel with its tyre: half the bead seat and the tyre's height.

    It is the outside of the unloaded tyre. Under its rider a tyre rolls on a few millimetres less,
    so for trail use a measured roll-out and `rolling_radius`; for the room in a fork use this one
    and add the knobs.

    Parameters
    ----------
    size : TyreSize
        Of the tyre.
    height : float or array, optional
        From the bead seat to the tread, mm, above 0. Left out, the tyre is taken to be as high as
        it is wide.

    Returns
    -------
    float or array
        mm. A real tyre may differ by `RADIUS_DOUBT` of it, about 2.5 mm.

    Raises
    ------
    ValueError
        "The height of the tyre must be greater than 0; got …"

    Notes
    -----
    An encyclopaedia article on ISO 5775 says to add 2.5 mm to the height of tyres narrower than 28
    mm. Lists of measured roll-outs contradict it: height as width comes nearer for all widths from
    23 to 35 mm, to 7 mm of the circumference.

    References
    ----------
    ISO 5775-1, as encyclopaedia articles quote it: the height is mostly the width.

    Examples
    --------
    >>> wheel_radius(tyre_size("32-622"))
    343.0
    >>> wheel_radius(tyre_size("32-622"), height=0.0)
    Traceback (most recent call last):
    ValueError: The height of the tyre must be greater than 0; got 0 mm. Check the number.
    """
    high = size.width if height is None else positive("height of the tyre", height)
    return bare(np.asarray(size.bead_seat / 2 + np.asarray(high, dtype=float)))


def rolling_radius(roll_out: ArrayLike, turns: ArrayLike = 1.0) -> Any:
    """Return the radius on which a loaded wheel rolls: its way, over 2π for every turn.

    Parameters
    ----------
    roll_out : float or array
        Way that the wheel rolled with its rider, mm, above 0.
    turns : float or array
        How often it turned on that way, above 0.

    Returns
    -------
    float or array
        mm.

    Raises
    ------
    ValueError
        "The way rolled must be greater than 0; got …"; "The turns must be greater than 0; got …"

    References
    ----------
    Moore, Hubbard, Peterson, Schwab & Kooijman (2014), how the radii were measured.

    Examples
    --------
    >>> round(rolling_radius(2155.0), 2)
    342.98
    >>> rolling_radius(2155.0, 0.0)
    Traceback (most recent call last):
    ValueError: The turns must be greater than 0; got 0. Count them at the valve.
    """
    count = np.asarray(turns, dtype=float)
    require(
        count > 0,
        "The turns must be greater than 0; got {turns}. Count them at the valve.",
        turns=count,
    )
    return bare(np.asarray(positive("way rolled", roll_out), dtype=float) / (2 * np.pi * count))
