"""The frame on paper: solve it from any sufficient dimensions, and read off every other one.

The origin is at the bottom-bracket centre, with x forward, y up and z toward the drive side. Seat
angle and head angle are measured from the horizontal, leaning back. Both wheels stand on one level
ground.

References: ISO 8855:2011 and Meijaard, Papadopoulos, Ruina & Schwab (2007), Proc. R. Soc. A 463,
1955–1982 (trail, steer-axis tilt); 16 CFR 1512.17 (toe clearance).
"""

from __future__ import annotations

from coursekit.frame.drawn import DIMENSIONS, TOE_CLEARANCE_US, Frame, draw
from coursekit.frame.tubes import (
    Chainstay,
    DownTube,
    FrameJoint,
    Placed,
    Seatstay,
    TopTube,
    TubeAxis,
)

__all__ = [
    "DIMENSIONS",
    "TOE_CLEARANCE_US",
    "Chainstay",
    "DownTube",
    "Frame",
    "FrameJoint",
    "Placed",
    "Seatstay",
    "TopTube",
    "TubeAxis",
    "draw",
]
