"""The house style of the book's figures: line drawings that read in grey, in print and on a phone."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from typing import Any, TypeVar, cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Arc, Polygon
from numpy.typing import NDArray

WIDTH = 5.0  # inches; text is never below 10 pt at this width
INK = "#1a1a1a"
STEEL = "#b9c3cc"  # the tube that is cut
LIGHT = "#e6eaed"  # the tube it is joined to
ACCENT = "#0b5394"  # dark enough to read as a dark grey
STYLE: Any = {
    "font.size": 11.0,
    "axes.titlesize": 11.0,
    "axes.labelsize": 11.0,
    "xtick.labelsize": 10.0,
    "ytick.labelsize": 10.0,
    "legend.fontsize": 10.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": INK,
    "text.color": INK,
    "lines.linewidth": 1.8,
    "svg.fonttype": "path",
    "svg.hashsalt": "coursekit",
    "path.simplify": True,
}
CENTRE_LINE = (0, (9, 2.5, 2, 2.5))


Point = Sequence[float] | NDArray[np.float64]  # (x, y) in mm
Made = TypeVar("Made", bound=Callable[..., Figure])


def use() -> None:
    """Make a page's figures sharp drawings (SVG) whose bytes are the same on every build."""
    import matplotlib.pyplot as plt
    from matplotlib_inline.backend_inline import set_matplotlib_formats

    plt.rcParams["svg.hashsalt"] = STYLE["svg.hashsalt"]
    set_matplotlib_formats("svg", metadata={"Date": None}, bbox_inches=None)


def house_style(figure: Made) -> Made:
    """Let a function draw its figure in the house style and leave everyone else's as it was."""

    @functools.wraps(figure)
    def styled(*args: Any, **kwargs: Any) -> Figure:
        import matplotlib.pyplot as plt

        with plt.rc_context(STYLE):
            return figure(*args, **kwargs)

    return cast(Made, styled)


def sheet(height: float, ncols: int = 1, **options: Any) -> tuple[Figure, Any]:
    """Return a figure of the house's width, `height` in inches, and its axes."""
    import matplotlib.pyplot as plt

    return plt.subplots(1, ncols, figsize=(WIDTH, height), layout="constrained", **options)


def drawing(height: float, x: tuple[float, float], y: tuple[float, float]) -> tuple[Figure, Axes]:
    """Return a figure with one bare axis in mm, equal scales, that shows `x` by `y`."""
    figure, axes = sheet(height)
    axes.set(xlim=x, ylim=y, aspect="equal")
    axes.axis("off")
    return figure, axes


def tube(
    axes: Axes,
    start: Point,
    end: Point,
    diameter: float,
    fill: str = LIGHT,
    **options: Any,
) -> None:
    """Draw a straight tube from `start` to `end` (mm), seen from the side."""
    a, b = np.asarray(start, float), np.asarray(end, float)
    along = (b - a) / np.hypot(*(b - a))
    across = np.array([-along[1], along[0]]) * diameter / 2
    outline = [a + across, b + across, b - across, a - across]
    axes.add_patch(Polygon(outline, facecolor=fill, edgecolor="none", **options))
    for side in (across, -across):
        axes.plot(*np.transpose([a + side, b + side]), color=INK, linewidth=1.5)


def centre_line(axes: Axes, start: Point, end: Point, **options: Any) -> None:
    """Draw a dash-dot centre line."""
    style: dict[str, Any] = {"color": INK, "linewidth": 0.9, "linestyle": CENTRE_LINE}
    axes.plot(*np.transpose([start, end]), **(style | options))


def arc(
    axes: Axes, centre: Point, radius: float, start_deg: float, end_deg: float, **options: Any
) -> None:
    """Draw the arc of an angle, counter-clockwise from `start_deg` to `end_deg`."""
    axes.add_patch(
        Arc(
            (centre[0], centre[1]), 2 * radius, 2 * radius,
            theta1=start_deg, theta2=end_deg, color=ACCENT, linewidth=1.4, **options,
        )
    )  # fmt: skip


def measure(axes: Axes, start: Point, end: Point, text: str, shift: Point) -> None:
    """Draw a double-headed dimension line and its text, moved by `shift` from the middle."""
    axes.annotate(
        "", xy=(end[0], end[1]), xytext=(start[0], start[1]),
        arrowprops={"arrowstyle": "<->", "color": INK, "linewidth": 1.2, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    middle = (np.asarray(start, float) + np.asarray(end, float)) / 2 + np.asarray(shift, float)
    axes.text(middle[0], middle[1], text, ha="center", va="center")


def point_out(axes: Axes, at: Point, label_at: Point, text: str, **options: Any) -> None:
    """Write `text` at `label_at` with a thin arrow to `at`."""
    axes.annotate(
        text, xy=(at[0], at[1]), xytext=(label_at[0], label_at[1]), ha=options.get("ha", "center"), va="center",
        arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 0.9, "shrinkA": 2, "shrinkB": 1},
    )  # fmt: skip
