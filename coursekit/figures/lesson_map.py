"""Which lesson stands on which, as arcs down the margin of the book's list of lessons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.figure import Figure

from coursekit.figures.house import ACCENT, INK, LIGHT, drawing, house_style

_STEP = 10.0  # mm from one name to the next
_REACH = 0.62  # how far an arc swings out, of its height


@house_style
def arcs(titles: Mapping[str, str], needs: Mapping[str, Sequence[str]]) -> Figure:
    """Return the lessons' titles down the page; an arc leads from each down to those that stand on it.

    Parameters: `titles`, lesson → title, in the book's order; `needs`, lesson → lessons before it.
    """
    order = list(titles)
    low = -_STEP * (len(order) - 1)
    figure, axes = drawing(0.4 + 0.4 * len(order), (-72.0, 58.0), (low - 7.0, 7.0))
    for row, slug in enumerate(order):
        y = -_STEP * row
        axes.text(5.0, y, f"{row + 1}  {titles[slug]}", va="center", ha="left", fontsize=12)
        axes.plot(0.0, y, "o", markersize=8, markerfacecolor=LIGHT, markeredgecolor=INK)
        for before in needs[slug]:
            far = row - order.index(before)
            turn = np.linspace(0, np.pi, 60)
            out = min(_REACH * _STEP * far, 68.0)
            x, mid = -out * np.sin(turn) - 2.0, y + _STEP * far / 2
            axes.plot(x, mid + _STEP * far / 2 * np.cos(turn), color=ACCENT, linewidth=1.5)
            axes.annotate(
                "",
                xy=(-1.5, y),
                xytext=(x[-6], mid + _STEP * far / 2 * np.cos(turn[-6])),
                arrowprops={"arrowstyle": "-|>", "color": ACCENT, "linewidth": 1.5},
            )
    return figure
