"""Figures of the lesson on braze-ons; mm. Sections are seen along the tube, crown on top."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import braze_ons
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
    arrow,
    block,
    centre_line,
    disc,
    dot,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    tube,
)


def _ring(axes: Axes, diameter: float, wall: float = 0.9) -> None:
    disc(axes, (0, 0), diameter / 2, STEEL, 1.5)
    disc(axes, (0, 0), diameter / 2 - wall * 1.6, "white", 0.8)


def _round(diameter: float, from_crown: float) -> np.ndarray:
    """Return the place on the tube `from_crown` mm round from its crown."""
    turn = 2 * from_crown / diameter
    return diameter / 2 * np.array([np.sin(turn), np.cos(turn)])


def _way(diameter: float, left: float, right: float, out: float = 0.0) -> np.ndarray:
    """Return the arc between two places, `out` mm outside the tube."""
    turns = np.linspace(2 * left / diameter, 2 * right / diameter, 60)
    return (diameter / 2 + out) * np.array([np.sin(turns), np.cos(turns)])


@house_style
def touching(diameter: float) -> Figure:
    """Return a tube with a rule at 45° on either side, where they touch, and the crown between."""
    figure, axes = drawing(3.2, (-44, 44), (-21, 34))
    _ring(axes, diameter)
    away = float(braze_ons.touch(diameter, 45))
    for side in (-1, 1):
        at = _round(diameter, side * away)
        along = np.array([1.0, -side]) / np.sqrt(2)
        ends = np.array([at - 17 * along, at + 17 * along])
        outward = at / np.hypot(*at) * 2.4
        area(axes, [*ends, *(ends[::-1] + outward)], LIGHT, 1.2)
        axes.plot(*np.transpose([(0, 0), at]), color=INK, linewidth=0.9)
        axes.plot(*at, "o", color=ACCENT, markersize=7, zorder=5)
    centre_line(axes, (0, -19), (0, 26))
    axes.plot(*_way(diameter, 0, away), color=ACCENT, linewidth=3.4, zorder=4)
    dot(axes, (0, diameter / 2), size=7, zorder=6)
    arc(axes, (0, 0), 6, 45, 90)
    label(axes, 3.4, 9.6, "45°", fontsize=10)
    point_out(axes, (0, diameter / 2), (0, 30), "crown")
    point_out(axes, _round(diameter, away / 2), (30, 27), f"{away:.1f} round")
    point_out(axes, np.add(_round(diameter, -away), (-0.6, 0.6)), (-35, 25), "touches")
    label(axes, 31, -2, "rule at 45°")
    return figure


@house_style
def section(diameter: float, leg: float) -> Figure:
    """Return an angle section on a tube, where it touches and what its edges mark."""
    figure, axes = drawing(3.3, (-46, 46), (-21, 36))
    _ring(axes, diameter)
    away, mark = float(braze_ons.touch(diameter, 45)), float(braze_ons.edge_marks(diameter, leg))
    fold = np.array([0.0, diameter / 2 * np.sqrt(2)])
    edges = [fold + leg * np.array([side, -1]) / np.sqrt(2) for side in (-1, 1)]
    thick = [e + np.array([side, 1.0]) * 1.6 for side, e in zip((-1, 1), edges, strict=True)]
    area(axes, [edges[0], fold, edges[1], thick[1], np.add(fold, (0, 3.2)), thick[0]], LIGHT, 1.2)
    for side, edge in zip((-1, 1), edges, strict=True):
        axes.plot(*np.transpose([(0, 0), edge]), color=INK, linewidth=0.8, linestyle=":")
        axes.plot(*_round(diameter, side * away), "o", color=ACCENT, markersize=7, zorder=5)
        dot(axes, _round(diameter, side * mark), size=7, zorder=6)
    axes.plot(*_way(diameter, 0, mark), color=ACCENT, linewidth=3.4, zorder=4)
    centre_line(axes, (0, -19), (0, 31))
    middle = (fold + edges[1]) / 2 + np.array([5.5, 5.5])
    label(axes, middle[0], middle[1], f"leg {leg:g}", rotation=-45)
    point_out(axes, np.add(_round(diameter, -away), (-0.6, 0.6)), (-35, 22), "touches")
    point_out(axes, np.add(_round(diameter, -mark), (-0.4, -0.2)), (-35, -8), "mark")
    point_out(axes, _round(diameter, mark), (32, -10), f"{mark:.1f} round\nto the mark")
    point_out(axes, np.add(fold, (0, 3)), (22, 32), "fold")
    return figure


@house_style
def places(
    first: float,
    shell: float,
    diameter: float,
    walls: tuple[float, float],
    thins: tuple[float, float],
) -> Figure:
    """Return the down tube from the shell on: two bosses, and the wall that they stand in.

    `walls` are those of butt and belly; from the first of `thins` to the second it gets thin.
    """
    figure, axes = drawing(2.7, (-45, 375), (-85, 95))
    disc(axes, (0, 0), shell / 2, LIGHT, 1.5)
    tube(axes, (shell / 2 - 2, 0), (365, 0), diameter)
    centre_line(axes, (-30, 0), (370, 0))
    for x in (first, first + braze_ons.BOSS_PITCH):
        block(axes, (x - 5, diameter / 2), 10, 8, STEEL, 1.2)
        axes.plot([x, x], [diameter / 2 + 8, 84], color=INK, linewidth=0.6)
    for x in (0.0, shell / 2):
        axes.plot([x, x], [0, 84], color=INK, linewidth=0.6)
    measure(axes, (0, 78), (first, 78), f"{first:g} from the axis", (-6, 13))
    measure(axes, (first, 78), (first + braze_ons.BOSS_PITCH, 78), "64", (0, 13))
    measure(axes, (shell / 2, 46), (first, 46), f"{first - shell / 2:.0f} on the rule", (0, -12))
    thick, thin = walls
    wall = ((365, thin), (thins[1], thin), (thins[0], thick), (shell / 2, thick))  # along, thick
    outline = [(shell / 2, -54), (365, -54), *((along, -54 - 18 * t) for along, t in wall)]
    area(axes, outline, STEEL, 1)
    middles = (shell / 2 + thins[0]) / 2, sum(thins) / 2, 270
    for at, text in zip(middles, ("butt", "taper", "belly: both bosses"), strict=True):
        label(axes, at, -42, text, fontsize=10)
    label(axes, shell / 2 - 4, -61, "wall", ha="right", fontsize=10)
    return figure


def _base(axes: Axes, at: float, width: float, hollow: float, lift: float) -> None:
    """Draw a boss's base over the tube whose crown is at (at, 0)."""
    half = width / 2
    x = np.linspace(-half, half, 60)
    bent = 0 * x if np.isinf(hollow) else np.sqrt((hollow / 2) ** 2 - x**2) - hollow / 2
    under = bent + lift
    top = under.min() + 5 if np.isinf(hollow) else lift + 4.5
    right = np.array([(half, top), (3, top), (3, top + 4)])
    left = right[::-1] * [-1, 1]
    foot = np.column_stack([x, under])
    area(axes, np.add(np.vstack([foot, right, left]), (at, 0)), LIGHT, 1.3)


