"""Dimensions, names and title block of the full-size drawing, as a shop writes them."""

from __future__ import annotations

from itertools import product
from math import atan2, cos, degrees, radians, sin

import numpy as np

from coursekit.sheets import text
from coursekit.sheets.build import SAYS, Build, bought_as
from coursekit.sheets.scene import Angle, Gap, Part, Path, Point, Stroke, Words, apart

NAMED = ("seat_tube", "top_tube", "down_tube", "head_tube", "right_chainstay", "right_seatstay")
JOINTS = tuple(product(("top_tube", "down_tube"), ("head_tube", "seat_tube")))
BLOCK = (222.0, 108.0)  # width and height of the title block, mm
ROW = 8.0  # height of a row in it, mm


def parts(build: Build) -> list[Part]:
    """All marks, mm, in the frame's own place."""
    makers = (_lengths, _edges, _angles, _names, _joints, _block, _bars)
    return [part for make in makers for part in make(build)]


def _p(build: Build, name: str) -> Point:
    x, y = build.frame.points[name]
    return float(x), float(y)


def _ends(build: Build, name: str) -> tuple[Point, Point]:
    piece = build.pieces[name]
    far = piece.start + piece.length * piece.direction
    return (float(piece.start[0]), float(piece.start[1])), (float(far[0]), float(far[1]))


def _lengths(build: Build) -> list[Part]:
    p = {n: _p(build, n) for n in build.frame.points}
    rear, front, high, low = p["rear_axle"], p["front_axle"], p["head_high"], p["head_low"]
    top, down = _ends(build, "top_tube"), _ends(build, "down_tube")
    below = min(0.0, rear[1], front[1]) - 72.0
    stack = [Gap(p["crown"], low, -44.0)] if apart(p["crown"], low) > 4 else []
    return [
        *stack,
        Gap(rear, p["bb"], -34.0),
        Gap(p["bb"], front, -34.0),
        Gap(rear, front, below - rear[1], along=0.0),
        Gap(p["bb"], (rear[0], rear[1]), 30.0 - rear[0], along=90.0),
        Gap(low, high, -44.0),
        Gap(p["bb"], p["seat_top"], 64.0),
        Gap(top[0], top[1], 46.0),
        Gap(p["bb"], down[1], 46.0),
        Gap(p["crown"], front, 52.0),
        Gap(p["steer_foot"], front, -26.0),
        Gap(p["bb"], high, front[0] * -1.0 - 58.0, along=90.0),
        Gap(p["bb"], high, high[1] + 40.0, along=0.0),
    ]


def _edges(build: Build) -> list[Part]:
    """Where the tubes' edges meet the rear of the head tube, which is how tubes are laid."""
    a = radians(build.frame.head_angle_deg)
    up, front = np.array([-cos(a), sin(a)]), np.array([sin(a), cos(a)])
    rear = -build.pieces["head_tube"].diameter / 2 * front
    made: list[Part] = []
    for name, face, side in (("top_tube", "head_high", 1.0), ("down_tube", "head_low", -1.0)):
        piece = build.pieces[name]
        way = piece.direction[:2]
        left = np.array([-way[1], way[0]])
        edge = piece.start[:2] + side * piece.diameter / 2 * left
        corner = np.array(_p(build, face)) + rear
        along = np.linalg.solve(np.stack([up, -way], axis=1), edge - corner)[0]
        if abs(along) > 1:
            start, end = corner, corner + along * up
            made.append(Gap((start[0], start[1]), (end[0], end[1]), 16.0 if along > 0 else -16.0))
    return made


def _angles(build: Build) -> list[Part]:
    own = build.frame
    foot = _p(build, "steer_foot")
    seat, head = float(own.seat_angle_deg), float(own.head_angle_deg)
    return [
        Angle((0.0, 0.0), 150.0, 180.0 - seat, 180.0),
        Stroke("dimension", (-158.0, 0.0), (-26.0, 0.0)),
        Angle(foot, 96.0, 180.0 - head, 180.0),
        Stroke("dimension", (foot[0] - 104.0, foot[1]), foot),
    ]


