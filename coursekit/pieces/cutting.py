"""The tubes of a placed frame as pieces to cut: both ends in phase, where every line of them ends.

Picture: end a of a piece is where its axis starts (shell or seat tube; of head and seat tube the
lower end), end b where it ends. Lines along the tube are counted as in `miters`: counter-clockwise
seen from end b looking to end a. Line 0° is the underside of top tube, down tube and chainstay, and
the rear of head tube, seat tube and seatstay. Distances along a piece start at the crossing of axes
of each end and grow away from the joint.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from coursekit import butts, frame
from coursekit.miters import Joint
from coursekit.pieces.piece import LEVEL, UPRIGHT, End, Piece, along_lines
from coursekit.rules import not_negative, require
from coursekit.sections import Array
from coursekit.tubes import Butted


@dataclass(frozen=True)
class Trimmed:
    """A piece and the bought tube it is cut from: `plan` says what comes off, `tube` what is left."""

    piece: Piece
    bought: Butted
    plan: butts.Plan
    tube: Butted

    def crossing(self, end: str) -> float:
        """Where an end's crossing of axes lies on the bought tube, mm from its end a.

        It may lie beyond the tube: below 0 or above its length.
        """
        if end == "a":
            return float(self.plan.from_a - self.piece.a.along.min())
        return float(self.bought.length - self.plan.from_b + self.piece.b.along.min())

    def bore(self, end: str) -> Array:
        """As `Piece.bore`, with the wall that the trimmed tube has at that end."""
        return self.piece.bore(end, float(self.tube.walls[0 if end == "a" else 2]))


def cut_out(
    piece: Piece, bought: Butted, margin: float = butts.HEAT_MARGIN, from_a: float | None = None
) -> Trimmed:
    """How a piece comes out of a bought tube with the full wall that its joints need.

    Picture: end a of the bought tube lies at end a of the piece. A mitered end keeps the depth of
    its cut and `margin` of full wall; a square end keeps `margin`.

    Parameters: `piece`; `bought`, `tubes.Butted`, of the piece's diameter; `margin`, mm, 0 or
    more; `from_a`, mm off end a, your own choice within the window.

    Raises ValueError: "The tube must have the diameter of the piece; …", and as `butts.plan`.
    """
    require(
        abs(bought.diameter - piece.diameter) < LEVEL,
        "The tube must have the diameter of the piece; got {tube} mm for {piece} mm. Check "
        "the frame's diameters.",
        tube=bought.diameter,
        piece=piece.diameter,
    )
    need_a, need_b = (butts.keep(end.depth, margin) for end in (piece.a, piece.b))
    plan = butts.plan(bought, piece.blank, need_a, need_b, from_a)
    return Trimmed(piece, bought, plan, bought.cut(plan.from_a, plan.from_b))


def of_frame(
    placed: frame.Frame, short: Mapping[str, float] | None = None, stations: int = 361
) -> dict[str, Piece]:
    """Every tube of a placed frame but the shell as a piece to cut, by name.

    The down tube is cut to fit the shell and, where it reaches it, the seat tube; a tube that
    meets nothing at an end is square there.

    Parameters: `placed`, one frame (not a batch) after `Frame.place`; `short`, by how much a stay
    stops short of the rear axle, mm by name ("chainstay", "seatstay"); `stations`, 2 or more.

    Raises ValueError: "The tubes must be placed before there are joints; …"; "The stay must be
    longer than it stops short of the axle; …", and as `miters.cluster`, named for the tube.

    >>> f = frame.draw(seat_angle_deg=73, head_angle_deg=72, chainstay=425, bb_drop=65,
    ...     wheel_radius=340, fork_length=385, fork_offset=45, lower_stack=12, head_tube=150,
    ...     seat_tube=560, front_centre=600)
    >>> f = f.place(top_tube=frame.TopTube(28.6, 12, below_seat_top=20),
    ...     down_tube=frame.DownTube(31.8, 10))
    >>> sorted(of_frame(f))
    ['down_tube', 'head_tube', 'seat_tube', 'top_tube']
    >>> of_frame(f)["down_tube"].a.meets, of_frame(f)["seat_tube"].b.meets
    (('shell', 'seat_tube'), ())
    """
    _ = placed.joints
    assert placed.tubes is not None
    axes = placed.tubes.axes
    back = {n: not_negative("length short of the axle", v) for n, v in (short or {}).items()}
    return {
        name: _piece(name, placed, float(back.get(name.split("_")[-1], 0.0)), stations)
        for name in axes
        if name != "shell"
    }


def _piece(name: str, placed: frame.Frame, short: float, stations: int) -> Piece:
    assert placed.tubes is not None
    axis = placed.tubes.axes[name]
    way = axis.direction
    require(
        short < axis.length,
        "The stay must be longer than it stops short of the axle; got {short} mm of {length} "
        "mm. Check the frame's stays.",
        short=short,
        length=axis.length,
    )
    zero = _zero(name, way)
    joints: dict[str, list[frame.FrameJoint]] = {"a": [], "b": []}
    for one in placed.joints.values():
        if one.cut == name:
            joints["a" if float(one.inward @ way) > 0 else "b"].append(one)
    ends = {"a": axis.start, "b": axis.end - short * way}
    crossing = {e: joints[e][0].at if joints[e] else ends[e] for e in "ab"}
    made = {e: _end(name, placed, joints[e], zero, e, stations) for e in "ab"}
    length = float((crossing["b"] - crossing["a"]) @ way)
    return Piece(name, float(axis.diameter), length, crossing["a"], way, zero,
                 np.linspace(0.0, 360.0, stations), made["a"], made["b"])  # fmt: skip


def _zero(name: str, way: Array) -> Array:
    toward = np.array([-1.0, 0.0, 0.0] if name in UPRIGHT else [0.0, -1.0, 0.0])
    square = toward - (toward @ way) * way
    return np.asarray(square / np.linalg.norm(square))


def _end(
    name: str,
    placed: frame.Frame,
    met: list[frame.FrameJoint],
    zero: Array,
    end: str,
    stations: int,
) -> End:
    cuts = tuple(_joint(one, met[0], placed, zero, end) for one in met)
    try:
        along, touches = along_lines(met[0].cut_diameter if met else 1.0, cuts, end, stations)
    except ValueError as error:
        raise ValueError(f"{name.replace('_', ' ')}, end {end}: {error}") from None
    used = [i for i in range(len(met)) if i == 0 or i in touches]
    return End(tuple(met[i].into for i in used), cuts, along, touches)


def _joint(
    one: frame.FrameJoint, main: frame.FrameJoint, placed: frame.Frame, zero: Array, end: str
) -> Joint:
    """A joint of the frame as `miters` counts it, on the lines of the cut tube."""
    assert placed.tubes is not None
    way = one.inward if end == "a" else -one.inward
    other = placed.tubes.axes[one.into]
    beside = one.at - other.start
    beside = beside - (beside @ other.direction) * other.direction
    turned = np.degrees(np.arctan2(one.obtuse @ np.cross(way, zero), one.obtuse @ zero)) % 360.0
    return Joint(
        float(one.into_diameter),
        float(one.angle_deg),
        offset=float(beside @ np.cross(one.inward, one.obtuse)),
        turned_deg=float(turned),
        set_back=float((one.at - main.at) @ one.inward),
    )
