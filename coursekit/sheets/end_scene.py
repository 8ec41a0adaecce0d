"""The full-size drawing of rear end and fork: stays in place, the plan, the fork in two views."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import atan2, cos, degrees, radians, sin

import numpy as np

from coursekit.buildable import FrontFork, RearTriangle
from coursekit.rear import Chainring, Crank, Tyre, plan_view
from coursekit.sections import Array
from coursekit.sheets import text
from coursekit.sheets.build import Build
from coursekit.sheets.end_shapes import FRONT, SIDE, axis, points, seen
from coursekit.sheets.scene import Arc, Gap, Part, Path, Point, Stroke, Words, bounds

APART = 60.0  # mm between the frame and the views below it
UNDER = {"tyre": "wheel", "chainring": "wheel", "right_crank": "wheel", "left_crank": "wheel"}
CROSS = 6.0  # half length of the cross at a point, mm
HOLE = 10.0  # mm, thread of a hanger; common practice, no source


def in_place(build: Build) -> list[Part]:
    """What belongs in the side view of the frame: stays, dropouts' axle, blades of the fork."""
    made: list[Part] = []
    if (rear := build.ends.rear) is not None:
        shown = [cut for n, cut in rear.tubes.items() if not n.startswith("left_")]
        made += [
            Path("outline", seen(c, SIDE), closed=True)
            for c in shown
            if "bridge" not in c.stay.name
        ]
        made += [Path("axis", axis(c, SIDE)) for c in shown if "bridge" not in c.stay.name]
        made += _bridge_ends(rear)
        made += _tabs(rear)
        made += _names(build, rear)
    if (front := build.ends.front) is not None:
        turn = _into_frame(build)
        made.append(Path("outline", turn(seen(front.right, SIDE)), closed=True))
        made.append(Path("axis", turn(axis(front.right, SIDE))))
    return made


def _bridge_ends(rear: RearTriangle) -> list[Part]:
    made: list[Part] = []
    for one in rear.bridges.values():
        at, size = one.cut.stay.line.start, float(one.cut.stay.taper.widths[0])
        made.append(Arc("outline", (float(at[0]), float(at[1])), size / 2))
    return made


def _tabs(rear: RearTriangle) -> list[Part]:
    """The dropout by what is known of it: its two tabs, and the hanger with its hole."""
    (x, y), plate = rear.end.axle, rear.end.dropout
    made: list[Part] = []
    for tab in (plate.chainstay, plate.seatstay):
        turn = radians(tab.angle_deg)
        tip = (x + tab.length * cos(turn), y + tab.length * sin(turn))
        made.append(Stroke("point", (x, y), tip))
    if plate.hanger is not None:
        hole = (x + plate.hanger[0], y + plate.hanger[1])
        made += [Stroke("point", (x, y), hole), Arc("outline", hole, HOLE / 2)]
    return made


def _names(build: Build, rear: RearTriangle) -> list[Part]:
    made: list[Part] = []
    for name, cut in rear.right.items():
        tube = build.tubes[name]
        way = axis(cut, SIDE)
        (x, y), (u, v) = way[0], way[-1]
        lean = (degrees(atan2(v - y, u - x)) + 89.5) % 180.0 - 89.5
        off = 3.0 + float(cut.stay.taper.sizes(cut.stay.length / 2)[1]) / 2
        at = (
            x + 0.55 * (u - x) - off * sin(radians(lean)),
            y + 0.55 * (v - y) + off * cos(radians(lean)),
        )
        walls = "/".join(dict.fromkeys(text.number(float(w)) for w in tube.walls))
        said = f"{name} {text.number(tube.diameter)} × {walls}"
        made.append(Words(said, at, 4.5, "middle", lean))
    return made


def _into_frame(build: Build) -> Callable[[Iterable[Point]], tuple[Point, ...]]:
    """From a fork that stands upright to its place in the frame's side view."""
    a = radians(build.frame.head_angle_deg)
    x0, y0 = (float(v) for v in build.frame.points["crown"])

    def turn(many: Iterable[Point]) -> tuple[Point, ...]:
        return tuple((x0 + x * sin(a) - y * cos(a), y0 + x * cos(a) + y * sin(a)) for x, y in many)

    return turn


def below(build: Build, frame_parts: Iterable[Part]) -> list[Part]:
    """The plan of the rear end and the two views of the fork, below the frame."""
    floor = bounds(frame_parts)[1] - APART
    made: list[Part] = []
    if build.ends.rear is not None:
        made += _moved(_plan(build, build.ends.rear), (0.0, floor - 130.0))
    if build.ends.front is not None:
        made += _moved(_fork(build, build.ends.front), (190.0, floor - 30.0))
    return made


