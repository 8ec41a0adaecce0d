"""Figures of the lesson on butt finding; mm, and degrees against the clock seen from end a."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from coursekit import runout
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    area,
    arrow,
    block,
    centre_line,
    disc,
    drawing,
    heading,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)
from coursekit.sheets.text import long_minus

PLACES = np.arange(60.0, 240.0, 10.0)
WALLS = np.array([91, 91, 90, 90, 90, 91, 90, 83, 75, 68, 61, 60, 61, 60, 60, 61, 59, 60]) / 100
MARKS = np.arange(0.0, 360.0, 45.0)
DIAL = np.array([0.75, 0.74, 0.83, 1.08, 1.29, 1.31, 1.10, 0.87])


def bent(
    places: Any, stops: Any, begins: Any, butt: float, belly: float
) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Wall along the tube, flat, straight slope, flat, mm; places broadcast against the bends."""
    share = np.clip((places - np.asarray(stops)) / (np.asarray(begins) - stops), 0.0, 1.0)
    return np.asarray(butt + share * (belly - butt))


def levels(walls: Sequence[float] = tuple(WALLS)) -> tuple[float, float]:
    """Mean of the first four and of the last four readings."""
    return float(np.mean(walls[:4])), float(np.mean(walls[-4:]))


def total(stops: float, begins: float) -> float:
    """Sum of the squared misses of the lesson's trace, mm²."""
    return float(np.sum((WALLS - bent(PLACES, stops, begins, *levels())) ** 2))


@house_style
def gauge() -> Figure:
    """Return the tube over the arm, the ball inside and the dial above it, walls drawn thick."""
    figure, axes = drawing(2.6, (-18, 106), (-26, 36))
    outer, shown = 14.0, 7.0
    x = np.array([0.0, 22, 40, 100])
    for side in (1, -1):
        inner = side * (outer - shown * np.array([0.9, 0.9, 0.6, 0.6]))
        body = [(0, side * outer), (100, side * outer), *zip(x[::-1], inner[::-1], strict=True)]
        area(axes, body, STEEL, 1.4)
    bore = outer - shown * float(np.interp(56, x, [0.9, 0.9, 0.6, 0.6]))
    block(axes, (-16, bore - 7.5), 72, 4, LIGHT, 1.2, zorder=3)
    disc(axes, (56, bore - 5), 5, "white", 1.6, zorder=4)
    axes.plot([56, 56], [outer, outer + 8], color=INK, linewidth=2)
    disc(axes, (56, outer + 14), 6, "white", 1.6, zorder=4)
    axes.plot([56, 59], [outer + 14, outer + 18], color=INK, linewidth=1.4, zorder=5)
    point_out(axes, (51, outer + 14), (28, outer + 14), "dial")
    point_out(axes, (60, bore - 8), (74, -2), "ball")
    point_out(axes, (20, bore - 7.4), (28, -4), "arm")
    measure(axes, (0, -19), (56, -19))
    label(axes, 28, -23.5, "place, from end a")
    label(axes, -4, -9, "a", ha="right", fontsize=13)
    axes.plot([56, 56], [-21, bore - 10], color=INK, linewidth=0.6, linestyle=":")
    return figure


@house_style
def by_eye() -> Figure:
    """Return the trace as dots with the two flats and the slope drawn by eye."""
    figure, axes = sheet(3.2)
    axes.plot(PLACES, WALLS, "o", color=INK, markersize=5, markerfacecolor="white")
    butt, belly = levels()
    axes.plot([50, 136], [butt, butt], color=ACCENT, linewidth=1.4)
    axes.plot([146, 235], [belly, belly], color=ACCENT, linewidth=1.4)
    slope = (0.83 - 0.68) / 20
    ends = 130 - (butt - 0.83) / slope, 150 + (0.68 - belly) / slope
    reach = np.array([ends[0] - 5, ends[1] + 5])
    axes.plot(reach, 0.83 - slope * (reach - 130), color=ACCENT, linewidth=1.4)
    point_out(axes, (ends[0], butt), (174, 0.90), "the butt stops", shrink=4)
    point_out(axes, (ends[1], belly), (192, 0.70), "the belly begins", shrink=4)
    axes.set(xlim=(50, 240), ylim=(0.55, 0.95), xlabel="from end a (mm)", ylabel="wall (mm)")
    return figure


@house_style
def bowl() -> Figure:
    """Return the least sum of squares by where the butt stops, its lowest point marked."""
    figure, axes = sheet(2.8)
    stops = np.arange(105, 134)
    tried = np.arange(140, 186)
    least = [min(total(float(s), float(b)) for b in tried) * 1000 for s in stops]
    axes.plot(stops, least, color=ACCENT)
    low = int(np.argmin(least))
    axes.plot([stops[low]], [least[low]], "o", color=INK, markersize=7)
    foot, above = (stops[low], least[low]), (stops[low], least[low] + 1.6)
    point_out(axes, foot, above, f"{stops[low]} mm", shrink=5, va="baseline")
    axes.set(xlim=(104, 134), ylim=(0, 5), xlabel="the butt stops at (mm)")
    axes.set_ylabel("squares (thousandths of mm²)")
    return figure


