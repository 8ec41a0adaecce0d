"""Slider figures of the lesson on miter angles."""

from __future__ import annotations

import numpy as np

from coursekit import miters
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, body, line, words

ANGLES = range(50, 91)
WIDTH, HEIGHT = 127.0, 194.0
CROSSING = (93.0, 44.0)  # of the axes in the side view
PAPER = (16.0, 184.0)  # obtuse line and crossing of the axes on the unwrapped strip
LINES = ("obtuse", "flank", "acute", "flank", "obtuse")
REACH = 78.0  # of the cut tube, along its axis
STATIONS = 61


def angle() -> Slider:
    """Return the figure *included angle → side view and unwrapped saddle curve*."""
    facts = worked_frame.facts()
    tube, into = facts["down_tube.diameter"], facts["head_tube.diameter"]
    return Slider(
        title="Move the angle, watch the cut",
        label="Included angle",
        alt=(
            f"Above, a side view: a {tube:g} mm tube runs down to the left from an upright tube of "
            f"{into:g} mm, and its end is cut to the upright tube. Below, the same cut on the "
            "unwrapped paper strip: a wave that is low near the obtuse line and high on the acute "
            "line. The smaller the angle, the taller the wave; at 90° it has two "
            "equal humps."
        ),
        caption=(
            f"A {tube:g} mm tube cut to fit a {into:g} mm tube. Above: side view, acute corner "
            "below the tube. Below: the paper strip, rolled out flat. Dashed: a straight saw cut "
            "at the same angle, which would touch on the obtuse and the acute line alone."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(tube, into),
        states=tuple(_state(tube, into, a) for a in ANGLES),
        default=ANGLES.index(round(facts["down_tube.head_tube.angle_deg"])),
    )


def _still(tube: float, into: float) -> str:
    x, half = CROSSING[0], into / 2
    upright = area([x - half, x + half, x + half, x - half], [2, 2, 104, 104], 0.12)
    sides = line([x - half] * 2, [2, 104], 0.6) + line([x + half] * 2, [2, 104], 0.6)
    axis = line([x, x], [2, 104], 0.3, "6 1.5 1 1.5")
    corners = (
        words(x - half - 3, 18, "obtuse", "end")
        + words(x - half - 3, 23, "corner", "end")
        + words(x - half - 3, 100.5, "acute", "end")
        + words(x - half - 3, 105.5, "corner", "end")
    )
    return upright + sides + axis + words(x, 110, "tube joined to") + corners + _paper_frame(tube)


def _paper_frame(tube: float) -> str:
    x0, y0 = PAPER
    round_ = np.pi * tube
    stations = "".join(
        line([x, x], [y0, y0 + 2], 0.4) + words(x, y0 + 7.5, name)
        for name, x in zip(LINES, x0 + round_ * np.arange(5) / 4, strict=True)
    )
    heights = "".join(
        line([x0 - 2, x0], [y0 - h] * 2, 0.4) + words(x0 - 3, y0 - h + 1.5, f"{h}", "end")
        for h in (0, 20, 40)
    )
    return (
        line([x0, x0, x0 + round_, x0 + round_], [y0 - 52, y0, y0, y0 - 52], 0.4)
        + stations
        + heights
        + words(2, y0 - 56, "mm from the crossing of the axes", "start")
        + words(x0 + round_ / 2, y0 - 46, "tube")
        + words(x0 + round_ / 2, y0 - 3, "cut off")
    )


def _state(tube: float, into: float, angle_deg: int) -> State:
    around, along = miters.saddle(tube, into, angle_deg, stations=STATIONS)
    short, long_ = along[0], along[STATIONS // 2]
    text = (
        f"Included angle {angle_deg}°; obtuse side {short:.1f} mm, acute side {long_:.1f} mm, "
        f"swing of the fixture {miters.mill_setting_deg(angle_deg):.0f}°"
    )
    return State(
        text, _side_view(tube, angle_deg, along) + _strip(tube, into, angle_deg, around, along)
    )


def _side_view(tube: float, angle_deg: int, along: np.ndarray) -> str:
    """Return the cut tube seen from the side; it leaves the crossing down to the left."""
    theta = np.radians(angle_deg)
    half = slice(0, STATIONS // 2 + 1)
    phi = np.linspace(0, 2 * np.pi, STATIONS)[half]
    height = tube / 2 * np.cos(phi)  # over the axis, toward the obtuse corner
    x, y = _placed(theta, along[half], height)
    ends = _placed(theta, np.array([REACH, REACH]), np.array([tube / 2, -tube / 2]))
    cut = body([ends[0][0], *x, ends[0][1]], [ends[1][0], *y, ends[1][1]])
    axis = line(*_placed(theta, np.array([0, REACH]), np.zeros(2)), 0.3, "6 1.5 1 1.5")
    return cut + axis + _angle_arc(theta, angle_deg)


def _placed(theta: float, along: np.ndarray, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    s, c = np.sin(theta), np.cos(theta)
    return CROSSING[0] - along * s - height * c, CROSSING[1] + along * c - height * s


def _angle_arc(theta: float, angle_deg: int) -> str:
    turn = np.linspace(0, theta, 12)
    radius = 38.0
    x, y = CROSSING[0] - radius * np.sin(turn), CROSSING[1] + radius * np.cos(turn)
    label = words(CROSSING[0] + 3, CROSSING[1] + radius + 1.5, f"{angle_deg}°", "start", 6)
    return line(x, y, 0.4) + label


def _strip(tube: float, into: float, angle_deg: int, around: np.ndarray, along: np.ndarray) -> str:
    x, y = PAPER[0] + around, PAPER[1] - along
    theta = np.radians(angle_deg)
    phi = np.linspace(0, 2 * np.pi, STATIONS)[::3]
    flat = (into / 2 - tube / 2 * np.cos(phi) * np.cos(theta)) / np.sin(theta)
    top = PAPER[1] - 52
    straight = line(PAPER[0] + around[::3], PAPER[1] - flat, 0.3, "1.5 1")
    return straight + body([x[0], *x, x[-1]], [top, *y, top])
