"""Figures of the lesson on the whole frame; mm, seen from the drive side, as in `frame`."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch

from coursekit import closure, fixture
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arrow,
    badge,
    block,
    centre_line,
    dot,
    drawing,
    heading,
    house_style,
    label,
    measure,
    point_out,
)
from coursekit.frame import Frame
from coursekit.pieces import Trimmed

NAMES = ("down tube", "steering axis", "top tube", "seat tube")


def legs(frame: Frame) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the walk round a frame's main triangle: lengths of its legs, and their directions.

    Up the down tube, up the steering axis, back along the top tube, down the seat tube; mm, and
    degrees from level and forward.
    """
    placed = frame.tubes
    assert placed is not None
    down, top = placed.axes["down_tube"], placed.axes["top_tube"]
    centre = np.zeros(2)
    points = np.array([centre, down.end[:2], top.end[:2], top.start[:2], centre])
    steps = np.diff(points, axis=0)
    ways = np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 360
    return tuple(np.hypot(*steps.T).tolist()), tuple(ways.tolist())


def _arrow(
    axes: Axes, start: Any, end: Any, color: str = INK, width: float = 1.8, style: str = "-|>"
) -> None:
    arrow(axes, start, end, color, width, style=style, mutation_scale=14)


@house_style
def papers() -> Figure:
    """Return what is made from the frame file, and between which papers numbers must agree."""
    figure, axes = drawing(3.6, (0, 112), (0, 80))
    boxes = {
        "frame file": (56, 71),
        "fixture card": (14, 45),
        "drawing": (56, 45),
        "cut list": (98, 45),
        "frame on\nthe plate": (14, 19),
        "alignment\nrecord": (56, 19),
        "templates": (98, 19),
    }
    for name, (x, y) in boxes.items():
        fill = STEEL if name == "frame file" else LIGHT
        look: dict[str, Any] = {"boxstyle": "round,pad=0.6", "facecolor": fill, "edgecolor": INK}
        axes.add_patch(FancyBboxPatch((x - 12, y - 5.5), 24, 11, **look))
        label(axes, x, y, name)
    for x, y in (boxes[n] for n in ("fixture card", "drawing", "cut list")):
        _arrow(axes, (56 + (x - 56) * 0.3, 64.6), (x, y + 6.4), width=1.2)
    checks = (
        ((43, 45), (27, 45), "1"),
        ((69, 45), (85, 45), "2"),
        ((98, 38.6), (98, 25.4), "3"),
        ((14, 38.6), (14, 25.4), "4"),
        ((27, 19), (43, 19), "5"),
        ((56, 25.4), (56, 38.6), "6"),
    )
    for start, end, number in checks:
        _arrow(axes, start, end, ACCENT, 1.6, "<|-|>")
        x, y = (np.asarray(start) + np.asarray(end)) / 2
        badge(axes, x, y, number, pad=0.16, weight="bold")
    label(axes, 56, 4.5, "each double arrow: one number, two ways")
    return figure


@house_style
def two_ways(frame: Frame, rail: float) -> Figure:
    """Return the wheelbase by the drawing (above) and by the fixture's scales (below)."""
    p = {n: np.array(v, float) for n, v in frame.points.items()}
    s = fixture.settings(frame, rail)
    rear, front, foot = p["rear_axle"], p["front_axle"], p["steer_foot"]
    crossing = np.array([float(s.head_ahead), -rail])
    figure, axes = drawing(3.0, (rear[0] - 120, front[0] + 260), (-235 - rail, 315))
    for a, b in ((rear, p["bb"]), (p["bb"], front)):
        axes.plot(*np.transpose([a, b]), color=INK, linewidth=2.6)
    centre_line(axes, foot + (foot - p["crown"]) * 0.35, p["crown"] - (p["crown"] - foot) * 0.25)
    axes.plot([rear[0], crossing[0] + 60], [-rail, -rail], color=INK, linewidth=0.9, linestyle="--")
    axes.plot(*np.transpose([foot, front]), color=ACCENT, linewidth=2.4)
    dot(axes, rear, p["bb"], front, crossing, foot, size=7)
    label(axes, rear[0] + 20, rear[1] + 34, "rear axle")
    label(axes, -6, 34, "post")
    label(axes, front[0] + 130, front[1], "front axle")
    level = 205.0
    for x in (rear[0], 0.0, front[0]):
        axes.plot([x, x], [75 if x else 60, level + 12], color=INK, linewidth=0.6, linestyle=":")
    measure(axes, (rear[0], level), (0, level), f"{-rear[0]:.1f}", (0, 27))
    measure(axes, (0, level), (front[0], level), f"{front[0]:.1f}", (0, 27))
    label(axes, (rear[0] + front[0]) / 2, level + 90, "by the drawing", weight="bold")
    low = -95.0 - rail
    for x, y in ((rear[0], 60), (0.0, -10), (crossing[0], -rail - 10)):
        axes.plot([x, x], [y, low - 12], color=INK, linewidth=0.6, linestyle=":")
    measure(axes, (rear[0], low), (0, low), f"{float(s.rear_back):.1f}", (0, -30))
    measure(axes, (0, low), (crossing[0], low), f"{crossing[0]:.1f}", (0, -30))
    point_out(axes, (foot + crossing) / 2, (240, -48), f"up the arm {float(s.axle_along):.1f}")
    point_out(axes, (foot + front) / 2, (420, 130), f"offset {float(s.axle_ahead):g}")
    label(axes, (rear[0] + front[0]) / 2, low - 100, "by the fixture", weight="bold")
    return figure


