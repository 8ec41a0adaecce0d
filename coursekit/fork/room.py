"""Room for the front wheel: between the blades and under the crown.

A standard asks for `TYRE_ROOM` between a tyre and the fork, on a racing bicycle for
`TYRE_ROOM_RACING`. Mud, a buckled rim and a loose spoke ask for more, and a mudguard for about 10
mm besides its own height (common practice, no source). Toe to tyre is `frame.Frame.toe_clearance`
and `buildable.pedal_to_tyre`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.fork.blade import Blade
from coursekit.fork.drawn import Fork
from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare

TYRE_ROOM = 6.0  # mm, ISO 4210-2 (from memory)
TYRE_ROOM_RACING = 4.0  # mm, the same

_STATIONS = 1201  # places along the blade in each look
_LOOKS = 4
SAME = 1e-3  # mm by which a blade's length may differ from the fork's


@dataclass(frozen=True)
class Beside:
    """Least gap between the tyre and each blade.

    Attributes
    ----------
    gap : float
        mm; negative where they overlap.
    along : float
        The place on the blade where it is, mm from the blade's upper end.
    """

    gap: float
    along: float


def beside(fork: Fork, blade: Blade, radius: float, width: float) -> Beside:
    """Return the room between the tyre and each of the two blades.

    The tyre is a ring of round section; take its width over the knobs. The blade counts with its
    axis and with half its size from side to side at every place, which is exact for a round blade
    to a few thousandths of a millimetre, and for an oval one to a few tenths.

    Parameters
    ----------
    fork : Fork
        As drawn: one fork, not a batch.
    blade : Blade
        The blade, cut to the fork's `blade_length`.
    radius : float
        Outside radius of the tyre over the knobs, mm, above 0.
    width : float
        Of the tyre over the knobs, mm, above 0 and less than the radius.

    Returns
    -------
    Beside
        The least gap and where it is.

    Raises
    ------
    ValueError
        "The blade must be cut to the fork's length; got 400 mm and 345 mm. …"; "The tyre's width
        must be less than its radius; got …"

    References
    ----------
    Derived: distance from a point to a circle.

    Examples
    --------
    >>> from coursekit.fork import BladeLine, Crown, Dropout, built, tapered
    >>> plain = built(Crown(0.0, 66.0), BladeLine(350.0, 1.0, 0.0, 0.0), Dropout(20.0, 60.0, 6.0))
    >>> blade = tapered(350.0, top=24.0, tip=24.0, straight=0.0, wall=0.9)
    >>> found = beside(plain, blade, 343.0, 32.0)  # 33 to the blade's axis, less 12 and 16
    >>> round(found.gap, 6), round(found.along, 1)
    (5.0, 43.0)
    >>> beside(plain, blade, 343.0, 600.0)
    Traceback (most recent call last):
    ValueError: The tyre's width must be less than its radius; got 600 mm and 343 mm. Check both
    numbers.
    """
    require(
        abs(blade.length - fork.blade_length) < SAME,
        "The blade must be cut to the fork's length; got {blade} mm and {fork} mm. Call cut first.",
        blade=blade.length,
        fork=fork.blade_length,
    )
    require(
        positive("width of the tyre", width) < positive("radius of the tyre", radius),
        "The tyre's width must be less than its radius; got {width} mm and {radius} mm. Check both "
        "numbers.",
        width=width,
        radius=radius,
    )
    low, high = 0.0, blade.length
    for _ in range(_LOOKS):
        along = np.linspace(low, high, _STATIONS)
        gaps = _gaps(fork, blade, radius, width, along)
        near = int(np.argmin(gaps))
        low, high = along[max(near - 1, 0)], along[min(near + 1, _STATIONS - 1)]
    return Beside(float(gaps[near]), float(along[near]))


def _gaps(fork: Fork, blade: Blade, radius: float, width: float, along: Any) -> Any:
    """From the blade's axis to the circle through the middle of the tyre, less both halves."""
    ahead, down, side = fork.place(np.minimum(along, fork.blade_length))
    middle = np.hypot(ahead - fork.fork_offset, down - fork.axle_drop)
    distance = np.hypot(middle - (radius - width / 2), side)
    return distance - width / 2 - blade.width_at(along) / 2


def under_crown(
    fork: Fork, radius: ArrayLike, underside: ArrayLike, depth: ArrayLike, ahead: ArrayLike = 0.0
) -> Any:
    """Return the room between the tyre and the underside of the crown, in the middle plane.

    The underside is taken flat and square to the steering axis, from front to back.

    Parameters
    ----------
    fork : Fork
        As drawn.
    radius : float or array
        Outside radius of the tyre over the knobs, mm, above 0.
    underside : float or array
        From the crown race seat down to the underside, mm, or to the lower side of a mudguard, or
        of a brake, that lies below it.
    depth : float or array
        Of the underside from front to back, mm, 0 or more.
    ahead : float or array
        How far its middle lies ahead of the steering axis, mm.

    Returns
    -------
    float or array
        mm; negative where the tyre does not fit.

    Raises
    ------
    ValueError
        "The underside must lie above the axle; got 400 mm against 377.3 mm. …"

    References
    ----------
    Derived: distance from a point to a straight edge.

    Examples
    --------
    >>> from coursekit.fork import BladeLine, Crown, Dropout, built
    >>> plain = built(Crown(0.0, 106.0), BladeLine(360.0, 1.0, 0.0, 0.0), Dropout(20.0, 100.0, 6.0))
    >>> under_crown(plain, 343.0, underside=25.0, depth=30.0)  # 380 − 25 − 343
    12.0
    >>> under_crown(plain, 343.0, underside=400.0, depth=30.0)
    Traceback (most recent call last):
    ValueError: The underside must lie above the axle; got 400 mm against 380 mm. Measure from the
    crown race seat.
    """
    below = np.asarray(number("underside of the crown", underside), dtype=float)
    half = np.asarray(not_negative("depth of the crown", depth), dtype=float) / 2
    require(
        below < fork.axle_drop,
        "The underside must lie above the axle; got {below} mm against {drop} mm. Measure from the "
        "crown race seat.",
        below=below,
        drop=fork.axle_drop,
    )
    off = np.abs(fork.fork_offset - np.asarray(number("middle of the crown", ahead)))
    far = np.hypot(np.maximum(off - half, 0.0), fork.axle_drop - below)
    return bare(far - positive("radius of the tyre", radius))
