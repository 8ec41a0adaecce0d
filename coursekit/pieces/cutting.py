"""The pieces of a placed frame, and how each comes out of a bought tube. See `pieces`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from coursekit import butts, frame
from coursekit.butts import trims
from coursekit.miters import Joint
from coursekit.pieces.piece import LEVEL, UPRIGHT, End, Piece, along_lines
from coursekit.rules import not_negative, require
from coursekit.sections import Array
from coursekit.tubes import Butted


@dataclass(frozen=True)
class Trimmed:
    """A piece and the bought tube it is cut from.

    Attributes
    ----------
    piece : Piece
        What is cut.
    bought : tubes.Butted
        The tube as it was bought.
    plan : butts.Plan
        What comes off its two ends.
    tube : tubes.Butted
        What is left of it.
    margin : float
        Full wall that the plan keeps past each cut, mm.
    """

    piece: Piece
    bought: Butted
    plan: butts.Plan
    tube: Butted
    margin: float = butts.HEAT_MARGIN

    def need(self, end: str) -> float:
        """Return how much full wall a joint needs: the depth of its cut, and the margin.

        Parameters
        ----------
        end : str
            "a" or "b".

        Returns
        -------
        float
            mm from the end of the trimmed tube.
        """
        return float(butts.keep(self.piece.end(end).depth, self.margin))

    def in_hand(self, end: str) -> float:
        """Return how much full wall an end has beyond its need.

        So much deeper can a spoiled cut be made once more, as far as the other end still has
        length to give.

        Parameters
        ----------
        end : str
            "a" or "b".

        Returns
        -------
        float
            mm.
        """
        off = self.plan.from_a if end == "a" else self.plan.from_b
        wall = trims.full_wall(self.bought, 0 if end == "a" else -1)
        return float(wall - off) - self.need(end)

    def reserved(self, from_a: float, reserve: float = butts.RESERVE) -> float:
        """Return the cut at end a nearest to the one wanted that keeps a reserve at both ends.

        Parameters
        ----------
        from_a : float
            The cut wanted, mm.
        reserve : float
            mm, 0 or more; an end gets less where the tube doesn't have it.

        Returns
        -------
        float
            mm at end a, inside the plan's window.
        """
        excess = self.plan.from_a + self.plan.from_b
        room_a = trims.full_wall(self.bought, 0) - self.need("a")
        room_b = trims.full_wall(self.bought, -1) - self.need("b")
        return float(butts.reserved(from_a, excess, room_a, room_b, reserve))

    def crossing(self, end: str) -> float:
        """Return where an end's crossing of axes lies on the bought tube.

        Parameters
        ----------
        end : str
            "a" or "b".

        Returns
        -------
        float
            mm from the bought tube's end a. It may lie beyond the tube: below 0 or above its
            length.
        """
        if end == "a":
            return float(self.plan.from_a - self.piece.a.long_point)
        return float(self.bought.length - self.plan.from_b + self.piece.b.long_point)

    def bore(self, end: str) -> Array:
        """Return where the bore's edge ends, with the wall that the trimmed tube has at that end.

        Parameters
        ----------
        end : str
            "a" or "b".

        Returns
        -------
        array, (stations,)
            As `Piece.bore`, mm.
        """
        return self.piece.bore(end, float(self.tube.walls[0 if end == "a" else 2]))


def cut_out(
    piece: Piece, bought: Butted, margin: float = butts.HEAT_MARGIN, from_a: float | None = None
) -> Trimmed:
    """Return how a piece comes out of a bought tube with the full wall that its joints need.

    End a of the bought tube lies at end a of the piece. A mitered end keeps the depth of its cut
    and `margin` of full wall; a square end keeps `margin`.

    Parameters
    ----------
    piece : Piece
        What is cut.
    bought : tubes.Butted
        The bought tube, of the piece's diameter.
    margin : float
        Full wall past the cut, mm, 0 or more.
    from_a : float, optional
        What comes off end a, mm: your own choice within the window.

    Returns
    -------
    Trimmed
        The piece, the tube and what comes off its ends.

    Raises
    ------
    ValueError
        "The tube must have the diameter of the piece; …", and the messages of `butts.plan`.
    """
    require(
        abs(bought.diameter - piece.diameter) < LEVEL,
        "The tube must have the diameter of the piece; got {tube} mm for {piece} mm. Check "
        "the frame's diameters.",
        tube=bought.diameter,
        piece=piece.diameter,
    )
    need_a, need_b = (butts.keep(end.depth, margin) for end in (piece.a, piece.b))
    plan = butts.plan(bought, piece.finished, need_a, need_b, from_a)
    return Trimmed(piece, bought, plan, bought.cut(plan.from_a, plan.from_b), margin)


def of_frame(
    placed: frame.Frame, short: Mapping[str, float] | None = None, stations: int = 361
) -> dict[str, Piece]:
    """Return every tube of a placed frame as a piece to cut, by name; the shell is left out.

    The down tube is cut to fit the shell and, where it reaches it, the seat tube. A tube that meets
    nothing at an end is square there.

    Parameters
    ----------
    placed : frame.Frame
        One frame (not a batch) after `Frame.place`.
    short : mapping of str to float, optional
        By how much a stay stops short of the rear axle, mm, by its name ("chainstay", "seatstay").
    stations : int
        How many lines of each tube, 2 or more.

    Returns
    -------
    dict of str to Piece
        The pieces by the names of their tubes.

    Raises
    ------
    ValueError
        "The tubes must be placed before there are joints; …"; "The stay must be longer than it
        stops short of the axle; …", and the messages of `miters.cluster`, named for the tube.

    Examples
    --------
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
    return Piece(
        name=name,
        diameter=float(axis.diameter),
        length=length,
        start=crossing["a"],
        direction=way,
        zero=zero,
        around_deg=np.linspace(0.0, 360.0, stations),
        a=made["a"],
        b=made["b"],
    )


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
    """A joint of the frame on the cut tube's lines, mirrored where they count against `miters`."""
    assert placed.tubes is not None
    way = one.inward if end == "a" else -one.inward
    ninety = np.cross(way, zero)
    hand = 1.0 if ninety[2] > 0 else -1.0
    other = placed.tubes.axes[one.into]
    beside = one.at - other.start
    beside = beside - (beside @ other.direction) * other.direction
    turned = np.degrees(np.arctan2(one.obtuse @ (hand * ninety), one.obtuse @ zero)) % 360.0
    return Joint(
        float(one.into_diameter),
        float(one.angle_deg),
        offset=hand * float(beside @ np.cross(one.inward, one.obtuse)),
        turned_deg=float(turned),
        set_back=float((one.at - main.at) @ one.inward),
    )
