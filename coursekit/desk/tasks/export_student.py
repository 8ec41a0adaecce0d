"""Writes all that the class holds about a student into a zip file."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.students import privacy
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Write the file that was said."""
    left: list[str] = []
    holds = privacy.export(folder, said["student"], root, Path(said["file"]), left.append)
    return {"student": said["student"], "file": said["file"], "count": len(holds), "left": left}
