"""Which class is open, how another is opened, and how a new one begins from a roster."""

from __future__ import annotations

import base64
import binascii
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bank.lesson_names import plain
from coursekit.classroom.register import class_toml, new_place, roster
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.register.roster import Student
from coursekit.classroom.students import rename
from coursekit.desk import words
from coursekit.desk.page import DeskPage
from coursekit.desk.state import Kept

THE_ROSTER = "The roster"  # what messages call one that was pasted


@dataclass(frozen=True)
class Known:
    """A class that was open before: title, folder, when it was last opened, if it is open now."""

    title: str
    path: str
    opened: str
    is_open: bool


def known_classes(kept: Kept, open_now: Path | None) -> tuple[Known, ...]:
    """Return the classes that were open before and are still there, the last one first."""
    here = open_now.resolve() if open_now else None
    return tuple(
        Known(_title(Path(path)), path, _when(kept.opened.get(path)), Path(path) == here)
        for path in kept.classes
        if (Path(path) / "class.toml").is_file()
    )


def _title(path: Path) -> str:
    try:
        return str(class_toml.read(path / "class.toml").get("title", path.name))
    except (ClassError, OSError):
        return path.name


def _when(seconds: float | None) -> str:
    return "" if seconds is None else words.when(datetime.fromtimestamp(seconds, UTC))


def folder_typed(text: str) -> Path:
    """Return the folder that was typed; ClassError if it can't be one."""
    typed = text.strip()
    try:
        path = Path(typed).expanduser()
    except RuntimeError:
        path = Path(typed)
    if not path.is_absolute() or "\0" in typed:
        raise ClassError(
            f"A class must be named by its whole path, such as {new_place.usual() / 'Evening'}; "
            f"got '{typed[:200]}'. Write it so."
        )
    return path


@dataclass(frozen=True)
class AsRead:
    """How a roster was read: its students, the columns left out, other remarks, shared names."""

    students: tuple[Student, ...]
    columns_left_out: tuple[str, ...]
    told: tuple[str, ...]
    twins: tuple[str, ...]


def as_read(data: bytes, file: str) -> AsRead:
    """Return how a roster is read; ClassError, naming lines, if it can't be."""
    found = roster.of_bytes(data, file, fresh=True)
    if not found.students:
        raise ClassError(
            f"{file}: a roster must name a student or more; got the names of the columns alone."
        )
    return AsRead(found.students, found.left_out, found.told, tuple(_twins(found.students)))


def _twins(students: Sequence[Student]) -> list[str]:
    often = Counter(plain(s.name) for s in students)
    shared = dict.fromkeys(plain(s.name) for s in students if often[plain(s.name)] > 1)
    return [
        f"{words.many(often[name], 'student')} are called "
        f"{next(s.name for s in students if plain(s.name) == name)}: "
        f"{words.listed([s.id for s in students if plain(s.name) == name])}. The id stands beside "
        "the name wherever they are named."
        for name in shared
    ]


class Classes(DeskPage):
    """The classes that were open before."""

    needs_class = False

    def get(self) -> None:
        """Show them."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page; `error` says why a class could not be opened."""
        known = known_classes(Kept.of_this_user(), self.desk.folder.path)
        self.show("classes", known=known, error=error, typed=self.fields.get("path", ""))

    def post(self) -> None:
        """Open the one that was chosen."""
        try:
            self.desk.open(folder_typed(self.fields.get("path", "")))
        except (ClassError, OSError) as error:
            self.set_status(422)
            self.ask(str(error))
            return
        self.redirect("/", status=303)


class NewClass(DeskPage):
    """A new class: a roster, how it was read, and yes."""

    needs_class = False

    def get(self) -> None:
        """Ask for the roster."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the first step."""
        self.show("new-class", error=error, read=None, text=self.fields.get("text", ""))

    def post(self) -> None:
        """Show how the roster was read; if the instructor has said yes, open the class."""
        file = self.fields.get("name", "").strip()[:200] or THE_ROSTER
        try:
            data = self._data()
            read = as_read(data, file)
        except (ClassError, ValueError) as error:
            self.set_status(422)
            self.ask(str(error))
            return
        if "yes" not in self.fields:
            self.review(read, data, file, "")
            return
        try:
            self._open(read)
        except (ClassError, OSError) as error:
            self.set_status(422)
            self.review(read, data, file, str(error))

    def review(self, read: AsRead, data: bytes, file: str, error: str) -> None:
        """Show the second step."""
        self.show(
            "new-class",
            error=error,
            read=read,
            file=file,
            data=base64.b64encode(data).decode(),
            title_typed=self.fields.get("title", ""),
            place=self.fields.get("place", "") or str(new_place.usual()),
        )

    def _data(self) -> bytes:
        """Return the roster's bytes, from a file that a script read or from what was pasted."""
        if coded := self.fields.get("data", ""):
            try:
                return base64.b64decode(coded, validate=True)
            except binascii.Error:
                raise ClassError(f"{THE_ROSTER} must come as this page sends it.") from None
        text = self.fields.get("text", "")
        if not text.strip():
            raise ClassError(
                f"{THE_ROSTER} must be chosen or pasted; got nothing. Choose the file, or paste "
                "its lines into the box."
            )
        return text.encode()

    def _open(self, read: AsRead) -> None:
        title = " ".join(self.fields.get("title", "").split())
        if not title:
            raise ClassError("A class must have a title; got none. Write what you call it.")
        path = new_place.place_for(self.fields.get("place", ""), title)
        folder, _ = rename.open_with(path, read.students, title)
        self.desk.open(folder.path)
        self.redirect("/", status=303)
