"""The figures of a lesson's page: what each shows, in words, and under which heading it stands.

Drawing one takes the code on the page and matplotlib (`coursekit.book.sketches`); what is known
here comes from the page's text alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from coursekit.classroom.bank.lesson_headings import anchor

_FENCE = re.compile(r"(`{3,})(\{code-cell\})?")


@dataclass(frozen=True)
class Figure:
    """One figure of the lesson `slug`: its caption and what its picture shows, both in words.

    `cell` counts the code cells of the page from 0; `heading` is the address of the heading that it
    stands under, and `line` the line of the page on which it begins.
    """

    slug: str
    caption: str
    alt: str
    heading: str
    cell: int
    line: int


@dataclass(frozen=True)
class Cell:
    """A code cell of a page: its code, its tags, and what the page says of its picture."""

    code: str
    tags: tuple[str, ...]
    picture: dict[str, Any]


def figure_for(root: Path, slug: str, address: str) -> Figure | None:
    """Return the figure that goes with a heading of the lesson; None if the page has none at all.

    That is the first one under the heading, or else the one nearest to it on the page.
    """
    found, places = _page(_text(root, slug), slug)
    if not found:
        return None
    here = places.get(address, 0)
    return min(found, key=lambda f: (f.heading != address, abs(f.line - here)))


def cells(root: Path, slug: str) -> tuple[Cell, ...]:
    """Return the code cells of a lesson's page, in order."""
    return tuple(_cell(block) for _, _, block in _cells(_text(root, slug)))


def _text(root: Path, slug: str) -> str:
    path = root / "course" / f"{slug}.md"
    return path.read_text(encoding="utf-8") if path.is_file() else ""


@lru_cache(maxsize=4)
def _page(text: str, slug: str) -> tuple[tuple[Figure, ...], dict[str, int]]:
    """Return the figures of a page, and the line of each heading by its address."""
    figures = []
    places: dict[str, int] = {}
    for number, (line, heading, block) in enumerate(_cells(text, places)):
        if "figure:" not in block:
            continue
        said = _cell(block).picture
        caption = str(said.get("figure", {}).get("caption", ""))
        alt = str(said.get("image", {}).get("alt", ""))
        figures.append(Figure(slug, caption, alt, heading, number, line))
    return tuple(figures), places


def _cells(text: str, places: dict[str, int] | None = None) -> Iterator[tuple[int, str, str]]:
    """Yield the line, the heading above it and the text of each code cell; note the headings."""
    fence, heading, start = "", "", 0
    block: list[str] | None = None
    for number, line in enumerate(text.splitlines()):
        if fence:
            if line.strip() == fence:
                if block is not None:
                    yield start, heading, "\n".join(block)
                fence, block = "", None
            elif block is not None:
                block.append(line)
        elif found := _FENCE.match(line):
            fence, start = found[1], number
            block = [] if found[2] else None
        elif line.startswith("## ") or line.startswith("### "):
            heading = anchor(line.lstrip("# "))
            if places is not None:
                places[heading] = number


def _cell(block: str) -> Cell:
    """Return a cell from the text between its fences: a head in YAML or in options, then code."""
    if block.startswith("---\n"):
        head, _, code = block[4:].partition("\n---")
        said = yaml.safe_load(head) or {}
        return Cell(code.lstrip("\n"), tuple(said.get("tags", ())), said.get("mystnb", {}))
    options = re.match(r"(?::[^\n]*\n)*", block)
    head = options[0] if options else ""
    return Cell(block[len(head) :], tuple(re.findall(r"[a-z]+-[a-z]+", head)), {})
