"""The harbour frame of the lesson on strength, invented, and the loads that are put on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit import skeleton, tubes
from coursekit.frame import Chainstay, DownTube, Frame, Seatstay, TopTube, draw
from coursekit.statics import Solution

PEDAL, FRONT, SEAT = 1000.0, 450.0, 1000.0  # N, in the spirit of ISO 4210-6, from memory
DIMENSIONS = {
    "seat_angle_deg": 72.5,
    "head_angle_deg": 71.5,
    "chainstay": 430.0,
    "bb_drop": 72.0,
    "wheel_radius": 340.0,
    "fork_offset": 48.0,
    "lower_stack": 14.0,
    "seat_tube": 590.0,
    "front_centre": 604.0,
}
OTHERS = {
    "top_tube": tubes.Round(28.6, 0.8),
    "seat_tube": tubes.Round(28.6, 0.9),
    "head_tube": tubes.Round(36.0, 1.1),
    "shell": tubes.Round(38.1, 2.0),
    "chainstay": tubes.Round(22.2, 0.8),
    "seatstay": tubes.Round(16.0, 0.8),
    "fork": tubes.Round(40.0, 10.0),
}
WALLS, LENGTHS = (0.9, 0.6, 0.9), (60.0, 40.0, 360.0, 40.0, 96.0)  # mm, end a at the shell
FROM = 16.0  # mm from the shell's axis to where the down tube begins
LONG = tubes.Butted(31.8, WALLS, LENGTHS)
SHORT = tubes.Butted(31.8, WALLS, LENGTHS[::-1])  # the long butt at the shell
PLAIN = tubes.Round(31.8, 0.9)


@dataclass(frozen=True)
class Loaded:
    """The frame, its joints (name → mm), and what statics finds for it under one load."""

    frame: Frame
    nodes: Mapping[str, Any]
    solution: Solution

    def length(self, member: str) -> float:
        """From axis to axis, mm."""
        return float(self.solution.model.length(member))

    def inner(self, member: str, from_end: Any) -> tuple[NDArray[Any], NDArray[Any]]:
        """Pull (N, push −) and bending in the frame's plane (N·m), by mm from the far end."""
        along = np.maximum(self.length(member) - np.atleast_1d(np.asarray(from_end, float)), 0.0)
        forces = self.solution.section_forces(member, along)
        return forces[..., 0], -forces[..., 5] / 1000

    def stress(self, member: str, along: Any) -> NDArray[Any]:
        """Greatest stress along the tube at places mm from its start, MPa, without its sign."""
        found = self.solution.stress(member, along, np.arange(0, 360, 5)).axial
        return np.asarray(np.abs(found).max(-1), float)


@lru_cache
def placed(fork_length: float = 385.0, head_tube: float = 140.0) -> Frame:
    """Return the frame with its tubes placed; these two lengths, mm, are each student's own."""
    frame = draw(**DIMENSIONS, fork_length=fork_length, head_tube=head_tube)
    return frame.place(
        top_tube=TopTube(28.6, below_head_top=14, slope_deg=0),
        down_tube=DownTube(31.8, 12),
        head_tube=36.0,
        chainstay=Chainstay(22.2, 46, 130),
        seatstay=Seatstay(16, 30, 130, 45),
    )


def under(
    load: Mapping[str, Any],
    down_tube: tubes.Round | tubes.Butted = LONG,
    frame: Frame | None = None,
    start: float = FROM,
) -> Loaded:
    """Return the frame with this down tube (`start` mm from the shell's axis) under a load."""
    own = frame or placed()
    bare = skeleton.skeleton(own, OTHERS | {"down_tube": down_tube})
    members = dict(bare.members)
    if isinstance(down_tube, tubes.Butted):
        members["down_tube"] = replace(members["down_tube"], tube_from=start)
    built = skeleton.Skeleton(bare.nodes, members)
    return Loaded(own, built.nodes, built.under(load))


def loads() -> dict[str, dict[str, Any]]:
    """Return the three loads by name."""
    return {
        "pedal": skeleton.pedal(PEDAL),
        "front": skeleton.front_hit(-FRONT),
        "seat": skeleton.seat_load(placed(), SEAT),
    }