@house_style
def kinds() -> Figure:
    """Return four tubes cut open: plain, single-butted, double-butted, and butted outside."""
    figure, axes = drawing(3.9, (-4, 124), (-9, 92))
    rows = (
        ("plain", (0.6, 0.6), False),
        ("single-butted", (0.9, 0.6), False),
        ("double-butted", (0.9, 0.9), False),
        ("double-butted, outside", (0.9, 0.9), True),
    )
    for row, (name, ends, outside) in enumerate(rows):
        middle = 72 - 23 * row
        axes.text(60, middle + 9.5, name, ha="center", va="bottom")
        x = np.array([0.0, 22, 34, 86, 98, 120])
        wall = 5.5 * np.array([ends[0], ends[0], 0.6, 0.6, ends[1], ends[1]])
        for side in (1, -1):
            outer = np.full(6, 7.0) + ((wall - 3.3) if outside else 0.0)
            body = [*zip(x, middle + side * outer, strict=True)]
            body += [*zip(x[::-1], middle + side * (outer - wall)[::-1], strict=True)]
            area(axes, body, STEEL, 1.2)
    return figure


@house_style
def rollers() -> Figure:
    """Return a bowed tube on two rollers from the side, the dial at its middle, its eight marks."""
    figure, axes = drawing(2.7, (-2, 132), (-22, 38))
    x = np.linspace(2, 78, 60)
    rise = 5 * np.sin((x - 2) / 76 * np.pi)
    axes.fill_between(x, rise - 5, rise + 5, facecolor=LIGHT, edgecolor=INK, linewidth=1.4)
    centre_line(axes, (2, 0), (78, 0))
    for at in (6, 74):
        disc(axes, (at, -9.2), 4, "white", 1.4)
    axes.plot([40, 40], [10, 18], color=INK, linewidth=2)
    disc(axes, (40, 24), 6, "white", 1.6, zorder=4)
    axes.plot([40, 43], [24, 28], color=INK, linewidth=1.4, zorder=5)
    label(axes, 6, 9, "a", fontsize=13)
    label(axes, 40, -17, "bow, drawn far too large")
    middle, ring = np.array([110.0, 6.0]), 11.0
    disc(axes, (110, 6), ring, LIGHT, 1.4)
    for mark in MARKS:  # mark 0 on top, numbered against the clock as seen from end a
        way = heading(90 + mark)
        axes.plot(*np.transpose([middle + way * (ring - 3), middle + way * ring]), color=INK)
        spot = middle + way * (ring + 6.5)
        label(axes, spot[0], spot[1], f"{mark:.0f}")
    label(axes, 110, -18, "from end a")
    return figure


@house_style
def wave() -> Figure:
    """Return the eight readings, the wave through them, its crest and the highest mark."""
    found = runout.bow(MARKS, DIAL)
    figure, axes = sheet(3.0)
    turn = np.linspace(0, 360, 361)
    curve = found.mean + found.amount * np.cos(np.radians(turn - found.high_deg))
    axes.plot(turn, curve, color=ACCENT)
    axes.plot(MARKS, DIAL, "o", color=INK, markersize=6, markerfacecolor="white")
    axes.axhline(found.mean, color=INK, linewidth=0.8, linestyle="--")
    top = found.mean + found.amount
    axes.plot([found.high_deg] * 2, [0.58, top], color=INK, linewidth=0.9, linestyle=":")
    label(axes, found.high_deg - 5, 0.63, f"{found.high_deg:.0f}°", ha="right")
    measure(axes, (300, found.mean), (300, top))
    label(axes, 306, (found.mean + top) / 2 + 0.04, "bow", ha="left")
    axes.set(xlim=(0, 360), ylim=(0.55, 1.42), xticks=MARKS)
    axes.set(xlabel="mark on top (°)", ylabel="dial (mm)")
    return figure


@house_style
def plane() -> Figure:
    """Return the tube seen from end a in the frame, the high spot before and after the turn."""
    high = float(runout.bow(MARKS, DIAL).high_deg)
    figure, axes = drawing(2.9, (-46, 112), (-31, 33))
    for middle, way, text in ((0.0, high, "as it lies"), (72.0, 180.0, "in the plane")):
        disc(axes, (middle, 0), 15, LIGHT, 1.4)
        centre_line(axes, (middle, -22), (middle, 22))
        centre = np.array([middle, 0.0])
        arrow(axes, centre, centre + 14 * heading(way - 90), ACCENT, 2.2, shrink=2)
        label(axes, middle, -28, text)
    label(axes, 0, 27, "upper side, 180°")
    label(axes, 72, 27, "upper side, 180°")
    label(axes, -15, 11, f"high spot,\n{high:.0f}°", ha="right")
    label(axes, 36, 2, long_minus(f"turn {180 - high:.0f}°"))
    return figure
