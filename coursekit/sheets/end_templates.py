"""Templates of the stays, bridges and fork blades: tapered and oval ends laid flat, true to size.

A tapered end is laid to its base ring, whose edge is an arc; a bridge is one strip with both ends
on it. Sides are named, and the left template is the mirror image of the right one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import pi
from typing import Any

import numpy as np

from coursekit.fork import heights
from coursekit.rear import slot_lines_deg, slot_width, toe_in_deg
from coursekit.sections import Array
from coursekit.sheets import end_words, page, text
from coursekit.sheets.build import Build
from coursekit.stays import CutStay, EndCut, Template, template

BEYOND = 6.0  # paper past the long point, on the side that is thrown away, mm
SKIRT = 26.0  # paper past the short point, toward the tube, mm: room to label
NEXT_BEND = 0.01  # mm that the base ring keeps from a bend
HEAD = 62.0  # width of a heading over a narrow paper, mm
GUTTER = 8.0  # between two papers, mm
SLOT_MORE = 16.0  # paper past the foot of a slot, mm

Points = list[list[float]]


@dataclass(frozen=True)
class Line:
    """A line of the tube on the paper, from the base ring to the cut, and its name."""

    start: list[float]
    end: list[float]
    name: str
    deg: int


@dataclass(frozen=True)
class Flat:
    """One piece of paper to cut out; mm from its upper left corner, y down the page.

    Attributes
    ----------
    whole, away
        Closed outlines: of the paper, and of what is cut away of it.
    edges
        The cuts.
    slots
        Closed outlines of slots to saw.
    say, meets
        What it is of, and what that meets.
    end
        Its end, "a" for a bridge, whose both ends are on it.
    names_at
        How far below the start of a line its name stands.
    least
        The width that its heading takes at least.
    """

    say: str
    meets: str
    width: float
    height: float
    whole: Points
    away: list[Points]
    edges: list[Points]
    slots: list[Points]
    lines: list[Line]
    end: str
    names_at: float
    least: float = HEAD


def parts(build: Build, paper: page.Sheet = "a4") -> list[dict[str, Any]]:
    """Page data of all templates of rear end and fork, for `bench.pdf`; none without either.

    Raises
    ------
    ValueError
        "A template must lie on a straight piece …", where a bend begins in it.
    """
    wide = page.any_size(paper)[0] - 2 * page.MARGIN
    made = []
    for title, cuts in end_words.groups(build).items():
        each = [_flats(build, cut) for cut in cuts]
        rows = [[flat for flats in each for flat in flats if flat.end == end] for end in ("a", "b")]
        if any(rows):
            facts = [list(fact) for cut in end_words.once(cuts) for fact in _facts(build, cut)]
            made.append(
                {
                    "kind": "flats",
                    "title": f"Templates: {title}",
                    "rows": [row for many in rows for row in _rows(many, wide)],
                    "facts": facts,
                }
            )
    return made


def _rows(flats: list[Flat], wide: float) -> list[list[dict[str, Any]]]:
    """As many side by side as the paper holds."""
    rows: list[list[Flat]] = []
    for flat in flats:
        row = (*rows[-1], flat) if rows else ()
        if not row or sum(max(f.width, f.least) + GUTTER for f in row) - GUTTER > wide:
            rows.append([])
        rows[-1].append(flat)
    return [[asdict(flat) for flat in row] for row in rows]


def _flats(build: Build, cut: CutStay) -> list[Flat]:
    if "bridge" in cut.stay.name:
        return [_strip(cut)]
    made = []
    if cut.a.meets:
        made.append(_end(cut, cut.a, ()))
    slots = slots_of(build, cut)
    if slots:
        made.append(_end(cut, cut.b, slots))
    return made


def slots_of(build: Build, cut: CutStay) -> tuple[tuple[float, float, float], ...]:
    """The slots at end b: line in degrees, width and depth in mm; none where it is capped."""
    name, rear, front = cut.stay.name, build.ends.rear, build.ends.front
    if name.endswith("_blade"):
        assert front is not None
        plate = front.fork.dropout
        if not plate.tab:
            return ()
        return tuple((deg, float(plate.thickness), float(plate.tab)) for deg in (0.0, 180.0))
    if rear is None or not name.endswith("stay"):
        return ()
    tab = getattr(rear.end.dropout, name.split("_")[1])
    if tab.capped:
        return ()
    wide = float(slot_width(rear.end.dropout.thickness, toe_in_deg(cut.stay), tab.slot))
    return tuple((deg % 360.0, wide, tab.slot) for deg in slot_lines_deg(cut.stay))


def _base_at(cut: CutStay, end: EndCut, slots: Sequence[tuple[float, float, float]]) -> float:
    """Where the ring lies: past the cut or the slot, and on straight tube."""
    deep = max((s[2] for s in slots), default=0.0)
    wanted = deep + SLOT_MORE if slots else end.short_point + SKIRT
    bends = cut.stay.line.bends
    if bends and end.end == "a":
        return min(wanted, bends[0].at - NEXT_BEND)
    if bends:
        return min(wanted, cut.stay.length - bends[-1].end - NEXT_BEND)
    return wanted


def _end(cut: CutStay, end: EndCut, slots: tuple[tuple[float, float, float], ...]) -> Flat:
    """One end of a stay, its cut below."""
    made = template(cut.stay, end, _base_at(cut, end, slots))
    down = made.edge - made.base
    down = down / np.linalg.norm(down, axis=1)[:, None]
    far = end.along - end.long_point + BEYOND
    paper = made.edge + down * far[:, None]
    whole = np.concatenate([made.base, paper[::-1]])
    away = np.concatenate([made.edge, paper[::-1]])
    lines = [(deg, *made.line(float(deg))) for deg in (0, 90, 180, 270, 360)]
    cuts = [half for one in slots for half in _slot(made, *one)]
    return _laid(cut, end, (whole, [away], [made.edge], cuts), lines)


def _slot(made: Template, deg: float, wide: float, deep: float) -> list[Array]:
    """A slot as closed outlines along its line from the end in: two halves if the seam cuts it."""
    girth = float(np.sum(np.linalg.norm(np.diff(made.edge, axis=0), axis=1)))
    half = wide / girth * 180.0
    spans = [(deg - half + turn, deg + half + turn) for turn in (-360.0, 0.0, 360.0)]
    found = []
    for low, high in ((max(low, 0.0), min(high, 360.0)) for low, high in spans):
        if high - low > 1e-9:
            sides = [made.line(float(v)) for v in np.linspace(low, high, 9)]
            edge, base = (np.array([one[k] for one in sides]) for k in (0, 1))
            up = (base - edge) / np.linalg.norm(base - edge, axis=1)[:, None]
            found.append(np.concatenate([edge, (edge + deep * up)[::-1]]))
    return found


def _strip(cut: CutStay) -> Flat:
    """A bridge: both ends on one strip, end b above."""
    stay = cut.stay
    girth, hand = pi * float(stay.taper.widths[0]), _hand(stay)
    x = hand * (cut.a.around_deg - 180.0) / 360.0 * girth
    low, high = cut.a.along, stay.length - cut.b.along
    a, b = np.column_stack([x, low]), np.column_stack([x, high])
    under = np.column_stack([x, np.full_like(x, cut.a.long_point - BEYOND)])
    over = np.column_stack([x, np.full_like(x, stay.length - cut.b.long_point + BEYOND)])
    whole = np.concatenate([over, under[::-1]])
    aways = [np.concatenate([a, under[::-1]]), np.concatenate([over, b[::-1]])]
    lines = []
    for deg in (0, 90, 180, 270, 360):
        at = hand * (deg - 180.0) / 360.0 * girth
        foot, top = (np.interp(deg, cut.a.around_deg, v) for v in (low, high))
        lines.append((deg, np.array([at, foot]), np.array([at, top])))
    return _laid(cut, None, (whole, aways, [a, b], []), lines)


def _hand(stay: Any) -> float:
    """1 where the degrees grow to the right, seen from outside with end a below."""
    line = stay.line
    return float(np.sign(np.cross(line.direction, line.zero) @ line.ninety))


def _laid(
    cut: CutStay,
    end: EndCut | None,
    shapes: tuple[Array, list[Array], list[Array], list[Array]],
    lines: Sequence[tuple[int, Array, Array]],
) -> Flat:
    """The same with its upper left corner at (0, 0) and y down the page."""
    whole, aways, edges, slots = shapes
    left, top = whole[:, 0].min(), whole[:, 1].max()

    def at(many: Array) -> Points:
        moved = np.column_stack([many[:, 0] - left, top - many[:, 1]])
        return [[round(float(x), 4), round(float(y), 4)] for x, y in moved]

    width, height = np.ptp(whole[:, 0]), np.ptp(whole[:, 1])
    called = end_words.lines(cut)
    named = [
        Line(at(base[None])[0], at(edge[None])[0], called[deg % 360 // 90], deg % 360)
        for deg, edge, base in lines
    ]
    say = end_words.said(cut.stay.name)
    if end is not None:
        say += f", end {end.end}"
        meets = " and ".join(end_words.said(m) for m in end.meets) or "dropout"
    else:
        meets = "both stays"
    each = ([at(v) for v in many] for many in (aways, edges, slots))
    away, edge_points, slot_points = each
    names, which = 0.8, "a" if end is None else end.end
    if end is None:
        names += max(y for _, y in edge_points[1]) - min(one.start[1] for one in named)
    return Flat(
        say,
        meets,
        float(width),
        float(height),
        at(whole),
        away,
        edge_points,
        slot_points,
        named,
        which,
        names,
    )


def _facts(build: Build, cut: CutStay) -> list[tuple[str, str]]:
    """What the cutter needs beside the papers."""
    name = end_words.said(cut.stay.name).split(",")[0]
    facts = [(f"{name}, finished length", f"{cut.finished:.1f} mm")]
    if cut.a.meets:
        facts.append(("  end a, long point to short point", f"{cut.a.depth:.1f} mm"))
    facts += [(f"  {said}", value) for said, value in end_words.bends(cut)]
    for _, wide, deep in slots_of(build, cut)[:1]:
        facts.append(("  slot, wide × deep", f"{wide:.1f} × {text.number(round(deep, 1))} mm"))
    return facts + _raked(build, cut)


def _raked(build: Build, cut: CutStay) -> list[tuple[str, str]]:
    """How high a raked blade rises above its straight part on the plate, at three places."""
    front = build.ends.front
    if front is None or not cut.stay.name.endswith("_blade") or front.shoulder is not None:
        return []
    own = front.fork.bend
    if not own.angle_deg:
        return []
    half = float(front.blade.depth_at(0.0)) / 2
    last = float(own.at(own.length)[0]) - half
    facts = []
    for share in (0.5, 0.75, 1.0):
        at = round(float(own.start) + share * (last - float(own.start)))
        rise = float(heights(own, front.blade, at, -half))
        facts.append((f"  raked, on the plate: {at} mm from its upper end", f"{rise:+.1f} mm"))
    return facts
