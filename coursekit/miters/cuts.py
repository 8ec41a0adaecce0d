"""Whole cut ends of `miters`: joints, both edges, both ends of a tube, several tubes at once.

The picture is that of `miters`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from coursekit.miters import curve
from coursekit.miters.curve import Array
from coursekit.rules import number, positive, require
from coursekit.sections import Section, section_of


@dataclass(frozen=True)
class Joint:
    """One end of a tube: what it meets, and how.

    `turned_deg` says which line of the tube lies in the joint's obtuse corner. At both ends the
    lines are counted counter-clockwise, seen from the tube's end b looking to its end a, so that
    one number means one line of the tube. An oval `into` whose `section()` is not turned shows its
    width to the cut tube; turn it with `oval.section(90)`.

    Attributes
    ----------
    into : float, tube or `sections.Section`
        The tube that is met: its outside diameter in mm, the tube itself, or its outline.
    angle_deg : float
        Included angle between the axes, degrees, above 0 and below 180.
    offset : float
        How far the cut tube's axis passes the other, towards the joint's 90° line, mm.
    turned_deg : float
        Line of the cut tube that lies in the obtuse corner, degrees.
    set_back : float
        From the point where along is 0 to this joint's crossing of axes, mm, positive away from the
        joint (for `cluster`).

    Raises
    ------
    ValueError
        "The included angle must lie between 0° and 180°; …"

    Examples
    --------
    >>> Joint(36.0, 59.5).section.height(0.0)
    array(18.)
    >>> Joint(36.0, 0.0)
    Traceback (most recent call last):
    ValueError: The included angle must lie between 0° and 180°; got 0°. Measure it between the
    two axes.
    """

    into: Any
    angle_deg: float
    offset: float = 0.0
    turned_deg: float = 0.0
    set_back: float = 0.0

    def __post_init__(self) -> None:
        curve.included(self.angle_deg)
        number("offset", self.offset)
        number("turned_deg", self.turned_deg, "degrees")
        number("set_back", self.set_back)
        _ = self.section

    @cached_property
    def section(self) -> Section:
        """Outline of the tube that is met: x points to the cut tube, y to its 90° line."""
        return section_of(self.into, "into")

    @cached_property
    def crotch(self) -> float:
        """From the crossing to where the cut tube's own axis enters the other's surface, mm."""
        return float(
            self.section.height(self.offset) / np.sin(np.radians(self.angle_deg)) + self.set_back
        )

    def along(self, x: Any, y: Any, end: str = "a") -> Array:
        """Return where the tube's line through (x, y) meets the joined tube.

        Parameters
        ----------
        x, y : float or array
            Place in the tube's own section, mm: x towards its 0° line, y towards its 90° line.
        end : str
            End of the tube, "a" or "b".

        Returns
        -------
        array
            Distance along the tube, mm; nan where the line passes beside the joined tube.
        """
        turn, angle = np.radians(self.turned_deg), np.radians(self.angle_deg)
        hand = {"a": 1.0, "b": -1.0}[end]
        over = np.cos(turn) * x + np.sin(turn) * y
        across = hand * (np.cos(turn) * y - np.sin(turn) * x)
        height = self.section.height(across + self.offset)
        return np.asarray((height - over * np.cos(angle)) / np.sin(angle) + self.set_back)


@dataclass(frozen=True)
class Cut:
    """One cut end of a tube, line by line.

    Attributes
    ----------
    around_deg : array, (stations,)
        Lines of the tube, degrees.
    around : array, (stations,)
        Arc on the outside from line 0°, mm.
    along : array, (stations,)
        Where the outer edge ends, mm from the crossing of the axes.
    bore : array, (stations,)
        The inner edge on the same lines, square through the wall, mm; nan for a tube given by its
        outside alone.
    joint : Joint
        What the end is cut to fit.
    """

    around_deg: Array
    around: Array
    along: Array
    bore: Array
    joint: Joint

    @property
    def long_point(self) -> float:
        """Where the tube reaches farthest into the joint, counted as `along`, at the stations."""
        return float(self.along.min())

    @property
    def short_point(self) -> float:
        """Where the cut goes deepest into the tube, counted as `along`, at the stations, mm."""
        return float(self.along.max())

    @property
    def depth(self) -> float:
        """Depth of the cut along the tube, from long point to short point, mm."""
        return self.short_point - self.long_point

    @property
    def bore_touches(self) -> Any:
        """True on the lines where a square cut's bore edge touches first."""
        return self.bore > self.along

    @property
    def template(self) -> Array:
        """Where to cut square through the wall so that neither edge stands in the way, mm."""
        return np.fmax(self.along, self.bore)


