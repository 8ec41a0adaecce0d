"""Sends what the kit made and a window shows or saves: paper, feedback pages, zips."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO
from urllib.parse import quote

from tornado.iostream import StreamClosedError
from tornado.web import HTTPError

from coursekit.desk.page import DeskPage

# the folders of a class that hold what was made to be looked at or given away, no others
PLACES = (
    "worksheets",
    "to-print",
    "answer-key",
    "frame-paper",
    "feedback",
    "hand-out",
    "reports",
    "to-send",
)
_KINDS = {
    ".pdf": "application/pdf",
    ".html": "text/html; charset=utf-8",
    ".zip": "application/zip",
    ".csv": "text/csv; charset=utf-8",
    ".eml": "message/rfc822",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".json": "application/json",
    ".ipynb": "application/json",
}
# A made page may use its own styles and pictures, and nothing of the desk. A PDF gets no policy,
# because a browser shows it by a viewer of its own, which a policy would shut out.
_POLICY = "sandbox allow-popups; default-src 'none'; style-src 'unsafe-inline'; img-src data:"
_CHUNK = 256 * 1024


class Made(DeskPage):
    """A file that was made, shown by the browser or, with `?save`, saved."""

    async def get(self, place: str) -> None:
        """Send it."""
        with _opened(self.desk.folder.path, place) as file:
            kind = _KINDS[Path(place).suffix.lower()]
            if kind == _KINDS[".pdf"]:
                self.clear_header("Content-Security-Policy")
            else:
                self.set_header("Content-Security-Policy", _POLICY)
            await send(self, file, Path(place).name, kind, save="save" in self.fields)


async def send(page: DeskPage, file: BinaryIO, name: str, kind: str, *, save: bool) -> None:
    """Answer with an open file, to be saved under `name` or shown."""
    page.set_header("Content-Type", kind)
    page.set_header("Content-Length", str(os.fstat(file.fileno()).st_size))
    page.set_header("Cache-Control", "no-store")
    how = "attachment" if save else "inline"
    page.set_header("Content-Disposition", f"{how}; filename*=UTF-8''{quote(name)}")
    while chunk := file.read(_CHUNK):
        page.write(chunk)
        try:
            await page.flush()
        except StreamClosedError:
            return


def _opened(folder: Path, place: str) -> BinaryIO:
    """Return the file open for reading; HTTPError 404 for anything that isn't to be shown.

    No part of its path may be a link, so nothing outside the class can be reached by one.
    """
    parts = place.split("/")
    sound = parts[0] in PLACES and not any(p in ("", ".", "..") or "\\" in p for p in parts)
    if not sound or "\0" in place or Path(place).suffix.lower() not in _KINDS:
        raise HTTPError(404)
    path = folder
    try:
        for part in parts:
            path = path / part
            if path.is_symlink():
                raise HTTPError(404)
        file = path.open("rb")
    except OSError:
        raise HTTPError(404) from None
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise HTTPError(404)
    return file
