"""Miters: the curve along which a tube is cut to fit another, and what follows from it.

The picture is the same for all of this package. Stand at the far end of the tube that is cut and
look along it towards the joint. Lines along the tube are counted by an angle φ. For one joint the
angle starts on the line in the obtuse corner (0°) and runs counter-clockwise, so that 180° is the
line in the acute corner. Distances along the tube start where the two axes cross and grow away from
the joint.

This φ stays inside the package. On paper and at the bench the degrees are those of `pieces`, which
name a line by where it lies on the bicycle.

The words of a joint:

- The obtuse line and the acute line of the cut tube run through the middle of the two corners. The
  two flanks are halfway between them.
- An ear is the point of the cut on a flank. There are two.
- The long point is where the tube reaches farthest into the joint, nearest to the crossing of the
  axes. `long_point` derives it. At a square joint the ears are the long points; on a slant it lies
  between ear and obtuse line, or on that line.
- The short point is where the cut goes deepest into the tube. At a round joint without an offset it
  lies on the acute line.
- The depth of a cut is from long point to short point, along the tube. The finished length of a
  tube is from long point to long point. Both words are the carpenter's for the ends of a mitered
  board (from memory).
"""

from __future__ import annotations

from coursekit.miters.angles import far_end, gaps, joint_line, mill_setting_deg, saddle
from coursekit.miters.cuts import Cluster, Cut, Joint, TwoEnded, cluster, cut, two_ended
from coursekit.miters.points import long_point

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
    "long_point",
    "mill_setting_deg",
    "saddle",
    "two_ended",
]
