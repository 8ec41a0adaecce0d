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
from coursekit.materials import STAINLESS_304, STEEL_4130

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
def cut_open(bore: float, gap: float, lap: float, outside: float, wall: float) -> Figure:
    """Return the seat tube's top cut open lengthwise; the gap is drawn ten times too wide."""
    figure, axes = drawing(3.6, (-50, 58), (-lap - 22, 18))
    tube, wide = bore / 2 - gap, 10 * gap
    far, inside = tube + wide + outside - bore, tube - 2 * wall
    rings = (  # inner and outer radius, foot and top, fill; walls are drawn twice too thick
        (inside, tube, -lap - 20, 0, STEEL),
        (tube, tube + wide, -lap, 0, ACCENT),
        (tube + wide, far, -lap, 0, LIGHT),
        (inside - 3.2, inside - 0.4, -lap - 12, 14, "white"),
    )
    for inner, outer, low, high, fill in rings:
        for left in (inner, -outer):
            block(axes, (left, low), outer - inner, high - low, fill)
    centre_line(axes, (0, -lap - 20), (0, 16))
    measure(axes, (-34, -lap), (-34, 0), f"lap\n{lap:g}", (-6.5, 0))
    for y in (-lap, 0):
        axes.plot([-36, -far], [y, y], color=INK, linewidth=0.7)
    point_out(axes, (inside - 1.8, 10), (41, 13), "seat post")
    point_out(axes, (far - 1.2, -4), (41, -1), "sleeve")
    point_out(axes, (tube + wide / 2, -lap * 0.6), (41, -lap * 0.65), "silver")
    point_out(axes, (tube - wall, -lap - 14), (41, -lap - 12), "seat tube")
    return figure


@house_style
def boring(drilled: float, bore: float, deepest: float, last: float = 0.1) -> Figure:
    """Return the diameters after each cut as steps from the drilled hole up to the bore."""
    count = int(np.ceil((bore - drilled - 2 * last) / (2 * deepest) - 1e-9))
    done = [*np.linspace(drilled, bore - 2 * last, count + 1), bore]
    figure, axes = sheet(3.0)
    axes.step(range(len(done)), done, where="mid", color=ACCENT)
    axes.plot(range(len(done)), done, "o", color=INK, markersize=6)
    for i, value in enumerate(done):
        axes.text(i, value + 0.22, f"{value:.2f}", ha="center", va="bottom", fontsize=10)
    axes.axhline(bore, color=INK, linewidth=0.8, linestyle=":")
    axes.set(xlim=(-0.5, len(done) - 0.5), ylim=(drilled - 0.6, bore + 1.1))
    axes.set(xlabel="cuts made", ylabel="diameter (mm)")
    axes.set_xticks(range(len(done)))
    return figure


STEEL_GROWS = dict(STEEL_4130.expansion)[100.0]  # per K, both from 20 to 100 °C
STAINLESS_GROWS = dict(STAINLESS_304.expansion)[100.0]


@house_style
def hot(bore: float, gap: float, plug_bore: float = 26.2, plug_gap: float = 0.08) -> Figure:
    """Return the gap a side of a sleeve while it gets hot, and of a stainless plug in a bore."""
    figure, axes = sheet(3.1)
    rise = np.linspace(0, 700, 71)
    lines = (
        (bore, gap, STEEL_GROWS, STEEL_GROWS, "-", "sleeve of 4130"),
        (bore, gap, STAINLESS_GROWS, STEEL_GROWS, "--", "stainless sleeve"),
        (plug_bore, plug_gap, STEEL_GROWS, STAINLESS_GROWS, ":", "stainless plug"),
    )
    for size, cold, outer, inner, style, text in lines:
        width = [float(sleeves.gap(size, size - 2 * cold, outer, inner, r)) for r in rise]
        axes.plot(rise, width, style, color=ACCENT if style == "-" else INK, label=text)
    axes.axhspan(0.05, 0.13, color=LIGHT)
    axes.text(20, 0.132, "silver is drawn in", ha="left", va="bottom")
    axes.set(xlim=(0, 700), ylim=(0, 0.24))
    axes.set(xlabel="hotter than the room by (K)", ylabel="gap a side (mm)")
    axes.legend(loc="upper left", frameon=False)
    return figure


@house_style
def leaning(gap: float, lap: float, shown: float = 30.0) -> Figure:
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
    label(axes, 0, lap * 0.5, "seat tube")
    return figure
