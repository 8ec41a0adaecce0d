"""Packs the class into a zip file."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register import packing
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Pack it into the file that was said."""
    left: list[str] = []
    count = packing.pack(folder, Path(said["file"]), left.append)
    return {"file": said["file"], "count": count, "left": left}
