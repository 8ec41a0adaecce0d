"""Wrap templates of every tube of a frame: both ends in phase, true to size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import pi
from typing import Any

import numpy as np

from coursekit.pieces import End, Trimmed
from coursekit.sheets import bench, page, text
from coursekit.sheets.build import SAYS, Build
from coursekit.sheets.reference_mark import mark_at

BEYOND = 6.0  # paper past the end of the cut, on the side that is thrown away, mm
HEAD = 19.0  # paper from the reference mark to the edge away from the joint, mm: room to label
BREAK = 9.0  # between the two strips of a tube that is longer than the paper, mm
BESIDE = 60.0  # of the page's width for bars, steps and numbers, mm
AROUND = 47.0  # of the page's height for heading, foot and margins, mm

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
    mm along the tube, between the reference marks of the two.
    """

    name: str
    say: str
    diameter: float
    lines: tuple[str, ...]
    strips: tuple[WrapStrip, ...]
    apart: float
    facts: tuple[tuple[str, str], ...]


def draw(build: Build, name: str, paper: page.Sheet = "a4", stations: int = 361) -> Template:
    """The template of one tube at scale 1:1.

    The printed side is worn outward, end b up: x runs counter-clockwise round the tube seen from
    end b, from the seam on line 0°.

    Raises
    ------
    ValueError
        A wrap template must fit the paper; got a strip 220.0 mm wide for the mast, and a4 holds
        120.0 mm. Take larger paper.
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
    _refuse_too_large(name, paper, strips)
    size, lines = cut.piece.diameter, cut.piece.lines
    return Template(name, SAYS[name], size, lines, strips, span, _facts(build, name))


@dataclass(frozen=True)
class _Mouth:
    """An end in its own measure: along the tube from the crossing, away from the joint, mm."""

    end: str
    mark_at: float
    below: float  # paper past the crossing, toward the joint
    around: Any
    outside: Any
    bore: Any
    one: End

    @property
    def paper(self) -> float:
        return self.mark_at + self.below


def _mouth(cut: Trimmed, end: str) -> _Mouth:
    one, bore = cut.piece.end(end), cut.bore(end)
    lowest = float(min(0.0, one.along.min(), bore.min()))
    return _Mouth(end, mark_at(cut, end), BEYOND - lowest, cut.piece.around, one.along, bore, one)


def _placed(own: _Mouth, width: float, crossing: float) -> Mouth:
    away = -1.0 if own.end == "a" else 1.0  # which way on the page leads away from the joint

    def points(along: Any) -> Points:
        x, y = np.round(own.around, 5).tolist(), np.round(crossing + away * along, 5).tolist()
        return tuple(zip(x, y, strict=True))

    joint = own.one.joints[0]
    turned = None if abs(joint.angle_deg - 90) < 0.05 else joint.turned_deg
    corner = [None if turned is None else (turned + half) % 360 / 360 * width for half in (180, 0)]
    return Mouth(
        end=own.end,
        crossing=crossing,
        mark=crossing + away * own.mark_at,
        outside=points(own.outside),
        bore=points(own.bore),
        acute=corner[0],
        obtuse=corner[1],
        free=_free(width, corner),
        meets=" and ".join(SAYS[m] for m in own.one.meets),
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


def _refuse_too_large(name: str, paper: str, strips: Sequence[WrapStrip]) -> None:
    width, height = page.any_size(paper)
    wide, high = width - 2 * page.MARGIN - BESIDE, height - AROUND
    widest = max(s.width for s in strips)
    tallest = sum(s.height for s in strips) + BREAK * (len(strips) - 1)
    for got, room, way in ((widest, wide, "wide"), (tallest, high, "high")):
        if got > room:
            raise ValueError(
                f"A wrap template must fit the paper; got {got:.1f} mm {way} for the {SAYS[name]}, "
                f"and {paper} holds {room:.1f} mm. Take larger paper."
            )


def _facts(build: Build, name: str) -> tuple[tuple[str, str], ...]:
    """What the cutter needs beside the strip: lengths, angles, settings of each end."""
    piece = build.pieces[name]
    facts = [("outside", text.quantity(round(piece.diameter, 2), "mm"))]
    facts.append(("tube needed", f"{piece.blank:.1f} mm"))
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
    one = build.pieces[name].end(end)
    facts = []
    for tube, joint in zip(one.meets, one.joints, strict=False):
        offset = f", offset {abs(joint.offset):.1f} mm" if abs(joint.offset) > 0.05 else ""
        facts.append((f"end {end} to {SAYS[tube]}", f"{joint.angle_deg:.1f}°{offset}"))
    if one.joints:
        facts.append((f"swing at {end}, from square", f"{build.mill_deg(name, end):.1f}°"))
    return facts


def part(build: Build, name: str, paper: page.Sheet = "a4") -> dict[str, Any]:
    """Page data of one tube's template, for `bench.pdf`."""
    return {"kind": "template"} | asdict(draw(build, name, paper))


def mitered(build: Build) -> list[str]:
    """Names of the tubes that a template is made of, in the order of printing."""
    return [n for n, p in build.pieces.items() if p.a.joints or p.b.joints]


def pdf(build: Build, paper: page.Sheet = "a4") -> bytes:
    """The templates of every mitered tube of a frame, one a page, printed on one side."""
    parts = [part(build, name, paper) for name in mitered(build)]
    return bench.pdf(build, "wrap templates", parts, paper)
