"""Puts a copy of the gradebook that was kept back in its place."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Put the copy that was said back."""
    lock_and_backup.put_back(folder, said["copy"])
    return {"copy": said["copy"]}
