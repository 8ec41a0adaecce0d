"""What the cards for the bench say of rear end and fork: to cut, to set, to tack, to check."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, degrees, hypot
from typing import Any

from coursekit import tacks
from coursekit.buildable import Bought, FrontFork, RearTriangle
from coursekit.rear import toe_in_deg
from coursekit.sheets import end_templates, end_words, text
from coursekit.sheets.build import Build
from coursekit.stays import CutStay

Row = tuple[str, float, str]


# ---- cut list ----


def to_cut(build: Build, name: str) -> tuple[CutStay, Bought | None]:
    """A tube of an end as it is cut, and as it is bought, where that is known."""
    cut, rear, front = end_words.tubes(build)[name], build.ends.rear, build.ends.front
    if name.endswith("_blade"):
        assert front is not None
        return cut, front.bought
    assert rear is not None
    return cut, rear.bought.get(name.split("_", 1)[1]) if "bridge" not in name else None


def cut_marks(cut: CutStay, bought: Bought) -> list[tuple[str, float]]:
    """What to mark along a bought tube, mm from its end a, in order: saws and bends."""
    low, high = bought.from_a, bought.length - max(0.0, bought.from_b(cut.finished))
    found = [("saw" if low > 0.05 else "end", low)]
    found.append(("saw" if bought.length - high > 0.05 else "end", high))
    for bend in cut.stay.line.bends:
        for at in (bend.at, bend.end):
            found.append(("bend", low + at - cut.a.long_point))
    return sorted(found, key=lambda one: one[1])


def cut_facts(build: Build, name: str) -> list[str]:
    """What the cutter must know of a tube of an end, as sentences."""
    cut, bought = to_cut(build, name)
    length = f"saw to the finished length, {cut.finished:.1f} mm"
    if bought is not None:
        length += f": {bought.from_a:.1f} mm off end a, "
        length += f"{max(0.0, bought.from_b(cut.finished)):.1f} mm off end b"
    facts = [length]
    if cut.a.meets:
        meets = " and ".join(end_words.said(m) for m in cut.a.meets)
        facts.append(f"end a: cut to {meets}, {cut.a.depth:.1f} mm from long to short point")
    if cut.b.meets:
        facts.append(f"end b: cut to {end_words.said(cut.b.meets[0])}, {cut.b.depth:.1f} mm deep")
    slots = end_templates.slots_of(build, cut)
    if slots:
        facts.append(f"end b: slot {slots[0][1]:.1f} mm wide and {slots[0][2]:.1f} mm deep")
    facts += [f"{said}: {how}" for said, how in end_words.bends(cut)]
    facts += [
        f"dimple {d.depth:.1f} mm deep, {d.length:.0f} mm long, its middle "
        f"{d.at - cut.a.long_point:.1f} mm from end a"
        for d in cut.stay.taper.dimples
    ]
    return facts


def size(cut: CutStay) -> str:
    """A tube's outside from end a to end b: "22.2 to 12.5", or one number."""
    ends = [cut.stay.taper.sizes(s) for s in (max(0.0, cut.a.long_point), cut.stay.length)]
    said = []
    for width, depth in ends:
        one = text.number(round(float(width), 1))
        round_one = abs(float(width) - float(depth)) < 0.05
        said.append(one if round_one else f"{one} by {text.number(round(float(depth), 1))}")
    return " to ".join(dict.fromkeys(said))


# ---- fixture ----


def settings(build: Build) -> list[Row]:
    """What the fixture must hold of rear end and fork: words, value, unit."""
    made: list[Row] = []
    if build.ends.rear is not None:
        made += _rear_settings(build.ends.rear)
    if build.ends.front is not None:
        made += _fork_settings(build.ends.front)
    return made


def _rear_settings(rear: RearTriangle) -> Iterator[Row]:
    plate = rear.end.dropout
    yield "dropouts, inner face to inner face", rear.end.spacing, "mm"
    yield "centre plane to each inner face", rear.end.spacing / 2, "mm"
    for which, cut in rear.right.items():
        start, end = (cut.stay.line.at(s).point for s in (0.0, cut.stay.length))
        turn = degrees(atan2(float(end[1] - start[1]), float(start[0] - end[0])))
        yield f"{which}s, end to end, from the level", abs(turn), "°"
        yield f"{which}s at the dropout, from the centre plane", toe_in_deg(cut.stay), "°"
    for name, one in rear.bridges.items():
        at, axle = one.cut.stay.line.start, rear.end.axle
        far = hypot(float(at[0]) - axle[0], float(at[1]) - axle[1])
        yield f"axle to the middle of the {name.replace('_', ' ')}, straight", far, "mm"
    if plate.hanger is not None:
        yield "axle to the hanger’s hole", plate.hanger_length, "mm"


