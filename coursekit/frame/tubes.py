"""What `frame` needs to know of each tube to lay it, and what it tells of tubes and joints."""

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

    Parameters
    ----------
    diameter : outside, mm
    below_head_top : from the head tube's upper face down along its rear to the top tube's upper edge
    below_seat_top : from the seat tube's top down along its front to the same edge; or
    slope_deg : how far the tube falls toward the rear, 0 for a level one
    """

    diameter: Any
    below_head_top: Any
    below_seat_top: Any = None
    slope_deg: Any = None


@dataclass(frozen=True)
class DownTube:
    """How the down tube lies, by its lower edge in the plane of the frame.

    Parameters
    ----------
    diameter : outside, mm
    above_head_bottom : from the head tube's lower face up along its rear to the down tube's lower
        edge: the room for a bead
    above_shell : by how much its axis passes above the shell's axis, mm
    """

    diameter: Any
    above_head_bottom: Any
    above_shell: Any = 0.0


@dataclass(frozen=True)
class Chainstay:
    """A pair of chainstays, straight from the shell to the rear axle.

    Parameters
    ----------
    diameter : outside at the shell, mm
    apart_at_shell, apart_at_axle : between the two axes, where they pass the shell's axis and at
        the rear axle, mm
    above_shell : by how much the axis passes above the shell's axis, side view, mm
    """

    diameter: Any
    apart_at_shell: Any
    apart_at_axle: Any
    above_shell: Any = 0.0


@dataclass(frozen=True)
class Seatstay:
    """A pair of seatstays, straight from beside the seat tube's axis to the rear axle.

    Parameters
    ----------
    diameter : outside at the seat tube, mm
    apart_at_seat_tube, apart_at_axle : between the two axes, there and at the rear axle, mm
    below_seat_top : from the seat tube's top down its axis, mm
    """

    diameter: Any
    apart_at_seat_tube: Any
    apart_at_axle: Any
    below_seat_top: Any


@dataclass(frozen=True)
class TubeAxis:
    """A tube's axis (start and end, (…, 3) mm) and outside diameter, mm."""

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

    cut, into : names of the two tubes
    cut_diameter, into_diameter : mm, outside
    angle_deg : between the two axes, 90° or less: what is set between them
    offset : least distance between the two axes, mm, 0 or more
    at : the point of the cut tube's axis nearest the other axis, (…, 3) mm
    inward : unit vector along the cut tube's axis, from `at` into the tube
    obtuse : unit vector square to the cut tube's axis, toward its obtuse corner (where the round
        of the saddle begins); at 90° toward the start of the other tube
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
    """Axes of all tubes by name, and the joints among them by "cut-into".

    `head_room` is what is left on the rear of the head tube between the top tube's lower and the
    down tube's upper edge, mm.
    """

    axes: Mapping[str, TubeAxis]
    joints: Mapping[str, FrameJoint]
    head_room: Any
