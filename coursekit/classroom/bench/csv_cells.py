"""Cells of a CSV file, as this kit writes them and as a spreadsheet saves them again."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from contextlib import suppress

from coursekit.sheets.text import clean

_PLAIN_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d*)?(?:[eE][+-]?\d+)?")
_STARTS_FORMULA = tuple("=+-@\t\r'")
_BREAK = "⏎"  # stands for a line break in a cell, so that each entry is one line of the file
LONGEST = 4000  # characters of a cell


def tidy(cell: str) -> str:
    """Return a cell as it is kept: on one line, without control characters, limited in length."""
    return clean(cell.strip().replace("\r\n", "\n").replace("\n", _BREAK), LONGEST)


def lines_of(cell: str) -> str:
    """Return a kept cell with its line breaks."""
    return cell.replace(_BREAK, "\n")


def canonical(cell: str) -> str:
    """Return a number in its one standard form; a cell that is not a number stays as it is.

    >>> canonical("1,20"), canonical("+3.0"), canonical("1 Feb")
    ('1.2', '3', '1 Feb')
    """
    if not _PLAIN_NUMBER.fullmatch(cell.strip()):
        return cell
    return f"{float(cell.replace(',', '.')):.15g}"


def written(cell: str) -> str:
    """Return a cell as it stands in a CSV file, with a ' before what a spreadsheet would run.

    Plain numbers, with a sign or without, stay numbers. `unwritten` takes the ' away again.

    >>> written("=1+1"), written("-0.3"), written("-0.3 mm"), written("'tis")
    ("'=1+1", '-0.3', "'-0.3 mm", "''tis")
    """
    runs = cell.startswith(_STARTS_FORMULA) and not _PLAIN_NUMBER.fullmatch(cell)
    return f"'{cell}" if runs else cell


def unwritten(cell: str) -> str:
    """Return what `written` was given.

    >>> unwritten("'=1+1"), unwritten("-0.3")
    ('=1+1', '-0.3')
    """
    return cell.removeprefix("'")


def csv_text(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return CSV text that a spreadsheet reads without running anything in it."""
    made = io.StringIO(newline="")
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([written(cell) for cell in row] for row in rows)
    return made.getvalue()


def decoded(data: bytes) -> str:
    """Return the text of a file that a spreadsheet saved in UTF-8, UTF-16 or Windows-1252."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def table(data: bytes, header: Iterable[str]) -> Iterable[dict[str, str]]:
    """Yield column → cell for each line of a file that has all columns of `header`, in any order.

    Columns may be separated by commas, semicolons or tabs. A byte-order mark and a line `sep=;`
    before them do not matter. A file that lacks a column yields nothing.
    """
    text = re.sub(r"\A\s*\"?sep=.\"?\r?\n", "", decoded(data)).replace("\0", "")
    names = set(header)
    first = text.partition("\n")[0]
    for delimiter in ",;\t":
        if names <= {n.strip() for n in next(csv.reader([first], delimiter=delimiter), [])}:
            break
    else:
        return
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    columns = [name.strip() for name in next(reader)]
    with suppress(csv.Error):  # a field too large to read loses everything after it
        for cells in reader:
            if len(cells) >= len(columns):
                row = dict(zip(columns, (c.strip() for c in cells), strict=False))
                yield {name: row[name] for name in names}
