"""The author's tools: the files of a new lesson, and a quick look at one lesson's page."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml

from coursekit.book import build
from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.register.class_folder import write_bytes, write_text

_NEW = Path(__file__).parent / "new"
_SLUG = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_OF_ALL = {"lesson-order"}  # pages that read every lesson, so they stand in the whole book alone
_NEEDS = re.compile(rb"^needs:.*$", re.MULTILINE)  # a line of a page's front matter
Progress = Callable[[str, float], None]


def files(slug: str) -> dict[str, str]:
    """Return the path of each file of a lesson in the course → the template it is made from."""
    return {
        f"course/{slug}.md": "page.md.in",
        f"exercises/{slug}.md": "exercise.md.in",
        f"solutions/{slug}.md": "solutions.md.in",
        f"tests/lessons/test_{slug.replace('-', '_')}.py": "test.py.in",
    }


def new(slug: str, root: Path, title: str = "", after: str = "") -> list[Path]:
    """Write a small lesson that works, for its author to fill in, and return its files.

    Parameters
    ----------
    slug : str
        The word by which the lesson is known everywhere.
    root : Path
        The course's folder.
    title : str
        The lesson's title; it is made from the slug if none is given.
    after : str
        The page that it follows in the book. Without it, the author adds the line to
        `course/_toc.yml`.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    AuthoringError
        For a slug that is not allowed, or if a file is there already; then nothing is written.
    """
    if not _SLUG.fullmatch(slug) or len(slug) > 40:
        raise AuthoringError(
            f"A slug must be small letters, digits and -, at most 40; got '{slug}'. Write it like "
            "'miter-angles'."
        )
    made = {root / place: source for place, source in files(slug).items()}
    if there := [p for p in made if p.exists()]:
        raise AuthoringError(
            f"{there[0].relative_to(root)}: a new lesson must not write over another; this is "
            "there. Choose another slug."
        )
    contents = _placed(root, slug, after) if after else None
    words = {
        "slug": slug,
        "title": title or slug.replace("-", " ").capitalize(),
        "module": slug.replace("-", "_"),
    }
    for path, source in made.items():
        text = (_NEW / source).read_text(encoding="utf-8")
        for name, value in words.items():
            text = text.replace("{" + name + "}", value)
        write_text(path, text)
    if contents:
        write_text(root / "course" / "_toc.yml", contents)
    return list(made)


def _placed(root: Path, slug: str, after: str) -> str:
    """Return the table of contents with a line for `slug` after that of `after`."""
    lines = (root / "course" / "_toc.yml").read_text(encoding="utf-8").splitlines()
    for number, line in enumerate(lines):
        if re.fullmatch(rf"\s*- file: {re.escape(after)}\s*", line):
            lines.insert(number + 1, line.replace(after, slug))
            return "\n".join(lines) + "\n"
    raise AuthoringError(
        f"course/_toc.yml: the page to stand before must be there; got '{after}', which is not. "
        "Leave --after out, or name one that is."
    )


def preview(slug: str, root: Path, progress: Progress | None = None) -> Path:
    """Build one lesson's page in `build/preview`, with the pages it links to, and return it.

    A link to a page that is not yet written is allowed here; only the book itself is strict. The
    line about the lessons it builds on is left out, because those lessons are not built.

    Parameters
    ----------
    slug : str
        The lesson.
    root : Path
        The course's folder.
    progress : callable, optional
        Called with a few words and the share that is done, 0 to 1.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    AuthoringError
        If the lesson has no page.
    """
    page = root / "course" / f"{slug}.md"
    if not page.is_file():
        there = sorted(p.stem for p in (root / "course").glob("*.md"))
        raise AuthoringError(
            f"course/{slug}.md: a lesson to look at must have a page; got no such file. Write it "
            f"with `coursekit lesson new`, or name one of {', '.join(there)}."
        )
    out = root / "build" / "preview"
    _stage(slug, root, out / "source")
    build.build(out / "source", out / "book", progress, strict=False)
    return out / "book" / "html" / f"{slug}.html"


def _stage(slug: str, root: Path, target: Path) -> None:
    """Make `target` a course of one lesson, the lessons it links to, and the other pages."""
    slugs = set(exercises.slugs(root)) - {slug}
    text = (root / "course" / f"{slug}.md").read_text(encoding="utf-8")
    near = {s for s in slugs if re.search(rf"`[^`]*(?<![\w-]){re.escape(s)}(?![\w-])[^`]*`", text)}
    left_out = (slugs - near | _OF_ALL) - {slug}
    contents = yaml.safe_load((root / "course" / "_toc.yml").read_text(encoding="utf-8"))
    _without(contents, left_out | {slug})
    first: Any = contents.setdefault("parts", []) if "chapters" not in contents else contents
    entry = {"file": slug}
    if isinstance(first, dict):
        first["chapters"].insert(0, entry)
    else:
        first.insert(0, {"caption": "Preview", "chapters": [entry]})
        contents["parts"] = [part for part in first if part.get("chapters")]
    wanted = {
        target / "course" / "_toc.yml": str(yaml.safe_dump(contents, sort_keys=False)).encode()
    }
    for name in ("course", "exercises", "solutions"):
        for path in sorted((root / name).rglob("*")):
            here = target / path.relative_to(root)
            if path.is_file() and "__pycache__" not in path.parts and here not in wanted:
                if name == "course" and path.stem in left_out and path.suffix == ".md":
                    continue
                wanted[here] = path.read_bytes()
                if name == "course" and path.suffix == ".md":
                    wanted[here] = _NEEDS.sub(b"needs: []", wanted[here], count=1)
    for path in sorted(p for p in target.rglob("*") if p.is_file()) if target.is_dir() else ():
        if path not in wanted:
            path.unlink()
    for path, data in wanted.items():
        write_bytes(path, data)


def _without(tree: Any, slugs: set[str]) -> None:
    """Take the pages `slugs` out of a table of contents."""
    for value in tree.values() if isinstance(tree, dict) else ():
        if isinstance(value, list):
            value[:] = [e for e in value if not (isinstance(e, dict) and e.get("file") in slugs)]
            for entry in value:
                _without(entry, slugs)
