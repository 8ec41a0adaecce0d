"""Goes through folder trees that anybody may have made, and removes them, however deep they are."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

DEEPEST = 40  # folders below one another; no student's work needs more
TOO_DEEP = "the folders lie too deep in one another, or do not open."


def is_folder(path: Path) -> bool:
    """Whether `path` is a folder itself, not a link to one; False where the disk can't say."""
    with suppress(OSError, ValueError):
        return path.is_dir() and not path.is_symlink()
    return False


def walk(place: Path, leave: Callable[[str], bool] = lambda name: False) -> Iterator[Path]:
    """Yield everything below `place` that is not a folder, in the order of its path.

    A folder that lies too deep, or that the disk doesn't open, is yielded itself. Anything whose
    name `leave` says yes to is passed over.
    """
    waiting = [(place, 0)]
    while waiting:
        path, depth = waiting.pop()
        if depth > DEEPEST or not is_folder(path):
            yield path
            continue
        try:
            inside = sorted(path.iterdir(), reverse=True)
        except OSError:
            yield path
            continue
        waiting += [(p, depth + 1) for p in inside if not leave(p.name)]


def remove(place: Path) -> None:
    """Remove a folder and everything below it, however deep, or a file, or a link.

    What a link points to stays. If nothing is there, nothing happens.
    """
    if not is_folder(place):
        place.unlink(missing_ok=True)
        return
    try:
        shutil.rmtree(place)
    except (OSError, RecursionError):  # too many folders open, or calls within calls
        _remove_flat(place)


def _remove_flat(place: Path) -> None:
    """Remove a tree that is too deep to go down, by lifting its lower folders up level by level."""
    while folders := [path for path in place.iterdir() if is_folder(path)]:
        for folder in folders:
            for deeper in filter(is_folder, list(folder.iterdir())):
                deeper.rename(place / uuid4().hex)
            shutil.rmtree(folder)
    shutil.rmtree(place)
