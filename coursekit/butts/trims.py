"""The checks and the window behind `butts.plan`."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import not_negative, number, require
from coursekit.scalars import bare
from coursekit.tubes import Butted

EXACT = 1e-9  # mm; a smaller difference is rounding


def window(excess: Any, room_a: Any, room_b: Any) -> tuple[Any, Any]:
    """Return the least and the most that may come off end a so that both ends keep what they need.

    `excess` is the tube's length less the finished length, and both cuts together add up to it.
    Each end can spare its room and no more. Where the least is greater than the most, the window is
    empty and no cut will do. The difference is then what is missing: length where the excess is
    negative, otherwise full wall. If a butt is too short as well as the tube, see to the length
    first.

    Parameters
    ----------
    excess : float or array
        mm, either sign.
    room_a, room_b : float or array
        Full wall at an end less the need there, mm, either sign.

    Returns
    -------
    least, most : float or array
        mm at end a; the window for end b is (excess − most, excess − least).

    Raises
    ------
    ValueError
        "The excess must be a finite number in mm; got 'much'. …"

    Examples
    --------
    >>> window(40.0, 10.0, 50.0)
    (0.0, 10.0)
    >>> window(80.0, 10.0, 50.0)  # 20 mm of butt missing
    (30.0, 10.0)
    >>> window(-7.0, 10.0, 50.0)  # 7 mm too short
    (0.0, -7.0)
    """
    a, b = number("room at end a", room_a), number("room at end b", room_b)
    excess = number("excess", excess)
    return bare(np.maximum(0.0, excess - np.asarray(b))), bare(np.minimum(excess, np.asarray(a)))


def reserved(from_a: Any, excess: Any, room_a: Any, room_b: Any, reserve: Any) -> Any:
    """Return the cut at end a, moved just as far as it takes to keep a reserve at both ends.

    The reserve is full wall beyond the need. Where the tube can't give it to both ends, each end
    gets half of what there is; an end that isn't cut at all keeps whatever it has.

    Parameters
    ----------
    from_a : float or array
        The cut wanted at end a, mm.
    excess, room_a, room_b : float or array
        As for `window`, mm; the window must not be empty.
    reserve : float or array
        mm, 0 or more.

    Returns
    -------
    float or array
        mm at end a.

    Raises
    ------
    ValueError
        "The reserve must be 0 or more; got -5 mm. …"

    Examples
    --------
    >>> reserved(40.0, 100.0, 40.0, 90.0, 5.0)  # end a keeps 5 mm, end b 30
    35.0
    >>> reserved(40.0, 100.0, 40.0, 64.0, 5.0)  # 4 mm in all: 2 mm each
    38.0
    >>> reserved(0.0, 30.0, 2.0, 90.0, 5.0)  # nothing comes off end a
    0.0
    """
    spare = np.asarray(room_a) + room_b - excess
    kept = np.minimum(not_negative("reserve", reserve), spare / 2)
    most = np.maximum(0.0, np.minimum(excess, room_a - kept))
    least = np.minimum(excess, np.maximum(0.0, excess - room_b + kept))
    return bare(np.minimum(np.maximum(from_a, least), most))


def full_wall(tube: Butted, end: int) -> Any:
    """Return how far the wall of an end goes on unchanged.

    Parameters
    ----------
    tube : tubes.Butted
        The tube.
    end : int
        0 for end a, -1 for end b.

    Returns
    -------
    float or array
        mm from that end.
    """
    lengths, walls = tube.lengths[:: 1 if end == 0 else -1], tube.walls[:: 1 if end == 0 else -1]
    plain, other = np.equal(walls[0], walls[1]), np.equal(walls[1], walls[2])
    belly = lengths[1] + lengths[2]
    return lengths[0] + np.where(plain, belly + np.where(other, lengths[3] + lengths[4], 0.0), 0.0)


def check_length(length: Any, finished: Any, needs: tuple[Any, Any]) -> None:
    """Refuse a finished length that the tube does not reach, or that cannot hold both needs.

    Parameters
    ----------
    length, finished : float or array
        Of the tube as bought and as finished, mm.
    needs : tuple
        Full wall needed at end a and at end b, mm.

    Raises
    ------
    ValueError
        "The tube must be at least as long as the finished length; got …"; "The needs must fit in
        the finished length; got …"
    """
    require(
        length - np.asarray(finished) >= -EXACT,
        "The tube must be at least as long as the finished length; got {length} mm for "
        "{finished} mm, {missing} mm missing. Take a longer tube.",
        length=length,
        finished=finished,
        missing=finished - length,
    )
    require(
        needs[0] + needs[1] <= np.asarray(finished) + EXACT,
        "The needs must fit in the finished length; got {a} mm and {b} mm in {finished} mm. "
        "Check the saddle depths.",
        a=needs[0],
        b=needs[1],
        finished=finished,
    )


def check_rooms(walls: Any, needs: Any, rooms: Any, excess: Any, first_b: Any) -> None:
    """Refuse a tube whose butts are too short for its joints, or cannot spare what must come off.

    Parameters
    ----------
    walls, needs, rooms : sequence
        For end a and end b: full wall there, need, and the first less the second, mm.
    excess : float or array
        What must come off in all, mm.
    first_b : bool or array
        Whether end b is cut first; the other end is then named as the one that falls short.

    Raises
    ------
    ValueError
        "The butt at end a must reach past its joint; got …"; "The cuts must leave both butts long
        enough; got …"
    """
    for name, wall, need in zip("ab", walls, needs, strict=True):
        require(
            wall - need >= -EXACT,
            "The butt at end {name} must reach past its joint; got {wall} mm for {need} mm, "
            "{missing} mm missing. Turn the tube end for end or take longer butts.",
            wall=wall,
            need=need,
            missing=need - wall,
            name=name,
        )
    missing = excess - rooms[0] - rooms[1]
    for name, last in (("a", first_b), ("b", ~np.asarray(first_b))):
        require(
            (missing <= EXACT) | ~np.asarray(last),
            "The cuts must leave both butts long enough; got {excess} mm to cut, {missing} mm "
            "missing at end {name}. Take a tube nearer the finished length or with longer butts.",
            excess=excess,
            missing=missing,
            name=name,
        )


def chosen(from_a: Any, least: Any, most: Any, first_b: Any) -> Any:
    """Return the cut at end a: the one given, or the one that spends the longer butt first.

    Parameters
    ----------
    from_a : float or array or None
        The cut given, mm.
    least, most : float or array
        The window, mm.
    first_b : bool or array
        Whether end b is cut first.

    Returns
    -------
    array
        mm.

    Raises
    ------
    ValueError
        "The cut at end a must lie within its window; got …"
    """
    if from_a is None:
        return np.where(first_b, least, most)
    cut = not_negative("cut at end a", from_a)
    require(
        (cut >= least - EXACT) & (cut <= most + EXACT),
        "The cut at end a must lie within its window; got {cut} mm for {least} to {most} mm. "
        "Cut within the window.",
        cut=cut,
        least=least,
        most=most,
    )
    return np.asarray(cut, dtype=float)
