"""Figures of the lesson on tack order; lengths mm, angles in degrees as in `tacks`."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import fitting, tacks
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
    arrow,
    centre_line,
    disc,
    drawing,
    heading,
    house_style,
    label,
    measure,
    point_out,
    sheet,
    tube,
)

CLOCK, ZIGZAG, PAIRS = (0, 90, 180, 270), (0, 270, 90, 180), (0, 180, 90, 270)
PATTERNS = (
    (ZIGZAG, "neighbours first", ":"),
    (CLOCK, "round the clock", "--"),
    (PAIRS, "opposite pairs", "-"),
)


@house_style
def ring() -> Figure:
    """Return the joint seen from the tube's far end: where each angle is, which way is positive."""
    figure, axes = drawing(3.9, (-52, 52), (-39, 39))
    disc(axes, (0, 0), 16, STEEL, 1.8)
    disc(axes, (0, 0), 14, "white", 1.0)
    for angle_deg in PAIRS:
        disc(axes, 17.5 * heading(angle_deg), 2.4, ACCENT)
    for angle_deg, away, name in (
        (0, 29, "0°\nrear"),
        (90, 25, "90°, drive side"),
        (180, 29, "180°\nfront"),
        (270, 25, "270°, non-drive side"),
    ):
        x, y = away * heading(angle_deg)
        label(axes, x, y, name)
    arrow(axes, (0, 0), (11, 0), ACCENT, 2.0)
    arrow(axes, (0, 0), (0, 11), ACCENT, 2.0)
    label(axes, 44, -11, "in plane +\n(to the rear)", color=ACCENT)
    label(axes, 0, 34, "across + (to the drive side)", color=ACCENT)
    arc(axes, (0, 0), 42, 12, 40)
    arrow(axes, (33.9, 24.9), (32.2, 27.0), ACCENT, 1.4)
    label(axes, 0, -36, "seen from the far end, looking onto the joint")
    return figure


@house_style
def lean(length: float, offset: float, shown: float = 30.0) -> Figure:
    """Return the tube from the drive side after one tack at the rear, its lean `shown` times."""
    figure, axes = drawing(4.2, (-420, 260), (-75, length + 60))
    turn = np.arctan(offset / length) * shown
    top = (-length * np.sin(turn), length * np.cos(turn))
    disc(axes, (0, 0), 40, LIGHT, 1.5)
    tube(axes, (0, 38), top, 32, STEEL)
    centre_line(axes, (0, 0), (0, length + 30))
    centre_line(axes, (0, 0), top)
    area(axes, [(-14, 36), (-40, 30), (-20, 66)], ACCENT)
    point_out(axes, (-32, 42), (-250, 70), "tack at 0°, rear:\nit shrinks and pulls")
    measure(axes, (top[0], length + 25), (0, length + 25), f"{offset:g} mm", (0, 28))
    measure(axes, (75, 0), (75, length), f"L = {length:g} mm", (95, 0))
    arc(axes, (0, 0), 330, 90, 90 + np.degrees(turn))
    tilt = np.degrees(np.arctan(offset / length))
    middle = (-330 * np.sin(turn / 2), 330 * np.cos(turn / 2))
    point_out(axes, middle, (-290, 300), f"tilt {tilt:.2f}°")
    label(axes, -240, -40, f"lean drawn {shown:g}\ntimes too large")
    label(axes, 0, -57, "shell")
    return figure


@house_style
def fading(first: float, hold: float, count: int = 6) -> Figure:
    """Return the pulls of the first `count` tacks as bars, in the unit of `first`."""
    figure, axes = sheet(2.7)
    pulls = first * hold ** np.arange(count)
    bars = axes.bar(np.arange(1, count + 1), pulls, color=STEEL, edgecolor=INK, width=0.62)
    axes.bar_label(bars, [f"{p:.2f}" for p in pulls], padding=2)
    axes.set(ylim=(0, first * 1.15), ylabel="pull at the gauge (mm)")
    axes.set_xlabel("tack, in the order set; each × hold of the one before")
    axes.set_xticks(range(1, count + 1), ["1", *(f"{k}\n× {hold:g}" for k in range(2, count + 1))])
    return figure


@house_style
def arrows(first: float, hold: float) -> Figure:
    """Return the pulls of two orders laid head to tail, and what is left."""
    figure, pair = sheet(3.2, ncols=2)
    for axes, (order, name, _) in zip(pair, PATTERNS[1:], strict=True):
        _path(axes, order, first, hold)
        axes.set_title(f"{name}\n" + "–".join(f"{a}" for a in order))
    return figure


