"""Slider figures of the lesson on the whole frame."""

from __future__ import annotations

from functools import cache

import numpy as np

from coursekit import closure
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, dot, line, words
from coursekit.figures import your_frame

LONGER = np.arange(-10, 11) * 2.0  # mm, misread length of the down tube
TURNED = np.arange(-10, 11) * 0.2  # degrees, misread direction
WIDTH, HEIGHT = 127.0, 80.0
START = (19.0, 66.0)  # where the bottom bracket stands in the small triangle
SMALL, LARGE = 0.08, 1.0  # paper for a mm of frame, of gap
MIDDLE = (95.0, 38.0)  # of the window that shows the gap
ROOM = 27.0


@cache
def legs() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the worked frame's walk: lengths of its four legs, mm, and their ways, degrees."""
    return your_frame.legs(worked_frame.build().frame)


def misread() -> Slider:
    """Return the figure *how the down tube is misread → the gap, and which way it points*."""
    return Slider(
        title="Length or direction?",
        label="Down tube misread: first its length, then its direction",
        alt=(
            "On the left the main triangle, walked round with arrows. On the right the gap "
            "between start and end of the walk, enlarged, over a dashed line in the direction of "
            "the down tube. While the length of the down tube is misread, from 20 mm short to 20 "
            "mm long, the gap lies along the dashed line. While its direction is misread, from "
            "2° too flat to 2° too steep, the gap stands square to it, up to 22 mm long."
        ),
        caption=(
            "A wrong length opens the gap along its leg; a wrong direction opens it square to "
            "its leg."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(float(v), 0.0) for v in LONGER)
        + tuple(_state(0.0, float(v)) for v in TURNED),
        default=int(np.flatnonzero(LONGER == 12.0)[0]),
    )


def walked(longer: float, turned: float) -> closure.Traverse:
    """Return the walk with the down tube read so much too long, mm, and too steep, degrees."""
    lengths, ways = legs()
    return closure.traverse((lengths[0] + longer, *lengths[1:]), (ways[0] + turned, *ways[1:]))


def _still() -> str:
    x, y = MIDDLE
    way = np.radians(legs()[1][0])
    reach = ROOM / max(np.cos(way), np.sin(way))
    ends = [reach * np.cos(way), reach * np.sin(way)]
    left, right, top, foot = x - ROOM, x + ROOM, y - ROOM, y + ROOM
    frame = line([left, right, right, left, left], [top, top, foot, foot, top], 0.4)
    ray = line([x - ends[0], x + ends[0]], [y + ends[1], y - ends[1]], 0.3, "2 1.4")
    said = words(x, top - 4, "the gap, enlarged")
    said += words(x, foot + 7, "dashes: along the down tube")
    return frame + ray + said + words(START[0] + 9, MIDDLE[1] - ROOM - 4, "the walk")


def _state(longer: float, turned: float) -> State:
    made = walked(longer, turned)
    x = START[0] + SMALL * made.points[:, 0]
    y = START[1] - SMALL * made.points[:, 1]
    drawn = line(x, y, 1.0) + _head(x[-2:], y[-2:], 2.6) + dot(*START, 1.3)
    gap = np.asarray(made.misclosure) * LARGE
    ends_x, ends_y = [MIDDLE[0], MIDDLE[0] + gap[0]], [MIDDLE[1], MIDDLE[1] - gap[1]]
    drawn += dot(*MIDDLE, 1.3)
    if made.distance > 1.5:
        drawn += line(ends_x, ends_y, 1.6) + _head(np.array(ends_x), np.array(ends_y), 3.4)
    return State(_said(longer, turned, float(made.distance)), drawn)


def _said(longer: float, turned: float, distance: float) -> str:
    gap = f"gap {distance:.1f} mm"
    if turned:
        return (
            f"{abs(turned):.1f}° too {'steep' if turned > 0 else 'flat'}: {gap}, square to the tube"
        )
    if longer:
        return f"{abs(longer):g} mm too {'long' if longer > 0 else 'short'}: {gap}, along the tube"
    return f"read right: {gap}"


def _head(x: np.ndarray, y: np.ndarray, size: float) -> str:
    way = np.array([x[1] - x[0], y[1] - y[0]])
    u = way / np.hypot(*way)
    wings = [(x[1], y[1]) - size * (u + s * 0.45 * np.array([-u[1], u[0]])) for s in (1, -1)]
    return line([wings[0][0], x[1], wings[1][0]], [wings[0][1], y[1], wings[1][1]], 0.9)
