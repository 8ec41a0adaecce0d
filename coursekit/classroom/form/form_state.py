"""What one run of the bench form knows: its class, its gate, and where it listens."""

from __future__ import annotations

import asyncio
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from coursekit.classroom.form.gate import Gate
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register.class_folder import ClassFolder

HOME = "127.0.0.1"
PORT = 8765


@dataclass
class Form:
    """One run of the form.

    `address` is this computer's address in the Wi-Fi, or "" if the form serves this computer alone.
    Whoever asks from this computer, at one of its own names, is the instructor and sees everything.
    Anybody else is a phone, and sees the one student whose code was typed on it. `secret` signs the
    cookies and the names of postings, so both become invalid when the run ends. If there is a
    `key`, this computer too must show it once, and nobody else who works on it gets in. The names
    of the cookies begin with `cookies`, because every program at this address sees them. A sheet is
    chosen on `first_page`, on this computer; a phone's first page is always "/".
    """

    folder: ClassFolder
    root: Path
    gate: Gate
    address: str = ""
    port: int = PORT
    recorded: int = 0
    key: str = field(default="", repr=False)
    session_days: float = 0.5
    cookies: str = "bench"
    first_page: str = "/"
    view: FormClass = field(init=False)
    secret: str = field(default_factory=lambda: secrets.token_hex(32), repr=False)

    def __post_init__(self) -> None:
        self.view = FormClass(self.folder, self.root)
        self.turn = asyncio.Lock()  # one hand-in at a time

    @property
    def home_hosts(self) -> set[str]:
        """The host names, with the port, by which this computer calls itself."""
        return {f"{name}:{self.port}" for name in (HOME, "localhost")}

    @property
    def hosts(self) -> set[str]:
        """The host names, with the port, that a request may use for this computer."""
        return self.home_hosts | ({f"{self.address}:{self.port}"} if self.address else set())
