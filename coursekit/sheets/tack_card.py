"""The tack card: a ring with the order of the tacks, and for every joint room for what each did."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit import tacks
from coursekit.sheets import end_cards, text
from coursekit.sheets.build import SAYS, Build

FACES = {  # lines of a tube as they are written beside the ring
    0.0: "underside (rear)",
    90.0: "drive side",
    180.0: "upper side (front)",
    270.0: "non-drive side",
}


def part(build: Build) -> dict[str, Any]:
    """Page data of the tack card, for `bench.pdf`."""
    best = tacks.best(build.bench.tacks_deg, hold=build.bench.tack_hold)
    round_the_clock = tacks.pull(sorted(build.bench.tacks_deg), hold=build.bench.tack_hold)
    made = [
        {"say": f"{SAYS[cut]} to {SAYS[into]}", "free": _free(build, cut)}
        for cut, into in tacks.JOINTS
        if f"{cut}-{into}" in build.main.joints
    ]
    made += end_cards.joints(build)
    return {
        "kind": "tacks",
        "order": [{"angle": a, "say": f"{text.number(a)}°"} for a in best.angles_deg],
        "faces": [{"angle": a, "say": say} for a, say in FACES.items()],
        "hold": text.number(build.bench.tack_hold),
        "left": f"{best.size:.2f}",
        "clock": f"{float(np.hypot(*round_the_clock)):.2f}",
        "joints": made,
    }


def _free(build: Build, cut: str) -> str:
    """How far the tube's other end moves for a tenth of a degree of tilt."""
    length = float(build.pieces[cut].length)
    return f"{float(tacks.tip_offset(0.1, length)):.1f}"
