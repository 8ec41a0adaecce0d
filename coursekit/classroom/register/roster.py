"""A class's roster, read from whatever a spreadsheet saves as text.

One line is one student. The first line names the columns, in any case and order: an id (`id`,
`student id`, `number` …) and, if there are such, a name (`name`, or `first name` and `last name`)
and an `e-mail` address. Other columns are left out, because a class folder keeps no more about
people than it needs.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.register.outside_names import DEVICES
from coursekit.classroom.register.outside_names import key as disk_key

LARGEST = 5_000_000  # bytes
LONGEST_ID, LONGEST_NAME = 64, 120
LONGEST_MAIL = 254  # RFC 5321, section 4.5.3.1.3, less the two brackets (from memory)
_SEPARATORS = ",;\t|"
_ID = (
    "id",
    "studentid",
    "student",
    "studentnumber",
    "studentno",
    "number",
    "no",
    "nr",
    "nummer",
    "login",
    "username",
)
# as spreadsheets in some languages call them, besides English (from memory)
_NAME = (
    *("name", "fullname", "studentname", "displayname", "lastnamefirstname"),
    *("nachnamevorname", "namevorname", "vornamenachname", "vollername", "nomprénom", "nomcomplet"),
)
_FIRST = ("firstname", "givenname", "forename", "vorname", "rufname", "prénom", "prenom")
_LAST = ("lastname", "surname", "familyname", "nachname", "familienname", "nom")
_MAIL = ("email", "emailaddress", "mail", "mailaddress", "studentemail")
_NOT_IN_MAIL = frozenset(
    ',;:<>()[]"\\'
)  # what would make it more, or other, than one plain address
# what a spreadsheet's rows below the list are called, in plain letters
_SUM_ROWS = frozenset(
    (
        *("total", "totals", "grandtotal", "subtotal", "sum", "sums", "count", "average", "avg"),
        *("mean", "median", "standarddeviation", "stddev", "summe", "gesamt", "gesamtsumme"),
        *("insgesamt", "zwischensumme", "anzahl", "durchschnitt", "mittelwert"),
        *("somme", "moyenne", "médiane", "totale", "somma", "suma", "promedio", "soma", "média"),
        *("totaal", "gemiddelde", "summa", "medelvärde", "genomsnitt", "gennemsnit", "σ", "ø"),
    )
)
# names that an id must not have, because the kit's own files or Windows devices have them
_TAKEN = {"class", "instructor"} | DEVICES


class ClassError(ValueError):
    """A class folder or roster that cannot be used; the message says what to mend."""


@dataclass(frozen=True)
class Student:
    """One line of the roster; `mail` is the e-mail address, or "" without one."""

    id: str
    name: str
    mail: str = ""


@dataclass(frozen=True)
class Roster:
    """The students of a roster, the names of the columns left out, and what else was left out."""

    students: tuple[Student, ...]
    left_out: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


def read(path: Path, *, fresh: bool = False) -> Roster:
    """Return the roster in the text file `path`.

    The text may be UTF-8 (with or without a byte-order mark), UTF-16 or Windows-1252, and commas,
    semicolons, tabs or bars may separate the cells. If `fresh` is true the file comes from outside,
    so an id that the kit keeps for itself, or that a disk could take for another, is refused too,
    and a row of sums or averages is left out and told.

    Raises ClassError, with the numbers of the lines, for a file that isn't such text, a missing
    column, and an id that is empty, used twice or can't be part of a file name. An e-mail address
    that can't be one is left out and told; the student is taken.
    """
    if not path.is_file():
        raise ClassError(
            f"{path}: the roster must be there; got no such file. Write `id,name` lines."
        )
    with path.open("rb") as file:
        return of_bytes(file.read(LARGEST + 1), str(path), fresh=fresh)


def of_bytes(data: bytes, file: str, *, fresh: bool = False) -> Roster:
    """Return the roster in `data`, as `read` does; messages call it `file`."""
    lines = _lines(_text(data, file), file)
    header = next(lines, (1, []))
    columns = _columns(header[1], file)
    found: list[tuple[int, Student]] = []
    told: list[str] = []
    for number, cells in lines:
        where = f"{file}, line {number}"
        if fresh and (word := _sum_row(cells, columns)):
            told.append(
                f"{where}: a line must be a student; got '{word}', which a spreadsheet writes "
                "below its list. It is left out."
            )
            continue
        found.append((number, _student(cells, columns, len(header[1]), where, told)))
    _refuse_ids(found, file, fresh)
    used = {i for places in columns.values() for i in places}
    left_out = tuple(c for i, c in enumerate(header[1]) if i not in used and c)
    return Roster(tuple(student for _, student in found), left_out, tuple(told))


def _text(data: bytes, file: str) -> str:
    """Return the file's text, in whichever encoding a spreadsheet saved it."""
    if len(data) > LARGEST:
        raise ClassError(
            f"{file}: a roster must be smaller than {LARGEST // 10**6} MB; got more. Is it the "
            "right file?"
        )
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF")):
        raise ClassError(
            f"{file}: the roster must be text; got a spreadsheet or another program's own file. "
            "Save it there as CSV, then name that file."
        )
    for encoding in _encodings(data):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise ClassError(
        f"{file}: the roster must be text; got bytes that are none. Save it as CSV in UTF-8."
    )


