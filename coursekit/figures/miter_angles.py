"""Figures of the lesson on miter angles; lengths mm, angles in degrees as in `miters`."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import miters
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
    house_style,
    label,
    measure,
    point_out,
    sheet,
    tube,
)
from coursekit.sections import section_of

THIN = 5  # a curve drawn with every fifth of 361 points looks the same and weighs a fifth


LINES = {
    0: "0°\nunderside",
    90: "90°\ndrive\nside",
    180: "180°\nupper\nside",
    270: "270°\nnon-drive\nside",
    360: "360°\nunderside",
}


def _from_below(along: np.ndarray) -> np.ndarray:
    """Return a curve that begins at one line of the tube begun half a turn further."""
    half = len(along) // 2
    return np.append(np.roll(along[:-1], half), along[half])


def _outline(
    diameter: float, into: float, angle_deg: float, reach: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return the side view of the cut tube, its cut edge first, the crossing of the axes at (0, 0).

    The tube joined to stands upright; the cut tube runs down to the left, acute corner below.
    """
    _, along = miters.saddle(diameter, into, angle_deg)
    phi = np.linspace(0, np.pi, 181)[::THIN]
    height = np.append(diameter / 2 * np.cos(phi), [-diameter / 2, diameter / 2])
    distance = np.append(along[:181:THIN], [reach, reach])
    s, c = np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    return -distance * s - height * c, -distance * c + height * s


@house_style
def corners(diameter: float, into: float, angle_deg: float) -> Figure:
    """Return the joint from the side: acute corner below the tube, obtuse corner above it."""
    figure, axes = drawing(4.2, (-82, 42), (-76, 36))
    tube(axes, (0, -76), (0, 36), into)
    centre_line(axes, (0, -74), (0, 34))
    x, y = _outline(diameter, into, angle_deg, 78)
    body = np.column_stack([x, y])  # in front of the other tube's edge
    area(axes, body, STEEL, edgecolor="none", zorder=2.1)
    axes.plot(x[:-2], y[:-2], color=INK, linewidth=2.4, zorder=2.2)
    axes.plot([x[0], x[-1]], [y[0], y[-1]], color=INK, linewidth=1.8, zorder=2.2)
    axes.plot(x[-3:-1], y[-3:-1], color=INK, linewidth=1.8, zorder=2.2)
    s, c = np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    centre_line(axes, (0, 0), (-76 * s, -76 * c), zorder=2.3)
    arc(axes, (0, 0), 34, 270 - angle_deg, 270, zorder=2.3)
    label(axes, 2.5, -41, f"θ\n{angle_deg:g}°", ha="left")
    point_out(axes, (x[0], y[0]), (-56, 26), "obtuse corner:\nobtuse line, short side")
    point_out(axes, (x[-3], y[-3]), (-46, -68), "acute corner:\nacute line, long side")
    point_out(axes, (0, 0), (29, 14), "axes\ncross")
    return figure


@house_style
def across_the_head(diameter: float, into: float, station_deg: float) -> Figure:
    """Return the square joint seen along the other tube's axis: where the formula's root is."""
    r, R = diameter / 2, into / 2
    half = r * np.sin(np.radians(station_deg))
    depth = np.sqrt(R**2 - half**2)
    figure, axes = drawing(3.6, (-27, 43), (-19, 33))
    disc(axes, (0, 0), R, LIGHT, 1.8)
    top = np.linspace(-np.arcsin(r / R), np.arcsin(r / R), 60)
    edge = np.column_stack([R * np.sin(top), R * np.cos(top)])
    body = np.vstack([edge, [[r, 32], [-r, 32]]])
    area(axes, body, STEEL, edgecolor="none")
    for side in (-r, r):
        axes.plot([side, side], [np.sqrt(R**2 - r**2), 32], color=INK, linewidth=1.8)
    axes.plot(*edge.T, color=INK, linewidth=2.4)
    centre_line(axes, (0, -18), (0, 32))
    axes.plot([half, half], [0, 32], color=ACCENT, linewidth=1.2, linestyle="--")
    axes.plot([0, half, half, 0], [0, 0, depth, 0], color=ACCENT, linewidth=2)
    label(axes, half / 2, -2.6, "h", style="italic")
    label(axes, half / 2 - 2.3, depth / 2 + 1.5, "R", style="italic")
    point_out(axes, (half, depth * 0.5), (31, 3), "√(R² − h²)")
    point_out(axes, (half, 26), (31, 26), f"φ = {station_deg:g}°:\nh = r sin φ")
    point_out(axes, (r, np.sqrt(R**2 - r**2)), (31, 15), "ear")
    return figure


