"""Figures of the lesson on butt orientation; lengths mm along the tube, bending in N·m."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from numpy.typing import NDArray

from coursekit import butts, miters
from coursekit.figures._hit import FORCE, Hit
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    area,
    arrow,
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
from coursekit.tubes import Butted

THICKER = 22.0  # times the wall is drawn too thick


def _wall(axes: Axes, own: Butted, at: tuple[float, float], height: float) -> None:
    """Draw a tube in length section from `at`, end a to the left; the wall is drawn too thick."""
    x = at[0] + np.array([0.0, *own.marks, own.length])
    walls = THICKER * np.array([own.walls[i] for i in (0, 0, 1, 1, 2, 2)])
    for side in (1, -1):
        skin = np.full(6, at[1] + side * height / 2)
        edge = np.column_stack([np.r_[x, x[::-1]], np.r_[skin, skin - side * walls[::-1]]])
        area(axes, edge, STEEL, 1.2)


@house_style
def parts(own: Butted) -> Figure:
    """Return the tube as it comes, cut open along its length, with its five parts measured."""
    figure, axes = drawing(3.0, (-20, own.length + 20), (-190, 160))
    _wall(axes, own, (0, 0), 92)
    centre_line(axes, (-15, 0), (own.length + 15, 0))
    edges = [0.0, *own.marks, own.length]
    for start, end in pairwise(edges):
        measure(axes, (start, 75), (end, 75), f"{end - start:g}", (0, 26))
    for x in edges:
        axes.plot([x, x], [50, 85], color=INK, linewidth=0.7)
    label(axes, edges[0], -74, "short butt", ha="left")
    label(axes, edges[5], -74, "long butt", ha="right")
    for middle, name in ((1.5, "taper"), (2.5, "belly"), (3.5, "taper")):
        i = int(middle)
        at = (edges[i] + edges[i + 1]) / 2
        label(axes, at, -106 if name == "taper" else -74, name)
    measure(axes, (0, -140), (own.length, -140), f"{own.length:g} mm as it comes", (0, -26))
    for x in (0, own.length):
        axes.plot([x, x], [-92, -150], color=INK, linewidth=0.7)
    label(axes, own.length / 2, 140, f"wall drawn {THICKER:g} times too thick")
    return figure


def _frame(axes: Axes, made: Hit) -> dict[str, NDArray[np.float64]]:
    """Draw the tubes of a frame from the side, thin, and return its joints."""
    at = {name: np.asarray(p, float)[:2] for name, p in made.nodes.items()}
    for start, end, width in (
        ("bb", "seat_top", 28),
        ("seat_top_tube", "head_top_tube", 25),
        ("bb", "head_down_tube", 25),
        ("head_low", "head_high", 32),
    ):
        tube(axes, at[start], at[end], width)
    disc(axes, (0, 0), 21, LIGHT, 1.5)
    return at


@house_style
def lever(made: Hit) -> Figure:
    """Return the front of the frame with the hit at the axle and the fork as a lever."""
    figure, axes = drawing(3.9, (-215, 760), (-90, 590))
    at = _frame(axes, made)
    axle, joint = at["front_axle"], at["head_down_tube"]
    tube(axes, axle, at["crown"], 16)
    disc(axes, (axle[0], axle[1]), 9, INK)
    arrow(axes, (axle[0] + 150, axle[1]), (axle[0] + 14, axle[1]), ACCENT, 4, shrink=2)
    label(axes, axle[0] + 82, axle[1] - 38, f"hit {FORCE:g} N")
    beside, rise = axle[0] + 60, joint[1] - axle[1]
    measure(axes, (beside, axle[1] + 24), (beside, joint[1]), f"{rise:.0f}\nmm", (48, 0))
    axes.plot([joint[0] + 20, axle[0] + 75], [joint[1]] * 2, color=INK, linewidth=0.7)
    point_out(axes, at["head_top_tube"] - [16, 12], (150, 385), "bent here,\ntop tube …")
    point_out(axes, joint - [16, 14], (60, 255), "… and here,\ndown tube")
    label(axes, 0, -62, "shell")
    return figure


@house_style
def bending(made: Hit) -> Figure:
    """Return the bending along both tubes, drawn square to each, with its size at the joints."""
    figure, axes = drawing(4.4, (-350, 600), (-110, 690))
    at = _frame(axes, made)
    ends = {"down_tube": ("head_down_tube", "bb"), "top_tube": ("head_top_tube", "seat_top_tube")}
    spots = {"down_tube": ((85, 5), (-80, -5)), "top_tube": ((0, 35), (-80, -30))}
    for name, (head, foot) in ends.items():
        way = (at[foot] - at[head]) / made.length(name)
        side = np.array([-way[1], way[0]]) * (1 if name == "down_tube" else -1)
        x = np.array([0.0, made.length(name)])
        size = made.bending(name, x)
        line = at[head] + x[:, None] * way + 1.35 * size[:, None] * side
        zero = at[head] + way * x[1] * size[0] / (size[0] - size[1])
        for a, b in ((at[head], line[0]), (at[foot], line[1])):
            area(axes, [a, b, zero], (*to_rgb(ACCENT), 0.25), 1.6, edgecolor=ACCENT, hatch="//")
        for end, moved, value in zip(line, spots[name], size, strict=True):
            x_at, y_at = end + moved
            label(axes, x_at, y_at, f"{abs(value):.0f} N·m", color=ACCENT)
        axes.plot(*zero, "o", color=INK, markersize=6)
    label(axes, -330, 655, "dots: no bending here", ha="left")
    return figure


def worked(made: Hit, own: Butted) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return places, mm from the head tube's axis, and how hard the steel is worked by bending.

    `own` is the finished tube of the frame that is hit, end a at the shell. Bending over section
    modulus, MPa.
    """
    x = np.unique([*np.linspace(0, own.length, 1201), *own.marks])
    from_head = made.length("down_tube") - made.rig.start - x
    stress = np.abs(made.bending("down_tube", from_head)) / own.section_at(x).modulus * 1000
    return from_head[::-1], stress[::-1]


