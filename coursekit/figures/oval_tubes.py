"""Figures of the lesson on oval tubes; mm; width lies level, across the frame, depth upright."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse

from coursekit import miters, ovals, tubes
from coursekit.figures.house import (
    ACCENT,
    INK,
    LIGHT,
    STEEL,
    block,
    drawing,
    house_style,
    label,
    measure,
    point_out,
    sheet,
)

MODULUS = 205_000.0  # MPa


@dataclass(frozen=True)
class Squeeze:
    """A tube that is squeezed to leave a shoulder on each side of another one; mm and MPa."""

    diameter: float
    wall: float
    into: float
    shoulder: float = 3.0
    yield_stress: float = 517.0  # the least that the specification asks of thin 4130 tube
    pad: float = 60.0

    @property
    def width(self) -> float:
        """The width that leaves both shoulders."""
        return self.into - 2 * self.shoulder

    def depth(self, wide: float | None = None) -> float:
        """Return the depth at a width; left out, at the width that leaves the shoulders."""
        at = self.width if wide is None else wide
        return float(ovals.depth_for(self.diameter, self.wall, at))


def of(facts: Mapping[str, float]) -> Squeeze:
    """Return the squeeze of a frame's top tube where it meets the seat tube."""
    names = ("top_tube.diameter", "top_tube.wall_a", "seat_tube.diameter")
    return Squeeze(*(facts[name] for name in names))


def tube_end(axes: Axes, middle: float, wide: float, deep: float, wall: float = 2.2) -> None:
    """Draw a tube end on, its wall thick enough to see."""
    for less, fill in ((0.0, STEEL), (2 * wall, "white")):
        look: dict[str, Any] = {"facecolor": fill, "edgecolor": INK, "linewidth": 1.3}
        axes.add_patch(Ellipse((middle, 0), wide - less, deep - less, **look))


@house_style
def shoulders(own: Squeeze) -> Figure:
    """Return two joints seen along the cut tube: round with no shoulder, oval with two."""
    figure, axes = drawing(3.3, (-24, 74), (-32, 34))
    deep = own.depth()
    for middle, wide, tall, said in (
        (0.0, own.diameter, own.diameter, "round"),
        (50.0, own.width, deep, "oval"),
    ):
        block(axes, (middle - own.into / 2, -23), own.into, 46, LIGHT, edgecolor="none")
        for side in (-1, 1):
            axes.plot([middle + side * own.into / 2] * 2, [-23, 23], color=INK, linewidth=1.3)
        tube_end(axes, middle, wide, tall)
        label(axes, middle, -28, said)
    edge = 50 + own.into / 2
    point_out(axes, (edge - own.shoulder / 2, 0), (edge + 7, 27), "shoulder", ha="right")
    point_out(axes, (-own.into / 2, 0), (-10, 27), "no room")
    return figure


@house_style
def middle_line(own: Squeeze) -> Figure:
    """Return the tube round and oval, the middle of the wall dashed, both axes measured."""
    figure, axes = drawing(3.1, (-24, 76), (-27, 25))
    deep = own.depth()
    line: dict[str, Any] = {"edgecolor": ACCENT, "linewidth": 1.6, "linestyle": "--"}
    for at, wide, tall in ((0.0, own.diameter, own.diameter), (50.0, own.width, deep)):
        tube_end(axes, at, wide, tall)
        axes.add_patch(Ellipse((at, 0), wide - 2.2, tall - 2.2, facecolor="none", **line))
        measure(axes, (at - wide / 2, -21), (at + wide / 2, -21))
        label(axes, at, -24.5, f"{wide:.1f}")
    measure(axes, (66, -deep / 2), (66, deep / 2))
    label(axes, 67.5, 0, f"{deep:.1f}", ha="left")
    round_ = f"{np.pi * (own.diameter - own.wall):.1f}"
    label(axes, 0, 0, f"middle\nof the wall:\n{round_}")
    label(axes, 50, 0, round_)
    return figure


