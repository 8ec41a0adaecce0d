"""The brazed steel fork: what its parts must be for the frame drawing, and whether it came out so.

The picture is the same for all of this package. The fork hangs by its steerer, and the origin is
the middle of the crown race seat, on the steering axis. *Ahead* is square to that axis, positive to
the front; *down* runs along it, positive to the axle; *side* is positive to the drive side. These
are the frame's own directions, turned by the head angle, so `fork_length` and `fork_offset` are the
two numbers that `frame.draw` takes.

Along a blade places count from its upper end, which is its end a; round it the lines are those of a
tube that stands: 0° rear, 90° drive side, 180° front, 270° non-drive side.

Each blade and its dropout lie in one plane, which contains the direction ahead and leans out by the
splay. Where the plates are set parallel to the wheel at the tips, the axle moves by a few
hundredths of a millimetre against this.

A fork that fails throws its rider. Nothing in this package certifies one: the calculations teach,
and a fork is proved by tests in a laboratory. Local rules come first.
"""

from __future__ import annotations

from coursekit.fork.axle import Lean, Rake, Sideways, lean, rake, sideways
from coursekit.fork.bend import BladeLine, bend_to
from coursekit.fork.blade import Blade, tapered
from coursekit.fork.brakes import BOSS_BELOW_BEAD_SEAT, BOSS_SPACING, boss_place, brake_reach
from coursekit.fork.crown_tube import crown_tube_joint
from coursekit.fork.difference import Uneven, uneven
from coursekit.fork.drawn import Fork, built, raked, straight
from coursekit.fork.former import Wrapped, former_radius, wrap_for, wrapped
from coursekit.fork.loads import (
    STANDARD_LOADS,
    StandardLoad,
    axle_bending,
    blade_stress,
    braking_bending,
    levers,
    pad_drag,
)
from coursekit.fork.parts import Crown, Dropout, steerer_length
from coursekit.fork.placing import in_frame
from coursekit.fork.plate import Pair, heights, pair
from coursekit.fork.room import TYRE_ROOM, TYRE_ROOM_RACING, Beside, beside, under_crown
from coursekit.fork.shoulders import Shoulder, knee, shoulder
from coursekit.fork.upright import blade_stay
from coursekit.fork.wheels import (
    BEAD_SEATS,
    RADIUS_DOUBT,
    TyreSize,
    rolling_radius,
    tyre_size,
    wheel_radius,
)

__all__ = [
    "BEAD_SEATS",
    "BOSS_BELOW_BEAD_SEAT",
    "BOSS_SPACING",
    "RADIUS_DOUBT",
    "STANDARD_LOADS",
    "TYRE_ROOM",
    "TYRE_ROOM_RACING",
    "Beside",
    "Blade",
    "BladeLine",
    "Crown",
    "Dropout",
    "Fork",
    "Lean",
    "Pair",
    "Rake",
    "Shoulder",
    "Sideways",
    "StandardLoad",
    "TyreSize",
    "Uneven",
    "Wrapped",
    "axle_bending",
    "bend_to",
    "beside",
    "blade_stay",
    "blade_stress",
    "boss_place",
    "brake_reach",
    "braking_bending",
    "built",
    "crown_tube_joint",
    "former_radius",
    "heights",
    "in_frame",
    "knee",
    "lean",
    "levers",
    "pad_drag",
    "pair",
    "rake",
    "raked",
    "rolling_radius",
    "shoulder",
    "sideways",
    "steerer_length",
    "straight",
    "tapered",
    "tyre_size",
    "under_crown",
    "uneven",
    "wheel_radius",
    "wrap_for",
    "wrapped",
]
