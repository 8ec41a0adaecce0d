"""An exercise's text, written in Markdown, as plain pieces that a printed page is set from."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

Piece = dict[str, Any]
_STYLES = {"strong_open": "strong", "em_open": "emph"}
_UNITS = {"deg": "°", "C": "°C"}


def clean(text: str, most: int = 80) -> str:
    r"""Return a line fit to print: no control or direction marks, at most `most` characters.

    Examples
    --------
    >>> clean("  Ann\tof the\n harbour ")
    'Ann of the harbour'
    """
    kept = "".join(
        " " if c.isspace() else c
        for c in text
        if c.isspace() or (unicodedata.category(c)[0] != "C" or c in "\u200c\u200d")
    )
    line = " ".join(c for c in kept.split() if c)
    return line if len(line) <= most else line[: most - 1] + "…"


def quantity(value: float, unit: str) -> str:
    """Return a value with its unit as it is printed.

    Examples
    --------
    >>> quantity(61.5, "deg"), quantity(36.0, "mm")
    ('61.5°', '36 mm')
    """
    return f"{number(value)}{unit_after(unit)}".strip()


def number(value: float) -> str:
    """Return `value` without needless zeros, its minus sign a long one."""
    return long_minus(f"{value:.10g}")


def long_minus(number: str) -> str:
    """Return a text of numbers with minus signs as they are printed; every hyphen becomes one."""
    return number.replace("-", "−")


def signed(value: float, form: str = ".2f") -> str:
    """Return a value with its sign, in the number format `form`; zero has none.

    Examples
    --------
    >>> signed(0.33), signed(-0.031, ".3g"), signed(-0.001)
    ('+0.33', '−0.031', '0.00')
    """
    shown = f"{value:+{form}}"
    return long_minus(shown if float(shown) else shown[1:])


def unit_after(unit: str, gap: str = " ") -> str:
    """Return a unit as it is written after a number: "°" close to it, others after a gap.

    Examples
    --------
    >>> unit_after("deg"), unit_after("mm")
    ('°', ' mm')
    """
    sign = unit_sign(unit)
    return sign if sign == "°" else f"{gap}{sign}"


def unit_sign(unit: str) -> str:
    """Return the sign that is printed for a unit of the exercise bank."""
    return _UNITS.get(unit, unit)


def unit_word(unit: str) -> str:
    """Return a unit as it is named in a sentence: "degrees", others as they stand."""
    return "degrees" if unit == "deg" else unit


def pieces(markdown: str) -> list[Piece]:
    """Return paragraphs, lists and code of `markdown`, in order.

    A paragraph is `{"kind": "par", "runs": [[style, text], …]}`, a list has `items` of runs, code
    has `text`. Nothing in them is ever read as a command of the page setter.
    """
    tokens = _parser().parse(markdown)
    made: list[Piece] = []
    items: list[list[tuple[str, str]]] | None = None
    for token in tokens:
        if token.type in ("bullet_list_open", "ordered_list_open"):
            items = []
            made.append({"kind": "list", "items": items, "ordered": token.type[0] == "o"})
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            items = None
        elif token.type in ("fence", "code_block"):
            made.append({"kind": "code", "text": token.content.rstrip("\n")})
        elif token.type == "inline":
            runs = _runs(token.children or [])
            if items is None:
                made.append({"kind": "par", "runs": runs})
            else:
                items.append(runs)
    return made


@cache
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt  # slow to import, and few callers need it

    return MarkdownIt("commonmark", {"html": False})


def _runs(tokens: Sequence[Token]) -> list[tuple[str, str]]:
    style = "plain"
    runs: list[tuple[str, str]] = []
    for token in tokens:
        if token.type in _STYLES:
            style = _STYLES[token.type]
        elif token.type in ("strong_close", "em_close"):
            style = "plain"
        elif token.type in ("softbreak", "hardbreak"):
            runs.append((style, " "))
        elif token.type == "code_inline":
            runs.append(("code", token.content))
        elif token.content:
            runs.append((style, token.content))
    return runs
