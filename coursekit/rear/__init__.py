"""The rear triangle: dropouts, chainstays and seatstays in their places, bridges, and their room.

The frame is that of `frame` (x forward, y up, z to the drive side, the origin at the bottom
bracket), the tubes are those of `stays`. Right is the drive side. Only the right stay is laid out;
`Stay.mirrored` gives the left one.

Rooms are least distances between bodies, and negative where bodies overlap. A tyre is a ring of
round section and a chainring is a disc over the tips of its teeth. Crank and heel are the bodies
that they sweep in a turn.
"""

from __future__ import annotations

from coursekit.rear.axles import AXLES, Axle
from coursekit.rear.bodies import Chainring, Tyre
from coursekit.rear.bridges import Bridge, bolt_from_axle, bridge, place_from_axle
from coursekit.rear.chainrings import pitch_diameter, tip_diameter, tip_limits
from coursekit.rear.cranks import Crank, Heel
from coursekit.rear.dropouts import Dropout, RearEnd, Tab, slot_width
from coursekit.rear.placing import chainstay, shell_land, slot_lines_deg, toe_in_deg
from coursekit.rear.plan import Plan, outline, plan_view
from coursekit.rear.rooms import Room, apart, room, rooms
from coursekit.rear.seatstays import (
    Seatstays,
    against_each_other,
    into_mono_tube,
    into_seat_tube,
    tacked,
)
from coursekit.rear.solving import Solved, for_room, zero_of
from coursekit.rear.turned import Turned

__all__ = [
    "AXLES",
    "Axle",
    "Bridge",
    "Chainring",
    "Crank",
    "Dropout",
    "Heel",
    "Plan",
    "RearEnd",
    "Room",
    "Seatstays",
    "Solved",
    "Tab",
    "Turned",
    "Tyre",
    "against_each_other",
    "apart",
    "bolt_from_axle",
    "bridge",
    "chainstay",
    "for_room",
    "into_mono_tube",
    "into_seat_tube",
    "outline",
    "pitch_diameter",
    "place_from_axle",
    "plan_view",
    "room",
    "rooms",
    "shell_land",
    "slot_lines_deg",
    "slot_width",
    "tacked",
    "tip_diameter",
    "tip_limits",
    "toe_in_deg",
    "zero_of",
]
