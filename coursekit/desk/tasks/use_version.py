"""Lets one version of a student's work count."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.intake import choosing
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Let version `number` count, if it is still the one that the page showed by that number."""
    student, slug, number = said["student"], said["lesson"], int(said["number"])
    meant = [one for one in choosing.versions(folder, student, slug) if one.number == number]
    if not meant or f"{meant[0].came} {meant[0].source}" != said["mark"]:
        raise ClassError(
            "The list of versions has changed since this page was shown, so nothing was chosen. "
            "Look at it again."
        )
    choosing.use(folder, student, slug, number)
    return {}
