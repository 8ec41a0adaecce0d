"""Wrap templates of every tube of a frame: both ends in phase, true to size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import pi
from typing import Any

import numpy as np

from coursekit.pieces import Piece, Trimmed
from coursekit.sheets import bench, end_templates, page, text
from coursekit.sheets.build import SAYS, Build
from coursekit.sheets.reference_mark import mark_at

BEYOND = 6.0  # paper past the end of the cut, on the side that is thrown away, mm
HEAD = 19.0  # paper from the reference mark to the edge away from the joint, mm: room to label
BREAK = 9.0  # between the two strips of a tube that is longer than the paper, mm
BESIDE = 62.0  # of the page's width for bars, steps and numbers that stand beside the strips, mm
BELOW = 108.0  # of the page's height for the same where the strip takes the whole width, mm
AROUND = 47.0  # of the page's height for heading, foot and margins, mm
EDGE = 7.0  # least margin at the sides of a page whose strip is wide, mm

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Mouth:
    """One end on a strip; mm from the strip's upper left corner, y down the page.

    Attributes
    ----------
    crossing, mark
        y of the place where the axes cross, and of the reference mark.
    outside, bore
        The two edges of the cut.
    acute, obtuse
        x of the corners' lines; none at a square joint.
    free
        x of the middle of the words on the grey side, clear of the corners' names.
    """

    end: str
    crossing: float
    mark: float
    outside: Points
    bore: Points
    acute: float | None
    obtuse: float | None
    free: float
    meets: str


@dataclass(frozen=True)
class WrapStrip:
    """A piece of paper to wrap: its size, mm, and the ends on it."""

    width: float
    height: float
    mouths: tuple[Mouth, ...]


@dataclass(frozen=True)
class Template:
    """The strips of one tube, from end b above to end a below, and what stands beside them.

    One strip where the whole tube fits the paper, else one an end: `apart` is then the distance,
    mm along the tube, between the reference marks of the two. `lines` are degrees and name of the
    quarter lines from the left end of the strip on, and `seen_from` is the end of the tube from
    which the degrees count counter-clockwise. `room`
    says how the pages are laid out.
    """

    name: str
    say: str
    diameter: float
    lines: tuple[tuple[int, str], ...]
    seen_from: str
    strips: tuple[WrapStrip, ...]
    apart: float
    facts: tuple[tuple[str, str], ...]
    room: Room


@dataclass(frozen=True)
class Room:
    """How strips are laid out: their notes beside or below them, all on a page or one a page.

    `width` and `height` are what a page leaves for its strips, mm; `margin` is bare at each side.
    """

    below: bool
    alone: bool
    width: float
    height: float
    margin: float

    def holds(self, strips: Sequence[WrapStrip]) -> bool:
        """Whether the strips fit."""
        return max(s.width for s in strips) <= self.width and self.tall(strips) <= self.height

    def tall(self, strips: Sequence[WrapStrip]) -> float:
        """How much height the strips take, mm."""
        if self.alone:
            return max(s.height for s in strips)
        return sum(s.height for s in strips) + BREAK * (len(strips) - 1)


def draw(build: Build, name: str, paper: page.Sheet = "a4", stations: int = 361) -> Template:
    """The template of one tube at scale 1:1.

    The printed side is worn outward, end b up: x runs counter-clockwise round the tube seen from
    end b, from the seam on line 0°. The tube's own degrees may count the other way round; then they
    fall from left to right.

    Raises
    ------
    ValueError
        A wrap template must fit the paper; got 220.0 mm wide for the mast, and a4 holds 196.0 mm.
        Take larger paper.
        A template must be of a tube that is mitered; …
    """
    cut = build.trimmed[name]
    joined = [e for e in "ba" if cut.piece.end(e).joints]
    if not joined:
        raise ValueError(
            f"A template must be of a tube that is mitered; got the {SAYS[name]}, which is square "
            "at both ends. Cut it square."
        )
    mouths = {e: _mouth(cut, e) for e in joined}
    span = cut.piece.length - sum(m.mark_at for m in mouths.values())
    whole = span + sum(m.paper for m in mouths.values())
    width, height = pi * cut.piece.diameter, page.any_size(paper)[1] - AROUND
    strips = _one_strip(width, mouths, span) if whole <= height and len(mouths) == 2 else None
    strips = strips or tuple(_strip(width, mouths[e]) for e in joined)
    piece = cut.piece
    return Template(
        name=name,
        say=SAYS[name],
        diameter=piece.diameter,
        lines=_quarter_lines(piece),
        seen_from="b" if piece.hand > 0 else "a",
        strips=strips,
        apart=span,
        facts=_facts(build, name),
        room=_room(name, paper, strips),
    )


def _quarter_lines(piece: Piece) -> tuple[tuple[int, str], ...]:
    """Degrees and name of the lines from the left end of the strip on."""
    named = tuple(zip((0, 90, 180, 270), piece.lines, strict=True))
    return named if piece.hand > 0 else (named[0], *named[:0:-1])


@dataclass(frozen=True)
class _Mouth:
    """An end in its own measure: along the tube from the crossing, away from the joint, mm.

    `around` and both edges run from the left end of the strip to its right end.
    """

    end: str
    mark_at: float
    below: float  # paper past the crossing, toward the joint
    around: Any
    outside: Any
    bore: Any
    corners: tuple[float | None, float | None]  # acute and obtuse line, share of the way round
    meets: tuple[str, ...]

    @property
    def paper(self) -> float:
        return self.mark_at + self.below


def _mouth(cut: Trimmed, end: str) -> _Mouth:
    piece, one, bore = cut.piece, cut.piece.end(end), cut.bore(end)
    way = int(piece.hand)
    lowest = float(min(0.0, one.long_point, bore.min()))
    joint = one.joints[0]
    square = abs(joint.angle_deg - 90) < 0.05
    acute, obtuse = (way * (joint.turned_deg + half) % 360 / 360 for half in (180, 0))
    return _Mouth(
        end=end,
        mark_at=mark_at(cut, end),
        below=BEYOND - lowest,
        around=piece.around,
        outside=one.along[::way],
        bore=bore[::way],
        corners=(None, None) if square else (acute, obtuse),
        meets=one.meets,
    )


def _placed(own: _Mouth, width: float, crossing: float) -> Mouth:
    away = -1.0 if own.end == "a" else 1.0  # which way on the page leads away from the joint

    def points(along: Any) -> Points:
        x, y = np.round(own.around, 5).tolist(), np.round(crossing + away * along, 5).tolist()
        return tuple(zip(x, y, strict=True))

    corner = [None if share is None else share * width for share in own.corners]
    return Mouth(
        end=own.end,
        crossing=crossing,
        mark=crossing + away * own.mark_at,
        outside=points(own.outside),
        bore=points(own.bore),
        acute=corner[0],
        obtuse=corner[1],
        free=_free(width, corner),
        meets=" and ".join(SAYS[m] for m in own.meets),
    )


def _free(width: float, corners: Sequence[float | None]) -> float:
    """The eighth of the width that is farthest from the names of the corners."""
    names = [c + (-5.0 if c > width - 10 else 5.0) for c in corners if c is not None]
    places = [width * k / 8 for k in (6, 2, 5, 3, 4)]
    return max(places, key=lambda x: min((abs(x - n) for n in names), default=0.0))


def _strip(width: float, own: _Mouth) -> WrapStrip:
    height = own.paper + HEAD
    crossing = height - own.below if own.end == "a" else own.below
    return WrapStrip(width, height, (_placed(own, width, crossing),))


def _one_strip(width: float, mouths: dict[str, _Mouth], span: float) -> tuple[WrapStrip, ...]:
    a, b = mouths["a"], mouths["b"]
    height = span + a.paper + b.paper
    mouths_placed = _placed(b, width, b.below), _placed(a, width, height - a.below)
    return (WrapStrip(width, height, mouths_placed),)


def _room(name: str, paper: str, strips: Sequence[WrapStrip]) -> Room:
    """The first layout that holds the strips: as few pages as will do, notes beside if they can."""
    width, high = page.any_size(paper)
    high -= AROUND
    widest = max(s.width for s in strips)

    def margin(beside: float) -> float:
        return min(page.MARGIN, max(EDGE, (width - beside - widest) / 2))

    layouts = [
        Room(below, alone, width - 2 * EDGE - beside, tall, margin(beside))
        for below, beside, tall in ((False, BESIDE, high), (True, 0.0, high - BELOW))
        for alone in (False, True)
    ]
    for room in layouts:
        if room.holds(strips):
            return room
    last = layouts[-1] if widest > layouts[0].width else layouts[1]
    wide = widest > last.width
    got, most = (widest, last.width) if wide else (last.tall(strips), last.height)
    raise ValueError(
        f"A wrap template must fit the paper; got {got:.1f} mm {'wide' if wide else 'high'} for "
        f"the {SAYS[name]}, and {paper} holds {most:.1f} mm. Take larger paper."
    )


def _facts(build: Build, name: str) -> tuple[tuple[str, str], ...]:
    """What the cutter needs beside the strip: lengths, angles, settings of each end."""
    piece = build.pieces[name]
    facts = [("outside", text.quantity(round(piece.diameter, 2), "mm"))]
    facts.append(("finished length", f"{piece.finished:.1f} mm"))
    for end in "ba":
        facts += _end_facts(build, name, end)
    if piece.a.joints and piece.b.joints:
        turn = (piece.b.joints[0].turned_deg - piece.a.joints[0].turned_deg) % 360
        facts.append(("crossing to crossing", f"{piece.length:.1f} mm"))
        facts.append(("end b turned by", f"{turn:.1f}°"))
    else:
        facts.append(("crossing to square end", f"{piece.length:.1f} mm"))
    return tuple(facts)


def _end_facts(build: Build, name: str, end: str) -> list[tuple[str, str]]:
    facts = []
    for one in build.set_ups(name, end):
        offset = f", offset {one.offset:.1f} mm" if one.offset > 0.05 else ""
        facts.append((f"end {end} to {one.meets}", f"{one.angle_deg:.1f}°{offset}"))
        facts.append((f"swing at {end}, from square", f"{one.swing_deg:.1f}°"))
    return facts


def parts(build: Build, name: str, paper: page.Sheet = "a4") -> list[dict[str, Any]]:
    """Page data of one tube's template, for `bench.pdf`: one page, or one for each strip."""
    made = draw(build, name, paper)
    pages = [(s,) for s in made.strips] if made.room.alone else [made.strips]
    title = f"Wrap template: {made.say}"
    common = {"kind": "template", "ends": len(made.strips)} | asdict(made)
    return [
        common
        | {
            "title": f"{title}, end {strips[0].mouths[0].end}" if len(pages) > 1 else title,
            "strips": [asdict(s) for s in strips],
        }
        for strips in pages
    ]


def mitered(build: Build) -> list[str]:
    """Names of the tubes that a template is made of, in the order of printing."""
    return [n for n, p in build.pieces.items() if p.a.joints or p.b.joints]


def pdf(build: Build, paper: page.Sheet = "a4", two_sided: bool = False) -> bytes:
    """The templates of every mitered tube of a frame; in two-sided print each has a bare back."""
    made = [part for name in mitered(build) for part in parts(build, name, paper)]
    made += end_templates.parts(build, paper)
    return bench.pdf(build, "wrap templates", made, paper, two_sided)
