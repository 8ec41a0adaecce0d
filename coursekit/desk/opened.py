"""Sends a file that a student handed in, to be looked at, so that it can do nothing.

Only pictures of kinds that every browser draws are shown, and what kind it is its own first bytes
say, never its name. All else is saved, to be opened with whatever opens it.
"""

from __future__ import annotations

from urllib.parse import quote

from coursekit.classroom.intake import kinds
from coursekit.classroom.register.outside_names import fits, shown
from coursekit.desk.page import DeskPage

_DRAWN = {
    ".jpg": "image/jpeg",
    ".png": "image/png",
    ".gif": "image/gif",
    ".webp": "image/webp",
    ".avif": "image/avif",
}
_FIRST = 64  # bytes that tell what a file is


def drawn_as(data: bytes) -> str:
    r"""Return as what a browser draws a file by its first bytes, "" if it can't.

    >>> drawn_as(b"\xff\xd8\xff\xe0"), drawn_as(b"<svg onload=1>"), drawn_as(b"%PDF-1.7")
    ('image/jpeg', '', '')
    """
    return _DRAWN.get(kinds.ending_of(data[:_FIRST]), "")


def send(page: DeskPage, name: str, data: bytes, *, save: bool = False) -> None:
    """Answer with a file: as a picture if it is one, else to be saved under its name."""
    kind = "" if save else drawn_as(data)
    page.set_header("Content-Type", kind or "application/octet-stream")
    page.set_header("Content-Security-Policy", "default-src 'none'; sandbox")
    page.set_header("Content-Disposition", "inline" if kind else saved_as(name))
    page.finish(data)


def saved_as(name: str) -> str:
    """Return the header that lets a browser save a file under this name (RFC 6266)."""
    last = shown(name).rpartition("/")[2]
    safe = last if fits((last,)) else "file"
    return f"attachment; filename*=UTF-8''{quote(safe, safe='')}"
