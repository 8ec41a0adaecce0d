"""Figures of the lesson on the frame drawing; mm, seen from the drive side, as in `frame`."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
    arrow,
    badge,
    centre_line,
    disc,
    dot,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    tube,
)
from coursekit.frame import DownTube, Frame, TopTube

Array = np.ndarray

# what the lesson is given beside the front centre
GIVEN = (
    "seat_angle_deg",
    "head_angle_deg",
    "chainstay",
    "bb_drop",
    "wheel_radius",
    "fork_length",
    "fork_offset",
    "lower_stack",
    "head_tube",
    "seat_tube",
)
STOPS = {  # points on the walk round the drawing, their letters, and how far off those stand, mm
    "bb": ("B", -6, -40),
    "rear_axle": ("A", -30, 12),
    "rear_contact": ("G", -30, -28),
    "front_contact": ("K", 30, -28),
    "front_axle": ("F", 34, 16),
    "steer_foot": ("S", -30, -22),
    "head_high": ("H", 34, 16),
}
WALK = (*STOPS, "bb")


def steps(frame: Frame) -> str:
    """Return the walk round the drawing as text: each step forward and up, mm, and their sum."""
    legs = [np.subtract(frame.points[b], frame.points[a]) for a, b in itertools.pairwise(WALK)]
    names = [f"step {number}:" for number in range(1, len(legs) + 1)] + ["sum:"]
    rows = zip(names, [*legs, np.sum(legs, axis=0).round(6)], strict=True)
    return "\n".join(f"{name:8} forward {x + 0:8.1f}   up {y + 0:8.1f}" for name, (x, y) in rows)


def _points(frame: Frame) -> dict[str, Array]:
    return {name: np.array(p, dtype=float) for name, p in frame.points.items()}


def _line(
    axes: Axes, *points: Array, width: float = 1.8, style: str = "-", color: str = INK
) -> None:
    axes.plot(*np.transpose(points), color=color, linewidth=width, linestyle=style)


def _unit(way: Array) -> Array:
    return np.asarray(way / np.hypot(*way))


def _wheel(axes: Axes, centre: Array, radius: float, **options: Any) -> None:
    disc(axes, centre, radius, "none", **options)


def _tread(
    axes: Axes, centre: Array, radius: float, start_deg: float, end_deg: float, width: float
) -> None:
    """Draw a part of a tyre's outline."""
    turn = np.radians(np.linspace(start_deg, end_deg, 60))
    x, y = centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)
    axes.plot(x, y, color=INK, linewidth=width)


def _letter(axes: Axes, at: Array, right: float, up: float, name: str, **options: Any) -> None:
    label(axes, at[0] + right, at[1] + up, name, weight="bold", **options)


def _ground(axes: Axes, level: float, left: float, right: float) -> None:
    axes.plot([left, right], [level, level], color=INK, linewidth=2.2)


def _square(axes: Axes, corner: Array, one: Array, other: Array, size: float) -> None:
    """Draw the small square of a right angle at `corner`, along the two directions."""
    u, v = _unit(one) * size, _unit(other) * size
    _line(axes, corner + u, corner + u + v, corner + v, width=1.0, color=ACCENT)


@house_style
def whole(frame: Frame) -> Figure:
    """Return the map: wheels, ground and every point of the drawing by its letter."""
    p, level = _points(frame), -float(frame.bb_height)
    rear, front = p["rear_axle"], p["front_axle"]
    edges = rear[0] - frame.rear_radius - 10, front[0] + frame.front_radius + 10
    figure, axes = drawing(3.5, edges, (level - 130, p["head_high"][1] + 90))
    _wheel(axes, rear, frame.rear_radius)
    _wheel(axes, front, frame.front_radius)
    _ground(axes, level, *edges)
    _line(axes, rear, front, width=0.9, style="--")
    _line(axes, rear, p["bb"], p["seat_top"], width=3)
    _line(axes, p["bb"], p["head_low"], p["head_high"], width=3)
    _line(axes, p["seat_top"], p["head_high"], width=1.4)
    _line(axes, p["seat_top"], rear, width=1.4)
    centre_line(axes, p["head_high"], p["trail_point"])
    _line(axes, p["crown"], front, width=1.4)
    names = {
        "bb": ("B", 0, -52),
        "rear_axle": ("A", -45, 22),
        "front_axle": ("F", 45, 22),
        "steer_foot": ("S", -48, -14),
        "crown": ("C", 54, -12),
        "head_low": ("L", 50, 34),
        "head_high": ("H", 46, 20),
        "seat_top": ("T", -48, 12),
    }
    dot(axes, *(p[n] for n in names))
    for name, (letter, right, up) in names.items():
        _letter(axes, p[name], right, up, letter, fontsize=12)
    low = level - 70
    arrow(axes, (0, low), (140, low), ACCENT, shrink=2)
    arrow(axes, (-30, low), (-30, low + 140), ACCENT, shrink=2)
    label(axes, 150, low, "x forward", ha="left")
    label(axes, -58, level + 45, "y up", ha="right")
    return figure


