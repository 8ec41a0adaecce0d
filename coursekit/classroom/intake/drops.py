"""What was dropped at the desk, kept until every piece of it is settled, and what is unclear.

`.made/drops/<id>/` holds one drop: the files under numbers, `names.jsonl` with a line for each of
them in the order in which they came, and `told.json` with what became of them. A name that a file
was given is only a name: nothing on the disk is called so.

A file without its line is half of one, because the line is written last. What take-in has kept
elsewhere is removed here, and what it left stays until somebody says whose it is, or sets it aside
and throws it away. A drop that was broken off can be taken in again, because take-in never keeps
the same twice. Its work counts as come when it was dropped.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path

from coursekit.classroom.intake.archives import ArchiveReader, FoundFile, Stored, stored
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassFolder, write_text
from coursekit.classroom.register.outside_names import shown
from coursekit.classroom.register.trees import is_folder, remove

KEPT = 3  # drops whose list is kept after all of it is settled
_HALF = 3600.0  # seconds after which a file without its line is waste
_ID = re.compile(r"[0-9a-f]{16}")
NAMES, _TOLD, LOCK = "names.jsonl", "told.json", ".lock"


class DropError(ValueError):
    """A file that is not taken into a drop; the message says why."""


@dataclass(frozen=True)
class Given:
    """A file of a drop: its number, the names it was given with, its times, where it lies."""

    number: int
    parts: tuple[str, ...]
    changed: float | None
    when: float
    path: Path

    def stored(self) -> Stored:
        """Return it as `take_in` takes it."""
        changed = None if self.changed is None else datetime.fromtimestamp(self.changed)
        return Stored(self.path, self.parts, changed)


@dataclass(frozen=True)
class Line:
    """What became of a file, as in `Taken`, and whose numbers its answers fit, "" for nobody's.

    `fits` of `given` answers fit. `state` is "open" for what is unclear, "aside" for what was set
    aside, and else "done".
    """

    source: str
    what: str
    student: str = ""
    slug: str = ""
    why: str = ""
    count: int = 1
    asks: str = ""
    among: tuple[str, ...] = ()
    fit: str = ""
    fits: int = 0
    given: int = 0
    state: str = "done"


@dataclass(frozen=True)
class Told:
    """What became of a drop; `taken` are the numbers of the files that it is about."""

    lines: tuple[Line, ...] = ()
    taken: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Drop:
    """One drop of a class, by its id."""

    folder: ClassFolder
    id: str

    def __post_init__(self) -> None:
        if not _ID.fullmatch(self.id):
            raise DropError(f"A drop must be named by 16 signs; got '{shown(self.id)[:40]}'.")

    @property
    def place(self) -> Path:
        """Where it lies."""
        return place(self.folder) / self.id

    def given(self) -> list[Given]:
        """Return the files that are still kept here, in the order in which they came."""
        found: dict[int, Given] = {}
        for line in _lines_of(self.place / NAMES):
            try:
                facts = json.loads(line)
                one = Given(
                    int(facts["number"]),
                    tuple(map(str, facts["parts"])),
                    facts["changed"],
                    float(facts["when"]),
                    self.place / f"{int(facts['number'])}",
                )
            except (ValueError, KeyError, TypeError):
                continue  # a line that was being written when the power went
            if one.path.is_file():
                found[one.number] = one
        return list(found.values())

    def told(self) -> Told:
        """Return what became of it as far as it was taken in."""
        try:
            facts = json.loads((self.place / _TOLD).read_text(encoding="utf-8"))
            lines = (Line(**(line | {"among": tuple(line["among"])})) for line in facts["lines"])
            return Told(tuple(lines), frozenset(facts["taken"]))
        except (OSError, ValueError, KeyError, TypeError):
            return Told()  # what is still here is taken in again then

    def waiting(self) -> list[Given]:
        """Return the files that were not taken in yet."""
        taken = self.told().taken
        return [one for one in self.given() if one.number not in taken]

    @contextmanager
    def changing(self) -> Iterator[list[Line]]:
        """Yield the lines, to be changed in place by one program at a time; then keep them."""
        with lock_and_backup.held(self.place / LOCK):
            before = self.told()
            lines = list(before.lines)
            yield lines
            self.keep(replace(before, lines=tuple(lines)))

    def keep(self, told: Told) -> None:
        """Write down what became of it, and remove the files that nobody needs any more."""
        facts = {"lines": [asdict(one) for one in told.lines], "taken": sorted(told.taken)}
        write_text(self.place / _TOLD, json.dumps(facts, ensure_ascii=False) + "\n")
        needed = [one.source for one in told.lines if one.state != "done"]
        for one in self.given():
            if one.number in told.taken and not any(is_of(one, source) for source in needed):
                one.path.unlink(missing_ok=True)

    def content(self, source: str) -> bytes | None:
        """Return what is in the file that the list calls `source`, None if it does not read."""
        some = [one for one in self.given() if is_of(one, source)]
        with ArchiveReader() as reader:
            for one in stored([one.stored() for one in some], reader):
                if isinstance(one, FoundFile) and str(one) == source:
                    return one.read()
        return None


def place(folder: ClassFolder) -> Path:
    """Return where the drops of a class lie."""
    return folder.made / "drops"


def drops(folder: ClassFolder) -> list[Drop]:
    """Return all drops that are kept, the newest first."""
    there = place(folder)
    found = there.iterdir() if is_folder(there) else ()
    kept = [p for p in found if _ID.fullmatch(p.name) and (p / NAMES).is_file()]
    kept.sort(key=lambda p: (p / NAMES).stat().st_mtime, reverse=True)
    return [Drop(folder, p.name) for p in kept]


def unclear(folder: ClassFolder) -> int:
    """Return how many files wait for a word of the instructor's: unclear, or not taken in yet."""
    found = drops(folder)
    some = {(d.id, line.source) for d in found for line in d.told().lines if line.state == "open"}
    return len(some) + sum(len(d.waiting()) for d in found)


def is_of(one: Given, source: str) -> bool:
    """Whether a line about `source` may be about this file, or what is in it or beside it."""
    top = shown(one.parts[0])[:80]
    return source[: len(top)] == top


def _lines_of(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines() if path.is_file() else []


def sweep(folder: ClassFolder) -> None:
    """Remove halves of files that never became whole, and old drops of which nothing waits."""
    there = place(folder)
    last = time.time() - _HALF
    for one in there.iterdir() if is_folder(there) else ():
        parts = list(one.glob(".*.part")) if is_folder(one) else []
        for part in (p for p in parts if p.stat().st_mtime < last):
            part.unlink(missing_ok=True)
        if not (one / NAMES).is_file() and one.stat().st_mtime < last:
            remove(one)
    for drop in drops(folder)[KEPT:]:
        if not drop.given():
            remove(drop.place)