@house_style
def template(diameter: float, into: float, angle_deg: float, divisions: int = 8) -> Figure:
    """Return the unwrapped template of a joint whose acute corner is below, ordinates in mm."""
    around, along = miters.saddle(diameter, into, angle_deg)
    along = _from_below(along)
    figure, axes = sheet(3.4)
    top = along.max() + 10
    axes.fill_between(around[::THIN], along[::THIN], top, color=STEEL, linewidth=0)
    axes.plot(around[::THIN], along[::THIN], color=INK, linewidth=2.4)
    step = 360 // divisions
    for s in range(0, 361, step):
        axes.plot([around[s]] * 2, [0, along[s]], color=ACCENT, linewidth=1.2)
        label(axes, around[s], along.max() + 4, f"{along[s]:.1f}", va="bottom", fontsize=10)
    axes.set(xlim=(-5, around[-1] + 5), ylim=(0, top))
    axes.set(ylabel="along the tube (mm)")
    names = [LINES.get(s, f"{s}°") for s in range(0, 361, step)]
    axes.set_xticks(around[::step], names, fontsize=10)
    return figure


@house_style
def mill(angle_deg: float, diameter: float, into: float) -> Figure:
    """Return the fixture from above: cutter axis, square position, swing of the tube."""
    figure, axes = drawing(3.5, (-98, 42), (-58, 32))
    block(axes, (-into / 2, -58), into, 90, LIGHT)
    centre_line(axes, (0, -54), (0, 28))
    label(axes, into / 2 + 2, 22, "cutter", ha="left")
    axes.plot([-92, 0], [0, 0], color=INK, linewidth=1.2, linestyle="--")
    label(axes, -97, 5, "square: scale reads 0°", ha="left")
    x, y = _outline(diameter, into, angle_deg, 76)
    area(axes, np.column_stack([x, y]), STEEL)
    s, c = np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    centre_line(axes, (0, 0), (-74 * s, -74 * c))
    arc(axes, (0, 0), 62, 180, 270 - angle_deg)
    arc(axes, (0, 0), 30, 270 - angle_deg, 270)
    label(axes, -64, -15, f"swing {90 - angle_deg:g}°", ha="right")
    label(axes, 2.5, -40, f"θ\n{angle_deg:g}°", ha="left")
    return figure


@house_style
def two_ends(
    diameter: float, head: float, angle_deg: float, shell: float, centre_length: float
) -> Figure:
    """Return the unrolled tube with both cut ends: their ears stand a quarter turn apart."""
    around, at_head = miters.saddle(diameter, head, angle_deg)
    _, square = miters.saddle(diameter, shell, 90)
    at_head = _from_below(at_head)
    at_shell = np.roll(square[:-1], 90)
    at_shell = np.append(at_shell, at_shell[0])
    gap = 84.0  # drawn length between the axes: the tube is broken in the middle
    figure, axes = sheet(4.8)
    x, low, high = around[::THIN], at_head[::THIN], (gap - at_shell)[::THIN]
    axes.fill_between(x, low, high, color=STEEL, linewidth=0)
    axes.plot(x, low, color=INK, linewidth=2.4)
    axes.plot(x, high, color=INK, linewidth=2.4)
    axes.fill_between(x[[0, -1]], gap / 2 - 1, gap / 2 + 1, color="white", linewidth=0)
    for y in (gap / 2 - 1, gap / 2 + 1):
        axes.plot(x, y + 0.5 * np.sin(x / 2), color=INK, linewidth=0.8)
    for y, words in ((0, "axis of the head tube"), (gap, "axis of the shell")):
        axes.axhline(y, color=INK, linewidth=0.9, linestyle=(0, (9, 2.5, 2, 2.5)))
        label(axes, around[180], y + (-4 if y == 0 else 4), words)
    for s in (90, 270):
        axes.plot(around[s], at_head[s], "o", color=ACCENT, markersize=8)
    for s in (0, 180, 360):
        axes.plot(around[s], gap - at_shell[s], "s", color=ACCENT, markersize=8)
    label(axes, around[90], 27, "head ears ●\non the flanks", fontsize=10)
    label(axes, around[180], gap - 27, "shell ears ■\non upper side\nand underside", fontsize=10)
    axes.set(ylim=(-7, gap + 7), xlim=(-4, around[-1] + 4))
    axes.set_xticks(around[::90], list(LINES.values()), fontsize=10)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    return figure


