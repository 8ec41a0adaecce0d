"""A class folder: roster, secret, gradebook, and the folders that nbgrader expects of a course.

Everything of one class lies in one folder, which is a valid nbgrader course and may be moved,
packed and put away. `roster.csv` and `class.toml` may be edited by hand; the kit makes the rest.
Only its owner can read the secret, and it never leaves the folder.
"""

from __future__ import annotations

import csv
import io
import os
import re
import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from coursekit.classroom.register import class_questions, class_toml, roster
from coursekit.classroom.register.roster import ClassError as ClassError
from coursekit.classroom.register.roster import Student as Student
from coursekit.classroom.register.secret import (
    LENGTH,
    SECRET_FILE,
    make_secret,
    read_secret,
    to_owner_alone,
)

# a class that has any of these has handed something out or marked it
_MADE_WITH_SECRET = ("hand-out", "worksheets", "autograded", "gradebook.db")
RECORD = "marks.json"  # beside each marked notebook: what it was made from, and each mark's reason
DRAWS_FILE = "own-numbers.csv"
_DRAWS_HEAD = ("student", "exercise", "drawn_as")
_OLD_CONFIG = "# Made by coursekit: do not edit."
_CONFIG = """\
# It makes this folder an nbgrader course. Settings of your own go below the two lines, for instance
# c.AssignLatePenalties.plugin_class = "late.TenPercentADay"   # a class in late.py, \
beside this file
from coursekit.classroom.gradebook.nbgrader_settings import configure

c = configure(get_config(), __file__)
"""


@dataclass(frozen=True)
class ClassFolder:
    """An open class: where it is, what it is called, who is in it.

    `gradebook` is the address of a gradebook on a PostgreSQL server, or "" for the file in the
    folder. `book` is where students read the book's pages, or "" if feedback should not link to
    them. `due` maps a slug to the time at which that exercise is due, and `late` is the rule for
    what late work loses. `draws` holds, for students whose own numbers are not drawn from their id,
    what they are drawn from: (student, slug or "" for all) → name. `exchange` holds the folder and
    the course name of nbgrader's exchange, or None if the class uses none. `questions` holds what
    the class changes of the course's questions.
    """

    path: Path
    title: str
    students: tuple[Student, ...]
    gradebook: str = ""
    book: str = ""
    due: Mapping[str, datetime] = field(default_factory=dict)
    late: class_toml.Late | None = None
    draws: Mapping[tuple[str, str], str] = field(default_factory=dict)
    exchange: tuple[str, str] | None = None
    questions: class_questions.Changes = field(default_factory=dict)

    def drawn_as(self, student: str, slug: str) -> str:
        """Return the name that a student's own numbers of an exercise are drawn from.

        It is the id, unless the id was changed or the student was given other numbers.
        """
        return self.draws.get((student, slug)) or self.draws.get((student, "")) or student

    @property
    def secret(self) -> bytes:
        """The class secret that every own number is drawn from."""
        return read_secret(self.path / SECRET_FILE)

    @property
    def db_url(self) -> str:
        """Address of the gradebook, as SQLAlchemy reads it."""
        if self.gradebook:
            return re.sub(r"^postgres(ql)?://", "postgresql+psycopg://", self.gradebook)
        return f"sqlite:///{self.gradebook_file.resolve()}"

    @property
    def gradebook_file(self) -> Path:
        """The path of the gradebook, if it is a file in the class folder and not on a server."""
        return self.path / "gradebook.db"

    @property
    def made(self) -> Path:
        """Folder of what the kit keeps for itself: notes, known numbers, backups, the lock."""
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
        """Return the student with this id; raises ClassError if the roster has none."""
        for student in self.students:
            if student.id == id:
                return student
        raise ClassError(
            f"{self.path / 'roster.csv'}: a student must be on the roster; got '{id}'."
        )