def cut(tube: Any, joint: Joint, stations: int = 361, end: str = "a") -> Cut:
    """Return the cut end of a tube: its outer and its bore edge, and which of them touches.

    The lines are the tube's own; see `Joint`. Where the joined tube curves away under the wall, the
    bore's edge meets it first.

    Parameters
    ----------
    tube : float, tube or `sections.Section`
        Outside diameter in mm, or a tube with a wall (then the bore is worked out), or an outline.
    joint : Joint
        What the end is cut to fit.
    stations : int
        How many lines, from 0° to 360° inclusive, 2 or more.
    end : str
        End of the tube, "a" or "b".

    Returns
    -------
    Cut
        Both edges, in mm.

    Raises
    ------
    ValueError
        "The cut tube must lie within the width of the tube it meets; got a line at 90° that passes
        beside it. …"; "The end must be 'a' or 'b'; …"

    References
    ----------
    As `saddle`. Oval tubes follow the same equation, with the height of the joined tube's outline
    in place of √(R² − y²).

    Examples
    --------
    >>> one = cut(28.6, Joint(31.8, 60.0), stations=9)
    >>> round(one.depth, 4), round(float(one.along[0]), 4)
    (18.5892, 10.1036)
    >>> cut(38.1, Joint(28.6, 90.0))
    Traceback (most recent call last):
    ValueError: The cut tube must lie within the width of the tube it meets; got a line at 49°
    that passes beside it. Swap them, or make the offset smaller.
    """
    _check_end(end)
    around_deg = np.linspace(0.0, 360.0, curve.count(stations))
    outline = section_of(tube)
    x, y = outline.point(around_deg)
    along = joint.along(x, y, end)
    require(
        ~np.isnan(along),
        "The cut tube must lie within the width of the tube it meets; got a line at {line}° "
        "that passes beside it. Swap them, or make the offset smaller.",
        line=around_deg,
    )
    bore = joint.along(*_inside(tube, outline, around_deg, end), end)
    return Cut(around_deg, outline.arc(around_deg), along, bore, joint)


@dataclass(frozen=True)
class TwoEnded:
    """A tube that is cut at both ends.

    Attributes
    ----------
    tube : float, tube or `sections.Section`
        The tube, as it was given to `two_ended`.
    length : float
        From crossing to crossing of the axes, mm.
    a, b : Cut
        The two cut ends.
    """

    tube: Any
    length: float
    a: Cut
    b: Cut

    @property
    def lengths(self) -> Array:
        """Length of the finished tube along each of its lines, mm, at the cuts' stations."""
        return self.length - self.a.along - self.b.along

    @property
    def crotch_to_crotch(self) -> float:
        """Length on the tube's own axis between the two surfaces it meets, mm."""
        return self.length - self.a.joint.crotch - self.b.joint.crotch

    @property
    def finished(self) -> float:
        """Return the finished length, from long point to long point, at the stations.

        It is also the shortest piece of tube out of which both ends can be cut.

        Returns
        -------
        float
            Length along the tube, mm.
        """
        return self.length - self.a.long_point - self.b.long_point

    @property
    def phase_deg(self) -> float:
        """How far saddle b is turned against saddle a, degrees, 0 up to 360, seen as in `Joint`."""
        return (self.b.joint.turned_deg - self.a.joint.turned_deg) % 360.0

    def side(self, around_deg: Any) -> Any:
        """Return the length of the finished tube along one of its lines.

        Parameters
        ----------
        around_deg : float or array
            Line of the tube, degrees.

        Returns
        -------
        float or array
            Length, mm.
        """
        x, y = section_of(self.tube).point(number("line", around_deg, "degrees"))
        return self.length - self.a.joint.along(x, y, "a") - self.b.joint.along(x, y, "b")


