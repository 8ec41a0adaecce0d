"""Figures of the lesson on the bottom-bracket shell; lengths mm, pressures bar, water g."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from coursekit import shells, vents
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
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

THREADED = 22.0  # mm from each face, drawn; common practice, no source


@house_style
def cut_open(
    shell: float, bore: float, width: float, tube: float = 28.6, wall: float = 0.9
) -> Figure:
    """Return the shell cut open lengthwise: faces, threads of both hands, the seat tube over it."""
    figure, axes = drawing(3.7, (-62, 62), (-36, 52))
    half, inside = width / 2, bore / 2
    for side in (-1, 1):
        low = inside if side > 0 else -shell / 2
        block(axes, (-half, low), width, shell / 2 - inside, STEEL)
        flank = [side * (inside - 0.1), side * (inside + 1.7)]
        for end in (-1, 1):
            for x in end * np.linspace(half - THREADED, half - 1.5, 11):
                axes.plot([x - 0.9 * end, x + 0.9 * end], flank, color=INK, linewidth=1.1)
    for x in (-tube / 2, tube / 2 - wall):
        block(axes, (x, shell / 2), wall, 26, LIGHT)
    block(axes, (-4, inside - 0.2), 8, shell / 2 - inside + 0.4, "white")
    centre_line(axes, (-half - 8, 0), (half + 8, 0))
    centre_line(axes, (0, -24), (0, 50))
    measure(axes, (-half, -29), (half, -29), f"{width:g} mm", (0, -4.5))
    for x in (-half, half):
        axes.plot([x, x], [-shell / 2, -32], color=INK, linewidth=0.7)
    label(axes, 28, -7, "drive side:\nleft-handed", ha="right")
    label(axes, -31, -7, "right-\nhanded", ha="left")
    point_out(axes, (0, shell / 2 - 1), (41, 34), "hole under\nthe tube")
    point_out(axes, (0.4 - tube / 2, 38), (-42, 40), "seat tube")
    point_out(axes, (-half, shell / 2 - 1.2), (-49, 25), "face")
    return figure


@house_style
def thread(bore: float = 33.9) -> Figure:
    """Return two turns of the thread's profile, basic and in a bore that is too wide."""
    figure, axes = drawing(3.1, (-0.35, 4.0), (-0.55, 1.75))
    pitch = shells.pitch(shells.PER_INCH)
    high = pitch * np.sqrt(0.75)  # of the sharp V
    deep = (shells.MAJOR - float(shells.minor(shells.MAJOR, pitch))) / 2
    lost = deep - (shells.MAJOR - bore) / 2
    for k in range(3):
        x = k * pitch
        steps = pitch * np.array([0, 1, 6, 10, 15, 16]) / 16
        tooth = list(zip(x + steps, [0, 0, deep, deep, 0, 0], strict=True))
        area(axes, tooth, STEEL, edgecolor="none")
        axes.plot(*np.transpose(tooth), color=INK, linewidth=1.5)
    block(axes, (0, -0.45), 3 * pitch, 0.45, STEEL, edgecolor="none")
    cut = deep - lost
    axes.plot([-0.2, 3.3], [cut, cut], color=ACCENT, linestyle="--")
    axes.plot([-0.2, 3.3], [deep, deep], color=INK, linewidth=0.7)
    label(axes, 3.34, cut - 0.05, f"bore {bore:g}", ha="left")
    label(axes, 3.34, deep + 0.09, "bore 33.65", ha="left")
    label(axes, 3.34, 0, f"⌀ {shells.MAJOR:g}", ha="left")
    measure(axes, (0.5 * pitch, 1.1 * high), (1.5 * pitch, 1.1 * high), "pitch 1.058 mm", (0, 0.22))
    for x in (0.5 * pitch, 1.5 * pitch):
        axes.plot([x, x], [deep, 1.15 * high], color=INK, linewidth=0.7)
    label(axes, 1.5 * pitch, -0.24, "shell")
    return figure


