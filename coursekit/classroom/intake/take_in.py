"""Takes in what students hand in: keeps each version of their work, submits one, and tells of all.

Whatever is wrong with one piece of it, the rest is taken in, and every file is in the list.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path

import nbformat

from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.intake.archives import (
    ArchiveReader,
    FoundFile,
    Stored,
    files,
    stored,
    unfolded,
)
from coursekit.classroom.intake.found_files import sort_out
from coursekit.classroom.intake.gathering import Gatherer
from coursekit.classroom.intake.keeping import Keeper
from coursekit.classroom.intake.owner import OwnerClues
from coursekit.classroom.intake.saved_answers import Saver
from coursekit.classroom.intake.taken import Taken as Taken
from coursekit.classroom.register import former_ids, lock_and_backup
from coursekit.classroom.register.class_folder import ClassError, ClassFolder

PASTED = "what was pasted"


def take_in(
    folder: ClassFolder,
    paths: Iterable[Path | Sequence[Stored]],
    *,
    pasted: bytes | None = None,
    student: str = "",
    slug: str = "",
    came: datetime | None = None,
    by_file_time: bool = False,
    only: str = "",
) -> list[Taken]:
    """Return what became of every file at `paths`, and of the text `pasted`.

    A path may also be files that lie under other names than those under which they were given. With
    `only`, nothing else is taken in than the file that the list calls so; the others only help to
    tell what came with it.

    `student` and `slug` say whose work it is and on what, and overrule what the files say. `came`
    is when it came (with its zone), by default now; with `by_file_time` the file's own time counts.
    Raises ClassError for a path that is not there, for an unknown student or exercise, or if the
    class is being marked.
    """
    clues = owner_clues(folder)
    if student:
        folder.student(student)
    if slug and slug not in clues.cells:
        raise ClassError(
            f"{slug}: an exercise must be handed out before work on it is taken in; the class has "
            f"{', '.join(sorted(clues.cells)) or 'none'}. Run `coursekit hand-out` first."
        )
    gatherer = Gatherer(clues, Saver(folder), student, slug)
    with ArchiveReader() as reader:
        for path in paths:
            if not isinstance(path, Path):
                gatherer.gather(sort_out(stored(path, reader)), path[0].parts[0])
                continue
            if not path.exists() and not path.is_symlink():
                raise ClassError(
                    f"{path}: what is taken in must be there; got nothing of that name."
                )
            gatherer.gather(sort_out(files(path, reader)), path.name)
        if pasted is not None:
            gatherer.gather(sort_out(unfolded(_pasted(pasted))), PASTED)
        if only:
            gatherer.leave_all_but(only)
        with lock_and_backup.only_writer(folder):
            keeper = Keeper(folder, gatherer.saver, came, by_file_time)
            return gatherer.told + keeper.keep(gatherer.incoming, gatherer.to_look_at)


def _pasted(data: bytes) -> FoundFile:
    return FoundFile((PASTED,), None, lambda most: data if len(data) <= most else None)


def owner_clues(folder: ClassFolder) -> OwnerClues:
    """Return what the class recognises work by."""
    cells = {}
    for path in sorted((folder.path / "release").glob("*/*.ipynb")):
        notebook = nbformat.reads(path.read_text(encoding="utf-8"), as_version=4)
        cells[path.parent.name] = frozenset(id for c in notebook.cells if (id := grade_id(c)))
    return OwnerClues(folder, cells, former_ids.former_ids(folder))
