"""One student's submission: a notebook, a time and other files, each read once from disk.

The same object goes from the first look through running and marking to writing. Nothing here
follows a link, reads a device or reads without a limit. A file that is left out is named to the
student among the repairs.
"""

from __future__ import annotations

import fnmatch
import stat
import warnings
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.outside_names import fitting, has_ending, key, shown
from coursekit.classroom.register.trees import walk

if TYPE_CHECKING:
    from nbformat import NotebookNode

LARGEST_FILES = 20_000_000  # bytes, all other files together
MOST_FILES = 200
MOST_CELLS = 1_000
_LONGEST_STAMP = 200
UNREADABLE = "The file is not a notebook that can be read. Hand it in again."


@dataclass(frozen=True)
class Submission:
    """What one student handed in for one exercise."""

    student: str
    slug: str
    folder: Path
    data: bytes  # the notebook's
    missing: str  # why no notebook was read, in words for the student; "" if one was
    stamp: str  # text of the timestamp file
    seen: tuple[int, ...]  # how folder and notebook looked just before they were read

    @classmethod
    def read(cls, folder: ClassFolder, student: str, slug: str) -> Submission:
        """Return what `student` handed in for `slug`."""
        place = folder.submitted(student, slug)
        path = place / f"{slug}.ipynb"
        seen = _look_of(place, path)
        data = read_regular(path, LARGEST_NOTEBOOK)
        missing = "" if data is not None else _why_missing(path)
        stamp = (read_regular(place / STAMP_FILE, _LONGEST_STAMP) or b"").decode("utf-8", "replace")
        return cls(student, slug, place, data or b"", missing, stamp, seen)

    def lies_there_still(self) -> bool:
        """Whether it still lies there as it was when it was read."""
        return self.seen == _look_of(self.folder, self.folder / f"{self.slug}.ipynb")

    def size(self) -> int:
        """Return how many bytes of memory it takes, as far as it was read."""
        others = self.__dict__.get("_others", ({}, ()))[0]
        return len(self.data) + sum(map(len, others.values()))

    @cached_property
    def notebook(self) -> NotebookNode | None:
        """The notebook, or None if it cannot be read."""
        return None if self.missing else parsed(self.data)

    @property
    def trouble(self) -> str:
        """Why there is nothing to run, in words for the student; "" if there is a notebook."""
        return self.missing or ("" if self.notebook else UNREADABLE)

    @cached_property
    def when(self) -> datetime | None:
        """When it came, in UTC without a zone as in the gradebook; None if that is not known."""
        return time_of(self.stamp)

    @cached_property
    def _others(self) -> tuple[dict[str, bytes], tuple[str, ...]]:
        return _other_files(self.folder)

    def files(self) -> dict[str, bytes]:
        """Return the other files: name below the folder → content."""
        return dict(self._others[0])

    def left_out(self) -> tuple[str, ...]:
        """Return in words which files were not taken, and whether the time could not be read."""
        said = self._others[1]
        if self.stamp.strip() and self.when is None:
            said += (
                f"'{STAMP_FILE}' is not a time that can be read, so the work counts as in time",
            )
        return said


def _look_of(*paths: Path) -> tuple[int, ...]:
    """Return numbers that change whenever something else is put there."""
    look: list[int] = []
    for path in paths:
        with suppress(OSError):
            state = path.lstat()
            look += (state.st_ino, state.st_mtime_ns, state.st_size)
    return tuple(look)


def _why_missing(path: Path) -> str:
    """Return why a notebook was not read, in words for the student."""
    try:
        mode, size = path.lstat().st_mode, path.lstat().st_size
    except OSError:
        others = sorted(p.name for p in path.parent.glob("*.ipynb"))[:3]
        found = f" Found: {', '.join(others)}." if others else ""
        return f"There is no {path.name} in what you handed in.{found} Hand it in under that name."
    if stat.S_ISREG(mode) and size > LARGEST_NOTEBOOK:
        return f"The file is larger than {LARGEST_NOTEBOOK // 10**6} MB, so it was not opened."
    return UNREADABLE


def parsed(data: bytes) -> NotebookNode | None:
    """Return the notebook in `data`, or None if it is not one."""
    import nbformat  # imported here because it is heavy, and the first look must stay light

    try:
        found = nbformat.reader.parse_json(data.decode("utf-8-sig"))
        if len(found.get("cells", ())) > MOST_CELLS:
            raise ValueError("there are too many cells")
        # nbformat.reads would also check the schema, which is slow and noisy; see the checks below
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # nbformat warns about what it mends
            notebook = nbformat.convert(_as_its_version_reads(found), 4)
        for cell in notebook.cells:
            if cell.cell_type not in ("code", "markdown", "raw") or not isinstance(
                cell.source, str
            ):
                raise ValueError("a cell has no text")
            if not isinstance(cell.metadata, dict):
                raise ValueError("a cell has no metadata")
    except Exception:  # however a file is broken, the rest of the class goes on
        return None
    # only a \u escape can stand for half of a character
    clean: NotebookNode = scrubbed(notebook) if b"\\u" in data else notebook
    return clean


def _as_its_version_reads(found: dict[str, Any]) -> NotebookNode:
    """Return `found` as nbformat's reader for its version would, but without parsing it again."""
    import nbformat

    major, minor = nbformat.reader.get_version(found)
    notebook: NotebookNode = nbformat.versions[major].to_notebook_json(found, minor=minor)
    return notebook


def scrubbed(tree: Any) -> Any:
    """Return `tree`, made of mappings, lists and scalars, with text that can be written as UTF-8.

    JSON can hold halves of characters, which no file can.
    """
    if isinstance(tree, str):
        return tree.encode("utf-8", "replace").decode("utf-8")
    if isinstance(tree, dict):
        return type(tree)({scrubbed(k): scrubbed(v) for k, v in tree.items()})
    if isinstance(tree, list):
        return [scrubbed(v) for v in tree]
    return tree


def _other_files(place: Path) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return the files beside the notebook that are taken, and sentences about the others."""
    taken: dict[str, bytes] = {}
    refused: list[str] = []
    room = LARGEST_FILES
    there, misnamed = fitting(_beside_the_notebook(place), (STAMP_FILE,))
    for parts in there:
        relative = "/".join(parts)
        data = read_regular(place / relative, room) if len(taken) < MOST_FILES else None
        if data is None:
            refused.append(relative)
        else:
            taken[relative] = data
            room -= len(data)
    return taken, (
        *_not_taken("being links or too many or too large", refused),
        *_not_taken("for such names do not lie on every disk", map("/".join, misnamed)),
    )


def _not_taken(why: str, names: Iterable[str]) -> Iterator[str]:
    """Yield in words which files were not taken, the first few by their names."""
    if found := [f"'{shown(name)}'" for name in names]:
        yield f"not taken, {why}: {', '.join(found[:5])}{' and more' if found[5:] else ''}"


def _beside_the_notebook(place: Path) -> list[tuple[str, ...]]:
    """Return the paths below `place` that are work of the student's, other than notebooks."""
    from coursekit.classroom.gradebook.nbgrader_settings import NOT_COPIED

    def ignored(name: str) -> bool:
        return any(fnmatch.fnmatchcase(key(name), pattern) for pattern in NOT_COPIED)

    there = (p for p in walk(place, ignored) if not (p.is_symlink() and p.is_dir()))
    found = [p.relative_to(place).parts for p in there]
    own = [p for p in found if p and not has_ending(p[-1], (".ipynb",))]
    return sorted(own, key=lambda p: (p[:-1], p[-1]))