def _moved(parts: Iterable[Part], by: Point) -> list[Part]:
    dx, dy = by

    def at(p: Point) -> Point:
        return p[0] + dx, p[1] + dy

    made: list[Part] = []
    for one in parts:
        if isinstance(one, Path):
            made.append(Path(one.layer, tuple(at(p) for p in one.points), one.closed))
        elif isinstance(one, Stroke):
            made.append(Stroke(one.layer, at(one.start), at(one.end)))
        elif isinstance(one, Arc):
            made.append(Arc(one.layer, at(one.centre), one.radius, one.start_deg, one.end_deg))
        elif isinstance(one, Gap):
            made.append(Gap(at(one.start), at(one.end), one.off, one.along))
        elif isinstance(one, Words):
            args = (one.height, one.anchor, one.turned_deg, one.layer)
            made.append(Words(one.text, at(one.at), *args))
    return made


# ---- the rear end in plan ----


def _plan(build: Build, rear: RearTriangle) -> list[Part]:
    """Seen from above, forward to the right: the drive side lies below."""
    fit = build.fitted
    radius = float(build.frame.rear_radius)
    tyre = None if fit.tyre is None else Tyre(rear.end.axle, radius, fit.tyre, build.ends.knobs)
    ring = None if fit.ring is None else Chainring(int(fit.ring.teeth), fit.ring.chainline)
    lower = {n: c for n, c in rear.tubes.items() if "seatstay" not in n and n != "mono_tube"}
    cranks = {} if rear.crank is None else _both(rear.crank)
    view = plan_view(lower, rear.end, tyre, ring, cranks)
    made: list[Part] = []
    for name, many in view.outlines.items():
        many = _clipped(many, -rear.end.axle[0]) if name == "tyre" else many
        made.append(Path(UNDER.get(name, "outline"), points(many * [1, -1]), closed=True))
    made += [Path("axis", points(many * [1, -1])) for many in view.lines.values()]
    made += _shell(build)
    made += _dropouts(rear)
    made += _plan_sizes(build, rear)
    return made


def _both(crank: Crank) -> dict[str, Crank]:
    left = Crank(crank.length, crank.inside_at_bb, crank.inside_at_pedal, crank.tip, "left")
    return {"right_crank": crank, "left_crank": left}


def _clipped(many: Array, behind: float) -> Array:
    """The front half of a tyre's outline: the rear half shows nothing of the frame."""
    return np.array([[max(x, -behind), z] for x, z in many])


def _shell(build: Build) -> list[Part]:
    shell, faced = build.tubes["shell"], build.fitted.faced
    half, out = float(shell.diameter) / 2, (faced or float(shell.length)) / 2
    corners = ((-half, -out), (half, -out), (half, out), (-half, out))
    return [Path("outline", corners, closed=True)]


def _dropouts(rear: RearTriangle) -> list[Part]:
    """Both plates from above: as thick as they are, as long as the chainstay's tab."""
    x, plate = rear.end.axle[0], rear.end.dropout
    near, far = rear.end.spacing / 2, rear.end.spacing / 2 + plate.thickness
    long = plate.chainstay.length * cos(radians(plate.chainstay.angle_deg))
    made: list[Part] = []
    for hand in (1.0, -1.0):
        corners = ((x - 14, hand * near), (x + long, hand * near), (x + long, hand * far))
        made.append(Path("outline", (*corners, (x - 14, hand * far)), closed=True))
    return made


def _plan_sizes(build: Build, rear: RearTriangle) -> list[Part]:
    x, half = rear.end.axle[0], rear.end.spacing / 2
    made: list[Part] = [Gap((x, -half), (x, half), 34.0, along=90.0)]
    start = rear.chainstay.stay.line.at(0.0).point
    apart = float(start[2])
    made.append(Gap((float(start[0]), -apart), (float(start[0]), apart), -46.0, along=90.0))
    if build.fitted.ring is not None:
        line = build.fitted.ring.chainline
        made.append(Gap((0.0, -line), (0.0, 0.0), -78.0, along=90.0))
        made.append(Words("chainline", (84.0, -line - 8.0), 4.5))
    made.append(Gap((x, -half), (0.0, -half), -40.0, along=0.0))
    for name, one in rear.bridges.items():
        if name == "chainstay_bridge":
            at = one.cut.stay.line.start
            made.append(Gap((x, half), (float(at[0]), half), 22.0, along=0.0))
    made.append(Words("Rear end from above, forward to the right, scale 1 : 1", (x, 118.0), 6.0))
    made.append(Words("drive side", (x + 120.0, -half - 26.0), 4.5))
    return made


# ---- the fork in two views ----


