"""Stays as they are: round, oval or tapered tubes with bends, and their cut ends.

A stay is a centre line and the outside along it. The centre line is made of straight pieces and
circular bends, and places on it count in mm from end a along the line, which is what you mark on
the straight tube before you bend it. End a is the shell's end of a chainstay and the seat tube's
end of a seatstay; end b is at the dropout. The frame is that of `frame`: x forward, y up, z to the
drive side.

Lines along the tube have the names of `pieces`: 0° underside (of a seatstay: rear), 90° drive side,
180° upper side (front), 270° non-drive side. They are named where end a is and carried along from
there without twist. A bridge lies across the frame and has no drive side, so its four lines have
names of their own, `ACROSS`; its end a is at the stay on the drive side. On an oval or tapered tube
a line keeps its share of both half axes, so it is straight wherever the tube is.

The words of a cut end are those of `miters`: long point, short point, depth, finished length.
"""

from __future__ import annotations

from coursekit.stays.bends import Bend, Place
from coursekit.stays.caps import CapSize, cap_size, capped
from coursekit.stays.dimple import Dimple
from coursekit.stays.ends import CutStay, EndCut, Plane, cut_end
from coursekit.stays.line import CentreLine
from coursekit.stays.making import between, rod
from coursekit.stays.s_bends import s_bend, s_bend_angle_deg, s_bend_offset
from coursekit.stays.stay import ACROSS, EASY_BEND, REAR, UNDERSIDE, Body, Stay
from coursekit.stays.taper import Taper
from coursekit.stays.templates import Template, template

__all__ = [
    "ACROSS",
    "EASY_BEND",
    "REAR",
    "UNDERSIDE",
    "Bend",
    "Body",
    "CapSize",
    "CentreLine",
    "CutStay",
    "Dimple",
    "EndCut",
    "Place",
    "Plane",
    "Stay",
    "Taper",
    "Template",
    "between",
    "cap_size",
    "capped",
    "cut_end",
    "rod",
    "s_bend",
    "s_bend_angle_deg",
    "s_bend_offset",
    "template",
]
