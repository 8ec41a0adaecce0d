"""Seatstays, in the ways in which they meet the seat tube. See `rear`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from coursekit.rear.dropouts import RearEnd
from coursekit.rear.rooms import MIDDLE
from coursekit.rear.solving import for_room
from coursekit.rules import not_negative, number, positive, require
from coursekit.sections import Array
from coursekit.stays import (
    REAR,
    Bend,
    Body,
    CapSize,
    CutStay,
    Stay,
    Taper,
    between,
    cap_size,
    capped,
    cut_end,
    rod,
)


@dataclass(frozen=True, eq=False)
class Seatstays:
    """A pair of seatstays as it is cut.

    Attributes
    ----------
    way : str
        How they meet the seat tube: "tacked to the flank", "into the seat tube", "against each
        other" or "into a mono-tube".
    right : CutStay
        The right one; the left one is its mirror image. Its end b is square, for the dropout.
    cap : CapSize, optional
        Size of the caps, where there are any.
    mono : CutStay, optional
        The mono-tube, where there is one. Its end a is cut to fit the seat tube, its end b square.
    """

    way: str
    right: CutStay
    cap: CapSize | None = None
    mono: CutStay | None = None


def tacked(
    seat_tube: Stay,
    below_top: float,
    end: RearEnd,
    taper: Taper,
    cap_deg: float,
    toward_deg: float = 270.0,
    bends: Sequence[Bend] = (),
) -> Seatstays:
    """Return seatstays tacked to the flanks of the seat tube, their upper ends cut off and capped.

    Each stay just touches the seat tube. It lies straight beside the tube's axis in side view, and
    how far out it starts is found by root finding.

    Parameters
    ----------
    seat_tube : Stay
        From the bottom bracket to its top, in the frame's plane.
    below_top : float
        From the seat tube's top down its axis to the caps' highest places, mm, 0 or more.
    end : RearEnd
        Where the stays end.
    taper : Taper
        How thick a stay is, from its upper end on.
    cap_deg : float
        Between the cap and the stay's axis, degrees: 90 is square.
    toward_deg : float
        Line of the right stay on which the cap's long point lies, degrees: 270 at the seat tube,
        so that the caps look outward.
    bends : sequence of Bend
        In their order; toward 90° the right stay bends outward.

    Returns
    -------
    Seatstays
        With the size of the caps; of an oval stay the cap is no ellipse of that size, and `cap` is
        None.

    Raises
    ------
    ValueError
        "The stays must begin on the seat tube; got 600 mm below the top of 560 mm. …", and the
        messages of `capped` and `between`.

    Examples
    --------
    >>> from coursekit.rear import Dropout, Tab
    >>> plate = Dropout(6.0, Tab(32.0, -9.5, 12.0), Tab(28.0, 62.0, 10.0))
    >>> end = RearEnd((-419.2, 70.0), plate, 130.0)
    >>> taper = Taper((100.0, 480.0), (16.0, 12.0))
    >>> seat = rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 28.6, REAR)
    >>> pair = tacked(seat, 40.0, end, taper, 30.0)
    >>> round(pair.right.finished, 1), round(pair.cap.long, 2), round(pair.cap.short, 2)
    (488.1, 32.0, 16.0)
    >>> tacked(seat, 600.0, end, taper, 30.0)
    Traceback (most recent call last):
    ValueError: The stays must begin on the seat tube; got 600 mm below the top of 559.9624 mm.
    Count from its top.
    """
    at = _on_axis(seat_tube, below_top)
    size = float(np.max(taper.sizes(0.0))) + float(np.max(seat_tube.taper.sizes(0.0)))

    def make(out: float) -> Stay:
        return _right(at + np.array([0.0, 0.0, out]), end, taper, bends)

    stay = for_room(make, seat_tube, 0.0, 0.25 * size, size).stay
    cut = CutStay(stay, capped(stay, cap_deg, toward_deg), cut_end(stay, None, "b"))
    return Seatstays("tacked to the flank", cut, _cap(stay, cap_deg))


def _cap(stay: Stay, cap_deg: float) -> CapSize | None:
    width, depth = (float(v) for v in stay.taper.sizes(0.0))
    growth = float(stay.taper.slopes(0.0)[0])
    if width != depth:
        return None
    middle = width + growth * width / 2 / np.tan(np.radians(cap_deg))
    return cap_size(middle, cap_deg, growth)


def into_seat_tube(
    seat_tube: Stay,
    below_top: float,
    end: RearEnd,
    taper: Taper,
    apart: float,
    bends: Sequence[Bend] = (),
) -> Seatstays:
    """Return seatstays that are mitered into the seat tube from behind, each beside its middle.

    Parameters
    ----------
    seat_tube : Stay
        From the bottom bracket to its top, in the frame's plane.
    below_top : float
        From the seat tube's top down its axis to where the centre lines begin, mm, 0 or more.
    end : RearEnd
        Where the stays end.
    taper : Taper
        How thick a stay is, from its upper end on.
    apart : float
        Between the two centre lines there, mm: at least as much as a stay is wide, or they must be
        mitered against each other as well.
    bends : sequence of Bend
        In their order; toward 90° the right stay bends outward.

    Returns
    -------
    Seatstays
        The pair.

    Raises
    ------
    ValueError
        "The two stays must lie beside each other; got 12 mm apart for 14 mm of stay. …", and the
        messages of `cut_end`.

    Examples
    --------
    >>> from coursekit.rear import Dropout, Tab
    >>> plate = Dropout(6.0, Tab(32.0, -9.5, 12.0), Tab(28.0, 62.0, 10.0))
    >>> end = RearEnd((-419.2, 70.0), plate, 130.0)
    >>> taper = Taper((100.0, 480.0), (12.7, 11.0))
    >>> seat = rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 28.6, REAR)
    >>> pair = into_seat_tube(seat, 40.0, end, taper, 14.0)
    >>> round(pair.right.finished, 1), round(pair.right.a.depth, 1)
    (485.0, 16.6)
    >>> into_seat_tube(seat, 40.0, end, taper, 12.0)
    Traceback (most recent call last):
    ValueError: The two stays must lie beside each other; got 12 mm apart for 12.7 mm of stay. Set
    them farther apart, or miter them against each other.
    """
    width = float(taper.half_toward(0.0, 90.0)) * 2
    number("distance apart", apart)
    require(
        apart >= width,
        "The two stays must lie beside each other; got {apart} mm apart for {width} mm of stay. "
        "Set them farther apart, or miter them against each other.",
        apart=apart,
        width=width,
    )
    start = _on_axis(seat_tube, below_top) + np.array([0.0, 0.0, apart / 2])
    stay = _right(start, end, taper, bends)
    return Seatstays("into the seat tube", _cut(stay, {"seat_tube": seat_tube}))


def against_each_other(
    seat_tube: Stay,
    below_top: float,
    end: RearEnd,
    taper: Taper,
    apart: float,
    bends: Sequence[Bend] = (),
) -> Seatstays:
    """Return seatstays that are mitered into the seat tube and, in the middle, against each other.

    Both are cut alike, so they meet in the frame's plane.

    Parameters
    ----------
    seat_tube : Stay
        From the bottom bracket to its top, in the frame's plane.
    below_top : float
        From the seat tube's top down its axis to where the centre lines begin, mm, 0 or more.
    end : RearEnd
        Where the stays end.
    taper : Taper
        How thick a stay is, from its upper end on.
    apart : float
        Between the two centre lines there, mm, 0 or more.
    bends : sequence of Bend
        In their order; toward 90° the right stay bends outward.

    Returns
    -------
    Seatstays
        The pair; each line of a stay ends on the seat tube or on the middle, whichever comes first.

    Raises
    ------
    ValueError
        "The distance apart must be 0 or more; …", and the messages of `cut_end`.

    Examples
    --------
    >>> from coursekit.rear import Dropout, Tab
    >>> plate = Dropout(6.0, Tab(32.0, -9.5, 12.0), Tab(28.0, 62.0, 10.0))
    >>> end = RearEnd((-419.2, 70.0), plate, 130.0)
    >>> taper = Taper((100.0, 480.0), (14.0, 12.0))
    >>> seat = rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 28.6, REAR)
    >>> pair = against_each_other(seat, 40.0, end, taper, 6.0)
    >>> pair.right.a.meets, round(pair.right.a.depth, 1)
    (('seat_tube', 'middle'), 19.0)
    >>> against_each_other(seat, 40.0, end, taper, -6.0)
    Traceback (most recent call last):
    ValueError: The distance apart must be 0 or more; got -6 mm. Check the sign.
    """
    not_negative("distance apart", apart)
    start = _on_axis(seat_tube, below_top) + np.array([0.0, 0.0, apart / 2])
    stay = _right(start, end, taper, bends)
    into: dict[str, Body] = {"seat_tube": seat_tube, "middle": MIDDLE}
    return Seatstays("against each other", _cut(stay, into))


def into_mono_tube(
    seat_tube: Stay,
    below_top: float,
    end: RearEnd,
    taper: Taper,
    diameter: float,
    join: float,
    length: float,
    bends: Sequence[Bend] = (),
) -> Seatstays:
    """Return seatstays that both go into one mono-tube, which is mitered into the seat tube.

    The mono-tube lies in the frame's plane and points from the seat tube to the rear axle. The
    stays' centre lines begin on its axis; they are cut to fit it and, below it, each other.

    Parameters
    ----------
    seat_tube : Stay
        From the bottom bracket to its top, in the frame's plane.
    below_top : float
        From the seat tube's top down its axis to where the mono-tube's axis meets it, mm.
    end : RearEnd
        Where the stays end.
    taper : Taper
        How thick a stay is, from its upper end on.
    diameter : float
        Of the mono-tube, mm, above 0.
    join : float
        From there along the mono-tube's axis to where the stays' centre lines begin, mm, above 0.
    length : float
        From there along its axis to the mono-tube's lower end, which is square, mm: more than
        `join`.
    bends : sequence of Bend
        In their order; toward 90° the right stay bends outward.

    Returns
    -------
    Seatstays
        The pair and the mono-tube.

    Raises
    ------
    ValueError
        "The mono-tube must reach past the place where the stays join it; got 80 mm for 90 mm. …",
        and the messages of `cut_end`.

    Examples
    --------
    >>> from coursekit.rear import Dropout, Tab
    >>> plate = Dropout(6.0, Tab(32.0, -9.5, 12.0), Tab(28.0, 62.0, 10.0))
    >>> end = RearEnd((-419.2, 70.0), plate, 130.0)
    >>> taper = Taper((100.0, 480.0), (14.0, 12.0))
    >>> seat = rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 28.6, REAR)
    >>> pair = into_mono_tube(seat, 40.0, end, taper, 25.4, 70.0, 130.0)
    >>> round(pair.mono.finished, 1), pair.mono.a.meets, pair.right.a.meets
    (123.4, ('seat_tube',), ('mono_tube', 'middle'))
    >>> into_mono_tube(seat, 40.0, end, taper, 25.4, 90.0, 80.0)
    Traceback (most recent call last):
    ValueError: The mono-tube must reach past the place where the stays join it; got 80 mm for
    90 mm. Make it longer.
    """
    positive("way to the join", join)
    number("mono-tube's length", length)
    require(
        length > join,
        "The mono-tube must reach past the place where the stays join it; got {length} mm for "
        "{join} mm. Make it longer.",
        length=length,
        join=join,
    )
    top = _on_axis(seat_tube, below_top)
    way = np.array([*end.axle, 0.0]) - top
    way = way / np.linalg.norm(way)
    mono = rod("mono_tube", top, top + length * way, positive("mono-tube", diameter), REAR)
    stay = _right(top + join * way, end, taper, bends)
    into: dict[str, Body] = {"mono_tube": mono, "middle": MIDDLE}
    cut = _cut(mono, {"seat_tube": seat_tube})
    return Seatstays("into a mono-tube", _cut(stay, into), mono=cut)


def _right(start: Array, end: RearEnd, taper: Taper, bends: Sequence[Bend]) -> Stay:
    """The right stay from a place at the seat tube to the dropout; line 0° is its rear."""
    return between("right_seatstay", start, end.stay_end("seatstay"), taper, bends, REAR)


def _cut(stay: Stay, into: Mapping[str, Body]) -> CutStay:
    """A tube whose upper end is cut to fit, and whose lower end is square."""
    return CutStay(stay, cut_end(stay, into), cut_end(stay, None, "b"))


def _on_axis(seat_tube: Stay, below_top: float) -> Array:
    below = not_negative("way below the seat tube's top", below_top)
    require(
        below < seat_tube.length,
        "The stays must begin on the seat tube; got {below} mm below the top of {length} mm. Count "
        "from its top.",
        below=below,
        length=seat_tube.length,
    )
    return seat_tube.line.at(seat_tube.length - below).point
