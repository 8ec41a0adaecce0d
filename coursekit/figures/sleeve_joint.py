"""Figures of the lesson on the sleeve joint; lengths mm, temperatures K above the room."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import sleeves
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    area,
    block,
    centre_line,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)

STEEL_4130, STAINLESS = 14.6e-6, 18.6e-6  # per K, mean from the room to 600 °C (course/sources.md)
WATER = 0.0728 / (998.0 * 9.81) * 1e6  # mm², surface tension over weight at 20 °C (from memory)


@house_style
def climb() -> Figure:
    """Return how high water climbs between two close walls: twice the gap, half the height."""
    figure, axes = sheet(3.0)
    gap = np.linspace(0.05, 0.6, 111)
    axes.plot(gap, 2 * WATER / gap, color=ACCENT)
    for at in (0.1, 0.5):
        height = 2 * WATER / at
        axes.plot([at], [height], "o", color=INK, markersize=7)
        axes.text(at + 0.02, height + 8, f"{at:g} mm: {height:.0f} mm", ha="left", va="bottom")
    axes.set(xlim=(0, 0.65), ylim=(0, 310), xlabel="gap (mm)", ylabel="climbs (mm)")
    return figure


@house_style
def cut_open(
    tube: float, wall: float, gap: float, outside: float, lap: float, post: float
) -> Figure:
    """Return the seat tube's top cut open lengthwise; the gap is drawn ten times too wide."""
    figure, axes = drawing(3.6, (-52, 62), (-lap - 34, 22))
    wide, thick, sleeve = 10 * gap, 2 * wall, outside - tube - 2 * gap
    for side in (-1, 1):
        edges = [side * tube / 2]
        for step in (-thick, wide, wide + sleeve):
            edges.append(side * (tube / 2 + step))
        foot = -lap - 28
        _standing(axes, edges[1], edges[0], (foot, 0), STEEL)
        _standing(axes, edges[0], edges[2], (-lap, 0), ACCENT, edgecolor="none")
        _standing(axes, edges[2], edges[3], (-lap, 0), LIGHT)
        inner = side * min(post / 2, tube / 2 - thick - 0.6)
        axes.plot([inner, inner], [foot + 6, 18], color=INK, linewidth=1.0, linestyle="--")
    top = min(post / 2, tube / 2 - thick - 0.6)
    axes.plot([-top, top], [18, 18], color=INK, linewidth=1.0, linestyle="--")
    centre_line(axes, (0, -lap - 32), (0, 20))
    measure(axes, (-34, -lap), (-34, 0), f"lap\n{lap:g}", (-7, 0))
    for level in (-lap, 0):
        axes.plot([-36, -tube / 2], [level, level], color=INK, linewidth=0.7)
    out = tube / 2 + wide
    point_out(axes, (top, 12), (44, 14), "post")
    point_out(axes, (out + sleeve / 2, -lap * 0.2), (45, 2), "sleeve")
    point_out(axes, (out - wide / 2, -lap * 0.75), (45, -lap * 0.6), "silver")
    point_out(axes, (tube / 2 - thick / 2, -lap - 12), (45, -lap - 10), "seat tube")
    return figure


def _standing(
    axes: Axes, x1: float, x2: float, span: tuple[float, float], fill: str, edgecolor: str = INK
) -> None:
    """Draw a wall between two distances from the axis, from one height to another."""
    low, high = span
    block(axes, (min(x1, x2), low), abs(x2 - x1), high - low, fill, edgecolor=edgecolor)


@house_style
def turning(stock: float, finished: float, deepest: float) -> Figure:
    """Return the diameters after each cut as steps from the bar down to the finished size."""
    done = [stock, *sleeves.passes(stock, finished, deepest)]
    figure, axes = sheet(3.0)
    axes.step(range(len(done)), done, where="mid", color=ACCENT)
    axes.plot(range(len(done)), done, "o", color=INK, markersize=6)
    for i, value in enumerate(done):
        axes.text(i, value + 0.18, f"{value:.2f}", ha="center", va="bottom", fontsize=10)
    axes.axhline(finished, color=INK, linewidth=0.8, linestyle=":")
    axes.set(xlim=(-0.5, len(done) - 0.5), ylim=(finished - 0.6, stock + 0.9))
    axes.set(xlabel="cuts made", ylabel="diameter (mm)")
    axes.set_xticks(range(len(done)))
    return figure


@house_style
def hot(tube: float, gap: float, plug_bore: float, plug_gap: float) -> Figure:
    """Return the gap a side while the joint gets hot, for a sleeve over a tube of 4130 and a plug.

    The sleeve is of 4130 or stainless; the plug is of stainless and stands in a bore of 4130.
    """
    figure, axes = sheet(3.3)
    rise = np.linspace(0, 700, 71)
    over, plug = tube + 2 * gap, plug_bore - 2 * plug_gap
    for sizes, (style, ink), text in (
        ((over, tube, STAINLESS, STEEL_4130), ("--", INK), "sleeve of stainless"),
        ((over, tube, STEEL_4130, STEEL_4130), ("-", ACCENT), "sleeve of 4130"),
        ((plug_bore, plug, STEEL_4130, STAINLESS), (":", INK), "plug of stainless"),
    ):
        width = [float(sleeves.gap(*sizes, r)) for r in rise]
        axes.plot(rise, width, style, color=ink, label=text)
    axes.axhspan(0.05, 0.13, color=LIGHT)
    axes.text(20, 0.133, "silver is drawn in", ha="left", va="bottom")
    axes.set(xlim=(0, 700), ylim=(0, 0.16))
    axes.set(xlabel="hotter than the room by (K)", ylabel="gap a side (mm)")
    axes.legend(loc="lower left", frameon=False)
    return figure


@house_style
def leaning(gap: float, lap: float, shown: float = 30.0) -> Figure:
    """Return a sleeve that leans to the right on its tube, the gap `shown` times too wide."""
    figure, axes = drawing(3.2, (-46, 58), (-10, lap + 12))
    half, wide, thick = 12.0, gap * shown, 5.0
    block(axes, (-half, -8), 2 * half, lap + 8, STEEL)
    for side in (-1, 1):
        foot = side * half - wide + side * wide
        head = side * half + wide + side * wide
        out = side * thick
        area(axes, [(foot, 0), (head, lap), (head + out, lap), (foot + out, 0)], LIGHT, 1.4)
    point_out(axes, (-half - wide, 1.5), (-38, -5), f"left, bottom:\n{2 * gap:g} mm")
    point_out(axes, (-half, lap - 0.5), (-34, lap + 5), "left, top:\ntouches")
    point_out(axes, (half, 0.5), (38, -5), "right, bottom:\ntouches")
    point_out(axes, (half + wide, lap - 1), (40, lap + 5), f"right, top:\n{2 * gap:g} mm")
    label(axes, 0, lap * 0.5, "tube")
    return figure
