"""The alignment record: what is read on the plate and at the dropouts, with room to work."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit import dropouts
from coursekit.sheets import end_cards, text
from coursekit.sheets.build import Build

INSIDE = 25.0  # how far the first and last place lie from the ends of a tube, mm
ALONG = (("seat_tube", 4), ("head_tube", 3))  # tubes that are read, and at how many places


def part(build: Build) -> dict[str, Any]:
    """Page data of the alignment record, for `bench.pdf`."""
    return {
        "kind": "alignment",
        "tubes": [_tube(build, name, count) for name, count in ALONG],
        "spacing": text.quantity(build.bench.spacing, "mm") if build.bench.spacing else "",
        "string": _string(build),
        "ends": end_cards.alignment(build),
    }


def places(build: Build, name: str, count: int) -> list[float]:
    """Where a tube is read, mm along it from its lower end, on whole millimetres."""
    length = float(build.pieces[name].length)
    first = INSIDE + (float(build.tubes["shell"].diameter) / 2 if name == "seat_tube" else 0.0)
    last = max(first, length - INSIDE)
    return [float(round(x)) for x in np.linspace(first, last, count)]


def _tube(build: Build, name: str, count: int) -> dict[str, Any]:
    say = {
        "seat_tube": "seat tube, up from the shell’s centre",
        "head_tube": "head tube, up from its lower face",
    }
    return {"say": say[name], "places": [text.number(x) for x in places(build, name, count)]}


def string_at(build: Build) -> tuple[float, float]:
    """Way along the centre line from the rear axle to the seat tube and to the head tube, mm.

    The string runs level, seen from the side, at the height of the head tube's middle.
    """
    p = build.frame.points
    middle = (np.array(p["head_low"]) + np.array(p["head_high"])) / 2
    axle = np.array(p["rear_axle"])
    lean = np.radians(build.frame.seat_angle_deg)
    seat = np.array([-np.cos(lean), np.sin(lean)])
    way = middle - axle
    # where the straight line from axle to head tube passes the seat tube's axis
    share = np.linalg.solve(np.stack([way, -seat], axis=1), -axle)[0]
    far = float(np.linalg.norm(way))
    return float(share) * far, far


def _string(build: Build) -> dict[str, str]:
    near, far = string_at(build)
    made = {"seat": f"{near:.0f}", "head": f"{far:.0f}", "gap": ""}
    if build.bench.spacing:
        seat, head = (build.pieces[name].diameter for name in ("seat_tube", "head_tube"))
        gap = dropouts.string_gap(build.bench.spacing, seat, head, near, far)
        made["gap"] = f"{float(gap):.1f}"
    return made
