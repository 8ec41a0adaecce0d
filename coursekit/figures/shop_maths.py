"""Figures of the lesson on shop maths; lengths mm, angles in degrees from the base."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from coursekit import miters, readings, uncertainty, units
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    area,
    centre_line,
    disc,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    sheet,
    tube,
)
from coursekit.sheets.text import long_minus


@house_style
def tape(shown: float) -> Figure:
    """Return a stretch of a tape, inches above and millimetres below, with one length on it."""
    figure, axes = drawing(2.5, (24.2, 42.3), (-3.9, 4.2))
    area(axes, [(24.4, -1.8), (42, -1.8), (42, 1.8), (24.4, 1.8)], LIGHT)
    for count in range(16, 27):
        at, fine = units.mm(f"{count}/16 in"), count % 2
        tall = 0.6 if fine else 0.85 if count % 4 else 1.1
        axes.plot([at, at], [1.8, 1.8 - tall], color=INK, linewidth=1.3)
    for text in ("1 in", "1 1/4 in", "1 1/2 in"):
        label(axes, units.mm(text), 2.5, text)
    for at in range(25, 42):
        axes.plot([at, at], [-1.8, -1.8 + (1.1 if at % 5 == 0 else 0.6)], color=INK, linewidth=1.3)
    for at in (25, 30, 35, 40):
        label(axes, at, -2.5, f"{at}")
    axes.plot([shown, shown], [-1.8, 1.8], color=ACCENT, linewidth=2.2)
    point_out(axes, (shown, -1.8), (37.4, -3.5), f"{shown:g} mm")
    label(axes, 25.6, 3.7, "inches, in sixteenths", ha="left", color=ACCENT)
    label(axes, 25.6, -3.5, "millimetres", ha="left", color=ACCENT)
    return figure


@house_style
def gauges() -> Figure:
    """Return how much thicker a Birmingham wall is than a British one of the same number."""
    figure, axes = sheet(3.4)
    numbers = list(range(16, 25))
    more = [1000 * (units.BWG[g] - units.SWG[g]) * units.INCH for g in numbers]
    bars = axes.bar(range(len(numbers)), more, 0.6, color=STEEL, edgecolor=INK)
    for bar, value in zip(bars, more, strict=True):
        say = long_minus(f"{value:+.0f}") if value else "0"
        off, va = (2, "bottom") if value >= 0 else (-2, "top")
        label(axes, bar.get_x() + 0.3, value + off, say, va=va)
    axes.axhline(0, color=INK, linewidth=1.2)
    axes.set(ylim=(-40, 64), ylabel="BWG thicker than SWG (µm)", xlabel="gauge number, wall in BWG")
    walls = [f"{g}\n{units.mm(f'{g} BWG'):.2f}" for g in numbers]
    axes.set_xticks(range(len(numbers)), walls)
    return figure


@house_style
def rises(angles_deg: Sequence[float]) -> Figure:
    """Return lines at several angles over the same base of 300 mm, each with its rise."""
    figure, axes = drawing(5.4, (-160, 1010), (-130, 1240))
    rise = [float(units.rise(a)) for a in angles_deg]
    axes.plot([0, 300], [0, 0], color=INK, linewidth=2.4)
    axes.plot([300, 300], [0, max(rise) + 40], color=INK, linewidth=1.2)
    measure(axes, (0, -40), (300, -40), "base 300 mm", (0, -48))
    for angle_deg, top in zip(angles_deg, rise, strict=True):
        axes.plot([0, 300], [0, top], color=ACCENT, linewidth=1.8)
        axes.plot([300, 330], [top, top], color=INK, linewidth=1.2)
        label(axes, 345, top, f"{angle_deg:g}° rises {top:.1f} mm", ha="left")
    arc(axes, (0, 0), 250, 0, angles_deg[1])
    label(axes, 125, 55, "angle")
    label(axes, 345, 430, "a rule measures\nthe rise here", ha="left")
    return figure


@house_style
def triangle(chainstay: float, bb_drop: float) -> Figure:
    """Return the right triangle of chainstay, drop and level leg, seen from the drive side."""
    leg = float(np.sqrt(chainstay**2 - bb_drop**2))
    figure, axes = drawing(2.6, (-leg - 60, 150), (-75, 160))
    axes.plot([-leg, 0], [bb_drop, 0], color=STEEL, linewidth=9, solid_capstyle="round")
    axes.plot([-leg, 0, 0, -leg], [bb_drop, bb_drop, 0, bb_drop], color=INK, linewidth=1.6)
    for at in ((0.0, 0.0), (-leg, bb_drop)):
        disc(axes, at, 11, "white", 1.6)
    label(axes, -leg / 2, bb_drop + 28, f"level leg {leg:.1f} mm")
    label(axes, -leg / 2, bb_drop / 2 - 42, f"chainstay {chainstay:g} mm")
    label(axes, 14, bb_drop / 2 + 8, f"drop\n{bb_drop:g} mm", ha="left")
    axes.text(-leg, bb_drop + 28, "rear axle", ha="center", va="bottom")
    label(axes, 0, -34, "bottom bracket")
    return figure


@house_style
def swing(length: float, error_deg: float, shown: float = 10.0) -> Figure:
    """Return a tube that swings about its joint by a small error, drawn `shown` times too much."""
    miss = float(miters.far_end(length, error_deg))
    figure, axes = drawing(2.9, (-70, length + 190), (-110, 260))
    tube(axes, (0, -95), (0, 200), 60)
    turn = np.radians(error_deg * shown)
    tip = (length * np.cos(turn), length * np.sin(turn))
    tube(axes, (30, 0), (length, 0), 32, "none")
    tube(axes, (30 * np.cos(turn), 30 * np.sin(turn)), tip, 32, STEEL)
    centre_line(axes, (0, 0), (length + 25, 0))
    arc(axes, (0, 0), 300, 0, error_deg * shown)
    axes.text(310, 82, f"{error_deg:g}°", ha="center", va="bottom", color=ACCENT)
    measure(axes, (length + 18, 0), (length + 18, tip[1]), f"{miss:.1f} mm", (80, 0))
    measure(axes, (0, -70), (length, -70), f"{length:g} mm", (0, -26))
    label(axes, length / 2, 225, f"swing drawn {shown:g} times too much")
    return figure


@house_style
def heap(errors: Sequence[float], count: int = 4000) -> Figure:
    """Return what many tubes miss by, each with three errors that are independent."""
    figure, axes = sheet(3.3)
    chance = np.random.default_rng(11)
    sums = sum(chance.normal(0, e, count) for e in errors)
    axes.hist(sums, bins=np.arange(-6.25, 6.5, 0.5), color=STEEL, edgecolor=INK, linewidth=0.8)
    together, worst = float(uncertainty.combined(*errors)), sum(errors)
    top = axes.get_ylim()[1] * 1.4
    for at, style, text in (
        (together, "-", f"± {together:.1f} mm, root sum square"),
        (worst, "--", f"± {worst:.1f} mm, plain sum"),
    ):
        axes.axvline(at, color=ACCENT, linewidth=2.0, linestyle=style, label=text)
        axes.axvline(-at, color=ACCENT, linewidth=2.0, linestyle=style)
    axes.legend(loc="upper center", framealpha=1, edgecolor="white")
    axes.set(xlim=(-6.5, 6.5), ylim=(0, top))
    axes.set(xlabel="miss at the far end (mm)", ylabel=f"of {count} tubes")
    return figure


@house_style
def four_readings(values: Sequence[float]) -> Figure:
    """Return readings of one thing as dots, their mean, and how well one and all are known."""
    found = readings.mean_of(values)
    figure, axes = sheet(2.7)
    axes.plot(values, [3] * len(values), "o", color=INK, markersize=8)
    for level, half, text in (
        (2, found.scatter, f"one reading: ± {found.scatter:.3f} mm"),
        (1, found.uncertainty, f"their mean: ± {found.uncertainty:.3f} mm"),
    ):
        look = {"fmt": "D", "color": ACCENT, "capsize": 6, "markersize": 7, "linewidth": 2}
        axes.errorbar(found.value, level, xerr=half, **look)
        label(axes, found.value + 0.075, level, text, ha="left")
    label(axes, found.value + 0.075, 3, "what was read", ha="left")
    axes.axvline(found.value, color=INK, linewidth=0.9, linestyle=":")
    axes.set(xlim=(0.78, 1.12), ylim=(0.5, 3.5), xlabel="dial indicator (mm)")
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    return figure
