"""One figure of a lesson, drawn by the code on the lesson's page, as SVG for another page.

Only what the figure needs is run: the page's hidden first cells and its own. A figure that needs
what a visible cell works out gets all the cells before it.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Callable
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

from coursekit.classroom.bank import lesson_figures
from coursekit.classroom.bank.lesson_figures import Figure

_HIDDEN = "remove-cell"


def pen(root: Path) -> Callable[[Figure], str]:
    """Return what draws figures of the course at `root`; "" for one whose code fails."""

    def draw(figure: Figure) -> str:
        try:
            return svg(root, figure)
        except Exception:  # code of a page can fail in any way, and a report stands without it
            logging.getLogger("coursekit.book.sketches").warning("No sketch", exc_info=True)
            return ""

    return draw


def svg(root: Path, figure: Figure) -> str:
    """Return the figure as a whole SVG document, the same bytes each time."""
    import matplotlib

    matplotlib.use("agg")
    from matplotlib import pyplot

    cells = lesson_figures.cells(root, figure.slug)
    before, own = cells[: figure.cell], cells[figure.cell]
    pyplot.close("all")
    try:
        try:
            _run([c.code for c in (*before, own) if _HIDDEN in c.tags or c is own])
        except NameError:
            pyplot.close("all")
            _run([c.code for c in (*before, own) if not c.picture or c is own])
        made = io.StringIO()
        with matplotlib.rc_context({"svg.fonttype": "path", "svg.hashsalt": "coursekit"}):
            pyplot.gcf().savefig(made, format="svg", metadata={"Date": None})
        return made.getvalue()
    finally:
        pyplot.close("all")


def _run(codes: list[str]) -> None:
    names: dict[str, Any] = {}
    with redirect_stdout(io.StringIO()):  # what visible cells print is for the lesson's page
        for code in codes:
            exec(compile(code, "lesson", "exec"), names)
