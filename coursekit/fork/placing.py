"""From the fork's own directions to the frame's. The picture is that of `fork` and of `frame`."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from coursekit.fork.drawn import Place
from coursekit.frame import Frame
from coursekit.rules import number
from coursekit.scalars import bare


def in_frame(place: tuple[ArrayLike, ArrayLike, ArrayLike], frame: Frame) -> Place:
    """Return where a place of the fork lies in the frame, with the wheel straight ahead.

    Parameters
    ----------
    place : tuple of float or array
        (ahead, down, side), mm, from the crown race seat: a place or one of the points of `Fork`.
    frame : frame.Frame
        The frame in which the fork turns.

    Returns
    -------
    x, y, z : float or array
        mm, from the bottom bracket: forward, up, to the drive side.

    Raises
    ------
    ValueError
        "The place must be a finite number in mm; got nan. …"

    References
    ----------
    The crown race seat of `frame.Frame.points`, turned by the head angle.

    Examples
    --------
    >>> from coursekit.frame import draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=90, chainstay=430, bb_drop=70, wheel_radius=340,
    ...          fork_length=385, fork_offset=0, lower_stack=12, head_tube=150, seat_tube=550,
    ...          wheelbase=1024.264)
    >>> [round(v, 2) for v in in_frame((45.0, 385.0, 53.0), f)]  # the axle's height is the drop
    [645.0, 70.0, 53.0]
    >>> in_frame((float("nan"), 385.0, 53.0), f)
    Traceback (most recent call last):
    ValueError: The place must be a finite number in mm; got nan. Turn text into mm with units.mm
    first.
    """
    ahead, down, side = (np.asarray(number("place", v), dtype=float) for v in place)
    x, y = frame.points["crown"]
    s, c = np.sin(np.radians(frame.head_angle_deg)), np.cos(np.radians(frame.head_angle_deg))
    return bare(x + ahead * s + down * c), bare(y + ahead * c - down * s), bare(side)
