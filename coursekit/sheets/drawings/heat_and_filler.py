"""The worksheet's field of the lesson on heat and filler: a corner at 4:1 and a thermometer to fill in."""

from __future__ import annotations

from collections.abc import Mapping

from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 186.0
SCALE = 4.0  # mm on paper for a mm of joint
CORNER = (34.0, 92.0)  # where the faces meet
SCALE_LEFT, SCALE_TOP, PER_KELVIN = 20.0, 140.0, 0.2  # thermometer: 500 °C, level, mm a kelvin
LOW, HIGH = 500, 1250  # °C
FONT = "Libertinus Serif"


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the corner of shell and tube with the student's own walls at 4:1, and an empty thermometer."""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'width="{WIDTH:g}mm" height="{HEIGHT:g}mm" font-family="{FONT}" fill="black">'
        f"{_faces(numbers)}{_thermometer()}</svg>"
    )
    return Drawing("Your corner, and a thermometer", f"corner {SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _words(x: float, y: float, text: str, anchor: str = "middle", size: float = 3.6) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}">{text}</text>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 0.2) -> str:
    return (
        f'<line x1="{x1:.3f}" y1="{y1:.3f}" x2="{x2:.3f}" y2="{y2:.3f}" stroke="black" '
        f'stroke-width="{width:g}"/>'
    )


def _faces(numbers: Mapping[str, float]) -> str:
    """Return shell and tube cut open, a grid of millimetres in the corner, the leg marked on both faces."""
    x, y = CORNER
    shell, tube, leg = (SCALE * numbers[n] for n in ("shell_wall", "tube_wall", "leg"))
    grid = "".join(
        _line(x, y - SCALE * i, x + 13 * SCALE, y - SCALE * i, 0.08)
        + _line(x + SCALE * i, y, x + SCALE * i, y - 13 * SCALE, 0.08)
        for i in range(1, 14)
    )
    metal = (
        f'<rect x="{x - 20:.3f}" y="{y:.3f}" width="110" height="{shell:.3f}" fill="#e0e0e0" '
        'stroke="black" stroke-width="0.4"/>'
        f'<rect x="{x - tube:.3f}" y="{y - 74:.3f}" width="{tube:.3f}" height="74" fill="#bdbdbd" '
        'stroke="black" stroke-width="0.4"/>'
    )
    legs = _line(x + leg, y - 2, x + leg, y + 2, 0.7) + _line(x - 2, y - leg, x + 2, y - leg, 0.7)
    told = (
        _words(x + 58, y - 66, "1  Draw your fillet, hollow, from mark to mark.", "start")
        + _words(x + 58, y - 60, "2  Count the squares it covers: each is 1 mm².", "start")
        + _words(x + 58, y - 54, "3  Shade where the flame dwells.", "start")
        + _words(x + 58, y - 42, "squares counted", "start")
        + f'<rect x="{x + 58:.2f}" y="{y - 39:.2f}" width="34" height="12" fill="none" stroke="black" '
        'stroke-width="0.4"/>'
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
        parts.append(
            f'<rect x="{SCALE_LEFT:g}" y="{y:g}" width="{end - SCALE_LEFT:g}" height="10" fill="none" '
            'stroke="black" stroke-width="0.3"/>'
        )
    foot = SCALE_TOP + 26
    for celsius in range(LOW, HIGH + 1, 10):
        x, hundred = SCALE_LEFT + (celsius - LOW) * PER_KELVIN, celsius % 100 == 0
        parts.append(_line(x, foot, x, foot + (4 if hundred else 2), 0.3 if hundred else 0.15))
        if hundred:
            parts.append(_words(x, foot + 8, f"{celsius}"))
    parts.append(_words(end + 8, foot + 8, "°C", "start"))
    return "".join(parts)
