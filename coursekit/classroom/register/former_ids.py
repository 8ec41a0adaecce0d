"""Ids that students had before: where the class keeps them, and who carries which today."""

from __future__ import annotations

import csv

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.paper_places import FRAME_PAPER

FOLDER_OF_FRAMES = "frames"
FORMER_FILE = "former-ids.csv"
# folders of a class that hold one folder a student
BY_STUDENT = (
    *("hand-out", "submitted", "autograded", "feedback", "taken-in", "to-look-at"),
    *(FOLDER_OF_FRAMES, FRAME_PAPER),
)


def former_ids(folder: ClassFolder) -> dict[str, str]:
    """Return former id → the id of today, for work that still carries the former one."""
    path = folder.path / FORMER_FILE
    if not path.is_file():
        return {}
    with path.open(encoding="utf-8-sig", newline="") as file:
        return {row[0]: row[1] for row in list(csv.reader(file))[1:] if len(row) == 2}


def ids_today(folder: ClassFolder) -> dict[str, str]:
    """Return former id → the id of today, without former ids that are on the roster again."""
    now = {s.id for s in folder.students}
    return {old: new for old, new in former_ids(folder).items() if old not in now}


def first_id(folder: ClassFolder, student: str) -> str:
    """Return the id that a student of today had first, for what must outlast a change of id."""
    first = folder.drawn_as(student, "")
    return first if former_ids(folder).get(first) == student else student
