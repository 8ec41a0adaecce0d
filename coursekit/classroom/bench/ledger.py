"""A record that is only ever added to: lines of CSV in the class folder, every line kept twice.

Each line has a number and a check of its own, four characters calculated from everything in it. If
another program has changed a line (a spreadsheet turns 1.2 into a date), the check no longer fits,
and the line is taken from the second copy, in `.made`. A line that was reported as recorded is
never lost, even if the computer stops in the middle of writing.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bench.csv_cells import canonical, csv_text, table, tidy, unwritten
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassError
from coursekit.sheets.code import checksum

Row = dict[str, str]


@dataclass(frozen=True)
class LedgerLines:
    """The lines of a record in order, and in words what another program has done to its file."""

    rows: tuple[Row, ...]
    harm: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ledger:
    """A record at `path` with its second copy; its `columns` that are in `numbers` hold numbers.

    Each line begins with `number`, which counts the lines from 1, and `when`, the time in UTC; it
    ends with `check`.
    """

    path: Path
    copy: Path
    columns: tuple[str, ...]
    numbers: frozenset[str] = frozenset()

    @property
    def header(self) -> tuple[str, ...]:
        """The file's first line."""
        return ("number", "when", *self.columns, "check")

    def read(self) -> LedgerLines:
        """Return what is recorded.

        Raises ClassError if a line is lost or changed in both copies, or if the copies disagree.
        """
        first, second = _bytes(self.path), _bytes(self.copy)
        good = self._whole(second)
        for number, row in self._whole(first).items():
            if good.setdefault(number, row) != row:
                raise ClassError(
                    f"{self.path}: line {number} must be the same in both copies; it is not (the "
                    f"other is {self.copy}). Two class folders have been mixed: put both files "
                    "back from one of them."
                )
        if lost := sorted(set(range(1, max(good, default=0) + 1)) - set(good)):
            raise ClassError(
                f"{self.path}: every line must be as it was written; number "
                f"{', '.join(map(str, lost[:5]))} is changed or gone, here and in {self.copy}. Put "
                "both files back from your copy of the class folder."
            )
        rows = tuple(good[n] for n in sorted(good))
        return LedgerLines(rows, self._harm(first, second, good))

    def add(self, make: Callable[[tuple[Row, ...]], Iterable[Mapping[str, str]]]) -> list[Row]:
        """Add the lines that `make` returns when it is given the lines there are; return them.

        Only one program adds at a time, and the lines are on the disk when this returns. A file
        that another program has changed is put right, and the changed one is kept beside it.
        """
        with lock_and_backup.held(self.copy.with_suffix(".lock")):
            found = self.read()
            new = self._numbered(make(found.rows), len(found.rows))
            before = _bytes(self.path)
            if not self.text(found.rows).encode().startswith(before):
                _put_aside(self.path, before)
            elif not new:
                return []
            for path in (self.copy, self.path):
                self._append(path, found.rows, new)
        return new

    def erase(self, students: Collection[str]) -> int:
        """Empty the lines of these `students` and return how many; their numbers and times stay.

        Changed files that were kept beside the record are deleted if any line was emptied.
        """
        with lock_and_backup.held(self.copy.with_suffix(".lock")):
            rows = self.read().rows
            kept = [self._emptied(r) if r["student"] in students else r for r in rows]
            count = sum(a != b for a, b in zip(rows, kept, strict=True))
            if count:
                for path in (self.copy, self.path):
                    _replace(path, self.text(kept).encode())
                for old in self.path.parent.glob(f"{self.path.stem}.changed-*.csv"):
                    old.unlink()
        return count

    def _emptied(self, row: Row) -> Row:
        bare = {c: row[c] if c in ("number", "when") else "" for c in self.header[:-1]}
        return bare | {"check": self._check(bare)}

    def text(self, rows: Iterable[Row]) -> str:
        """Return the text of the file that holds `rows`."""
        return csv_text(self.header, ([row[c] for c in self.header] for row in rows))

    def _numbered(self, rows: Iterable[Mapping[str, str]], last: int) -> list[Row]:
        when = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        made = []
        for number, row in enumerate(rows, start=last + 1):
            full = {"number": str(number), "when": when}
            full |= {c: tidy(row.get(c, "")) for c in self.columns}
            full |= {c: canonical(full[c]) for c in self.numbers}
            made.append(full | {"check": self._check(full)})
        return made

    def _append(self, path: Path, rows: Sequence[Row], new: Sequence[Row]) -> None:
        """Add `new` to the file; if it does not hold exactly `rows`, write it again as a whole."""
        before = self.text(rows).encode()
        more = self.text(new).partition("\n")[2].encode()
        path.parent.mkdir(parents=True, exist_ok=True)
        if _bytes(path) == before:
            with path.open("ab", buffering=0) as file:
                _all_out(file.fileno(), more)
            return
        _replace(path, before + more)

    def _check(self, row: Mapping[str, str]) -> str:
        """Return the check of a line, whose numbers must be in their standard form."""
        return checksum("\0".join(row[c] for c in self.header[:-1]))

    def _whole(self, data: bytes) -> dict[int, Row]:
        """Return number → line for the lines whose check fits."""
        found: dict[int, Row] = {}
        for cells in table(data, self.header):
            row = {c: unwritten(cell) for c, cell in cells.items()}
            row |= {c: canonical(row[c]) for c in ("number", *self.numbers)}
            if row["number"].isdecimal() and self._check(row) == row["check"]:
                found[int(row["number"])] = row
        return found

    def _harm(self, first: bytes, second: bytes, good: Mapping[int, Row]) -> tuple[str, ...]:
        """Say what is wrong with the first file; that it lacks the last lines is no harm."""
        if second.startswith(first) or not first:
            return ()
        here = self._whole(first)
        if missing := [n for n in sorted(good) if n not in here]:
            some = ", ".join(map(str, missing[:5])) + (" and more" if len(missing) > 5 else "")
            return (
                f"{self.path} has been changed by another program: number {some} is not as it was "
                "recorded. The second copy counts. To correct a value, record it again.",
            )
        return ()


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return b""


def _replace(path: Path, data: bytes) -> None:
    """Write `data` to `path` as a whole or not at all; it is on the disk when this returns."""
    part = path.with_name(f".{path.name}.part")
    try:
        with part.open("wb", buffering=0) as file:
            _all_out(file.fileno(), data)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)  # the disk may be full, so leave no half-written file on it
        raise


def _all_out(handle: int, data: bytes) -> None:
    """Write all of `data` and wait until the disk has it."""
    left = memoryview(data)
    while left:
        left = left[os.write(handle, left) :]
    os.fsync(handle)


def _put_aside(path: Path, data: bytes) -> None:
    """Keep a changed file beside the record, with the present time in its name."""
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
    path.with_name(f"{path.stem}.changed-{stamp}.csv").write_bytes(data)
