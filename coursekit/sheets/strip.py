"""The wrap template of one joint: the saddle unrolled to true size, if it fits the paper."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from coursekit import miters, pieces
from coursekit.sheets import page

BEYOND = 5.0  # paper past the crossing of the axes, on the side that is cut away, mm
SKIRT = 24.0  # paper past the short point of the cut, away from the joint, mm: room to label
BESIDE = 16.0  # kept free beside the strip for the upright check bar, mm
EDGE = 7.0  # least margin beside a strip that takes the whole width, mm
TALLEST = 120.0  # what a page leaves for the strip, mm
BELOW = 164.0  # what head, foot and the bars below take of a page whose strip is that wide, mm


# A joint, the line of the cut tube that lies in its obtuse corner, and whether the tube's degrees
# count counter-clockwise, seen from its far end. `pieces` has both for every frame; at the shell,
# where the axes stand square, the line that faces along the shell stands for the corner.
JOINTS = {
    "down tube to head tube": (180, 1),
    "down tube to shell": (90, -1),
    "down tube to seat tube": (0, -1),
    "top tube to head tube": (0, 1),
    "top tube to seat tube": (180, -1),
    "seat tube to shell": (90, 1),
}


@dataclass(frozen=True)
class StripLine:
    """A line of the tube on a strip: its degrees, its place on the bicycle and in the joint."""

    deg: int
    place: str
    corner: str


@dataclass(frozen=True)
class StripJoint:
    """A joint to make a template of: the cut tube, the tube it meets, angle and offset.

    `joint` is a key of `JOINTS`. The offset counts as for `miters.saddle`.
    """

    say: str
    diameter: float
    into: float
    angle_deg: float
    offset: float = 0.0
    joint: str = "down tube to head tube"

    @property
    def lines(self) -> tuple[StripLine, ...]:
        """The quarter lines from the left end of the strip to its right end, five with the seam.

        Examples
        --------
        >>> for line in StripJoint("down tube", 31.8, 36.0, 60).lines[:3]:
        ...     print(line.deg, line.place, line.corner)
        0 underside acute
        90 drive side flank
        180 upper side obtuse
        """
        obtuse, way = JOINTS[self.joint]
        stands = self.joint.startswith("seat tube")
        places = pieces.STANDING if stands else pieces.LYING
        corners = ("obtuse", "flank", "acute", "flank") if self.angle_deg != 90 else ("",) * 4
        return tuple(
            StripLine(deg, places[deg % 360 // 90], corners[(deg - obtuse) % 360 // 90])
            for deg in range(0, 361, 90)[::way]
        )

    @property
    def cut(self) -> miters.Cut:
        """The cut end, its lines counted from the strip's left end to its right end."""
        obtuse, way = JOINTS[self.joint]
        first = way * obtuse + (180 if self.angle_deg > 90 else 0)
        joint = miters.Joint(self.into, self.angle_deg, self.offset, float(first))
        return miters.cut(self.diameter, joint)


@dataclass(frozen=True)
class StripDrawing:
    """The template in mm, from its upper left corner: x to the right, y down the page.

    x runs round the tube from the seam, y toward the joint, so that the printed side, wrapped
    outward, goes counter-clockwise seen from the far end of the tube. `crossing` is the y at which
    the two axes cross (along = 0). The upright check bar stands beside the strip, or below it
    (`below`) where the strip is too wide for that.
    """

    width: float
    height: float
    crossing: float
    below: bool
    curve: tuple[tuple[float, float], ...]


def draw(strip: StripJoint, paper: page.Paper) -> StripDrawing:
    """Return the template of `strip` at scale 1:1, all in mm.

    The strip runs once round the outside, from the tube's 0° line to the same line again. The joint
    is below: what lies below the curve is cut away.

    Raises
    ------
    ValueError
        A wrap template must fit the paper; got a strip … mm long …, and all that `miters.saddle`
        refuses.

    Examples
    --------
    >>> round(draw(StripJoint("down tube", 31.8, 36.0, 60), "a4").width, 2)
    99.9
    >>> draw(StripJoint("mast", 76.0, 80.0, 60), "a4")
    Traceback (most recent call last):
    ValueError: A wrap template must fit the paper; got a strip 238.8 mm long for 'mast', and a4
    holds 196.0 mm. Take this template out of the exercise.
    """
    # refuses what a saddle must not be, in its words
    miters.saddle(strip.diameter, strip.into, strip.angle_deg, strip.offset, stations=2)
    cut = strip.cut
    around, along = cut.around, cut.along
    width = pi * strip.diameter
    crossing = float(np.max(along)) + SKIRT
    height = crossing - min(0.0, float(np.min(along))) + BEYOND
    below = _below(strip, paper, width, height)
    x, y = np.round(around, 4).tolist(), np.round(crossing - along, 4).tolist()
    return StripDrawing(width, height, crossing, below, tuple(zip(x, y, strict=True)))


def _below(strip: StripJoint, paper: page.Paper, width: float, height: float) -> bool:
    """Whether the upright bar must go below the strip; refuse a strip that is too large."""
    wide, high = page.size(paper)
    room = wide - 2 * EDGE
    below = width > wide - 2 * page.MARGIN - BESIDE
    leaves = min(TALLEST, high - BELOW) if below else TALLEST
    cure = "Take this template out of the exercise."
    if width > room:
        raise ValueError(
            f"A wrap template must fit the paper; got a strip {width:.1f} mm long for "
            f"'{strip.say}', and {paper} holds {room:.1f} mm. {cure}"
        )
    if height > leaves:
        raise ValueError(
            f"A wrap template must fit the paper; got a strip {height:.1f} mm high for "
            f"'{strip.say}', and a page leaves {leaves:.1f} mm. {cure}"
        )
    return below
