"""The student's own frame from the drive side, at 1 : 10, to lay beside the full-size drawing.

A frame that is too long for the paper is drawn at 1 : 12.

All points are there and none has its coordinates: at this scale a rule reads to some 3 mm, which
shows a drop drawn the wrong way and gives away no answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit import frame
from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.pen import Point, View

SCALES = 10.0, 12.0
WIDTH, FOOT = 180.0, 24.0  # mm on paper; FOOT is what lies below the ground line
REAR = ("seat_angle_deg", "chainstay", "bb_drop", "wheel_radius", "seat_tube")
FRONT = ("head_angle_deg", "fork_length", "fork_offset", "lower_stack", "head_tube", "front_centre")
DRIVING = REAR + FRONT
THIN = "1.2 1.2"  # dash of a line that is no tube
_words = partial(pen.filled_words, size=3.5)
# where a point's name stands on paper, mm from the point: right, up, anchor
NAMES: dict[str, tuple[str, float, float, str]] = {
    "bb": ("bottom bracket (0, 0)", 0.0, -6.0, "middle"),
    "rear_axle": ("rear axle", -4.0, -4.0, "end"),
    "front_axle": ("front axle", 4.0, -4.5, "start"),
    "steer_foot": ("foot", -5.0, -2.0, "end"),
    "crown": ("crown race seat", 8.0, 1.0, "start"),
    "head_low": ("head tube, lower end", 8.0, 4.5, "start"),
    "head_high": ("head tube, upper end", 8.0, 2.0, "start"),
    "seat_top": ("seat tube, top", -6.0, 2.0, "end"),
}


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the frame that `numbers` give, wheels and ground with it, at a scale that fits.

    The middle of both axles is the middle of the paper; y grows upward on the frame and downward
    in the SVG.

    Raises
    ------
    ValueError
        Where the numbers make no frame, in the words of `frame.draw`.

    Examples
    --------
    >>> from coursekit.sheets.drawings.frame_drawing import draw
    >>> own = dict(seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70,
    ...            wheel_radius=340, fork_length=385, fork_offset=45, lower_stack=12,
    ...            head_tube=150, seat_tube=550, front_centre=600,
    ...            down_tube_diameter=31.8, head_diameter=36, bead_room=10)
    >>> made = draw(own)
    >>> made.scale, made.width, round(made.height)  # (573.8 + 90 + 270) / 10 + 24
    ('1 : 10', 180.0, 117)
    """
    own = frame.draw(**{name: numbers[name] for name in DRIVING})
    points = {name: (float(x), float(y)) for name, (x, y) in own.points.items()}
    points["down_tube"] = _down_tube_end(numbers)
    top = max(points["head_high"][1], points["seat_top"][1]) + 90
    middle = (points["rear_axle"][0] + points["front_axle"][0]) / 2
    long = float(own.wheelbase + own.rear_radius + own.front_radius)
    scale = SCALES[0] if long / SCALES[0] <= WIDTH else SCALES[1]
    paper = View(WIDTH / 2, middle, top, scale)
    height = paper.at((0.0, points["rear_contact"][1]))[1] + FOOT
    parts = [
        *_wheels(paper, own),
        *_tubes(paper, points),
        *_marks(paper, points),
        *_bar(height, scale),
    ]
    svg = pen.outline_field(WIDTH, height, *parts)
    said = f"1 : {scale:g}"
    return Drawing("Your frame from the drive side", said, WIDTH, round(height, 3), svg)


def _down_tube_end(numbers: Mapping[str, float]) -> Point:
    """Where the down tube's axis meets the steering axis, however long the head tube is."""
    tall = {name: numbers[name] for name in DRIVING} | {"head_tube": 600.0, "seat_tube": 3000.0}
    tubes = frame.draw(**tall).place(
        top_tube=frame.TopTube(25.4, below_head_top=0.0, slope_deg=0.0),
        down_tube=frame.DownTube(numbers["down_tube_diameter"], numbers["bead_room"]),
        head_tube=numbers["head_diameter"],
    )
    x, y, _ = tubes.joints["down_tube-head_tube"].at
    return float(x), float(y)


def _wheels(paper: View, own: frame.Frame) -> list[str]:
    points = {name: (float(x), float(y)) for name, (x, y) in own.points.items()}
    rear, front, level = points["rear_axle"], points["front_axle"], points["rear_contact"][1]
    left, right = rear[0] - float(own.rear_radius), front[0] + float(own.front_radius)
    x, y = paper.at((left, level))
    return [
        paper.circle(rear, float(own.rear_radius), 0.25),
        paper.circle(front, float(own.front_radius), 0.25),
        paper.line((left, level), (right, level), width=0.5),
        paper.line(rear, front, width=0.2, dash=THIN),
        _words(x + 1, y + 4.2, "ground", "start"),
    ]


def _tubes(paper: View, points: Mapping[str, Point]) -> list[str]:
    """Axes of the tubes: thick where they are steel of the frame, thin where a line goes on."""
    ways = (
        (0.7, "", ("rear_axle", "bb", "seat_top")),
        (0.7, "", ("bb", "down_tube")),
        (0.7, "", ("head_low", "head_high")),
        (0.35, "", ("seat_top", "rear_axle")),
        (0.35, "", ("seat_top", "head_high")),
        (0.25, "4 1 0.8 1", ("head_high", "trail_point")),
        (0.35, "", ("crown", "front_axle", "steer_foot")),
        (0.2, THIN, ("bb", "front_axle")),
        (0.2, THIN, ("rear_axle", "rear_contact")),
        (0.2, THIN, ("front_axle", "front_contact")),
    )
    return [
        paper.line(*(points[name] for name in names), width=width, dash=dash)
        for width, dash, names in ways
    ]


def _marks(paper: View, points: Mapping[str, Point]) -> list[str]:
    parts = []
    for name, (text, right, up, anchor) in NAMES.items():
        x, y = paper.at(points[name])
        parts.append(paper.dot(points[name], 0.75))
        if anchor != "middle":
            end = x + right - (0.6 if right > 0 else -0.6)
            parts.append(f'<path d="M{x:.3f} {y:.3f}L{end:.3f} {y - up:.3f}" stroke-width="0.15"/>')
        parts.append(_words(x + right, y - up + 1.1, text, anchor))
    (x, y), (foot, _) = paper.at(points["trail_point"]), paper.at(points["front_contact"])
    ends = "".join(f"M{at:.3f} {y + 1.2:.3f}v2.4" for at in (foot, x))
    parts.append(f'<path d="{ends}M{foot:.3f} {y + 2.4:.3f}H{x:.3f}" stroke-width="0.25"/>')
    parts.append(_words((x + foot) / 2, y + 7.2, "trail", "middle"))
    return parts


def _bar(height: float, scale: float) -> list[str]:
    """A bar of 100 mm on paper, and what it is of the frame."""
    x, y = WIDTH / 2 - 50, height - 7.0
    ticks = "".join(f"M{x + 10 * i:g} {y:.3f}v{-2.5 if i % 5 == 0 else -1.5:g}" for i in range(11))
    return [
        f'<path d="M{x:g} {y:.3f}h100{ticks}" stroke-width="0.3"/>',
        _words(x + 50, y + 4.4, f"100 mm on paper, {100 * scale:g} mm of the frame", "middle"),
    ]
