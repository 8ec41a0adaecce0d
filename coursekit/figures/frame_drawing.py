"""Figures of the lesson on the frame drawing; mm, side view from the drive side, as `coursekit.frame`."""

from __future__ import annotations

import itertools

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon

from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    centre_line,
    drawing,
    house_style,
    measure,
    point_out,
    tube,
)
from coursekit.frame import DownTube, Frame, TopTube, draw

Array = np.ndarray

# the frame that the lesson draws; with its front centre it is whole
FRONT_CENTRE = 565.0
REST = {
    "seat_angle_deg": 71.0, "head_angle_deg": 69.0, "chainstay": 400.0, "bb_drop": 60.0,
    "wheel_radius": 320.0, "fork_length": 360.0, "fork_offset": 60.0, "lower_stack": 18.0,
    "head_tube": 95.0, "seat_tube": 430.0,
}  # fmt: skip
WALK = (
    "bb", "rear_axle", "rear_contact", "front_contact", "front_axle", "steer_foot", "head_high", "bb",
)  # fmt: skip


def example() -> Frame:
    """Return the frame that the lesson draws."""
    return draw(front_centre=FRONT_CENTRE, **REST)


def steps(frame: Frame) -> str:
    """Return the walk round the drawing in lines of text: each step forward and up, mm, and their sum."""
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


def _dot(axes: Axes, *points: Array) -> None:
    for x, y in points:
        axes.plot(x, y, "o", color="white", markeredgecolor=INK, markersize=6, zorder=5)


def _wheel(axes: Axes, centre: Array, radius: float) -> None:
    axes.add_patch(Circle((centre[0], centre[1]), radius, fill=False, edgecolor=INK, linewidth=1.0))


def _ground(axes: Axes, level: float, left: float, right: float) -> None:
    axes.plot([left, right], [level, level], color=INK, linewidth=2.2)


def _square(axes: Axes, corner: Array, one: Array, other: Array, size: float) -> None:
    """Draw the small square of a right angle at `corner`, along the two directions."""
    u, v = one / np.hypot(*one) * size, other / np.hypot(*other) * size
    _line(axes, corner + u, corner + u + v, corner + v, width=1.0, color=ACCENT)


@house_style
def whole(frame: Frame) -> Figure:
    """Return the map: wheels, ground and every point of the drawing by its letter."""
    p, level = _points(frame), -float(frame.bb_height)
    rear, front = p["rear_axle"], p["front_axle"]
    left, right = rear[0] - frame.rear_radius - 10, front[0] + frame.front_radius + 10
    figure, axes = drawing(3.5, (left, right), (level - 130, p["head_high"][1] + 90))
    _wheel(axes, rear, frame.rear_radius)
    _wheel(axes, front, frame.front_radius)
    _ground(axes, level, left, right)
    _line(axes, rear, front, width=0.9, style="--")
    _line(axes, rear, p["bb"], p["seat_top"], width=3)
    _line(axes, p["bb"], p["head_low"], p["head_high"], width=3)
    _line(axes, p["seat_top"], p["head_high"], width=1.4)
    _line(axes, p["seat_top"], rear, width=1.4)
    centre_line(axes, p["head_high"], p["trail_point"])
    _line(axes, p["crown"], front, width=1.4)
    names = {
        "bb": ("B", 0, -52), "rear_axle": ("A", -45, 22), "front_axle": ("F", 45, 22),
        "steer_foot": ("S", -48, -14), "crown": ("C", 54, -12), "head_low": ("L", 50, 34),
        "head_high": ("H", 46, 20), "seat_top": ("T", -48, 12),
    }  # fmt: skip
    _dot(axes, *(p[n] for n in names))
    for name, (letter, dx, dy) in names.items():
        axes.text(p[name][0] + dx, p[name][1] + dy, letter, ha="center", va="center", weight="bold", fontsize=12)  # fmt: skip
    axes.annotate("", xy=(140, level - 70), xytext=(0, level - 70), arrowprops={"arrowstyle": "-|>", "color": ACCENT})  # fmt: skip
    axes.annotate("", xy=(-30, level - 70 + 140), xytext=(-30, level - 70), arrowprops={"arrowstyle": "-|>", "color": ACCENT})  # fmt: skip
    axes.text(150, level - 70, "x forward", ha="left", va="center")
    axes.text(-58, level + 45, "y up", ha="right", va="center")
    return figure


