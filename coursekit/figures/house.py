"""The house style of the book's figures: line drawings that read in grey, in print, on a phone."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from typing import Any, TypeVar, cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Arc, Circle, Polygon, Rectangle
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
    axes: Axes, start: Point, end: Point, diameter: float, fill: str = LIGHT, **options: Any
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


def heading(degrees: float) -> NDArray[np.float64]:
    """Return the direction at `degrees` from x, counter-clockwise, as a vector of length 1."""
    turn = np.radians(degrees)
    return np.array([np.cos(turn), np.sin(turn)])


def arc(
    axes: Axes, centre: Point, radius: float, start_deg: float, end_deg: float, **options: Any
) -> None:
    """Draw the arc of an angle, counter-clockwise from `start_deg` to `end_deg`."""
    size, middle = 2 * radius, (centre[0], centre[1])
    style: dict[str, Any] = {"color": ACCENT, "linewidth": 1.4} | options
    axes.add_patch(Arc(middle, size, size, theta1=start_deg, theta2=end_deg, **style))


def block(
    axes: Axes,
    corner: Point,
    wide: float,
    high: float,
    fill: str = STEEL,
    linewidth: float = 1.0,
    **options: Any,
) -> None:
    """Draw a filled rectangle from its lower left corner."""
    style: dict[str, Any] = {"facecolor": fill, "edgecolor": INK, "linewidth": linewidth} | options
    axes.add_patch(Rectangle((corner[0], corner[1]), wide, high, **style))


def disc(
    axes: Axes,
    centre: Point,
    radius: float,
    fill: str = "white",
    linewidth: float = 1.0,
    **options: Any,
) -> None:
    """Draw a filled circle."""
    style = {"facecolor": fill, "edgecolor": INK, "linewidth": linewidth} | options
    axes.add_patch(Circle((centre[0], centre[1]), radius, **style))


def area(
    axes: Axes, outline: Any, fill: Any = STEEL, linewidth: float = 1.0, **options: Any
) -> None:
    """Draw a filled shape with straight edges from the points of its outline."""
    style: dict[str, Any] = {"facecolor": fill, "edgecolor": INK, "linewidth": linewidth} | options
    axes.add_patch(Polygon(np.asarray(outline, float), **style))


def dot(axes: Axes, *points: Point, size: float = 6.0, zorder: float = 5) -> None:
    """Mark points with small open circles."""
    for x, y in points:
        axes.plot(x, y, "o", color="white", markeredgecolor=INK, markersize=size, zorder=zorder)


def badge(axes: Axes, x: float, y: float, text: str, pad: float = 0.2, **options: Any) -> None:
    """Write a number in a small ring."""
    ring = {"boxstyle": f"circle,pad={pad:g}", "facecolor": "white", "edgecolor": ACCENT}
    label(axes, x, y, text, color=ACCENT, bbox=ring, **options)


def label(axes: Axes, x: float, y: float, text: str, **options: Any) -> None:
    """Write words whose middle is at (x, y); `ha="left"` begins them there."""
    axes.text(x, y, text, **({"ha": "center", "va": "center"} | options))


def arrow(
    axes: Axes,
    start: Point,
    end: Point,
    color: str = INK,
    width: float = 1.0,
    style: str = "-|>",
    shrink: float = 0.0,
    **options: Any,
) -> None:
    """Draw an arrow; it stops `shrink` points short of both places."""
    look = {"arrowstyle": style, "color": color, "linewidth": width}
    gaps = {"shrinkA": shrink, "shrinkB": shrink}
    tip, tail = (end[0], end[1]), (start[0], start[1])
    axes.annotate("", xy=tip, xytext=tail, arrowprops=look | gaps | options)


def measure(axes: Axes, start: Point, end: Point, text: str = "", shift: Point = (0, 0)) -> None:
    """Draw a double-headed dimension line and its text, moved by `shift` from the middle."""
    arrow(axes, start, end, width=1.2, style="<->")
    middle = (np.asarray(start, float) + np.asarray(end, float)) / 2 + np.asarray(shift, float)
    label(axes, middle[0], middle[1], text)


def point_out(
    axes: Axes, at: Point, label_at: Point, text: str, shrink: float = 1.0, **options: Any
) -> None:
    """Write `text` at `label_at` with a thin arrow that stops `shrink` points short of `at`."""
    look = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.9, "shrinkA": 2, "shrinkB": shrink}
    place = {"ha": "center", "va": "center"} | options
    tip, words_at = (at[0], at[1]), (label_at[0], label_at[1])
    axes.annotate(text, xy=tip, xytext=words_at, arrowprops=look, **place)
