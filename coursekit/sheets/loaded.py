"""A frame under load: its tubes as members for `statics`, and the loads of the lesson on strength.

Top tube and down tube have their butts. The other tubes count as plain, with the wall of their end
a all along. The fork is the stiff dummy of the tests.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit import skeleton
from coursekit.frame import Frame
from coursekit.sheets.build import Build
from coursekit.statics import Solution
from coursekit.tubes import Butted, Round

PEDAL, FRONT, SEAT = 1000.0, 450.0, 1000.0  # N, in the spirit of ISO 4210-6, from memory
FORK = Round(40.0, 10.0)
PLAIN = ("seat_tube", "head_tube", "shell", "chainstay", "seatstay")
BUTTED = ("top_tube", "down_tube")
Laid = tuple[Round | Butted, float]  # a tube, and where it begins, mm from its crossing at end a


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


def laid(build: Build, name: str) -> Laid:
    """Return a butted tube as it is cut, and where it begins from its crossing at end a."""
    cut = build.trimmed[name]
    return cut.tube, float(cut.piece.a.along.min())


def turned(tube: Butted) -> Butted:
    """Return a tube the other way round."""
    return Butted(tube.diameter, tube.walls[::-1], tube.lengths[::-1])


def under(
    build: Build, load: Mapping[str, Any], instead: Mapping[str, Laid] | None = None
) -> Loaded:
    """Return the frame under a load, with other top and down tubes than its own where given.

    Raises
    ------
    ValueError
        Where the frame has no stays, or stays that don't meet at the axle.
    """
    own = {name: laid(build, name) for name in BUTTED} | dict(instead or {})
    sections: dict[str, Any] = {"fork": FORK} | {n: tube for n, (tube, _) in own.items()}
    for name in PLAIN:
        if name in build.tubes:
            bought = build.tubes[name]
            sections[name] = Round(bought.diameter, bought.walls[0])
    bare = skeleton.skeleton(build.frame, sections)
    members = dict(bare.members)
    for name, (tube, start) in own.items():
        if isinstance(tube, Butted):
            members[name] = replace(members[name], tube_from=start)
    made = skeleton.Skeleton(bare.nodes, members)
    return Loaded(build.frame, made.nodes, made.under(load))


def loads(frame: Frame) -> dict[str, dict[str, Any]]:
    """Return the three loads by name."""
    return {
        "pedal": skeleton.pedal(PEDAL),
        "front": skeleton.front_hit(-FRONT),
        "seat": skeleton.seat_load(frame, SEAT),
    }
