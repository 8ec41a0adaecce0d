"""Takes new students into the class, and mends names and e-mail addresses."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.roster import Student
from coursekit.classroom.students import rename
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Do it; ids that are on the roster must stay on it."""
    known = {s.id for s in folder.students}
    students = [Student(*line) for line in said["students"]]
    rename.open_with(folder.path, students, mails=True)
    return {"new": [[s.id, s.name or s.id] for s in students if s.id not in known]}