@house_style
def walk(lengths: Sequence[float], directions_deg: Sequence[float]) -> Figure:
    """Return the walk round the main triangle: four legs with arrows, lengths and directions."""
    points = closure.traverse(lengths, directions_deg).points
    figure, axes = drawing(4.1, (-330, 690), (-70, 640))
    beside = ((150, -45), (150, 26), (0, 56), (-150, -30))
    legs = zip(NAMES, lengths, directions_deg, beside, strict=True)
    for (a, b), (name, length, way, shift) in zip(pairwise(points), legs, strict=True):
        _arrow(axes, a, b, ACCENT, 2.2)
        x, y = (a + b) / 2 + shift
        label(axes, x, y, f"{name}\n{length:.1f} at {way:.1f}°")
    dot(axes, (0, 0), size=8)
    label(axes, -14, -42, "start and end")
    return figure


@house_style
def rose(lengths: Sequence[float], directions_deg: Sequence[float]) -> Figure:
    """Return the gap of a walk, enlarged, between the directions of its four legs."""
    made = closure.traverse(lengths, directions_deg)
    reach = 16.0
    figure, axes = drawing(3.5, (-26, 26), (-16.5, 19.5))
    named = {"down tube": (1.4, "left"), "top tube": (1.3, "center")}
    for name, way in zip(NAMES, directions_deg, strict=True):
        step = heading(way) * reach
        axes.plot(*np.transpose([-step, step]), color=INK, linewidth=0.9, linestyle="-")
        if name in named:
            at, (up, ha) = step if step[1] > 4 else -step, named[name]
            label(axes, at[0] + 1.0, at[1] + up, name, ha=ha)
    label(axes, -7.5, 17.3, "seat tube, steering axis")
    end = np.asarray(made.misclosure)
    _arrow(axes, (0, 0), end, ACCENT, 3.0)
    dot(axes, (0, 0), size=8)
    label(axes, 2.0, -3.2, "start", ha="left")
    say = f"end of the walk:\ngap {float(made.distance):.1f} mm"
    label(axes, end[0] - 4.5, end[1] + 4.6, say, color=ACCENT)
    return figure


@house_style
def marks(cut: Trimmed, back: tuple[float, float]) -> Figure:
    """Return the bought top tube with saw cuts, reference marks and crossings, lengths to scale."""
    bought, d = float(cut.bought.length), float(cut.bought.diameter)
    crossing = cut.crossing("a"), cut.crossing("b")
    mark = crossing[0] + back[0], crossing[1] - back[1]
    sawn = float(cut.plan.from_a), bought - float(cut.plan.from_b)
    figure, axes = drawing(3.4, (-30, bought + 30), (-215, 215))
    block(axes, (0, -d), bought, 2 * d, LIGHT)
    block(axes, (sawn[0], -d), sawn[1] - sawn[0], 2 * d, STEEL)
    for x in mark:
        axes.plot([x, x], [-d, d], color=ACCENT, linewidth=2.4)
    for x in crossing:
        axes.plot([x, x], [-150, d + 8], color=INK, linewidth=0.8, linestyle="--")
    for x in mark:
        axes.plot([x, x], [-d, -100], color=ACCENT, linewidth=0.8, linestyle=":")
    measure(axes, (mark[0], -85), (mark[1], -85), f"mark to mark {mark[1] - mark[0]:.1f}", (0, -22))
    between = f"crossing to crossing {crossing[1] - crossing[0]:.1f}"
    measure(axes, (crossing[0], -140), (crossing[1], -140), between, (0, -24))
    measure(axes, (0, 75), (bought, 75), f"as bought {bought:g}", (0, 25))
    label(axes, (sawn[0] + sawn[1]) / 2, 0, f"finished length {sawn[1] - sawn[0]:.1f}")
    for x0, x1, aside in ((0.0, sawn[0], 40), (sawn[1], bought, -40)):
        x = (x0 + x1) / 2
        point_out(axes, (x, d * 0.5), (x + aside, 150), f"off {x1 - x0:.1f}")
    label(axes, crossing[0], -190, "seat tube")
    label(axes, crossing[1], -190, "head tube")
    return figure
