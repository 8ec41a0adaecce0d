"""The cut list: every tube as bought, to scale, with its butts and where to saw and mark it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from coursekit import butts, sleeves
from coursekit.buildable import Bought
from coursekit.pieces import Trimmed
from coursekit.sheets import end_cards, end_words, text
from coursekit.sheets.build import SAYS, Build
from coursekit.sheets.reference_mark import mark_at
from coursekit.stays import CutStay

WIDE = 178.0  # mm of paper for the longest tube
SCALES = (2.0, 2.5, 4.0, 5.0, 10.0, 20.0)
THICK = 6.0  # how much thicker than to scale the wall is drawn
OUTSIDE = 61  # places along a tapered tube at which its outside is drawn
APART = 11.0  # mm of paper that a number takes along the bar


def part(build: Build) -> dict[str, Any]:
    """Page data of the cut list, for `bench.pdf`."""
    longest = max(
        [float(c.bought.length) for c in build.trimmed.values()]
        + [b.length for _, b in _ends(build).values() if b is not None]
    )
    scale = next((s for s in SCALES if longest / s <= WIDE), longest / WIDE)
    return {
        "kind": "cut-list",
        "scale": text.number(round(scale, 2)),
        "tubes": [
            _tube(build, name, cut, scale)
            for name, cut in build.trimmed.items()
            if not name.startswith("left_")  # its mirror image has the same lengths
        ]
        + [_end_tube(build, name, scale) for name in _ends(build)],
        "outsides": bool(_ends(build)),
        **_steerer(build),
        "shell": _shell(build),
        "sleeve": _sleeve(build),
        "sleeve_at": "over" if build.sleeve is not None and build.sleeve.outside else "in",
        "reserve": text.number(butts.RESERVE),
    }


def _ends(build: Build) -> dict[str, tuple[CutStay, Bought | None]]:
    """The tubes of rear end and fork, one of each pair."""
    names = [n for n in end_words.tubes(build) if not n.startswith("left_")]
    return {n: end_cards.to_cut(build, n) for n in names}


def _end_tube(build: Build, name: str, scale: float) -> dict[str, Any]:
    """A stay, a bridge or a blade: its outside to scale, because it tapers, and its wall not."""
    cut, bought = _ends(build)[name]
    whole = bought or Bought(cut.finished, 1.0)
    low = whole.from_a - cut.a.long_point
    x = np.linspace(0.0, whole.length, OUTSIDE)
    deep = np.asarray(cut.stay.taper.sizes(x - low)[1])
    high = max(7.0, float(deep.max()) / scale)
    half = deep / float(deep.max()) * high / 2
    edge = [[float(u) / scale, high / 2 - float(v)] for u, v in zip(x, half, strict=True)]
    other = [[u, high - v] for u, v in edge]
    one_each = ", one each side" if name.startswith("right_") else ""
    rear = build.ends.rear
    thick = bought.wall if bought else rear.walls.get(name) if rear else None
    wall = f" × {text.number(thick)}" if thick else ""
    length = f", bought {text.number(whole.length)} long" if bought else ""
    return {
        "say": end_words.said(name).split(",")[0] + one_each,
        "tube": f"{end_cards.size(cut)}{wall}{length}",
        "wide": whole.length / scale,
        "high": high,
        "wall": [
            [*edge, [edge[-1][0], 0.0], [0.0, 0.0]],
            [*other, [edge[-1][0], high], [0.0, high]],
        ],
        "off": [
            whole.from_a / scale,
            (whole.length - max(0.0, whole.from_b(cut.finished))) / scale,
        ],
        "marks": _levels(end_cards.cut_marks(cut, whole), scale),
        "facts": end_cards.cut_facts(build, name),
        "outside": True,
    }


def _steerer(build: Build) -> dict[str, str]:
    """The steerer's row, where the file tells of one."""
    own = build.ends.front.steerer if build.ends.front else None
    if own is None:
        return {}
    tube = f"{text.number(own.diameter)} × {text.number(own.wall)}"
    said = f"{tube}, bought {text.number(own.length)} mm long; {own.needed:.1f} mm are needed. "
    return {"steerer": said + "It is cut last, with bearings and stem on the bench."}


def _tube(build: Build, name: str, cut: Trimmed, scale: float) -> dict[str, Any]:
    length = float(cut.bought.length)
    high = max(7.0, float(cut.bought.diameter) / scale)
    walls = "/".join(text.number(float(w)) for w in dict.fromkeys(cut.bought.walls))
    size = f"{text.number(float(cut.bought.diameter))} × {walls}"
    return {
        "say": SAYS[name].replace(", drive side", ", one each side"),
        "tube": f"{size}, bought {text.number(length)} long",
        "wide": length / scale,
        "high": high,
        "wall": _wall(cut, scale, high),
        "off": [float(cut.plan.from_a) / scale, (length - float(cut.plan.from_b)) / scale],
        "marks": _levels(marks(cut), scale),
        "facts": _facts(build, name, cut),
    }


