"""Tubes that run into each other beside the tube they both land on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

import numpy as np

from coursekit.buildable.finding import Finding
from coursekit.pieces import Piece, Trimmed
from coursekit.sections import Array

SAME = 1e-6  # mm that count as no overlap
WHAT = "the tubes run into each other"


def findings(trimmed: Mapping[str, Trimmed]) -> Iterator[Finding]:
    """Return which tubes would have to be in one place.

    Only tubes that land on the same tube, and are not cut to fit each other, can do so. They spread
    from there on, so the edges of their saddles are where they are deepest in each other. Of a
    pair of stays, the right one must stay on its own side of the frame's plane. Edges are followed
    at the stations of the pieces, so the depth is known to about a hundredth of a millimetre.

    Parameters
    ----------
    trimmed : mapping of str to Trimmed
        Every tube as cut.

    Yields
    ------
    Finding
        Each of them.
    """
    pieces = [cut.piece for name, cut in trimmed.items() if not name.startswith("left_")]
    for one in pieces:
        if one.name.startswith("right_"):
            deep = -2 * min(float(one.edge(end)[:, 2].min()) for end in "ab")
            pair = one.name.removeprefix("right_") + "s"
            if deep > SAME:
                cure = "Set them farther apart where they start, or take thinner ones."
                yield Finding(WHAT, pair, deep, "mm", cure)
    for one, other in combinations(pieces, 2):
        deep = _deepest(one, other)
        if deep > SAME:
            names = " and ".join(
                p.name.removeprefix("right_").replace("_", " ") for p in (one, other)
            )
            cure = "Set them apart, or cut one of them to fit the other as well."
            yield Finding(WHAT, names, deep, "mm", cure)


def _deepest(one: Piece, other: Piece) -> float:
    """How deep two tubes on one host reach into each other at their saddles, mm; 0 for not."""
    found = [0.0]
    for end in "ab":
        for near in "ab":
            share = set(one.end(end).meets) & set(other.end(near).meets)
            cut = {one.name, other.name} & {*one.end(end).meets, *other.end(near).meets}
            if share and not cut:
                found += [_reach(one, end, other, near), _reach(other, near, one, end)]
    return max(found)


def _reach(one: Piece, end: str, other: Piece, near: str) -> float:
    """How far the edge of one tube's end lies within the other, mm; negative where it is clear."""
    way = other.direction if near == "a" else -other.direction
    start = other.start if near == "a" else other.start + other.length * other.direction
    off = one.edge(end) - start
    along = off @ way
    beside: Array = np.linalg.norm(off - along[:, None] * way, axis=-1)
    ahead = along > float(other.end(near).along.min())
    return float(np.max(np.where(ahead, other.diameter / 2 - beside, -np.inf)))