def _path(axes: Axes, order: Sequence[float], first: float, hold: float) -> None:
    ends = np.vstack([[0, 0], tacks.after_each(order, first, hold)])
    lift = np.zeros((4, 2))
    if order == PAIRS:  # arrows that run back over each other are drawn side by side
        lift = np.array([[0, 0], [0, 0.12], [0, 0.12], [0.2, 0.12]])
    for k in range(4):
        start, end = ends[k] + lift[k], ends[k + 1] + lift[k]
        arrow(axes, start, end, width=2.0)
        middle, way = (start + end) / 2, (end - start) / np.hypot(*(end - start))
        side = 0.24 if order == PAIRS and k > 1 else -0.24
        away = np.array([-way[1], way[0]]) * side
        label(axes, middle[0] + away[0], middle[1] + away[1], f"{k + 1}")
    axes.plot(0, 0, "o", color=INK, markersize=6)
    arrow(axes, (0, 0), ends[-1], ACCENT, 3.2)
    left = float(np.hypot(*ends[-1]))
    label(axes, first * 0.5, -0.95, f"left: {left:.2f} mm", color=ACCENT)
    axes.set(xlim=(-0.5, first + 0.5), ylim=(-1.2, 2.25), aspect="equal")
    axes.set(xlabel="in plane (mm)", ylabel="across (mm)" if order == CLOCK else "")


@house_style
def by_hold() -> Figure:
    """Return what three orders of four tacks leave, in shares of the first pull, for every hold."""
    figure, axes = sheet(3.2)
    hold = np.linspace(0, 1, 101)
    for order, name, dash in PATTERNS:
        left = np.linalg.norm(tacks.pull(np.array(order), 1.0, hold), axis=-1)
        axes.plot(hold, left, color=INK, linestyle=dash, label=name, linewidth=2.2)
    axes.axvline(0.6, color=ACCENT, linewidth=1, linestyle="-.")
    axes.text(0.61, 0.04, "0.6", color=ACCENT)
    axes.set(xlim=(0, 1), ylim=(0, 1.1))
    axes.set(xlabel="hold", ylabel="left, as a share\nof the first pull")
    axes.legend(frameon=False, loc="lower left")
    return figure


@house_style
def class_fit(first: Sequence[float], second: Sequence[float]) -> Figure:
    """Return the benches' first and second pulls, mm, and the best line through zero."""
    figure, axes = sheet(3.3)
    hold = float(fitting.linear(np.asarray(first)[:, None], second).values[0])
    end = max(first) * 1.12
    axes.plot([0, end], [0, hold * end], color=INK)
    for x, y in zip(first, second, strict=True):
        axes.plot([x, x], [hold * x, y], color=ACCENT, linewidth=1.2)
    axes.plot(first, second, "o", color=ACCENT, markersize=7)
    axes.text(end * 0.42, hold * end * 0.42 + 0.28, f"slope = hold = {hold:.2f}", ha="right")
    axes.set(xlim=(0, end), ylim=(0, hold * end * 1.12))
    axes.set(xlabel="pull of the first tack (mm)", ylabel="pull of the opposite\ntack (mm)")
    return figure


@house_style
def joints() -> Figure:
    """Return a front triangle, its joints numbered in a usual order; the last ones close it."""
    figure, axes = drawing(3.3, (-290, 560), (-75, 590))
    bb, seat, low, high = np.array([[0, 0], [-160, 510], [390, 440], [355, 548]], float)
    along = (high - low) / np.hypot(*(high - low))
    top_end, down_end = low + 92 * along, low + 24 * along
    seat_end = seat * 0.94
    tube(axes, seat_end, top_end, 28, LIGHT)
    tube(axes, bb, down_end, 34, LIGHT)
    tube(axes, bb, seat, 30, STEEL, zorder=2.5)  # the ends of the others lie behind them
    tube(axes, low - 12 * along, high + 10 * along, 38, STEEL, zorder=2.5)
    disc(axes, (0, 0), 26, LIGHT, 1.5, zorder=3)
    right = np.array([12.0, 0.0])
    spots = {
        ("seat_tube", "shell"): ((-15, 40), (-130, 70)),
        ("top_tube", "seat_tube"): (seat_end + right, (-215, 430)),
        ("down_tube", "shell"): ((25, 28), (130, -20)),
        ("down_tube", "head_tube"): (down_end - [18, 14], (460, 400)),
        ("top_tube", "head_tube"): (top_end - 2 * right, (470, 520)),
    }
    for joint, (at, label_at) in spots.items():
        point_out(axes, at, label_at, f"{tacks.JOINTS.index(joint) + 1}")
    label(axes, -45, -48, "shell, the datum", ha="right")
    label(axes, 415, 330, "closing\njoints", ha="left")
    return figure
