"""The least distance between stays and what stands or turns beside them. See `rear`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from coursekit.rules import number, require
from coursekit.sections import Array
from coursekit.stays import Body, Plane, Stay

ALONG, AROUND = 241, 73  # places of the first look
NEARER, TIMES = 9, 40  # places of each closer look along and round, and how many looks
SHRINK = 0.5

MIDDLE = Plane((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, eq=False)
class Room:
    """The least distance between a stay and a body, and where it is.

    Attributes
    ----------
    room : float
        mm; negative where they overlap, and then by how deep the stay reaches in.
    s : float
        Where on the stay, mm along its centre line from end a.
    around_deg : float
        On which line of the stay, degrees.
    at : array, (3,)
        The place on the stay in the frame, mm.
    """

    room: float
    s: float
    around_deg: float
    at: Array


def room(stay: Stay, body: Body, begin: float = 0.0, end: float | None = None) -> Room:
    """Return the least distance between a stay's outside and a body.

    The whole outside of the stay is looked at, then the nearest place ever closer.

    Parameters
    ----------
    stay : Stay
        The stay, of any bend, taper and dimple.
    body : Body
        A tyre, a chainring, another stay …
    begin : float
        Where on the stay the look begins, mm along its centre line from end a.
    end : float, optional
        Where it ends; at end b if not told.

    Returns
    -------
    Room
        The distance, to 1e-6 mm, and its place.

    Raises
    ------
    ValueError
        "The piece of stay must begin before it ends, and lie on the stay; got 500 mm to 420 mm on
        420 mm. …"

    Examples
    --------
    >>> from coursekit.rear import Tyre
    >>> from coursekit.stays import Taper, between
    >>> stay = between("right_chainstay", (0, 0, 20), (-420, 0, 60), Taper((0.0,), (20.0,)))
    >>> found = room(stay, Tyre((-420.0, 0.0), 340.0, 40.0))
    >>> round(found.room, 3), round(float(found.at[0]), 1)
    (-0.609, -98.2)
    >>> room(stay, Tyre((-420.0, 0.0), 340.0, 40.0), begin=500.0)
    Traceback (most recent call last):
    ValueError: The piece of stay must begin before it ends, and lie on the stay; got 500 mm to
    421.9005 mm on 421.9005 mm. Check both places.
    """
    stop = stay.length if end is None else end
    number("place", [begin, stop])
    require(
        -1e-9 <= begin < stop <= stay.length + 1e-9,
        "The piece of stay must begin before it ends, and lie on the stay; got {begin} mm to {end} "
        "mm on {length} mm. Check both places.",
        begin=begin,
        end=stop,
        length=stay.length,
    )

    def apart(s: Array, around: Array) -> Array:
        return body.outside(stay.surface(s[:, None], around))

    s, around = _nearest(apart, begin, stop)
    at = stay.surface(s, around)
    return Room(float(body.outside(at)), s, around % 360.0, at)


def _nearest(
    apart: Callable[[Array, Array], Array], begin: float, end: float
) -> tuple[float, float]:
    """Where a distance over a stay's outside is least: (s, around_deg)."""
    s, around = np.linspace(begin, end, ALONG), np.linspace(0.0, 360.0, AROUND)
    half_s, half_around = s[1] - s[0], around[1] - around[0]
    spread, inner = np.linspace(-1.0, 1.0, NEARER), range(1, NEARER - 1)
    row, column = _least(apart(s, around))
    for _ in range(TIMES):
        s = np.clip(s[row] + half_s * spread, begin, end)
        around = around[column] + half_around * spread
        row, column = _least(apart(s, around))
        if column in inner and (row in inner or s[row] in (begin, end)):
            half_s, half_around = half_s * SHRINK, half_around * SHRINK
    return float(s[row]), float(around[column])


def _least(far: Array) -> tuple[int, int]:
    row, column = np.unravel_index(int(np.argmin(far)), far.shape)
    return int(row), int(column)


def apart(stay: Stay) -> Room:
    """Return the room between a stay and its mirror image on the other side.

    By symmetry it is twice the way from the stay to the frame's plane.

    Parameters
    ----------
    stay : Stay
        The one on the right, which is the drive side.

    Returns
    -------
    Room
        The distance between the two stays, mm, and its place on this one.

    Raises
    ------
    ValueError
        "The stay must be the one on the right; got 'left_chainstay'. …"

    Examples
    --------
    >>> from coursekit.stays import Taper, between
    >>> stay = between("right_chainstay", (0, 0, 20), (-420, 0, 60), Taper((0.0,), (20.0,)))
    >>> round(apart(stay).room, 3)
    20.09
    >>> apart(stay.mirrored())
    Traceback (most recent call last):
    ValueError: The stay must be the one on the right; got 'left_chainstay'. Give its mirror image.
    """
    if not stay.name.startswith("right_"):
        raise ValueError(
            f"The stay must be the one on the right; got {stay.name!r}. Give its mirror image."
        )
    one = room(stay, MIDDLE)
    return Room(2 * one.room, one.s, one.around_deg, one.at)


def rooms(stays: Mapping[str, Stay], bodies: Mapping[str, Body]) -> dict[tuple[str, str], Room]:
    """Return the room between every stay and every body, and between every two stays.

    Parameters
    ----------
    stays : mapping of str to Stay
        The stays by name.
    bodies : mapping of str to Body
        Tyre, chainring, crank and the like, by name.

    Returns
    -------
    dict of (str, str) to Room
        For each pair of names; the place is on the first of them, which is a stay.

    Raises
    ------
    ValueError
        "The rooms must be between something; got no stay. …"

    Examples
    --------
    >>> from coursekit.rear import Chainring, Tyre
    >>> from coursekit.stays import Taper, between
    >>> stay = between("right_chainstay", (0, 0, 20), (-420, 0, 66), Taper((0.0,), (20.0,)))
    >>> found = rooms({"right": stay, "left": stay.mirrored()}, {"ring": Chainring(42, 45.0)})
    >>> {pair: round(one.room, 2) for pair, one in found.items()}
    {('right', 'ring'): 4.22, ('left', 'ring'): 54.06, ('right', 'left'): 20.12}
    >>> rooms({}, {})
    Traceback (most recent call last):
    ValueError: The rooms must be between something; got no stay. Give one or more.
    """
    if not stays:
        raise ValueError("The rooms must be between something; got no stay. Give one or more.")
    found = {
        (name, other): room(stay, body)
        for name, stay in stays.items()
        for other, body in bodies.items()
    }
    for (name, stay), (other, second) in combinations(stays.items(), 2):
        found[name, other] = room(stay, second)
    return found