@house_style
def rear_triangle(frame: Frame) -> Figure:
    """Return the right triangle of chainstay, drop and level run."""
    p = _points(frame)
    rear, corner, bb = p["rear_axle"], np.array([0.0, p["rear_axle"][1]]), p["bb"]
    figure, axes = drawing(2.2, (rear[0] - 60, 130), (-75, rear[1] + 62))
    area(axes, [rear, corner, bb], LIGHT, edgecolor="none")
    _line(axes, rear, bb, width=3)
    _line(axes, rear, corner, bb, width=1.6, color=ACCENT)
    _square(axes, corner, rear - corner, bb - corner, 14)
    dot(axes, rear, bb)
    label(axes, rear[0] / 2, rear[1] + 24, f"run = √({frame.chainstay:g}² − {frame.bb_drop:g}²)")
    label(axes, rear[0] / 2 - 25, rear[1] / 2 - 34, f"chainstay {frame.chainstay:g}")
    label(axes, 12, rear[1] / 2, f"drop {frame.bb_drop:g}", ha="left")
    _letter(axes, rear, -12, 2, "A", ha="right")
    _letter(axes, bb, 0, -26, "B")
    return figure


@house_style
def fork(frame: Frame) -> Figure:
    """Return the fork: offset square to the axis, length straight from the axle, rise along it."""
    p = _points(frame)
    front, foot, crown, low = p["front_axle"], p["steer_foot"], p["crown"], p["head_low"]
    figure, axes = drawing(4.2, (crown[0] - 105, front[0] + 240), (foot[1] - 70, low[1] + 45))
    up = _unit(crown - foot)
    centre_line(axes, foot - 75 * up, low + 45 * up)
    area(axes, [front, foot, crown], LIGHT, edgecolor="none")
    _line(axes, crown, front, width=3)
    _line(axes, front, foot, width=2, color=ACCENT)
    _line(axes, foot, crown, width=2, color=ACCENT)
    _square(axes, foot, front - foot, up, 12)
    level = np.array([foot[0], front[1]])
    _line(axes, front, level, foot, width=1.0, style=":")
    _line(axes, crown, low, width=4)
    dot(axes, front, foot, crown, low)
    _letter(axes, front, 14, 0, "F", ha="left")
    _letter(axes, crown, 14, -8, "C", ha="left")
    _letter(axes, low, 14, 16, "L", ha="left")
    _letter(axes, foot, -12, -8, "S", ha="right")
    offset = f"offset {frame.fork_offset:g}, square to the axis"
    point_out(axes, (front + foot) / 2, (front[0] + 130, foot[1] - 42), offset)
    middle, length = (crown + front) / 2, f"length {frame.fork_length:g},\nstraight F to C"
    point_out(axes, middle, np.add(middle, (112, 40)), length)
    middle = (foot + crown) / 2
    point_out(axes, middle, np.subtract(middle, (100, 40)), "rise S to C,\nup the axis")
    end = low + 20 * up
    label(axes, end[0] - 20, end[1] - 6, "steering\naxis", ha="right")
    return figure


@house_style
def traverse(frame: Frame) -> Figure:
    """Return the walk round the drawing: each leg with its step forward and up."""
    p = _points(frame)
    x = (p["rear_axle"][0] - 90, p["front_axle"][0] + 110)
    figure, axes = drawing(3.4, x, (p["rear_contact"][1] - 60, p["head_high"][1] + 40))
    for number, (a, b) in enumerate(itertools.pairwise(WALK), start=1):
        arrow(axes, p[a], p[b], INK, 1.6, shrink=4)
        middle = (p[a] + p[b]) / 2 + [0, 44 if number == 5 else 0]
        badge(axes, middle[0], middle[1], str(number))
    for name, (letter, right, up) in STOPS.items():
        _letter(axes, p[name], right, up, letter)
    dot(axes, *(p[name] for name in STOPS))
    return figure


@house_style
def trail(frame: Frame) -> Figure:
    """Return the front wheel on the ground, its axis, the trail and the mechanical trail."""
    p, level = _points(frame), -float(frame.bb_height)
    front, contact, hit = p["front_axle"], p["front_contact"], p["trail_point"]
    foot, radius = p["steer_foot"], float(frame.front_radius)
    figure, axes = drawing(4.4, (front[0] - 190, front[0] + 235), (level - 75, front[1] + 95))
    _tread(axes, front, radius, 192, 348, 1.2)
    _ground(axes, level, front[0] - 190, front[0] + 235)
    up = _unit(p["crown"] - foot)
    centre_line(axes, hit - 14 * up, foot + 85 * up)
    _line(axes, front, contact, width=1.2, style="--")
    _line(axes, front, foot, width=2, color=ACCENT)
    near = contact + np.dot(hit - contact, up) * -up + (hit - contact)
    _line(axes, contact, near, width=2, color=ACCENT)
    _square(axes, near, up, contact - near, 11)
    _square(axes, foot, up, front - foot, 11)
    dot(axes, front, contact, hit, foot)
    measure(axes, (contact[0], level - 22), (hit[0], level - 22))
    label(axes, (contact[0] + hit[0]) / 2, level - 46, f"trail {float(frame.trail):.1f}")
    short = f"mechanical\ntrail {float(frame.mechanical_trail):.1f}"
    point_out(axes, (contact + near) / 2, (front[0] - 120, level + 95), short)
    point_out(axes, (front + foot) / 2, np.add(front, (-130, 60)), f"offset {frame.fork_offset:g}")
    label(axes, front[0] + 9, (front[1] + level) / 2 + 60, f"$R_f$ = {radius:g}", ha="left")
    arc(axes, hit, 40, 180 - float(frame.head_angle_deg), 180)
    label(axes, hit[0] + 24, level + 50, f"η = {frame.head_angle_deg:g}°", ha="left")
    _letter(axes, front, 14, 14, "F", ha="left")
    _letter(axes, foot, -12, -8, "S", ha="right")
    return figure