def two_ended(
    tube: Any, length: float, end_a: Joint, end_b: Joint, stations: int = 361
) -> TwoEnded:
    """Return the tube with both saddles, in phase, from its centre-to-centre length.

    Lines of the tube are counted as in `Joint`, and `turned_deg` of each end names the line in that
    end's obtuse corner. A joint in the frame's plane and one square to it (head tube and shell)
    differ by 90. Head tube and seat tube have their obtuse corners on opposite sides, so they
    differ by 180.

    Parameters
    ----------
    tube : float, tube or `sections.Section`
        As for `cut`.
    length : float
        From crossing to crossing of the axes, mm, above 0.
    end_a, end_b : Joint
        What the two ends are cut to fit.
    stations : int
        How many lines, from 0° to 360° inclusive, 2 or more.

    Returns
    -------
    TwoEnded
        Both ends and the lengths between them, in mm.

    Raises
    ------
    ValueError
        "The joints must leave some tube between them; got -4 mm on the line at 180°. …", and the
        messages of `cut`.

    Examples
    --------
    >>> down = two_ended(31.8, 630.0, Joint(36.0, 60.0), Joint(40.0, 90.0, turned_deg=90.0))
    >>> round(down.crotch_to_crotch, 3), round(float(down.side(0.0)), 3), down.phase_deg
    (589.215, 606.263, 90.0)
    >>> two_ended(31.8, 30.0, Joint(36.0, 60.0), Joint(40.0, 90.0))
    Traceback (most recent call last):
    ValueError: The joints must leave some tube between them; got -19.96448 mm on the line at
    180°. Give the length from axis to axis.
    """
    length = positive("length", length)
    made = TwoEnded(tube, length, cut(tube, end_a, stations), cut(tube, end_b, stations, "b"))
    shortest = int(np.argmin(made.lengths))
    require(
        made.lengths[shortest] > 0,
        "The joints must leave some tube between them; got {left} mm on the line at {line}°. "
        "Give the length from axis to axis.",
        left=made.lengths[shortest],
        line=made.a.around_deg[shortest],
    )
    return made


@dataclass(frozen=True)
class Cluster:
    """An end that is cut to fit several tubes.

    Attributes
    ----------
    around_deg : array, (stations,)
        Lines of the tube, degrees.
    around : array, (stations,)
        Arc on the outside from line 0°, mm.
    along : array, (stations,)
        Where the outer edge ends, mm from where along is 0.
    touches : array of int, (stations,)
        Which joint each line ends on, counted from 0.
    """

    around_deg: Array
    around: Array
    along: Array
    touches: Any


def cluster(
    tube: Any, joints: list[Joint] | tuple[Joint, ...], stations: int = 361, end: str = "a"
) -> Cluster:
    """Return the cut of one tube that meets several at once: the outer envelope of their curves.

    Think of a down tube that meets the shell and, above it, the seat tube. Each line of the tube
    ends where it first meets one of them, so the largest distance rules. `set_back` of a joint
    moves its crossing along the tube.

    Parameters
    ----------
    tube : float, tube or `sections.Section`
        As for `cut`.
    joints : list of Joint
        One or more. A joint may be narrower than the tube, as long as another one catches the lines
        that pass beside it.
    stations : int
        How many lines, from 0° to 360° inclusive, 2 or more.
    end : str
        End of the tube, "a" or "b".

    Returns
    -------
    Cluster
        The outer edge, in mm, and the joint that each line ends on.

    Raises
    ------
    ValueError
        "The joints must catch every line of the tube; got a line at 45° that passes beside all of
        them. …"; "The cluster must have a joint; got none. Give one or more."

    Examples
    --------
    >>> both = cluster(31.8, [Joint(40.0, 90.0, turned_deg=90.0), Joint(28.6, 62.0)], stations=5)
    >>> [int(n) for n in both.touches], round(float(both.along[2]), 3)
    ([0, 0, 1, 0, 0], 24.65)
    >>> cluster(31.8, [])
    Traceback (most recent call last):
    ValueError: The cluster must have a joint; got none. Give one or more.
    """
    _check_end(end)
    if not joints:
        raise ValueError("The cluster must have a joint; got none. Give one or more.")
    around_deg = np.linspace(0.0, 360.0, curve.count(stations))
    outline = section_of(tube)
    x, y = outline.point(around_deg)
    curves = np.array([joint.along(x, y, end) for joint in joints])
    curves = np.where(np.isnan(curves), -np.inf, curves)
    along = curves.max(axis=0)
    require(
        np.isfinite(along),
        "The joints must catch every line of the tube; got a line at {line}° that passes "
        "beside all of them. Add the tube it meets there, or make an offset smaller.",
        line=around_deg,
    )
    return Cluster(around_deg, outline.arc(around_deg), along, curves.argmax(axis=0))


def _check_end(end: str) -> None:
    if end not in ("a", "b"):
        raise ValueError(f"The end must be 'a' or 'b'; got {end!r}. Name one of the two.")


def _inside(tube: Any, outline: Section, around_deg: Array, end: str) -> tuple[Array, Array]:
    """(x, y) of the bore's edge: from the outside, square through the wall; nan without a wall."""
    x, y = outline.point(around_deg)
    wall = getattr(tube, "wall", np.nan)
    if hasattr(tube, "wall_at"):
        wall = tube.wall_at(0.0 if end == "a" else tube.length)
    nx, ny = outline.normal(around_deg)
    return x - wall * nx, y - wall * ny
