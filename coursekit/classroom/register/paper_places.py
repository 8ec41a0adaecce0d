"""Where a class's worksheets lie: a folder a lesson, in it one for each paper and way of printing.

`worksheets/<lesson>/<paper>/<student>.pdf`, so that Letter does not write over A4, nor large print
over the usual. Classes of before have them straight in the lesson's folder or in `large`; they are
found there as well. Nothing here loads what makes a page.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder

WORKSHEETS, KEYS, FRAME_PAPER, PILES = "worksheets", "answer-key", "frame-paper", "to-print"
CLASS_SET, BLANK = "class", "blank"
_KEPT = re.compile(rf"{CLASS_SET}(-\d+)?")


def is_class_set(path: Path) -> bool:
    """Return whether the file at `path` holds the worksheets of many students.

    >>> names = ("class.pdf", "class-2.pdf", "classy.pdf", "blank.pdf")
    >>> [is_class_set(Path(name)) for name in names]
    [True, True, False, False]
    """
    return _KEPT.fullmatch(path.stem) is not None


def is_taken(student: str) -> bool:
    """Return whether a student's own file would have the name of a set."""
    name = student.casefold()
    return name == BLANK or _KEPT.fullmatch(name) is not None


def printed(folder: ClassFolder, slug: str) -> frozenset[str]:
    """Return the ids of the students whose worksheet of a lesson was made, in any way."""
    return frozenset(path.stem for path in _of_students(folder.path / WORKSHEETS / slug))


def own_worksheets(folder: ClassFolder, student: str) -> list[Path]:
    """Return a student's own worksheets on every paper, those in large print among them."""
    lessons = folder.path / WORKSHEETS
    found = (path for lesson in _folders(lessons) for path in _of_students(lesson))
    return sorted(path for path in found if path.stem == student)


def in_words(how: str) -> str:
    """Return the name of a folder of what is printed alike as a person says it.

    >>> in_words("a4"), in_words("us-letter-large-two-sided")
    ('A4', 'Letter, large print, both sides')
    """
    if how == "large":  # of a class of before
        return "large print"
    paper = how.removesuffix("-two-sided").removesuffix("-large")
    parts = ["Letter" if paper == "us-letter" else paper.upper()]
    parts += ["large print"] if "-large" in how else []
    parts += ["both sides"] if how.endswith("-two-sided") else []
    return ", ".join(parts)


def _of_students(lesson: Path) -> Iterator[Path]:
    for place in (lesson, *_folders(lesson)):
        for path in place.glob("*.pdf") if place.is_dir() else ():
            if not is_taken(path.stem):
                yield path


def _folders(path: Path) -> list[Path]:
    return [p for p in path.iterdir() if p.is_dir()] if path.is_dir() else []
