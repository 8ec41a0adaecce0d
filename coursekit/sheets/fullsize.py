"""The full-size drawing of a frame as one large page."""

from __future__ import annotations

from math import ceil
from typing import Any, Literal

from coursekit.sheets import end_scene, flat, frame_scene, page
from coursekit.sheets.build import Build
from coursekit.sheets.scene import Box, Part

EDGE = 12.0  # bare paper round the drawing, mm
Whole = Literal["a0", "roll"]


def scene(build: Build) -> list[Part]:
    """Every part of the drawing with its dimensions drawn out, mm in the frame's own place."""
    return flat.drawn_out(frame_scene.parts(build))


def pdf(build: Build, paper: Whole = "a0") -> bytes:
    """The drawing on one page, landscape: A0, or as large as it needs ("roll", for a roll plotter).

    On A0 rear end and fork have a page of their own.

    Raises
    ------
    ValueError
        The drawing must fit its paper; got 1240 × 830 mm, and a0 holds 1165 × 817 mm. Take roll,
        or print tiles.
    """
    parts, more = scene(build), {}
    if paper == "a0" and build.ends.told is not None:
        own = frame_scene.side(build)
        parts, under = flat.drawn_out(own), flat.drawn_out(end_scene.below(build, own))
        more = {"more": _laid(under, *_size(paper, flat.room(under)))} if under else {}
    width, height = _size(paper, flat.room(parts))
    return page.pdf(
        "fullsize.typ",
        {
            "width": width,
            "height": height,
            "title": f"{build.name} · full-size drawing",
            "layers": flat.layers(),
            "items": _laid(parts, width, height),
            **more,
        },
    )


def _laid(parts: list[Part], width: float, height: float) -> list[dict[str, Any]]:
    """Page data of parts in the middle of a page."""
    box = flat.room(parts)
    corner = (box[0] - (width - (box[2] - box[0])) / 2, box[3] + (height - (box[3] - box[1])) / 2)
    return flat.laid(parts, corner)


def _size(paper: str, box: Box) -> tuple[float, float]:
    wide, high = box[2] - box[0] + 2 * EDGE, box[3] - box[1] + 2 * EDGE
    if paper == "roll":
        return ceil(wide / 10) * 10.0, ceil(high / 10) * 10.0
    high_paper, wide_paper = page.any_size(paper)
    if wide > wide_paper or high > high_paper:
        got = f"{box[2] - box[0]:.0f} × {box[3] - box[1]:.0f} mm"
        room = f"{wide_paper - 2 * EDGE:.0f} × {high_paper - 2 * EDGE:.0f} mm"
        raise ValueError(
            f"The drawing must fit its paper; got {got}, and {paper} holds {room}. "
            "Take roll, or print tiles."
        )
    return wide_paper, high_paper
