"""Figures of the lesson on the bottom-bracket shell; lengths mm, pressures bar, water g."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon, Rectangle

from coursekit import shells, vents
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
    sheet,
)

THREADED = 22.0  # mm from each face, drawn; common practice, no source


@house_style
def cut_open(shell: float = 38.1, bore: float = 33.7, width: float = 68.0) -> Figure:
    """Return the shell cut open lengthwise: faces, threads of both hands, the seat tube over it."""
    figure, axes = drawing(3.7, (-62, 62), (-36, 52))
    half, inside = width / 2, bore / 2
    for side in (-1, 1):
        low = inside if side > 0 else -shell / 2
        wall = Rectangle((-half, low), width, shell / 2 - inside, facecolor=STEEL, edgecolor=INK)
        axes.add_patch(wall)
        for end in (-1, 1):
            for x in np.linspace(half - THREADED, half - 1.5, 11):
                lean = 0.9 * end
                axes.plot([end * x - lean, end * x + lean], [side * (inside - 0.1), side * (inside + 1.7)],
                          color=INK, linewidth=1.1)  # fmt: skip
    for x in (-14.3, 13.4):
        axes.add_patch(Rectangle((x, shell / 2), 0.9, 26, facecolor=LIGHT, edgecolor=INK))
    hole = Rectangle((-4, inside - 0.2), 8, shell / 2 - inside + 0.4, facecolor="white", edgecolor=INK)  # fmt: skip
    axes.add_patch(hole)
    centre_line(axes, (-half - 8, 0), (half + 8, 0))
    centre_line(axes, (0, -24), (0, 50))
    measure(axes, (-half, -29), (half, -29), f"{width:g} mm", (0, -4.5))
    for x in (-half, half):
        axes.plot([x, x], [-shell / 2, -32], color=INK, linewidth=0.7)
    axes.text(28, -7, "drive side:\nleft-handed", ha="right", va="center")
    axes.text(-31, -7, "right-\nhanded", ha="left", va="center")
    point_out(axes, (0, shell / 2 - 1), (41, 34), "hole under\nthe tube")
    point_out(axes, (-13.9, 38), (-42, 40), "seat tube")
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
        axes.add_patch(Polygon(tooth, facecolor=STEEL, edgecolor="none"))
        axes.plot(*np.transpose(tooth), color=INK, linewidth=1.5)
    axes.add_patch(Rectangle((0, -0.45), 3 * pitch, 0.45, facecolor=STEEL, edgecolor="none"))
    cut = deep - lost
    axes.plot([-0.2, 3.3], [cut, cut], color=ACCENT, linestyle="--")
    axes.plot([-0.2, 3.3], [deep, deep], color=INK, linewidth=0.7)
    axes.text(3.34, cut - 0.05, f"bore {bore:g}", ha="left", va="center")
    axes.text(3.34, deep + 0.09, "bore 33.65", ha="left", va="center")
    axes.text(3.34, 0, f"⌀ {shells.MAJOR:g}", ha="left", va="center")
    measure(axes, (0.5 * pitch, 1.1 * high), (1.5 * pitch, 1.1 * high), "pitch 1.058 mm", (0, 0.22))
    for x in (0.5 * pitch, 1.5 * pitch):
        axes.plot([x, x], [deep, 1.15 * high], color=INK, linewidth=0.7)
    axes.text(1.5 * pitch, -0.24, "shell", ha="center", va="center")
    return figure


@house_style
def slanted(swing: float = 0.2, cut: float = 0.45, shown: float = 20.0) -> Figure:
    """Return a face that isn't square, drawn `shown` times too much, and what comes off it."""
    figure, axes = drawing(3.3, (-34, 44), (-27, 28))
    top, foot = cut * shown, (cut - swing) * shown
    axes.add_patch(
        Polygon([(-30, -19), (foot, -19), (top, 19), (-30, 19)], facecolor=STEEL, edgecolor=INK)
    )
    off = Polygon([(0, -19), (foot, -19), (top, 19), (0, 19)], facecolor="white", edgecolor=INK, hatch="///")  # fmt: skip
    axes.add_patch(off)
    axes.plot([0, 0], [-24, 24], color=ACCENT)
    centre_line(axes, (-34, 0), (20, 0))
    point_out(axes, (0, -22), (-14, -24), "34 mm from\nthe middle", ha="right")
    point_out(axes, (top, 17), (31, 20), f"furthest:\n{cut:.2f} mm off")
    point_out(axes, (foot, -17), (31, -17), f"nearest:\n{cut - swing:.2f} mm off")
    axes.text(-16, 8, "shell", ha="center", va="center")
    return figure


