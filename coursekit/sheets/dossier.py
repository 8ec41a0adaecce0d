"""The dossier: everything the bench needs of one frame in one PDF."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from coursekit.sheets import (
    alignment_card,
    bench,
    checks,
    cut_list,
    end_templates,
    fixture_card,
    flat,
    frame_marks,
    frame_scene,
    page,
    safety_card,
    tack_card,
    templates,
    text,
    tiles,
)
from coursekit.sheets.build import Build

WIDE = 180.0  # mm of paper for the small drawing
SCALES = (5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0)
SAID = {  # every dimension that a drawing may be made from, in the order of printing
    "seat_angle_deg": "seat angle",
    "head_angle_deg": "head angle",
    "chainstay": "chainstay",
    "bb_drop": "drop",
    "wheel_radius": "wheels, radius",
    "rear_radius": "rear wheel, radius",
    "front_radius": "front wheel, radius",
    "fork_length": "fork, axle to crown race seat",
    "fork_offset": "fork offset",
    "lower_stack": "crown race seat to head tube",
    "head_tube": "head tube",
    "seat_tube": "seat tube, centre to top",
    "front_centre": "front centre",
    "wheelbase": "wheelbase",
    "trail": "trail",
    "mechanical_trail": "mechanical trail",
    "wheel_flop": "wheel flop",
    "stack": "stack",
    "reach": "reach",
    "top_tube_level": "level top tube",
    "bb_height": "bottom bracket above ground",
}


def pdf(
    build: Build,
    course: Path,
    paper: page.Sheet = "a4",
    with_tiles: bool = True,
    two_sided: bool = False,
) -> bytes:
    """Everything the bench needs of a frame, as one PDF.

    It holds cover, safety card, fixture card, cut list, templates, tack card, alignment record and
    the drawing in tiles.

    Parameters
    ----------
    course
        The course's folder, whose safety page is taken.
    with_tiles
        Whether the drawing in tiles is added.
    two_sided
        Whether it is printed on both sides, so that what is cut out needs a bare back.

    Raises
    ------
    ValueError
        Where the frame can't be cut from its tubes or doesn't fit the paper.
    FileNotFoundError
        Where the course is not there.
    """
    parts = [
        safety_card.part(course),
        fixture_card.part(build),
        cut_list.part(build),
        *(p for name in templates.mitered(build) for p in templates.parts(build, name, paper)),
        *end_templates.parts(build, paper),
        tack_card.part(build),
        alignment_card.part(build),
        *(tiles.parts(build, paper) if with_tiles else ()),
    ]
    return bench.pdf(build, "dossier", [cover(build), *parts], paper, two_sided)


def cover(build: Build) -> dict[str, Any]:
    """Page data of the dossier's first page: the frame small, its numbers."""
    wanted = ("outline", "axis", "point", "wheel")
    scene = flat.drawn_out(frame_scene.side(build))
    parts = [p for p in scene if getattr(p, "layer", "") in wanted]
    left, bottom, right, top = flat.room(parts)
    scale = next((s for s in SCALES if (right - left) / s <= WIDE), (right - left) / WIDE)
    return {
        "kind": "cover",
        "builder": build.builder,
        "frame": build.name,
        "scale": text.number(round(scale, 2)),
        "wide": (right - left) / scale,
        "high": (top - bottom) / scale,
        "items": [flat.small(i, 1 / scale) for i in flat.laid(parts, (left, top))],
        "driving": [[SAID[n], _said(build, n)] for n in SAID if n in build.frame.driving],
        "following": _following(build),
        "built": checks.in_short(build),
    }


def _following(build: Build) -> list[list[str]]:
    """What was not given but follows: dimensions of the drawing, then what the title block says."""
    given = build.frame.driving
    if "wheel_radius" in given:
        given = (*given, "rear_radius", "front_radius")
    left = {n: float(v) for n, v in build.frame.basic.items() if n not in given}
    basic = [[SAID[n], f"{v:.2f}°" if n.endswith("_deg") else f"{v:.1f}"] for n, v in left.items()]
    told = {SAID[n] for n in given}
    return [*basic, *(list(fact) for fact in frame_marks.facts(build) if fact[0] not in told)]


def _said(build: Build, name: str) -> str:
    """A dimension as it was given, to a hundredth."""
    unit = "deg" if name.endswith("_deg") else "mm"
    value = getattr(build.frame, "rear_radius" if name == "wheel_radius" else name)
    return text.quantity(round(float(value), 2), unit)
