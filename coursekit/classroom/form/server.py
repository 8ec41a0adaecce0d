"""Serves the bench form, on this computer alone or, when asked, to phones in the same Wi-Fi."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import socket
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets
from tornado.web import Application, RequestHandler

from coursekit.classroom.form import pages
from coursekit.classroom.form.door import Enter, Nothing, Style
from coursekit.classroom.form.gate import Gate
from coursekit.classroom.form.sheet_pages import AnswersPage, BenchPage, Open, Start
from coursekit.classroom.register.class_folder import ClassError, ClassFolder

HOME = "127.0.0.1"
PORT = 8765
LARGEST_POST = 64 * 1024


@dataclass
class Form:
    """One run of the form: the class, the door, where it listens, and what has been recorded."""

    folder: ClassFolder
    root: Path
    gate: Gate
    address: str = ""  # of this computer in the Wi-Fi; "" for this computer alone
    port: int = PORT
    recorded: int = 0
    desk: pages.FormClass = field(init=False)
    _server: HTTPServer | None = None

    def __post_init__(self) -> None:
        self.desk = pages.FormClass(self.folder, self.root)
        self.turn = asyncio.Lock()  # one hand-in at a time

    @property
    def hosts(self) -> set[str]:
        """The names that a request may call this computer by."""
        names = {HOME, "localhost", self.address} - {""}
        return {f"{name}:{self.port}" for name in names}

    def listen(self) -> None:
        """Open the form; ClassError where the port is taken or the address is not this computer's."""
        sockets: list[socket.socket] = []
        try:
            for place in filter(None, (HOME, self.address)):
                sockets += bind_sockets(self.port, place, family=socket.AF_INET)
                self.port = sockets[0].getsockname()[1]
        except OSError as error:
            for one in sockets:
                one.close()
            raise ClassError(
                f"The form must have a port of its own at an address of this computer; got {place} "
                f"port {self.port}: {error.strerror or error}. Is another form running? Stop it, or name "
                "another --port or --address."
            ) from None
        routes = [
            (r"/", Start), (r"/enter", Enter), (r"/sheet", Open), (r"/bench", BenchPage),
            (r"/answers", AnswersPage), (r"/form\.css", Style),
        ]  # fmt: skip
        application = Application(
            [(path, handler, {"form": self}) for path, handler in routes],
            default_handler_class=Nothing, default_handler_args={"form": self}, log_function=_quiet,
        )  # fmt: skip
        self._server = HTTPServer(
            application, max_body_size=LARGEST_POST, max_buffer_size=2 * LARGEST_POST,
            max_header_size=16 * 1024, idle_connection_timeout=30, body_timeout=10,
        )  # fmt: skip
        self._server.add_sockets(sockets)

    async def close(self) -> None:
        """Stop listening and let go of every connection."""
        if self._server:
            self._server.stop()
            await self._server.close_all_connections()


def _quiet(handler: RequestHandler) -> None:
    """Log nothing: what is asked for is not the terminal's business."""


def wifi_address() -> str:
    """Return this computer's address in the network it would use to go out, "" where it has none.

    Nothing is sent: the system is only asked which way it would go (192.0.2.1 is kept for examples,
    RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(("192.0.2.1", 9))
        except OSError:
            return ""
        found = str(way.getsockname()[0])
    return "" if found.startswith("127.") or found == "0.0.0.0" else found


def run(form: Form, opened: Callable[[Form], None]) -> None:
    """Serve `form` until the user stops it with Ctrl-C, or the system asks to end."""
    for name in ("tornado.access", "tornado.general", "tornado.application"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_until_stopped(form, opened))


async def _until_stopped(form: Form, opened: Callable[[Form], None]) -> None:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for what in (signal.SIGINT, signal.SIGTERM):
        with contextlib.suppress(NotImplementedError):  # Windows: Ctrl-C ends asyncio.run itself
            loop.add_signal_handler(what, stop.set)
    form.listen()
    try:
        opened(form)
        await stop.wait()
    finally:
        await form.close()
