"""The worksheet's field of the lesson on heat and filler: a corner at 4:1, an empty thermometer."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 186.0
SCALE = 4.0  # mm on paper for a mm of joint
CORNER = (34.0, 92.0)  # where the faces meet
SCALE_LEFT, SCALE_TOP, PER_KELVIN = 20.0, 140.0, 0.2  # thermometer: 500 °C, level, mm a kelvin
LOW, HIGH = 500, 1250  # °C
_line = partial(pen.line, places=3)
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the corner of shell and tube, the student's walls at 4:1, and an empty thermometer."""
    svg = pen.field(WIDTH, HEIGHT, _faces(numbers), _thermometer())
    return Drawing("Your corner, and a thermometer", f"corner {SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _faces(numbers: Mapping[str, float]) -> str:
    """Return shell and tube cut open, a grid of mm in the corner, the leg on both faces."""
    x, y = CORNER
    shell, tube, leg = (SCALE * numbers[n] for n in ("shell_wall", "tube_wall", "leg"))
    grid = "".join(
        _line(x, y - SCALE * i, x + 13 * SCALE, y - SCALE * i, 0.08)
        + _line(x + SCALE * i, y, x + SCALE * i, y - 13 * SCALE, 0.08)
        for i in range(1, 14)
    )
    metal = pen.box(x - 20, y, 110, shell, fill="#e0e0e0", places=3)
    metal += pen.box(x - tube, y - 74, tube, 74, fill="#bdbdbd", places=3)
    legs = _line(x + leg, y - 2, x + leg, y + 2, 0.7) + _line(x - 2, y - leg, x + 2, y - leg, 0.7)
    steps = (
        "1  Draw your fillet, hollow, from mark to mark.",
        "2  Count the squares it covers: each is 1 mm².",
        "3  Shade where the flame dwells.",
    )
    told = (
        pen.rows(x + 58, y - 66, steps, 6)
        + _words(x + 58, y - 42, "squares counted", "start")
        + pen.box(x + 58, y - 39, 34, 12)
        + _words(x + 94, y - 31, "mm²", "start", 4)
        + _words(x - tube / 2, y - 77, "tube")
        + _words(x + 86, y + shell + 5, "shell", "end")
    )
    return grid + metal + legs + told


def _thermometer() -> str:
    """Return a scale from 500 to 1250 °C with three empty rows."""
    parts = [_words(SCALE_LEFT, SCALE_TOP - 16, "Draw in: filler, its range, your flux", "start")]
    end = SCALE_LEFT + (HIGH - LOW) * PER_KELVIN
    for i, name in enumerate(("filler", "range", "flux")):
        y = SCALE_TOP - 10 + 12 * i
        parts.append(_words(SCALE_LEFT - 2, y + 6.5, name, "end"))
        parts.append(pen.box(SCALE_LEFT, y, end - SCALE_LEFT, 10, 0.3))
    foot = SCALE_TOP + 26
    for celsius in range(LOW, HIGH + 1, 10):
        x, hundred = SCALE_LEFT + (celsius - LOW) * PER_KELVIN, celsius % 100 == 0
        parts.append(_line(x, foot, x, foot + (4 if hundred else 2), 0.3 if hundred else 0.15))
        if hundred:
            parts.append(_words(x, foot + 8, f"{celsius}"))
    parts.append(_words(end + 8, foot + 8, "°C", "start"))
    return "".join(parts)
