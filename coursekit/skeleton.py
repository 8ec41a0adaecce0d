"""From a placed frame to joints and members for `statics`, and the loads a frame is judged by.

The tubes run along their axes from crossing to crossing. The rear dropouts and the hub are one
stiff axle, and the fork is the dummy fork of the tests. Forces and set-up are in the spirit of ISO
4210-6; the values are arguments, which you take from the standard itself. No calculation certifies
a frame: that takes the tests, in a laboratory.

References
----------
ISO 4210-6:2014, 4.3 to 4.5 (set-up, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from coursekit import tubes
from coursekit.frame import Frame, TubeAxis
from coursekit.rules import number, positive
from coursekit.statics import Member, Solution, solve

APART = 1.0  # mm between the joints of top tube and stays, at least
AXLE = tubes.Round(10.0, 5.0)  # a solid axle, common practice
TUBES = (
    "top_tube",
    "down_tube",
    "seat_tube",
    "head_tube",
    "shell",
    "chainstay",
    "seatstay",
    "fork",
)
HELD = {"right_axle": "x y z", "left_axle": "x y", "front_axle": "y z"}


@dataclass(frozen=True)
class Skeleton:
    """Joints and members of a frame, and how the tests hold it.

    The rear axle may turn but not move; the front axle rolls along the ground.

    Attributes
    ----------
    nodes : mapping of str to array, (…, 3)
        Joints by name, mm.
    members : mapping of str to statics.Member
        Members by name.
    """

    nodes: Mapping[str, Any]
    members: Mapping[str, Member]

    def under(self, loads: Mapping[str, Any]) -> Solution:
        """Return what the frame does under loads, held as the tests hold it.

        Parameters
        ----------
        loads : mapping of str to array, (…, 3) or (…, 6)
            Loads by joint, N and N·mm, as `statics.solve` takes them.

        Returns
        -------
        statics.Solution
            Movements, member forces and stresses.
        """
        return solve(self.nodes, self.members, HELD, loads)


def skeleton(frame: Frame, sections: Mapping[str, Any]) -> Skeleton:
    """Return the joints and members of a frame whose tubes, stays included, have been placed.

    The joints are bb, seat_top_tube, seat_stays, seat_top, head_low, head_down_tube, head_top_tube,
    head_high, crown, front_axle, right_axle, left_axle, and where the stays begin. Members have the
    names of the tubes; seat tube and head tube are cut at their joints (seat_tube_1 is the lowest).
    Where top tube and seatstays meet the seat tube in one place, as they often do, the stays' joint
    is taken 1 mm off the top tube's.

    Parameters
    ----------
    frame : frame.Frame
        A frame after `place` with a chainstay and a seatstay.
    sections : mapping of str to a tube or statics.MemberSection
        One for each of top_tube (end a at the seat), down_tube (end a at the shell), seat_tube
        (round), head_tube, shell, chainstay, seatstay and fork.

    Returns
    -------
    Skeleton
        Joints and members for `statics`.

    Raises
    ------
    ValueError
        "The frame must have its tubes and stays placed; got one without. …"; "Every tube must have
        a section; got none for …"; "The chainstay and the seatstay of a side must meet at the axle;
        …"

    Examples
    --------
    >>> from coursekit.frame import Chainstay, DownTube, Seatstay, TopTube, draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70, wheel_radius=340,
    ...          fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=620,
    ...          front_centre=600)
    >>> f = f.place(top_tube=TopTube(28.6, 14, slope_deg=0), down_tube=DownTube(31.8, 11),
    ...             chainstay=Chainstay(22.2, 46, 130), seatstay=Seatstay(16, 30, 130, 45))
    >>> tube = tubes.Round(28.6, 0.8)
    >>> s = skeleton(f, dict.fromkeys(TUBES, tube)).under({"seat_top": (0, -1000, 0)})
    >>> print(round(sum(float(r[1]) for r in s.reactions.values()), 6))
    1000.0
    """
    _refuse(frame, sections)
    assert frame.tubes is not None
    axes, points = frame.tubes.axes, frame.points
    nodes = {
        name: _point(points[name])
        for name in ("bb", "head_low", "head_high", "crown", "front_axle", "seat_top")
    }
    nodes |= {
        "seat_top_tube": axes["top_tube"].start,
        "head_top_tube": axes["top_tube"].end,
        "head_down_tube": axes["down_tube"].end,
        "seat_stays": axes["right_seatstay"].start * np.array([1.0, 1.0, 0.0]),
    }
    members: dict[str, Member] = {}
    nodes["seat_stays"] = _apart(nodes["seat_stays"], nodes["seat_top_tube"], axes["seat_tube"])
    seat = _along(axes["seat_tube"], nodes, ("bb", "seat_top_tube", "seat_stays", "seat_top"))
    _chain(members, "seat_tube", seat, sections)
    head = ["head_low", "head_down_tube", "head_top_tube", "head_high"]
    _chain(members, "head_tube", head, sections)
    members["top_tube"] = Member("seat_top_tube", "head_top_tube", sections["top_tube"])
    _down_tube(members, nodes, axes["down_tube"], sections)
    members["steerer"] = Member("crown", "head_low", sections["fork"])
    members["fork"] = Member("front_axle", "crown", sections["fork"])
    for side in ("right", "left"):
        _stays(members, nodes, axes, side, sections)
    members["axle"] = Member("right_axle", "left_axle", AXLE)
    return Skeleton(nodes, members)


def _refuse(frame: Frame, sections: Mapping[str, Any]) -> None:
    if frame.tubes is None or not {"right_chainstay", "right_seatstay"} <= frame.tubes.axes.keys():
        raise ValueError(
            "The frame must have its tubes and stays placed; got one without. "
            "Call place(...) with a chainstay and a seatstay first."
        )
    missing = [n for n in TUBES if n not in sections]
    if missing:
        raise ValueError(
            f"Every tube must have a section; got none for {', '.join(missing)}. Add it."
        )
    ends = [frame.tubes.axes[n].end for n in ("right_chainstay", "right_seatstay")]
    if not np.allclose(ends[0], ends[1]):
        chain, seat = (f"{2 * float(np.max(end[..., 2])):.6g} mm" for end in ends)
        raise ValueError(
            "The chainstay and the seatstay of a side must meet at the axle; "
            f"got {chain} and {seat} apart_at_axle. Make them equal."
        )


def _point(xy: tuple[Any, Any]) -> Any:
    return np.stack(np.broadcast_arrays(xy[0], xy[1], 0.0 * np.asarray(xy[0])), axis=-1)


def _apart(joint: Any, other: Any, line: TubeAxis) -> Any:
    """Move a joint along a tube until it is APART from another, below it if they are in one place.

    A member of a thousandth of a millimetre would be so stiff that the others count as loose.
    """
    way = line.direction
    off = ((joint - other) * way).sum(-1, keepdims=True)
    near = np.abs(off) < APART
    return np.where(near, joint + way * (np.where(off > 0, APART, -APART) - off), joint)


def _along(line: TubeAxis, nodes: Mapping[str, Any], names: tuple[str, ...]) -> list[str]:
    """Joints in the order in which they lie on a tube."""
    return sorted(names, key=lambda n: float(np.mean((nodes[n] * line.direction).sum(-1))))


def _chain(
    members: dict[str, Member], name: str, joints: list[str], sections: Mapping[str, Any]
) -> None:
    """Cut a tube at its joints; joints that lie in one place are refused by `statics`."""
    for i, (start, end) in enumerate(pairwise(joints), start=1):
        members[f"{name}_{i}"] = Member(start, end, sections[name])


def _down_tube(
    members: dict[str, Member], nodes: dict[str, Any], line: TubeAxis, sections: Mapping[str, Any]
) -> None:
    start = "bb"
    if np.any(np.abs(line.start) > 1e-9):  # its axis passes beside the shell's
        start = "down_tube_start"
        nodes[start] = line.start
        members["down_tube_shell"] = Member("bb", start, sections["shell"])
    members["down_tube"] = Member(start, "head_down_tube", sections["down_tube"])


def _stays(
    members: dict[str, Member],
    nodes: dict[str, Any],
    axes: Mapping[str, TubeAxis],
    side: str,
    sections: Mapping[str, Any],
) -> None:
    low, high = axes[f"{side}_chainstay"], axes[f"{side}_seatstay"]
    nodes |= {f"{side}_yoke": low.start, f"{side}_cap": high.start, f"{side}_axle": low.end}
    members[f"{side}_shell"] = Member("bb", f"{side}_yoke", sections["shell"])
    members[f"{side}_chainstay"] = Member(f"{side}_yoke", f"{side}_axle", sections["chainstay"])
    members[f"{side}_cap"] = Member("seat_stays", f"{side}_cap", sections["seatstay"])
    members[f"{side}_seatstay"] = Member(f"{side}_cap", f"{side}_axle", sections["seatstay"])


def front_hit(force: Any) -> dict[str, Any]:
    """Return the load of a level force on the front axle.

    Parameters
    ----------
    force : float or array
        N, positive forward; what a kerb does is negative.

    Returns
    -------
    dict of str to array, (…, 3)
        The load on joint front_axle, N.

    References
    ----------
    ISO 4210-6:2014, 4.4 (horizontal forces, from memory).

    Examples
    --------
    >>> print(front_hit(-600)["front_axle"] + 0.0)
    [-600.    0.    0.]
    """
    f = np.asarray(number("force", force, "N"), float)
    return {"front_axle": np.stack([f, np.zeros_like(f), np.zeros_like(f)], axis=-1)}


def seat_load(frame: Frame, force: Any, behind: Any = 70.0, above: Any = 250.0) -> dict[str, Any]:
    """Return the load of a rider's weight on a seat post, brought to the seat tube's top.

    Parameters
    ----------
    frame : frame.Frame
        The frame; its seat angle counts.
    force : float or array
        Down, N, above 0.
    behind : float or array
        From the seat axis level back to the load, mm.
    above : float or array
        Up the seat axis from the seat tube's top to where the post ends, mm.

    Returns
    -------
    dict of str to array, (…, 6)
        The load on joint seat_top, N and N·mm.

    References
    ----------
    TBIS 79010:2019, Table 8 (after ISO 4210-6): 1200 N, 70 mm behind the axis, 250 mm.

    Examples
    --------
    >>> from coursekit.frame import draw
    >>> f = draw(seat_angle_deg=90, head_angle_deg=72, chainstay=430, bb_drop=70, wheel_radius=340,
    ...          fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550,
    ...          front_centre=600)
    >>> print(seat_load(f, 1200)["seat_top"].round(6) + 0.0)  # 70 mm · 1200 N, backwards
    [    0. -1200.     0.     0.     0. 84000.]
    """
    f = np.asarray(positive("force", force, "N"), float)
    back = behind + np.multiply(above, np.cos(np.radians(frame.seat_angle_deg)))
    zero = np.zeros_like(f)
    parts = np.broadcast_arrays(zero, -f, zero, zero, zero, back * f)
    return {"seat_top": np.stack(parts, axis=-1)}


def pedal(
    force: Any, crank: Any = 175.0, out: Any = 150.0, lean_deg: Any = 7.5, tie: Any = 75.0
) -> dict[str, Any]:
    """Return the load of a force on the right pedal, brought to bottom bracket and rear axle.

    The cranks stand 45° below the horizontal, forward. A tie rod from a vertical arm on the
    bottom-bracket axle to the rear axle keeps them from turning, as the chain does. The arm and the
    rod lie in the frame's plane. The left pedal's load is the mirror image.

    Parameters
    ----------
    force : float or array
        Down, N, above 0.
    crank : float or array
        Length of the crank, mm.
    out : float or array
        From the frame's plane to the force, mm.
    lean_deg : float or array
        Lean of the force from the frame's plane, degrees, positive where it points away from it.
    tie : float or array
        Length of the vertical arm, mm.

    Returns
    -------
    dict of str to array
        Loads on the joints bb, right_axle and left_axle, N and N·mm.

    References
    ----------
    ISO 4210-6:2014, 4.3 (pedalling forces): 7.5° and 150 mm as quoted in a Korean technical annex,
    crank 175 mm at 45° in TBIS 4210-6:2019, 4.3.2.1; arm 75 mm.

    Examples
    --------
    >>> load = pedal(1000, lean_deg=0)
    >>> print(load["bb"].round(1) + 0.0)  # tie: 1000 · 175 cos 45° / 75 = 1649.9 N, backwards
    [ -1649.9  -1000.       0.  150000.       0.       0. ]
    """
    f = np.asarray(positive("force", force, "N"), float)
    lean = np.radians(number("lean_deg", lean_deg, "degrees"))
    down, side = f * np.cos(lean), f * np.sin(lean)
    x = positive("crank", crank) * np.sqrt(0.5)  # 45° below the horizontal
    y = -x
    pull = x * down / positive("tie", tie)
    zero = np.zeros_like(pull)
    bb = np.stack(
        np.broadcast_arrays(-pull, -down, side, y * side + out * down, -x * side, zero), -1
    )
    half = np.stack(np.broadcast_arrays(pull / 2, zero, zero), -1)
    return {"bb": bb, "right_axle": half, "left_axle": half}
