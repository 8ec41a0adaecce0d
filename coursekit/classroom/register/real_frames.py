"""The frames that students are really building, put in place of the drawn ones.

`frames/<id>/1.toml`, `2.toml` … are a student's frame files in the order they came; the last one
counts. `frames/<id>/kept.json` holds, by lesson, which one its numbers stay with: what was handed
out before a frame came keeps the numbers that it was handed out with. 0 is the drawn frame.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from coursekit.classroom.register.class_folder import ClassError, ClassFolder, write_text
from coursekit.classroom.register.former_ids import FOLDER_OF_FRAMES
from coursekit.sheets import frame_facts, frame_file
from coursekit.sheets.build import Build
from coursekit.sheets.frame_facts import Facts

_KEPT = "kept.json"


def turn(folder: ClassFolder, student: str, slug: str) -> int:
    """Return which of a student's frames a lesson is about: 1 and on, 0 for the drawn one."""
    return _kept(folder, student).get(slug, _latest(folder, student))


def build(folder: ClassFolder, student: str, turn: int) -> Build:
    """Return a student's frame."""
    return frame_file.read(_file(folder, student, turn))


def facts(folder: ClassFolder, student: str, turn: int) -> Facts:
    """Return every number of a student's frame by its name, as `frame_facts.facts` does."""
    return frame_facts.facts(build(folder, student, turn))


def put(folder: ClassFolder, student: str, text: str, handed_out: Iterable[str]) -> int:
    """Put a frame in place; lessons that are handed out already keep the frame they have.

    Returns the frame's turn. The same text again changes nothing.
    """
    before = _latest(folder, student)
    if before and _file(folder, student, before).read_text(encoding="utf-8") == text:
        return before
    kept = dict.fromkeys(handed_out, before) | _kept(folder, student)
    write_text(_home(folder, student) / _KEPT, json.dumps(kept, indent=1, sort_keys=True) + "\n")
    write_text(_file(folder, student, before + 1), text)
    return before + 1


def _home(folder: ClassFolder, student: str) -> Path:
    return folder.path / FOLDER_OF_FRAMES / student


def _file(folder: ClassFolder, student: str, turn: int) -> Path:
    return _home(folder, student) / f"{turn}.toml"


def _latest(folder: ClassFolder, student: str) -> int:
    turns = [int(p.stem) for p in _home(folder, student).glob("*.toml") if p.stem.isdecimal()]
    return max(turns, default=0)


def _kept(folder: ClassFolder, student: str) -> dict[str, int]:
    path = _home(folder, student) / _KEPT
    if not path.is_file():
        return {}
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        return {str(slug): int(turn) for slug, turn in found.items()}
    except (OSError, ValueError, TypeError, AttributeError):
        raise ClassError(
            f"{path}: it must hold a number for each lesson; got another thing. Put the file back "
            "from your copy of the class folder: without it the student would get other numbers."
        ) from None
