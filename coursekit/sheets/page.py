"""Sets a page description with typst: paper sizes, fonts, no date, the same bytes each time."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal

import typst

Paper = Literal["a4", "us-letter"]
SIZES: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
Sheet = Literal["a4", "us-letter", "a3", "a2", "a1", "a0"]  # for one frame's paper
LARGE: dict[str, tuple[float, float]] = {  # ISO 216
    "a3": (297.0, 420.0),
    "a2": (420.0, 594.0),
    "a1": (594.0, 841.0),
    "a0": (841.0, 1189.0),
}
MARGIN = 15.0  # left and right, mm; ink stays 6 mm from every edge
_HERE = Path(__file__).parent


def size(paper: str) -> tuple[float, float]:
    """Return width and height of a paper, mm (A4 by ISO 216; US Letter 8 1/2 × 11 in).

    Raises
    ------
    ValueError
        A paper must be a4 or us-letter; got …

    Examples
    --------
    >>> size("us-letter")
    (215.9, 279.4)
    """
    if paper not in SIZES:
        raise ValueError(f"A paper must be a4 or us-letter; got {paper!r}. Choose one.")
    return SIZES[paper]


def any_size(paper: str) -> tuple[float, float]:
    """Return width and height, mm, of a paper that a desk printer or a plotter takes.

    Raises
    ------
    ValueError
        A paper must be one of a4, us-letter, a3, a2, a1, a0; got …

    Examples
    --------
    >>> any_size("a1"), any_size("a4")
    ((594.0, 841.0), (210.0, 297.0))
    """
    if paper in LARGE:
        return LARGE[paper]
    if paper not in SIZES:
        known = ", ".join((*SIZES, *LARGE))
        raise ValueError(f"A paper must be one of {known}; got {paper!r}. Choose one.")
    return size(paper)


def pdf(layout: str, data: Mapping[str, Any]) -> bytes:
    """Return the PDF of `layout` (a .typ file beside this module) filled with `data`.

    The data travel as JSON and are set as plain text, so that no name or question can act as a
    command. Layouts leave the date out, so the same data give the same bytes. The PDF is PDF/UA-1
    (ISO 14289-1): tagged, with title and language. Where a letter has no font on this machine it is
    tagged all the same, but does not claim the standard.
    """
    filled = {"data": json.dumps(data, ensure_ascii=False, sort_keys=True)}
    try:
        return _compiled(layout, filled, ["ua-1"])
    except typst.TypstError:
        return _compiled(layout, filled, [])


def _compiled(layout: str, filled: dict[str, str], standards: list[Any]) -> bytes:
    made: Any = typst.compile(
        _HERE / layout,
        root=_HERE,
        font_paths=_fonts(),
        sys_inputs=filled,
        format="pdf",
        pdf_standards=standards,
    )
    assert isinstance(made, bytes)
    return made


@cache
def _fonts() -> typst.Fonts:
    """The fonts inside typst set every page; the machine's own fill in letters that these lack."""
    return typst.Fonts(include_system_fonts=True, include_embedded_fonts=True)
