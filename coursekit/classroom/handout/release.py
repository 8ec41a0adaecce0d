"""The release of an exercise: the notebook that every student is handed and that marking goes by.

It is made by hand-out, through `nbgrader generate_assignment`; everything else reads it.
"""

from __future__ import annotations

import hashlib
import logging
import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit.classroom.bank import notebooks
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.gradebook import opener, read_only, reader, source_cells
from coursekit.classroom.gradebook.nbgrader_settings import nbgrader_config
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, write_text

_HIDDEN = re.compile(r"### BEGIN HIDDEN TESTS.*?### END HIDDEN TESTS", re.DOTALL)


@dataclass(frozen=True)
class Release:
    """A release as it was read."""

    text: str

    @cached_property
    def notebook(self) -> NotebookNode:
        """The notebook; all callers share it, so copy what you change."""
        notebook: NotebookNode = nbformat.reads(self.text, as_version=4)
        return notebook


def make(folder: ClassFolder, exercise: Exercise, source: NotebookNode, numbers: str) -> Release:
    """Return the release of `source`, made if it is not there or if the source has changed.

    `numbers` is the text of the numbers file that lies beside the source. nbgrader empties its
    release folder before it knows whether it will succeed, so it is given a folder of its own, and
    the release is copied over at the end.
    """
    slug = exercise.slug
    text = notebooks.file_text(source).rstrip("\n")
    write_text(folder.source(slug) / f"{slug}.ipynb", text)
    write_text(folder.source(slug) / notebooks.NUMBERS_FILE, numbers)
    path, stamp = _path(folder, slug), folder.made / f"{slug}.release"
    digest = hashlib.sha256(text.encode()).hexdigest()
    if path.is_file() and stamp.is_file() and stamp.read_text() == digest:
        there = Release(path.read_text(encoding="utf-8"))
        if _is_in_gradebook(folder, slug, there):
            return there
    made = _generate(folder, exercise)
    write_text(path, made.text)
    write_text(stamp, digest)
    return made


def read(folder: ClassFolder, exercise: Exercise) -> Release:
    """Return the release that hand-out made, and make sure that the gradebook holds the exercise.

    It may not, if it was lost or put back from before the hand-out. Raises ClassError as
    `that_fits` does.
    """
    found = that_fits(folder, exercise)
    if not _is_in_gradebook(folder, exercise.slug, found):
        _generate(folder, exercise)
    return found


def that_fits(folder: ClassFolder, exercise: Exercise) -> Release:
    """Return the release that hand-out made, and change nothing.

    Raises ClassError if there is no release, or if it has other questions, marks or numbers than
    the exercise has now.
    """
    slug = exercise.slug
    path = _path(folder, slug)
    cure = f"Run `coursekit hand-out {slug}`."
    if not path.is_file():
        raise ClassError(f"{slug}: an exercise must be handed out first; it is not. {cure}")
    found = Release(path.read_text(encoding="utf-8"))
    if what := _misfit(exercise, found):
        raise ClassError(
            f"{path}: the release must fit the exercise as it is now; got another {what}. {cure}"
        )
    return found


def has_other_marks(folder: ClassFolder, exercise: Exercise) -> bool:
    """Whether there is a release in which a question has other marks than the exercise now."""
    path = _path(folder, exercise.slug)
    if not path.is_file():
        return False
    cells = Release(path.read_text(encoding="utf-8")).notebook.cells
    there = {str(c.metadata.nbgrader["grade_id"]): c.metadata.nbgrader.get("points") for c in cells}
    return any(there.get(q.id) != q.marks for q in exercise.graded)


def _path(folder: ClassFolder, slug: str) -> Path:
    return folder.release(slug) / f"{slug}.ipynb"


def _is_in_gradebook(folder: ClassFolder, slug: str, release: Release) -> bool:
    with read_only.reading(folder) as book:
        return reader.knows(book, slug, release.notebook)


def _misfit(exercise: Exercise, release: Release) -> str:
    """Return the first cell on which the release and the exercise differ, or "".

    Only what running and marking depend on is compared, so a question's text, hints, tolerance and
    answer may change without a new hand-out.
    """
    anything = dict.fromkeys((q.id for q in exercise.questions), "")
    wanted = _frozen_parts(notebooks.source(exercise, anything, anything))
    found = _frozen_parts(release.notebook)
    for id in (*wanted, *found):
        if wanted.get(id) != found.get(id):
            return f"cell '{id}'"
    return ""


def _frozen_parts(notebook: NotebookNode) -> dict[str, tuple[Any, ...]]:
    """Return cell id → kind, marks and, for a cell that students must not change, its code."""
    parts = {}
    for cell in notebook.cells:
        meta = cell.metadata.nbgrader
        is_code = cell.cell_type == "code"
        code = _HIDDEN.sub("", cell.source).strip() if is_code and meta["locked"] else ""
        id = str(meta["grade_id"])
        parts[id] = (cell.cell_type, meta["grade"], meta["solution"], meta.get("points"), code)
    return parts


def _generate(folder: ClassFolder, exercise: Exercise) -> Release:
    """Return what nbgrader makes of the source, which also puts the exercise into the gradebook."""
    from nbgrader.apps import NbGraderAPI

    opener.found(folder)
    slug, made = exercise.slug, folder.made / "release"
    config = nbgrader_config(folder)
    config.CourseDirectory.release_directory = str(made.resolve())
    config.GenerateAssignment.preprocessors = source_cells.steps()
    said: list[str] = []
    logger = logging.getLogger("coursekit.nbgrader")
    logger.handlers, logger.propagate = [_KeepWarnings(said)], False
    api = NbGraderAPI(config=config)
    api.log = logger
    result = api.generate_assignment(slug, force=True)
    path = made / slug / f"{slug}.ipynb"
    if not result["success"] or not path.is_file():
        detail = str(result.get("error") or "; ".join(said[-3:])).strip()
        last = detail.splitlines()[-1] if detail else "nothing"
        raise ClassError(
            f"{exercise.source}: the release must be made from the source; nbgrader says: {last}. "
            "If students have handed work in already, questions can no longer be added or taken "
            "away."
        )
    return Release(path.read_text(encoding="utf-8"))


class _KeepWarnings(logging.Handler):
    """Keeps nbgrader's warnings for the error message, should it fail."""

    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._said = said

    def emit(self, record: logging.LogRecord) -> None:
        self._said.append(record.getMessage())
