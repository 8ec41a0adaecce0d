"""Undoes the last step, or takes the last undo back."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register import undo
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Undo it."""
    done = undo.undo(folder, redo=said["redo"])
    return {"words": done.step.words, "redo": said["redo"], "left": list(done.left)}
