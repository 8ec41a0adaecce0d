"""Chainstays laid between shell and dropout. See `rear`."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from coursekit.rear.dropouts import RearEnd
from coursekit.rules import number, positive, require
from coursekit.sections import Array
from coursekit.stays import Bend, Stay, Taper, between, cut_end, rod


def chainstay(
    end: RearEnd,
    apart_at_shell: float,
    taper: Taper,
    bends: Sequence[Bend] = (),
    above_shell: float = 0.0,
) -> Stay:
    """Return the right chainstay, from beside the shell's axis to its dropout.

    Parameters
    ----------
    end : RearEnd
        Where the stay ends.
    apart_at_shell : float
        Between the two centre lines where they pass the shell's axis, mm, above 0.
    taper : Taper
        How thick the stay is, from the shell on.
    bends : sequence of Bend
        In their order; toward 90° is outward.
    above_shell : float
        By how much the line from the stay's start to its end passes above the shell's axis in side
        view, mm.

    Returns
    -------
    Stay
        "right_chainstay"; line 0° is its underside.

    Raises
    ------
    ValueError
        "The chainstay must pass nearer to the shell's axis than its end is; …"; "The distance apart
        at the shell must be greater than 0; …", and the messages of `between`.

    Examples
    --------
    >>> from coursekit.rear import Dropout, Tab
    >>> plate = Dropout(6.0, Tab(32.0, -9.5, 12.0), Tab(28.0, 62.0, 10.0))
    >>> end = RearEnd((-419.2, 70.0), plate, 130.0)
    >>> stay = chainstay(end, 40.0, Taper((150.0, 400.0), (22.2, 12.2)))
    >>> round(stay.length, 2), [round(float(v), 2) for v in stay.line.at(stay.length).point]
    (407.84, [-399.47, 66.7, 68.0])
    >>> chainstay(end, 0.0, Taper((0.0,), (22.2,)))
    Traceback (most recent call last):
    ValueError: The distance apart at the shell must be greater than 0; got 0 mm. Check the number.
    """
    tip = end.stay_end("chainstay")
    out = float(positive("distance apart at the shell", apart_at_shell)) / 2
    above = float(number("way above the shell", above_shell))
    far = float(np.hypot(tip[0], tip[1]))
    require(
        abs(above) < far,
        "The chainstay must pass nearer to the shell's axis than its end is; got {above} mm off it "
        "with the end {far} mm away. It is small or zero.",
        above=above,
        far=far,
    )
    # the side view's line from the foot of the axis' square to the end
    turn = np.arctan2(tip[1], tip[0]) + np.arcsin(above / far)
    start = np.array([above * np.sin(turn), -above * np.cos(turn), out])
    return between("right_chainstay", start, tip, taper, bends)


def shell_land(stay: Stay, diameter: float, width: float) -> float:
    """Return how much of the shell is left beside a chainstay's joint, for bead and facing.

    Parameters
    ----------
    stay : Stay
        The chainstay.
    diameter, width : float
        Of the shell, mm, above 0.

    Returns
    -------
    float
        From the joint's outermost place to the shell's face, mm; negative where the joint reaches
        past the face.

    Raises
    ------
    ValueError
        "The shell's width must be greater than 0; …", and the messages of `cut_end`.

    Examples
    --------
    >>> stay = between("right_chainstay", (0, 0, 20), (-420, 0, 20), Taper((0.0,), (22.2,)))
    >>> round(shell_land(stay, 40.0, 68.0), 6), round(shell_land(stay, 40.0, 60.0), 6)
    (2.9, -1.1)
    >>> shell_land(stay, 40.0, 0.0)
    Traceback (most recent call last):
    ValueError: The shell's width must be greater than 0; got 0 mm. Check the number.
    """
    half = float(positive("shell's width", width)) / 2
    endless = rod("shell", (0, 0, -stay.length), (0, 0, stay.length), diameter)
    return half - float(np.abs(cut_end(stay, {"shell": endless}).edge[:, 2]).max())


def toe_in_deg(stay: Stay, end: str = "b") -> float:
    """Return the angle between a stay and the frame's plane at one of its ends.

    Parameters
    ----------
    stay : Stay
        The stay.
    end : str
        "a" or "b".

    Returns
    -------
    float
        Degrees, positive where the stay runs outward toward end b.

    Raises
    ------
    ValueError
        "The end must be 'a' or 'b'; …"

    Examples
    --------
    >>> stay = between("right_chainstay", (0, 0, 20), (-300, 0, 60), Taper((0.0,), (18.0,)))
    >>> round(toe_in_deg(stay), 3), round(toe_in_deg(stay.mirrored()), 3)
    (7.595, 7.595)
    >>> toe_in_deg(stay, "c")
    Traceback (most recent call last):
    ValueError: The end must be 'a' or 'b'; got 'c'. Name one of the two.
    """
    if end not in ("a", "b"):
        raise ValueError(f"The end must be 'a' or 'b'; got {end!r}. Name one of the two.")
    at = stay.line.at(0.0 if end == "a" else stay.length)
    out = np.sign(at.point[2]) if at.point[2] else 1.0
    return float(np.degrees(np.arcsin(out * at.direction[2])))


def slot_lines_deg(stay: Stay) -> tuple[float, float]:
    """Return the two lines of a stay on which the slot for its dropout lies, at end b.

    The plate stands parallel to the frame's plane. Through bends that lie in the plan view the
    lines stay those at the underside and the upper side; a bend out of it turns them.

    Parameters
    ----------
    stay : Stay
        The stay.

    Returns
    -------
    tuple of float
        The line nearest to 0°, between −90° and 90°, and the line nearest to 180°.

    Raises
    ------
    ValueError
        "The stay must not run straight across the frame; …"

    Examples
    --------
    >>> stay = between("right_chainstay", (0, 0, 20), (-300, 50, 60), Taper((0.0,), (18.0,)))
    >>> [round(line, 3) + 0.0 for line in slot_lines_deg(stay)]
    [-1.245, 178.755]
    """
    at = stay.line.at(stay.length)
    across: Array = np.cross(at.direction, (0.0, 0.0, 1.0))
    require(
        np.linalg.norm(across) > 1e-9,
        "The stay must not run straight across the frame; got one that does. Give a chainstay or a "
        "seatstay.",
    )
    x, y = float(across @ at.zero), float(across @ at.ninety)
    width, depth = stay.taper.sizes(stay.length)
    line = float(np.degrees(np.arctan2(y / width, x / depth)))
    first = (line + 90.0) % 180.0 - 90.0
    return first, first + 180.0
