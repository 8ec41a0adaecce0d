"""A frame in a level hit at the front wheel, to draw its bending."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit import skeleton, tubes
from coursekit.frame import Frame
from coursekit.statics import Solution

FORCE = 500.0  # N, invented: about what a kerb at a walking pace may do
FORK = tubes.Round(40.0, 10.0)


@dataclass(frozen=True)
class Rig:
    """A frame to be hit: its drawing with the tubes placed, its tubes as bought.

    `start` is how far from the shell's axis the down tube begins, mm.
    """

    frame: Frame
    bought: Mapping[str, tubes.Butted]
    start: float

    def sections(self) -> dict[str, tubes.Round]:
        """Every tube as plain as its butt at end a; what the down tube is, `hit` says."""
        plain = {n: tubes.Round(t.diameter, t.walls[0]) for n, t in self.bought.items()}
        return plain | {"fork": FORK}


@dataclass(frozen=True)
class Hit:
    """The frame, its joints (name → mm), and what statics finds for it."""

    rig: Rig
    nodes: Any
    solution: Solution

    def length(self, tube: str) -> float:
        """From axis to axis, mm, of `down_tube` or `top_tube`."""
        member = self.solution.model.members[tube]
        return float(np.linalg.norm(self.nodes[member.end] - self.nodes[member.start]))

    def bending(self, tube: str, from_head: Any) -> NDArray[np.float64]:
        """Bending, N·m, at places mm from the head tube's axis, positive as it is there."""
        along = self.length(tube) - np.atleast_1d(np.asarray(from_head, float))
        moment = -self.solution.section_forces(tube, np.maximum(along, 0.0))[..., 5] / 1000
        return np.asarray(moment, float)


def hit(rig: Rig, down_tube: tubes.Round | tubes.Butted, force: float = FORCE) -> Hit:
    """Return the frame under `force` N, level, backward; end a of the down tube is at the shell."""
    bare = skeleton.skeleton(rig.frame, {**rig.sections(), "down_tube": down_tube})
    members = dict(bare.members)
    if isinstance(down_tube, tubes.Butted):
        members["down_tube"] = replace(members["down_tube"], tube_from=rig.start)
    built = skeleton.Skeleton(bare.nodes, members)
    return Hit(rig, built.nodes, built.under(skeleton.front_hit(-force)))
