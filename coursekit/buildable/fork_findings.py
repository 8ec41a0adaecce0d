"""What a fork must have: room for its wheel, blades long enough, bends, slots, brake, steerer."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coursekit.buildable import rear_making
from coursekit.buildable.ends import Brake, FrontFork
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts
from coursekit.buildable.rear_rooms import DISC, FREE, Limit, rotor
from coursekit.buildable.rooms import TYRE_LEAST
from coursekit.fork import TYRE_ROOM, boss_place, brake_reach, under_crown
from coursekit.frame import Frame
from coursekit.rear import Tyre, room

BLADES = Limit(
    "front tyre",
    TYRE_LEAST,
    TYRE_ROOM,
    "Take a narrower tyre or a wider crown.",
    FREE,
)
CROWN = Limit(
    "front tyre",
    TYRE_LEAST,
    TYRE_ROOM,
    "Make the fork longer, or take a smaller wheel or a flatter crown.",
    "Mud and a stone in the tread have no way through.",
)
DISC_WALL = 1.0  # mm of blade under a disc mount; common practice, no source
CRACKS = "A fork that fails throws its rider, so this one is not to be built."


def findings(frame: Frame, front: FrontFork, parts: Parts) -> Iterator[Finding]:
    """Return what keeps a fork from being built, and what costs more care.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    front : FrontFork
        The fork.
    parts : Parts
        Tyre and bead seat count.

    Yields
    ------
    Finding
        Each of them.
    """
    own, blades = front.fork, "fork blades"
    stay = front.right.stay
    if parts.tyre is not None:
        radius = float(frame.front_radius)
        axle = (float(own.fork_offset), -float(own.axle_drop))
        tyre = Tyre(axle, radius, parts.tyre, parts.knobs)
        begin = max(0.0, front.right.a.long_point)
        yield from BLADES.findings(blades, room(stay, tyre, begin).room)
        far = under_crown(own, radius + parts.knobs, front.underside, front.depth)
        yield from CROWN.findings("fork crown", float(far))
    yield from rear_making.length(blades, front.right, front.bought)
    yield from rear_making.ends(blades, front.right, float(own.dropout.tab))
    yield from rear_making.bends(blades, stay)
    yield from _round(front)
    if own.dropout.tab:
        plate = (float(own.dropout.thickness), _toe_deg(front), float(own.dropout.tab))
        yield from rear_making.slot(f"{blades}, end b", stay, plate)
    yield from _shoulder(front)
    yield from _steerer(front)
    if front.brake is not None:
        yield from _brake(front, front.brake, parts.bead_seat)


def _toe_deg(front: FrontFork) -> float:
    """Between the blade's tip and the plate, which lies in the blade's own plane: none."""
    return 0.0 if front.shoulder is None else abs(float(front.fork.splay_deg))


def _round(front: FrontFork) -> Iterator[Finding]:
    """Where a blade is raked it must be round, or nearly so, to lie in the former's groove."""
    bend, above = front.fork.bend, front.right.stay.length - float(front.fork.blade_length)
    if not bend.angle_deg:
        return
    low = above + float(bend.start)
    places = [p for p in front.blade.places if low < p < low + float(bend.arc)]
    at = np.array([low, *places, low + float(bend.arc)])
    at = np.minimum(at, front.blade.length)
    off = float(np.max(np.abs(front.blade.depth_at(at) - front.blade.width_at(at))))
    if off > 1e-6:
        cure = "Bend it farther down, where it is round, or use a former with a groove to its oval."
        ease = "An oval blade rolls over in a round groove, so try one before the pair."
        yield Finding("the blade is oval where it is bent", "fork blades", off, "mm", cure, ease)


def _shoulder(front: FrontFork) -> Iterator[Finding]:
    """The joint of a unicrown fork must lie below the crown race seat."""
    if front.shoulder is None:
        return
    above, _ = front.shoulder.span(float(front.blade.width_at(0.0)))
    over = float(above) - front.crossing
    if over > 0:
        cure = (
            f"The joint reaches {float(above):.1f} mm above the crossing of the axes, which lies "
            f"{front.crossing:g} mm below the seat. Let the axes cross lower, or take thinner "
            "blades."
        )
        where = "fork blades on the steerer"
        yield Finding("the joint reaches over the crown race seat", where, over, "mm", cure)


def _steerer(front: FrontFork) -> Iterator[Finding]:
    own = front.steerer
    if own is not None and own.needed > own.length:
        cure = (
            f"Head tube, bearings, crown and what stands above take {own.needed:.1f} mm, and it is "
            f"bought {own.length:g} mm long. Take a longer one; a steerer is never pieced. {CRACKS}"
        )
        yield Finding("the steerer is too short", "steerer", own.needed - own.length, "mm", cure)


def _brake(front: FrontFork, brake: Brake, bead_seat: float | None) -> Iterator[Finding]:
    own = front.fork
    if brake.kind == "disc":
        axle = (float(own.fork_offset), -float(own.axle_drop))
        disc = rotor(axle, float(own.dropout.spacing), brake)
        left = room(front.right.stay.mirrored(), disc).room
        yield from DISC.findings("fork blade, non-drive side", left)
        yield from _mount(front, brake)
    elif bead_seat is None:
        return
    elif brake.kind == "caliper":
        needed = float(brake_reach(own, bead_seat, *brake.bolt))
        yield from rear_making.reach("fork crown", needed, brake.reach)
    else:
        yield from _bosses(front, brake, bead_seat)


def _mount(front: FrontFork, brake: Brake) -> Iterator[Finding]:
    """The blade that carries a disc's mount, which takes all of the braking alone."""
    along, _ = boss_place(front.fork, 2 * brake.mount[0], 0.0)
    above = front.right.stay.length - float(front.fork.blade_length)
    half = brake.mount[1] / 2
    ends = np.clip(above + along + np.array([-half, half]), 0.0, front.blade.length)
    wall = float(np.min(front.blade.wall_at(ends)))
    where = "fork blade, non-drive side, disc mount"
    if wall < DISC_WALL:
        cure = (
            f"The wall is {wall:g} mm there, and {DISC_WALL:g} mm is the least: this one blade "
            "takes all of the braking. Take blades that their maker sells for a disc brake."
        )
        yield Finding("the wall under the disc mount is thin", where, DISC_WALL - wall, "mm", cure)
    yield from rear_making.straight(where, front.right.stay, above + float(along), brake.mount[1])


def _bosses(front: FrontFork, brake: Brake, bead_seat: float) -> Iterator[Finding]:
    along, far = boss_place(front.fork, bead_seat)
    out = float(front.fork.place(along)[2])
    off = abs(out - brake.bosses / 2)
    if off > rear_making.BOSS_OFF:
        way = "wider" if out < brake.bosses / 2 else "narrower"
        cure = (
            f"{far:.0f} mm from the axle the blades stand {2 * out:.1f} mm apart, and the bosses "
            f"want {brake.bosses:g} mm. Take a {way} crown, or another brake."
        )
        yield Finding(
            "the bosses stand in the wrong place",
            "fork blades, brake bosses",
            off - rear_making.BOSS_OFF,
            "mm",
            cure,
        )
