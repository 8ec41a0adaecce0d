"""A first look at handed-in work, before anything heavy is imported: is it new, what does it name?"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.running.warm_parent import LIBRARIES

LARGEST_NOTEBOOK = 20_000_000  # bytes
# what a notebook that needs the library has in its text, however it is imported
_NAMES = {
    "matplotlib": (b"matplotlib", b"pylab", b"coursekit.figures", b"import figures"),
    "sympy": (b"sympy",),
}


def has_new(folder: ClassFolder, slug: str) -> bool:
    """Whether the look of the files says that work must be run: one is newer than its record."""
    for student in folder.students:
        notebook = folder.submitted(student.id, slug) / f"{slug}.ipynb"
        record = folder.autograded(student.id, slug) / RECORD
        with suppress(OSError):
            when = notebook.lstat().st_mtime
            if not record.is_file() or record.stat().st_mtime < when:
                return True
    return False


def libraries(folder: ClassFolder, slugs: Iterable[str]) -> frozenset[str]:
    """Return the heavy libraries that any of the handed-in notebooks names.

    One that is not among them can be imported all the same: by that notebook alone, in its own time.
    """
    found: set[str] = set()
    for slug in slugs:
        for student in folder.students:
            path = folder.submitted(student.id, slug) / f"{slug}.ipynb"
            text = read_regular(path, LARGEST_NOTEBOOK) or b""
            found |= {
                library
                for library in LIBRARIES - found
                if any(name in text for name in _NAMES[library])
            }
            if found == LIBRARIES:
                return LIBRARIES
    return frozenset(found)


def read_regular(path: Path, most: int) -> bytes | None:
    """Return the content of a regular file of at most `most` bytes; None for anything else.

    A link, a device or a pipe is not opened.
    """
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return None
        handle = os.open(path, flags | getattr(os, "O_BINARY", 0))
    except (OSError, ValueError):
        return None
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return None
        data = file.read(most + 1)
    return data if len(data) <= most else None
