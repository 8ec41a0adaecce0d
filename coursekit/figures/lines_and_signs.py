"""The picture of the lines round a tube, of its ends and of the words of a joint; mm."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import miters, pieces
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
    arrow,
    badge,
    disc,
    drawing,
    house_style,
    label,
    point_out,
    sheet,
    tube,
)
from coursekit.figures.miter_angles import _outline

DOWN, HEAD, ANGLE = 25.4, 31.8, 62.0  # the joint of the lesson on miter angles


def seen(line_deg: float) -> np.ndarray:
    """Return where a line of a tube stands when the drive side is to the right: 0° is below."""
    turn = np.radians(line_deg)
    return np.array([np.sin(turn), -np.cos(turn)])


@house_style
def lines() -> Figure:
    """Return the four lines of a tube that lies and of one that stands, and the sideways sign."""
    figure, both = sheet(3.2, 2)
    views = (
        (both[0], "a tube that lies,\nseen from behind", pieces.LYING),
        (both[1], "a tube that stands,\nseen from above", pieces.STANDING),
    )
    for axes, title, names in views:
        axes.set(xlim=(-37, 37), ylim=(-45, 29), aspect="equal", title=title)
        axes.axis("off")
        _ring(axes, names)
        arrow(axes, (-20, -36), (26, -36), ACCENT, 1.6)
        axes.plot([0, 0], [-38, -34], color=ACCENT, linewidth=1.6)
        label(axes, -24, -36, "−", color=ACCENT, fontsize=13)
        label(axes, 30, -36, "+", color=ACCENT, fontsize=13)
        label(axes, 0, -42, "sideways", color=ACCENT)
    return figure


def _ring(axes: Axes, names: tuple[str, ...]) -> None:
    disc(axes, (0, 0), 13, STEEL, 1.8)
    disc(axes, (0, 0), 10.5, "white", 1.0)
    for k, name in enumerate(names):
        x, y = seen(90 * k)
        axes.plot([11.5 * x, 15 * x], [11.5 * y, 15 * y], color=INK, linewidth=2.6)
        words = f"{90 * k}°\n" + name.replace(" side", "\nside" if k % 2 else " side")
        far = 27.5 if k % 2 else 21.0
        label(axes, far * x, far * y, words, linespacing=1.1)
    arc(axes, (0, 0), 7, -90, 0)
    arrow(axes, (6.9, -1.2), (7.0, 1.0), ACCENT, 1.4)


@house_style
def ends() -> Figure:
    """Return a frame from the drive side with the letters of every tube's ends."""
    figure, axes = drawing(3.3, (-480, 520), (-110, 620))
    shell, seat, axle = np.array([0.0, 0.0]), np.array([-165.0, 540.0]), np.array([-410.0, 70.0])
    low, high = np.array([400.0, 430.0]), np.array([355.0, 572.0])
    along = (high - low) / np.hypot(*(high - low))
    cluster, top, down = seat * 0.94, low + 110 * along, low + 30 * along
    tubes = (  # end a, end b, diameter, from either end to its letter
        (cluster, top, 26, 80, 80),
        (shell, down, 32, 90, 70),
        (shell, axle, 18, 90, 70),
        (cluster, axle, 14, 80, 70),
        (shell, seat, 28, 90, -20),
        (low, high, 36, -22, -22),
    )
    for start, end, size, *_ in tubes:
        tube(axes, start, end, size, LIGHT)
    disc(axes, (0, 0), 28, STEEL, 1.5, zorder=3)
    for start, end, _, from_a, from_b in tubes:
        way = (end - start) / np.hypot(*(end - start))
        for letter, at in (("a", start + from_a * way), ("b", end - from_b * way)):
            badge(axes, at[0], at[1], letter, 0.15, zorder=4)
    arrow(axes, (300, 60), (440, 60), INK, 1.2)
    label(axes, 370, 30, "front")
    disc(axes, (330, -50), 16, "white", 1.4)
    disc(axes, (330, -50), 4, INK)
    label(axes, 356, -50, "drive side:\ntoward you, +", ha="left")
    return figure


@house_style
def joint() -> Figure:
    """Return the words of a joint, and φ of `miters` beside the degrees of the tube."""
    figure, (side, ring) = sheet(3.6, 2, width_ratios=(1, 1))
    side.set(xlim=(-62, 40), ylim=(-60, 56), aspect="equal", title="from the drive side")
    ring.set(
        xlim=(-50, 50), ylim=(-56, 57), aspect="equal", title="from end a,\nlooking at the joint"
    )
    for axes in (side, ring):
        axes.axis("off")
    _words(side)
    _translated(ring)
    return figure


def _words(axes: Axes) -> None:
    tube(axes, (0, -66), (0, 50), HEAD)
    x, y = _outline(DOWN, HEAD, ANGLE, 58)
    area(axes, np.column_stack([x, y]), STEEL, 1.5)
    s, c = np.sin(np.radians(ANGLE)), np.cos(np.radians(ANGLE))
    _, along = miters.saddle(DOWN, HEAD, ANGLE)

    def edge(line: float) -> np.ndarray:
        reach, up = np.interp(line, np.arange(361), along), DOWN / 2 * np.cos(np.radians(line))
        return np.asarray(-reach * np.array([s, c]) + up * np.array([-c, s]))

    longest, _ = miters.long_point(DOWN, HEAD, ANGLE)
    for at, where, name in (
        (edge(float(longest)), (-44, 14), "long\npoint"),
        (edge(90), (26, -22), "ear"),
        (edge(180), (22, -50), "short\npoint"),
    ):
        point_out(axes, at, where, name)
        axes.plot(*at, "o", color=ACCENT, markersize=5, zorder=6)
    label(axes, -40, 44, "obtuse\ncorner")
    label(axes, -34, -50, "acute\ncorner")


def _translated(axes: Axes) -> None:
    disc(axes, (0, 0), 26, STEEL, 1.8)
    disc(axes, (0, 0), 22, "white", 1.0)
    corners = {0: "acute", 90: "flank", 180: "obtuse", 270: "flank"}
    for k, place in enumerate(pieces.LYING):
        x, y = seen(90 * k)
        axes.plot([23 * x, 28 * x], [23 * y, 28 * y], color=INK, linewidth=2.6)
        words = f"{90 * k}°\n{corners[90 * k]}"
        label(axes, 38 * x, 37 * y + (2 if k % 2 else 0), words, linespacing=1.1)
        label(axes, 14 * x, 15 * y, f"{(90 * k + 180) % 360}°", color=ACCENT)
        if k % 2 == 0:
            label(axes, 0, 50 * y, place)
    label(axes, 0, 0, "φ", color=ACCENT, fontsize=13)
