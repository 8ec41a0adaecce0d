"""The full-size drawing of a frame from the drive side: outlines, axes, points, wheels."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np

from coursekit.sheets import end_scene, frame_marks
from coursekit.sheets.build import Build
from coursekit.sheets.scene import Arc, Part, Path, Point, Stroke

PAST = 14.0  # how far an axis is drawn past its end, mm
CROSS = 6.0  # half length of the cross at a point, mm
REAR_ARC, FRONT_ARC = (-14.0, 66.0), (112.0, 194.0)  # what is drawn of each wheel, degrees
SHOWN = ("head_tube", "seat_tube", "top_tube", "down_tube", "right_chainstay", "right_seatstay")


def parts(build: Build) -> tuple[Part, ...]:
    """Every part of the drawing, mm, origin at the bottom bracket, x forward, y up.

    Of a pair of stays the drive side's is drawn; the other lies behind it. Below the frame stand
    the plan of the rear end and two views of the fork, where the frame file has them.
    """
    own = side(build)
    return (*own, *end_scene.below(build, own))


def side(build: Build) -> tuple[Part, ...]:
    """The frame from the drive side alone."""
    return (
        *_outlines(build),
        *_axes(build),
        *_fork(build),
        *_wheels(build),
        *_points(build),
        *end_scene.in_place(build),
        *frame_marks.parts(build),
    )


def outline(build: Build, name: str) -> tuple[Point, ...]:
    """The closed outline of a piece, mm."""
    return tuple((x, y) for x, y in np.round(build.pieces[name].outline(), 6).tolist())


def _outlines(build: Build) -> list[Part]:
    made: list[Part] = [
        Path("outline", outline(build, name), closed=True) for name in SHOWN if name in build.pieces
    ]
    shell = build.tubes["shell"]
    return [
        *made,
        Arc("outline", (0.0, 0.0), shell.diameter / 2),
        Arc("outline", (0.0, 0.0), shell.diameter / 2 - shell.walls[0]),
    ]


def _axes(build: Build) -> list[Part]:
    made: list[Part] = []
    for name in SHOWN:
        if name not in build.pieces or name == "head_tube":
            continue
        piece = build.pieces[name]
        past = PAST / piece.length
        a, b = piece.start, piece.start + piece.length * piece.direction
        start, end = a + past * (a - b), b + past * (b - a)
        made.append(Stroke("axis", (start[0], start[1]), (end[0], end[1])))
    return made


def _fork(build: Build) -> list[Part]:
    """The steering axis, crown race seat, fork and offset, as lines."""
    own = build.frame
    p = {n: (float(x), float(y)) for n, (x, y) in own.points.items()}
    a = radians(own.head_angle_deg)
    up, front = (-cos(a), sin(a)), (sin(a), cos(a))
    top = _moved(p["head_high"], up, 40.0)
    foot = _moved(p["steer_foot"], up, -25.0)
    half = build.pieces["head_tube"].diameter / 2
    crown = [_moved(p["crown"], front, side * half) for side in (-1, 1)]
    return [
        Stroke("axis", foot, top),
        Stroke("point", crown[0], crown[1]),
        Stroke("axis", p["crown"], p["front_axle"]),
        Stroke("axis", p["steer_foot"], p["front_axle"]),
    ]


def _moved(point: Point, way: Point, by: float) -> Point:
    return point[0] + by * way[0], point[1] + by * way[1]


def _wheels(build: Build) -> list[Part]:
    own, p = build.frame, build.frame.points
    rear, front = ((float(x), float(y)) for x, y in (p["rear_axle"], p["front_axle"]))
    return [
        Arc("wheel", rear, float(own.rear_radius), *REAR_ARC),
        Arc("wheel", front, float(own.front_radius), *FRONT_ARC),
    ]


def _points(build: Build) -> list[Part]:
    made: list[Part] = []
    for name in ("bb", "rear_axle", "front_axle"):
        x, y = (float(v) for v in build.frame.points[name])
        made += [
            Stroke("point", (x - CROSS, y), (x + CROSS, y)),
            Stroke("point", (x, y - CROSS), (x, y + CROSS)),
            Arc("point", (x, y), CROSS / 2),
        ]
    return made
