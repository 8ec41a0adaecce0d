"""A lesson as its author keeps it: the page and both halves of the exercise, read together."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import yaml

from coursekit.book import page as pages
from coursekit.book.page import LessonPage
from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.bank.exercises import AuthoringError, Exercise
from coursekit.classroom.bank.keys import Key

FIRST, LAST = "The part in the hand", "Common mistakes"


@dataclass(frozen=True)
class Lesson:
    """A lesson's files as they were read: its page and both halves of its exercise."""

    slug: str
    root: Path
    page: LessonPage
    exercise: Exercise
    key: Key

    @property
    def ideas(self) -> list[str]:
        """The sections that teach: those between the part in the hand and the common mistakes."""
        titles = list(self.page.sections)
        if FIRST not in titles or LAST not in titles:
            return []
        return titles[titles.index(FIRST) + 1 : titles.index(LAST)]


def lessons(root: Path) -> tuple[str, ...]:
    """Return the pages of `course/_toc.yml` that have an exercise, in the book's order."""
    toc = yaml.safe_load((root / "course" / "_toc.yml").read_text(encoding="utf-8"))
    parts = toc.get("parts") or [toc]
    files = [str(c["file"]) for part in parts for c in part.get("chapters") or ()]
    return tuple(f for f in files if (root / "exercises" / f"{f}.md").is_file())


def read(slug: str, root: Path) -> Lesson:
    """Return the lesson `slug` of the course in `root`.

    Raises
    ------
    AuthoringError
        If it has no page, or if a half of its exercise is missing or wrong.
    """
    path = root / "course" / f"{slug}.md"
    if not path.is_file():
        raise AuthoringError(
            f"course/{slug}.md: a lesson must have a page; got no such file. Write it."
        )
    exercise = exercises.load(slug, root)
    page = pages.read(path.read_text(encoding="utf-8"))
    return Lesson(slug, root, page, exercise, keys.load(exercise, root))
