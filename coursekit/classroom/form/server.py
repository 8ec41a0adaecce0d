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
from typing import Any
from urllib.parse import urlencode

from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets
from tornado.web import Application, HTTPError, RequestHandler

from coursekit.classroom import bench, paper_answers, typed_in
from coursekit.classroom.classes import ClassError, ClassFolder
from coursekit.classroom.form import pages
from coursekit.classroom.form.gate import SESSION_SECONDS, DoorError, Gate

HOME = "127.0.0.1"
PORT = 8765
LARGEST_POST = 64 * 1024
SESSION, BY = "bench_session", "bench_by"
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # with no-referrer a browser would not say where a post is from
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    # not "no-store": a browser then forgets what was typed when a post fails and the reader goes back
    "Cache-Control": "private, no-cache",
}


@dataclass
class Form:
    """One run of the form: the class, the door, where it listens, and what has been recorded."""

    folder: ClassFolder
    root: Path
    gate: Gate
    address: str = ""  # of this computer in the Wi-Fi; "" for this computer alone
    port: int = PORT
    recorded: int = 0
    desk: pages.Desk = field(init=False)
    _server: HTTPServer | None = None

    def __post_init__(self) -> None:
        self.desk = pages.Desk(self.folder, self.root)
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


class Page(RequestHandler):
    """What all pages share: who may ask, from where, and how often."""

    form: Form
    session: str
    fields: dict[str, str]
    needs_session = True

    def initialize(self, form: Form) -> None:
        """Take the form that this request is for."""
        self.form = form

    def set_default_headers(self) -> None:
        """Set what tells a browser to load nothing from outside and to keep nothing."""
        self.clear_header("Server")
        for name, value in _HEADERS.items():
            self.set_header(name, value)

    def prepare(self) -> None:
        """Let the request in, or end it with the reason."""
        request = self.request
        self.fields = {}
        self.session = self.get_cookie(SESSION) or ""
        if not self.form.gate.is_session(self.session):
            self.session = ""
        if not self.form.gate.may_ask(self._from(), self.session):
            raise HTTPError(429)
        if request.host not in self.form.hosts:
            raise HTTPError(421)
        if request.method not in ("GET", "HEAD", "POST"):
            raise HTTPError(405)
        if request.method == "POST":
            self._check_origin()
        self.fields = pages.flat(request.arguments)
        if self.needs_session and not self.session:
            self._without_session()
        elif request.method == "POST" and self.needs_session:
            self._check_page()

    def _from(self) -> str:
        return str(self.request.remote_ip)

    def _check_origin(self) -> None:
        """Refuse a post that no page of this form sent: from another site, or from no browser."""
        headers = self.request.headers
        kind = headers.get("Content-Type", "").partition(";")[0].strip().lower()
        if kind != "application/x-www-form-urlencoded":
            raise HTTPError(415)
        if headers.get("Origin") != f"http://{self.request.host}":
            raise HTTPError(403)
        if headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
            raise HTTPError(403)

    def _without_session(self) -> None:
        if self.form.gate.ask_code:
            if self.request.method == "POST":
                raise HTTPError(403)
            self.redirect("/enter")
            return
        if self.request.method == "POST":
            raise HTTPError(403)
        self.session = self.form.gate.session()
        self.keep(SESSION, self.session, int(SESSION_SECONDS))

    def _check_page(self) -> None:
        gate = self.form.gate
        if not gate.is_page_token(self.session, self.fields.get("page", "")):
            raise HTTPError(403)
        if not gate.is_posting(self.session, self.fields.get("post", "")):
            raise HTTPError(403)

    def keep(self, name: str, value: str, seconds: int) -> None:
        """Set a cookie that no other site and no script gets to see."""
        self.set_cookie(name, value, max_age=seconds, httponly=True, samesite="Strict", path="/")

    def show(self, name: str, **facts: Any) -> None:
        """Answer with a page."""
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(pages.render(name, class_title=self.form.folder.title, **facts))

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """Answer with a page that says why, and nothing about this computer."""
        head, why = _WHY.get(status_code, _WHY[500] if status_code >= 500 else _WHY[400])
        self.show("told", head=head, why=why)

    def log_exception(self, *args: Any) -> None:
        """Name a mistake of ours on the instructor's screen, without the visitor's words."""
        if args and not isinstance(args[1], HTTPError):
            logging.getLogger("coursekit.form").error("The form failed", exc_info=args[1])


