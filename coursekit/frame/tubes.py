"""What `frame` must know about each tube to lay it, and what it tells about tubes and joints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TopTube:
    """How the top tube lies, by its upper edge in the plane of the frame.

    Give one of `below_seat_top` and `slope_deg`.

    Attributes
    ----------
    diameter : float or array
        Outside, mm.
    below_head_top : float or array
        From the head tube's upper face down along its rear to the top tube's upper edge, mm.
    below_seat_top : float or array, optional
        From the seat tube's top down along its front to the same edge, mm.
    slope_deg : float or array, optional
        How far the tube falls toward the rear, degrees; 0 for a level one.
    """

    diameter: Any
    below_head_top: Any
    below_seat_top: Any = None
    slope_deg: Any = None


@dataclass(frozen=True)
class DownTube:
    """How the down tube lies, by its lower edge in the plane of the frame.

    Attributes
    ----------
    diameter : float or array
        Outside, mm.
    above_head_bottom : float or array
        From the head tube's lower face up along its rear to the down tube's lower edge, mm: the
        room for a bead.
    above_shell : float or array
        By how much its axis passes above the shell's axis, mm.
    """

    diameter: Any
    above_head_bottom: Any
    above_shell: Any = 0.0


@dataclass(frozen=True)
class Chainstay:
    """A pair of chainstays, straight from the shell to the rear axle.

    Attributes
    ----------
    diameter : float or array
        Outside at the shell, mm.
    apart_at_shell, apart_at_axle : float or array
        Between the two axes, where they pass the shell's axis and at the rear axle, mm.
    above_shell : float or array
        By how much the axis passes above the shell's axis in side view, mm.
    """

    diameter: Any
    apart_at_shell: Any
    apart_at_axle: Any
    above_shell: Any = 0.0


@dataclass(frozen=True)
class Seatstay:
    """A pair of seatstays, straight from beside the seat tube's axis to the rear axle.

    Attributes
    ----------
    diameter : float or array
        Outside at the seat tube, mm.
    apart_at_seat_tube, apart_at_axle : float or array
        Between the two axes, there and at the rear axle, mm.
    below_seat_top : float or array
        From the seat tube's top down its axis, mm.
    """

    diameter: Any
    apart_at_seat_tube: Any
    apart_at_axle: Any
    below_seat_top: Any


@dataclass(frozen=True)
class TubeAxis:
    """The axis of a tube, and its outside diameter.

    Attributes
    ----------
    start, end : array, (…, 3)
        Ends of the axis, mm.
    diameter : float or array
        Outside, mm.
    """

    start: Array
    end: Array
    diameter: Any

    @property
    def length(self) -> Any:
        """From start to end, mm."""
        return np.sqrt(((self.end - self.start) ** 2).sum(-1))

    @property
    def direction(self) -> Array:
        """Unit vector from start to end."""
        along: Array = (self.end - self.start) / np.asarray(self.length)[..., None]
        return along


@dataclass(frozen=True)
class FrameJoint:
    """One tube cut to fit another.

    Attributes
    ----------
    cut, into : str
        Names of the two tubes.
    cut_diameter, into_diameter : float or array
        Outside, mm.
    angle_deg : float or array
        Between the two axes, 90° or less: the angle that is set between them.
    offset : float or array
        Least distance between the two axes, mm, 0 or more.
    at : array, (…, 3)
        The point of the cut tube's axis nearest the other axis, mm.
    inward : array, (…, 3)
        Unit vector along the cut tube's axis, from `at` into the tube.
    obtuse : array, (…, 3)
        Unit vector square to the cut tube's axis, toward its obtuse corner, where the round of the
        saddle begins; at 90° it points toward the start of the other tube.
    """

    cut: str
    into: str
    cut_diameter: Any
    into_diameter: Any
    angle_deg: Any
    offset: Any
    at: Array
    inward: Array
    obtuse: Array


@dataclass(frozen=True)
class Placed:
    """The axes of all tubes, and the joints among them.

    Attributes
    ----------
    axes : mapping of str to TubeAxis
        By the tube's name.
    joints : mapping of str to FrameJoint
        By "cut-into".
    head_room : float or array
        What is left on the rear of the head tube between the top tube's lower edge and the down
        tube's upper edge, mm.
    """

    axes: Mapping[str, TubeAxis]
    joints: Mapping[str, FrameJoint]
    head_room: Any