@house_style
def end_on(shell: float, seat: float, down: float, wall: float, between: float) -> Figure:
    """Return the shell from its end with both tubes, the angle between them, holes and the arc between."""
    figure, axes = drawing(3.9, (-62, 74), (-30, 78))
    big = shell / 2
    ways = {"seat tube": (90 + between / 2, seat), "down tube": (90 - between / 2, down)}
    for name, (way, size) in ways.items():
        _end_tube(
            axes, way, size, wall, big, None if name == "seat tube" else (90 + between / 2, seat)
        )
        end = 66 * np.array([np.cos(np.radians(way)), np.sin(np.radians(way))])
        centre_line(axes, (0, 0), end * 1.08)
        side = -1 if name == "seat tube" else 1
        axes.text(end[0] + side * 15, end[1] - 34, name, ha="right" if side < 0 else "left")
    axes.add_patch(Circle((0, 0), big, facecolor=STEEL, edgecolor=INK, linewidth=1.6))
    axes.add_patch(Circle((0, 0), big - 2.2, facecolor="white", edgecolor=INK))
    for way, _ in ways.values():
        a = np.radians(way)
        along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
        corners = [s * 3 * across + d * along for s, d in ((-1, big - 2.6), (-1, big + 0.4), (1, big + 0.4), (1, big - 2.6))]  # fmt: skip
        axes.add_patch(Polygon(corners, facecolor="white", edgecolor="none"))
    arc(axes, (0, 0), big + 1.2, 90 - between / 2, 90 + between / 2, linestyle="-")
    axes.text(0, 10, f"{between:g}°", ha="center", va="center")
    arc(axes, (0, 0), 6, 90 - between / 2, 90 + between / 2)
    round_it = float(vents.round_shell(shell, between))
    point_out(axes, (0, big + 1.2), (0, 72), f"{round_it:.1f} mm\nround")
    return figure


def _end_tube(
    axes: Axes, way: float, size: float, wall: float, big: float, other: tuple[float, float] | None
) -> None:
    """Draw a tube from the shell outward; where it stands in the `other` tube it has been cut away."""
    a = np.radians(way)
    along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    for half in (size / 2, size / 2 - wall):
        foot = np.sqrt(big**2 - half**2)
        for side in (-1, 1):
            line = np.linspace(foot, 62, 400)[:, None] * along + side * half * across
            if other is not None:
                b = np.radians(other[0])
                off = line @ np.array([-np.sin(b), np.cos(b)])
                line = line[np.abs(off) >= other[1] / 2]
            axes.plot(line[:, 0], line[:, 1], color=INK, linewidth=1.2)


@house_style
def pressure(volume: float, hot: float) -> Figure:
    """Return the pressure in a closed tube over the water in it, beside a car's tyre."""
    figure, axes = sheet(3.1)
    water = np.linspace(0, 2, 81)
    air = 10 * float(vents.air_pressure(hot))
    axes.plot(water, air + 10 * vents.steam_pressure(volume, water, hot), color=ACCENT, label="water and air")  # fmt: skip
    axes.axhline(air, color=INK, linestyle="--", label="air alone")
    for grams in (0.5, 1.0):
        height = air + 10 * float(vents.steam_pressure(volume, grams, hot))
        axes.plot([grams], [height], "o", color=INK, markersize=6)
        axes.text(grams + 0.04, height - 0.6, f"{height:.0f} bar", ha="left", va="top")
    axes.set(xlim=(0, 2), ylim=(0, 42), xlabel="water closed in (g)", ylabel="pressure (bar)")
    axes.legend(loc="upper left", frameon=False)
    return figure
