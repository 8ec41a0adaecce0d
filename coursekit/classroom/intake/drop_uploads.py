"""Files on their way into a drop, each nothing until it is there as a whole."""

from __future__ import annotations

import json
import os
import re
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

from coursekit.classroom.intake.drops import LOCK, NAMES, Drop, DropError
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.outside_names import LONGEST_NAME, key, shown
from coursekit.classroom.register.trees import DEEPEST

LARGEST_FILE = 400_000_000  # bytes
LARGEST_DROP = 2_000_000_000
MOST_FILES = 5_000
_ENDING = re.compile(r"((?:\.(?:tar|ipynb|eml))?\.[^.]*)?$")


@dataclass
class Upload:
    """One file on its way in: it is nothing until it is `done`."""

    drop: Drop
    number: int
    parts: tuple[str, ...]
    changed: float | None = None
    when: float = field(default_factory=time.time)
    size: int = 0
    _file: BinaryIO | None = None

    @property
    def _part(self) -> Path:
        return self.drop.place / f".{self.number}.{os.getpid()}.part"

    def write(self, data: bytes) -> None:
        """Add a piece to it; DropError if it, or the drop, becomes too large."""
        if self._file is None:
            self.drop.place.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._file = self._part.open("wb")
        self.size += len(data)
        if self.size > LARGEST_FILE:
            raise DropError(f"A file may have at most {LARGEST_FILE // 10**6} MB.")
        if _known(self.drop).bytes + self.size > LARGEST_DROP:
            raise DropError(f"One drop may have at most {LARGEST_DROP // 10**6:,} MB.")
        self._file.write(data)

    def done(self) -> None:
        """Let it be a file of the drop, under a name that no other file there has."""
        self.write(b"")
        assert self._file
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()
        with lock_and_backup.held(self.drop.place / LOCK):
            known = _known(self.drop)
            if self.number in known.numbers:  # it was sent twice, because the answer got lost
                self._part.unlink(missing_ok=True)
                return
            if len(known.numbers) >= MOST_FILES:
                raise DropError(f"One drop may have at most {MOST_FILES:,} files.")
            parts = _unlike(self.parts, known.names)
            self._part.replace(self.drop.place / f"{self.number}")
            facts = {"number": self.number, "parts": parts, "changed": self.changed}
            with (self.drop.place / NAMES).open("a", encoding="utf-8") as names:
                names.write(json.dumps(facts | {"when": self.when}) + "\n")
                names.flush()
                known.add(self.number, parts, self.size, names.tell())

    def give_up(self) -> None:
        """Remove what has come of it, if it is not done."""
        if self._file is not None:
            self._file.close()
            self._part.unlink(missing_ok=True)


@dataclass
class _Known:
    """What a drop holds, so that the thousandth file need not look at all before it."""

    numbers: set[int]
    names: set[tuple[str, ...]]
    bytes: int
    length: int  # of the list of names, by which it is seen whether somebody else added to it

    def add(self, number: int, parts: tuple[str, ...], size: int, length: int) -> None:
        self.numbers.add(number)
        self.names.add(tuple(map(key, parts)))
        self.bytes += size
        self.length = length


_all_known: dict[Path, _Known] = {}


def _known(drop: Drop) -> _Known:
    path = drop.place / NAMES
    length = path.stat().st_size if path.is_file() else 0
    found = _all_known.get(path)
    if found is None or found.length != length:
        given = drop.given()
        names = {tuple(map(key, one.parts)) for one in given}
        bytes = sum(one.path.stat().st_size for one in given)
        found = _Known({one.number for one in given}, names, bytes, length)
        _all_known.clear()  # one drop comes after another
        _all_known[path] = found
    return found


def parts_of(name: str) -> tuple[str, ...]:
    """Return the folders and the name of a file, each only a word to know it by.

    >>> parts_of("../../Bench 3/miter.ipynb"), parts_of("/etc/passwd"), parts_of("/")
    (('Bench 3', 'miter.ipynb'), ('etc', 'passwd'), ('file',))
    """
    words = [_cut(shown(part).strip()) for part in re.split(r"[/\\]", name) if key(part)]
    return tuple(filter(None, words[-DEEPEST:])) or ("file",)


def _cut(name: str) -> str:
    """Return a name of at most as many bytes as a disk allows, with its ending."""
    data = name.encode("utf-8", "replace")
    if len(data) <= LONGEST_NAME:
        return data.decode()
    end = name.rpartition(".")[2].encode()[:20]
    return (data[: LONGEST_NAME - len(end) - 1] + b"." + end).decode("utf-8", "ignore")


def _unlike(parts: tuple[str, ...], others: set[tuple[str, ...]]) -> tuple[str, ...]:
    """Return the names of a file with a number in the last, if another file has the same."""
    number, one = 1, parts
    while tuple(map(key, one)) in others:
        number += 1
        name = parts[-1]
        cut = _ENDING.search(name)
        at = cut.start() if cut and cut.start() else len(name)
        one = (*parts[:-1], f"{name[:at]} ({number}){name[at:]}")
    return one
