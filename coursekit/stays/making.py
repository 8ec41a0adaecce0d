"""Straight tubes, and stays laid between two points. The picture is that of `stays`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from coursekit.rules import positive, require
from coursekit.stays.bends import Bend
from coursekit.stays.line import DRIVE_SIDE, CentreLine
from coursekit.stays.stay import UNDERSIDE, Stay
from coursekit.stays.taper import Taper
from coursekit.stays.vectors import TINY, point, square_to, unit

_SIDES = (DRIVE_SIDE, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))  # where line 90° lies, the first that can


def rod(name: str, start: Any, end: Any, diameter: float, zero: Any = UNDERSIDE) -> Stay:
    """Return a straight round tube of one diameter: a shell, a seat tube, a mono-tube.

    Parameters
    ----------
    name : str
        What it is called.
    start, end : array, (3,)
        Ends of its axis, mm.
    diameter : float
        Outside, mm, above 0.
    zero : array, (3,)
        Where its line 0° lies.

    Returns
    -------
    Stay
        The tube. Line 90° lies on the drive side, or to the front of a tube that lies across the
        frame.

    Raises
    ------
    ValueError
        "The direction must point somewhere; …"; "The diameter must be greater than 0; …"

    Examples
    --------
    >>> shell = rod("shell", (0, 0, -34), (0, 0, 34), 40.0)
    >>> float(shell.outside((25.0, 0.0, 0.0)))
    5.0
    >>> rod("shell", (0, 0, 34), (0, 0, 34), 40.0)
    Traceback (most recent call last):
    ValueError: The direction must point somewhere; got an arrow of length 0 mm. Give two different
    points.
    """
    start, end = point("start", start), point("end", end)
    way = unit("direction", end - start)
    square = np.cross(way, square_to(way, point("line 0°", zero)))
    ninety = next(side for side in _SIDES if abs(square @ side) > TINY)
    size = (float(positive("diameter", diameter)),)
    line = CentreLine(start, way, float(np.linalg.norm(end - start)), (), zero, ninety)
    return Stay(name, line, Taper((0.0,), size))


def between(
    name: str,
    start: Any,
    end: Any,
    taper: Taper,
    bends: Sequence[Bend] = (),
    zero: Any = UNDERSIDE,
) -> Stay:
    """Return the stay with these bends whose centre line runs from one point to another.

    The bends fix the shape, the two points fix where it lies, and `zero` how it is turned about the
    line between them: at end a line 0° points most nearly that way, so a bend toward 90° lies in
    the plan view of a chainstay. The last straight piece is as long as it must be.

    Parameters
    ----------
    name : str
        What it is called.
    start, end : array, (3,)
        Ends of the centre line, mm.
    taper : Taper
        How thick it is along the line.
    bends : sequence of Bend
        In their order.
    zero : array, (3,)
        Where line 0° lies: the underside, or the rear of a seatstay (`REAR`).

    Returns
    -------
    Stay
        The stay; its length is what it takes to bend it from a straight tube.

    Raises
    ------
    ValueError
        "The bends must leave a straight piece to the end; got 430 mm of bends over 425 mm. …"

    Examples
    --------
    >>> swung = (Bend(100.0, 300.0, 6.0, 90.0), Bend(160.0, 300.0, 6.0, 270.0))
    >>> stay = between("right_chainstay", (0, 0, 20), (-410, 70, 60), Taper((0.0,), (22.2,)), swung)
    >>> round(stay.length, 2), [round(float(v), 6) for v in stay.line.at(stay.length).point]
    (418.08, [-410.0, 70.0, 60.0])
    >>> between("right_chainstay", (0, 0, 20), (-410, 70, 60), Taper((0.0,), (22.2,)),
    ...         (Bend(100.0, 1500.0, 14.0),))
    Traceback (most recent call last):
    ValueError: The bends must leave a straight piece to the end; got bends that reach 465.0224 mm
    away over 417.8516 mm. Move them toward end a, or bend them tighter.
    """
    start, end, zero = point("start", start), point("end", end), point("line 0°", zero)
    wanted = end - start
    far = float(np.linalg.norm(wanted))
    way = unit("direction", wanted)
    length = _length(tuple(bends), far)
    for _ in range(200):
        line = CentreLine(start, way, length, tuple(bends), zero)
        reached = line.at(length).point - start
        turn = np.cross(reached, wanted) / far**2
        if np.linalg.norm(turn) < 1e-15:
            break
        way = unit("direction", way + np.cross(turn, way))
    return Stay(name, line, taper)


def _length(bends: tuple[Bend, ...], far: float) -> float:
    """Length of a line with these bends whose ends are `far` apart."""
    if not bends:
        return far
    bent = CentreLine((0, 0, 0), (1, 0, 0), max(b.end for b in bends), bends, (0, -1, 0))
    end = bent.at(bent.length)
    forth = float(end.point @ end.direction)
    reach = float(np.linalg.norm(end.point))
    square = forth**2 + far**2 - reach**2
    more = -forth + np.sqrt(square) if square > 0 else -1.0
    require(
        more >= 0,
        "The bends must leave a straight piece to the end; got bends that reach {reach} mm away "
        "over {far} mm. Move them toward end a, or bend them tighter.",
        reach=reach,
        far=far,
    )
    return float(bent.length + more)
