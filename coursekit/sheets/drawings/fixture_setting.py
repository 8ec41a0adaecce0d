"""The student's frame in the plainest fixture, 1 : 10, and boxes for what is set and read again."""

from __future__ import annotations

from collections.abc import Mapping

from coursekit import fixture, frame
from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.pen import Point, View

SCALE = 10.0
WIDTH, FOOT = 178.0, 98.0  # mm on paper; FOOT is what lies below the rail
OWN = ("head_angle_deg", "chainstay", "bb_drop", "front_centre", "head_tube")
FORK = ("fork_length", "fork_offset", "lower_stack")
ROWS = (
    "rear axle, level back",
    "rear axle, up",
    "head arm, ahead along the rail",
    "head arm, angle",
    "lower cone's tip, up the arm",
    "upper cone's tip, up the arm",
    "post square to the axis",
)
_words = pen.filled_words
COLUMNS = {"worked out": 99, "set to": 129, "read again": 159}  # middle, mm on paper


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return post, rail, head arm and the frame's points at 1 : 10, without the settings.

    A rule reads to some 3 mm at this scale, which shows an arm set on the wrong side and gives no
    answer away.

    Raises
    ------
    ValueError
        Where the numbers make no frame, in the words of `frame.draw`.
    """
    driving = {name: numbers[name] for name in OWN + FORK}
    own = frame.draw(seat_angle_deg=73, wheel_radius=340, seat_tube=560, **driving)
    points = {name: (float(x), float(y)) for name, (x, y) in own.points.items()}
    rail = float(numbers["rail"])
    points["swing"] = (float(fixture.settings(own, rail).head_ahead), -rail)
    middle = (points["rear_axle"][0] + points["front_axle"][0]) / 2
    paper = View(WIDTH / 2, middle, points["head_high"][1] + 90, SCALE)
    level = paper.at((0.0, -rail))[1]
    height = level + FOOT
    parts = [*_fixture(paper, points, rail), *_frame(paper, points), *_boxes(level + 16)]
    svg = pen.outline_field(WIDTH, height, *parts)
    return Drawing("Your frame in the fixture", "1 : 10", WIDTH, round(height, 3), svg)


def _beside(
    paper: View, point: Point, right: float, down: float, text: str, anchor: str = "start"
) -> str:
    x, y = paper.at(point)
    return _words(x + right, y + down, text, anchor)


def _fixture(paper: View, points: Mapping[str, Point], rail: float) -> list[str]:
    """Return rail, post, rear holder and head arm."""
    rear, swing, high = points["rear_axle"], points["swing"], points["head_high"]
    run, rise = high[0] - swing[0], high[1] - swing[1]
    top = (swing[0] + 1.08 * run, swing[1] + 1.08 * rise)
    left, right = rear[0] - 60, points["front_axle"][0] + 60
    return [
        paper.line((left, -rail), (right, -rail), width=0.7),
        paper.line((left, -rail - 16), (right, -rail - 16), width=0.2),
        paper.line((0.0, -rail), points["bb"], width=0.7),
        paper.line((rear[0], -rail), rear, width=0.7),
        paper.line(swing, top, width=0.25, dash="4 1 0.8 1"),
        _beside(paper, top, -2, 0, "head arm", "end"),
        _beside(paper, (left, -rail), 1, 6.2, "rail"),
    ]


def _frame(paper: View, points: Mapping[str, Point]) -> list[str]:
    said = (
        ("bb", 3, -2.5, "post, zero", "start"),
        ("rear_axle", 0, -3, "rear axle", "middle"),
        ("front_axle", 3, 1.2, "front axle", "start"),
        ("steer_foot", -3, -1, "foot", "end"),
        ("swing", 2, -2, "swing point", "start"),
        ("head_low", 4, -3, "head tube", "start"),
    )
    dots = ("bb", "rear_axle", "front_axle", "steer_foot", "swing")
    return [
        paper.line(points["rear_axle"], points["bb"], width=0.3, dash="1.2 1.2"),
        paper.line(points["bb"], points["front_axle"], width=0.2, dash="1.2 1.2"),
        paper.line(points["crown"], points["front_axle"], points["steer_foot"], width=0.35),
        paper.line(points["head_low"], points["head_high"], width=1.6),
        *(paper.dot(points[name], 0.8) for name in dots),
        *(_beside(paper, points[p], right, down, say, ha) for p, right, down, say, ha in said),
    ]


def _boxes(top: float) -> list[str]:
    """Return a table to write in: what you work out, what you set, what you read a second time."""
    parts = [_words(x, top, say, "middle") for say, x in COLUMNS.items()]
    for i, say in enumerate(ROWS):
        y = top + 3 + 11 * i
        parts.append(_words(2, y + 6.8, say))
        parts.extend(
            f'<rect x="{x - 14:g}" y="{y:.3f}" width="28" height="9.5" stroke-width="0.35"/>'
            for x in COLUMNS.values()
        )
    return parts
