"""A class folder: roster, secret, gradebook, and the folders that nbgrader knows a course by.

Everything of one class lies in one folder, which is a valid nbgrader course. Written by hand:
`roster.csv`, `class.toml`. Made: the rest. The secret is readable by its owner alone and never
leaves the folder.
"""

from __future__ import annotations

import csv
import io
import os
import re
import secrets
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SECRET_FILE = "secret"
RECORD = "marks.json"  # beside each marked notebook: what it was made from, and each mark's reason
_OLD_CONFIG = "# Made by coursekit: do not edit."
_CONFIG = """\
# It makes this folder an nbgrader course. Settings of your own go below the two lines, for instance
# c.AssignLatePenalties.plugin_class = "late.TenPercentADay"   # a class in late.py, beside this file
from coursekit.classroom.settings import configure

c = configure(get_config(), __file__)
"""


class ClassError(ValueError):
    """A class folder or roster that cannot be used; the message says what to mend."""


@dataclass(frozen=True)
class Student:
    """One line of the roster."""

    id: str
    name: str


@dataclass(frozen=True)
class ClassFolder:
    """An open class: where it is, what it is called, who is in it.

    `gradebook` is the address of a gradebook on a PostgreSQL server, "" for the file in the folder;
    `book` is where students read the book's pages, "" where feedback should not link to them.
    """

    path: Path
    title: str
    students: tuple[Student, ...]
    gradebook: str = ""
    book: str = ""

    @property
    def secret(self) -> bytes:
        """The class secret that every own number is drawn from."""
        try:
            return bytes.fromhex((self.path / SECRET_FILE).read_text(encoding="ascii").strip())
        except (OSError, ValueError):
            raise ClassError(
                f"{self.path / SECRET_FILE}: the class secret must be there as it was made; it is "
                "not. Put it back from your copy of the class folder: without it every student "
                "would get other numbers."
            ) from None

    @property
    def db_url(self) -> str:
        """Address of the gradebook, as SQLAlchemy reads it."""
        if self.gradebook:
            return re.sub(r"^postgres(ql)?://", "postgresql+psycopg://", self.gradebook)
        return f"sqlite:///{self.gradebook_file.resolve()}"

    @property
    def gradebook_file(self) -> Path:
        """The gradebook where it is a file in the class folder."""
        return self.path / "gradebook.db"

    @property
    def made(self) -> Path:
        """Folder of what the kit keeps for itself: stamps, backups, the lock."""
        return self.path / ".made"

    def source(self, slug: str) -> Path:
        """Folder of the instructor's source of an exercise."""
        return self.path / "source" / slug

    def release(self, slug: str) -> Path:
        """Folder of the release: the notebook as every student gets it."""
        return self.path / "release" / slug

    def bundle(self, student: str, slug: str) -> Path:
        """Folder of what one student gets."""
        return self.path / "hand-out" / student / slug

    def submitted(self, student: str, slug: str) -> Path:
        """Folder of what one student handed in."""
        return self.path / "submitted" / student / slug

    def autograded(self, student: str, slug: str) -> Path:
        """Folder of one student's notebook as it was run and marked."""
        return self.path / "autograded" / student / slug

    def feedback(self, student: str, slug: str) -> Path:
        """Folder of one student's feedback."""
        return self.path / "feedback" / student / slug

    def student(self, id: str) -> Student:
        """Return the student with this id; ClassError where the roster has none."""
        for student in self.students:
            if student.id == id:
                return student
        raise ClassError(
            f"{self.path / 'roster.csv'}: a student must be on the roster; got '{id}'."
        )


