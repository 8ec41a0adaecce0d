"""The headings of a lesson's page, found by their anchor: the part of an address after the #."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from pathlib import Path


def anchor(title: str) -> str:
    """Return a heading's address in the built page, made as docutils makes it.

    >>> anchor("One degree wrong: what, and how far?")
    'one-degree-wrong-what-and-how-far'
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")


def heading(root: Path | None, slug: str, address: str) -> str:
    """Return the heading of a lesson that has this anchor, as its author wrote it.

    Where the course is not at hand, or has no such heading, the words are made from the anchor.

    >>> heading(None, "shop-maths", "small-angles")
    'Small angles'
    """
    path = root / "course" / f"{slug}.md" if root else None
    text = path.read_text(encoding="utf-8") if path and path.is_file() else ""
    words = address.replace("-", " ")
    return _headings(text).get(address, words[:1].upper() + words[1:])


@lru_cache(maxsize=4)
def _headings(text: str) -> dict[str, str]:
    """Return anchor → words of each heading, without the marks for slanted letters and code."""
    from markdown_it import MarkdownIt

    tokens = MarkdownIt("commonmark").parse(text)
    return {
        anchor(inner.content): "".join(part.content for part in inner.children or ())
        for before, inner in pairwise(tokens)
        if before.type == "heading_open"
    }
