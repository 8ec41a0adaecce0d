"""Photos, scans, documents and the like that came with a student's work, for somebody to look at.

They lie in the class folder in `to-look-at/<student>/<lesson>/<time>-<digest>-<name>`, those for no
lesson in particular in `_any`. Nothing here opens them, and nothing there is written over. What
came in the archive of a notebook lies beside that notebook and is listed with them.
"""

from __future__ import annotations

import hashlib
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.intake import kinds
from coursekit.classroom.intake.safe_reading import read_regular
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassFolder, write_bytes, write_text
from coursekit.classroom.register.outside_names import fits
from coursekit.classroom.register.trees import is_folder, walk

FOLDER = "to-look-at"
ANY = "_any"
_DONE = "typed-from"  # a line for each file from which nothing more is to be typed
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


def waiting(folder: ClassFolder) -> list[tuple[str, str, int]]:
    """Return whose photos and scans wait to be typed in: student, lesson ("" for none), how many.

    Those that lie beside a notebook are not among them, because its answers are typed already.
    """
    place, done = folder.path / FOLDER, _done(folder)
    found = []
    for student in folder.students if is_folder(place) else ():
        mine = place / student.id
        for there in sorted(mine.iterdir()) if is_folder(mine) else ():
            some = [p for p in _kept(folder, student.id, there.name) if is_typed_from(p)]
            if count := sum(known_as(folder, p) not in done for p in some):
                found.append((student.id, "" if there.name == ANY else there.name, count))
    return found


def is_typed_from(path: Path) -> bool:
    """Whether a file is of a kind that somebody types answers or readings from."""
    return kinds.to_look_at(path.name, b"") in ("a photo", "a PDF")


def is_done(folder: ClassFolder, path: Path) -> bool:
    """Whether somebody said that nothing more is to be typed from this file."""
    return known_as(folder, path) in _done(folder)


def set_done(folder: ClassFolder, path: Path, done: bool) -> None:
    """Say that nothing more is to be typed from this file, or that there is."""
    with lock_and_backup.held(folder.made / f".{_DONE}.lock"):
        one = {known_as(folder, path)}
        found = _done(folder) - one | (one if done else set())
        write_text(folder.made / _DONE, "".join(f"{one}\n" for one in sorted(found)))


def _done(folder: ClassFolder) -> set[str]:
    with suppress(OSError):
        return set((folder.made / _DONE).read_text(encoding="utf-8").split())
    return set()


def known_as(folder: ClassFolder, path: Path) -> str:
    """Return what a file is known as in an address and among those that are done.

    It tells nobody's name.
    """
    inside = path.relative_to(folder.path).as_posix()
    return hashlib.sha256(inside.encode("utf-8", "replace")).hexdigest()[:32]


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