@house_style
def slanted(swing: float = 0.2, cut: float = 0.45, shown: float = 20.0) -> Figure:
    """Return a face that isn't square, drawn `shown` times too much, and what comes off it."""
    figure, axes = drawing(3.3, (-34, 44), (-27, 28))
    top, foot = cut * shown, (cut - swing) * shown
    area(axes, [(-30, -19), (foot, -19), (top, 19), (-30, 19)], STEEL)
    area(axes, [(0, -19), (foot, -19), (top, 19), (0, 19)], "white", hatch="///")
    axes.plot([0, 0], [-24, 24], color=ACCENT)
    centre_line(axes, (-34, 0), (20, 0))
    point_out(axes, (0, -22), (-14, -24), "34 mm from\nthe middle", ha="right")
    point_out(axes, (top, 17), (31, 20), f"furthest:\n{cut:.2f} mm off")
    point_out(axes, (foot, -17), (31, -17), f"nearest:\n{cut - swing:.2f} mm off")
    label(axes, -16, 8, "shell")
    return figure


@house_style
def end_on(shell: float, seat: float, down: float, wall: float, between: float) -> Figure:
    """Return the shell from its end: both tubes, their holes, the angle and the arc between."""
    figure, axes = drawing(3.9, (-62, 74), (-30, 78))
    big, back, front = shell / 2, 90 + between / 2, 90 - between / 2
    for way, size, cut_by, name, side, ha in (
        (back, seat, None, "seat tube", -1, "right"),
        (front, down, (back, seat), "down tube", 1, "left"),
    ):
        _end_tube(axes, way, size, wall, big, cut_by)
        end = 66 * heading(way)
        centre_line(axes, (0, 0), end * 1.08)
        axes.text(end[0] + side * 15, end[1] - 34, name, ha=ha)
    disc(axes, (0, 0), big, STEEL, 1.6)
    disc(axes, (0, 0), big - 2.2, "white")
    for way in (back, front):
        along, across = _axes_of(way)
        low, high = (big - 2.6) * along, (big + 0.4) * along
        hole = [low - 3 * across, high - 3 * across, high + 3 * across, low + 3 * across]
        area(axes, hole, "white", edgecolor="none")
    arc(axes, (0, 0), big + 1.2, front, back, linestyle="-")
    label(axes, 0, 10, f"{between:g}°")
    arc(axes, (0, 0), 6, front, back)
    round_it = float(vents.round_shell(shell, between))
    point_out(axes, (0, big + 1.2), (0, 72), f"{round_it:.1f} mm\nround")
    return figure


def _axes_of(way: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the directions along a tube that points `way` degrees, and square to it."""
    along = heading(way)
    return along, np.array([-along[1], along[0]])


def _end_tube(
    axes: Axes, way: float, size: float, wall: float, big: float, other: tuple[float, float] | None
) -> None:
    """Draw a tube from the shell outward, cut away where it stands in the `other` tube."""
    along, across = _axes_of(way)
    for half in (size / 2, size / 2 - wall):
        foot = np.sqrt(big**2 - half**2)
        for side in (-1, 1):
            line = np.linspace(foot, 62, 400)[:, None] * along + side * half * across
            if other is not None:
                off = line @ _axes_of(other[0])[1]
                line = line[np.abs(off) >= other[1] / 2]
            axes.plot(line[:, 0], line[:, 1], color=INK, linewidth=1.2)


@house_style
def pressure(volume: float, hot: float) -> Figure:
    """Return the pressure in a closed tube over the water in it, beside a car's tyre."""
    figure, axes = sheet(3.1)
    water = np.linspace(0, 2, 81)
    air = 10 * float(vents.air_pressure(hot))
    both = air + 10 * vents.steam_pressure(volume, water, hot)
    axes.plot(water, both, color=ACCENT, label="water and air")
    axes.axhline(air, color=INK, linestyle="--", label="air alone")
    for grams in (0.5, 1.0):
        height = air + 10 * float(vents.steam_pressure(volume, grams, hot))
        axes.plot([grams], [height], "o", color=INK, markersize=6)
        axes.text(grams + 0.04, height - 0.6, f"{height:.0f} bar", ha="left", va="top")
    axes.set(xlim=(0, 2), ylim=(0, 42), xlabel="water closed in (g)", ylabel="pressure (bar)")
    axes.legend(loc="upper left", frameon=False)
    return figure
