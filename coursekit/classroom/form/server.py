"""Serves the bench form, on this computer alone or, when asked, to phones in the same Wi-Fi."""

from __future__ import annotations

import asyncio
import contextlib
import signal
import socket
from collections.abc import Callable, Mapping, Sequence

from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets
from tornado.web import Application, RequestHandler

from coursekit.classroom.form.door import COOKIE, Enter, FormPage, Nothing, Style
from coursekit.classroom.form.doorstep import BODY_SECONDS, HEADER_SECONDS, Doorstep
from coursekit.classroom.form.form_state import HOME, Form
from coursekit.classroom.form.quiet import be_quiet
from coursekit.classroom.form.sheet_pages import AnswersPage, BenchPage, Open, Start
from coursekit.classroom.register.class_folder import ClassError

LARGEST_POST = 64 * 1024
ROUTES: Mapping[str, type[FormPage]] = {
    r"/": Start,
    r"/enter": Enter,
    r"/sheet": Open,
    r"/bench": BenchPage,
    r"/answers": AnswersPage,
    r"/form\.css": Style,
}


def application(
    form: Form,
    routes: Mapping[str, type[FormPage]] = ROUTES,
    nothing: type[FormPage] = Nothing,
) -> Application:
    """Return what answers requests for `form`; `nothing` answers for addresses that are no page."""
    return Application(
        [(path, page, {"form": form}) for path, page in routes.items()],
        default_handler_class=nothing,
        default_handler_args={"form": form},
        log_function=_quiet,
        cookie_secret=form.secret,
        xsrf_cookie_name=f"{form.cookies}_xsrf",  # Tornado's usual name is Jupyter's, here as well
        xsrf_cookie_kwargs=COOKIE,
    )


def listen(form: Form, answers: Application | None = None) -> HTTPServer:
    """Open the form; ClassError if the port is taken or the address is not this computer's."""
    return _served(form, answers or application(form), _sockets(form, (HOME, form.address)))


def listen_in_wifi(form: Form) -> HTTPServer:
    """Let phones in at the form's address, beside the server that answers this computer.

    Phones reach the form's own pages alone, whatever else that server has. ClassError as `listen`.
    """
    return _served(form, application(form), _sockets(form, (form.address,)))


def _served(form: Form, answers: Application, sockets: list[socket.socket]) -> HTTPServer:
    server = Doorstep(
        answers,
        max_body_size=LARGEST_POST,
        max_buffer_size=2 * LARGEST_POST,
        max_header_size=16 * 1024,
        idle_connection_timeout=HEADER_SECONDS,
        body_timeout=BODY_SECONDS,
    )
    server.add_sockets(sockets)
    return server


def _sockets(form: Form, places: Sequence[str]) -> list[socket.socket]:
    """Return sockets at these addresses, leaving out empty ones, all at the form's port."""
    sockets: list[socket.socket] = []
    try:
        for place in filter(None, places):
            _look_whose(place)
            sockets += bind_sockets(form.port, place, family=socket.AF_INET)
            form.port = sockets[0].getsockname()[1]
    except OSError as error:
        for one in sockets:
            one.close()
        raise ClassError(
            f"The form must have a port of its own at an address of this computer; got {place} "
            f"port {form.port}: {error.strerror or error}. Is another form running? Stop it, or "
            "name another --port or --address."
        ) from None
    return sockets


def _look_whose(place: str) -> None:
    """Raise OSError if the address isn't this computer's; Tornado would leave a socket open."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as one:
        one.bind((place, 0))


async def close(server: HTTPServer) -> None:
    """Stop listening and close every connection."""
    server.stop()
    await server.close_all_connections()


def _quiet(handler: RequestHandler) -> None:
    """Log nothing, because the terminal need not show which pages are asked for."""


def wifi_address() -> str:
    """Return this computer's address in the network by which it goes out, or "" if it has none.

    Nothing is sent. The system is only asked which way it would go (192.0.2.1 is reserved for
    examples, RFC 5737).
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
    be_quiet()
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_until_stopped(form, opened))


async def _until_stopped(form: Form, opened: Callable[[Form], None]) -> None:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for what in (signal.SIGINT, signal.SIGTERM):
        with contextlib.suppress(NotImplementedError):  # Windows: Ctrl-C ends asyncio.run itself
            loop.add_signal_handler(what, stop.set)
    server = listen(form)
    try:
        opened(form)
        await stop.wait()
    finally:
        await close(server)