@house_style
def two_ways(long_at_head: tuple[Hit, Butted], short_at_head: tuple[Hit, Butted]) -> Figure:
    """Return how hard the steel is worked along the tube, for both ways round; 1 is at the head."""
    figure, axes = sheet(3.5)
    unit = worked(*long_at_head)[1][0]
    for own, dash, colour, name in (
        (long_at_head, "-", INK, "long butt at the head"),
        (short_at_head, "--", ACCENT, "short butt at the head"),
    ):
        x, stress = worked(*own)
        axes.plot(x, stress / unit, dash, color=colour, linewidth=2.2, label=name)
    axes.axhline(1, color=INK, linewidth=0.8, linestyle=":")
    far = long_at_head[0].length("down_tube")
    axes.set(xlim=(0, far), ylim=(0, 1.4), xlabel="from the head tube's axis (mm)")
    axes.set_ylabel("worked by bending,\n1 = at the head joint")
    axes.legend(frameon=False, loc="upper right")
    return figure


@house_style
def need(diameter: float, into: float, angle_deg: float, margin: float) -> Figure:
    """Return the head end from the side: long and short point, margin, full wall needed."""
    _, along = miters.saddle(diameter, into, angle_deg)
    near, deep = float(along.min()), float(along.max())
    figure, axes = drawing(3.4, (-27, 118), (-52, 44))
    around = np.radians(np.linspace(0, 180, along[:181].size))
    edge = np.column_stack([along[:181], diameter / 2 * np.cos(around)])
    end = 112.0
    outline = np.vstack([edge, [[end, -diameter / 2], [end, diameter / 2]]])
    area(axes, outline, STEEL, edgecolor="none")
    axes.plot(edge[:, 0], edge[:, 1], color=INK, linewidth=1.8)
    for y in (diameter / 2, -diameter / 2):
        axes.plot([edge[0 if y > 0 else -1, 0], end], [y, y], color=INK, linewidth=1.5)
    s, c = np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    up = np.array([-c, s])
    centre_line(axes, 42 * up, -20 * up)
    centre_line(axes, (-10, 0), (116, 0))
    foot = (deep, -diameter / 2)
    block(axes, foot, margin, diameter, "none", 0, edgecolor=ACCENT, hatch="//")
    for x, low in ((near, -44), (deep, -33), (deep + margin, -44)):
        axes.plot([x, x], [low, 16], color=INK, linewidth=0.8, linestyle="--")
    full = f"need {butts.keep(deep - near, margin):.1f} mm"
    measure(axes, (near, -24), (deep, -24), f"{deep - near:.1f}", (0, -5.5))
    measure(axes, (deep, -24), (deep + margin, -24), f"margin {margin:g}", (0, -5.5))
    measure(axes, (near, -39), (deep + margin, -39), full, (0, -6))
    point_out(axes, (near + 0.3, 1.2), (28, 34), "long point\n(one on either side)")
    point_out(axes, (deep - 0.3, -12.3), (88, 27), "short point")
    label(axes, -13, -24, "head tube's\naxis")
    return figure


