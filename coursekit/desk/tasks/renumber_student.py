"""Gives a student other own numbers in some lessons."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.handout import assignments
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.students import rename
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Give them."""
    works = [assignments.assignment(folder, slug, root) for slug in said["lessons"]]
    rename.renumber(folder, said["student"], works, even_so=said["even_so"])
    return {"student": said["student"], "lessons": said["lessons"]}
