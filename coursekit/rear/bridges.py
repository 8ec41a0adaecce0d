"""Bridges between two stays: where they sit, how long they are, how they are cut. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rear.solving import zero_of
from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.stays import UNDERSIDE, CutStay, Stay, cut_end, rod


@dataclass(frozen=True, eq=False)
class Bridge:
    """A round bridge between a stay and its mirror image.

    Its end a is at the right stay, which is on the drive side. Its lines are those of
    `stays.ACROSS` at both ends, so both miters are in phase line by line.

    Attributes
    ----------
    cut : CutStay
        The bridge with both ends cut. Its centre line runs from one stay's centre line to the
        other's, so the length of its line is the length between axes.
    s : float
        Where it sits, mm along the stay's centre line from end a.
    angle_deg : float
        Between the bridge and each stay, 90° or less.
    obtuse_deg : float
        Line of the bridge in the obtuse corner, the same at both ends, degrees, 0 up to 360.
    """

    cut: CutStay
    s: float
    angle_deg: float
    obtuse_deg: float

    @property
    def length(self) -> float:
        """Length between the axes of the two stays, mm."""
        return self.cut.stay.length

    @property
    def stays_deg(self) -> float:
        """Angle between the two stays where the bridge sits, degrees."""
        return 2 * (90.0 - self.angle_deg)


def bridge(stay: Stay, s: float, diameter: float, name: str = "bridge") -> Bridge:
    """Return the bridge from a right stay to the left one, with both ends cut to fit.

    Parameters
    ----------
    stay : Stay
        The right stay; the left one is its mirror image.
    s : float
        Where the bridge sits, mm along the stay's centre line from end a: on a straight piece.
    diameter : float
        Of the bridge, mm, at most the size of the stay there.
    name : str
        What it is called.

    Returns
    -------
    Bridge
        The bridge.

    Raises
    ------
    ValueError
        "The bridge must sit on the stay; got 500 mm on 420 mm. …"; "The place must lie on a
        straight piece of the tube; …"; "The stays must stand apart where the bridge sits; …", and
        the messages of `cut_end`.

    Examples
    --------
    >>> from coursekit.stays import Taper, between
    >>> taper = Taper((0.0, 400.0), (20.0, 12.0))
    >>> stay = between("right_chainstay", (0, 0, 20), (-400, 0, 68), taper)
    >>> one = bridge(stay, 60.0, 12.7)
    >>> round(one.length, 2), round(one.cut.finished, 2), round(one.angle_deg, 2), one.obtuse_deg
    (54.3, 40.44, 83.16, 270.0)
    >>> bridge(stay, 500.0, 12.7)
    Traceback (most recent call last):
    ValueError: The bridge must sit on the stay; got 500 mm on 402.8697 mm. Count from end a.
    """
    s = float(number("bridge's place", s))
    require(
        0 <= s <= stay.length,
        "The bridge must sit on the stay; got {s} mm on {length} mm. Count from end a.",
        s=s,
        length=stay.length,
    )
    stay.line.straight_at(s)
    here = stay.line.at(s)
    require(
        here.point[2] > 0,
        "The stays must stand apart where the bridge sits; got {out} mm from the frame's plane. "
        "Give the right stay.",
        out=here.point[2],
    )
    other = stay.mirrored()
    tube = rod(name, here.point, here.point * np.array([1.0, 1.0, -1.0]), diameter, UNDERSIDE)
    a, b = cut_end(tube, {stay.name: stay}), cut_end(tube, {other.name: other}, "b")
    # the bridge leaves the right stay toward −z: where the stay runs outward, its way on is obtuse
    out = here.direction * (1.0 if here.direction[2] >= 0 else -1.0)
    line = np.degrees(np.arctan2(out @ tube.line.ninety, out @ tube.line.zero)) % 360.0
    angle = float(np.degrees(np.arccos(np.clip(abs(here.direction[2]), 0.0, 1.0))))
    return Bridge(CutStay(tube, a, b), s, angle, float(line))


def place_from_axle(stay: Stay, axle: Any, distance: float) -> float:
    """Return where on a stay a bridge sits whose axis is a given distance from the rear axle.

    The distance is taken in side view, straight from the axle, as a wheel needs it.

    Parameters
    ----------
    stay : Stay
        The stay.
    axle : pair of float
        The rear axle in side view, (x, y), mm.
    distance : float
        mm, above 0.

    Returns
    -------
    float
        mm along the stay's centre line from end a, to 1e-9.

    Raises
    ------
    ValueError
        "The distance must lie between those of the stay's two ends; got 600 mm, from 420 mm to 20
        mm. …"

    Examples
    --------
    >>> from coursekit.stays import Taper, between
    >>> stay = between("right_chainstay", (0, 0, 20), (-400, 0, 68), Taper((0.0,), (20.0,)))
    >>> round(place_from_axle(stay, (-420.0, 0.0), 360.0), 3)
    60.43
    >>> place_from_axle(stay, (-420.0, 0.0), 600.0)
    Traceback (most recent call last):
    ValueError: The distance must lie between those of the stay's two ends; got 600 mm, from 420 mm
    to 20 mm. Check the distance.
    """
    x, y = number("axle", list(axle))
    wanted = float(positive("distance", distance))

    def miss(s: float) -> float:
        at = stay.line.at(s).point
        return float(np.hypot(at[0] - x, at[1] - y)) - wanted

    far, near = miss(0.0), miss(stay.length)
    require(
        far * near <= 0,
        "The distance must lie between those of the stay's two ends; got {wanted} mm, from {far} "
        "mm to {near} mm. Check the distance.",
        wanted=wanted,
        far=far + wanted,
        near=near + wanted,
    )
    return zero_of(miss, 0.0, stay.length)


def bolt_from_axle(pads_radius: Any, reach: Any) -> Any:
    """Return how far from the axle a caliper brake's bolt must sit.

    A caliper hangs from its bolt outside of the tyre and reaches inward to the rim, so the reach is
    added to the radius at which its pads meet the rim.

    Parameters
    ----------
    pads_radius : float or array
        From the axle to the middle of the pads on the rim, mm, above 0.
    reach : float or array
        Of the brake, from its bolt to the middle of its pads, mm, 0 or more.

    Returns
    -------
    float or array
        mm.

    Raises
    ------
    ValueError
        "The radius at the pads must be greater than 0; …"; "The reach must be 0 or more; …"

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> bolt_from_axle(308.0, 49.0)
    357.0
    >>> bolt_from_axle(308.0, -49.0)
    Traceback (most recent call last):
    ValueError: The reach must be 0 or more; got -49 mm. Check the sign.
    """
    radius = np.asarray(positive("radius at the pads", pads_radius), dtype=float)
    return bare(radius + np.asarray(not_negative("reach", reach), dtype=float))