@house_style
def lengths(
    own: Butted, centre: float, finished: float, long_points: tuple[float, float]
) -> Figure:
    """Return drawing's length, finished tube and tube as it comes, one below the other."""
    figure, axes = drawing(3.3, (-80, centre + 85), (-205, 165))
    for x, name in ((0, "shell's axis"), (centre, "head tube's axis")):
        centre_line(axes, (x, -60), (x, 128))
        label(axes, x, 145, name)
    measure(axes, (0, 85), (centre, 85), f"drawing, axis to axis: {centre:.1f}", (0, 22))
    start, end = long_points[0], long_points[0] + finished
    block(axes, (start, -16), finished, 32, STEEL, 1.5)
    label(axes, centre / 2, 0, f"finished: {finished:.1f}")
    label(axes, start / 2 - 42, 36, f"{start:.1f}")
    label(axes, centre - long_points[1] / 2 + 36, 36, f"{long_points[1]:.1f}")
    left = -(own.length - finished) / 2 + start
    block(axes, (left, -116), own.length, 32, LIGHT, 1.5)
    label(axes, centre / 2, -100, f"as it comes: {own.length:g}")
    for x in (start, end):
        axes.plot([x, x], [-16, -128], color=INK, linewidth=0.8, linestyle="--")
    off = f"{own.length:g} − {finished:.1f} = {own.length - finished:.1f} mm"
    label(axes, centre / 2, -160, f"to come off, both ends together:\n{off}")
    return figure


@house_style
def window(excess: float, room_head: float, room_shell: float) -> Figure:
    """Return the window for the cut at the head end on a rule, and what closes it at each side."""
    figure, axes = sheet(2.7)
    least, most = butts.window(excess, room_head, room_shell)
    rows = (
        ("head end\ncan spare", 0.0, room_head, STEEL, INK),
        ("shell end\nallows", excess - room_shell, excess, STEEL, INK),
        ("window", least, most, ACCENT, "white"),
    )
    inset = max(excess, room_head) / 76
    for y, (_, start, end, fill, ink) in enumerate(rows):
        axes.barh(-y, end - start, left=start, height=0.5, color=fill, edgecolor=INK)
        label(axes, start + inset, -y, f"{start:.1f}", ha="left", color=ink)
        label(axes, end - inset, -y, f"{end:.1f}", ha="right", color=ink)
    for x in (least, most):
        axes.plot([x, x], [-2.5, -0.25], color=INK, linewidth=0.9, linestyle="--", zorder=0)
    axes.set(
        xlim=(0, 1.07 * max(excess, room_head)), ylim=(-2.5, 0.5), xlabel="off the head end (mm)"
    )
    axes.set_yticks(range(0, -3, -1), [row[0] for row in rows])
    axes.spines["left"].set_visible(False)
    axes.tick_params(left=False)
    return figure


@house_style
def empty(cases: Sequence[tuple[str, float, float, float]]) -> Figure:
    """Return tubes with an empty window: what must come off against what the ends can spare.

    `cases` holds words, what must come off, and the room at head and shell end, mm.
    """
    figure, axes = sheet(3.6)
    thin: dict[str, Any] = {"height": 0.3}
    grey = {"color": STEEL, "edgecolor": INK, "label": "head end can spare"}
    bare = {"color": "white", "edgecolor": INK, "hatch": "//", "label": "shell end can spare"}
    for row, (_, excess, head, shell) in enumerate(cases):
        axes.barh(-row - 0.2, excess, color=INK, label="must come off", **thin)
        axes.barh(-row + 0.2, head, **thin, **grey)
        axes.barh(-row + 0.2, shell, left=head if shell > 0 else 0, **thin, **bare)
    axes.axvline(0, color=INK, linewidth=1)
    axes.set(xlim=(-22, 205), ylim=(0.5 - len(cases), 0.5), xlabel="mm")
    axes.set_yticks(range(0, -len(cases), -1), [case[0] for case in cases])
    axes.spines["left"].set_visible(False)
    axes.tick_params(left=False)
    handles, names = axes.get_legend_handles_labels()
    close = {"ncols": 3, "frameon": False, "handlelength": 1.2, "columnspacing": 1}
    figure.legend(handles[:3], names[:3], loc="outside upper center", **close)
    return figure
