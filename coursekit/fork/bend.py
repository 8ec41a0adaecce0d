"""The axis of one blade in its own plane: straight from the crown, an arc, straight to the tip.

The picture: the blade hangs from its upper end. *Down* counts along the line of the blade's
straight upper part, and *ahead* counts square to it, positive to the front. Places along the blade
count from the upper end along the axis, which keeps its length when the blade is bent.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.stays import Bend
from coursekit.stays.bends import arc

SLACK = 1e-9  # mm and radians by which a solved value may miss 0 and still count as 0


@dataclass(frozen=True)
class BladeLine:
    """How a blade runs in its plane.

    Attributes
    ----------
    start : float or array
        Straight from the upper end to where the arc begins, mm, 0 or more.
    radius : float or array
        Of the arc, to the blade's axis, mm, above 0; where the angle is 0 it says nothing.
    angle_deg : float or array
        How far the arc turns the blade to the front, degrees, 0 or more and below 90.
    tail : float or array
        Straight from the arc to the tip, mm, 0 or more.

    Raises
    ------
    ValueError
        "The bend must turn the blade by 0° or more and less than 90°; got 120°. …"

    Examples
    --------
    >>> one = BladeLine(250.0, 200.0, 30.0, 20.0)
    >>> round(one.offset, 4), round(one.drop, 4), round(one.length, 4)
    (36.7949, 367.3205, 374.7198)
    >>> BladeLine(250.0, 200.0, 120.0, 20.0)
    Traceback (most recent call last):
    ValueError: The bend must turn the blade by 0° or more and less than 90°; got 120°. Give the
    angle between its two straight ends.
    """

    start: Any
    radius: Any
    angle_deg: Any
    tail: Any

    def __post_init__(self) -> None:
        not_negative("straight before the bend", self.start)
        positive("radius of the bend", self.radius)
        not_negative("straight after the bend", self.tail)
        angle = np.asarray(number("angle of the bend", self.angle_deg, "degrees"))
        require(
            (angle >= 0) & (angle < 90),
            "The bend must turn the blade by 0° or more and less than 90°; got {angle}°. Give the "
            "angle between its two straight ends.",
            angle=angle,
        )

    @property
    def arc(self) -> Any:
        """Length of the arc along the axis, mm: radius · angle in radians."""
        return np.multiply(self.radius, np.radians(self.angle_deg))

    @property
    def length(self) -> Any:
        """Length to cut, along the axis, mm: both straights and the arc."""
        return bare(np.asarray(self.start) + self.arc + self.tail)

    @property
    def offset(self) -> Any:
        """How far the bend brings the tip ahead, mm: R·(1 − cos β) + tail · sin β."""
        return bare(self.at(self.length)[1])

    @property
    def drop(self) -> Any:
        """How far down the tip lies, mm: start + R·sin β + tail · cos β."""
        return bare(self.at(self.length)[0])

    def marked(self, toward_deg: float = 180.0) -> tuple[Bend, ...]:
        """Return the arc as it is marked on the straight blade, for `stays.CentreLine`.

        Parameters
        ----------
        toward_deg : float
            The line of the tube on the inside of the bend, degrees: 180 is the front.

        Returns
        -------
        tuple of stays.Bend
            One bend, of one blade and not a batch; none where the blade is straight.

        Examples
        --------
        >>> BladeLine(250.0, 200.0, 30.0, 20.0).marked()
        (Bend(at=250.0, radius=200.0, angle_deg=30.0, toward_deg=180.0),)
        >>> BladeLine(380.0, 1.0, 0.0, 0.0).marked()
        ()
        """
        if not self.angle_deg:
            return ()
        return (Bend(float(self.start), float(self.radius), float(self.angle_deg), toward_deg),)

    def at(self, along: ArrayLike) -> tuple[Any, Any, Any]:
        """Return where a place of the blade lies, and how the blade runs there.

        Parameters
        ----------
        along : float or array
            From the upper end along the axis, mm, 0 to `length`.

        Returns
        -------
        down, ahead : float or array
            mm.
        slope_deg : float or array
            From the line of the upper part, degrees, positive to the front.

        Raises
        ------
        ValueError
            "The place must lie on the blade; got 500 mm of 380 mm. …"
        """
        s, end = np.asarray(number("place", along), dtype=float), np.asarray(self.length)
        require(
            (s >= 0) & (s <= end + SLACK),
            "The place must lie on the blade; got {s} mm of {end} mm. Measure from its upper end.",
            s=s,
            end=end,
        )
        bent = np.clip(s - self.start, 0.0, self.arc)
        beyond = np.maximum(s - self.start - self.arc, 0.0)
        forth, aside, turn = arc(bent, 1 / np.asarray(self.radius))
        down = np.minimum(s, self.start) + forth + beyond * np.cos(turn)
        ahead = aside + beyond * np.sin(turn)
        return bare(down), bare(ahead), bare(np.degrees(turn))


def bend_to(
    drop: ArrayLike,
    offset: ArrayLike,
    *,
    radius: ArrayLike | None = None,
    start: ArrayLike | None = None,
    tail: ArrayLike | None = None,
    reach: ArrayLike = 0.0,
    beside: ArrayLike = 0.0,
) -> BladeLine:
    """Return the bend that brings the axle to a place, from two of radius, start and tail.

    The axle lies `reach` beyond the tip on the tip's own line, and `beside` ahead of that line.
    With both 0 it is the tip itself that comes to the place. Each of the three cases is solved in
    closed form, from the two sums

        drop = start + R·sin β + (tail + reach)·cos β − beside·sin β
        offset = R·(1 − cos β) + (tail + reach)·sin β + beside·cos β

    Parameters
    ----------
    drop, offset : float or array
        Where the axle must lie, down the line of the blade's upper part and ahead of it, mm.
    radius : float or array, optional
        Of the arc, to the axis, mm, above 0.
    start : float or array, optional
        Straight from the upper end to the arc, mm, 0 or more.
    tail : float or array, optional
        Straight from the arc to the tip, mm, 0 or more.
    reach : float or array
        From the tip to the axle along the tip's line, mm, 0 or more.
    beside : float or array
        How far the axle lies ahead of the tip's line, mm.

    Returns
    -------
    BladeLine
        The blade; its `length` is what to cut.

    Raises
    ------
    ValueError
        "The bend must be given by two of radius, start and tail; got radius. …"; "The blade must
        be able to reach the axle; …"; "The straight before the bend must be 0 or more; got -12 mm.
        …"

    References
    ----------
    Derived from the two sums above.

    Examples
    --------
    An arc of 200 mm that reaches to the tip, for 45 mm: cos β = 155/200, so β is 39.19°.

    >>> one = bend_to(370.0, 45.0, radius=200.0, tail=0.0)
    >>> round(one.angle_deg, 2), round(one.start, 2), round(one.length, 2)
    (39.19, 243.61, 380.42)
    >>> bend_to(370.0, 45.0, radius=200.0)
    Traceback (most recent call last):
    ValueError: The bend must be given by two of radius, start and tail; got radius. Give two of
    them; the third follows.
    """
    known = {"radius": radius, "start": start, "tail": tail}
    given = [name for name, value in known.items() if value is not None]
    if len(given) != 2:
        raise ValueError(
            "The bend must be given by two of radius, start and tail; got "
            f"{' and '.join(given) or 'none'}. Give two of them; the third follows."
        )
    down = np.asarray(positive("drop to the axle", drop), dtype=float)
    ahead = np.asarray(number("offset of the axle", offset), dtype=float)
    far = np.asarray(not_negative("reach of the dropout", reach), dtype=float)
    side = np.asarray(number("axle's distance from the tip's line", beside), dtype=float)
    require(
        ahead >= side,
        "The axle must lie as far ahead as the dropout alone brings it; got {ahead} mm against "
        "{side} mm. Take another dropout, or a crown whose sockets lean back.",
        ahead=ahead,
        side=side,
    )
    if start is None:
        assert radius is not None
        assert tail is not None
        return _start(down, ahead, positive("radius of the bend", radius), tail, far, side)
    if tail is None:
        assert radius is not None
        return _tail(down, ahead, positive("radius of the bend", radius), start, far, side)
    return _radius(down, ahead, start, tail, far, side)


def _start(down: Any, ahead: Any, radius: Any, tail: Any, far: Any, side: Any) -> BladeLine:
    """Where the arc begins, from its radius and the tail."""
    end = np.asarray(not_negative("straight after the bend", tail)) + far
    long = np.hypot(end, radius - side)
    share = (ahead - radius) / long
    _reach(np.abs(share) <= 1, ahead)
    turn = np.arctan2(radius - side, end) + np.arcsin(share)
    start = down - (radius - side) * np.sin(turn) - end * np.cos(turn)
    return _made(start, radius, turn, tail)


def _tail(down: Any, ahead: Any, radius: Any, start: Any, far: Any, side: Any) -> BladeLine:
    """The straight after the arc, from where the arc begins and its radius."""
    rest = down - not_negative("straight before the bend", start)
    _reach(rest > 0, ahead)
    long = np.hypot(rest, radius - ahead)
    share = (radius - side) / long
    _reach(np.abs(share) <= 1, ahead)
    turn = np.arctan2(rest, radius - ahead) - np.arccos(share)
    end = rest * np.cos(turn) + (ahead - radius) * np.sin(turn)
    return _made(start, radius, turn, end - far)


def _radius(down: Any, ahead: Any, start: Any, tail: Any, far: Any, side: Any) -> BladeLine:
    """The radius, from both straights: half the angle has the tangent offset over length."""
    end = np.asarray(not_negative("straight after the bend", tail)) + far
    rest = down - not_negative("straight before the bend", start)
    _reach((rest > 0) & (ahead > side), ahead)
    turn = 2 * np.arctan2(ahead - side, rest + end)
    radius = (rest - end * np.cos(turn)) / np.sin(turn) + side
    _reach(radius > 0, ahead)
    return _made(start, radius, turn, tail)


def _reach(ok: Any, ahead: Any) -> None:
    require(
        ok,
        "The blade must be able to reach the axle; got none that brings it {ahead} mm ahead with "
        "this bend. Change the radius or a straight.",
        ahead=ahead,
    )


def _made(start: Any, radius: Any, turn: Any, tail: Any) -> BladeLine:
    """The bend, with what is 0 but for rounding set to 0."""
    start, turn, tail = (np.where(np.abs(v) < SLACK, 0.0, v) for v in (start, turn, tail))
    return BladeLine(bare(start), bare(radius), bare(np.degrees(turn)), bare(tail))
