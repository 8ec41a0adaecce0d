"""Tells a feedback page that is older than the marks from one that is not, without making it again.

A page carries a digest of what the gradebook held when it was made, and one of the record of marks.
"""

from __future__ import annotations

import hashlib
import re
from functools import lru_cache
from pathlib import Path

from coursekit.classroom.gradebook.reader import Standing

_HEAD = 2000  # bytes at a page's beginning, in which the digests stand
_NAMED = re.compile(rb'<meta name="made-from" content="(\w+) (\w+)">')


def digest(facts: Standing, record: Path) -> str:
    """Return what a page made now would carry."""
    return f"{facts.digest} {_of_record(record)}"


def _of_record(record: Path) -> str:
    return hashlib.sha256(record.read_bytes()).hexdigest()[:16]


def is_old(page: Path, facts: Standing, record: Path) -> bool:
    """Whether the page was made from other marks than there are now.

    The record is read only if it is newer than the page, because reading hundreds takes time.
    """
    at = page.stat()
    found = _carried(page, at.st_ino, at.st_mtime_ns, at.st_size)
    if found is None or found[0] != facts.digest:
        return True
    newer = record.stat().st_mtime > at.st_mtime
    return newer and found[1] != _of_record(record)


@lru_cache(20_000)
def _carried(page: Path, *state: int) -> tuple[str, str] | None:
    """Return the digests in a page; one in the same state is not read again."""
    with page.open("rb") as file:
        found = _NAMED.search(file.read(_HEAD))
    return (found[1].decode(), found[2].decode()) if found else None
