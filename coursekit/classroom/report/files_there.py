"""What lies in a class folder for each student and lesson, found with few calls to the system.

A class of 300 with 16 lessons has 4800 such places, and each call costs some microseconds. So the
folders of a student are listed once, and paths are texts here, which are made faster than `Path`.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.intake.safe_reading import read_regular
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import RECORD, ClassFolder

_LONGEST_STAMP = 200  # bytes
_STAMPS_KEPT = 20_000


@dataclass(frozen=True)
class Files:
    """What lies there of one student's lesson.

    `came` is what the stamp beside the work says, in UTC without zone. `work_at`, `record_at` and
    `page_at` are when the notebook, its record of marks and the feedback page were last changed, or
    None if there is none.
    """

    handed_out: bool
    handed_in: bool
    came: datetime | None
    work_at: float | None
    record_at: float | None
    page_at: float | None
    printed: bool


@dataclass
class FilesThere:
    """The files of one class, as they lie at this moment; each folder is listed once."""

    folder: ClassFolder
    _listed: dict[tuple[str, ...], Mapping[str, str]] = field(default_factory=dict)
    _with_paper: dict[str, frozenset[str]] = field(default_factory=dict)

    def folders(self, *place: str) -> Mapping[str, str]:
        """Return name → path of the folders in a place of the class folder."""
        if place not in self._listed:
            path = self.folder.path.joinpath(*place)
            self._listed[place] = {e.name: e.path for e in _entries(path) if _is_folder(e)}
        return self._listed[place]

    def of(self, student: str, slug: str) -> Files:
        """Return what lies there of a student's lesson; OSError if it can't be looked at."""
        work = self.folders("submitted", student).get(slug)
        marked = self.folders("autograded", student).get(slug)
        told = self.folders("feedback", student).get(slug)
        work_at = work and _changed(f"{work}/{slug}.ipynb")
        return Files(
            slug in self.folders("hand-out", student),
            bool(work and (work_at is not None or next(_entries(Path(work)), None))),
            _came(f"{work}/{STAMP_FILE}") if work else None,
            work_at or None,
            _changed(f"{marked}/{RECORD}") if marked else None,
            _changed(f"{told}/{slug}.html") if told else None,
            student in self._printed(slug),
        )

    def _printed(self, slug: str) -> frozenset[str]:
        if slug not in self._with_paper:
            self._with_paper[slug] = paper_places.printed(self.folder, slug)
        return self._with_paper[slug]


def _entries(path: Path) -> Iterator[os.DirEntry[str]]:
    with suppress(FileNotFoundError, NotADirectoryError), os.scandir(path) as found:
        yield from found


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link to itself, for instance
        return False


def _changed(path: str) -> float | None:
    """Return when a file was last changed, or None if there is no such file."""
    found = _look(path)
    return found.st_mtime if found and stat.S_ISREG(found.st_mode) else None


def _look(path: str) -> os.stat_result | None:
    try:
        return os.stat(path)  # `Path.stat` takes twice as long
    except (FileNotFoundError, NotADirectoryError):
        return None


def _came(stamp: str) -> datetime | None:
    found = _look(stamp)
    return _read(stamp, found.st_ino, found.st_mtime_ns, found.st_size) if found else None


@lru_cache(_STAMPS_KEPT)
def _read(stamp: str, *state: int) -> datetime | None:
    """Read a stamp; the same file in the same state is not read again."""
    data = read_regular(Path(stamp), _LONGEST_STAMP) or b""
    return time_of(data.decode("utf-8", "replace"))
