"""The checks that every request to the bench form passes, and the way in for phones."""

from __future__ import annotations

import hmac
import logging
import secrets
from typing import Any

from markupsafe import Markup
from tornado.web import HTTPError, RequestHandler

from coursekit.classroom.form import pages
from coursekit.classroom.form.form_state import HOME, Form
from coursekit.classroom.form.gate import DoorError

# No other site and no script can see the cookies. They cannot be `secure` too, because the form
# speaks plain HTTP.
COOKIE: dict[str, Any] = {"httponly": True, "samesite": "Strict", "path": "/"}
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # with no-referrer a browser would not say where a post comes from
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    # with no-store a browser would forget what was typed when a post fails and the reader goes back
    "Cache-Control": "private, no-cache",
}


class FormPage(RequestHandler):
    """What all pages share: who may ask, from where, and how often."""

    form: Form
    session = ""
    student = ""  # whose phone it is; "" on this computer, where everything is shown
    posting: str
    fields: dict[str, str]
    needs_session = True
    posts: tuple[str, ...] = ("application/x-www-form-urlencoded",)  # kinds of bodies it takes

    def initialize(self, form: Form) -> None:
        """Take the form that this request is for."""
        self.form = form

    def set_default_headers(self) -> None:
        """Tell the browser to load nothing from outside, and not to tell other sites about us."""
        self.clear_header("Server")
        for name, value in _HEADERS.items():
            self.set_header(name, value)

    def prepare(self) -> None:
        """Let the request in, or end it with the reason."""
        request = self.request
        self.fields = {}
        self.session = self._unsigned(self._cookie, self.get_cookie(self._cookie))
        self.student = self.session.partition(" ")[2]
        if self.at_home() == bool(self.student):
            self.session = self.student = ""  # a session of this computer is none on a phone
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

    @property
    def _cookie(self) -> str:
        return f"{self.form.cookies}_session"

    def _from(self) -> str:
        return str(self.request.remote_ip)

    def at_home(self) -> bool:
        """Whether the request comes from this computer and knows it by one of its own names."""
        return self._from() == HOME and self.request.host in self.form.home_hosts

    def _check_origin(self) -> None:
        """Refuse a post that no page of this form sent: from another site, or from no browser."""
        headers = self.request.headers
        kind = headers.get("Content-Type", "").partition(";")[0].strip().lower()
        if kind not in self.posts:
            raise HTTPError(415)
        if headers.get("Origin") != f"http://{self.request.host}":
            raise HTTPError(403)
        if headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
            raise HTTPError(403)

    def _without_session(self) -> None:
        if self.request.method == "POST":
            raise HTTPError(403)
        if not self.at_home():
            self.redirect("/enter")
        elif not self.form.key:
            self.let_in("")
        elif hmac.compare_digest(self.fields.get("key", "").encode(), self.form.key.encode()):
            self.let_in("")
            self.redirect(str(self.request.path))  # so that the key stands in no address bar
        else:
            self.set_status(403)
            self.show("told", head=_NO_KEY[0], why=_NO_KEY[1])

    def let_in(self, student: str) -> None:
        """Begin a new session, whatever the browser had before; on a phone it is one student's."""
        self.student = student
        self.session = f"{secrets.token_hex(16)} {student}".rstrip()
        seconds = int(self.form.session_days * 24 * 3600)
        self.set_signed_cookie(self._cookie, self.session, None, max_age=seconds, **COOKIE)

    def _unsigned(self, name: str, signed: str | None) -> str:
        """Return what was signed under `name` in this run, or "" for anything else.

        Tornado checks the signature. Its older way of signing is refused, because nothing here has
        ever used it.
        """
        found = self.get_signed_cookie(name, signed or "", self.form.session_days, min_version=2)
        return (found or b"").decode()

    def _check_page(self) -> None:
        """Refuse a post that no page of this session sent.

        Tornado's own check only compares cookie and field, so whoever can plant a cookie passes it.
        The name of the posting is signed for one session, so no other session can use it.
        """
        self.check_xsrf_cookie()
        self.posting = self._unsigned(f"posting of {self.session}", self.fields.get("post"))
        if not self.posting:
            raise HTTPError(403)

    def hidden_fields(self) -> Markup:
        """Return the fields that show that a post comes from this page, and tell it from others.

        The name of the posting goes into the record too, so that a post that is sent twice counts
        once.
        """
        one = Markup('<input type="hidden" name="{}" value="{}"/>')
        return Markup("").join(one.format(*field) for field in self.ticket().items())

    def ticket(self) -> dict[str, str]:
        """Return the same fields as name → value, for a post whose body is no form."""
        name = self.create_signed_value(f"posting of {self.session}", secrets.token_hex(8))
        return {"_xsrf": self.xsrf_token.decode(), "post": name.decode()}

    def not_yours(self) -> None:
        """Say to a phone that it asked for what is not its student's; nothing is recorded."""
        self.set_status(403)
        self.show("told", head=_NOT_YOURS[0], why=_NOT_YOURS[1])

    def show(self, name: str, **facts: Any) -> None:
        """Answer with a page."""
        self.set_header("Content-Type", "text/html; charset=utf-8")
        phone = bool(self.student)
        first = self.form.first_page if self.at_home() else "/"
        title = self.form.folder.title
        self.finish(pages.render(name, class_title=title, phone=phone, first_page=first, **facts))

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """Answer with a page that says why, and nothing about this computer."""
        head, why = _WHY.get(status_code, _WHY[500] if status_code >= 500 else _WHY[400])
        self.show("told", head=head, why=why)

    def log_exception(self, *args: Any) -> None:
        """Show an error in the kit on the instructor's screen, without what the visitor typed."""
        if args and not isinstance(args[1], HTTPError):
            logging.getLogger("coursekit.form").error("The form failed", exc_info=args[1])


_NOT_YOURS = (
    "Not for this phone",
    "This phone came in with one student's code, so it opens that student's lessons alone, once "
    "they are handed out. Nothing was recorded. Go to the first page.",
)
_NO_KEY = (
    "This window was not let in",
    "Only whoever starts the desk on this computer may use it. Start it again, from its starter or "
    "with `coursekit desk`: the window that opens then is let in.",
)
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
        "Something failed here, so nothing may have been recorded. Go back: what you typed is "
        "still there. Tell the instructor.",
    ),
}


class Nothing(FormPage):
    """Any address that is not a page, so that no address leads to a file of this computer."""

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
    """The page on which a phone's user types the code; another student may take the phone over."""

    needs_session = False

    def get(self) -> None:
        """Ask for the code, if one is needed."""
        if self.at_home():
            self.redirect("/")
        else:
            self.show("enter", error="")

    def post(self) -> None:
        """Let in whoever typed the right code."""
        if self.at_home():
            self.redirect("/", status=303)
            return
        try:
            student = self.form.gate.enter(self.fields.get("code", ""), self._from())
        except DoorError as error:
            self.set_status(403)
            self.show("enter", error=str(error))
            return
        self.let_in(student)
        self.redirect("/", status=303)
