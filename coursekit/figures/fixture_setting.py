"""Figures of the lesson on setting the fixture; mm, seen from the drive side, post at (0, 0)."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import fixture
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
    centre_line,
    disc,
    dot,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)
from coursekit.frame import Frame

Array = np.ndarray


def _points(frame: Frame, rail: float) -> dict[str, Array]:
    points = {name: np.array(p, float) for name, p in frame.points.items()}
    return points | {"crossing": np.array([float(fixture.settings(frame, rail).head_ahead), -rail])}


def _up(frame: Frame) -> Array:
    angle = np.radians(frame.head_angle_deg)
    return np.array([-np.cos(angle), np.sin(angle)])


def _rail(axes: Axes, left: float, right: float, rail: float) -> None:
    area(axes, [(left, -rail - 16), (right, -rail - 16), (right, -rail), (left, -rail)], STEEL, 1.0)


@house_style
def whole(frame: Frame, rail: float) -> Figure:
    """Return the whole fixture as lines: post, rear holder, rail, head arm, the axes it holds."""
    p, up = _points(frame, rail), _up(frame)
    figure, axes = drawing(4.6, (-505, 720), (-255, 660))
    _rail(axes, -470, 660, rail)
    axes.plot([0, 0], [-rail, 0], color=INK, linewidth=3)
    rear = p["rear_axle"]
    axes.plot([rear[0], rear[0]], [-rail, rear[1]], color=INK, linewidth=3)
    top = p["head_high"] + 45 * up
    axes.plot(*np.transpose([p["crossing"], top]), color=STEEL, linewidth=7, zorder=1)
    axes.plot(*np.transpose([p["head_low"], p["head_high"]]), color=INK, linewidth=9, zorder=2)
    axes.plot(*np.transpose([p["head_low"], p["head_high"]]), color=LIGHT, linewidth=6.5, zorder=3)
    for a, b in (("bb", "seat_top"), ("bb", "rear_axle")):
        centre_line(axes, p[a], p[b])
    centre_line(axes, p["crossing"] - 40 * up, top + 20 * up)
    axes.plot(*np.transpose([p["bb"], [0, 130]]), color=INK, linewidth=0.6, linestyle=":")
    fork = np.transpose([p["crown"], p["front_axle"], p["steer_foot"]])
    axes.plot(*fork, color=INK, linewidth=1, linestyle="--")
    dot(axes, p["bb"], rear, p["crossing"], p["front_axle"], size=6.5)
    arc(axes, p["bb"], 90, 180 - float(frame.seat_angle_deg), 180)
    axes.plot([-110, 0], [0, 0], color=INK, linewidth=0.6)
    label(axes, -175, 100, "seat angle", ha="right")
    arc(axes, p["crossing"], 62, 180 - float(frame.head_angle_deg), 180)
    label(axes, p["crossing"][0] - 72, -rail + 36, "head angle", ha="right")
    measure(axes, (rear[0], -160), (0, -160), "back", (0, -28))
    measure(axes, (0, -160), (p["crossing"][0], -160), "ahead", (0, -28))
    measure(axes, (rear[0] - 38, 0), (rear[0] - 38, rear[1]), "up", (-36, 4))
    axes.plot([rear[0] - 50, -110], [0, 0], color=INK, linewidth=0.6, linestyle=":")
    axes.plot([rear[0] - 50, rear[0]], [rear[1]] * 2, color=INK, linewidth=0.6)
    point_out(axes, p["bb"], (110, 95), "post: zero")
    point_out(axes, p["front_axle"], (660, 150), "front\naxle")
    point_out(axes, (p["head_low"] + p["head_high"]) / 2, (120, 340), "head tube")
    point_out(axes, top - 8 * up, (560, 600), "head arm")
    point_out(axes, (-280, -rail - 8), (-300, -230), "rail")
    return figure


@house_style
def to_rail(frame: Frame, rail: float) -> Figure:
    """Return the way from the front axle to the foot and down the steering axis to the rail."""
    p, up = _points(frame, rail), _up(frame)
    foot, axle, crossing = p["steer_foot"], p["front_axle"], p["crossing"]
    below = np.array([foot[0], -rail])
    figure, axes = drawing(3.9, (437, 697), (-146, 94))
    _rail(axes, 446, 685, rail)
    area(axes, [foot, below, crossing], LIGHT, edgecolor="none")
    centre_line(axes, crossing - 16 * up, foot + 48 * up)
    axes.plot(*np.transpose([foot, below]), color=ACCENT)
    axes.plot(*np.transpose([foot, axle]), color=INK, linewidth=2.4)
    axes.plot([446, foot[0]], [0, 0], color=INK, linewidth=0.7, linestyle=":")
    dot(axes, foot, axle, crossing, size=6.5)
    beside, under, run = foot[0] - 16, -rail - 25, crossing[0] - foot[0]
    measure(axes, (beside, -rail), (beside, foot[1]), f"{foot[1] + rail:.1f}", (-17, -25))
    axes.plot([foot[0] - 20, foot[0]], [foot[1]] * 2, color=INK, linewidth=0.7)
    measure(axes, (foot[0], under), (crossing[0], under), f"{run:.1f}", (0, -9))
    for x in (foot[0], crossing[0]):
        axes.plot([x, x], [-rail - 29, -rail], color=INK, linewidth=0.7)
    above, right = (foot + axle) / 2 + (-2, 17), (foot + crossing) / 2 + (9, 6)
    label(
        axes,
        above[0] + 4,
        above[1] - 4,
        f"offset {float(frame.fork_offset):g}",
        rotation=90 - float(frame.head_angle_deg),
    )
    along = float(fixture.settings(frame, rail).axle_along)
    label(axes, right[0], right[1], f"{along:.1f}", ha="left")
    arc(axes, crossing, 19, 180 - float(frame.head_angle_deg), 180)
    axes.text(
        crossing[0] - 21,
        -rail + 5,
        f"{float(frame.head_angle_deg):g}°",
        ha="right",
        va="bottom",
        fontsize=10,
    )
    label(axes, axle[0] + 8, axle[1] + 3, "front axle", ha="left")
    label(axes, foot[0] - 8, foot[1] + 12, "foot", ha="right")
    label(axes, 447, 7, "level of the post", ha="left", fontsize=10)
    label(axes, crossing[0] + 8, -rail + 9, "swing point", ha="left")
    label(axes, 461, -rail - 26, "rail")
    return figure


@house_style
def up_the_arm(frame: Frame, rail: float) -> Figure:
    """Return the head arm laid level: every length along it, from swing point to upper face."""
    s = fixture.settings(frame, rail)
    foot, low, high = float(s.axle_along), float(s.low_face), float(s.high_face)
    crown = low - float(frame.lower_stack)
    figure, axes = drawing(2.75, (-40, 760), (-205, 190))
    end = high + 40
    area(axes, [(-12, -9), (end, -9), (end, 9), (-12, 9)], STEEL)
    area(axes, [(low, -26), (high, -26), (high, 26), (low, 26)], LIGHT, 1.5)
    axes.plot([foot, foot, crown], [0, -float(frame.fork_offset), 0], color=INK, linewidth=2)
    centre_line(axes, (-30, 0), (end + 15, 0))
    for x in (0, foot, crown, low, high):
        axes.plot([x, x], [26, 112], color=INK, linewidth=0.6)
    dot(axes, (0, 0), (foot, 0), (foot, -float(frame.fork_offset)), (crown, 0), size=6.5)
    for a, b in ((0, foot), (foot, crown), (low, high)):
        measure(axes, (a, 66), (b, 66), f"{b - a:.1f}", (0, 24))
    point_out(axes, ((crown + low) / 2, 62), (490, 150), f"lower\nbearing {low - crown:g}")
    axes.text(0, -34, "swing\npoint", ha="center", va="top")
    label(axes, foot + 10, -82, "front axle")
    label(axes, (foot + crown) / 2 + 40, -64, f"fork {float(frame.fork_length):g}")
    for x, text in ((low, f"lower face\n{low:.1f}"), (high, f"upper face\n{high:.1f}")):
        point_out(axes, (x, -27), (x - 45 if x == low else x + 5, -128), text)
    return figure


@house_style
def cones(bore: float, cone_deg: float, length: float) -> Figure:
    """Return the head tube cut open between two cones; each tip stands inside its face."""
    deep = bore / 2 / np.tan(np.radians(cone_deg / 2))
    wide, wall = 25.0, 2.0
    reach = (wide - bore / 2) / np.tan(np.radians(cone_deg / 2))
    figure, axes = drawing(3.1, (-44, length + 44), (-50, 50))
    for sign in (-1, 1):
        low, high = sorted((sign * bore / 2, sign * (bore / 2 + wall)))
        area(axes, [(0, low), (length, low), (length, high), (0, high)], STEEL)
    for face, way in ((0.0, 1), (length, -1)):
        tip, back = face + way * deep, face - way * reach
        end = back - way * 14
        outline = [(tip, 0), (back, wide), (end, wide), (end, -wide), (back, -wide)]
        area(axes, outline, LIGHT, 1.4)
        measure(axes, (face, -34), (tip, -34), f"{deep:.1f}", (0, -8))
        axes.plot([face, face], [-bore / 2 - wall, -38], color=INK, linewidth=0.6)
        axes.plot([tip, tip], [0, -38], color=INK, linewidth=0.6)
    centre_line(axes, (-42, 0), (length + 42, 0))
    measure(axes, (length / 2, -bore / 2), (length / 2, bore / 2), f"{bore:g}", (9, 6))
    arc(axes, (deep, 0), 13, 180 - cone_deg / 2, 180 + cone_deg / 2)
    label(axes, deep - 16, 4.5, f"{cone_deg:g}°", ha="right")
    point_out(axes, (0, bore / 2 + 1), (16, 38), "lower face")
    point_out(axes, (length, bore / 2 + 1), (length - 16, 38), "upper face")
    return figure


@house_style
def square(frame: Frame, rail: float) -> Figure:
    """Return how far the post is from the steering axis, square to it, and the way to the foot."""
    p, up = _points(frame, rail), _up(frame)
    ahead = np.array([up[1], -up[0]])
    away = float(fixture.settings(frame, rail).square)
    near = away * ahead
    figure, axes = drawing(3.2, (-60, 680), (-140, 360))
    _rail(axes, -40, 660, rail)
    centre_line(axes, p["crossing"] - 30 * up, p["crossing"] + 420 * up)
    axes.plot(*np.transpose([p["bb"], p["steer_foot"]]), color=INK, linewidth=1, linestyle="--")
    measure(axes, p["bb"], near, f"{away:.1f}", (-18, 24))
    corner = [near - 22 * ahead, near - 22 * ahead + 22 * up, near + 22 * up]
    axes.plot(*np.transpose(corner), color=ACCENT, linewidth=1.4)
    dot(axes, p["bb"], p["steer_foot"], p["crossing"], size=6.5)
    label(axes, -8, 22, "post")
    label(axes, p["steer_foot"][0] + 14, p["steer_foot"][1], "foot", ha="left")
    point_out(axes, p["crossing"] + 400 * up, (600, 320), "steering axis")
    label(axes, 300, -28, "the way to the foot is longer", fontsize=10)
    return figure


@house_style
def parts(frame: Frame, rail: float, u_scale: float = 0.3, u_lean: float = 0.1) -> Figure:
    """Return what each setting brings to the wheelbase, and both ways to put it together."""
    errors = {"rear_back": u_scale, "head_ahead": u_scale, "head_angle_deg": u_lean}
    budget = fixture.error_budget(frame, errors, "wheelbase", rail)
    names = ("rear axle", "arm on the rail", "arm's angle", "root sum square", "worst case")
    values = [*(float(v) for v in budget.parts.values()), float(budget.total), float(budget.worst)]
    figure, axes = sheet(2.6)
    fills = [LIGHT] * 3 + [ACCENT, "white"]
    axes.barh(range(5), values, color=fills, edgecolor=INK, height=0.62)
    for i, value in enumerate(values):
        label(axes, value + 0.015, i, f"{value:.2f}", ha="left")
    axes.set(xlim=(0, 1.0), xlabel="of the wheelbase (mm)", yticks=range(5), yticklabels=names)
    axes.invert_yaxis()
    return figure


@house_style
def wedge(tube: float, gap: float = 0.25, shown: float = 20.0) -> Figure:
    """Return a joint that touches on one side only; its gap is drawn `shown` times too wide."""
    lean, length = gap * shown / tube, 75.0
    figure, axes = drawing(2.9, (-56, 84), (-30, length + 16))
    area(axes, [(-44, -22), (44, -22), (44, 0), (-44, 0)], LIGHT, 1.5)
    half = tube / 2
    turn = np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])
    outline = np.array([(0, 0), (0, length), (-tube, length), (-tube, 0)], float) @ turn.T
    outline += np.array([half, 0])
    area(axes, outline, STEEL, 1.5)
    axes.plot([0, 0], [0, length + 8], color=INK, linewidth=0.9, linestyle=":")
    middle = (outline[0] + outline[3]) / 2
    top = (outline[1] + outline[2]) / 2
    centre_line(axes, middle, top + 0.1 * (top - middle))
    disc(axes, (half, 0), 1.6, ACCENT, edgecolor="none", zorder=5)
    point_out(axes, (half, 0.5), (48, 16), "touches")
    point_out(axes, (-half, gap * shown / 2), (-40, 20), f"open\n{gap:g} mm")
    label(axes, 0, -11, "the tube it meets")
    label(axes, 44, length - 8, f"leans by\n{np.degrees(gap / tube):.2f}°", ha="left")
    return figure
