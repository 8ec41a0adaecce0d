"""Figures of the lesson on tube choice; lengths mm, masses g."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Annulus, Wedge

from coursekit import tubes
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    area,
    arrow,
    centre_line,
    disc,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)


def _ring(axes: Axes, at: tuple[float, float], diameter: float, wall: float) -> None:
    axes.add_patch(Annulus(at, diameter / 2, wall, facecolor=STEEL, edgecolor=INK, linewidth=1.4))


@house_style
def section(diameter: float, wall: float, shown: float = 3.0) -> Figure:
    """Return a tube cut square, its wall drawn `shown` times too thick, with its measures."""
    figure, axes = drawing(3.0, (-42, 44), (-24, 24))
    thick = wall * shown
    _ring(axes, (0, 0), diameter, thick)
    middle = (diameter - thick) / 2
    disc(axes, (0, 0), middle, "none", 1.4, edgecolor=ACCENT, linestyle="--")
    measure(axes, (-diameter / 2, -20), (diameter / 2, -20), f"D = {diameter:g}", (0, 2.6))
    axes.plot([-diameter / 2] * 2, [0, -21], color=INK, linewidth=0.7)
    axes.plot([diameter / 2] * 2, [0, -21], color=INK, linewidth=0.7)
    point_out(axes, (-diameter / 2 + thick / 2, 0), (-31, 9), f"wall\nt = {wall:g}")
    slant = np.sqrt(0.5) * middle
    point_out(axes, (slant, slant), (31, 14), "middle of the\nwall, D − t across")
    label(axes, 0, 0, "bore")
    return figure


@house_style
def bending(diameter: float, wall: float) -> Figure:
    """Return a ring in bending: the metal far from the middle works, that beside it rests."""
    figure, axes = drawing(3.1, (-26, 62), (-21, 21))
    r, inner = diameter / 2, diameter / 2 - wall
    shades = np.linspace(0, 180, 31)
    for low, high in pairwise(shades):
        work = np.sin(np.radians((low + high) / 2)) ** 2
        look = {"facecolor": str(0.95 - 0.65 * work), "edgecolor": "none"}
        for turn in (0, 180):
            axes.add_patch(Wedge((0, 0), r, low + turn, high + turn, width=r - inner, **look))
    for radius in (r, inner):
        disc(axes, (0, 0), radius, "none", 1.3)
    centre_line(axes, (-22, 0), (22, 0))
    y = r - wall / 2
    measure(axes, (0, 0), (0, y))
    label(axes, 1.5, y / 2, "y", ha="left", style="italic")
    point_out(axes, (r * 0.55, r * 0.78), (44, 13), "dark: far from the\nmiddle, works hard")
    point_out(axes, (r, 0.6), (44, -4), "light: beside the\nmiddle, rests")
    return figure


@house_style
def growth(diameter: float, wall: float) -> Figure:
    """Return stiffness and mass over the diameter: same wall, and same mass."""
    figure, axes = sheet(3.6)
    base = tubes.Round(diameter, wall)
    wider = np.linspace(20, 42, 89)
    same_wall = tubes.Round(wider, wall)
    thinner = (wider - np.sqrt(wider**2 - 4 * base.area / np.pi)) / 2
    same_mass = tubes.Round(wider, thinner)
    for values, style, text in (
        (same_wall.inertia / base.inertia, "-", "stiffness, same wall"),
        (same_mass.inertia / base.inertia, "--", "stiffness, same mass"),
        (same_wall.area / base.area, ":", "mass, same wall"),
    ):
        axes.plot(wider, values, style, color=ACCENT if style == "-" else INK, label=text)
    axes.plot([diameter], [1], "o", color=INK, markersize=7)
    label(axes, diameter + 0.8, 0.25, f"{diameter:g} × {wall:g}", ha="left")
    axes.set(xlim=(20, 42), ylim=(0, 5), xlabel="outside diameter (mm)", ylabel="times as much")
    axes.legend(loc="upper left", frameon=False)
    return figure


@house_style
def butted(tube: tubes.Butted, shown: float = 40.0) -> Figure:
    """Return a butted tube's wall along its length, its five parts, `shown` times too thick."""
    total = float(tube.length)
    figure, axes = drawing(2.7, (-75, total + 25), (-115, 160))
    places = np.array([0.0, *(float(m) for m in tube.marks), total])
    walls = np.asarray(tube.wall_at(places)) * shown
    outline = np.column_stack([np.append(places, [total, 0]), np.append(walls, [0, 0])])
    area(axes, outline, STEEL, 1.5)
    names = ("butt", "taper", "belly", "taper", "butt")
    for start, stop, name in zip(places[:-1], places[1:], names, strict=True):
        axes.plot([start, start], [-8, max(walls) + 10], color=INK, linewidth=0.7)
        label(axes, (start + stop) / 2, max(walls) + 40, name, rotation=0)
        label(axes, (start + stop) / 2, -32, f"{stop - start:g}")
    axes.plot([total, total], [-8, max(walls) + 10], color=INK, linewidth=0.7)
    label(axes, -10, walls[0] / 2, f"{tube.walls[0]:g}", ha="right")
    middle = (places[2] + places[3]) / 2
    label(axes, middle, walls[2] + 22, f"wall {tube.walls[1]:g}")
    label(axes, total / 2, -85, f"mm along the tube; wall drawn {shown:g} times too thick")
    label(axes, 0, 135, "shell end", ha="left", color=ACCENT)
    label(axes, total, 135, "head end", ha="right", color=ACCENT)
    return figure


