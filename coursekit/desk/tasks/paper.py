"""Counts what was chosen to be printed and, if that was asked for, writes it as one pile."""

from __future__ import annotations

from pathlib import Path
from typing import cast

from coursekit.classroom.handout import printing
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Return how many sheets it takes and, once written, where the pile lies in the class."""
    how = printing.How(said["paper"], said["two_sided"], said["large"])
    plan = printing.plan(
        folder,
        root,
        cast("list[printing.Kind]", said["kinds"]),
        said["lessons"],
        said["students"] or None,
        how,
        tell=lambda words, done, of: tell(f"{words} is set.", done, of),
    )
    facts: Facts = {"lines": plan.lines(), "sheets": plan.sheets, "documents": plan.facts()}
    if said["write"]:
        written = printing.write(plan, folder.path, _writing(tell), pile=True)
        assert written.pile
        facts["pile"] = written.pile.relative_to(folder.path).as_posix()
    return facts


def _writing(tell: Tell) -> Tell:
    return lambda words, done, of: tell(f"{words} is written.", done, of)
