"""What a lesson is called: its slug in files and commands, its title for people.

Wherever a person names a lesson, either will do, in any spelling of capitals, hyphens and accents,
and a word that is nearly one brings a question back.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path

import yaml

from coursekit.classroom.bank.bench_line import AuthoringError

_TITLE = re.compile(r"^title:.*$", re.MULTILINE)
_ALIKE = 0.5  # share of letters from which on a word counts as a misspelt lesson


def slugs(root: Path) -> tuple[str, ...]:
    """Return the slugs of all exercises below `root`, sorted."""
    return tuple(sorted(p.stem for p in (root / "exercises").glob("*.md")))


def title(slug: str, root: Path) -> str:
    """Return the title of the lesson `slug`, or the slug itself where the course has no such one.

    It reads one line of the file, and again only after the file has changed, so a page may ask for
    every title of the course.
    """
    return _title(root / "exercises" / f"{slug}.md") if slug in slugs(root) else slug


def titles(root: Path) -> dict[str, str]:
    """Return slug → title of every lesson that has an exercise."""
    return {slug: _title(root / "exercises" / f"{slug}.md") for slug in slugs(root)}


def _title(path: Path) -> str:
    about = path.stat()
    return _read_title(path, about.st_mtime_ns, about.st_size)


@lru_cache(maxsize=512)
def _read_title(path: Path, _changed: int, _size: int) -> str:
    head = path.read_text(encoding="utf-8").split("\n---", 1)[0]
    found = _TITLE.search(head)
    try:
        read = yaml.safe_load(found[0]) if found else {}
    except yaml.YAMLError:  # whoever loads the exercise is told what is wrong with its head
        read = {}
    return str(read.get("title") or path.stem)


def named(text: str, root: Path, also: Iterable[str] = ()) -> str:
    """Return the slug of the lesson that `text` names, by its slug or by its title.

    A page of the book without an exercise, and a slug among `also`, are returned as they are.

    Raises
    ------
    AuthoringError
        "There is no lesson 'miter-angel'. Did you mean miter-angles?", or the list of lessons where
        none is near.
    """
    if text in (*slugs(root), *also) or text in {p.stem for p in (root / "course").glob("*.md")}:
        return text
    wanted = plain(text)
    found = {slug for slug, name in titles(root).items() if wanted in (plain(slug), plain(name))}
    if len(found) == 1:
        return found.pop()
    raise unknown(text, root)


def near(text: str, root: Path) -> str:
    """Return the slug of the lesson that `text` may be a misspelling of, or "" if there is none."""
    called = {plain(name): slug for slug, name in titles(root).items()}
    called |= {plain(slug): slug for slug in slugs(root)}
    found = get_close_matches(plain(text), called, 1, cutoff=_ALIKE)
    return called[found[0]] if found else ""


def unknown(text: str, root: Path) -> AuthoringError:
    """Return the error for a lesson that is not there; it asks about one whose name is near."""
    if (meant := near(text, root)) and not (root / "course" / f"{text}.md").is_file():
        return AuthoringError(f"There is no lesson '{text}'. Did you mean {meant}?")
    there = ", ".join(slugs(root)) or "none"
    return AuthoringError(
        f"exercises/{text}.md: the public half of an exercise must be there; got no such file. "
        f"Write it, or use one of: {there}."
    )


def plain(name: str) -> str:
    """Return a name without capitals, accents and signs, so that spellings can be compared.

    >>> plain("Miter angles"), plain("miter-angles"), plain("ÉCLAIR, Jörg")
    ('miter angles', 'miter angles', 'eclair jorg')
    """
    parted = unicodedata.normalize("NFKD", name.casefold())
    letters = "".join(c for c in parted if not unicodedata.combining(c))
    return " ".join(re.findall(r"[^\W_]+", letters))
