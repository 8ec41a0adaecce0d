"""Hands in a student's answers from paper that were recorded but kept back."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.handout.assignments import assignment
from coursekit.classroom.paper import as_notebook
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Hand in; with `replace` they take the place of a notebook that the student handed in."""
    student = said["student"]
    work = assignment(folder, said["lesson"], root)
    replace = [student] if said["replace"] else []
    for one in as_notebook.hand_in(work, [student], replace=replace):
        if one.why:
            raise ClassError(one.why)
    return {}
