"""Words of a figure: whether a reader finds them whole, large enough, and apart from each other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from matplotlib.figure import Figure
from matplotlib.text import Text

LEAST = 10.0  # pt


def troubles(figure: Figure) -> list[str]:
    """Return what is clipped, too small, or printed over another word."""
    figure.canvas.draw()
    paint, whole = figure.canvas.get_renderer(), figure.bbox  # type: ignore[attr-defined]
    words = [t for axes in figure.axes for t in _drawn(axes) if t.get_text().strip()]
    found = [f"small: {t.get_text()}" for t in words if t.get_fontsize() < LEAST]
    boxes = [(t.get_text(), Text.get_window_extent(t, paint)) for t in words]
    for i, (said, b) in enumerate(boxes):
        if b.x0 < whole.x0 - 1 or b.x1 > whole.x1 + 1 or b.y0 < whole.y0 - 1 or b.y1 > whole.y1 + 1:
            found.append(f"clipped: {said}")
        for other, c in boxes[:i]:
            across, upward = min(b.x1, c.x1) - max(b.x0, c.x0), min(b.y1, c.y1) - max(b.y0, c.y0)
            if min(across, upward) > 1:
                found.append(f"on top: {said} and {other}")
    return found


def _drawn(axes: Any) -> Iterator[Text]:
    """Labels, remarks, and numbers of an axis within its view."""
    yield from axes.texts
    if not axes.axison:
        return
    for axis in (axes.xaxis, axes.yaxis):
        yield axis.label
        low, high = sorted(axis.get_view_interval())
        for tick in axis.get_major_ticks():
            if low <= tick.get_loc() <= high:
                yield tick.label1
