"""Where a rim brake goes on a fork: the reach of a caliper, the bosses of a cantilever.

The picture is `fork`'s. A disc brake's mount stands on the left blade by the brake maker's drawing;
its blade is made for it, because all of the braking bends that one blade (common practice, no
source).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.fork.drawn import Fork
from coursekit.rules import number, positive, require
from coursekit.scalars import bare

# Bosses of cantilever brakes lie this far nearer to the axle than the bead seat, mm, and so far
# apart from middle to middle, mm. Both are common practice without a source: 25 to 28, and 75 to
# 85. The brake's own sheet decides.
BOSS_BELOW_BEAD_SEAT = 27.0
BOSS_SPACING = 80.0
_HALVINGS = 60


def brake_reach(
    fork: Fork, bead_seat: ArrayLike, bolt_down: ArrayLike, bolt_ahead: ArrayLike
) -> Any:
    """Return the reach that a caliper brake needs: from its bolt to the middle of the rim's side.

    The pads meet the rim about as far from the axle as the tyre's beads sit, within 3 mm (common
    practice, no source); measure the rim that will be used.

    Parameters
    ----------
    fork : Fork
        As drawn.
    bead_seat : float or array
        Diameter of the bead seat, mm, above 0; or twice the measured radius of the pads' middle.
    bolt_down, bolt_ahead : float or array
        The bolt's hole at the face on which the brake sits: down from the crown race seat and ahead
        of the steering axis, mm.

    Returns
    -------
    float or array
        mm; negative where the bolt lies nearer to the axle than the pads.

    Raises
    ------
    ValueError
        "The bead seat must be greater than 0; got …"

    References
    ----------
    Distance of two points; where the pads lie is common practice, no source.

    Examples
    --------
    >>> from coursekit.fork import BladeLine, Crown, Dropout, built
    >>> plain = built(Crown(0.0, 106.0), BladeLine(360.0, 1.0, 0.0, 0.0), Dropout(20.0, 100.0, 6.0))
    >>> brake_reach(plain, 622.0, bolt_down=20.0, bolt_ahead=0.0)  # 380 − 20 − 311
    49.0
    >>> brake_reach(plain, 0.0, bolt_down=20.0, bolt_ahead=0.0)
    Traceback (most recent call last):
    ValueError: The bead seat must be greater than 0; got 0 mm. Check the number.
    """
    up = fork.axle_drop - np.asarray(number("place of the bolt down", bolt_down), dtype=float)
    off = fork.fork_offset - np.asarray(number("place of the bolt ahead", bolt_ahead), dtype=float)
    return bare(np.hypot(up, off) - np.asarray(positive("bead seat", bead_seat)) / 2)


def boss_place(
    fork: Fork, bead_seat: ArrayLike, below: ArrayLike = BOSS_BELOW_BEAD_SEAT
) -> tuple[Any, Any]:
    """Return where the bosses of a cantilever brake go: (along the blade, straight from the axle).

    Parameters
    ----------
    fork : Fork
        As drawn.
    bead_seat : float or array
        Diameter of the rim's bead seat, mm, above 0.
    below : float or array
        How much nearer to the axle than the bead seat the boss lies, mm.

    Returns
    -------
    along : float or array
        From the blade's upper end along its axis to the level of the boss, mm.
    from_axle : float or array
        From the axle to the boss in side view, mm: half the bead seat less `below`.

    Raises
    ------
    ValueError
        "The boss must lie on the blade; got 284 mm from the axle, where the blade reaches from 20
        mm to 250 mm. …"

    References
    ----------
    `BOSS_BELOW_BEAD_SEAT` is common practice, no source.

    Examples
    --------
    >>> from coursekit.fork import BladeLine, Crown, Dropout, built
    >>> plain = built(Crown(0.0, 106.0), BladeLine(360.0, 1.0, 0.0, 0.0), Dropout(20.0, 100.0, 6.0))
    >>> along, far = boss_place(plain, 622.0)
    >>> round(along, 6), far
    (96.0, 284.0)
    >>> boss_place(plain, 840.0)
    Traceback (most recent call last):
    ValueError: The boss must lie on the blade; got 393 mm from the axle, where the blade reaches
    from 20 mm to 380 mm. Check the wheel's size.
    """
    far = np.asarray(positive("bead seat", bead_seat), dtype=float) / 2 - number("drop", below)
    length = np.asarray(fork.blade_length, dtype=float)
    near, most = _from_axle(fork, length), _from_axle(fork, 0.0 * length)
    on = (far >= near) & (far <= most)
    require(
        on,
        "The boss must lie on the blade; got {far} mm from the axle, where the blade reaches from "
        "{near} mm to {most} mm. Check the wheel's size.",
        far=far,
        near=np.round(near, 1),
        most=np.round(most, 1),
    )
    low, high = 0.0 * (length + far), length + 0.0 * far
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        above = _from_axle(fork, middle) > far
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return bare((low + high) / 2), bare(far)


def _from_axle(fork: Fork, along: Any) -> Any:
    """Distance in side view from the axle to a place of the blade's axis, mm."""
    ahead, down, _ = fork.place(along)
    return np.hypot(ahead - fork.fork_offset, down - np.asarray(fork.axle_drop))