@house_style
def rear_triangle(frame: Frame) -> Figure:
    """Return the right triangle of chainstay, drop and level run."""
    p = _points(frame)
    rear, corner, bb = p["rear_axle"], np.array([0.0, p["rear_axle"][1]]), p["bb"]
    figure, axes = drawing(2.2, (rear[0] - 60, 130), (-75, rear[1] + 62))
    axes.add_patch(Polygon([rear, corner, bb], facecolor=LIGHT, edgecolor="none"))
    _line(axes, rear, bb, width=3)
    _line(axes, rear, corner, bb, width=1.6, color=ACCENT)
    _square(axes, corner, rear - corner, bb - corner, 14)
    _dot(axes, rear, bb)
    axes.text(rear[0] / 2, rear[1] + 24, f"run = √({frame.chainstay:g}² − {frame.bb_drop:g}²)", ha="center", va="center")  # fmt: skip
    axes.text(
        rear[0] / 2 - 25,
        rear[1] / 2 - 34,
        f"chainstay {frame.chainstay:g}",
        ha="center",
        va="center",
    )
    axes.text(12, rear[1] / 2, f"drop {frame.bb_drop:g}", ha="left", va="center")
    axes.text(rear[0] - 12, rear[1] + 2, "A", ha="right", va="center", weight="bold")
    axes.text(0, -26, "B", ha="center", va="center", weight="bold")
    return figure


@house_style
def fork(frame: Frame) -> Figure:
    """Return the fork: offset square to the axis, length straight from the axle, rise up the axis."""
    p = _points(frame)
    front, foot, crown = p["front_axle"], p["steer_foot"], p["crown"]
    figure, axes = drawing(
        4.2, (crown[0] - 105, front[0] + 190), (foot[1] - 70, p["head_low"][1] + 45)
    )
    up = (crown - foot) / np.hypot(*(crown - foot))
    centre_line(axes, foot - 75 * up, p["head_low"] + 45 * up)
    axes.add_patch(Polygon([front, foot, crown], facecolor=LIGHT, edgecolor="none"))
    _line(axes, crown, front, width=3)
    _line(axes, front, foot, width=2, color=ACCENT)
    _line(axes, foot, crown, width=2, color=ACCENT)
    _square(axes, foot, front - foot, up, 12)
    level = np.array([foot[0], front[1]])
    _line(axes, front, level, foot, width=1.0, style=":")
    _line(axes, crown, p["head_low"], width=4)
    _dot(axes, front, foot, crown, p["head_low"])
    axes.text(front[0] + 14, front[1], "F", ha="left", va="center", weight="bold")
    axes.text(crown[0] + 14, crown[1] + 8, "C", ha="left", va="center", weight="bold")
    axes.text(
        p["head_low"][0] + 14, p["head_low"][1] + 8, "L", ha="left", va="center", weight="bold"
    )
    axes.text(foot[0] - 12, foot[1] - 8, "S", ha="right", va="center", weight="bold")
    point_out(
        axes,
        (front + foot) / 2,
        (front[0] + 96, foot[1] - 42),
        f"offset {frame.fork_offset:g}, square to the axis",
    )
    middle = (crown + front) / 2
    point_out(
        axes,
        middle,
        (middle[0] + 112, middle[1] + 40),
        f"length {frame.fork_length:g},\nstraight F to C",
    )
    middle = (foot + crown) / 2
    point_out(axes, middle, (middle[0] - 100, middle[1] - 40), "rise S to C,\nup the axis")
    end = p["head_low"] + 20 * up
    axes.text(end[0] - 20, end[1] - 6, "steering\naxis", ha="right", va="center")
    return figure


