"""What one run of the desk knows: the class that is open, its jobs, and what its windows share."""

from __future__ import annotations

import asyncio
import json
import os
import secrets
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import platformdirs
from tornado.httpserver import HTTPServer

from coursekit.classroom.form import server as form_server
from coursekit.classroom.form.form_state import Form
from coursekit.classroom.form.gate import Gate
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register import class_folder, class_questions, phone_code
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.desk.jobs import WORKER, Jobs

PORT = 8764
_MOST_CLASSES = 12
_NO_CLASS = ClassFolder(Path("no-class"), "", ())
# what a class is read from; a change in one of these is seen by the next page
_READ_FROM = ("class.toml", "roster.csv", class_folder.DRAWS_FILE, class_questions.FILE)


@dataclass
class Desk(Form):
    """A form that has the desk's pages as well, for the class that is open, if one is.

    Everything else about it is `Form`'s: who may come in, what signs its cookies, where it listens.
    """

    cookies: str = "desk"
    first_page: str = "/at-the-bench"
    session_days: float = 30.0
    worker: Sequence[str] = WORKER
    jobs: Jobs | None = None
    phones: HTTPServer | None = None
    _closing: asyncio.Future[None] | None = field(default=None, repr=False)
    kept_before: tuple[str, float] = ("", 0.0)  # the last quick change that can be undone; when
    _read_at: tuple[float, ...] = field(default=(), repr=False)

    @property
    def is_open(self) -> bool:
        """Whether a class is open."""
        return self.folder is not _NO_CLASS

    def open(self, path: Path | None) -> None:
        """Open the class in this folder, or none; ClassError if it is no class."""
        self.shut_phones_out()
        if path is None:
            self.folder, self.jobs = _NO_CLASS, None
            self.view = FormClass(self.folder, self.root)
            return
        folder = class_folder.load(path)
        if self.jobs is None or self.jobs.folder != folder.path:
            if self.jobs:
                self.jobs.close()
            self.jobs = Jobs(folder.path, self.root, command=self.worker)
            self.jobs.start()
        self._take(folder)
        Kept.of_this_user().remember(folder.path)

    def let_phones_in(self, address: str) -> None:
        """Let students' phones in to the bench form at this address; ClassError if it can't be."""
        self.shut_phones_out()
        self.address = address
        try:
            self.phones = form_server.listen_in_wifi(self)
        except ClassError:
            self.address = ""
            raise
        self.gate.codes = phone_code.codes(self.folder)

    def shut_phones_out(self) -> None:
        """Let no phone in any more."""
        if self.phones:
            self.phones.stop()
            self._closing = asyncio.ensure_future(self.phones.close_all_connections())
        self.phones, self.address, self.gate.codes = None, "", {}

    def renew(self) -> None:
        """Read the class again if its files have changed since."""
        if self.is_open and self._read_at != _changed_at(self.folder.path, self.root):
            self._take(class_folder.load(self.folder.path))

    def _take(self, folder: ClassFolder) -> None:
        self._read_at = _changed_at(folder.path, self.root)
        self.folder = folder
        self.view = FormClass(folder, self.root)
        if self.phones:
            self.gate.codes = phone_code.codes(folder)


def _changed_at(path: Path, root: Path) -> tuple[float, ...]:
    """Return when each file that a class is read from was last changed; 0 for one that isn't."""
    files = [path / name for name in _READ_FROM]
    files += sorted((root / "exercises").glob("*")) + sorted((root / "solutions").glob("*"))
    return tuple(_mtime(file) for file in files)


def _mtime(file: Path) -> float:
    try:
        return file.stat().st_mtime
    except OSError:
        return 0.0


def new_desk(root: Path, port: int = PORT) -> Desk:
    """Return a desk without a class, with the secrets that this user's windows know already."""
    kept = Kept.of_this_user()
    return Desk(_NO_CLASS, root, Gate({}), port=port, key=kept.key, secret=kept.secret)


@dataclass
class Kept:
    """What is kept of the desk from one run to the next: its secrets, and where classes are.

    It lies in the user's own folder for such things, readable by this user alone, so that windows
    that were left open go on when the desk is started again.
    """

    file: Path
    key: str
    secret: str
    classes: list[str]
    opened: dict[str, float] = field(default_factory=dict)  # when each class was last opened

    @classmethod
    def of_this_user(cls) -> Kept:
        """Return what is kept, with new secrets if nothing is."""
        file = platformdirs.user_state_path("coursekit") / "desk.json"
        try:
            facts: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
            opened = dict(facts.get("opened", {}))
            return cls(
                file, str(facts["key"]), str(facts["secret"]), list(facts["classes"]), opened
            )
        except (OSError, ValueError, KeyError, TypeError):
            kept = cls(file, secrets.token_urlsafe(24), secrets.token_hex(32), [])
            kept._write()
            return kept

    def remember(self, path: Path) -> None:
        """Put this class first among those that were open."""
        name = str(path.resolve())
        self.classes = [name, *(c for c in self.classes if c != name)][:_MOST_CLASSES]
        known = {c: when for c, when in self.opened.items() if c in self.classes}
        self.opened = known | {name: time.time()}
        self._write()

    def _write(self) -> None:
        self.file.parent.mkdir(parents=True, exist_ok=True)
        part = self.file.with_name(f".{self.file.name}.{os.getpid()}.part")
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            facts = {"key": self.key, "secret": self.secret}
            json.dump({**facts, "classes": self.classes, "opened": self.opened}, out, indent=1)
        part.replace(self.file)
