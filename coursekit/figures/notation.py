"""The picture dictionary of the book's symbols."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import miters
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    WIDTH,
    arc,
    area,
    centre_line,
    disc,
    house_style,
    label,
    measure,
    tube,
)
from coursekit.figures.miter_angles import _outline

_TUBE, _INTO, _ANGLE = 25.4, 31.8, 62.0


@house_style
def symbols() -> Figure:
    """Return one figure with a small drawing for each symbol."""
    import matplotlib.pyplot as plt

    figure, grid = plt.subplots(5, 2, figsize=(WIDTH, 10.6), layout="constrained")
    for axes, (title, draw) in zip(grid.flat, _DRAWINGS.items(), strict=True):
        axes.set(xlim=(-62, 28), ylim=(-50, 30), aspect="equal", title=title)
        axes.axis("off")
        draw(axes)
    return figure


def _joint(axes: Axes) -> None:
    tube(axes, (0, -50), (0, 30), _INTO)
    x, y = _outline(_TUBE, _INTO, _ANGLE, 60)
    area(axes, np.column_stack([x, y]), STEEL, 1.5)


def _included_angle(axes: Axes) -> None:
    _joint(axes)
    s, c = np.sin(np.radians(_ANGLE)), np.cos(np.radians(_ANGLE))
    centre_line(axes, (0, -48), (0, 28))
    centre_line(axes, (0, 0), (-60 * s, -60 * c))
    arc(axes, (0, 0), 30, 270 - _ANGLE, 270)
    label(axes, 3, -34, "θ", ha="left", fontsize=13)


def _small_radius(axes: Axes) -> None:
    _joint(axes)
    s, c = np.sin(np.radians(_ANGLE)), np.cos(np.radians(_ANGLE))
    centre_line(axes, (0, 0), (-60 * s, -60 * c))
    start = np.array([-42 * s, -42 * c])
    end = start + _TUBE / 2 * np.array([-c, s])
    measure(axes, start, end, "r", (6, 1))


def _large_radius(axes: Axes) -> None:
    _joint(axes)
    centre_line(axes, (0, -48), (0, 28))
    measure(axes, (0, -40), (_INTO / 2, -40), "R", (0, 7))


def _station(axes: Axes) -> None:
    centre, r = np.array([-18.0, -12.0]), 26.0
    disc(axes, (centre[0], centre[1]), r, STEEL, 1.8)
    disc(axes, (centre[0], centre[1]), r - 4, "white")
    axes.plot([centre[0]] * 2, [centre[1], centre[1] + r], color=ACCENT, linewidth=1.4)
    end = centre + r * np.array([-np.sin(1), np.cos(1)])
    axes.plot([centre[0], end[0]], [centre[1], end[1]], color=ACCENT, linewidth=1.4)
    arc(axes, centre, 13, 90, 90 + np.degrees(1))
    label(axes, centre[0] - 8, centre[1] + 17, "φ", fontsize=13)
    for degrees, dx, dy in ((0, 0, 5), (90, -10, 0), (180, 0, -6), (270, 12, 0)):
        turn = np.radians(degrees)
        x, y = centre + r * np.array([-np.sin(turn), np.cos(turn)]) + (dx, dy)
        label(axes, x, y, f"{degrees}°", fontsize=10)


def _along(axes: Axes) -> None:
    _joint(axes)
    s, c = np.sin(np.radians(_ANGLE)), np.cos(np.radians(_ANGLE))
    _, along = miters.saddle(_TUBE, _INTO, _ANGLE)
    shift = -_TUBE / 2 * np.array([-c, s])
    axes.plot([0, shift[0]], [0, shift[1]], color=INK, linewidth=0.8, linestyle=":")
    centre_line(axes, (0, 0), (-60 * s, -60 * c))
    measure(axes, shift, shift + along[180] * np.array([-s, -c]), "z", (6, -7))


def _round(axes: Axes) -> None:
    around, along = miters.saddle(_TUBE, _INTO, _ANGLE)
    x, y = around - 57, along - 38
    axes.fill_between(x, y, 14, color=STEEL, linewidth=0)
    axes.plot(x, y, color=INK, linewidth=2)
    axes.plot([x[0]] * 2, [-46, 14], color=INK, linewidth=0.8, linestyle=":")
    axes.plot([x[130]] * 2, [-46, y[130]], color=INK, linewidth=0.8, linestyle=":")
    measure(axes, (x[0], -44), (x[130], -44), "s", (0, 6))
    label(axes, x[180], 5, "tube, unrolled", fontsize=10)


def _end_view(axes: Axes, r: float, e: float) -> tuple[np.ndarray, float]:
    """Draw a square joint along the axis of the tube joined to; return its middle and radius."""
    centre, R, top = np.array([-18.0, -26.0]), 22.0, 22.0
    disc(axes, (centre[0], centre[1]), R, LIGHT, 1.8)
    h = np.linspace(e - r, e + r, 40)
    edge = centre + np.column_stack([h, np.sqrt(R**2 - h**2)])
    body = np.vstack([edge, [[edge[-1][0], top], [edge[0][0], top]]])
    area(axes, body, STEEL, 1.5)
    return centre, R


def _from_the_middle(axes: Axes) -> None:
    centre, R = _end_view(axes, 15.0, 0.0)
    h = 10.6
    centre_line(axes, (centre[0], centre[1] - R), (centre[0], 28))
    reach = centre[1] + np.sqrt(R**2 - h**2)
    axes.plot([centre[0] + h] * 2, [reach, 22], color=ACCENT, linewidth=1.6)
    measure(axes, (centre[0], 8), (centre[0] + h, 8), "h", (0, 6))


def _shoulder(axes: Axes) -> None:
    centre, R = _end_view(axes, 13.0, 0.0)
    for x, top in ((13.0, centre[1] + 17), (R, centre[1])):
        axes.plot([centre[0] + x] * 2, [top, -50], color=ACCENT, linewidth=1, linestyle="--")
    label(axes, centre[0] + R + 2, -47, "R − r", ha="left")
    measure(axes, (centre[0] + 13, -47), (centre[0] + R, -47))


def _offset(axes: Axes) -> None:
    e, top = 9.0, 22.0
    centre, R = _end_view(axes, 9.0, e)
    for at in (0, e):
        centre_line(axes, (centre[0] + at, centre[1] - R), (centre[0] + at, top + 6))
    measure(axes, (centre[0], 15), (centre[0] + e, 15))
    label(axes, centre[0] - 4, 15, "e")


def _error(axes: Axes) -> None:
    tube(axes, (-52, -40), (-52, 26), 14)
    tube(axes, (-45, 8), (24, 8), 10, STEEL)
    axes.plot([-52, 22], [8, -20], color=ACCENT, linewidth=1.6, linestyle="--")
    arc(axes, (-52, 8), 46, -np.degrees(np.arctan2(28, 74)), 0)
    label(axes, 2, -4, "δ", fontsize=13)
    measure(axes, (-52, 20), (24, 20), "L", (4, 6))
    label(axes, -8, -32, "miss: δ·L")
    measure(axes, (24, 8), (24, -21))


_DRAWINGS: dict[str, Callable[[Axes], None]] = {
    "θ  included angle": _included_angle,
    "φ  station": _station,
    "r  radius, cut tube": _small_radius,
    "R  radius, other tube": _large_radius,
    "z  along the tube": _along,
    "s  round the tube": _round,
    "h  from the middle": _from_the_middle,
    "R − r  shoulder": _shoulder,
    "e  offset": _offset,
    "δ  error,  L  length": _error,
}
