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
    two_sided: bool = False,
) -> bytes:
    """Return one PDF of `parts`, each made by a `part` function of the sheets.

    `say` names the whole in the title. For printing `two_sided`, whatever is cut out lies on the
    front of a leaf and has a bare back; everything else goes on without an empty page.
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
            "two_sided": two_sided,
            "layers": flat.layers(),
            "parts": list(parts),
        },
    )