_WHY = {
    400: ("Not understood", "The request cannot be understood. Go to the first page."),
    403: (
        "Not from this form",
        "The post did not come from a page that this run of the form has shown, so nothing was "
        "recorded. Open the sheet again and type it there.",
    ),
    404: ("No such page", "There is no such page. Go to the first page."),
    405: ("Not understood", "The form only shows pages and takes posts."),
    415: (
        "Not from this form",
        "A post must come from the form's own pages. Nothing was recorded.",
    ),
    421: ("Another name", "The form answers to the address that the instructor's screen shows."),
    429: (
        "Too many at once",
        "Too many requests came at once. Nothing was recorded; wait and repeat.",
    ),
    500: (
        "It failed",
        "Something failed here, so nothing may have been recorded. Go back: what you typed is still "
        "there. Tell the instructor.",
    ),
}


class Nothing(Page):
    """Every address that is no page: files of this computer are none."""

    needs_session = False

    def prepare(self) -> None:
        """Say that there is nothing, after the checks that all requests pass."""
        super().prepare()
        raise HTTPError(404)


class Style(Page):
    """The style sheet."""

    needs_session = False

    def get(self) -> None:
        """Send it."""
        self.set_header("Content-Type", "text/css; charset=utf-8")
        self.set_header("Cache-Control", "max-age=3600")
        self.finish(pages.style())


class Enter(Page):
    """Where a phone shows the code."""

    needs_session = False

    def get(self) -> None:
        """Ask for it, if one is needed."""
        if self.session or not self.form.gate.ask_code:
            self.redirect("/")
        else:
            self.show("enter", error="")

    def post(self) -> None:
        """Let in who has it."""
        try:
            session = self.form.gate.enter(self.fields.get("code", ""), self._from())
        except DoorError as error:
            self.set_status(403)
            self.show("enter", error=str(error))
            return
        self.keep(SESSION, session, int(SESSION_SECONDS))
        self.redirect("/", status=303)


class Start(Page):
    """Where a sheet is chosen."""

    def get(self) -> None:
        """Ask which."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page, with what was typed."""
        typed = {name: self.fields.get(name, "")[:160] for name in ("code", "student", "lesson")}
        self.show(
            "start", error=error, students=self.form.folder.students,
            lessons=self.form.desk.lessons(), **typed,
        )  # fmt: skip


class Open(Start):
    """The way from a code to its sheet."""

    def get(self) -> None:
        """Go there, or ask again with the reason."""
        try:
            sheet = self.form.desk.sheet(self.fields)
        except ValueError as error:
            self.set_status(422)
            self.ask(str(error))
            return
        where = {"student": sheet.student.id, "lesson": sheet.exercise.slug}
        if sheet.notice:
            where["code"] = self.fields["code"]
        self.redirect(f"/bench?{urlencode(where)}", status=303)


