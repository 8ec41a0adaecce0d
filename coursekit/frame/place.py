"""Tubes with real diameters laid into the frame by their edges, and the joints they make."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from coursekit.frame.tubes import (
    Array,
    Chainstay,
    DownTube,
    FrameJoint,
    Placed,
    Seatstay,
    TopTube,
    TubeAxis,
)
from coursekit.rules import not_negative, number, positive, require

# (cut, into, the end of `cut` that is at the joint)
_ENDS = (
    ("top_tube", "head_tube", "end"),
    ("top_tube", "seat_tube", "start"),
    ("down_tube", "head_tube", "end"),
    ("down_tube", "shell", "start"),
    ("down_tube", "seat_tube", "start"),
    ("seat_tube", "shell", "start"),
)


def _vector(x: Any, y: Any, z: Any = 0.0) -> Array:
    return np.stack(np.broadcast_arrays(*(np.asarray(v, float) for v in (x, y, z))), axis=-1)


def _dot(a: Array, b: Array) -> Any:
    return (a * b).sum(-1)


def _point(points: Mapping[str, Any], name: str) -> Array:
    return _vector(*points[name])


def _scaled(k: Any, v: Array) -> Array:
    return np.asarray(k, float)[..., None] * v


def _leaning(angle_deg: Any) -> tuple[Array, Array]:
    """Up along an axis that leans back, and forward square to it."""
    a = np.radians(angle_deg)
    return _vector(-np.cos(a), np.sin(a)), _vector(np.sin(a), np.cos(a))


def _turned(v: Array, angle: Any) -> Array:
    c, s = np.cos(angle), np.sin(angle)
    return _vector(c * v[..., 0] - s * v[..., 1], s * v[..., 0] + c * v[..., 1])


def _left_of(v: Array) -> Array:
    """Square to a direction in the plane, on its left."""
    return _vector(-v[..., 1], v[..., 0])


def meeting(p: Array, u: Array, q: Array, w: Array) -> Array:
    """Return where the line through p along u meets the line through q along w, in the plane.

    Parameters
    ----------
    p, u : array, (…, 3)
        A point of the first line, mm, and its direction.
    q, w : array, (…, 3)
        A point of the second line, mm, and its direction.

    Returns
    -------
    array, (…, 3)
        The point, mm.
    """
    n = _left_of(w)
    return p + _scaled(_dot(q - p, n) / _dot(u, n), u)


def tangent(edge: Array, passing: Any) -> Array:
    """Return the direction of a line from the origin that passes an edge at a given distance.

    A point at distance d from the origin lies `passing` off the line once the line is turned by
    asin(passing / d).

    Parameters
    ----------
    edge : array, (…, 3)
        A point in the plane, mm.
    passing : float or array
        How far above `edge` the line passes, mm.

    Returns
    -------
    array, (…, 3)
        Unit vector.
    """
    far = np.sqrt(_dot(edge, edge))
    return _turned(edge / np.asarray(far)[..., None], np.arcsin(passing / far))


def _down_tube(head: TubeAxis, up: Array, front: Array, own: DownTube, foot: Array) -> TubeAxis:
    edge = foot + _scaled(own.above_head_bottom, up) - _scaled(head.diameter / 2, front)
    passing, far = own.diameter / 2 - own.above_shell, np.sqrt(_dot(edge, edge))
    require(
        np.abs(passing) < far,
        "The down tube must reach from the shell to the head tube; got an axis {passing} mm "
        "off the tube's lower edge, which is {far} mm away at the head tube. Take a thinner "
        "down tube, or let its axis pass nearer to the shell's centre.",
        passing=passing,
        far=far,
    )
    along = tangent(edge, passing)
    start = _scaled(own.above_shell, _left_of(along))
    return TubeAxis(start, meeting(start, along, head.start, up), own.diameter)


def _top_tube(
    head: TubeAxis, seat: TubeAxis, up: Array, front: Array, own: TopTube, lean: Array, ahead: Array
) -> TubeAxis:
    if (own.below_seat_top is None) == (own.slope_deg is None):
        given = "both" if own.slope_deg is not None else "neither"
        raise ValueError(
            "The top tube must be given by one of below_seat_top and slope_deg; "
            f"got {given}. Give just one of them."
        )
    edge = head.end - _scaled(own.below_head_top, up) - _scaled(head.diameter / 2, front)
    if own.slope_deg is None:
        rear = seat.end - _scaled(own.below_seat_top, lean) + _scaled(seat.diameter / 2, ahead)
        along = (edge - rear) / np.sqrt(_dot(edge - rear, edge - rear))[..., None]
    else:
        fall = np.asarray(number("slope_deg", own.slope_deg, "degrees"))
        require(
            np.abs(fall) < 45,
            "The top tube must slope by less than 45°; got {slope}°. Give its angle from the "
            "level.",
            slope=fall,
        )
        slope = np.radians(fall)
        along = _vector(np.cos(slope), np.sin(slope))
    axis = edge - _scaled(own.diameter / 2, _left_of(along))
    return TubeAxis(
        meeting(axis, along, seat.start, lean), meeting(axis, along, head.start, up), own.diameter
    )


def _edge_on_head(head: TubeAxis, tube: TubeAxis, up: Array, front: Array, side: int) -> Any:
    """Where a tube's upper (+1) or lower (−1) edge meets the head tube's rear, mm up its axis."""
    edge = tube.start + _scaled(side * tube.diameter / 2, _left_of(tube.direction))
    at = meeting(edge, tube.direction, head.start - _scaled(head.diameter / 2, front), up)
    return _dot(at - head.start, up)


def _aside(v: Array, apart: Any) -> Array:
    """The point half of `apart` to the drive side."""
    return v + _scaled(np.divide(apart, 2), _vector(0.0, 0.0, 1.0))


def _flip(v: Array) -> Array:
    flipped: Array = v * np.array([1.0, 1.0, -1.0])
    return flipped


def _chainstay(own: Chainstay, axle: Array) -> TubeAxis:
    """The drive side's axis; in side view it passes above_shell over the shell's axis."""
    far = np.sqrt(_dot(axle, axle))
    require(
        np.abs(own.above_shell) < far,
        "A chainstay must pass nearer to the shell than its axle is; got an axis {passing} mm"
        " off the shell's, with the axle {far} mm away. Give above_shell in mm; it is small "
        "or zero.",
        passing=own.above_shell,
        far=far,
    )
    back = _turned(axle / np.asarray(far)[..., None], np.arcsin(own.above_shell / far))
    start = _scaled(-np.asarray(own.above_shell, float), _left_of(back))
    return TubeAxis(
        _aside(start, own.apart_at_shell), _aside(axle, own.apart_at_axle), own.diameter
    )


def _seatstay(own: Seatstay, seat: TubeAxis, lean: Array, axle: Array) -> TubeAxis:
    start = seat.end - _scaled(own.below_seat_top, lean)
    return TubeAxis(
        _aside(start, own.apart_at_seat_tube), _aside(axle, own.apart_at_axle), own.diameter
    )


def joint(cut: str, into: str, axes: Mapping[str, TubeAxis], end: str) -> FrameJoint:
    """Return the joint at one end of a tube with another tube.

    Parameters
    ----------
    cut, into : str
        Names of the tube that is cut and of the tube it meets.
    axes : mapping of str to TubeAxis
        The axes of both, by name.
    end : str
        "start" or "end" of the cut tube.

    Returns
    -------
    FrameJoint
        Angle, offset and directions.
    """
    a, b = axes[cut], axes[into]
    inward = a.direction if end == "start" else -a.direction
    other = b.direction
    cos = _dot(inward, other)
    gap = a.start - b.start
    square = np.cross(inward, other)
    sin = np.sqrt(_dot(square, square))
    offset = np.abs(_dot(gap, square) / sin)
    travel = (cos * _dot(other, gap) - _dot(inward, gap)) / sin**2
    away = _scaled(np.where(cos < -1e-12, 1.0, -1.0), other)  # into the obtuse corner
    obtuse = away - _scaled(_dot(away, inward), inward)
    obtuse = obtuse / np.sqrt(_dot(obtuse, obtuse))[..., None]
    angle = np.degrees(np.arctan2(sin, np.abs(cos)))
    return FrameJoint(
        cut=cut,
        into=into,
        cut_diameter=a.diameter,
        into_diameter=b.diameter,
        angle_deg=angle,
        offset=offset,
        at=a.start + _scaled(travel, inward),
        inward=inward,
        obtuse=obtuse,
    )


def _plane_axes(
    points: Mapping[str, Any],
    head_deg: Any,
    seat_deg: Any,
    sizes: Mapping[str, Any],
    top: TopTube,
    down: DownTube,
) -> tuple[dict[str, TubeAxis], Any]:
    up, front = _leaning(head_deg)
    lean, ahead = _leaning(seat_deg)
    head = TubeAxis(_point(points, "head_low"), _point(points, "head_high"), sizes["head_tube"])
    seat = TubeAxis(_point(points, "bb"), _point(points, "seat_top"), sizes["seat_tube"])
    axes = {
        "head_tube": head,
        "seat_tube": seat,
        "top_tube": _top_tube(head, seat, up, front, top, lean, ahead),
        "down_tube": _down_tube(head, up, front, down, head.start),
    }
    above = _dot(axes["top_tube"].start - seat.end, lean)
    require(
        above < 0,
        "The top tube must meet the seat tube below its top; got {over} mm above it. Lengthen"
        " the seat tube or let the top tube fall more to the rear.",
        over=above,
    )
    top_at = _edge_on_head(head, axes["top_tube"], up, front, -1)
    room = top_at - _edge_on_head(head, axes["down_tube"], up, front, 1)
    require(
        room > 0,
        "The head tube must be long enough for both tubes; got the down tube {over} mm into "
        "the top tube on its rear. Lengthen the head tube or take thinner tubes.",
        over=-np.asarray(room),
    )
    return axes, room


def placed(
    points: Mapping[str, Any],
    head_deg: Any,
    seat_deg: Any,
    sizes: Mapping[str, Any],
    top: TopTube,
    down: DownTube,
    chainstay: Chainstay | None,
    seatstay: Seatstay | None,
) -> Placed:
    """Return the axes of all tubes, and the joints among them.

    Parameters
    ----------
    points : mapping of str to (x, y)
        As `Frame.points`, mm.
    head_deg, seat_deg : float or array
        Head angle and seat angle, degrees.
    sizes : mapping of str to float or array
        Outside diameters of "head_tube", "seat_tube" and "shell", mm.
    top : TopTube
        How the top tube lies.
    down : DownTube
        How the down tube lies.
    chainstay : Chainstay or None
        How the pair of chainstays lies.
    seatstay : Seatstay or None
        How the pair of seatstays lies.

    Returns
    -------
    Placed
        Axes, joints, and the room left on the head tube.

    Raises
    ------
    ValueError
        As `Frame.place`; "The head tube must have a length; got …"
    """
    _refuse_sizes(points, sizes, top, down)
    axes, room = _plane_axes(points, head_deg, seat_deg, sizes, top, down)
    axes["shell"] = TubeAxis(
        _vector(0.0, 0.0, -1.0) + 0 * _point(points, "bb"),
        _vector(0.0, 0.0, 1.0) + 0 * _point(points, "bb"),
        sizes["shell"],
    )
    ends = list(_ENDS)
    axle, (lean, _) = _point(points, "rear_axle"), _leaning(seat_deg)
    for name, line, other in (
        ("chainstay", chainstay and _chainstay(chainstay, axle), "shell"),
        ("seatstay", seatstay and _seatstay(seatstay, axes["seat_tube"], lean, axle), "seat_tube"),
    ):
        if line:
            positive(name, line.diameter)
            axes[f"right_{name}"] = line
            axes[f"left_{name}"] = TubeAxis(_flip(line.start), _flip(line.end), line.diameter)
            ends += [(f"{side}_{name}", other, "start") for side in ("right", "left")]
    joints = {f"{cut}-{into}": joint(cut, into, axes, end) for cut, into, end in ends}
    return Placed(axes, joints, room)


def _refuse_sizes(
    points: Mapping[str, Any], sizes: Mapping[str, Any], top: TopTube, down: DownTube
) -> None:
    for name, size in (*sizes.items(), ("top_tube", top.diameter), ("down_tube", down.diameter)):
        positive(name, size)
    not_negative("below_head_top", top.below_head_top)
    not_negative("above_head_bottom", down.above_head_bottom)
    if top.below_seat_top is not None:
        not_negative("below_seat_top", top.below_seat_top)
    for name, low, high in (
        ("head tube", "head_low", "head_high"),
        ("seat tube", "bb", "seat_top"),
    ):
        way = _point(points, high) - _point(points, low)
        require(
            _dot(way, way) > 1e-6,
            "The {name} must have a length; got {long} mm. Give it in mm.",
            long=np.sqrt(_dot(way, way)),
            name=name,
        )
