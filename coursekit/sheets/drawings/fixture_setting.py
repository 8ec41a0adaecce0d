"""The student's own frame in the plainest fixture, at 1 : 10, and boxes for what is set and read again."""

from __future__ import annotations

from collections.abc import Mapping

from coursekit import fixture, frame
from coursekit.sheets.drawing import Drawing

SCALE = 10.0
WIDTH, FOOT = 178.0, 98.0  # mm on paper; FOOT is what lies below the rail
DRIVING = (
    "head_angle_deg", "chainstay", "bb_drop", "front_centre", "fork_length", "fork_offset", "lower_stack",
    "head_tube",
)  # fmt: skip
ROWS = (
    "rear axle, level back", "rear axle, up", "head arm, ahead along the rail", "head arm, angle", "lower cone's tip, up the arm",
    "upper cone's tip, up the arm", "post square to the axis",
)  # fmt: skip
Point = tuple[float, float]


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return post, rail, head arm and the frame's points at 1 : 10; no setting that is asked for is written.

    A rule reads to some 3 mm at this scale, which shows an arm set on the wrong side and gives no answer away.

    Raises ValueError where the numbers make no frame, in the words of `frame.draw`.
    """
    own = frame.draw(
        seat_angle_deg=73, wheel_radius=340, seat_tube=560, **{n: numbers[n] for n in DRIVING}
    )
    points = {name: (float(x), float(y)) for name, (x, y) in own.points.items()}
    rail = float(numbers["rail"])
    points["swing"] = (float(fixture.settings(own, rail).head_ahead), -rail)
    paper = _Paper(points, points["head_high"][1] + 90)
    level = paper.at((0.0, -rail))[1]
    height = level + FOOT
    parts = [*_fixture(paper, points, rail), *_frame(paper, points), *_boxes(level + 16)]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {height:.3f}" font-family="Libertinus Serif" '
        f'fill="none" stroke="#000" stroke-linecap="round">{"".join(parts)}</svg>'
    )
    return Drawing("Your frame in the fixture", "1 : 10", WIDTH, round(height, 3), svg)


class _Paper:
    """Turns millimetres of the frame into millimetres of paper."""

    def __init__(self, points: Mapping[str, Point], top: float) -> None:
        self.middle = (points["rear_axle"][0] + points["front_axle"][0]) / 2
        self.top = top

    def at(self, point: Point) -> Point:
        return WIDTH / 2 + (point[0] - self.middle) / SCALE, (self.top - point[1]) / SCALE

    def line(self, *points: Point, width: float, dash: str = "") -> str:
        way = " ".join(f"{x:.3f},{y:.3f}" for x, y in map(self.at, points))
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        return f'<polyline points="{way}" stroke-width="{width:g}"{dashed}/>'

    def dot(self, point: Point) -> str:
        x, y = self.at(point)
        return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="0.8" fill="#fff" stroke-width="0.35"/>'

    def words(self, point: Point, right: float, down: float, text: str, anchor: str) -> str:
        x, y = self.at(point)
        return _words(x + right, y + down, text, anchor)


def _words(x: float, y: float, text: str, anchor: str = "start", size: float = 3.6) -> str:
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:g}" text-anchor="{anchor}" fill="#000" '
        f'stroke="none">{text}</text>'
    )


def _fixture(paper: _Paper, points: Mapping[str, Point], rail: float) -> list[str]:
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
        paper.words(top, -2, 0, "head arm", "end"),
        paper.words((left, -rail), 1, 6.2, "rail", "start"),
    ]


def _frame(paper: _Paper, points: Mapping[str, Point]) -> list[str]:
    return [
        paper.line(points["rear_axle"], points["bb"], width=0.3, dash="1.2 1.2"),
        paper.line(points["bb"], points["front_axle"], width=0.2, dash="1.2 1.2"),
        paper.line(points["crown"], points["front_axle"], points["steer_foot"], width=0.35),
        paper.line(points["head_low"], points["head_high"], width=1.6),
        *(paper.dot(points[n]) for n in ("bb", "rear_axle", "front_axle", "steer_foot", "swing")),
        paper.words(points["bb"], 3, -2.5, "post, zero", "start"),
        paper.words(points["rear_axle"], 0, -3, "rear axle", "middle"),
        paper.words(points["front_axle"], 3, 1.2, "front axle", "start"),
        paper.words(points["steer_foot"], -3, -1, "foot", "end"),
        paper.words(points["swing"], 2, -2, "swing point", "start"),
        paper.words(points["head_low"], 4, -3, "head tube", "start"),
    ]  # fmt: skip


def _boxes(top: float) -> list[str]:
    """Return a table to write in: what you work out, what you set, what you read a second time."""
    parts = [_words(x, top, say, "middle") for x, say in zip((99, 129, 159), ("worked out", "set to", "read again"), strict=True)]  # fmt: skip
    for i, say in enumerate(ROWS):
        y = top + 3 + 11 * i
        parts.append(_words(2, y + 6.8, say))
        parts.extend(
            f'<rect x="{x - 14:g}" y="{y:.3f}" width="28" height="9.5" stroke-width="0.35"/>'
            for x in (99, 129, 159)
        )
    return parts