def open_class(path: Path, students: Iterable[Student], title: str = "") -> ClassFolder:
    """Make `path` a class folder with these students, or bring its roster up to date.

    A secret that is already there stays, and so does the title unless another is given. Raises
    ClassError for an empty roster, or if the secret is not as it was made.
    """
    students = tuple(students)
    if not students:
        raise ClassError("A roster must name a student or more; got none. Add a line `id,name`.")
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    see_to_secret(path)
    write_roster(path / "roster.csv", students)
    settings = path / "class.toml"
    if not settings.exists():
        write_text(settings, f"title = {class_toml.quoted(title or path.resolve().name)}\n")
    elif title:
        write_text(settings, class_toml.put(settings, "", "title", class_toml.quoted(title)))
    write_config(path)
    for name in ("source", "release", "submitted"):
        (path / name).mkdir(exist_ok=True)
    return load(path)


def see_to_secret(path: Path) -> None:
    """Make the secret of a new class; ClassError if it was lost or damaged in a running class."""
    secret = path / SECRET_FILE
    running = any((path / name).exists() for name in _MADE_WITH_SECRET)
    if running or os.path.lexists(secret):
        read_secret(secret)
    else:
        make_secret(secret, secrets.token_bytes(LENGTH))


def write_config(path: Path) -> None:
    """Write the file that makes `path` an nbgrader course.

    A file that is already there stays, because an instructor may have added lines to it; only the
    kind that earlier versions of the kit wrote is replaced.
    """
    file = path / "nbgrader_config.py"
    if not file.exists() or file.read_text(encoding="utf-8").startswith(_OLD_CONFIG):
        write_text(file, _CONFIG)


def load(path: Path) -> ClassFolder:
    """Return the class in `path`; ClassError if there is none or it cannot be read."""
    if not (path / "class.toml").is_file():
        raise ClassError(
            f"{path}: a class folder must hold class.toml; it does not. Open one with "
            "`coursekit class open`."
        )
    file = path / "class.toml"
    settings = class_toml.read(file)
    to_owner_alone(path)
    folder = ClassFolder(
        path,
        str(settings.get("title", path.name)),
        read_roster(path / "roster.csv"),
        class_toml.gradebook_address(settings, file),
        str(settings.get("book", "")),
        class_toml.due_times(settings, file),
        class_toml.late_rule(settings, file),
        _read_draws(path / DRAWS_FILE),
        class_toml.exchange(settings, file),
        class_questions.read(path / class_questions.FILE),
    )
    read_secret(path / SECRET_FILE)
    return folder


def _read_draws(path: Path) -> dict[tuple[str, str], str]:
    """Return (student, slug) → what own numbers are drawn from, if that is not the student's id."""
    if not path.is_file():
        return {}
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    if tuple(rows[:1]) != (list(_DRAWS_HEAD),) or any(len(r) != 3 or not r[2] for r in rows):
        raise ClassError(
            f"{path}: each line must hold student,exercise,drawn_as; got another thing. Put the "
            "file back from your copy of the class folder: without it these students would get "
            "other numbers."
        )
    return {(student, slug): name for student, slug, name in rows[1:]}


def write_draws(path: Path, draws: Mapping[tuple[str, str], str]) -> None:
    """Write `draws` into the class folder `path`: what own numbers are drawn from."""
    rows = [_DRAWS_HEAD, *((*place, name) for place, name in sorted(draws.items()))]
    write_text(path / DRAWS_FILE, csv_text(rows))


def read_roster(path: Path) -> tuple[Student, ...]:
    """Return the students of the roster in `path`, as `roster.read` takes them."""
    return roster.read(path).students


def write_roster(path: Path, students: Iterable[Student]) -> None:
    """Write the students into the roster `path`, with their e-mail addresses if anybody has one."""
    students = tuple(students)
    mails = any(s.mail for s in students)
    rows = [("id", "name", "e-mail")[: 2 + mails]]
    rows += [(s.id, s.name, s.mail)[: 2 + mails] for s in students]
    write_text(path, csv_text(rows))


def csv_text(rows: Iterable[Iterable[str]]) -> str:
    """Return rows as the text of a CSV file."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def write_text(path: Path, text: str) -> bool:
    """Write `text` to `path` as a whole or not at all; return whether anything changed."""
    return write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> bool:
    """Write `data` to `path` as a whole or not at all; return whether anything changed."""
    if path.is_file() and path.read_bytes() == data:
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        part.write_bytes(data)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)  # the disk may be full, so leave no half-written file on it
        raise
    return True
