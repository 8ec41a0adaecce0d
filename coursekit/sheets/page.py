"""Sets a page description with typst: paper sizes, fonts, no date, the same bytes each time.

What was set is kept for a while by its content, so that pages that were counted before printing
need not be set again to be written. typst is loaded with the first page.
"""

from __future__ import annotations

import json
import re
from collections import OrderedDict
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
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
MOST_KEPT = 100_000_000  # bytes of finished PDFs that are kept; a worksheet has some 40,000
_HERE = Path(__file__).parent
_kept: OrderedDict[bytes, bytes] = OrderedDict()  # what a PDF was made from → the PDF
_one_at_a_time = Lock()
_PAGES = re.compile(rb"/Type ?/Pages\b[^>]*?/Count (\d+)")


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
    mark = sha256(f"{layout}\n{filled['data']}".encode("utf-8", "surrogatepass")).digest()
    with _one_at_a_time:
        if mark in _kept:
            _kept.move_to_end(mark)
            return _kept[mark]
    made = _set(layout, filled)
    with _one_at_a_time:
        _kept[mark] = made
        while sum(map(len, _kept.values())) > MOST_KEPT and len(_kept) > 1:
            _kept.popitem(last=False)
    return made


def forget() -> None:
    """Forget the pages that are kept; the next ones are set anew."""
    with _one_at_a_time:
        _kept.clear()


def sides(pdf: bytes) -> int:
    """Return how many pages a PDF has that `pdf` made.

    Raises
    ------
    ValueError
        A PDF must be one that was set here; …

    Examples
    --------
    >>> sides(b"1 0 obj <</Type/Pages/Count 6/Kids[]>>")
    6
    """
    found = _PAGES.findall(pdf)
    if len(found) != 1:
        raise ValueError(f"A PDF must be one that was set here; got {len(found)} lists of pages.")
    return int(found[0])


def _set(layout: str, filled: dict[str, str]) -> bytes:
    import typst

    try:
        return _compiled(layout, filled, ["ua-1"])
    except typst.TypstError:
        return _compiled(layout, filled, [])


def _compiled(layout: str, filled: dict[str, str], standards: list[Any]) -> bytes:
    import typst

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
    import typst

    return typst.Fonts(include_system_fonts=True, include_embedded_fonts=True)
