"""Every number of one frame under a name of its own: what exercises, lessons and cards read.

A name is a path from the part to what is asked of it: `seat_angle_deg`, `down_tube.diameter`,
`down_tube.axis`, `down_tube.head_tube.angle_deg`.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator

import numpy as np

from coursekit import fixture, frame, skeleton
from coursekit.frame import TubeAxis
from coursekit.pieces import End, Piece, Trimmed
from coursekit.sheets import loaded
from coursekit.sheets.build import Build, bought_as
from coursekit.sheets.reference_mark import mark_at

Facts = dict[str, float]

_DRAWN = ("trail", "mechanical_trail", "wheel_flop", "bb_height", "wheelbase", "stack", "reach")
_FIXTURE = ("rear_back", "rear_up", "head_ahead", "low_face", "high_face", "axle_along")
_DIGITS = {"sleeve.plug": 2, "sleeve.bore": 2, "sleeve.gap": 3}
_BENCH = ("heat_margin", "rail", "cone_deg", "crank", "foot", "tack_hold", "spacing")


class NoFactError(KeyError):
    """A name that no number of the frame has; the message names the nearest."""

    def __str__(self) -> str:
        """Return the message without the quotes of a KeyError."""
        return str(self.args[0])


def facts(build: Build) -> Facts:
    """Return name → value of every number of a frame, mm and degrees.

    The drawing's: its dimensions (`frame.DIMENSIONS`), `trail`, `wheelbase` and the like. The
    fixture's scales (`fixture.settings`): `fixture.rear_back` and others, over the bench's rail.

    A tube's, as bought: `.diameter`, `.bore_a`, `.wall_a`, `.wall_belly`, `.wall_b`, `.butt_a`,
    `.taper_a`, `.belly`, `.taper_b`, `.butt_b`, `.length`. As cut: `.axis` (from crossing to
    crossing of the axes), `.finished` (the shortest tube it comes out of), `.off_a`, `.off_b`
    (what is sawn off each end). From the crossing of the axes: `.thick_a`, `.thick_b` (where the
    full wall of a butt ends), `.thin_a`, `.thin_b` (where the belly begins), `.mark_from_a`,
    `.mark_from_b` (the template's reference mark). From end a of the bought tube: `.mark_a`,
    `.mark_b` (both reference marks).

    Where tubes lie, as a frame file says it: `top_tube.below_head_top`, `top_tube.below_seat_top`,
    `down_tube.above_head_bottom`, `.apart_at_shell` and `.apart_at_axle` of the stays. The shell's
    `shell.faced`, as bought where it isn't faced. `seat_tube.to_top_tube`, from the shell's axis up
    the seat tube's front. Along a string from the rear axle to the middle of the head tube, in side
    view: `string.to_seat_tube` and `string.to_head_tube`, to the axes of both.

    For each 100 N that push the front axle back, of the down tube: `pushed.head_bending` and, the
    other way round, `pushed.shell_bending` (N·m, at the axes), `pushed.push` (N). From the front
    axle up to its joint on the head tube: `pushed.height`. A frame without stays has none of these.

    A joint's, under the cut tube and the tube it meets: `.angle_deg`, `.offset`, and from the
    crossing of the axes `.long_point` and `.short_point`.

    The sleeve's: `sleeve.plug`, `sleeve.bore`, `sleeve.lap`, `sleeve.outside` (0 for one that goes
    into the tube) and `sleeve.gap`, on each side. The seat post's: `post.diameter`,
    `post.insertion`. The bench's: `bench.rail` and others.

    Raises
    ------
    ValueError
        With the tube's name, where a tube can't be cut out of the bought one.
    """
    found = dict(_all(build))
    return {name: float(value) for name, value in found.items()}


def fact(known: Facts, name: str) -> float:
    """Return the number of that name.

    Raises
    ------
    NoFactError
        "The frame must have a number of that name; got 'down_tube.diametre'. Did you mean
        down_tube.diameter?"
    """
    if name not in known:
        near = difflib.get_close_matches(name, known, 1)
        cure = f"Did you mean {near[0]}?" if near else "See the names of `facts`."
        raise NoFactError(f"The frame must have a number of that name; got {name!r}. {cure}")
    return known[name]


def given(known: Facts, name: str) -> float:
    """Return the number of that name as it is given to a student, wherever it is given.

    Lengths and angles to 0.1, walls and the sleeve's fit to 0.01, its gap a side to 0.001: what a
    bench can hold. Refused as by `fact`.

    Examples
    --------
    >>> given({"down_tube.axis": 627.0942, "down_tube.wall_a": 0.889}, "down_tube.axis")
    627.1
    """
    two = ".wall_" in name or name.endswith("_bending")
    return round(fact(known, name), _DIGITS.get(name, 2 if two else 1)) + 0.0


def _all(build: Build) -> Iterator[tuple[str, float]]:
    for name in dict.fromkeys((*frame.DIMENSIONS, *_DRAWN)):
        yield name, getattr(build.frame, "front_radius" if name == "wheel_radius" else name)
    settings = fixture.settings(build.frame, build.bench.rail)
    for part in _FIXTURE:
        yield f"fixture.{part}", getattr(settings, part)
    yield from _laid(build)
    yield from _string(build)
    yield from _pushed(build)
    for name, tube in build.tubes.items():
        yield f"{name}.diameter", tube.diameter
        yield f"{name}.bore_a", tube.diameter - 2 * tube.walls[0]
        yield f"{name}.bore_b", tube.diameter - 2 * tube.walls[2]
        yield f"{name}.length", tube.length
        for place, wall in zip(("a", "belly", "b"), tube.walls, strict=True):
            yield f"{name}.wall_{place}", wall
        places = ("butt_a", "taper_a", "belly", "taper_b", "butt_b")
        for place, length in zip(places, tube.lengths, strict=True):
            yield f"{name}.{place}", length
    for name, piece in build.pieces.items():
        if name.startswith("left_"):
            continue  # its mirror image has the same numbers
        yield from _cut(build, name, piece)
    if build.sleeve is not None:
        for part in ("plug", "bore", "lap", "outside"):
            yield f"sleeve.{part}", getattr(build.sleeve, part)
        yield "sleeve.gap", (build.sleeve.bore - build.sleeve.plug) / 2
    if build.fitted.post is not None:
        yield "post.diameter", build.fitted.post.diameter
        yield "post.insertion", build.fitted.post.insertion
    for part in _BENCH:
        yield f"bench.{part}", getattr(build.bench, part)


def _cut(build: Build, name: str, piece: Piece) -> Iterator[tuple[str, float]]:
    short, trimmed = bought_as(name), build.trimmed[name]
    yield f"{short}.axis", piece.length
    yield f"{short}.finished", piece.finished
    yield f"{short}.off_a", trimmed.plan.from_a
    yield f"{short}.off_b", trimmed.plan.from_b
    yield from _marks(short, trimmed)
    for end in (piece.a, piece.b):
        yield from _joint(short, end)


def _marks(name: str, cut: Trimmed) -> Iterator[tuple[str, float]]:
    """What lies along a bought tube, from its crossings of axes and from its end a."""
    first, last = cut.crossing("a"), cut.crossing("b")
    butt_a, taper_a, _, taper_b, butt_b = cut.bought.lengths
    if butt_a and butt_b:
        yield f"{name}.thick_a", butt_a - first
        yield f"{name}.thick_b", last - (cut.bought.length - butt_b)
        yield f"{name}.thin_a", butt_a + taper_a - first
        yield f"{name}.thin_b", last - (cut.bought.length - butt_b - taper_b)
    for end, crossing, away in (("a", first, 1.0), ("b", last, -1.0)):
        if cut.piece.end(end).joints:
            back = mark_at(cut, end)
            yield f"{name}.mark_from_{end}", back
            yield f"{name}.mark_{end}", crossing + away * back


def _laid(build: Build) -> Iterator[tuple[str, float]]:
    """How the tubes lie, by the edges and distances that a frame file gives."""
    placed = build.frame.tubes
    assert placed is not None
    axes, bought = placed.axes, build.tubes["shell"]
    top, down, head, seat = (axes[n] for n in ("top_tube", "down_tube", "head_tube", "seat_tube"))
    yield "top_tube.below_head_top", head.length - _edges_meet(top, 1, head, 1)
    yield "top_tube.below_seat_top", seat.length - _edges_meet(top, 1, seat, -1)
    yield "seat_tube.to_top_tube", _edges_meet(top, -1, seat, -1)
    yield "down_tube.above_head_bottom", _edges_meet(down, -1, head, 1)
    for name, end in (("chainstay", "shell"), ("seatstay", "seat_tube")):
        if f"right_{name}" in axes:
            stay = axes[f"right_{name}"]
            yield f"{name}.apart_at_{end}", 2 * stay.start[2]
            yield f"{name}.apart_at_axle", 2 * stay.end[2]
    faced = build.fitted.faced
    yield "shell.faced", bought.length if faced is None else faced


def _pushed(build: Build) -> Iterator[tuple[str, float]]:
    """What `statics` finds in the down tube when 100 N push the front axle back."""
    if not {"chainstay", "seatstay"} <= build.tubes.keys():
        return
    made = loaded.under(build, skeleton.front_hit(-100.0))
    pull, bending = made.inner("down_tube", [0.0, made.length("down_tube")])
    yield "pushed.height", float(made.nodes["head_down_tube"][1] - made.nodes["front_axle"][1])
    yield "pushed.head_bending", float(bending[0])
    yield "pushed.shell_bending", -float(bending[1])
    yield "pushed.push", -float(pull[0])


def _string(build: Build) -> Iterator[tuple[str, float]]:
    """How far it is from the rear axle to seat tube and head tube, along a string, in side view."""
    places = {name: np.array(xy, float) for name, xy in build.frame.points.items()}
    axle, post = places["rear_axle"], places["seat_top"] - places["bb"]
    whole = (places["head_low"] + places["head_high"]) / 2 - axle
    share = np.linalg.solve(np.column_stack([whole, -post]), places["bb"] - axle)[0]
    yield "string.to_seat_tube", float(share * np.linalg.norm(whole))
    yield "string.to_head_tube", float(np.linalg.norm(whole))


def _edges_meet(tube: TubeAxis, upper: int, upright: TubeAxis, rear: int) -> float:
    """How far up an upright tube one of its edges meets an edge of another tube, mm, in the plane.

    `upper` and `rear` are 1 for that edge, −1 for the other one.
    """
    along, up = tube.direction[:2], upright.direction[:2]
    aside, behind = np.array([-along[1], along[0]]), np.array([-up[1], up[0]])
    edge = tube.start[:2] + upper * tube.diameter / 2 * aside
    foot = upright.start[:2] + rear * upright.diameter / 2 * behind
    return float(np.linalg.solve(np.column_stack([up, -along]), edge - foot)[0])


def _joint(name: str, end: End) -> Iterator[tuple[str, float]]:
    for met, joint in zip(end.meets, end.joints, strict=True):
        into = f"{name}.{bought_as(met)}"
        yield f"{into}.angle_deg", joint.angle_deg
        yield f"{into}.offset", joint.offset
    if end.meets:
        into = f"{name}.{bought_as(end.meets[0])}"
        yield f"{into}.long_point", end.long_point
        yield f"{into}.short_point", end.short_point
