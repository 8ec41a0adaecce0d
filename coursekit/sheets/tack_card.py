"""The tack card: for every joint a ring with the order of its tacks, and room for what each did."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit import tacks
from coursekit.sheets import text
from coursekit.sheets.build import SAYS, Build

# joints in the order of tacking: from the shell outward, the joint that closes the triangle last;
# common practice, no source, and builders disagree
ORDER = (
    ("seat_tube", "shell"),
    ("down_tube", "shell"),
    ("down_tube", "head_tube"),
    ("top_tube", "head_tube"),
    ("top_tube", "seat_tube"),
    ("right_chainstay", "shell"),
    ("left_chainstay", "shell"),
    ("right_seatstay", "seat_tube"),
    ("left_seatstay", "seat_tube"),
)


def part(build: Build) -> dict[str, Any]:
    """Page data of the tack card, for `bench.pdf`."""
    best = tacks.best(build.bench.tacks_deg, hold=build.bench.tack_hold)
    round_the_clock = tacks.pull(sorted(build.bench.tacks_deg), hold=build.bench.tack_hold)
    made = [
        {"say": f"{SAYS[cut]} to {SAYS[into]}", "free": _free(build, cut)}
        for cut, into in ORDER
        if f"{cut}-{into}" in build.frame.joints
    ]
    return {
        "kind": "tacks",
        "order": [{"angle": a, "say": f"{text.number(a)}°"} for a in best.angles_deg],
        "hold": text.number(build.bench.tack_hold),
        "left": f"{best.size:.2f}",
        "clock": f"{float(np.hypot(*round_the_clock)):.2f}",
        "joints": made,
    }


def _free(build: Build, cut: str) -> str:
    """How far the tube's other end moves for a tenth of a degree of tilt."""
    length = float(build.pieces[cut].length)
    return f"{float(tacks.tip_offset(0.1, length)):.1f}"
