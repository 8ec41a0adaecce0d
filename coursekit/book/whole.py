"""What makes the lessons one book: which comes before which, and where each word is used.

The front matter of a lesson's page names the lessons that it builds on, `needs: [slug, …]`.
Everything else here is made from that, from `course/_toc.yml` and from the glossary.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from coursekit.book.lesson import lessons
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.bank.lesson_headings import anchor

_FRONT = re.compile(r"\A---\n(.*?)^---\n", re.DOTALL | re.MULTILINE)
_TERM = re.compile(r"\{term\}`([^`]+)`")
_TIME = re.compile(r"^(Read in \d+ minutes; work in \d+ more.*(?:\n.+)*)$", re.MULTILINE)


def title(page: str, root: Path) -> str:
    """Return the title of `course/<page>.md`, or the page's own name if it has no title."""
    found = re.search(r"^# +(.+?) *$", _text(page, root), re.MULTILINE)
    return found[1] if found else page


def needs(root: Path) -> dict[str, tuple[str, ...]]:
    """Return lesson → the lessons it builds on, both in the book's order.

    Raises
    ------
    AuthoringError
        *needs must name lessons that come earlier in the book; got …*
    """
    order, found = lessons(root), {}
    for at, slug in enumerate(order):
        wanted = tuple(_front(slug, root).get("needs") or ())
        if late := [w for w in wanted if w not in order[:at]]:
            raise AuthoringError(
                f"course/{slug}.md: needs must name lessons that come earlier in the book; got "
                f"{', '.join(map(str, late))}. Move the lesson in course/_toc.yml, or leave it out."
            )
        found[slug] = tuple(s for s in order if s in wanted)
    return found


def wanted_by(before: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """Return lesson → the lessons that build on it, the reverse of `needs`.

    >>> wanted_by({"a": (), "b": ("a",), "c": ("a", "b")})
    {'a': ('b', 'c'), 'b': ('c',), 'c': ()}
    """
    return {s: tuple(t for t, names in before.items() if s in names) for s in before}


def with_needs(slug: str, text: str, root: Path) -> str:
    """Return a page's text with a line, below its time, that names the lessons it builds on."""
    if not (before := needs(root).get(slug)):
        return text
    line = "Before it: " + ", ".join(f"{{doc}}`{s}`" for s in before) + "."
    return _TIME.sub(lambda found: f"{found[1]}\n{line}", text, count=1)


Place = tuple[str, str, str]  # page, anchor and heading of a section


def used_words(root: Path) -> dict[str, tuple[Place, ...]]:
    """Return word of the glossary → where the lessons use it, in the book's order.

    A word counts where a page links it to the glossary. If no page links it, it counts wherever it
    is written. It counts once for each section.
    """
    words = {w.lower(): w for w in glossary(root)}
    linked: dict[str, list[Place]] = {w: [] for w in words.values()}
    written: dict[str, list[Place]] = {w: [] for w in words.values()}
    for place, text in _sections(root):
        for said in _TERM.findall(text):
            target = re.search(r"<([^>]+)>$", said)
            word = words.get((target[1] if target else said).lower())
            if word and place not in linked[word]:
                linked[word].append(place)
        for low, word in words.items():
            if re.search(rf"\b{re.escape(low)}s?\b", text.lower()):
                written[word].append(place)
    found = {w: tuple(linked[w] or written[w]) for w in words.values()}
    return {w: places for w, places in found.items() if places}


def _sections(root: Path) -> Iterator[tuple[Place, str]]:
    for slug in lessons(root):
        parts = re.split(r"^## +(.+?) *$", _FRONT.sub("", _text(slug, root)), flags=re.MULTILINE)
        yield (slug, "", title(slug, root)), parts[0]
        for heading, text in zip(parts[1::2], parts[2::2], strict=True):
            yield (slug, anchor(heading), heading), text


def glossary(root: Path) -> tuple[str, ...]:
    """Return the words that the glossary explains, in its order."""
    body = _text("glossary", root).partition("```{glossary}\n")[2].partition("\n```")[0]
    return tuple(line for line in body.splitlines() if line and not line[0].isspace())


def _front(page: str, root: Path) -> dict[str, Any]:
    found = _FRONT.match(_text(page, root))
    return dict(yaml.safe_load(found[1]) or {}) if found else {}


def _text(page: str, root: Path) -> str:
    return (root / "course" / f"{page}.md").read_text(encoding="utf-8")