@house_style
def bases(diameter: float, width: float = 12.0, thinner: float = 25.4) -> Figure:
    """Return three bases on one tube: flat, hollowed for a thinner tube, and one that fits."""
    figure, axes = drawing(2.6, (-11, 61), (-13, 16))
    flat = float(braze_ons.foot_gap(diameter, width))
    middle = -float(braze_ons.foot_gap(diameter, width, thinner))
    for at, hollow, lift, text in (
        (0.0, np.inf, 0.0, f"flat:\nopen {flat:.2f}\nat the edges"),
        (25.0, thinner, middle, f"for {thinner:g}:\nopen {middle:.2f}\nin the middle"),
        (50.0, diameter, 0.0, "for its own\ntube: fits"),
    ):
        turns = np.linspace(-0.62, 0.62, 60)
        x, y = diameter / 2 * np.sin(turns), diameter / 2 * (np.cos(turns) - 1)
        axes.fill_between(x + at, y - 1.3, y, facecolor=STEEL, edgecolor="none")
        axes.plot(x + at, y, color=INK)
        axes.plot(x + at, y - 1.3, color=INK, linewidth=0.8)
        _base(axes, at, width, hollow, lift)
        label(axes, at, -9, text)
    return figure


@house_style
def bottles(low: braze_ons.Bottle, high: braze_ons.Bottle, between_deg: float) -> Figure:
    """Return both bottles in the corner of two tubes, and the gap from a corner to a far side."""
    figure, axes = drawing(4.2, (-60, 430), (-62, 395))
    turn = np.radians(between_deg)
    dt, up = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    st, out = np.array([np.cos(turn), np.sin(turn)]), np.array([np.sin(turn), -np.cos(turn)])
    tube(axes, (0, 0), 420 * dt, low.tube)
    tube(axes, (0, 0), 415 * st, high.tube)
    disc(axes, (0, 0), 19, STEEL, 1.5, zorder=3)
    for bottle, along, square in ((low, dt, up), (high, st, out)):
        near, far = bottle.far_side - bottle.diameter, bottle.far_side
        foot, head = bottle.start * along, (bottle.start + bottle.length) * along
        sides = near * square, far * square
        corners = [foot + sides[0], foot + sides[1], head + sides[1], head + sides[0]]
        area(axes, corners, "white", 1.4, alpha=0.95)
    corner = high.start * st + high.far_side * out
    centre_line(axes, (0, 0), 425 * dt)
    centre_line(axes, (0, 0), 420 * st)
    axes.plot(corner[0], corner[1], "o", color=ACCENT, markersize=7, zorder=6)
    measure(axes, corner, (corner[0], low.far_side), f"{corner[1] - low.far_side:.1f}", (28, 2))
    measure(axes, (385, 0), (385, low.far_side), f"{low.far_side:.1f}", (25, 4))
    axes.plot([355, 390], [low.far_side] * 2, color=INK, linewidth=0.6)
    foot = high.start * st
    measure(axes, foot, corner, f"{high.far_side:.1f}", (-14, -16))
    back = np.array([-out[0], -out[1]]) * 34
    measure(axes, back, back + foot, f"{high.start:g}", (-20, 10))
    for at in ((0.0, 0.0), foot):
        axes.plot(*np.transpose([at, np.add(at, back * 1.15)]), color=INK, linewidth=0.6)
    measure(axes, (0, -32), (low.start, -32), f"{low.start:g}", (0, -13))
    axes.plot([low.start] * 2, [-36, 20], color=INK, linewidth=0.6)
    arc(axes, (0, 0), 52, 0, between_deg)
    label(axes, 62, 33, f"{between_deg:.1f}°", ha="left")
    return figure


@house_style
def guides(diameter: float, first: float = 70.0, last: float = 370.0, count: int = 4) -> Figure:
    """Return a tube with guides along one line, their places all counted from one end."""
    figure, axes = drawing(2.0, (-25, 420), (-45, 100))
    tube(axes, (0, 0), (410, 0), diameter)
    block(axes, (-18, -40), 18, 80, STEEL, 1.4)
    axes.plot([0, 410], [8, 8], color=ACCENT, linewidth=1)
    step = (last - first) / (count - 1)
    for i in range(count):
        x, level = first + i * step, 82 - 14 * (count - 1 - i)
        block(axes, (x - 6, 5), 12, 6, LIGHT, 1.2)
        axes.plot([x, x], [11, level + 3], color=INK, linewidth=0.6)
        arrow(axes, (0, level), (x, level))
        label(axes, x + 5, level + 2, f"{x:g}", ha="left")
    axes.plot([0, 0], [40, 92], color=INK, linewidth=0.6)
    label(axes, -9, 0, "head tube", rotation=90, fontsize=10)
    return figure
