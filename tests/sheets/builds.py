"""Frames to make paper of, and what every page of theirs must keep to."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from coursekit.sheets import frame_file
from coursekit.sheets.build import Build
from tests.sheets import paper

INK_FREE = 6.0  # mm; common office printers leave 3 to 5 mm bare, common practice, no source


def tables() -> dict[str, Any]:
    """The example's tables, to be changed."""
    return tomllib.loads(frame_file.EXAMPLE.read_text(encoding="utf-8"))


@cache
def example() -> Build:
    """The example frame."""
    return frame_file.read(frame_file.EXAMPLE)


def named(name: str, builder: str = "bench-01") -> Build:
    """The example frame under another name."""
    return frame_file.build(tables() | {"name": name, "builder": builder})


def assert_ink_keeps_off_the_edge(pdf: bytes, tmp_path: Path, dpi: int = 72) -> None:
    """Render every page and look: nothing in the outer 6 mm, something inside."""
    file = tmp_path / "looked-at.pdf"
    file.write_bytes(pdf)
    bare = int(INK_FREE / 25.4 * dpi)
    for number in range(1, len(paper.pages(pdf)) + 1):
        grey = paper.ink(file, number, dpi)
        inner = grey[bare:-bare, bare:-bare]
        assert (inner < 128).sum() > 50, f"page {number} is all but empty"
        edge = np.ones(grey.shape, dtype=bool)
        edge[bare:-bare, bare:-bare] = False
        assert grey[edge].min() == 255, f"ink in the margin of page {number}"