@house_style
def slit() -> Figure:
    """Return a whole and a slit ring in torsion: shear goes round, or turns back at the slit."""
    figure, axes = drawing(2.9, (-48, 48), (-24, 24))
    look: dict[str, Any] = {"facecolor": LIGHT, "edgecolor": INK, "linewidth": 1.4}
    axes.add_patch(Annulus((-24, 2), 16, 3.2, **look))
    axes.add_patch(Wedge((24, 2), 16, -78, 258, width=3.2, **look))
    for centre, radius, turns in ((-24, 14.4, (70, 160, 250, 340)), (24, 15.4, (40, 130, 220))):
        for start in turns:
            _shear(axes, (centre, 2), radius, start, start + 52)
    for start in (40, 130, 220):
        _shear(axes, (24, 2), 13.4, start + 52, start)
    label(axes, -24, 2, "whole")
    label(axes, 24, 2, "slit")
    label(axes, -24, -20, "all the metal, one way round")
    label(axes, 24, -20, "half against half")
    return figure


def _shear(
    axes: Axes, centre: tuple[float, float], radius: float, start_deg: float, end_deg: float
) -> None:
    turn = np.radians(np.linspace(start_deg, end_deg, 20))
    x, y = centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)
    axes.plot(x, y, color=ACCENT, linewidth=1.8)
    arrow(axes, (x[-4], y[-4]), (x[-1], y[-1]), ACCENT, 1.8)


@house_style
def set_masses(parts: Sequence[tuple[str, float, float]]) -> Figure:
    """Return the masses of two sets of tubes as bars side by side; `parts`: name, plain, butted."""
    figure, axes = sheet(3.3)
    places = np.arange(len(parts))
    plain, butt = [p[1] for p in parts], [p[2] for p in parts]
    for shift, values, fill, text in ((-0.2, plain, LIGHT, "plain"), (0.2, butt, STEEL, "butted")):
        axes.barh(places + shift, values, 0.38, color=fill, edgecolor=INK, label=text)
        for place, value in zip(places, values, strict=True):
            label(axes, value + 6, place + shift, f"{value:.0f}", ha="left")
    axes.set_yticks(places, [p[0] for p in parts])
    axes.invert_yaxis()
    axes.set(xlim=(0, 1.45 * max(*plain, *butt)), xlabel="mass (g)")
    axes.legend(loc="center right", frameon=False)
    return figure
