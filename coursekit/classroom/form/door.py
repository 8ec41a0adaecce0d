"""The checks that every request to the bench form passes, and the pages before a sheet is chosen."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

from tornado.web import HTTPError, RequestHandler

from coursekit.classroom.form import pages
from coursekit.classroom.form.gate import SESSION_SECONDS, DoorError

if TYPE_CHECKING:
    from coursekit.classroom.form.server import Form

SESSION = "bench_session"
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


class FormPage(RequestHandler):
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


class Nothing(FormPage):
    """Every address that is no page: files of this computer are none."""

    needs_session = False

    def prepare(self) -> None:
        """Say that there is nothing, after the checks that all requests pass."""
        super().prepare()
        raise HTTPError(404)


class Style(FormPage):
    """The style sheet."""

    needs_session = False

    def get(self) -> None:
        """Send it."""
        self.set_header("Content-Type", "text/css; charset=utf-8")
        self.set_header("Cache-Control", "max-age=3600")
        self.finish(pages.style())


class Enter(FormPage):
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