@house_style
def two_at_once(diameter: float, shell: float, seat_tube: float, angle_deg: float) -> Figure:
    """Return the unrolled lower end of a down tube that meets shell and seat tube."""
    joints = [
        miters.Joint(shell, 90.0, turned_deg=90.0),
        miters.Joint(seat_tube, angle_deg, turned_deg=180.0),
    ]
    both = miters.cluster(diameter, joints, end="b")
    outline = section_of(diameter).point(both.around_deg)
    figure, axes = sheet(3.4)
    x = both.around - both.around[180]
    order = np.r_[180:360, 0:181][::THIN]  # the upper side in the middle, where the two meet
    axes.fill_between(x[::THIN], both.along[order], 34, color=STEEL, linewidth=0)
    for joint, dash in zip(joints, ("--", ":"), strict=True):
        alone = joint.along(*outline, "b")
        axes.plot(x[::THIN], alone[order], color=ACCENT, linewidth=1.3, linestyle=dash)
    axes.plot(x[::THIN], both.along[order], color=INK, linewidth=2.6)
    label(axes, 0, 29, "seat tube rules")
    for side in (-1, 1):
        label(axes, side * x[300], 29, "shell rules")
    axes.set(xlim=(x[0], x[-1]), ylim=(0, 34), ylabel="along the tube (mm)")
    axes.set_xticks(x[::90], list(LINES.values()), fontsize=10)
    return figure


@house_style
def shoulder(thin: float, thick: float, into: float) -> Figure:
    """Return two square joints side by side: room for a fillet, and none."""
    figure, pair = sheet(3.3, ncols=2)
    for axes, diameter in zip(pair, (thin, thick), strict=True):
        _shoulder(axes, diameter / 2, into / 2)
        step, opening = (into - diameter) / 2, 90 + np.degrees(np.arcsin(diameter / into))
        say = f"{step:.1f} mm, opens {opening:.0f}°"
        axes.set_title(f"{diameter:g} on {into:g}: shoulder\n{say}")
    return figure


def _shoulder(axes: Axes, r: float, R: float) -> None:
    axes.set(xlim=(-22, 22), ylim=(-17, 31), aspect="equal")
    axes.axis("off")
    disc(axes, (0, 0), R, LIGHT, 1.8)
    ear = np.sqrt(R**2 - r**2)
    turn = np.linspace(-np.arcsin(r / R), np.arcsin(r / R), 60)
    edge = np.column_stack([R * np.sin(turn), R * np.cos(turn)])
    area(axes, np.vstack([edge, [[r, 30], [-r, 30]]]), STEEL, edgecolor="none")
    axes.plot(*edge.T, color=INK, linewidth=1.2, linestyle=":")
    for side in (-1, 1):
        axes.plot([side * r] * 2, [ear, 30], color=INK, linewidth=1.8)
        area(axes, _fillet(r, R, side), INK)
    axes.plot([r, r], [ear, -16], color=ACCENT, linewidth=1, linestyle="--")
    axes.plot([R, R], [0, -16], color=ACCENT, linewidth=1, linestyle="--")


def _fillet(r: float, R: float, side: int, leg: float = 6.0) -> np.ndarray:
    """Return the section of a flat bead that runs `leg` up the tube and `leg` along the other."""
    start = np.arcsin(r / R)
    turn = np.linspace(start, start + leg / R, 20)
    skin = np.column_stack([side * R * np.sin(turn), R * np.cos(turn)])
    up = np.array([[side * r, R * np.cos(start) + leg]])
    return np.vstack([skin, up])


@house_style
def throw(length: float, error_deg: float, into: float, diameter: float) -> Figure:
    """Return what an angle error does at the far end; the error is drawn ten times too large."""
    figure, axes = drawing(2.2, (-70, length + 40), (-190, 75))
    shown = np.radians(10 * error_deg)
    tube(axes, (0, -120), (0, 75), into, zorder=1)
    tube(axes, (into / 2, 0), (length, 0), diameter, STEEL)
    far = (length * np.cos(shown), -length * np.sin(shown))
    axes.plot([0, far[0]], [0, far[1]], color=ACCENT, linewidth=1.8, linestyle="--")
    centre_line(axes, (0, 0), (length, 0))
    miss = length * np.tan(np.radians(error_deg))
    measure(axes, (length, 0), (length, -length * np.tan(shown)))
    label(axes, length, -140, f"δ·L = {miss:.1f} mm", ha="right")
    label(axes, length * 0.35, 44, f"L = {length:g} mm")
    label(axes, 30, -140, f"δ = {error_deg:g}°, drawn\nten times too large", ha="left")
    return figure
