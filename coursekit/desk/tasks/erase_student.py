"""Takes a student out of everything that the class keeps."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.students import privacy
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False  # nothing may bring the student back


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Erase them."""
    done = privacy.erase(folder, said["student"])
    return {"student": said["student"], "removed": list(done.removed), "left": list(done.left)}
