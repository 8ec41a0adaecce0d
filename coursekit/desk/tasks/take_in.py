"""Takes in what was dropped; or one piece of it, with the instructor's word on whose it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coursekit.classroom.intake.drop_settling import settle, take_in_drop
from coursekit.classroom.intake.drops import Drop
from coursekit.classroom.intake.take_in import Taken
from coursekit.classroom.marking import whose
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Take in the drop `said["drop"]`, or the piece of it that is called `source`."""

    def fits(told: Sequence[Taken]) -> Mapping[int, Any]:
        return whose.proposals(folder, told, root)

    drop = Drop(folder, said["drop"])
    if "source" in said:
        lines = settle(drop, said["source"], said["student"], said["lesson"], fits)
    else:
        lines = take_in_drop(drop, fits, tell)
    return {"drop": drop.id, "unclear": sum(one.state == "open" for one in lines)}
