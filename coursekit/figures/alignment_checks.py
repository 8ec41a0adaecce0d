"""Figures of the lesson on alignment checks; offsets in mm, positive toward the drive side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import alignment, dropouts, pulls, tubes
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arc,
    block,
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
def datum(shown: float = 25.0) -> Figure:
    """Return a frame on the plate, seen along it: shell, centre plane, leaning tube, gauge."""
    figure, axes = drawing(3.5, (-75, 560), (-95, 285))
    end, lean = (455.0, 455 * 0.00184 * shown), 0.00184 * shown
    _plate(axes, -40, 545, -34)
    block(axes, (-20, -34), 40, 68, LIGHT, 1.5)
    tube(axes, (20, 20 * lean), end, 24, STEEL)
    centre_line(axes, (-65, 0), (545, 0))
    _gauge(axes, 400, 400 * lean + 12, 200)
    point_out(axes, (-5, 34), (25, 110), "face of the shell,\ndrive side up")
    point_out(axes, (530, 0), (480, 84), "centre plane")
    label(axes, 235, 238, "indicator, from above")
    label(axes, 140, -68, "plate")
    measure(axes, (0, -50), (400, -50))
    label(axes, 300, -68, "400 mm from its axis", ha="left")
    label(axes, 130, 52, "seat tube")
    return figure


def _plate(axes: Axes, left: float, right: float, top: float) -> None:
    axes.plot([left, right], [top, top], color=INK, linewidth=2.2)
    for x in np.arange(left + 10, right, 22):
        axes.plot([x, x - 8], [top, top - 9], color=INK, linewidth=0.8)


def _gauge(axes: Axes, x: float, tip: float, dial: float) -> None:
    """Draw an indicator whose plunger touches at (x, tip), its dial at height `dial`."""
    axes.plot([x, x], [tip, dial - 30], color=INK, linewidth=2.4)
    disc(axes, (x, dial), 30, "white", 1.5)
    axes.plot([x, x + 14], [dial, dial + 18], color=ACCENT, linewidth=1.6)
    for a in np.radians(np.arange(0, 360, 30)):
        ends = np.array([[24, 30]]).T * [np.cos(a), np.sin(a)] + [x, dial]
        axes.plot(*ends.T, color=INK, linewidth=0.8)


@house_style
def reversal(offset: float, gauge: float) -> Figure:
    """Return both readings of one place as arrows: the gauge's part the same, the tube's turned."""
    figure, axes = sheet(3.4)
    for x, tube_part, name in ((0, offset, "drive side up"), (1.5, -offset, "drive side down")):
        _step(axes, x, 0.0, gauge, STEEL, f"gauge {gauge:+.2f}")
        _step(axes, x + 0.42, gauge, tube_part, LIGHT, long_minus(f"tube {tube_part:+.2f}"))
        read = gauge + tube_part
        axes.plot([x - 0.2, x + 0.62], [read, read], color=ACCENT, linewidth=2.4)
        said = long_minus(f"reads\n{read:+.2f}")
        label(axes, x + 0.7, read, said, ha="left", color=ACCENT)
        label(axes, x + 0.21, -0.42, name)
    axes.axhline(0, color=INK, linewidth=1)
    axes.text(0.96, -0.03, "gauge's zero", ha="center", va="top")
    axes.set(xlim=(-0.35, 2.6), ylim=(-0.52, 1.3), ylabel="mm", xticks=[])
    axes.spines["bottom"].set_visible(False)
    return figure


def _step(axes: Axes, x: float, foot: float, height: float, fill: str, text: str) -> None:
    low, high = sorted((foot, foot + height))
    block(axes, (x - 0.17, low), 0.34, high - low, fill, 1)
    label(axes, x, (low + high) / 2, text.replace(" ", "\n"))


@house_style
def fit(places: Sequence[float], offsets: Sequence[float], noise: float, top: float) -> Figure:
    """Return offsets along a tube, their mean, the fitted line to the top, and its band of ±2 u.

    `noise` is the standard uncertainty of one reading; an offset is half a difference of two.
    """
    figure, axes = sheet(3.5)
    h = np.asarray(offsets, float)
    line = alignment.line(np.asarray(places, float), h, -h, noise)
    x = np.linspace(0, top, 60)
    y, u = line.offset_at(x), line.offset_uncertainty_at(x)
    axes.fill_between(x, y - 2 * u, y + 2 * u, color=LIGHT)
    axes.plot(x, y, color=INK)
    axes.plot([0, top], [h.mean()] * 2, color=INK, linestyle="--", linewidth=1.4)
    axes.errorbar(places, h, 2 * noise / np.sqrt(2), fmt="o", color=ACCENT, capsize=4, markersize=6)
    end, wide = line.offset_at(top), line.offset_uncertainty_at(top)
    axes.plot(top, end, "s", color=ACCENT, markersize=7)
    axes.text(top - 6, end + 0.1, f"at the top {end:.2f} ± {wide:.2f}", ha="right", va="bottom")
    axes.text(8, h.mean() + 0.03, f"mean {h.mean():.2f}: no lean", va="bottom")
    label(axes, 205, 0.16, "fitted line", ha="left")
    axes.axhline(0, color=INK, linewidth=0.8)
    axes.set(xlim=(0, top + 15), ylim=(-0.22, end + 0.3))
    axes.set(xlabel="along the tube from the shell (mm)", ylabel="offset (mm)")
    return figure


@house_style
def twist(seat_deg: float, head_deg: float, shown: float = 60.0) -> Figure:
    """Return seat and head tube as seen from behind, leaning, and the twist between them."""
    figure, axes = drawing(3.7, (-330, 330), (-105, 400))
    for x, lean, long, wide, name in (
        (-160, seat_deg, 330, 30, "seat tube"),
        (150, head_deg, 190, 42, "head tube"),
    ):
        turn = np.radians(lean * shown)
        end = (x + long * np.sin(turn), long * np.cos(turn))
        centre_line(axes, (x, -20), (x, long + 45))
        tube(axes, (x, 0), end, wide, STEEL)
        arc(axes, (x, 0), long * 1.08, 90 - lean * shown, 90)
        label(axes, x + 24 + long * 0.09, long * 1.08 + 22, f"{lean:.3f}°", ha="left")
        label(axes, x, -38, name)
    say = f"twist = {head_deg:.3f}° − {seat_deg:.3f}°\n= {head_deg - seat_deg:.3f}°"
    label(axes, 150, 320, say)
    label(axes, 0, -88, f"seen from behind, drive side to the right; lean drawn {shown:g} times")
    return figure


@house_style
def guard_band(limit: float, uncertainty: float, values: Sequence[float]) -> Figure:
    """Return the line of sizes with the guard band about the limit, and measured values on it."""
    figure, axes = sheet(2.9)
    found = alignment.decide(np.asarray(values, float), uncertainty, limit)
    inner, outer = float(found.accept_to), float(found.reject_from)
    right = outer + (outer - inner) * 1.35
    axes.axvspan(inner, outer, color=LIGHT)
    axes.axvline(limit, ymax=0.76, color=INK, linewidth=2)
    for edge in (inner, outer):
        axes.axvline(edge, color=INK, linewidth=1, linestyle="--")
    for row, (value, verdict) in enumerate(zip(values, found.verdict, strict=True)):
        axes.errorbar(value, -row, xerr=2 * uncertainty, fmt="o", color=ACCENT, capsize=5)
        ground = LIGHT if verdict == "undecided" else "white"
        patch = {"facecolor": ground, "edgecolor": "none", "pad": 1}
        axes.text(value, -row + 0.2, verdict, ha="center", va="bottom", bbox=patch)
    middles = (inner / 2, limit, (outer + right) / 2)
    for x, name in zip(middles, ("within", "too near\nto tell", "outside"), strict=True):
        label(axes, x, 1.05, name, fontweight="bold")
    axes.set(xlim=(0, right), ylim=(-2.5, 1.5), yticks=[], xlabel="twist, without its sign (°)")
    ticks = (0, 0.1, inner, limit, outer, 0.3)
    axes.set_xticks(ticks, ["0", "0.1", f"{inner:.2f}", f"{limit:g}", f"{outer:.2f}", "0.3"])
    axes.spines["left"].set_visible(False)
    return figure


@house_style
def string(
    drive: float, other: float, to_seat: float, to_head: float, shown: float = 12.0
) -> Figure:
    """Return the string from above, the sideways offset of the dropouts drawn `shown` times."""
    figure, axes = drawing(3.7, (-130, 1080), (-330, 400))
    off = float(dropouts.string_test(drive, other, to_seat, to_head).off_centre) * shown
    half, head, seat = 200.0, 55.0, 42.0  # not to scale across
    centre_line(axes, (-45, 0), (1065, 0))
    for side in (1, -1):
        # drive side is drawn below: seen from above with the front to the right
        foot = -off + side * half
        axes.plot([0, to_head], [foot, side * head], color=ACCENT, linewidth=1.8)
        block(axes, (-30, foot - 7), 60, 14, STEEL)
        at = foot + (side * head - foot) * to_seat / to_head
        measure(axes, (to_seat, side * seat), (to_seat, at))
        words = f"gap {other:.1f}" if side > 0 else f"gap {drive:.1f}"
        label(axes, to_seat - 22, (side * seat + at) / 2, words, ha="right")
    disc(axes, (to_seat, 0), seat, LIGHT, 1.5)
    disc(axes, (to_head, 0), head, LIGHT, 1.5)
    axes.plot([-45, -15], [-off, -off], color=ACCENT, linewidth=2.6)
    label(axes, -55, -95, f"{off / shown:.1f} mm\noff", ha="right", fontsize=10)
    measure(axes, (0, 305), (to_seat, 305), f"{to_seat:.0f}", (0, 32))
    measure(axes, (0, -285), (to_head, -285), f"{to_head:.0f}", (0, 32))
    label(axes, 620, 215, "string", color=ACCENT)
    label(axes, 790, -205, "drive side below")
    for at, reach, name in ((to_seat, seat, "seat tube"), (to_head, head, "head tube")):
        axes.text(at - reach - 12, 8, name, ha="right", va="bottom", fontsize=10)
    label(axes, 780, 370, "seen from above; sizes across not to scale", fontsize=10)
    return figure


@house_style
def springback(
    section: tubes.Round, lever: float, yield_stress: float, modulus: float, set_deg: float
) -> Figure:
    """Return force against travel of a pull past yield and back, for a set of `set_deg`."""
    figure, axes = sheet(3.5)
    made = pulls.cantilever_for_set(set_deg, lever, section, yield_stress, modulus)
    roots = np.linspace(1e-9, made.root_curvature, 200)
    load = pulls.cantilever(roots, lever, section, yield_stress, modulus)
    left = np.tan(np.radians(set_deg)) * lever
    axes.plot(load.deflection, load.force, color=INK, linewidth=2.2)
    axes.plot([made.deflection, left], [made.force, 0], color=ACCENT, linestyle="--")
    first = 2 * yield_stress * lever**2 / (3 * modulus * section.diameter)
    force = float(np.interp(first, load.deflection, load.force))
    axes.plot(first, force, "o", color=INK, markersize=6)
    axes.plot(made.deflection, made.force, "s", color=ACCENT, markersize=7)
    top, far, over = float(made.force), made.deflection, {"ha": "right", "va": "bottom"}
    axes.text(first - 0.25, force + top * 0.03, f"first yield\n{first:.1f} mm", **over)
    axes.text(far, top * 1.06, f"pull {far:.1f} mm", **over)
    label(axes, first * 0.93, top * 0.42, "let go", ha="left", color=ACCENT)
    point_out(axes, (left, 0), (2.3, top * 0.11), f"stays: {left:.1f} mm", shrink=2, ha="left")
    axes.set(xlim=(0, far * 1.08), ylim=(0, top * 1.22))
    axes.set(xlabel="travel at the lever (mm)", ylabel="force (N)")
    return figure
