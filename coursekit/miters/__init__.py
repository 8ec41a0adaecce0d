"""Miters: the curve along which a tube is cut to fit another, and what follows from it.

The picture is the same for all of this package. Stand at the far end of the tube that is cut and
look along it towards the joint. Lines along the tube are counted by an angle. For one joint the
angle starts on the line in the obtuse corner (0°) and runs counter-clockwise, so that 180° is the
line in the acute corner. Distances along the tube start where the two axes cross and grow away from
the joint.
"""

from __future__ import annotations

from coursekit.miters.angles import far_end, gaps, joint_line, mill_setting_deg, saddle
from coursekit.miters.cuts import Cluster, Cut, Joint, TwoEnded, cluster, cut, two_ended

__all__ = [
    "Cluster",
    "Cut",
    "Joint",
    "TwoEnded",
    "cluster",
    "cut",
    "far_end",
    "gaps",
    "joint_line",
    "mill_setting_deg",
    "saddle",
    "two_ended",
]
