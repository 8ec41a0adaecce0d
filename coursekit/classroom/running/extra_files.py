"""Files that lie beside a running notebook: how they travel to it and are laid out there."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path, PurePosixPath

Files = Mapping[str, str | bytes]


def packed(files: Files) -> dict[str, str]:
    """Return `files` (name → content) in a form that JSON can hold."""
    return {
        name: base64.b64encode(data.encode() if isinstance(data, str) else data).decode()
        for name, data in files.items()
    }


def unpacked(files: Mapping[str, str]) -> dict[str, bytes]:
    """Return the files that `packed` was given, with text as UTF-8."""
    return {name: base64.b64decode(data) for name, data in files.items()}


def lay_out(files: Mapping[str, bytes], place: Path) -> None:
    """Write `files` below `place`, never over a file that is there.

    A file that cannot be written, or whose name leads out of `place`, is left out.
    """
    for name, data in files.items():
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts or "\0" in name:
            continue
        with suppress(OSError):
            target = place / path
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("xb") as file:
                file.write(data)
