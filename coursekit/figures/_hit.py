"""The errand frame of the lessons in a level hit at the front wheel, to draw its bending."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit import skeleton, tubes
from coursekit.frame import Chainstay, DownTube, Frame, Seatstay, TopTube, draw
from coursekit.statics import Solution

FORCE = 500.0  # N, invented: about what a kerb at a walking pace may do
EAR_SHELL = 14.2  # mm from the shell's axis to the ears of the down tube
DIMENSIONS = {
    "seat_angle_deg": 71.5,
    "head_angle_deg": 70.5,
    "chainstay": 410.0,
    "bb_drop": 60.0,
    "wheel_radius": 320.0,
    "fork_length": 365.0,
    "fork_offset": 55.0,
    "lower_stack": 16.0,
    "head_tube": 110.0,
    "seat_tube": 530.0,
    "front_centre": 589.0,
}
OTHERS = {
    "top_tube": tubes.Round(25.4, 0.8),
    "seat_tube": tubes.Round(28.6, 0.9),
    "head_tube": tubes.Round(31.8, 1.1),
    "shell": tubes.Round(38.1, 2.0),
    "chainstay": tubes.Round(19.0, 0.8),
    "seatstay": tubes.Round(14.0, 0.8),
    "fork": tubes.Round(40.0, 10.0),
}


@dataclass(frozen=True)
class Hit:
    """The frame, its joints (name → mm), and what statics finds for it."""

    frame: Frame
    nodes: Any
    solution: Solution

    def length(self, tube: str) -> float:
        """From axis to axis, mm, of `down_tube` or `top_tube`."""
        member = self.solution.model.members[tube]
        return float(np.linalg.norm(self.nodes[member.end] - self.nodes[member.start]))

    def bending(self, tube: str, from_head: Any) -> NDArray[np.float64]:
        """Bending, N·m, at places mm from the head tube's axis, positive as it is there."""
        along = self.length(tube) - np.atleast_1d(np.asarray(from_head, float))
        moment = -self.solution.section_forces(tube, along)[..., 5] / 1000
        return np.asarray(moment, float)


def hit(down_tube: tubes.Round | tubes.Butted, force: float = FORCE) -> Hit:
    """Return the frame under `force` N, level, backward; end a of the down tube is at the shell."""
    frame = draw(**DIMENSIONS).place(
        top_tube=TopTube(25.4, below_head_top=14, slope_deg=0),
        down_tube=DownTube(25.4, 12),
        head_tube=31.8,
        chainstay=Chainstay(19.0, 46, 130),
        seatstay=Seatstay(14, 30, 130, 45),
    )
    bare = skeleton.skeleton(frame, OTHERS | {"down_tube": down_tube})
    members = dict(bare.members)
    if isinstance(down_tube, tubes.Butted):
        members["down_tube"] = replace(members["down_tube"], tube_from=EAR_SHELL)
    built = skeleton.Skeleton(bare.nodes, members)
    return Hit(frame, built.nodes, built.under(skeleton.front_hit(-force)))
