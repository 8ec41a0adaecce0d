"""One marking at a time, and a backup of the gradebook before it.

The lock is the operating system's own, on an open file. It goes when the process that holds it
ends, however that happens, so nothing is ever left locked.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import sqlite3
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.trees import remove

BACKUPS_KEPT = 5
_LOCK_HOLDER_WRITES = ("autograded", ".made/backups", ".undo")
_OF_STUDENTS = {"submitted": "*/*/.*.part", "taken-in": "*/*/*/.*.part"}
_OURS = re.compile(r"\..+\.(\d+\.)?part")
_OURS_AMONG_THEIRS = re.compile(
    r"\.(timestamp\.txt|numbers\.json|chosen\.json|.+\.ipynb)\.\d+\.part"
)
_STILL_AT_WORK = 3600.0  # seconds


@contextmanager
def only_writer(folder: ClassFolder, wait: float = 0.0) -> Iterator[None]:
    """Hold the class's lock; ClassError if another process has it and keeps it for `wait` s."""
    path = folder.made / "lock"
    path.parent.mkdir(parents=True, exist_ok=True)
    until = time.monotonic() + wait
    with path.open("a+b") as file:
        while not _got(file.fileno()):
            if time.monotonic() >= until:
                raise ClassError(
                    f"{folder.path}: one marking at a time may write to a class; another is at work"
                    f"{_holder(path)}. Wait until it ends, then run this again."
                )
            time.sleep(0.01)
        file.truncate(0)
        file.write(f" process {os.getpid()} since {datetime.now():%H:%M:%S}".encode())
        file.flush()
        yield


@contextmanager
def held(path: Path, wait: float = 10.0) -> Iterator[None]:
    """Hold the lock on `path`; ClassError if it is not free within `wait` seconds."""
    path.parent.mkdir(parents=True, exist_ok=True)
    until = time.monotonic() + wait
    with path.open("a+b") as file:
        while not _got(file.fileno()):
            if time.monotonic() >= until:
                raise ClassError(
                    f"{path}: one program at a time may write; another has been writing for "
                    f"{wait:g} s. Wait until it ends, then try again."
                )
            time.sleep(0.01)
        yield


def _holder(path: Path) -> str:
    try:
        words = path.read_text(encoding="utf-8").strip()
    except OSError:  # on Windows a locked file cannot be read either
        words = ""
    return f" ({words})" if words else ""


def _got(handle: int) -> bool:
    try:
        _lock(handle)
    except OSError:
        return False
    return True


def _lock(handle: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def backup(folder: ClassFolder) -> Path | None:
    """Copy the gradebook as it is now and return the copy, or None if there is none to copy.

    The last few copies are kept in `.made/backups`; a gradebook that has not changed since the last
    copy is not copied again. A gradebook on a server is the server's to back up.
    """
    source = folder.gradebook_file
    if folder.gradebook or not source.is_file():
        return None
    digest = hashlib.sha256(source.read_bytes()).hexdigest()[:12]
    kept = backups(folder)
    if kept and kept[-1].stem.endswith(digest):
        return kept[-1]
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
    path = folder.made / "backups" / f"gradebook-{stamp}-{digest}.db"
    _copied(source, path)
    for old in backups(folder)[:-BACKUPS_KEPT]:
        old.unlink()
    return path


def put_back(folder: ClassFolder, name: str) -> None:
    """Put the copy of this name in the gradebook's place; what was there is kept as a copy too.

    Raises ClassError if no such copy is kept, or if the class is being marked.
    """
    with only_writer(folder):
        chosen = next((p for p in backups(folder) if p.name == name), None)
        if chosen is None or folder.gradebook:
            raise ClassError(
                f"{folder.path}: the gradebook can be put back only from a copy that is kept here; "
                f"got '{name}'. Choose another."
            )
        part = chosen.with_name(".put-back.part")
        shutil.copy2(chosen, part)  # because the next copy may push it out
        try:
            with suppress(sqlite3.Error):  # a damaged gradebook can't be copied
                backup(folder)
            write_over(folder, part)
        finally:
            part.unlink(missing_ok=True)


def write_over(folder: ClassFolder, kept: Path) -> None:
    """Write a gradebook over the class's, in one transaction where that one opens.

    Whatever has it open, formgrader for one, then goes on with what was put there.
    """
    file = folder.gradebook_file
    if file.is_file():
        with suppress(sqlite3.DatabaseError):
            with closing(sqlite3.connect(kept)) as old, closing(sqlite3.connect(file)) as now:
                old.backup(now)
            return
    file.with_name(f"{file.name}-journal").unlink(missing_ok=True)
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    shutil.copy2(kept, part)
    part.replace(file)


def made_at(copy: Path) -> datetime:
    """Return when a copy of the gradebook was made, UTC without a zone."""
    return datetime.strptime(copy.stem.rpartition("-")[0], "gradebook-%Y%m%d-%H%M%S-%f")


def backups(folder: ClassFolder) -> list[Path]:
    """Return the copies of the gradebook that are kept, the oldest first."""
    return sorted((folder.made / "backups").glob("gradebook-*.db"))


def _copied(source: Path, target: Path) -> None:
    """Copy by SQLite's own backup, which copies no half-written commit, and name the copy last."""
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{target.name}.part")
    part.unlink(missing_ok=True)
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(part)) as new:
        old.backup(new)
    part.replace(target)


def half_written(folder: ClassFolder) -> list[Path]:
    """Return the files that a killed command, or a full disk, left half-written.

    A file in a place where only the lock's holder writes counts at once. Any other counts after an
    hour, because a command that needs no lock may be writing it now. Whatever a student may have
    put there is not among them.
    """
    found = [p for name in _LOCK_HOLDER_WRITES for p in (folder.path / name).glob("**/.*.part")]
    last = time.time() - _STILL_AT_WORK
    for part in _others_write(folder.path):
        with suppress(OSError):
            if part not in found and part.lstat().st_mtime < last:
                found.append(part)
    return found


def _others_write(path: Path) -> Iterator[Path]:
    """Yield the temporary files of commands other than marking."""
    yield from (p for p in path.glob(".*.part") if _OURS.fullmatch(p.name))
    for place in sorted(
        p for p in path.iterdir() if p.is_dir() and p.name not in _LOCK_HOLDER_WRITES
    ):
        theirs = _OF_STUDENTS.get(place.name)
        ours = _OURS_AMONG_THEIRS if theirs else _OURS
        yield from (p for p in place.glob(theirs or "**/.*.part") if ours.fullmatch(p.name))


def sweep(folder: ClassFolder) -> None:
    """Remove what was left half-written; call it with the lock held."""
    for part in half_written(folder):
        if part.is_dir() and not part.is_symlink():
            remove(part)
        else:
            part.unlink(missing_ok=True)
