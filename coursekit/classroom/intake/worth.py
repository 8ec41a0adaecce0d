"""How much of a version can be read: nothing, no answers, answers that are cut off, or all of them.

A newer version counts only if no more of it is missing than of the one before it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.intake import as_notebook
from coursekit.classroom.intake.submission import parsed
from coursekit.classroom.intake.texts import is_web_page
from coursekit.classroom.register.class_folder import ClassFolder

ASK_AGAIN = ". Ask for it again"
UNREADABLE, BLANK, CUT, WHOLE = range(4)
_NEAR_THE_END = 12  # characters: a word or an escape of JSON that is cut off is no longer


@dataclass(frozen=True)
class Worth:
    """What can be read in a version: its level, how many answers, and in words what is wrong."""

    level: int
    answers: int = 0
    trouble: str = ""


def of_notebook(folder: ClassFolder, slug: str, data: bytes) -> Worth:
    """Return the worth of a notebook, by what in it differs from the release."""
    notebook = parsed(data)
    if notebook is None:
        return Worth(UNREADABLE, trouble=why_unreadable(data))
    release = _release(folder.release(slug) / f"{slug}.ipynb")
    answers = sum(
        str(cell.source).strip() != release.get(grade_id(cell) or "", ("", False))[0]
        for cell in notebook.cells
        if release.get(grade_id(cell) or "", ("", False))[1]
    )
    own = any(_is_own(cell, release) for cell in notebook.cells)
    if answers or own or not release:
        return Worth(WHOLE, answers)
    return Worth(BLANK, trouble="it has no answers")


def of_text(exercise: Exercise, one: AnswerText) -> Worth:
    """Return the worth of a saved answer text."""
    answers = as_notebook.answered(exercise, one)
    cut = "" if one.whole else f"it is cut off: its end is missing{ASK_AGAIN}"
    if not answers:
        return Worth(BLANK, trouble=cut or "it has no answers")
    return Worth(WHOLE if one.whole else CUT, answers, cut)


def why_unreadable(data: bytes) -> str:
    """Return in words what is wrong with a notebook that does not read."""
    if not data.strip():
        return f"it is empty ({len(data)} bytes)"
    text = data.decode("utf-8", "replace").lstrip("\ufeff").rstrip()
    if is_web_page(text):
        return "it is a web page, not a notebook"
    try:
        json.loads(text)
    except json.JSONDecodeError as error:
        ends = error.pos >= len(text) - _NEAR_THE_END or "Unterminated" in error.msg
        if ends and text.startswith("{"):
            return "it is cut off: it ends in the middle"
    except RecursionError:
        pass
    return "it does not read as a notebook"


def _is_own(cell: Any, release: dict[str, tuple[str, bool]]) -> bool:
    """Whether a cell holds something of the student's, added to the release or changed in it."""
    text = str(cell.source).strip()
    return bool(text) and text != release.get(grade_id(cell) or "", ("", False))[0]


def _release(path: Path) -> dict[str, tuple[str, bool]]:
    try:
        return _read(path, path.stat().st_mtime_ns)
    except OSError:
        return {}


@lru_cache(maxsize=64)
def _read(path: Path, changed: int) -> dict[str, tuple[str, bool]]:
    """Return cell id → its text in the release, and whether it is there to be answered."""
    notebook = parsed(path.read_bytes())
    found = {}
    for cell in notebook.cells if notebook else ():
        if id := grade_id(cell):
            found[id] = (str(cell.source).strip(), bool(cell.metadata.nbgrader.get("solution")))
    return found
