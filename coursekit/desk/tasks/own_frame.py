"""Puts the frame that a student really builds in the place of the drawn one."""

from __future__ import annotations

import tempfile
from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.students import own_frames
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Put it there, and return in lines what comes of it."""
    with tempfile.TemporaryDirectory() as place:
        file = Path(place, "frame.toml")
        file.write_text(said["text"], encoding="utf-8")
        try:
            lines = list(own_frames.put(folder, said["student"], file, root))
        except ValueError as error:
            raise ValueError(str(error).replace(str(file), said["file"])) from None
    return {"student": said["student"], "lines": lines}
