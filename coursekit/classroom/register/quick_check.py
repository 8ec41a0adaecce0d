"""What every command that writes looks at first, in milliseconds: secret, rights, room, clock.

The full check of a class is `coursekit class check`.
"""

from __future__ import annotations

import json
import os
import shutil
import stat
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.register import dates, stamps, undo
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.secret import SECRET_FILE, read_secret, to_owner_alone

LEAST_ROOM = 1_000_000  # bytes that must be free on the disk
_CLOCKS_DIFFER = 300.0  # seconds by which another computer's clock may be ahead
_DATED = ("class.toml", "roster.csv", "gradebook.db", ".made", "submitted", "taken-in")
_LARGEST_BUNDLE = 5_000_000  # bytes


@dataclass(frozen=True)
class Finding:
    """Something wrong with a class: what it is about, and in words the rule, the fault, the cure.

    If `stops` is true, the command ends before it writes anything.
    """

    about: str
    said: str
    stops: bool = False


def quick_check(path: Path) -> list[Finding]:
    """Return what is wrong with the class in `path`, as far as a quick look shows."""
    to_owner_alone(path)
    return [*_secret(path), *_rights(path), *_room(path), *_clock(path), *_undo(path)]


def _secret(path: Path) -> Iterator[Finding]:
    try:
        read_secret(path / SECRET_FILE)
    except ClassError as error:
        yield Finding("secret", str(error), stops=True)
        return
    if (bundle := _some_bundle(path)) and not _is_ours(path, bundle):
        yield Finding(
            "secret",
            f"{path / SECRET_FILE}: the class secret must be the one that the notebooks in "
            "hand-out were made with; it is another. Put it back from your copy of the class "
            "folder.",
            stops=True,
        )


def _some_bundle(path: Path) -> Path | None:
    """Return some notebook that was handed out, None if none is found quickly."""
    with suppress(OSError):
        for student in sorted((path / "hand-out").iterdir())[:3]:
            for lesson in sorted(student.iterdir())[:3]:
                if (notebook := lesson / f"{lesson.name}.ipynb").is_file():
                    return notebook
    return None


def _is_ours(path: Path, bundle: Path) -> bool:
    """Whether a handed-out notebook's stamp was made with the secret; True if none can be read."""
    with suppress(OSError, ValueError, RecursionError):
        if bundle.stat().st_size <= _LARGEST_BUNDLE:
            notebook = json.loads(bundle.read_text(encoding="utf-8"))
            found = stamps.read(ClassFolder(path, "", ()), notebook)
            return found is None or found.ours
    return True


def _rights(path: Path) -> Iterator[Finding]:
    places = [path, *(path / name for name in ("gradebook.db", "roster.csv", ".made"))]
    for place in places:
        if place.exists() and not os.access(place, os.W_OK):
            yield Finding(
                "rights",
                f"{place}: a class must be open to be written by you; it can only be read. Copy "
                "the class folder to a disk of your own, or take its write protection off.",
                stops=True,
            )
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        yield Finding(
            "rights",
            f"{path}: the class folder must be open to its owner alone; others may look into it, "
            "and this disk keeps no rights or the folder is not yours. Move it to a disk of yours.",
        )


def _room(path: Path) -> Iterator[Finding]:
    free = shutil.disk_usage(path).free
    if free < LEAST_ROOM:
        yield Finding(
            "room",
            f"{path}: the disk must have {LEAST_ROOM / 1e6:g} MB free; got {free / 1e6:.2f} MB. "
            "Make room, then run this again.",
            stops=True,
        )


def _undo(path: Path) -> Iterator[Finding]:
    if undo.is_unfinished(path):
        yield Finding("left over", undo.unfinished(path), stops=True)


def _clock(path: Path) -> Iterator[Finding]:
    now = time.time()
    dated = [(_changed(path / name), name) for name in _DATED]
    newest, name = max(dated)
    if newest > now + _CLOCKS_DIFFER:
        yield Finding(
            "clock",
            f"{path / name}: the clock must not be behind the class's own files; it shows "
            f"{_said(now)}, and this was written {_said(newest)}. Set the clock before you take "
            "work in. If it was ahead then and is right now, `touch` the file.",
        )


def _changed(path: Path) -> float:
    with suppress(OSError):
        return path.stat().st_mtime
    return 0.0


def _said(moment: float) -> str:
    with suppress(OSError, ValueError, OverflowError):
        return dates.shown(datetime.fromtimestamp(moment, UTC))
    return "a time that no calendar has"