def _to_the_rear(end: Array, along: Array, diameter: float, edge: Array, up: Array) -> list[Array]:
    """Return a tube's outline from below up to the line through `edge` that runs along `up`."""
    corners = []
    for side in (-1, 1):
        start = end + side * diameter / 2 * np.array([-along[1], along[0]])
        reach = np.linalg.solve(np.column_stack([along, -up]), edge - start)[0]
        corners += [start - 220 * along, start + reach * along]
    return [corners[0], corners[1], corners[3], corners[2]]


@house_style
def room(frame: Frame, down_tube: float, head_tube: float, bead: float) -> Figure:
    """Return the head tube's lower end with the down tube's edge a bead's room above it."""
    built = frame.place(
        top_tube=TopTube(25.4, below_head_top=10, below_seat_top=10),
        down_tube=DownTube(down_tube, above_head_bottom=bead),
        head_tube=head_tube,
    )
    assert built.tubes is not None
    low, high = _points(frame)["head_low"], _points(frame)["head_high"]
    up = _unit(high - low)
    back = np.array([-up[1], up[0]])
    line = built.tubes.axes["down_tube"]
    along, end = line.direction[:2], line.end[:2]
    edge = low + bead * up + head_tube / 2 * back
    figure, axes = drawing(4.2, (low[0] - 120, low[0] + 75), (low[1] - 70, low[1] + 92))
    body = _to_the_rear(end, along, down_tube, edge, up)
    area(axes, body, STEEL, edgecolor="none")
    _line(axes, *body)
    tube(axes, tuple(low), tuple(high), head_tube)
    _line(axes, low - head_tube / 2 * back, low + head_tube / 2 * back, width=1.8)
    centre_line(axes, low - 30 * up, high + 5 * up)
    centre_line(axes, end - 150 * along, end)
    _line(axes, edge, edge - 150 * along, width=2.6, color=ACCENT)
    foot = low + head_tube / 2 * back
    measure(axes, tuple(foot + 2 * back), tuple(edge + 2 * back))
    dot(axes, low, edge)
    axes.text(low[0] + 5, low[1] - 5, "L", ha="left", va="top", weight="bold")
    _letter(axes, edge, -7, 1, "E", ha="right")
    gap = (foot + edge) / 2 + 2 * back
    point_out(axes, gap, np.add(low, (40, -34)), f"room for\nthe bead, {bead:g}")
    point_out(axes, edge - 75 * along, np.subtract(low, (16, 62)), "lower edge", ha="left")
    angle = float(built.joints["down_tube-head_tube"].angle_deg)
    start = np.degrees(np.arctan2(-along[1], -along[0]))
    stop = np.degrees(np.arctan2(-up[1], -up[0])) % 360
    arc(axes, end, 50, start % 360, stop)
    label(axes, low[0] + 26, low[1] + 20, f"included\nangle\n{angle:.1f}°", ha="left")
    return figure


@house_style
def toes(frame: Frame, crank: float) -> Figure:
    """Return the crank that points at the front axle, and the gap between pedal and tyre."""
    p = _points(frame)
    front = p["front_axle"]
    toward, radius = _unit(front), float(frame.front_radius)
    pedal, tyre = crank * toward, front - radius * toward
    figure, axes = drawing(2.9, (-210, front[0] + 60), (-200, 190))
    _tread(axes, front, radius, 125, 235, 1.6)
    _wheel(axes, p["bb"], crank, linestyle="--")
    _line(axes, p["bb"], pedal, width=4)
    _line(axes, pedal, tyre, width=2.4, color=ACCENT)
    _line(axes, tyre, front, width=1.2, style=":")
    dot(axes, p["bb"], pedal, front)
    _letter(axes, p["bb"], -14, -24, "B")
    _letter(axes, front, 18, 14, "F")
    label(axes, crank / 2, 40, f"crank {crank:g}")
    gap = float(frame.toe_clearance(crank, 0))
    point_out(axes, (pedal + tyre) / 2, (crank + 60, -120), f"gap {gap:.0f}")
    label(axes, front[0] - 150, front[1] + 14, f"$R_f$ = {radius:g}")
    return figure
