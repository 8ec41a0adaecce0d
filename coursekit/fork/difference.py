"""What two blades that differ do to the wheel. The picture is `fork`'s."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.fork.drawn import Fork
from coursekit.rules import number, positive
from coursekit.scalars import bare


@dataclass(frozen=True)
class Uneven:
    """How the wheel stands in a fork whose blades differ.

    Attributes
    ----------
    lean_deg : float or array
        Lean of the wheel, degrees, positive where its top goes to the drive side.
    turn_deg : float or array
        How far the wheel points to one side, degrees, positive where its front goes to the drive
        side.
    at_crown : float or array
        How far the rim's top stands off the fork's middle plane, mm, positive to the drive side.
    at_front : float or array
        The same of the rim's front, mm.
    axle_down, axle_ahead : float or array
        How far the middle of the axle moves, mm, down and ahead.
    """

    lean_deg: Any
    turn_deg: Any
    at_crown: Any
    at_front: Any
    axle_down: Any
    axle_ahead: Any


def uneven(fork: Fork, longer: ArrayLike, radius: ArrayLike, end: str = "tip") -> Uneven:
    """Return what it does to the wheel if the drive-side blade is longer than the other.

    The blades are otherwise alike, so the drive end of the axle goes on by the difference along the
    blade: at the tip in the tip's direction, at the top in the direction of the socket. The wheel
    stands square to the axle, and its middle is the middle of the axle.

    Parameters
    ----------
    fork : Fork
        As drawn.
    longer : float or array
        Length of the drive-side blade less that of the other, mm, either sign.
    radius : float or array
        From the axle to the place of the wheel that is looked at, mm, above 0: the rim's.
    end : str
        Where the blade is too long: at its "tip", beyond the bend, or at its "top".

    Returns
    -------
    Uneven
        Lean, turn and shifts.

    Raises
    ------
    ValueError
        "The end must be 'tip' or 'top'; got 'crown'. …"; "The radius must be greater than 0; got
        …"

    Notes
    -----
    The axle is only about a third as wide as the rim is high, so a difference shows three times as
    large at the crown. To keep the rim within 1 mm there, match the blades to a third of a
    millimetre. Where the brazed fork is off by a little, a dropout's slot can be filed until the
    wheel stands straight (common practice, no source).

    References
    ----------
    Derived: the axle's direction from its two ends, and the wheel square to it.

    Examples
    --------
    On straight blades that run straight down, 1 mm over 106 mm leans the wheel by 1/106, and a rim
    of 311 mm shows 311/106 mm at the crown.

    >>> from coursekit.fork import BladeLine, Crown, Dropout, built
    >>> plain = built(Crown(0.0, 106.0), BladeLine(350.0, 1.0, 0.0, 0.0), Dropout(20.0, 100.0, 6.0))
    >>> found = uneven(plain, 1.0, 311.0)
    >>> round(found.lean_deg, 3), round(found.at_crown, 2), round(found.axle_down, 2)
    (0.541, 2.93, 0.5)
    >>> uneven(plain, 1.0, 311.0, end="crown")
    Traceback (most recent call last):
    ValueError: The end must be 'tip' or 'top'; got 'crown'. Name one of the two.
    """
    if end not in ("tip", "top"):
        raise ValueError(f"The end must be 'tip' or 'top'; got {end!r}. Name one of the two.")
    more = np.asarray(number("difference of the blades", longer), dtype=float)
    size = np.asarray(positive("radius", radius), dtype=float)
    lean = np.radians(fork.tip_deg if end == "tip" else fork.crown.angle_deg)
    splay = np.radians(fork.splay_deg)
    ahead, run = more * np.sin(lean), more * np.cos(lean)
    down, across = run * np.cos(splay), fork.dropout.apart + run * np.sin(splay)
    whole = np.sqrt(ahead**2 + down**2 + across**2)
    # the directions up and ahead, laid into the wheel's plane: their share to the drive side
    top = down * across / (np.hypot(across, ahead) * whole)
    front = -ahead * across / (np.hypot(across, down) * whole)
    return Uneven(
        lean_deg=bare(np.degrees(np.arctan2(down, across))),
        turn_deg=bare(np.degrees(np.arctan2(-ahead, across))),
        at_crown=bare(size * top),
        at_front=bare(size * front),
        axle_down=bare(down / 2),
        axle_ahead=bare(ahead / 2),
    )
