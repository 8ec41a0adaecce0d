"""Photos, scans, documents and the like that came with a student's work, for somebody to look at.

They lie in the class folder in `to-look-at/<student>/<lesson>/<time>-<digest>-<name>`, those for no
lesson in particular in `_any`. Nothing here opens them, and nothing there is written over. What
came in the archive of a notebook lies beside that notebook and is listed with them.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.intake import kinds
from coursekit.classroom.intake.safe_reading import read_regular
from coursekit.classroom.register.class_folder import ClassFolder, write_bytes
from coursekit.classroom.register.outside_names import fits
from coursekit.classroom.register.trees import is_folder, walk

FOLDER = "to-look-at"
ANY = "_any"
MOST_KEPT = 100  # files of one student for one lesson
LARGEST_KEPT = 200_000_000  # bytes of all of them
_LONGEST = 120  # bytes of a name that is kept
_TIME = len("20260203T193000Z")
_HEAD = len("20260203T193000Z-01234567-")


@dataclass(frozen=True)
class ToLookAt:
    """A file to look at: where it lies, what it was called, what it is, when it came (UTC).

    `came` is None for a file that lies beside a notebook and came with it.
    """

    path: Path
    name: str
    kind: str
    came: datetime | None = None


class FullError(ValueError):
    """A student has so many files kept for a lesson that no more are; the message says so."""


def for_the_eye(folder: ClassFolder, student: str, slug: str) -> list[ToLookAt]:
    """Return what is there to look at of a student's for an exercise, the oldest first.

    Those for no exercise in particular are among them, and last those that lie beside the notebook
    which counts.
    """
    found = []
    kept = [p for place in (slug, ANY) for p in _kept(folder, student, place)]
    for path in sorted(kept, key=lambda p: (p.name[:_TIME], p.name[_HEAD:])):
        name = path.name[_HEAD:]
        came = datetime.strptime(path.name[:_TIME], "%Y%m%dT%H%M%SZ")
        found.append(ToLookAt(path, name, kinds.to_look_at(name, b""), came))
    place = folder.submitted(student, slug)
    for path in walk(place) if is_folder(place) else ():
        kind = kinds.to_look_at(path.name, b"")
        if kind and path.is_file() and not path.is_symlink() and path.name != "timestamp.txt":
            found.append(ToLookAt(path, path.relative_to(place).as_posix(), kind))
    return found


def kept_in(student: str, slug: str) -> str:
    """Return where files of a student are kept for an exercise, "" for none, in the class."""
    return f"{FOLDER}/{student}/{slug or ANY}"


def keep(
    folder: ClassFolder, student: str, slug: str, name: str, data: bytes, came: datetime
) -> bool:
    """Keep a file with a student for an exercise, "" for none; return False if it was there.

    Raises FullError if there is no room for more.
    """
    place = slug or ANY
    digest = hashlib.sha256(data).hexdigest()[:8]
    there = _kept(folder, student, place)
    if any(
        p.name[_TIME + 1 : _HEAD - 1] == digest and read_regular(p, len(data)) == data
        for p in there
    ):
        return False
    if len(there) >= MOST_KEPT:
        raise FullError(f"at most {MOST_KEPT} files are kept of one student for a lesson")
    if sum(p.stat().st_size for p in there) + len(data) > LARGEST_KEPT:
        raise FullError(f"at most {LARGEST_KEPT // 10**6} MB are kept of one student for a lesson")
    safe = _name(name, data)
    path = folder.path / FOLDER / student / place / f"{_time(came)}-{digest}-{safe}"
    write_bytes(path, data)
    return True


def _time(came: datetime) -> str:
    return f"{min(came.astimezone(UTC), datetime.now(UTC)):%Y%m%dT%H%M%SZ}"


def _name(name: str, data: bytes) -> str:
    """Return a name that every disk takes, with the ending of what the file is."""
    ending = kinds.right_ending(name, data)
    if fits((name,)) and len(name.encode()) <= _LONGEST:
        return name + ending
    last = ending or f".{name.rsplit('.', 1)[-1][:8].lower()}"
    return f"file{last if fits((f'file{last}',)) else ''}"


def _kept(folder: ClassFolder, student: str, place: str) -> list[Path]:
    """Return the files that are kept, the oldest first."""
    found = folder.path / FOLDER / student / place
    if not is_folder(found):
        return []
    return sorted(p for p in walk(found) if p.is_file() and not p.name.endswith(".part"))