def marks(cut: Trimmed) -> list[tuple[str, float]]:
    """What to mark along a bought tube, mm from its end a, in order.

    "saw" is where the saw goes through, "end" where the tube keeps its end; "mark a" and "mark b"
    are where the templates' reference marks lie; at "butt" and "taper" the full wall and the belly
    end.
    """
    length = float(cut.bought.length)
    off_a, off_b = float(cut.plan.from_a), float(cut.plan.from_b)
    found = [
        ("saw" if off_a > 0.05 else "end", off_a),
        ("saw" if off_b > 0.05 else "end", length - off_b),
    ]
    found += [(f"mark {e}", _mark(cut, e)) for e in "ab" if cut.piece.end(e).joints]
    names = ("butt", "taper", "taper", "butt")
    ends = cut.bought.walls[0] != cut.bought.walls[1], cut.bought.walls[2] != cut.bought.walls[1]
    for k, place in enumerate(cut.bought.marks):
        if ends[k // 2]:
            found.append((names[k], float(place)))
    return sorted(found, key=lambda m: m[1])


def _mark(cut: Trimmed, end: str) -> float:
    away = 1.0 if end == "a" else -1.0
    return cut.crossing(end) + away * mark_at(cut, end)


def _wall(cut: Trimmed, scale: float, high: float) -> list[list[list[float]]]:
    """The wall above and below as closed outlines, along to scale, thickness many times that."""
    edges = [0.0, *(float(m) for m in cut.bought.marks), float(cut.bought.length)]
    walls = [cut.bought.walls[i] for i in (0, 0, 1, 1, 2, 2)]
    most = max(walls)
    inner = [
        [x / scale, min(THICK * float(w) / 4, 0.42 * high * float(w) / most)]
        for x, w in zip(edges, walls, strict=True)
    ]
    upper = [[0.0, 0.0], *inner, [edges[-1] / scale, 0.0]]
    return [upper, [[x, high - y] for x, y in upper]]


def _levels(found: Sequence[tuple[str, float]], scale: float) -> list[dict[str, Any]]:
    """Each mark with a level for its number, so that no two numbers stand in each other's way."""
    last: dict[int, float] = {}
    made = []
    for what, at in found:
        x = at / scale
        level = next(n for n in range(len(found)) if x - last.get(n, -1e9) >= APART)
        last[level] = x
        made.append({"what": what, "at": x, "say": f"{at:.1f}", "level": level})
    return made


def _facts(build: Build, name: str, cut: Trimmed) -> list[str]:
    plan, piece = cut.plan, cut.piece
    off = f"{plan.from_a:.1f} mm off end a, {plan.from_b:.1f} mm off end b"
    window = "the cut at end a must lie just there"
    if plan.slack > 0.05:
        least, most = f"{plan.least_from_a:.1f}", f"{plan.most_from_a:.1f}"
        window = f"cut at end a may lie from {least} to {most} mm"
    facts = [f"saw to the finished length, {piece.finished:.1f} mm: {off}; {window}"]
    for end, left in (("a", plan.left_a), ("b", plan.left_b)):
        one = piece.end(end)
        butt = _butt(cut, end, left)
        if one.joints:
            cuts = "; ".join(f"to {s.meets}, {s}" for s in build.set_ups(name, end))
            facts.append(f"end {end}: miter {cuts}; saddle {one.depth:.1f} mm deep{butt}")
        else:
            facts[-1] += f"; end {end} square{butt}"
    return facts


def _butt(cut: Trimmed, end: str, left: float) -> str:
    """What is left of a butt, what the joint needs of it, and what that leaves in hand."""
    if left <= 0:
        return ""
    said = f"; butt left {left:.1f} mm, needed {cut.need(end):.1f} mm"
    return f"{said}, {max(0.0, cut.in_hand(end)):.1f} mm in hand"


def _shell(build: Build) -> str:
    shell = build.tubes["shell"]
    faced = build.fitted.faced
    return (
        f"{text.number(float(shell.diameter))} × {text.number(float(shell.walls[0]))}, "
        f"{text.number(float(shell.length))} mm long, faced square"
    ) + (f" to {text.number(faced)} mm" if faced is not None else "")


def _sleeve(build: Build) -> str:
    own = build.sleeve
    if own is None:
        return ""
    gap = float(sleeves.gap(own.bore, own.plug, 0.0, 0.0, 0.0))
    filler = float(sleeves.filler(own.plug, gap, own.lap))
    fit = f"turned to {text.number(own.plug)} for a bore of {text.number(own.bore)}"
    if own.outside:
        fit = (
            f"{text.number(own.outside)} outside, bored to {text.number(own.bore)} for the tube's "
        )
        fit += text.number(own.plug)
    lap = f"lap {text.number(own.lap)} mm; filler {filler:.0f} mm³"
    return f"{fit}: {gap:.2f} mm gap a side, cold; {lap}"
