"""Figures of the lesson on the strength of a frame; lengths mm, forces N, stress MPa."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from coursekit import beams
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    arrow,
    block,
    centre_line,
    drawing,
    heading,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)
from coursekit.sheets import loaded
from coursekit.sheets.build import Build
from coursekit.sheets.loaded import Loaded
from coursekit.tubes import Butted, Round

TUBES = ("seat_tube_1", "seat_tube_2", "top_tube", "down_tube", "head_tube_1", "head_tube_2")
SHOWN = (*TUBES, "right_chainstay", "right_seatstay")
PLAIN = ("steerer", "fork")
THICK = 14.0  # points of line for 200 MPa


@house_style
def vice(diameter: float, wall: float, free: float, force: float, shown: float = 25.0) -> Figure:
    """Return a tube in a vice with a weight at its tip; the sag is drawn `shown` times too much."""
    figure, axes = drawing(3.1, (-110, free + 120), (-150, 95))
    inertia = float(Round(diameter, wall).inertia)
    x = np.linspace(0, free, 61)
    bent = -shown * force * x**2 * (3 * free - x) / (6 * 205_000 * inertia)
    x, axis = np.r_[-60, x], np.r_[0, bent]  # the vice holds the last 60 mm straight
    for side in (-1, 1):
        axes.plot(x, axis + side * diameter / 2, color=INK, linewidth=1.4)
        block(axes, (-80, side * 34 - 20), 80, 40, STEEL, 1.2)
    axes.fill_between(x, axis - diameter / 2, axis + diameter / 2, color=LIGHT)
    centre_line(axes, (-95, 0), (free + 70, 0))
    tip = float(bent[-1])
    arrow(axes, (free, tip - 18), (free, tip - 88), ACCENT, 2, shrink=2)
    label(axes, free - 14, tip - 70, f"{force:g} N", ha="right")
    measure(axes, (free + 45, 0), (free + 45, tip))
    sag = float(beams.sag(force, free, inertia))
    label(axes, free + 55, tip / 2, f"{sag:.2f}\nmm", ha="left")
    axes.plot([free, free + 50], [tip, tip], color=INK, linewidth=0.7)
    measure(axes, (0, 68), (free, 68), f"{free:g} mm", (0, 15))
    for at in (0, free):
        axes.plot([at, at], [20, 74], color=INK, linewidth=0.7)
    return figure


def _bare(axes: Axes, made: Loaded) -> None:
    for name in (*SHOWN, *PLAIN):
        member = made.solution.model.members[name]
        ends = np.array([made.nodes[member.start][:2], made.nodes[member.end][:2]])
        axes.plot(ends[:, 0], ends[:, 1], color=INK, linewidth=1.6, solid_capstyle="round")
    for wheel in ("front_axle", "right_axle"):
        axes.plot(*made.nodes[wheel][:2], "o", color=INK, markersize=7)


@house_style
def three(build: Build) -> Figure:
    """Return the frame from the side with the three loads."""
    figure, axes = drawing(3.7, (-560, 800), (-190, 800))
    made = loaded.under(build, loaded.loads(build.frame)["front"])
    _bare(axes, made)
    x, y = made.nodes["front_axle"][:2]
    push: dict[str, Any] = {"color": ACCENT, "width": 2.2, "shrink": 2}
    arrow(axes, (x + 85, y), (x + 12, y), **push)
    label(axes, x + 40, y - 55, f"{loaded.FRONT:g} N, back")
    top = made.nodes["seat_top"]
    post = top[:2] + 250 * heading(180 - float(build.frame.seat_angle_deg))
    axes.plot([top[0], post[0]], [top[1], post[1]], color=INK, linewidth=1, linestyle="--")
    axes.plot([post[0], post[0] - 70], [post[1], post[1]], color=INK, linewidth=1, linestyle="--")
    arrow(axes, (post[0] - 70, post[1] + 10), (post[0] - 70, post[1] - 140), **push)
    label(axes, post[0] - 95, post[1] - 60, f"{loaded.SEAT:g} N\non the seat", ha="right")
    crank = 175 * np.sqrt(0.5)
    axes.plot([0, crank], [0, -crank], color=INK, linewidth=1, linestyle="--")
    arrow(axes, (crank, -crank + 10), (crank, -crank - 62), **push)
    pedal = f"{loaded.PEDAL:g} N on a pedal,\n150 mm toward you"
    label(axes, crank + 25, -crank - 30, pedal, ha="left")
    rise = made.nodes["head_down_tube"]
    measure(axes, (x + 95, y), (x + 95, rise[1]), f"{rise[1] - y:.0f} mm", (105, 0))
    axes.plot([rise[0], x + 105], [rise[1], rise[1]], color=INK, linewidth=0.7)
    return figure


@house_style
def hard(build: Build, load: str) -> Figure:
    """Return the frame under a load, each tube as thick as its steel works hard there."""
    figure, axes = drawing(3.5, (-560, 760), (-60, 690))
    made = loaded.under(build, loaded.loads(build.frame)[load])
    for name in SHOWN:
        member = made.solution.model.members[name]
        start, end = (np.asarray(made.nodes[n][:2], float) for n in (member.start, member.end))
        pieces = 40 if made.length(name) > 100 else 3
        share = np.linspace(0, 1, pieces + 1)
        stress = made.stress(name, share * made.length(name))
        for i in range(pieces):
            x, y = np.transpose([start + s * (end - start) for s in share[i : i + 2]])
            thick = 0.8 + THICK * stress[i : i + 2].mean() / 200
            axes.plot(x, y, color=ACCENT, linewidth=thick, solid_capstyle="butt")
    for name in PLAIN:
        member = made.solution.model.members[name]
        ends = np.array([made.nodes[member.start][:2], made.nodes[member.end][:2]])
        axes.plot(ends[:, 0], ends[:, 1], color=INK, linewidth=1, linestyle="--")
    _peaks(axes, made)
    return figure


def _peaks(axes: Axes, made: Loaded) -> None:
    labels = {
        "down_tube": (640, 290),
        "top_tube": (110, 640),
        "seat_tube_1": (-430, 400),
        "head_tube_1": (610, 560),
    }
    for name, at in labels.items():
        stress, where = (float(v) for v in made.solution.worst(name))
        member = made.solution.model.members[name]
        start, end = (np.asarray(made.nodes[n][:2], float) for n in (member.start, member.end))
        place = start + where / made.length(name) * (end - start)
        point_out(axes, place, at, f"{name.split('_')[0]} tube\n{stress:.0f} MPa")


@house_style
def both_ways(build: Build) -> Figure:
    """Return the front load's stress along the down tube, long and short butt at the head."""
    own, start = loaded.laid(build, "down_tube")
    assert isinstance(own, Butted)
    figure, axes = sheet(3.3)
    for tube, style, text in (
        (own, "-", "long butt at the head"),
        (loaded.turned(own), "--", "short butt at the head"),
    ):
        load = loaded.loads(build.frame)["front"]
        made = loaded.under(build, load, {"down_tube": (tube, start)})
        run = made.length("down_tube")
        marks = run - start - np.array(tube.marks)
        from_head = np.unique(np.r_[np.linspace(0, run, 300), marks])
        stress = made.stress("down_tube", np.clip(run - from_head, 0, run))
        axes.plot(from_head, stress, style, color=ACCENT if style == "-" else INK, label=text)
    axes.set(xlim=(0, run), ylim=(0, 195))
    axes.set(xlabel="from the head tube’s axis (mm)", ylabel="stress (MPa)")
    axes.legend(loc="upper right", frameon=False)
    return figure
