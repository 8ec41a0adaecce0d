"""Reads a finished page as a printer and a reader meet it, and says what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from tests.sheets import paper

BARE = (
    6.0  # mm that common office printers need; they leave 3 to 5 bare: common practice, no source
)
SMALLEST = 9.0  # pt
USED = 0.25  # of the page's height that must hold something


def faults(pdf: bytes, smallest: float = SMALLEST) -> Iterator[str]:
    """Yield what is wrong, page by page: ink at the edge, words one on another, small, empty."""
    for number, on in enumerate(paper.pages(pdf), start=1):
        chars = [c for c in on.chars if c["text"].strip()]
        where = f"page {number}"
        if found := outside(on, chars):
            yield f"{where}: outside the margins: {found!r}"
        if found := overprinted(chars):
            yield f"{where}: one on another: {found!r}"
        if found := small(chars, smallest):
            yield f"{where}: smaller than {smallest:g} pt: {found!r}"
        if (share := used(on)) < USED:
            yield f"{where}: only {share:.0%} is used"


def outside(on: Any, chars: list[dict[str, Any]]) -> str:
    """The letters that stand nearer to an edge than a printer prints."""
    bare = BARE / paper.MM
    return "".join(
        c["text"] for c in chars
        if c["x0"] < bare or c["x1"] > on.width - bare
        or c["top"] < bare or c["bottom"] > on.height - bare
    )  # fmt: skip


def overprinted(chars: list[dict[str, Any]]) -> str:
    """The letters whose middle lies on the middle of another one."""
    if not chars:
        return ""
    box = np.array([[c["x0"], c["top"], c["x1"], c["bottom"]] for c in chars])
    wide, high = box[:, 2] - box[:, 0], box[:, 3] - box[:, 1]
    left, right = box[:, 0] + 0.15 * wide, box[:, 2] - 0.15 * wide
    top, bottom = box[:, 1] + 0.3 * high, box[:, 3] - 0.3 * high
    across = np.minimum.outer(right, right) - np.maximum.outer(left, left)
    down = np.minimum.outer(bottom, bottom) - np.maximum.outer(top, top)
    both = (across > 0) & (down > 0)
    np.fill_diagonal(both, False)
    return "".join(c["text"] for c, hit in zip(chars, both.any(axis=1), strict=True) if hit)


def small(chars: list[dict[str, Any]], smallest: float) -> str:
    """The letters that are too small; of turned ones the length of their own upright says it."""
    return "".join(c["text"] for c in chars if letter_size(c) < smallest - 0.05)


def letter_size(char: dict[str, Any]) -> float:
    turned = char["matrix"][1] != 0
    return float(char["width"] if turned else char["size"])


def used(on: Any) -> float:
    """The share of the page's height on which anything but head and foot stands."""
    bands = np.zeros(int(on.height))
    for thing in (*on.chars, *on.lines, *on.curves, *on.rects, *on.images):
        bands[max(int(thing["top"]), 0) : int(thing["bottom"]) + 1] = 1
    return float(bands.mean())
