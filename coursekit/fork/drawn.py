"""A fork from the numbers of the frame drawing and its parts, or those numbers from the parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.fork.bend import BladeLine, bend_to
from coursekit.fork.parts import Crown, Dropout
from coursekit.rules import not_negative, positive, require
from coursekit.scalars import bare

Place = tuple[Any, Any, Any]


@dataclass(frozen=True)
class Fork:
    """A fork, its two blades alike. Make it with `raked`, `straight` or `built`.

    Attributes
    ----------
    crown : Crown
        Where the blades begin.
    bend : BladeLine
        How each blade runs.
    dropout : Dropout
        From the tips to the axle.
    splay_deg : float or array
        How far each blade leans out, degrees from the fork's middle plane, positive where the
        blades are wider apart at the axle.
    """

    crown: Crown
    bend: BladeLine
    dropout: Dropout
    splay_deg: Any

    @property
    def blade_length(self) -> Any:
        """Length to cut each blade to, along its axis, before it is bent, mm."""
        return self.bend.length

    @property
    def tip_deg(self) -> Any:
        """Lean of the blade's tip from the steering axis, degrees in the blade's plane."""
        return bare(np.add(self.crown.angle_deg, self.bend.angle_deg))

    @property
    def fork_offset(self) -> Any:
        """From the steering axis forward to the axle, square to the axis, mm."""
        return self.points["axle"][0]

    @property
    def axle_drop(self) -> Any:
        """From the crown race seat down the steering axis to the axle's level, mm."""
        return self.points["axle"][1]

    @property
    def fork_length(self) -> Any:
        """From the crown race seat straight to the axle, mm."""
        ahead, down, _ = self.points["axle"]
        return bare(np.hypot(ahead, down))

    @property
    def points(self) -> Mapping[str, Place]:
        """Points of the drive side, each (ahead, down, side), mm, from the crown race seat.

        Returns
        -------
        dict of str to tuple
            socket (the blade's upper end), arc_start, arc_end, tip and axle, which lies in the
            middle of the dropout's plate. On the other side `side` has its other sign.
        """
        bend = self.bend
        along = {"socket": 0.0, "arc_start": bend.start, "arc_end": bend.start + bend.arc}
        made = {name: self.place(s) for name, s in along.items()}
        made["tip"] = self.place(bend.length)
        turn = np.radians(bend.angle_deg)
        down = bend.drop + self.dropout.reach * np.cos(turn) - self.dropout.ahead * np.sin(turn)
        ahead = bend.offset + self.dropout.reach * np.sin(turn) + self.dropout.ahead * np.cos(turn)
        made["axle"] = self._out(down, ahead)
        return made

    def place(self, along: ArrayLike) -> Place:
        """Return where a place on the axis of the drive-side blade lies.

        Parameters
        ----------
        along : float or array
            From the blade's upper end along its axis, mm, 0 to `blade_length`.

        Returns
        -------
        ahead, down, side : float or array
            mm: ahead of the steering axis, down it from the crown race seat, and to the drive side.

        Raises
        ------
        ValueError
            "The place must lie on the blade; got 500 mm of 380 mm. …"
        """
        down, ahead, _ = self.bend.at(along)
        return self._out(down, ahead)

    def _out(self, down: Any, ahead: Any) -> Place:
        """From down and ahead of the blade's upper line to the fork's own directions."""
        lean, splay = np.radians(self.crown.angle_deg), np.radians(self.splay_deg)
        forward = down * np.sin(lean) + ahead * np.cos(lean)
        run = down * np.cos(lean) - ahead * np.sin(lean)
        place = (
            self.crown.ahead + forward,
            self.crown.below + run * np.cos(splay),
            np.asarray(self.crown.spread) / 2 + run * np.sin(splay),
        )
        ahead_of, below, aside = (bare(v) for v in place)
        return ahead_of, below, aside


def raked(
    fork_length: ArrayLike,
    fork_offset: ArrayLike,
    crown: Crown,
    dropout: Dropout,
    *,
    radius: ArrayLike | None = None,
    start: ArrayLike | None = None,
    tail: ArrayLike | None = None,
) -> Fork:
    """Return the fork with bent blades whose axle is where the frame drawing wants it.

    Two of radius, start and tail say how each blade is bent; see `bend_to`.

    Parameters
    ----------
    fork_length : float or array
        Axle to crown race seat, straight, mm, as `frame.draw` takes it.
    fork_offset : float or array
        Axle to steering axis, square to the axis, mm.
    crown : Crown
        Where the blades begin.
    dropout : Dropout
        From the tips to the axle.
    radius : float or array, optional
        Of the arc, to the blade's axis, mm.
    start : float or array, optional
        Straight from the blade's upper end to the arc, mm.
    tail : float or array, optional
        Straight from the arc to the tip, mm.

    Returns
    -------
    Fork
        Its `blade_length` is what to cut.

    Raises
    ------
    ValueError
        "The fork must be longer than its offset; got …"; "The axle must lie below the blades'
        upper ends; got …", and the messages of `bend_to`.

    Examples
    --------
    >>> crown, ends = Crown(below=20.0, spread=62.0), Dropout(22.0, spacing=100.0, thickness=6.0)
    >>> one = raked(380.0, 45.0, crown, ends, radius=200.0, tail=15.0)
    >>> round(one.blade_length, 2), round(one.bend.angle_deg, 2), round(one.splay_deg, 2)
    (345.58, 29.87, 3.52)
    >>> round(one.fork_length, 9), round(one.fork_offset, 9)
    (380.0, 45.0)
    >>> raked(40.0, 45.0, crown, ends, radius=200.0, tail=15.0)
    Traceback (most recent call last):
    ValueError: The fork must be longer than its offset; got a length of 40 mm and an offset of 45
    mm. Check both numbers.
    """
    forward, run, splay_deg = _wanted(fork_length, fork_offset, crown, dropout)
    lean = np.radians(crown.angle_deg)
    bend = bend_to(
        run * np.cos(lean) + forward * np.sin(lean),
        forward * np.cos(lean) - run * np.sin(lean),
        radius=radius,
        start=start,
        tail=tail,
        reach=dropout.reach,
        beside=dropout.ahead,
    )
    return Fork(crown, bend, dropout, splay_deg)