def open_class(path: Path, roster: Iterable[Student], title: str = "") -> ClassFolder:
    """Make `path` a class folder with these students, or bring its roster up to date.

    A secret that is there stays. Raises ClassError for an empty roster.
    """
    students = tuple(roster)
    if not students:
        raise ClassError("A roster must name a student or more; got none. Add a line `id,name`.")
    path.mkdir(parents=True, exist_ok=True)
    _write_roster(path / "roster.csv", students)
    settings = path / "class.toml"
    if not settings.exists():
        quoted = (title or path.name).replace("\\", "\\\\").replace('"', '\\"')
        write_text(settings, f'title = "{quoted}"\n')
    secret = path / SECRET_FILE
    if not secret.exists():
        make_secret(secret, secrets.token_bytes(32))
    write_config(path)
    for name in ("source", "release", "submitted"):
        (path / name).mkdir(exist_ok=True)
    return load(path)


def write_config(path: Path) -> None:
    """Write the file that makes `path` an nbgrader course; one with an instructor's lines stays."""
    file = path / "nbgrader_config.py"
    if not file.exists() or file.read_text(encoding="utf-8").startswith(_OLD_CONFIG):
        write_text(file, _CONFIG)


def make_secret(path: Path, secret: bytes) -> None:
    """Write `secret` to `path`, readable by its owner alone from the first byte on."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secret.hex() + "\n")


def load(path: Path) -> ClassFolder:
    """Return the class in `path`; ClassError where there is none or its roster cannot be read."""
    if not (path / "class.toml").is_file():
        raise ClassError(
            f"{path}: a class folder must hold class.toml; it does not. Open one with "
            "`coursekit class open`."
        )
    try:
        settings = tomllib.loads((path / "class.toml").read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise ClassError(f"{path / 'class.toml'}: the file must be TOML; got {error}.") from None
    return ClassFolder(
        path,
        str(settings.get("title", path.name)),
        read_roster(path / "roster.csv"),
        _address(settings, path / "class.toml"),
        str(settings.get("book", "")),
    )


def _address(settings: dict[str, Any], source: Path) -> str:
    """Return the gradebook's address; ClassError, without the address, which may hold a password."""
    address = settings.get("gradebook", "")
    if not isinstance(address, str) or (address and not re.match(r"postgres(ql)?://", address)):
        raise ClassError(
            f"{source}: `gradebook` must be the address of a PostgreSQL database, "
            '"postgresql://user@host/name"; got another thing. Mend it, or take the line out to keep '
            "the gradebook in the class folder."
        )
    return address


def read_roster(path: Path) -> tuple[Student, ...]:
    """Return the students in a CSV file with the columns `id` and `name`.

    Raises ClassError, with the line's number, for a missing column, an id that is empty or used
    twice, or one that cannot be part of a file name.
    """
    if not path.is_file():
        raise ClassError(
            f"{path}: the roster must be there; got no such file. Write `id,name` lines."
        )
    with path.open(encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file)
        if not {"id", "name"} <= set(reader.fieldnames or ()):
            raise ClassError(
                f"{path}: the first line must name the columns id and name; got "
                f"{reader.fieldnames}. Add that line."
            )
        students: dict[str, Student] = {}
        for row in reader:
            id = (row["id"] or "").strip()
            if not id or not all(c.isalnum() or c in "-_." for c in id) or id[0] in ".-":
                raise ClassError(
                    f"{path}, line {reader.line_num}: an id must be letters, digits, - _ and .; got "
                    f"'{id}'. Change it."
                )
            if id in students:
                raise ClassError(
                    f"{path}, line {reader.line_num}: an id must be used once; got '{id}' again. "
                    "Give one of the two another id."
                )
            students[id] = Student(id, (row["name"] or "").strip() or id)
    return tuple(students.values())


def _write_roster(path: Path, students: tuple[Student, ...]) -> None:
    lines = [("id", "name"), *((s.id, s.name) for s in students)]
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows(lines)
    write_text(path, text.getvalue())


def write_text(path: Path, text: str) -> bool:
    """Write `text` to `path` in one step, never half; return whether anything changed."""
    return write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> bool:
    """Write `data` to `path` in one step, never half; return whether anything changed."""
    if path.is_file() and path.read_bytes() == data:
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.write_bytes(data)
    part.replace(path)
    return True
