"""Figures of the lesson on heat and filler; lengths mm, temperatures °C."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from coursekit import brazing
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    area,
    block,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)

SHOWN = ("BAg-7", "BAg-24", "BAg-5", "RBCuZn-C", "RBCuZn-D")
PASTES = (("FB3-A", "fluoride paste"), ("FB3-D", "borate paste"))
DARK = "#4d565e"


@house_style
def thermometer() -> Figure:
    """Return fillers and fluxes along one scale: melting, brazing range, where the flux works."""
    figure, axes = sheet(3.6)
    names = []
    for row, name in enumerate(SHOWN):
        metal = brazing.filler(name)
        low, high = metal.working
        axes.barh(row, high - low, 0.5, left=low, color=LIGHT, edgecolor=INK)
        melts = metal.liquidus - metal.solidus
        axes.barh(row, melts, 0.5, left=metal.solidus, color=DARK, edgecolor=INK)
        names.append(name)
    for row, (name, text) in enumerate(PASTES, len(SHOWN)):
        flux = brazing.flux(name)
        look = {"color": "white", "edgecolor": ACCENT, "hatch": "///", "linewidth": 1.2}
        axes.barh(row, flux.high - flux.low, 0.5, left=flux.low, **look)
        names.append(text)
    axes.axhline(len(SHOWN) - 0.5, color=INK, linewidth=0.8)
    axes.set_yticks(range(len(names)), names)
    axes.invert_yaxis()
    axes.set(xlim=(520, 1230), xlabel="temperature (°C)")
    axes.grid(axis="x", linewidth=0.4)
    axes.set_axisbelow(True)
    return figure


@house_style
def two_walls(thin: float, thick: float, seconds: float = 30.0) -> Figure:
    """Return how two walls warm under the same flame, without losses: the thin one runs away."""
    figure, axes = sheet(3.2)
    time = np.linspace(0, seconds, 121)
    for wall, style in ((thin, "-"), (thick, "--")):
        warmth = 20 + 88 * time / wall  # a flame that gives a 1 mm wall 88 K a second
        seen = np.minimum(warmth, 1250)
        axes.plot(time, seen, style, color=ACCENT if style == "-" else INK)
        at = np.argmax(seen > 500)
        label(axes, time[at] + 0.9, 470, f"{wall:g} mm", ha="left")
    low, high = brazing.filler("RBCuZn-C").working
    axes.axhspan(low, high, color=LIGHT)
    axes.text(seconds, high + 15, "brass brazes", ha="right", va="bottom")
    axes.set(xlim=(0, seconds), ylim=(0, 1200), xlabel="seconds under the flame", ylabel="°C")
    return figure


@house_style
def bead(leg: float) -> Figure:
    """Return a hollow fillet in a square corner with its leg and the quarter circle beside it."""
    figure, axes = drawing(3.2, (-6, 21), (-5, 13))
    block(axes, (-4, -4), 23, 4, LIGHT, 1.3)
    block(axes, (-1.6, 0), 1.6, 12.5, STEEL, 1.3)
    turn = np.linspace(np.pi, 1.5 * np.pi, 40)
    arc = np.column_stack([leg + leg * np.cos(turn), leg + leg * np.sin(turn)])
    area(axes, np.vstack([[[0, 0]], arc]), ACCENT, 1.3)
    axes.plot([leg, leg, 0], [0, leg, leg], color=INK, linewidth=0.9, linestyle="--")
    measure(axes, (0, 8.2), (leg, 8.2), f"leg {leg:g}", (0, 1.2))
    point_out(axes, (0.9, 0.9), (14.5, 4.6), "filler")
    label(axes, -4.4, 11, "tube")
    label(axes, 14, -2, "shell")
    return figure


@house_style
def growth(tube: float, shell: float) -> Figure:
    """Return the rod that a fillet takes, over its leg: twice the leg, four times the rod."""
    figure, axes = sheet(3.0)
    leg = np.linspace(2, 9, 71)
    round_joint = brazing.fillet(tube, shell, 90.0, leg)
    axes.plot(leg, round_joint.rod_length(2.0), color=ACCENT)
    for at in (4.0, 8.0):
        rod = float(brazing.fillet(tube, shell, 90.0, at).rod_length(2.0))
        axes.plot([at], [rod], "o", color=INK, markersize=7)
        label(axes, at - 0.25, rod + 25, f"{rod:.0f} mm", ha="right")
    axes.set(xlim=(2, 9), ylim=(0, 600), xlabel="leg of the fillet (mm)", ylabel="rod of 2 mm (mm)")
    return figure


@house_style
def three_fillets() -> Figure:
    """Return what three fillets tell: too cold, as it should be, too hot."""
    figure, axes = drawing(2.6, (-3, 62), (-6, 22))
    for x, shape, words in (
        (0, _roll, "too cold:\nstands as a roll"),
        (22, _hollow, "as it should be:\nruns out to nothing"),
        (44, _sagged, "too hot:\nhas run away"),
    ):
        block(axes, (x, 0), 16, 2.4, LIGHT, 1.2)
        block(axes, (x, 2.4), 2.4, 11, STEEL, 1.2)
        area(axes, shape(x + 2.4, 2.4), ACCENT, 1.2)
        label(axes, x + 8, 18, words)
    label(axes, 31, -3.6, "tube upright, shell below, filler dark")
    return figure


def _roll(x: float, y: float) -> np.ndarray:
    turn = np.linspace(-0.6 * np.pi, 1.1 * np.pi, 40)
    return np.column_stack([x + 2.9 + 2.9 * np.cos(turn), y + 2.9 + 2.9 * np.sin(turn)])


def _hollow(x: float, y: float) -> np.ndarray:
    turn = np.linspace(np.pi, 1.5 * np.pi, 40)
    return np.vstack(
        [[[x, y]], np.column_stack([x + 6 + 6 * np.cos(turn), y + 6 + 6 * np.sin(turn)])]
    )


def _sagged(x: float, y: float) -> np.ndarray:
    along = np.linspace(0, 11, 40)
    return np.vstack(
        [[[x, y]], np.column_stack([x + along, y + 1.5 * np.exp(-along / 4)]), [[x + 11, y]]]
    )
