"""The student's own two bottles in the corner of two tubes, at 1 : 3, and boxes for the bench."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin

from coursekit.braze_ons import BOSS_PITCH, Bottle
from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.pen import Point, View

SCALE, LONG = 3.0, 200.0  # mm of the frame for a mm on paper; length of a bottle
WIDTH, HEIGHT = 178.0, 188.0
ORIGIN = (16.0, 122.0)  # of the shell's axis on paper
_words = pen.filled_words
VIEW = View(ORIGIN[0], 0.0, ORIGIN[1] * SCALE, SCALE)
BOXES = (
    "lower boss, on the rule",
    "upper boss, on the rule",
    "marks of the section, apart",
    "gap under the boss, dry",
)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return both tubes, bosses and bottles at 1 : 3 from the drive side, without the answers.

    A rule reads to a good millimetre at this scale: enough to see a bottle begun at its boss.
    """
    turn = radians(numbers["between_deg"])
    parts = [VIEW.circle((0.0, 0.0), numbers["shell"] / 2, 0.4)]
    for tube, boss, way, out in (
        ("down_tube", "dt_boss", (1.0, 0.0), (0.0, 1.0)),
        ("seat_tube", "st_boss", (cos(turn), sin(turn)), (sin(turn), -cos(turn))),
    ):
        start = numbers[boss] - numbers["below"]
        own = Bottle(numbers[tube], numbers["stand"], numbers["bottle"], LONG, start)
        parts += _tube(numbers[tube], numbers[boss], way, out)
        far = float(own.far_side)
        parts.append(_box(start, start + LONG, far - numbers["bottle"], far, way, out, 0.5))
    svg = pen.outline_field(WIDTH, HEIGHT, *parts, *_told(), soft="linejoin")
    return Drawing("Your two bottles", "1 : 3", WIDTH, HEIGHT, svg)


def _place(along: float, square: float, way: Point, out: Point) -> Point:
    return along * way[0] + square * out[0], along * way[1] + square * out[1]


def _box(
    start: float, end: float, near: float, far: float, way: Point, out: Point, width: float
) -> str:
    corners = ((start, near), (start, far), (end, far), (end, near), (start, near))
    return VIEW.line(*(_place(x, y, way, out) for x, y in corners), width=width)


def _tube(diameter: float, boss: float, way: Point, out: Point) -> list[str]:
    """Return a tube's two edges, its axis, and its two bosses."""
    half, long = diameter / 2, 385.0

    def along(start: float, off: float, width: float, dash: str = "") -> str:
        ends = (_place(x, off, way, out) for x in (start, long))
        return VIEW.line(*ends, width=width, dash=dash)

    lines = [along(22.0, off, 0.35) for off in (-half, half)]
    axis = along(0.0, 0.0, 0.15, "4 1 0.8 1")
    bosses = [_box(b - 5, b + 5, half, half + 4, way, out, 0.35) for b in (boss, boss + BOSS_PITCH)]
    return [*lines, axis, *bosses]


def _told() -> list[str]:
    parts = [
        _words(2, 172, "1  Mark the corner that comes nearest."),
        _words(2, 178, "2  Draw its way to the other bottle, and write its length."),
        _words(2, 184, "3  Mark where you drill a vent, and the side you heat."),
        _words(ORIGIN[0] + 112, ORIGIN[1] + 10, "down tube", "middle"),
        _words(ORIGIN[0] + 26, 30, "seat tube", "middle"),
    ]
    for i, say in enumerate(BOXES):
        x, y = 2 + 44.0 * i, 144.0
        parts.append(_words(x, y, say))
        parts.append(f'<rect x="{x:g}" y="{y + 3:g}" width="36" height="12" stroke-width="0.35"/>')
        parts.append(_words(x + 37, y + 11, "mm"))
    return parts