@house_style
def traverse(frame: Frame) -> Figure:
    """Return the walk round the drawing: each leg with its step forward and up."""
    p = _points(frame)
    figure, axes = drawing(3.4, (p["rear_axle"][0] - 90, p["front_axle"][0] + 110), (p["rear_contact"][1] - 60, p["head_high"][1] + 40))  # fmt: skip
    shift = {"rear_axle": (-30, 12), "front_axle": (34, 16), "steer_foot": (-30, -22), "head_high": (34, 16), "bb": (-6, -40), "rear_contact": (-30, -28), "front_contact": (30, -28)}  # fmt: skip
    letters = {"bb": "B", "rear_axle": "A", "rear_contact": "G", "front_contact": "K", "front_axle": "F", "steer_foot": "S", "head_high": "H"}  # fmt: skip
    for number, (a, b) in enumerate(itertools.pairwise(WALK), start=1):
        axes.annotate("", xy=tuple(p[b]), xytext=tuple(p[a]), arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.6, "shrinkA": 4, "shrinkB": 4})  # fmt: skip
        middle = (p[a] + p[b]) / 2 if number != 5 else (p[a] + p[b]) / 2 + np.array([0.0, 44.0])
        axes.text(middle[0], middle[1], str(number), ha="center", va="center", color=ACCENT, bbox={"boxstyle": "circle,pad=0.2", "facecolor": "white", "edgecolor": ACCENT})  # fmt: skip
    for name, letter in letters.items():
        at = p[name] + shift[name]
        axes.text(at[0], at[1], letter, ha="center", va="center", weight="bold")
    _dot(axes, *(p[n] for n in letters))
    return figure


@house_style
def trail(frame: Frame) -> Figure:
    """Return the front wheel on the ground, its axis, the trail and the mechanical trail."""
    p, level = _points(frame), -float(frame.bb_height)
    front, contact, hit = p["front_axle"], p["front_contact"], p["trail_point"]
    figure, axes = drawing(4.4, (front[0] - 190, front[0] + 235), (level - 75, front[1] + 95))
    turn = np.radians(np.linspace(192, 348, 60))
    axes.plot(front[0] + frame.front_radius * np.cos(turn), front[1] + frame.front_radius * np.sin(turn), color=INK, linewidth=1.2)  # fmt: skip
    _ground(axes, level, front[0] - 190, front[0] + 235)
    up = (p["crown"] - p["steer_foot"]) / np.hypot(*(p["crown"] - p["steer_foot"]))
    centre_line(axes, hit - 14 * up, p["steer_foot"] + 85 * up)
    _line(axes, front, contact, width=1.2, style="--")
    _line(axes, front, p["steer_foot"], width=2, color=ACCENT)
    near = contact + np.dot(hit - contact, up) * -up + (hit - contact)
    _line(axes, contact, near, width=2, color=ACCENT)
    _square(axes, near, up, contact - near, 11)
    _square(axes, p["steer_foot"], up, front - p["steer_foot"], 11)
    _dot(axes, front, contact, hit, p["steer_foot"])
    measure(axes, (contact[0], level - 22), (hit[0], level - 22), "", (0, 0))
    axes.text(
        (contact[0] + hit[0]) / 2,
        level - 46,
        f"trail {float(frame.trail):.1f}",
        ha="center",
        va="center",
    )
    point_out(
        axes,
        (contact + near) / 2,
        (front[0] - 120, level + 95),
        f"mechanical\ntrail {float(frame.mechanical_trail):.1f}",
    )
    point_out(
        axes,
        (front + p["steer_foot"]) / 2,
        (front[0] - 130, front[1] + 60),
        f"offset {frame.fork_offset:g}",
    )
    axes.text(
        front[0] + 9,
        (front[1] + level) / 2 + 60,
        f"$R_f$ = {frame.front_radius:g}",
        ha="left",
        va="center",
    )
    arc(axes, hit, 40, 180 - float(frame.head_angle_deg), 180)
    axes.text(hit[0] + 24, level + 50, f"η = {frame.head_angle_deg:g}°", ha="left", va="center")
    axes.text(front[0] + 14, front[1] + 14, "F", ha="left", va="center", weight="bold")
    foot = p["steer_foot"]
    axes.text(foot[0] - 12, foot[1] - 8, "S", ha="right", va="center", weight="bold")
    return figure


