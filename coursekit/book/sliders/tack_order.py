"""Slider figures of the lesson on tack order."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, permutations

import numpy as np

from coursekit import tacks
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, body, dot, line, words
from coursekit.sheets.text import signed

FIRST = 3.0  # mm at the gauge
PLACES = (0, 90, 180, 270)
SHOWN = ((0, 180, 90, 270), (90, 270, 0, 180), (0, 90, 180, 270), (0, 270, 90, 180))
WIDTH, HEIGHT = 127.0, 168.0
RING, RADIUS = (35.0, 38.0), 13.0
PATH, PER_MM = (93.0, 42.0), 8.5  # where the arrows start, drawing mm for each mm at the gauge
# foot and length of the leaning tubes, and how many times too large their lean is drawn
STAND, TALL, TIMES = 150.0, 62.0, 40.0
SIDE, BACK = 33.0, 93.0  # where the two views stand


def orders() -> Slider:
    """Return the figure *order → tack numbers, arrows, the tube leaning*, all 24 orders."""
    ranked = sorted(permutations(PLACES), key=_rank)
    return Slider(
        title="All twenty-four orders of four tacks",
        label="Order, from the least tilt to the most",
        alt=(
            "Above left, the joint seen from the tube's far end with the tacks numbered in the "
            "order they are set. Above right, their pulls as arrows laid head to tail, each "
            f"{_hold():g} of the one before, and a thick arrow from start to end: the tilt left. "
            "Below, the tube from the side and from behind, leaning as that tilt says. The first "
            "eight orders are opposite pairs and leave the least; the next eight go round the "
            "clock; the last eight begin with neighbours and leave nearly twice as much as the "
            "first."
        ),
        caption=(
            f"First pull {FIRST:g} mm at the gauge, hold {_hold():g}. Thick arrow: what is left. "
            f"The leaning tubes are drawn {TIMES:g} times too much. A model, not a law."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(order, 4, f"Rank {i + 1} of 24: ") for i, order in enumerate(ranked)),
        default=ranked.index((0, 90, 180, 270)),
    )


def one_by_one() -> Slider:
    """Return the figure *tack by tack*: four orders, each from no tack to the fourth."""
    return Slider(
        title="Tack by tack",
        label="Order and number of tacks set",
        alt=(
            "Above left, the joint seen from the tube's far end with the tacks set so far, "
            "numbered. Above right, their pulls as arrows laid head to tail and a thick arrow to "
            "the tilt left. Below, the tube leaning, from the side and from behind. Four orders "
            "come one after the other, each from no tack to four. In the orders of opposite "
            "pairs the tube goes over with the first tack and comes more than half of the way "
            "back with the second; the last two add little. Round the clock the tube is driven "
            "to one corner before anything pulls it back."
        ),
        caption=(
            "Four orders, tack by tack: rear and front first, sides first, round the clock, "
            f"neighbours first. First pull {FIRST:g} mm at the gauge, hold {_hold():g}; lean "
            f"{TIMES:g} times too much."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(order, k) for order in SHOWN for k in range(5)),
        default=2,
    )


def _hold() -> float:
    return worked_frame.facts()["bench.tack_hold"]


def _rank(order: Sequence[int]) -> tuple[float, float, Sequence[int]]:
    """Order by what is left, then by the lean across, the rear first."""
    tilt = tacks.pull(order, FIRST, _hold())
    return round(float(np.hypot(*tilt)), 9), round(abs(float(tilt[1])), 9), tuple(order)


def _still() -> str:
    x, y = RING
    turn = np.linspace(0, 2 * np.pi, 49)
    wheel = line(x + RADIUS * np.cos(turn), y + RADIUS * np.sin(turn), 1.2)
    names = (
        words(x + RADIUS + 8, y + 1.5, "rear", "start")
        + words(x, y - RADIUS - 9, "drive side")
        + words(x - RADIUS - 7, y + 1.5, "front", "end")
        + words(x, y + RADIUS + 12, "non-drive side")
    )
    return wheel + names + _views()


def _views() -> str:
    floor = "".join(line([x - 24, x + 24], [STAND + 4] * 2, 0.4) for x in (SIDE, BACK))
    upright = "".join(
        line([x, x], [STAND, STAND - TALL - 6], 0.3, "4 1.5 1 1.5") for x in (SIDE, BACK)
    )
    named = "".join(
        words(x, STAND + 10, view) + words(x, STAND + 15.5, right)
        for x, view, right in (
            (SIDE, "from the side,", "front to the right"),
            (BACK, "from behind,", "drive side to the right"),
        )
    )
    return floor + upright + named + words(PATH[0], 8, "pulls, head to tail") + _scale()


def _scale() -> str:
    x, y = RING[0] - PER_MM / 2, 72.0
    return line([x, x + PER_MM], [y, y], 0.8) + words(x + PER_MM / 2, y + 5.5, "1 mm")


def _state(order: Sequence[int], count: int, before: str = "") -> State:
    ends = np.vstack([[0.0, 0.0], tacks.after_each(order, FIRST, _hold())])[: count + 1]
    x, y = ends[-1]
    plan = "–".join(f"{a}°" for a in order)
    if count < 4:
        set_so_far = ("no tack yet", "one tack", "two tacks", "three tacks")[count]
        plan += f", {set_so_far}"
    text = f"{before}{plan}; left {np.hypot(x, y):.2f} mm, in plane {signed(x)}, across {signed(y)}"
    return State(text, _numbers(order[:count]) + _arrows(ends) + _lean(SIDE, -x) + _lean(BACK, y))


def _numbers(order: Sequence[int]) -> str:
    made = ""
    for k, angle_deg in enumerate(order, start=1):
        c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
        x, y = RING[0] + RADIUS * c, RING[1] - RADIUS * s
        made += dot(x, y, 2.2) + words(RING[0] + 7 * c, RING[1] - 7 * s + 2, f"{k}", size=6)
    return made


def _arrows(ends: np.ndarray) -> str:
    """Return the pulls as thin arrows, head to tail, and what is left as a thick one.

    Each number stands beside its arrow, on the side away from the start. A pull that runs back is
    drawn beside the one before it, with its number behind its tail.
    """
    places = np.column_stack([PATH[0] + PER_MM * ends[:, 0], PATH[1] - PER_MM * ends[:, 1]])
    made, way, out = dot(places[0][0], places[0][1], 1.2), np.zeros(2), np.zeros(2)
    for k, (a, b) in enumerate(pairwise(places), start=1):
        back = (b - a) @ way < -0.01
        way = (b - a) / np.hypot(*(b - a))
        if not back:
            out = _away(way, (a + b) / 2 - places[0], places.mean(axis=0) - places[0])
        beside = out if back else np.zeros(2)
        label = a - way * 2.8 + beside if back else (a + b) / 2 + out * 4.3
        made += _arrow(a + beside, b + beside, 0.5)
        made += words(label[0], label[1] + 1.5, f"{k}", size=4.4)
    return made + (_arrow(places[0], places[-1], 1.4) if len(ends) > 1 else "")


def _away(way: np.ndarray, middle: np.ndarray, crowd: np.ndarray) -> np.ndarray:
    """Return the normal of `way` that points away from the start, or else from the `crowd`."""
    out = np.array([way[1], -way[0]])
    far = middle @ out if abs(middle @ out) > 0.01 else -(crowd @ out)
    return out if far >= 0 else -out


def _arrow(start: np.ndarray, end: np.ndarray, width: float) -> str:
    along = (end - start) / np.hypot(*(end - start))
    across = np.array([-along[1], along[0]])
    back = end - along * (2.4 + width)
    barbs = [back + across * (0.9 + width / 2), end, back - across * (0.9 + width / 2)]
    head = area([p[0] for p in barbs], [p[1] for p in barbs], 1.0)
    return line([start[0], back[0]], [start[1], back[1]], width) + head


def _lean(x: float, offset: float) -> str:
    """Return a tube that stands at `x` and leans by `offset` mm at the gauge, to the right."""
    turn = np.arctan(offset / worked_frame.facts()["seat_tube.axis"]) * TIMES
    s, c = np.sin(turn), np.cos(turn)
    half = 3.2
    corners = [(-half, 0.0), (-half, TALL), (half, TALL), (half, 0.0)]
    xs = [x + across * c + up * s for across, up in corners]
    ys = [STAND + across * s - up * c for across, up in corners]
    return body([*xs, xs[0]], [*ys, ys[0]], 0.8)
