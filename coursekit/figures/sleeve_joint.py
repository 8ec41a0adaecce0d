"""Figures of the lesson on the sleeve joint; lengths mm, temperatures K above the room."""

from __future__ import annotations

import numpy as np
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
def cut_open(bore: float, gap: float, lap: float, wall: float, sleeve_wall: float) -> Figure:
    """Return the joint cut open lengthwise; the gap is drawn ten times too wide."""
    figure, axes = drawing(3.6, (-50, 58), (-lap - 12, lap + 12))
    inner = bore / 2
    wide = 10 * gap
    for side in (-1, 1):
        x = inner if side > 0 else -inner - wall * 2
        for low, high in ((1, lap + 10), (-lap - 10, -1)):
            block(axes, (x, low), wall * 2, high - low, STEEL)
        left = inner - wide - sleeve_wall * 2 if side > 0 else -inner + wide
        block(axes, (left, -lap), sleeve_wall * 2, 2 * lap, LIGHT)
        edge = inner - wide if side > 0 else -inner
        for low in (-lap, 1):
            block(axes, (edge, low), wide, lap - 1, ACCENT, edgecolor="none")
    centre_line(axes, (0, -lap - 10), (0, lap + 10))
    measure(axes, (-34, 0), (-34, lap), f"lap\n{lap:g}", (-6.5, 0))
    axes.plot([-36, -inner], [0, 0], color=INK, linewidth=0.7)
    axes.plot([-36, -inner], [lap, lap], color=INK, linewidth=0.7)
    point_out(axes, (inner + wall, lap + 4), (41, lap + 5), "upper tube")
    point_out(axes, (inner - wide / 2, lap * 0.55), (41, lap * 0.55), "silver")
    point_out(axes, (inner - wide - sleeve_wall, -lap * 0.3), (41, -lap * 0.1), "sleeve")
    point_out(axes, (inner + wall, -lap - 4), (41, -lap * 0.8), "lower tube")
    return figure


@house_style
def turning(stock: float, plug: float, deepest: float) -> Figure:
    """Return the diameters after each cut as steps from the bar down to the plug."""
    done = [stock, *sleeves.passes(stock, plug, deepest)]
    figure, axes = sheet(3.0)
    axes.step(range(len(done)), done, where="mid", color=ACCENT)
    axes.plot(range(len(done)), done, "o", color=INK, markersize=6)
    for i, value in enumerate(done):
        axes.text(i, value + 0.18, f"{value:.2f}", ha="center", va="bottom", fontsize=10)
    axes.axhline(plug, color=INK, linewidth=0.8, linestyle=":")
    axes.set(xlim=(-0.5, len(done) - 0.5), ylim=(plug - 0.6, stock + 0.9))
    axes.set(xlabel="cuts made", ylabel="diameter (mm)")
    axes.set_xticks(range(len(done)))
    return figure


@house_style
def hot(bore: float, gap: float) -> Figure:
    """Return the gap a side while the joint gets hot, for a plug of 4130 and one of stainless."""
    figure, axes = sheet(3.1)
    rise = np.linspace(0, 700, 71)
    plug = bore - 2 * gap
    for own, style, text in ((14.6e-6, "-", "plug of 4130"), (17.2e-6, "--", "plug of stainless")):
        width = [float(sleeves.gap(bore, plug, 14.6e-6, own, r)) for r in rise]
        axes.plot(rise, width, style, color=ACCENT if style == "-" else INK, label=text)
    axes.axhspan(0.05, 0.13, color=LIGHT)
    axes.text(20, 0.133, "silver is drawn in", ha="left", va="bottom")
    axes.set(xlim=(0, 700), ylim=(0, 0.16))
    axes.set(xlabel="hotter than the room by (K)", ylabel="gap a side (mm)")
    axes.legend(loc="lower left", frameon=False)
    return figure


@house_style
def leaning(gap: float, lap: float, shown: float = 60.0) -> Figure:
    """Return a plug that leans in its bore, the gap drawn `shown` times too wide."""
    figure, axes = drawing(3.2, (-40, 52), (-8, lap + 10))
    half, wide = 14.0, gap * shown
    for side in (-1, 1):
        x = half if side > 0 else -half - 4
        block(axes, (x, -4), 4, lap + 10, STEEL)
    body = [(-half, 0), (half - 2 * wide, 0), (half, lap), (-half + 2 * wide, lap)]
    area(axes, body, LIGHT, 1.4)
    point_out(axes, (-half + wide, lap * 0.97), (-30, lap + 4), f"left, top:\n{2 * gap:g} mm")
    point_out(axes, (-half, 1), (-31, 6), "left, bottom:\ntouches")
    point_out(axes, (half - wide, 1.5), (38, 6), f"right, bottom:\n{2 * gap:g} mm")
    point_out(axes, (half, lap - 1), (38, lap - 4), "right, top:\ntouches")
    label(axes, 0, lap * 0.5, "plug")
    return figure