def _fork(build: Build, front: FrontFork) -> list[Part]:
    """Standing upright: from the drive side on the left, from the front on the right."""
    side = _fork_side(build, front)
    right = bounds(side)[2]
    from_front = _fork_front(build, front)
    left = bounds(from_front)[0]
    shift = right - left + 40.0
    words = "Fork from the drive side and from the front, steering axis upright, scale 1 : 1"
    title: list[Part] = [Words(words, (-40.0, 44.0), 6.0)]
    return [*title, *side, *_moved(from_front, (shift, 0.0))]


def _fork_side(build: Build, front: FrontFork) -> list[Part]:
    own = front.fork
    ahead, down = float(own.fork_offset), float(own.axle_drop)
    made: list[Part] = [
        Path("outline", seen(front.right, SIDE), closed=True),
        Path("axis", axis(front.right, SIDE)),
        Stroke("axis", (0.0, 26.0), (0.0, -down - 24.0)),
        *_crossed((ahead, -down)),
        Gap((0.0, -down), (ahead, -down), -30.0, along=0.0),
        Gap((ahead, 0.0), (ahead, -down), ahead + 46.0, along=90.0),
        Gap((0.0, 0.0), (ahead, -down), -64.0),
        *_steerer(front),
        *_crown(front, front.depth),
    ]
    if build.fitted.tyre is not None:
        radius = float(build.frame.front_radius)
        made.append(Arc("wheel", (ahead, -down), radius, 74.0, 112.0))
    return made


def _fork_front(build: Build, front: FrontFork) -> list[Part]:
    own = front.fork
    down, half = float(own.axle_drop), float(own.dropout.spacing) / 2
    made: list[Part] = []
    for cut in front.tubes.values():
        made.append(Path("outline", seen(cut, FRONT), closed=True))
        made.append(Path("axis", axis(cut, FRONT)))
    top = float(own.points["socket"][1])
    spread = float(own.crown.spread) / 2
    made += [
        Stroke("axis", (0.0, 26.0), (0.0, -down - 24.0)),
        Stroke("axis", (-half, -down), (half, -down)),
        Gap((-half, -down), (half, -down), -30.0, along=0.0),
        Gap((-spread, -top), (spread, -top), top + 18.0, along=0.0),
        *_steerer(front),
        *_crown(front, 2 * spread + float(front.blade.width_at(0.0))),
        *_plates(front),
        *_wheel_front(build, front),
        Words("drive side", (-half - 14.0, -down + 40.0), 4.5, "end"),
    ]
    return made


def _wheel_front(build: Build, front: FrontFork) -> list[Part]:
    """The upper part of the tyre, from the front."""
    if build.fitted.tyre is None:
        return []
    half, radius = build.fitted.tyre / 2 + build.ends.knobs, float(build.frame.front_radius)
    middle = -float(front.fork.axle_drop) + radius - build.fitted.tyre / 2
    turn = np.linspace(0.0, np.pi, 61)
    top = [(half * np.cos(t), middle + half * np.sin(t)) for t in turn]
    low = middle - 60.0
    ends = [(half, low), *top, (-half, low)]
    return [Path("wheel", points(np.array(ends)))]


def _plates(front: FrontFork) -> list[Part]:
    own = front.fork
    plate, splay = own.dropout, radians(float(own.splay_deg))
    _, down, side = (float(v) for v in own.points["axle"])
    way = np.array([-sin(splay), cos(splay)])  # from the axle up the plate, on the drive side
    out = np.array([cos(splay), sin(splay)]) * float(plate.thickness) / 2
    long = float(plate.plate)
    made: list[Part] = []
    middle = np.array([side, -down])
    corners = [middle - 10 * way - out, middle - 10 * way + out]
    corners += [middle + long * way + out, middle + long * way - out]
    for hand in (1.0, -1.0):
        made.append(Path("outline", points(np.array(corners) * [hand, 1.0]), closed=True))
    return made


def _steerer(front: FrontFork) -> list[Part]:
    half = 12.7 if front.steerer is None else front.steerer.diameter / 2
    low = -front.crossing - 20.0 if front.shoulder is not None else 0.0
    return [
        Stroke("outline", (-half, low), (-half, 26.0)),
        Stroke("outline", (half, low), (half, 26.0)),
        Stroke("point", (-half - 8.0, 0.0), (half + 8.0, 0.0)),
    ]


def _crown(front: FrontFork, wide: float) -> list[Part]:
    if front.shoulder is not None:
        return []
    under, half = front.underside, wide / 2
    corners = ((-half, 0.0), (half, 0.0), (half, -under), (-half, -under))
    return [Path("outline", corners, closed=True)]


def _crossed(at: Point) -> list[Part]:
    x, y = at
    return [
        Stroke("point", (x - CROSS, y), (x + CROSS, y)),
        Stroke("point", (x, y - CROSS), (x, y + CROSS)),
        Arc("point", at, CROSS / 2),
    ]