def _to_the_rear(end: Array, along: Array, diameter: float, edge: Array, up: Array) -> list[Array]:
    """Return a tube's outline that comes from below and stops at the line through `edge` along `up`."""
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
        down_tube=DownTube(down_tube, above_head_bottom=bead), head_tube=head_tube,
    )  # fmt: skip
    assert built.tubes is not None
    low, high = _points(frame)["head_low"], _points(frame)["head_high"]
    up = (high - low) / np.hypot(*(high - low))
    back = np.array([-up[1], up[0]])
    line = built.tubes.axes["down_tube"]
    along, end = line.direction[:2], line.end[:2]
    edge = low + bead * up + head_tube / 2 * back
    figure, axes = drawing(4.2, (low[0] - 120, low[0] + 75), (low[1] - 70, low[1] + 92))
    body = _to_the_rear(end, along, down_tube, edge, up)
    axes.add_patch(Polygon(body, facecolor=STEEL, edgecolor="none"))
    _line(axes, *body)
    tube(axes, tuple(low), tuple(high), head_tube)
    _line(axes, low - head_tube / 2 * back, low + head_tube / 2 * back, width=1.8)
    centre_line(axes, low - 30 * up, high + 5 * up)
    centre_line(axes, end - 150 * along, end)
    _line(axes, edge, edge - 150 * along, width=2.6, color=ACCENT)
    foot = low + head_tube / 2 * back
    measure(axes, tuple(foot + 2 * back), tuple(edge + 2 * back), "", (0, 0))
    _dot(axes, low, edge)
    axes.text(low[0] + 5, low[1] - 5, "L", ha="left", va="top", weight="bold")
    axes.text(edge[0] - 7, edge[1] + 1, "E", ha="right", va="center", weight="bold")
    point_out(
        axes,
        (foot + edge) / 2 + 2 * back,
        (low[0] + 40, low[1] - 34),
        f"room for\nthe bead, {bead:g}",
    )
    point_out(axes, edge - 75 * along, (low[0] - 16, low[1] - 62), "lower edge", ha="left")
    angle = float(built.joints["down_tube-head_tube"].angle_deg)
    start = np.degrees(np.arctan2(-along[1], -along[0]))
    stop = np.degrees(np.arctan2(-up[1], -up[0])) % 360
    arc(axes, end, 50, start % 360, stop)
    axes.text(low[0] + 26, low[1] + 20, f"included\nangle\n{angle:.1f}°", ha="left", va="center")
    return figure


@house_style
def toes(frame: Frame, crank: float) -> Figure:
    """Return the crank that points at the front axle, and the gap between pedal and tyre."""
    p = _points(frame)
    front = p["front_axle"]
    toward = front / np.hypot(*front)
    pedal, tyre = crank * toward, front - frame.front_radius * toward
    figure, axes = drawing(2.9, (-210, front[0] + 60), (-200, 190))
    turn = np.radians(np.linspace(125, 235, 60))
    axes.plot(front[0] + frame.front_radius * np.cos(turn), front[1] + frame.front_radius * np.sin(turn), color=INK, linewidth=1.6)  # fmt: skip
    axes.add_patch(Circle((0, 0), crank, fill=False, edgecolor=INK, linewidth=1.0, linestyle="--"))
    _line(axes, p["bb"], pedal, width=4)
    _line(axes, pedal, tyre, width=2.4, color=ACCENT)
    _line(axes, tyre, front, width=1.2, style=":")
    _dot(axes, p["bb"], pedal, front)
    axes.text(-14, -24, "B", ha="center", va="center", weight="bold")
    axes.text(front[0] + 18, front[1] + 14, "F", ha="center", va="center", weight="bold")
    axes.text(crank / 2, 40, f"crank {crank:g}", ha="center", va="center")
    gap = float(frame.toe_clearance(crank, 0))
    point_out(axes, (pedal + tyre) / 2, (crank + 60, -120), f"gap {gap:.0f}")
    axes.text(
        front[0] - 150, front[1] + 14, f"$R_f$ = {frame.front_radius:g}", ha="center", va="center"
    )
    return figure
