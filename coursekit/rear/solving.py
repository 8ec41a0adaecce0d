"""The number of a stay that gives the room that is wanted. See `rear`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coursekit.rear.rooms import room
from coursekit.rules import number, require
from coursekit.stays import Body, Stay

STEPS = 100
CLOSE = 1e-9  # mm


@dataclass(frozen=True, eq=False)
class Solved:
    """A stay that gives the room that was wanted.

    Attributes
    ----------
    value : float
        The number that was looked for: an angle, a distance, a place.
    stay : Stay
        The stay made with it.
    room : float
        The room it gives, mm.
    """

    value: float
    stay: Stay
    room: float


def for_room(
    make: Callable[[float], Stay], body: Body, wanted: float, low: float, high: float
) -> Solved:
    """Return the stay whose least distance from a body is as wanted.

    One number of the stay is free: the angle of a bend, its place, how far the stays are apart at
    the shell. The two ends of its range must give rooms on both sides of the one that is wanted;
    in between the range is halved, or cut where a straight line through both ends would meet it.

    Parameters
    ----------
    make : callable
        From the free number to the stay.
    body : Body
        What must clear.
    wanted : float
        The room, mm.
    low, high : float
        Range of the free number.

    Returns
    -------
    Solved
        The number and the stay, with the room right to 1e-6 mm.

    Raises
    ------
    ValueError
        "The wanted room must lie between what the two ends of the range give; got 60 mm, from 0.5
        mm to 5.3 mm. …"

    Examples
    --------
    >>> from coursekit.rear import Tyre
    >>> from coursekit.stays import Taper, between, s_bend
    >>> def swung(angle_deg):
    ...     bends, taper = s_bend(15.0, 100.0, angle_deg, straight=10.0), Taper((0.0,), (18.0,))
    ...     return between("right_chainstay", (0, 0, 20), (-420, 0, 66), taper, bends)
    >>> found = for_room(swung, Tyre((-420.0, 0.0), 340.0, 50.0), 6.0, 0.5, 20.0)
    >>> round(found.value, 3), round(found.room, 6)
    (16.841, 6.0)
    >>> for_room(swung, Tyre((-420.0, 0.0), 340.0, 50.0), 60.0, 0.5, 20.0)
    Traceback (most recent call last):
    ValueError: The wanted room must lie between what the two ends of the range give; got 60 mm,
    from -2.62 mm to 9.03 mm. Widen the range, or free another number.
    """
    number("wanted room", wanted)
    low, high = float(number("range", low, "its unit")), float(number("range", high, "its unit"))
    ends = [room(make(value), body).room for value in (low, high)]
    require(
        min(ends) <= wanted <= max(ends),
        "The wanted room must lie between what the two ends of the range give; got {wanted} mm, "
        "from {low} mm to {high} mm. Widen the range, or free another number.",
        wanted=wanted,
        low=round(ends[0], 2),
        high=round(ends[1], 2),
    )
    value = zero_of(lambda free: room(make(free), body).room - wanted, low, high)
    stay = make(value)
    return Solved(value, stay, room(stay, body).room)


def zero_of(miss: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function of one number is zero, by halving and by straight lines in turn.

    Parameters
    ----------
    miss : callable
        The function, which has opposite signs at both ends of the range.
    low, high : float
        The range.

    Returns
    -------
    float
        The number.

    Raises
    ------
    ValueError
        "The two ends of the range must lie on both sides of zero; got 1 and 2. Widen the range."

    Examples
    --------
    >>> round(zero_of(lambda v: v**3 - 2.0, 0.0, 2.0), 9)
    1.25992105
    >>> zero_of(lambda v: v, 1.0, 2.0)
    Traceback (most recent call last):
    ValueError: The two ends of the range must lie on both sides of zero; got 1 and 2. Widen the
    range.
    """
    below, above = miss(low), miss(high)
    require(
        below * above <= 0,
        "The two ends of the range must lie on both sides of zero; got {below} and {above}. Widen "
        "the range.",
        below=below,
        above=above,
    )
    for step in range(STEPS):
        if min(abs(below), abs(above)) < CLOSE or high == low:
            break
        middle = (low + high) / 2 if step % 3 == 2 else low - below * (high - low) / (above - below)
        there = miss(middle)
        if there * below > 0:
            low, below = middle, there
        else:
            high, above = middle, there
    return low if abs(below) < abs(above) else high
