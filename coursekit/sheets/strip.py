"""The wrap template of one joint: the saddle unrolled to true size, if it fits the paper."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from coursekit import miters
from coursekit.sheets import page

BEYOND = 5.0  # paper past the crossing of the axes, on the side that is cut away, mm
SKIRT = 22.0  # paper past the deepest point of the cut, away from the joint, mm: room to label
BESIDE = 16.0  # kept free beside the strip for the upright check bar, mm
EDGE = 7.0  # least margin beside a strip that takes the whole width, mm
TALLEST = 120.0  # what a page leaves for the strip, mm
BELOW = 164.0  # what head, foot and the bars below take of a page whose strip is that wide, mm


@dataclass(frozen=True)
class StripJoint:
    """A joint to make a template of: the cut tube, the tube it meets, angle and offset."""

    say: str
    diameter: float
    into: float
    angle_deg: float
    offset: float = 0.0

    @property
    def names(self) -> tuple[str, str, str, str, str]:
        """What the lines at 0°, 90°, 180°, 270° and 360° are called.

        Examples
        --------
        >>> StripJoint("down tube", 31.8, 36.0, 60).names[:3]
        ('obtuse side', 'flank', 'acute side')
        """
        near, far = "obtuse side", "acute side"
        if self.angle_deg == 90:
            near = far = "in the plane"
        elif self.angle_deg > 90:
            near, far = far, near
        return near, "flank", far, "flank", near


@dataclass(frozen=True)
class StripDrawing:
    """The template in mm, from its upper left corner: x to the right, y down the page.

    x runs round the tube from the seam, y toward the joint, so that the printed side, wrapped
    outward, counts its lines counter-clockwise seen from the far end of the tube, as
    `miters.saddle` does. `crossing` is the y at which the two axes cross (along = 0). The upright
    check bar stands beside the strip, or below it (`below`) where the strip is too wide for that.
    """

    width: float
    height: float
    crossing: float
    below: bool
    curve: tuple[tuple[float, float], ...]


def draw(strip: StripJoint, paper: page.Paper, stations: int = 361) -> StripDrawing:
    """Return the template of `strip` at scale 1:1, all in mm.

    The strip runs once round the outside, 0° at its left end, 360° at its right, both on the line
    in the obtuse corner. The joint is below: what lies below the curve is cut away.

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
    around, along = miters.saddle(
        strip.diameter, strip.into, strip.angle_deg, offset=strip.offset, stations=stations
    )
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
