"""Slider figures of the lesson on shop maths."""

from __future__ import annotations

import numpy as np

from coursekit import miters, units
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words
from coursekit.sheets.text import long_minus

WIDTH = 127.0
ANGLES = np.arange(66.0, 78.01, 0.5)  # degrees
BASE, SCALE, FOOT = 300.0, 0.1, (18.0, 156.0)  # mm, drawing mm for each mm, start of the base
PROTRACTOR = 0.5  # degrees, one division of a bevel protractor

TIMES, REACH = 10.0, 100.0  # how many times too large the swing is drawn; the tube's length there
ERRORS = np.round(np.arange(-1.0, 1.01, 0.1), 1)  # degrees
JOINT, TALL = (18.0, 42.0), 20.0


def rise() -> Slider:
    """Return the figure *angle → rise over 300 mm, and what half a degree would be*."""
    return Slider(
        title="An angle becomes a length",
        label="Angle from the base",
        alt=(
            "A base of 300 mm, an upright line at its right end, and a slanting line from the "
            "left end to the upright line. The higher it meets it, the steeper the angle. Two "
            "dashed lines beside it are half a degree steeper and flatter. From 66 to 78 degrees "
            "the rise grows from 674 to 1411 mm, slowly at first, then faster; half a degree is "
            "16 mm of rise at 66 degrees and 60 mm at 78."
        ),
        caption=(
            "Full line: the angle. Dashed: half a degree flatter and steeper, one division of a "
            "bevel protractor. At 1 : 10."
        ),
        width=WIDTH,
        height=176.0,
        still=_base(),
        states=tuple(_rise(float(a)) for a in ANGLES),
        default=int(np.flatnonzero(ANGLES == 73.0)[0]),
    )


def _base() -> str:
    x, y = FOOT
    right = x + BASE * SCALE
    return (
        line([x, right], [y, y], 1.2)
        + line([right, right], [y, 3], 0.4)
        + words(x + BASE * SCALE / 2, y + 7, "300 mm")
    )


def _rise(angle_deg: float) -> State:
    x, y = FOOT
    right, top = x + BASE * SCALE, float(units.rise(angle_deg))
    flat, steep = (float(units.rise(angle_deg + d)) for d in (-PROTRACTOR, PROTRACTOR))
    lines = line([x, right], [y, y - top * SCALE], 1.2) + "".join(
        line([x, right], [y, y - other * SCALE], 0.4, "2 1.5") for other in (flat, steep)
    )
    level = y - top * SCALE
    mark = line([right, right + 6], [level, level], 0.8)
    said = words(right + 8, level + 1.5, f"rise {top:.0f} mm", "start")
    span = (
        f"half a degree less is {top - flat:.0f} mm less, "
        f"half a degree more is {steep - top:.0f} mm more"
    )
    return State(f"{angle_deg:g}°: rise {top:.1f} mm over 300; {span}", lines + mark + said)


def far_end() -> Slider:
    """Return the figure *error of the miter → miss along the worked frame's down tube*."""
    length = round(worked_frame.facts()["down_tube.axis"], 1)
    return Slider(
        title="A small angle, far away",
        label="Error of the miter",
        alt=(
            f"A tube {length:g} mm long lies level, held at its left end by an upright tube. Its "
            "outline swings up for a positive error and down for a negative one, drawn ten times "
            "too much. Three upright marks show the miss at 100 mm, at 300 mm and at the far "
            "end; the miss grows with the distance. At one degree it is 1.7, 5.2 and 10.9 mm."
        ),
        caption=(
            f"Swing drawn {TIMES:g} times too much. The miss grows in step with the distance "
            "from the joint."
        ),
        width=WIDTH,
        height=84.0,
        still=_joint(),
        states=tuple(_miss(length, float(e)) for e in ERRORS),
        default=int(np.flatnonzero(ERRORS == 0.5)[0]),
    )


def _joint() -> str:
    x, y = JOINT
    upright = area([x - 6, x + 6, x + 6, x - 6], [y - 36, y - 36, y + 36, y + 36], 0.12)
    sides = line([x - 6] * 2, [y - 36, y + 36], 0.6) + line([x + 6] * 2, [y - 36, y + 36], 0.6)
    return upright + sides + line([x, x + REACH + 6], [y, y], 0.3, "6 1.5 1 1.5")


def _miss(length: float, error_deg: float) -> State:
    x, y = JOINT
    turn = np.radians(error_deg * TIMES)
    tip = np.array([x + REACH * np.cos(turn), y - REACH * np.sin(turn)])
    across = 2.6 * np.array([np.sin(turn), np.cos(turn)])
    start = np.array([x + 6 * np.cos(turn), y - 6 * np.sin(turn)])
    corners = np.array([start + across, tip + across, tip - across, start - across])
    loop = np.vstack([corners, corners[:1]])
    drawn = area(corners[:, 0], corners[:, 1], 0.28) + line(loop[:, 0], loop[:, 1], 0.8)
    places = (100.0, 300.0, length)
    missed = [float(miters.far_end(place, error_deg)) for place in places]
    for place in places:
        away = REACH * place / length
        drawn += line([x + away] * 2, [y, y - away * np.tan(turn)], 1.1)
        drawn += words(x + away, y + (24 if error_deg > 0 else -20), f"{place:g}", size=4.4)
    said = ", ".join(f"{m:+.1f} mm at {p:g}" for m, p in zip(missed, places, strict=True))
    return State(long_minus(f"{error_deg:+.1f}°: {said}"), drawn)