def _encodings(data: bytes) -> tuple[str, ...]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return ("utf-16",)
    half = len(data) // 2
    if half and data[1::2].count(0) > half // 2:
        return ("utf-16-le",)
    if half and data[::2].count(0) > half // 2:
        return ("utf-16-be",)
    return ("utf-8-sig", "cp1252")


def _lines(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Yield number and cells of every line that isn't empty; the first names the columns."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    skipped = 0
    if said := re.match(r"sep=(.)\n", text):  # some spreadsheets name the separator in line 1
        text, skipped = text[said.end() :], 1
    separator = said[1] if said else _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    before = 0
    try:
        for cells in reader:
            number, before = before + 1 + skipped, reader.line_num
            cells = [_clean(cell) for cell in cells]
            if any(cells):
                yield number, cells
    except csv.Error as error:
        raise ClassError(
            f"{file}, line {before + 1 + skipped}: quotes must come in pairs round a whole cell; "
            f"got a line that does not read ({error}). Mend it, or save the file as CSV again."
        ) from None


def _separator(text: str) -> str:
    """Return the separator by which the first line names the most columns that are known here."""
    first = next((line for line in text.splitlines() if line.strip(_SEPARATORS + " ")), "")

    def known(sign: str) -> tuple[int, int]:
        cells = [_word(c.strip().strip('"')) for c in first.split(sign)]
        return sum(c in (*_ID, *_NAME, *_FIRST, *_LAST, *_MAIL) for c in cells), len(cells)

    return max(_SEPARATORS, key=known)


def _clean(cell: str) -> str:
    """Return a cell with its letters composed (NFC) and without characters that do not print."""
    cell = unicodedata.normalize("NFC", cell)
    cell = "".join(c if c.isprintable() else " " for c in cell if unicodedata.category(c) != "Cf")
    return " ".join(cell.split())


def _word(name: str) -> str:
    return re.sub(r"[\W_]+", "", name.removeprefix("\ufeff").casefold())


def _columns(header: list[str], file: str) -> dict[str, list[int]]:
    """Return the places of the columns that hold the id, the parts of the name and the address."""
    words = [_word(name) for name in header]

    def place(names: Iterable[str]) -> list[int]:
        return [words.index(n) for n in names if n in words][:1]

    id = place(_ID)
    name = place(_NAME) or place(_FIRST) + place(_LAST)
    if [words[i] for i in name] == ["name"]:  # beside a first name it is the last one
        name = place(_FIRST) + name
    if not id:
        raise ClassError(
            f"{file}: the first line must name the columns id and name; got "
            f"{', '.join(repr(h) for h in header) or 'an empty file'}. Put that line first."
        )
    mail = place(_MAIL)
    for what in (*id, *name, *mail):
        if words.count(words[what]) > 1:
            raise ClassError(
                f"{file}: a column must be named once; got '{header[what]}' twice in the first "
                "line. Rename or remove one."
            )
    return {"id": id, "name": [i for i in name if i not in id], "mail": mail}


def _sum_row(cells: list[str], columns: dict[str, list[int]]) -> str:
    """Return the word that makes a line a row of sums, such as "Total"; "" for a student.

    It stands in place of the id or the whole name, beside nothing but numbers, such as "9" or
    "9 students", and the line has no e-mail address.
    """

    def among(names: str) -> list[str]:
        return [cells[i] for i in columns[names] if i < len(cells) and cells[i]]

    said = among("id") + among("name")
    words = [cell for cell in said if _word(cell) in _SUM_ROWS]
    rest = [cell for cell in said if cell not in words and not re.match(r"[\d.,]+(\s|$)", cell)]
    return words[0] if words and not rest and not among("mail") else ""


def _student(
    cells: list[str], columns: dict[str, list[int]], width: int, where: str, told: list[str]
) -> Student:
    if any(cells[width:]):
        raise ClassError(
            f"{where}: a line must have no more cells than the first one; got {len(cells)} for "
            f"{width}. Put a cell that holds the separator in quotes."
        )

    def cell(place: int) -> str:
        return cells[place] if place < len(cells) else ""

    id = cell(columns["id"][0])
    if not id or not all(c.isalnum() or c in "-_." for c in id) or id[0] in ".-" or id[-1] == ".":
        raise ClassError(
            f"{where}: an id must be letters, digits, - _ and .; got '{id}'. Change it."
        )
    if len(id) > LONGEST_ID:
        raise ClassError(
            f"{where}: an id must have at most {LONGEST_ID} letters; got {len(id)}. Shorten it."
        )
    name = " ".join(filter(None, (cell(i) for i in columns["name"])))
    if len(name) > LONGEST_NAME:
        raise ClassError(
            f"{where}: a name must have at most {LONGEST_NAME} letters; got {len(name)}. Shorten "
            "it."
        )
    mail = "".join(cell(i) for i in columns["mail"])
    if mail and not is_mail(mail):
        told.append(
            f"{where}: an e-mail address must be one address with one @, without spaces or commas; "
            f"got '{mail[:LONGEST_MAIL]}'. The student is taken without it."
        )
        mail = ""
    return Student(id, name or id, mail)


def is_mail(text: str) -> bool:
    """Whether `text` can be one e-mail address.

    >>> is_mail("ann@example.org"), is_mail("ann@example.org, bo@example.org"), is_mail("ann")
    (True, False, False)
    """
    before, at, after = text.partition("@")
    whole = bool(at and before and after) and "@" not in after and len(text) <= LONGEST_MAIL
    whole = whole and "=?" not in text  # which would begin an encoded word (RFC 2047)
    return whole and not any(c.isspace() or not c.isprintable() or c in _NOT_IN_MAIL for c in text)


def _refuse_ids(found: list[tuple[int, Student]], file: str, fresh: bool) -> None:
    """Refuse ids that are used twice, all in one message.

    In a fresh file, ids that a disk could take for one another count as used twice, and names that
    the kit or a system keeps for itself are refused.
    """
    lines: dict[str, list[int]] = {}
    spelt: dict[str, list[str]] = {}
    for number, student in found:
        key = disk_key(student.id) if fresh else student.id
        lines.setdefault(key, []).append(number)
        spelt.setdefault(key, []).append(student.id)
        if fresh and key.split(".")[0] in _TAKEN:
            raise ClassError(
                f"{file}, line {number}: an id must not be a name that the kit or a system keeps "
                f"for itself; got '{student.id}'. Change it."
            )
    twice = [
        f"'{' and '.join(dict.fromkeys(spelt[key]))}' in lines {', '.join(map(str, numbers))}"
        for key, numbers in lines.items()
        if len(numbers) > 1
    ]
    if twice:
        raise ClassError(
            f"{file}: an id must be used once, capitals or not; got {'; '.join(twice)}. Give each "
            "student an id of their own."
        )
