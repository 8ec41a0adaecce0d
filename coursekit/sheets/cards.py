"""Cards for the bench, each a PDF of its own: cut list, fixture, tacks, alignment, safety."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from coursekit.sheets import (
    alignment_card,
    bench,
    cut_list,
    fixture_card,
    page,
    safety_card,
    tack_card,
)
from coursekit.sheets.build import Build

Kind = Literal["cut-list", "fixture", "tacks", "alignment"]
MAKERS = {
    "cut-list": ("cut list", cut_list.part),
    "fixture": ("fixture card", fixture_card.part),
    "tacks": ("tack card", tack_card.part),
    "alignment": ("alignment record", alignment_card.part),
}


def pdf(build: Build, kind: Kind, paper: page.Sheet = "a4") -> bytes:
    """One card of a frame as a PDF."""
    say, part = MAKERS[kind]
    return bench.pdf(build, say, [part(build)], paper)


def safety(course: Path, paper: page.Sheet = "a4") -> bytes:
    """The safety card of the course in a folder, as a PDF; it is of no one frame."""
    width, height = page.any_size(paper)
    return page.pdf(
        "safety.typ",
        {
            "width": width,
            "height": height,
            "margin": page.MARGIN,
            "part": safety_card.part(course),
        },
    )
