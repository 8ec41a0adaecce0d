"""Ends cut off flat and closed with a cap. The picture is that of `stays`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.scalars import bare
from coursekit.stays.ends import EndCut, Plane, cut_end
from coursekit.stays.stay import Stay


@dataclass(frozen=True)
class CapSize:
    """The ellipse of a flat cut through a round tube.

    Attributes
    ----------
    long, short : float or array
        Outside axes of the ellipse, mm.
    off_centre : float or array
        How far its middle lies from the tube's centre line, mm along the long axis, toward the
        thicker part of the tube; 0 on a tube without a taper.
    """

    long: Any
    short: Any
    off_centre: Any


def cap_size(diameter: Any, angle_deg: Any, growth: Any = 0.0) -> CapSize:
    """Return the ellipse of a flat cut through a round or tapered tube.

    Parameters
    ----------
    diameter : float or array
        Outside where the cut passes the centre line, mm, above 0.
    angle_deg : float or array
        Between the cut and the tube's axis, degrees: 90 is a square cut.
    growth : float or array
        By how much the diameter grows with each mm along the tube, 0 or more; the direction doesn't
        matter.

    Returns
    -------
    CapSize
        Both axes, and where the middle lies.

    Raises
    ------
    ValueError
        "The cut must pass through both sides of the tube; got 1° in a taper of 2° a side. …"; "The
        angle must be greater than 0° and at most 90°; got 120°. …"

    References
    ----------
    Sections of a cone and a cylinder by a plane; derived in the plane of the long axis.

    Examples
    --------
    >>> size = cap_size(16.0, 30.0)
    >>> round(size.long, 6), round(size.short, 6), size.off_centre
    (32.0, 16.0, 0.0)
    >>> cap_size(16.0, 120.0)
    Traceback (most recent call last):
    ValueError: The angle must be greater than 0° and at most 90°; got 120°. Measure it to the
    tube's axis.
    """
    radius = np.asarray(positive("diameter", diameter), dtype=float) / 2
    angle = np.asarray(number("angle", angle_deg, "degrees"), dtype=float)
    slope = np.abs(np.asarray(number("growth", growth, "mm per mm"), dtype=float)) / 2
    require(
        (angle > 0) & (angle <= 90),
        "The angle must be greater than 0° and at most 90°; got {angle}°. Measure it to the tube's "
        "axis.",
        angle=angle,
    )
    require(
        np.degrees(np.arctan(slope)) < angle,
        "The cut must pass through both sides of the tube; got {angle}° in a taper of {side}° a "
        "side. Make it steeper.",
        angle=angle,
        side=np.degrees(np.arctan(slope)),
    )
    s, c = np.sin(np.radians(angle)), np.cos(np.radians(angle))
    thick, thin = radius / (s - slope * c), radius / (s + slope * c)
    middle = (thick - thin) / 2
    half = np.sqrt((radius + slope * middle * c) ** 2 - (middle * s) ** 2)
    return CapSize(bare(thick + thin), bare(2 * half), bare(middle))


def capped(
    stay: Stay,
    angle_deg: float,
    toward_deg: float,
    end: str = "a",
    at: float | None = None,
    stations: int = 361,
) -> EndCut:
    """Return an end that is cut off flat at a slant, to be closed with a cap.

    Its long point lies on the line that you name and, unless told otherwise, level with the end of
    the centre line, so that the finished stay is as long as its centre line there.

    Parameters
    ----------
    stay : Stay
        What is cut.
    angle_deg : float
        Between the cut and the tube's axis, degrees: 90 is square, and a long cap has a small one.
    toward_deg : float
        Line of the stay on which the long point lies, degrees.
    end : str
        End of the stay, "a" or "b".
    at : float, optional
        Where the cut passes the centre line, mm from its end into the stay.
    stations : int
        How many lines, from 0° to 360° inclusive, 2 or more.

    Returns
    -------
    EndCut
        The cut; it meets the body "cap".

    Raises
    ------
    ValueError
        "The angle must be greater than 0° and at most 90°; …", and the messages of `cut_end`.

    Examples
    --------
    >>> from coursekit.stays import REAR, Taper, between
    >>> top, bottom = (-150, 480, 22), (-415, 70, 60)
    >>> stay = between("right_seatstay", top, bottom, Taper((0.0,), (16.0,)), zero=REAR)
    >>> cut = capped(stay, 30.0, 180.0)
    >>> round(cut.long_point, 6), round(cut.depth, 3)
    (0.0, 27.713)
    >>> capped(stay, 0.0, 180.0)
    Traceback (most recent call last):
    ValueError: The angle must be greater than 0° and at most 90°; got 0°. Measure it to the tube's
    axis.
    """
    number("angle", angle_deg, "degrees")
    number("line", toward_deg, "degrees")
    require(
        0 < angle_deg <= 90,
        "The angle must be greater than 0° and at most 90°; got {angle}°. Measure it to the tube's "
        "axis.",
        angle=angle_deg,
    )
    tip = 0.0 if end == "a" else stay.length
    here = stay.line.at(tip)
    inward = here.direction if end == "a" else -here.direction
    turn, lean = np.radians(toward_deg), np.radians(angle_deg)
    toward = np.cos(turn) * here.zero + np.sin(turn) * here.ninety
    if at is None:
        at = float(stay.taper.half_toward(tip, toward_deg) / np.tan(lean))
    normal = np.sin(lean) * inward + np.cos(lean) * toward
    plane = Plane(here.point + number("place of the cut", at) * inward, normal)
    return cut_end(stay, {"cap": plane}, end, stations)