class SheetPage(Page):
    """A page that shows a sheet's boxes and takes what is typed into them."""

    page, other, what = "bench", "answers", "bench record"

    def get(self) -> None:
        """Show the sheet."""
        if (sheet := self._sheet()) is None:
            return
        count = self.fields.get("recorded", "")
        status = f"{count} recorded." if count.isdigit() and len(count) < 4 else ""
        alerts = [sheet.notice] if sheet.notice else []
        if self.fields.get("kept"):
            alerts.append(self.kept_back(sheet))
        try:
            self.boxes(sheet, {}, [a for a in alerts if a], status)
        except ClassError as error:
            self.set_status(503)
            self.show("told", head="The record cannot be read", why=str(error))

    def _sheet(self) -> pages.Sheet | None:
        """Return the sheet that the fields name; where there is none, say so."""
        try:
            return self.form.desk.sheet(self.fields)
        except ValueError as error:
            self.set_status(404)
            self.show("told", head="No such sheet", why=str(error))
            return None

    def boxes(
        self, sheet: pages.Sheet, errors: dict[str, str], alerts: list[str], status: str
    ) -> None:
        """Show the boxes of the sheet."""
        gate = self.form.gate
        self.show(
            "sheet", sheet=sheet, page=self.page, other=self.other, what=self.what,
            query=urlencode({"student": sheet.student.id, "lesson": sheet.exercise.slug}),
            groups=self.groups(sheet, errors), alerts=alerts, status=status,
            page_token=gate.page_token(self.session), posting=gate.posting(self.session),
            by=(self.fields.get("by") or _unquoted(self.get_cookie(BY)))[:60],
        )  # fmt: skip

    def groups(self, sheet: pages.Sheet, errors: dict[str, str]) -> list[pages.Group]:
        """Return the boxes; each page has its own."""
        raise NotImplementedError

    def kept_back(self, sheet: pages.Sheet) -> str:
        """Return what the reader must be told of answers that are recorded but not handed in."""
        return ""

    async def post(self) -> None:
        """Record what was typed; ask the rest back with what is wrong, and lose nothing."""
        if (sheet := self._sheet()) is None:
            return
        self.keep(BY, _quoted(self.fields.get("by", "").strip()[:60]), 30 * 24 * 3600)
        try:
            count, errors, kept = await self.record(sheet)
        except (ClassError, OSError) as error:
            self.set_status(503)
            self.boxes_back(sheet, str(error))
            return
        if errors:
            self.set_status(422)
            self.boxes(sheet, errors, [], f"{count} recorded.")
            return
        where = {"student": sheet.student.id, "lesson": sheet.exercise.slug, "recorded": count}
        where |= {"kept": 1} if kept else {}
        self.redirect(f"/{self.page}?{urlencode(where)}", status=303)

    def boxes_back(self, sheet: pages.Sheet, why: str) -> None:
        """Show the page again with all that was typed; where even that fails, say what to do."""
        told = f"Not recorded: {why} What you typed stands below; send it again."
        try:
            self.boxes(sheet, dict.fromkeys(self.typed(sheet), "Not recorded yet."), [told], "")
        except (ClassError, OSError):
            why += " Go back: what you typed is still there."
            self.show("told", head="Not recorded", why=why)

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Return how many were recorded, what is asked back, and why answers were not handed in."""
        raise NotImplementedError

    def typed(self, sheet: pages.Sheet) -> list[str]:
        """Return the names of the boxes with something in them."""
        raise NotImplementedError

    def source(self) -> str:
        """Return where a post came from, as the record keeps it."""
        return "form, this computer" if self._from() == HOME else "form, phone"


class BenchPage(SheetPage):
    """The bench record of a sheet."""

    def groups(self, sheet: pages.Sheet, errors: dict[str, str]) -> list[pages.Group]:
        """Return the boxes of the bench record."""
        return pages.bench_groups(self.form.desk, sheet, self.fields, errors)

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Record the readings."""
        posted = pages.read_bench(
            self.form.desk, sheet, self.fields, self.fields["post"], self.source()
        )
        bench.record(self.form.folder, posted.good)
        self.form.recorded += len(posted.good)
        return len(posted.good), posted.errors, ""

    def typed(self, sheet: pages.Sheet) -> list[str]:
        """Return the boxes of readings with something in them."""
        return [n for n, v in self.fields.items() if n.startswith("r.") and v.strip()]


class AnswersPage(SheetPage):
    """The answers on a sheet, from paper."""

    page, other, what = "answers", "bench", "questions"

    def groups(self, sheet: pages.Sheet, errors: dict[str, str]) -> list[pages.Group]:
        """Return the boxes of the questions."""
        return pages.answer_groups(self.form.desk, sheet, self.fields, errors)

    async def record(self, sheet: pages.Sheet) -> tuple[int, dict[str, str], str]:
        """Record the answers and hand them in."""
        posted = pages.read_answers(
            self.form.desk, sheet, self.fields, self.fields["post"], self.source()
        )
        paper_answers.record(self.form.folder, posted.answers)
        self.form.recorded += len(posted.answers)
        kept = ""
        if posted.answers:
            async with self.form.turn:
                kept = await asyncio.to_thread(self._hand_in, sheet)
        return len(posted.answers), posted.errors, kept

    def _hand_in(self, sheet: pages.Sheet) -> str:
        work = self.form.desk.work(sheet.exercise.slug)
        return "".join(o.why for o in typed_in.hand_in(work, [sheet.student.id]))

    def kept_back(self, sheet: pages.Sheet) -> str:
        """Return that the student's own notebook stands in the way."""
        return (
            f"The answers are recorded but not handed in: {sheet.student.id} has handed in a notebook. "
            f"The instructor can let paper count: coursekit answers hand-in {sheet.exercise.slug} "
            f"--replace {sheet.student.id}"
        )

    def typed(self, sheet: pages.Sheet) -> list[str]:
        """Return the questions with something in their boxes."""
        return [q.id for q in sheet.exercise.graded]


def _quoted(text: str) -> str:
    return text.encode().hex()


def _unquoted(cookie: str | None) -> str:
    try:
        return bytes.fromhex(cookie or "").decode("utf-8", "replace")[:60]
    except ValueError:
        return ""


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
