"""Sets the paper of one frame: parts of one kind or of all, under one foot that names the frame."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coursekit.sheets import flat, page
from coursekit.sheets.build import Build


def pdf(
    build: Build,
    say: str,
    parts: Sequence[dict[str, Any]],
    paper: page.Sheet = "a4",
    both_sides: bool = False,
) -> bytes:
    """Return one PDF of `parts`, each made by a `part` function of the sheets.

    `say` names the whole in the title; with `both_sides` every part starts on the front of a leaf,
    so that whatever is cut out has a bare back.
    """
    width, height = page.any_size(paper)
    return page.pdf(
        "bench.typ",
        {
            "width": width,
            "height": height,
            "margin": page.MARGIN,
            "frame": build.name,
            "builder": build.builder,
            "version": build.version,
            "say": say,
            "both_sides": both_sides,
            "layers": flat.layers(),
            "parts": list(parts),
        },
    )
