"""Gives a student another id."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.students import rename
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False  # states under the old id fit nothing that is made from now on


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Give it; if it was cut off before, go on."""
    rename.rename(folder, said["student"], said["id"])
    return {"old": said["student"], "student": said["id"]}
