"""Which lesson needs which, as arcs down the margin of the book's list of lessons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.figure import Figure

from coursekit.figures.house import ACCENT, INK, LIGHT, arrow, drawing, house_style, label

_STEP = 10.0  # mm from one name to the next
_REACH = 0.62  # how far an arc swings out, of its height


@house_style
def arcs(titles: Mapping[str, str], needs: Mapping[str, Sequence[str]]) -> Figure:
    """Return the lessons' titles down the page; arcs lead from each to the lessons that need it.

    Parameters
    ----------
    titles
        Lesson → title, in the book's order.
    needs
        Lesson → the lessons that come before it.
    """
    order = list(titles)
    low = -_STEP * (len(order) - 1)
    figure, axes = drawing(0.4 + 0.4 * len(order), (-72.0, 58.0), (low - 7.0, 7.0))
    for row, slug in enumerate(order):
        y = -_STEP * row
        label(axes, 5.0, y, f"{row + 1}  {titles[slug]}", ha="left", fontsize=12)
        axes.plot(0.0, y, "o", markersize=8, markerfacecolor=LIGHT, markeredgecolor=INK)
        for before in needs[slug]:
            far = row - order.index(before)
            turn = np.linspace(0, np.pi, 60)
            out = min(_REACH * _STEP * far, 68.0)
            arc_x = -out * np.sin(turn) - 2.0
            arc_y = y + _STEP * far / 2 + _STEP * far / 2 * np.cos(turn)
            axes.plot(arc_x, arc_y, color=ACCENT, linewidth=1.5)
            arrow(axes, (arc_x[-6], arc_y[-6]), (-1.5, y), ACCENT, 1.5, shrink=2)
    return figure