def _names(build: Build) -> list[Part]:
    made: list[Part] = []
    for name in NAMED:
        if name not in build.pieces:
            continue
        start, end = _ends(build, name)
        turned = degrees(atan2(end[1] - start[1], end[0] - start[0]))
        turned = (turned + 89.5) % 180.0 - 89.5
        share = 0.56 if name in ("seat_tube", "down_tube") else 0.5
        at = (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        off = 2.6
        lean = radians(turned)
        at = at[0] - off * sin(lean), at[1] + off * cos(lean)
        made.append(Words(_said(build, name), at, 4.5, "middle", turned))
    return made


def _said(build: Build, name: str) -> str:
    tube = build.tubes[bought_as(name)]
    walls = dict.fromkeys(text.number(float(w)) for w in tube.walls)
    say = SAYS[name].split(",")[0]
    return f"{say} {text.number(tube.diameter)} × {'/'.join(walls)}"


def _joints(build: Build) -> list[Part]:
    """The angle of each joint in the main triangle and the swing of the mitering fixture for it."""
    sides = [build.pieces[n] for n in ("top_tube", "down_tube", "seat_tube")]
    middles = [p.start + p.length / 2 * p.direction for p in sides]
    centre = np.mean(middles, axis=0)[:2]
    made: list[Part] = []
    for cut, into in JOINTS:
        joint = build.frame.joints[f"{cut}-{into}"]
        at = joint.at[:2]
        inside = (centre - at) / np.linalg.norm(centre - at)
        far = 145.0 if into == "seat_tube" and cut == "down_tube" else 66.0
        x, y = (at + far * inside).tolist()
        angle = float(joint.angle_deg)
        made += [
            Words(f"{angle:.1f}°", (x, y), 6.0, "middle"),
            Words(f"swing {90 - angle:.1f}°", (x, y - 7.5), 4.5, "middle"),
        ]
    return made


def facts(build: Build) -> list[tuple[str, str]]:
    """What follows from the driving dimensions, as rows of words and numbers."""
    own, bench = build.frame, build.bench
    toe = float(own.toe_clearance(bench.crank, bench.foot))
    radius = f"{text.number(float(own.rear_radius))} / {text.number(float(own.front_radius))}"
    crank, foot = text.number(bench.crank), text.number(bench.foot)
    shell = build.tubes["shell"]
    rows = [
        ("trail", own.trail),
        ("stack", own.stack),
        ("reach", own.reach),
        ("level top tube", own.top_tube_level),
        ("bottom bracket above ground", own.bb_height),
    ]
    return [
        *((say, f"{float(value):.1f}") for say, value in rows),
        (f"toe to tyre, crank {crank}, foot {foot}", text.long_minus(f"{toe:.1f}")),
        ("wheel radius, rear / front", radius),
        ("shell, outside × length", f"{text.number(shell.diameter)} × {text.number(shell.length)}"),
    ]


def block_at(build: Build) -> Point:
    """Lower left corner of the title block: above the rear wheel, left of the seat tube."""
    rear, seat, high = (_p(build, n) for n in ("rear_axle", "seat_top", "head_high"))
    top = max(seat[1], high[1] + 52.0)
    floor = rear[1] + float(build.frame.rear_radius) + 14.0
    return rear[0] - 46.0, max(top - BLOCK[1], floor)


def _block(build: Build) -> list[Part]:
    x, y = block_at(build)
    right, top = x + BLOCK[0], y + BLOCK[1]
    whose = f"{text.clean(build.builder, 40)} · numbers {build.version}".removeprefix(" · ")
    made: list[Part] = [
        Path("sheet", ((x, y), (right, y), (right, top), (x, top)), closed=True),
        Words(text.clean(build.name, 44), (x + 4, top - 11.0), 6.0),
        Words(whose, (x + 4, top - 19.5), 4.0),
        Words("scale 1 : 1 · seen from the drive side", (x + 4, top - 27.5), 4.0),
        Words("mm and degrees, to the axes of the tubes", (x + 4, top - 35.0), 4.0),
    ]
    for k, (say, value) in enumerate(facts(build)):
        row = top - 41.0 - ROW * (k + 1)
        made.append(Stroke("dimension", (x, row + ROW), (right, row + ROW)))
        made.append(Words(say, (x + 4, row + 2.0), 4.2))
        made.append(Words(value, (right - 4, row + 2.0), 4.2, "end"))
    return made


def _bars(build: Build) -> list[Part]:
    """Check bars, 100 mm both ways, below the title block."""
    x, y = block_at(build)
    x, y = x + 6.0, y - 128.0
    made: list[Part] = []
    for level in (True, False):

        def at(u: float, v: float, level: bool = level) -> Point:
            return (x + u, y + v) if level else (x - v, y + u)

        made.append(Stroke("sheet", at(0, 0), at(100, 0)))
        for u in range(0, 101, 10):
            made.append(Stroke("sheet", at(u, 0), at(u, 3.0 if u % 50 == 0 else 1.8)))
    made.append(Words("100 mm both ways", (x + 12, y + 6), 4.5))
    return made
