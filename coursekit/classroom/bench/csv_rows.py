"""Rows of a CSV file that a person has filled in, whichever spreadsheet saved it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.bench.csv_cells import decoded, unwritten
from coursekit.classroom.register.class_folder import ClassError

LARGEST = 5_000_000  # bytes
MOST_ROWS = 50_000


@dataclass(frozen=True)
class Filled:
    """A row: the number of its line in the file, its cells by column, and what is wrong with it."""

    line: int
    cells: Mapping[str, str]
    trouble: str = ""


@dataclass(frozen=True)
class Refused:
    """A row that was refused: the number of its line, and why."""

    line: int
    why: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.why}"


def rows(
    path: Path, needed: Sequence[str], may: Sequence[str], also: Mapping[str, Sequence[str]]
) -> list[Filled]:
    """Return the rows of a CSV file that have anything in them.

    Columns may be separated by commas, semicolons or tabs and stand in any order, and capitals do
    not matter. Columns that are not wanted are passed over.

    Parameters
    ----------
    path
        The file.
    needed
        Columns that it must have.
    may
        Columns that it may have; one that is not there is empty.
    also
        Column → other names that it may go by.

    Raises
    ------
    ClassError
        If the file is not there, is too large, is not text, or lacks a column of `needed`.
    """
    text = re.sub(r"\A\s*\"?sep=.\"?\r?\n", "\n", decoded(_data(path)))
    lines = [line for line in text.splitlines() if line.strip()]
    own = {other: name for name, others in also.items() for other in others}
    header, delimiter = _header(path, lines[0] if lines else "", needed, own)
    try:
        found = _read(text, header, delimiter, (*needed, *may))
    except csv.Error as error:
        raise ClassError(
            f"{path}: the file must be CSV; got {error}. Save it again from the spreadsheet as CSV."
        ) from None
    if len(found) > MOST_ROWS:
        raise ClassError(
            f"{path}: a file must have at most {MOST_ROWS} rows; got {len(found)}. Split it."
        )
    return found


def _data(path: Path) -> bytes:
    if not path.is_file():
        raise ClassError(f"{path}: the file must be there; got no such file. Mend the name.")
    with path.open("rb") as file:
        data = file.read(LARGEST + 1)
    if len(data) > LARGEST:
        raise ClassError(f"{path}: the file must be at most 5 MB; got more. Split it.")
    if data[:2] == b"PK" or (b"\0" in data and data[:2] not in (b"\xff\xfe", b"\xfe\xff")):
        raise ClassError(
            f"{path}: the file must be CSV, which is text; got a spreadsheet's own file or another "
            "thing. In the spreadsheet choose to save it as CSV."
        )
    return data


def _header(
    path: Path, first: str, needed: Sequence[str], own: Mapping[str, str]
) -> tuple[list[str], str]:
    """Return the columns by their own names, and the separator between them."""
    best: list[str] = []
    for delimiter in ",;\t":
        cells = next(csv.reader([first], delimiter=delimiter), [])
        names = [" ".join(c.split()).lower() for c in cells]
        names = [own.get(n, n) for n in names]
        if set(needed) <= set(names):
            if twice := [n for n in needed if names.count(n) > 1]:
                raise ClassError(
                    f"{path}: a column must be there once; got {', '.join(twice)} again. "
                    "Take one out."
                )
            return names, delimiter
        best = max(best, names, key=len)
    raise ClassError(
        f"{path}: the first line must name the columns {', '.join(needed)}; got "
        f"{', '.join(best) or 'nothing'}. Add what is missing."
    )


def _read(text: str, header: list[str], delimiter: str, wanted: Sequence[str]) -> list[Filled]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    found: list[Filled] = []
    seen_header = False
    before = 0
    for cells in reader:
        line, before = before + 1, reader.line_num
        if not any(c.strip() for c in cells):
            continue
        if not seen_header:
            seen_header = True
            continue
        row = dict(zip(header, (unwritten(c.strip()) for c in cells), strict=False))
        kept = {name: row.get(name, "") for name in wanted}
        found.append(Filled(line, kept, _trouble(cells, len(header))))
    return found


def _trouble(cells: list[str], columns: int) -> str:
    """Say what is wrong with a row that has more in it than the first line names.

    This happens to a decimal comma if commas separate the columns: 0,42 would be read as 0.
    """
    if not any(c.strip() for c in cells[columns:]):
        return ""
    return (
        f"A row must have at most as many cells as the first line, {columns}; got {len(cells)}. "
        'Where commas part the columns, write 0.42 or put "0,42" in quotes.'
    )
