"""Reads files that anybody may have made: only regular ones, and never more than a limit allows."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO

LARGEST_NOTEBOOK = 20_000_000  # bytes


def open_regular(path: Path) -> BinaryIO | None:
    """Return a regular file opened for reading, or None for anything else.

    A link, a device or a pipe is not opened.
    """
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return None
        handle = os.open(path, flags | getattr(os, "O_BINARY", 0))
    except (OSError, ValueError):
        return None
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        return None
    return os.fdopen(handle, "rb")


def read_regular(path: Path, most: int) -> bytes | None:
    """Return the content of a regular file of at most `most` bytes; None for anything else."""
    if (file := open_regular(path)) is None:
        return None
    with file:
        data = file.read(most + 1)
    return data if len(data) <= most else None