def _fork_settings(front: FrontFork) -> Iterator[Row]:
    own = front.fork
    yield "fork: crown race seat down to the axle’s level", float(own.axle_drop), "mm"
    yield "fork: axle ahead of the steering axis", float(own.fork_offset), "mm"
    yield "fork dropouts, inner face to inner face", float(own.dropout.spacing), "mm"
    yield "fork blades at the crown, axis to axis", float(own.crown.spread), "mm"
    yield "fork blades lean out, each", float(own.splay_deg), "°"


# ---- tacks ----


def joints(build: Build) -> list[dict[str, str]]:
    """The joints of rear end and fork in the order of tacking, with what a tilt does far off."""
    return [
        {"say": say, "free": f"{float(tacks.tip_offset(0.1, length)):.1f}"}
        for say, length in (*_rear_joints(build.ends.rear), *_fork_joints(build.ends.front))
    ]


def _rear_joints(rear: RearTriangle | None) -> Iterator[tuple[str, float]]:
    if rear is None:
        return
    pair = rear.seatstays
    if pair.mono is not None:
        yield "mono-tube to seat tube", pair.mono.stay.length
    for which, to in (("chainstay", "shell"), ("seatstay", "")):
        cut = rear.right[which]
        to = to or ("seat tube" if pair.mono is None else "mono-tube")
        for side in ("drive side", "non-drive side"):
            yield f"{which}, {side}, to dropout", cut.stay.length
        for side in ("drive side", "non-drive side"):
            yield f"{which}, {side}, to {to}", cut.stay.length
    for name, one in rear.bridges.items():
        yield f"{name.replace('_', ' ')}, both ends", one.length


def _fork_joints(front: FrontFork | None) -> Iterator[tuple[str, float]]:
    if front is None:
        return
    length, to = float(front.right.stay.length), "steerer" if front.shoulder else "crown"
    if not front.shoulder:
        yield "steerer to crown", length
    for side in ("drive side", "non-drive side"):
        yield f"fork blade, {side}, to {to}", length
    for side in ("drive side", "non-drive side"):
        yield f"fork dropout, {side}, to blade", length


# ---- alignment ----


def alignment(build: Build) -> dict[str, Any]:
    """What is checked at dropouts, wheel, hanger and fork, and what each should be."""
    made: dict[str, Any] = {}
    rear, front = build.ends.rear, build.ends.front
    if rear is not None:
        plate = rear.end.dropout
        made["rear"] = [
            ["dropouts’ faces, in front of the axle", _mm(rear.end.spacing)],
            ["dropouts’ faces, behind the axle", _mm(rear.end.spacing)],
            ["dropouts’ faces, above less below the axle", "0 mm"],
            ["axle, both ends level against the shell’s faces", "0 mm"],
            ["rim to chainstay, drive side less other", "0 mm"],
            ["rim to seatstay, drive side less other", "0 mm"],
        ]
        if plate.hanger is not None:
            made["rear"] += [
                ["hanger to rim, above less below", "0 mm"],
                ["hanger to rim, in front less behind", "0 mm"],
            ]
    if front is not None:
        made["fork"] = _fork_checks(front)
    return made


def _fork_checks(front: FrontFork) -> list[list[str]]:
    own = front.fork
    return [
        ["axle ahead of the steering axis, on its back and front", _mm(float(own.fork_offset))],
        ["seat to axle, drive side and other", _mm(float(own.axle_drop))],
        ["dropouts’ middle off the steering axis", "0 mm"],
        ["dropouts, inner face to inner face", _mm(float(own.dropout.spacing))],
        ["blades in one plane, on the plate", "0°"],
        ["rim to blade, drive side less other", "0 mm"],
    ]


def _mm(value: float) -> str:
    return f"{value:.1f} mm"
