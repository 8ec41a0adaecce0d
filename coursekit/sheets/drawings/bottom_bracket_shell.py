"""The worksheet's field of the lesson on the bottom-bracket shell: a strip to wrap round it, at 1:1."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi

from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 150.0
LEFT, TOP = 10.0, 12.0  # where the strip begins
SHELL_WIDTH, ZERO = 68.0, 40.0  # mm; the seat tube's line, mm round from the strip's edge
FONT = "Libertinus Serif"


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the shell's outside unrolled at 1:1: its middle line, the seat tube's line, a scale round.

    Seen from outside with the drive side below, forward is to the right. The second line, its hole and the lands are the student's to draw.
    """
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'width="{WIDTH:g}mm" height="{HEIGHT:g}mm" font-family="{FONT}" fill="black">'
        f"{_strip(numbers)}{_told()}</svg>"
    )
    return Drawing("Your shell, unrolled", "1 : 1", WIDTH, HEIGHT, svg)


def _words(x: float, y: float, text: str, anchor: str = "middle", size: float = 3.6) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}">{text}</text>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 0.3, dash: str = "") -> str:
    broken = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.3f}" y1="{y1:.3f}" x2="{x2:.3f}" y2="{y2:.3f}" stroke="black" '
        f'stroke-width="{width:g}"{broken}/>'
    )


def _strip(numbers: Mapping[str, float]) -> str:
    around = pi * numbers["shell"]
    parts = [
        f'<rect x="{LEFT:g}" y="{TOP:g}" width="{around:.3f}" height="{SHELL_WIDTH:g}" fill="none" '
        'stroke="black" stroke-width="0.4"/>',
        _line(LEFT - 4, TOP + SHELL_WIDTH / 2, LEFT + around + 4, TOP + SHELL_WIDTH / 2, 0.25, "8 2 1 2"),
        _line(LEFT + ZERO, TOP - 3, LEFT + ZERO, TOP + SHELL_WIDTH + 3, 0.4),
        _words(LEFT + ZERO, TOP - 5, "middle of the seat tube"),
    ]  # fmt: skip
    for mm in range(0, int(around) + 1):
        tall = 4.0 if mm % 10 == 0 else 2.6 if mm % 5 == 0 else 1.6
        x = LEFT + mm
        parts.append(_line(x, TOP + SHELL_WIDTH, x, TOP + SHELL_WIDTH - tall, 0.15))
        if mm % 10 == 0:
            parts.append(_words(x, TOP + SHELL_WIDTH + 7, long_minus(f"{mm - ZERO:g}"), size=3))
    parts.append(_words(LEFT + around + 2, TOP + SHELL_WIDTH + 7, "mm", "start", 3))
    side = LEFT + around + 6
    parts.append(_words(side, TOP + 5, "non-drive side", "start"))
    parts.append(_words(side, TOP + SHELL_WIDTH - 2, "drive side", "start"))
    return "".join(parts)


def _told() -> str:
    y = TOP + SHELL_WIDTH + 18
    said = [
        "1  Draw the middle line of the down tube, so far round as you worked out, to the right.",
        "2  Draw both holes on the dash-dot line, and the bore of the seat tube as far as it reaches along the shell.",
        "3  Cut out along the frame, wrap it with print outward: the edges must meet. Prick the middles through.",
        "4  Before the flame, somebody else looks through each hole and signs:",
    ]
    parts = [_words(LEFT, y + 6.5 * i, text, "start") for i, text in enumerate(said)]
    for i, name in enumerate(("seat tube", "down tube", "left stay", "right stay")):
        x = LEFT + 42 * i
        parts.append(_words(x, y + 31, name, "start"))
        parts.append(
            f'<rect x="{x:g}" y="{y + 33:g}" width="38" height="12" fill="none" stroke="black" stroke-width="0.4"/>'
        )
    return "".join(parts)
