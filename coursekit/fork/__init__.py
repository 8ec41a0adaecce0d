"""The brazed steel fork: what its parts must be for the frame drawing, and whether it came out so.

The picture is the same for all of this package. The fork hangs by its steerer, and the origin is
the middle of the crown race seat, on the steering axis. *Ahead* is square to that axis, positive to
the front; *down* runs along it, positive to the axle; *side* is positive to the drive side. These
are the frame's own directions, turned by the head angle, so `fork_length` and `fork_offset` are the
two numbers that `frame.draw` takes.

Along a blade places count from its upper end, which is its end a; round it the lines are those of a
tube that stands: 0° rear, 90° drive side, 180° front, 270° non-drive side.

Each blade and its dropout lie in one plane, which contains the direction ahead and leans out by the
splay. Where the plates are set parallel to the wheel at the tips, the axle moves by a few hundredths
of a millimetre against this.

A fork that fails throws its rider. Nothing in this package certifies one: the calculations teach,
and a fork is proved by tests in a laboratory. Local rules come first.
"""

from __future__ import annotations

from coursekit.fork.bend import Bend, bend_to
from coursekit.fork.drawn import Fork, built, raked, straight
from coursekit.fork.parts import Blade, Crown, Dropout, steerer_length

__all__ = [
    "Bend",
    "Blade",
    "Crown",
    "Dropout",
    "Fork",
    "bend_to",
    "built",
    "raked",
    "steerer_length",
    "straight",
]