def straight(
    fork_length: ArrayLike, fork_offset: ArrayLike, crown: Crown, dropout: Dropout
) -> Fork:
    """Return the fork with straight blades, and how far its sockets must lean for the offset.

    Parameters
    ----------
    fork_length : float or array
        Axle to crown race seat, straight, mm.
    fork_offset : float or array
        Axle to steering axis, square to the axis, mm.
    crown : Crown
        Where the blades begin; its own angle does not count, because it is what is looked for.
    dropout : Dropout
        From the tips to the axle.

    Returns
    -------
    Fork
        Its `crown.angle_deg` is the lean of the sockets.

    Raises
    ------
    ValueError
        "The fork must be longer than its offset; got …"; "The dropouts must leave some blade; got
        …"; "The sockets must lean by less than 45°; got …"

    Examples
    --------
    >>> crown, ends = Crown(below=20.0, spread=62.0), Dropout(22.0, spacing=100.0, thickness=6.0)
    >>> one = straight(380.0, 45.0, crown, ends)
    >>> round(one.crown.angle_deg, 3), round(one.blade_length, 3)
    (7.164, 338.82)
    >>> straight(380.0, 45.0, crown, Dropout(400.0, 100.0, 6.0))
    Traceback (most recent call last):
    ValueError: The dropouts must leave some blade; got a reach of 400 mm where 360.8 mm is all
    there is. Check the reach.
    """
    forward, run, splay_deg = _wanted(fork_length, fork_offset, crown, dropout)
    whole = np.sqrt(np.maximum(forward**2 + run**2 - np.square(dropout.ahead), 0.0))
    left = whole - dropout.reach
    require(
        left > 0,
        "The dropouts must leave some blade; got a reach of {reach} mm where {whole} mm is all "
        "there is. Check the reach.",
        reach=dropout.reach,
        whole=np.round(whole, 1),
    )
    lean = np.arctan2(forward, run) - np.arctan2(dropout.ahead, whole)
    turned = replace(crown, angle_deg=bare(np.degrees(lean)))
    return Fork(turned, BladeLine(bare(left), 1.0, 0.0, 0.0), dropout, splay_deg)


def built(crown: Crown, bend: BladeLine, dropout: Dropout) -> Fork:
    """Return the fork that these parts make; read its `fork_length` and `fork_offset`.

    Parameters
    ----------
    crown : Crown
        Where the blades begin.
    bend : BladeLine
        How each blade runs; for straight blades the angle is 0.
    dropout : Dropout
        From the tips to the axle.

    Returns
    -------
    Fork
        The fork.

    Raises
    ------
    ValueError
        "The blades must be long enough to reach from the crown's width to the axle's; got …"

    Examples
    --------
    >>> crown, ends = Crown(below=20.0, spread=62.0), Dropout(22.0, spacing=100.0, thickness=6.0)
    >>> one = built(crown, BladeLine(250.0, 200.0, 30.0, 0.0), ends)
    >>> round(one.fork_length, 2), round(one.fork_offset, 2)
    (390.23, 37.79)
    >>> built(crown, BladeLine(1.0, 10.0, 0.0, 0.0), Dropout(0.0, 100.0, 6.0))
    Traceback (most recent call last):
    ValueError: The blades must be long enough to reach from the crown's width to the axle's; got 1
    mm of blade for 22 mm sideways. Check the lengths and the widths.
    """
    flat = Fork(crown, bend, dropout, 0.0)
    run = np.asarray(flat.axle_drop) - crown.below
    out = np.subtract(dropout.apart, crown.spread) / 2
    require(
        np.abs(out) < run,
        "The blades must be long enough to reach from the crown's width to the axle's; got {run} "
        "mm of blade for {out} mm sideways. Check the lengths and the widths.",
        run=run,
        out=out,
    )
    return replace(flat, splay_deg=bare(np.degrees(np.arcsin(out / run))))


def _wanted(
    fork_length: ArrayLike, fork_offset: ArrayLike, crown: Crown, dropout: Dropout
) -> tuple[Any, Any, Any]:
    """Axle ahead of the sockets, its way down in the blade's plane, and the splay in degrees."""
    length = np.asarray(positive("fork length", fork_length), dtype=float)
    offset = np.asarray(not_negative("fork offset", fork_offset), dtype=float)
    require(
        offset < length,
        "The fork must be longer than its offset; got a length of {length} mm and an offset of "
        "{offset} mm. Check both numbers.",
        length=length,
        offset=offset,
    )
    drop = np.sqrt((length - offset) * (length + offset)) - crown.below
    require(
        drop > 0,
        "The axle must lie below the blades' upper ends; got {drop} mm below them. Check the "
        "fork's length and the crown.",
        drop=drop,
    )
    out = np.subtract(dropout.apart, crown.spread) / 2
    splay_deg = bare(np.degrees(np.arctan2(out, drop)))
    return offset - crown.ahead, np.hypot(drop, out), splay_deg
