"""Looks whether the class is whole, and what is out of date."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.report import class_check
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Return what was found."""
    found = class_check.check(folder, root)
    return {"findings": [asdict(one) for one in found.findings]}
