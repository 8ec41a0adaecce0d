"""Tells a feedback page that is older than the marks from one that is not, without making it again.

A page carries a digest of what the gradebook held when it was made, and one of the record of marks.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from coursekit.classroom.gradebook.reader import Standing

_HEAD = 2000  # bytes at a page's beginning, in which the digests stand
_NAMED = re.compile(rb'<meta name="made-from" content="(\w+) (\w+)">')


def digest(facts: Standing, record: Path) -> str:
    """Return what a page made now would carry."""
    return f"{_of_gradebook(facts)} {_of_record(record)}"


def _of_gradebook(facts: Standing) -> str:
    held = [(id, q.auto, q.manual, q.extra, q.out_of, q.waits) for id, q in facts.questions.items()]
    said = repr((held, facts.comments, facts.late_penalty, facts.came))
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def _of_record(record: Path) -> str:
    return hashlib.sha256(record.read_bytes()).hexdigest()[:16]


def is_old(page: Path, facts: Standing, record: Path) -> bool:
    """Whether the page was made from other marks than there are now.

    The record is read only if it is newer than the page, because reading hundreds takes time.
    """
    with page.open("rb") as file:
        found = _NAMED.search(file.read(_HEAD))
    if found is None or found[1].decode() != _of_gradebook(facts):
        return True
    newer = record.stat().st_mtime > page.stat().st_mtime
    return newer and found[2].decode() != _of_record(record)