@house_style
def deeper(own: Squeeze) -> Figure:
    """Return the depth over the width, and the rule of thumb that it stays below."""
    figure, axes = sheet(3.0)
    wide = np.linspace(18.0, own.diameter, 60)
    axes.plot(wide, ovals.depth_for(own.diameter, own.wall, wide), color=ACCENT)
    axes.plot(wide, 2 * own.diameter - wide, color=INK, linewidth=1.1, linestyle="--")
    deep = own.depth()
    axes.plot([own.width], [deep], "o", color=INK, markersize=7)
    say = f"{own.width:.1f} wide:\n{deep:.1f} deep"
    point_out(axes, (own.width, deep), (20.4, 31.2), say, shrink=5, va="baseline")
    label(axes, 24.2, 35.0, "rule of thumb", ha="left")
    axes.plot([22.9, 24.0], [2 * own.diameter - 22.9, 35.0], color=INK, linewidth=0.7)
    axes.set(xlim=(17.5, 29), ylim=(28, 40), xlabel="width (mm)", ylabel="depth (mm)")
    return figure


def travel(own: Squeeze) -> tuple[float, float, float]:
    """Squeeze at which the ring gives way, squeeze at which the pads stop, what comes back; mm."""
    first = float(ovals.round_springback(own.diameter, own.wall, own.yield_stress, MODULUS))
    stop = float(ovals.squeeze_to(own.diameter, own.wall, own.width, own.yield_stress, MODULUS))
    return first, own.diameter - stop, own.width - stop


@house_style
def letting_go(own: Squeeze) -> Figure:
    """Return force over squeeze: straight up, give way, and straight down when the pads let go."""
    first, pressed, back = travel(own)
    top = float(ovals.hinge_load(own.diameter, own.wall, own.yield_stress)) * own.pad
    deep = own.depth(own.diameter - pressed)
    end = (
        top * (own.diameter - own.wall) / (deep - own.wall)
    )  # the hinges half way between the pads move out
    figure, axes = sheet(3.0)
    axes.plot([0, first, pressed], [0, top, end], color=ACCENT)
    axes.plot([pressed, pressed - back], [end, 0], color=ACCENT, linestyle="--")
    axes.plot([pressed - back, pressed], [0, 0], color=INK, linewidth=3)
    for at, label_at, say in (
        ((pressed - back / 2, 0), (4.3, 0.25 * top), "springs back"),
        ((first, top), (2.6, 1.15 * top), f"gives way: {top:.0f} N"),
    ):
        point_out(axes, at, label_at, say, shrink=3, va="baseline")
    axes.set(xlim=(0, 8), ylim=(0, 1.3 * top), xlabel="squeezed by (mm)", ylabel="force (N)")
    return figure


def shares(own: Squeeze) -> tuple[float, float]:
    """Stiffness in the plane and across, per cent of the round tube's."""
    deep = own.depth()
    oval, whole = tubes.Oval(own.width, deep, own.wall), tubes.Round(own.diameter, own.wall).inertia
    return 100 * float(oval.inertia_width / whole), 100 * float(oval.inertia_depth / whole)


@house_style
def stiffness(own: Squeeze) -> Figure:
    """Return bars: the round tube, the oval in the plane of the frame, the oval across it."""
    figure, axes = sheet(2.3)
    plane, across = shares(own)
    rows = (("oval, across", across), ("oval, in the plane", plane), ("round", 100.0))
    for at, (_, value) in enumerate(rows):
        axes.barh(at, value, height=0.6, color=STEEL, edgecolor=INK)
        label(axes, value + 2, at, f"{value:.0f} %", ha="left")
    axes.set(xlim=(0, 155), yticks=range(3), xlabel="stiffness in bending (%)")
    axes.set_yticklabels([said for said, _ in rows])
    return figure


def edge(own: Squeeze) -> tuple[Any, Any]:
    """Unrolled edge of an end cut square: mm round the tube from the frame's top, and along it.

    The depth lies along the other tube, where the round tube has its corners.
    """
    oval = tubes.Oval(own.width, own.depth(), own.wall)
    piece = miters.cut(oval.section(90.0), miters.Joint(own.into, 90.0))
    return piece.around, piece.along


@house_style
def ends(own: Squeeze) -> Figure:
    """Return the unrolled edges of a round and an oval end, cut square to the same tube."""
    figure, axes = sheet(2.9)
    around, along = miters.saddle(own.diameter, own.into, 90.0)
    axes.plot(around, along, color=INK, linewidth=1.2, linestyle="--")
    label(axes, around[-1] * 0.31, 3.0, "round", ha="left")
    around, along = edge(own)
    axes.plot(around, along, color=ACCENT)
    label(axes, around[-1] * 0.50, 10.6, "oval")
    axes.set(xlim=(0, around[-1]), ylim=(0, 16), xlabel="round the tube (mm)", ylabel="along (mm)")
    return figure
