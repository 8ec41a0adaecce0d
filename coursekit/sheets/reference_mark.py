"""Where the reference mark of a cut end lies, on template and cut list."""

from __future__ import annotations

from math import ceil

from coursekit.pieces import Trimmed

CLEAR = 9.0  # least gap between the short point of the cut and the reference mark, mm


def mark_at(cut: Trimmed, end: str) -> float:
    """Return how far an end's reference mark lies from its crossing of axes, mm."""
    deepest = float(max(cut.piece.end(end).short_point, cut.bore(end).max()))
    return ceil((deepest + CLEAR) / 5) * 5.0
