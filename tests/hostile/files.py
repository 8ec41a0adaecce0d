"""What a hand-in folder could hold in place of an honest notebook: a table of makers of such files."""

from __future__ import annotations

import io
import json
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

NOT_READ = "The file is not a notebook that can be read. Hand it in again."
LINK = NOT_READ
LARGE = "The file is larger than 20 MB, so it was not opened."
MANY = NOT_READ

Maker = Callable[[Path, str, Path], None]


def raw(data: bytes) -> Maker:
    return lambda path, text, folder: _write(path, data)


def _write(path: Path, data: bytes) -> None:
    path.write_bytes(data)


def changed(**more: object) -> Maker:
    def make(path: Path, text: str, folder: Path) -> None:
        path.write_text(json.dumps({**json.loads(text), **more}))

    return make


def _large(path: Path, text: str, folder: Path) -> None:
    with path.open("wb") as file:
        file.write(text.encode())
        file.truncate(100_000_000)


def _many_cells(path: Path, text: str, folder: Path) -> None:
    notebook = json.loads(text)
    cell = {"cell_type": "code", "metadata": {}, "source": "", "outputs": [], "execution_count": 1}
    notebook["cells"] += [cell] * 100_000
    path.write_text(json.dumps(notebook))


def _zip_slip(path: Path, text: str, folder: Path) -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr("../../../../gradebook.db", "slipped")
        archive.writestr("miter-angles.ipynb", text)
    path.write_bytes(data.getvalue())


def _folder(path: Path, text: str, folder: Path) -> None:
    path.mkdir()


def _pipe(path: Path, text: str, folder: Path) -> None:
    os.mkfifo(path)


def _link_to(name: str) -> Maker:
    return lambda path, text, folder: path.symlink_to(folder / name)


def _device(path: Path, text: str, folder: Path) -> None:
    path.symlink_to("/dev/zero")


def _odd_company(path: Path, text: str, folder: Path) -> None:
    """A right-to-left name, a link, a pipe and a bad timestamp beside an honest notebook."""
    path.write_text(text)
    (path.parent / "\u202egpj.bypni\u202c").write_text("x")
    (path.parent / "numbers.json").symlink_to(folder / "secret")
    os.mkfifo(path.parent / "data.csv")
    stamp = path.parent / "timestamp.txt"
    stamp.unlink(missing_ok=True)
    stamp.write_bytes(b"\xff\xfe\x00 9999-99-99 99:99:99 Mars")


def _pipe_for_a_stamp(path: Path, text: str, folder: Path) -> None:
    path.write_text(text)
    stamp = path.parent / "timestamp.txt"
    stamp.unlink(missing_ok=True)
    os.mkfifo(stamp)


# name → how it is made, and the reason its student reads; "" where the notebook counts all the same
FILES: dict[str, tuple[Maker, str]] = {
    "half a file": (raw(b'{"cells": [{"cell_type": "code"'), NOT_READ),
    "empty": (raw(b""), NOT_READ),
    "NUL bytes": (raw(b"\0" * 1000), NOT_READ),
    "not UTF-8": (raw(b'{"cells": "\xff\xfe"}'), NOT_READ),
    "a list": (raw(b"[]"), NOT_READ),
    "deep nesting": (raw(b'{"cells":' + b"[" * 200_000 + b"]" * 200_000 + b"}"), NOT_READ),
    "a number of digits": (raw(b'{"cells":[], "nbformat":' + b"9" * 10_000 + b"}"), NOT_READ),
    "100 MB": (_large, LARGE),
    "100,000 cells": (_many_cells, MANY),
    "nbformat 99": (changed(nbformat=99), NOT_READ),
    "nbformat as text": (changed(nbformat="four"), NOT_READ),
    "nbformat 2": (changed(nbformat=2, worksheets=[{"cells": None}]), NOT_READ),
    "cells as a mapping": (changed(cells={"0": 1}), NOT_READ),
    "a cell of no kind": (changed(cells=[{"source": 1}]), NOT_READ),
    "an archive with ../": (_zip_slip, NOT_READ),
    "a folder": (_folder, LINK),
    "a pipe": (_pipe, LINK),
    "a link to another's work": (
        _link_to("submitted/honest-1/miter-angles/miter-angles.ipynb"),
        LINK,
    ),
    "a link to the secret": (_link_to("secret"), LINK),
    "a link to nowhere": (_link_to("nowhere"), LINK),
    "a link without end": (_device, LINK),
    "odd company": (_odd_company, ""),
    "a pipe for a timestamp": (_pipe_for_a_stamp, ""),
}
