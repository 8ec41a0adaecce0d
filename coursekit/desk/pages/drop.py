"""Drop: everything that came in, however it came; whose each piece is, and what is unclear."""

from __future__ import annotations

import asyncio
import secrets
import time
from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlencode

from tornado.httputil import HTTPFile, HTTPInputError, parse_multipart_form_data
from tornado.web import HTTPError, stream_request_body

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.intake import for_the_eye, kinds
from coursekit.classroom.intake.drop_settling import put, throw_away
from coursekit.classroom.intake.drop_uploads import (
    LARGEST_DROP,
    LARGEST_FILE,
    MOST_FILES,
    Upload,
    parts_of,
)
from coursekit.classroom.intake.drops import Drop, DropError, Line, drops
from coursekit.classroom.intake.take_in import PASTED
from coursekit.classroom.register.class_folder import ClassError
from coursekit.desk import intake_words, opened, words
from coursekit.desk.page import DeskPage

LARGEST_FORM = 60_000_000  # bytes that come at once from a browser without scripts
_SENDING = 3600.0  # seconds that one file may take
_EACH = ("taken", "older", "same")  # what gets a line each; others that are alike share one
_NAMED = 3
_MOST_LINES = 400
MOST_UNCLEAR = 100  # that are asked at once; the others follow


@dataclass(frozen=True)
class Choice:
    """A button that says whose a file is: a student, a lesson ("" for none), and its words."""

    student: str
    lesson: str
    words: str


@dataclass(frozen=True)
class Unclear:
    """A file that waits for a word of the instructor's, and why.

    With `whose` it is asked whose it is, `choices` are the likely answers, and `lesson` is the one
    that is known already. `picture` says that it can be looked at on the page.
    """

    drop: str
    source: str
    whys: tuple[str, ...]
    choices: tuple[Choice, ...]
    whose: bool
    lesson: str
    needs_lesson: bool
    picture: bool

    @property
    def look(self) -> str:
        """The address at which the file itself is shown, or saved."""
        return "/drop/look?" + urlencode({"drop": self.drop, "source": self.source})


@dataclass(frozen=True)
class Came:
    """What became of a file: its name, whose work on what it is, in words, and where that is."""

    name: str
    what: str
    kind: str
    whose: str
    why: str
    page: str


@dataclass(frozen=True)
class Facts:
    """What the page shows.

    `waiting` are drops that were not taken in yet: id, how many files, when. `came` is what became
    of the last drop that was, and `photos` leads to those that are not typed in yet. `more` and
    `more_unclear` count what is not shown.
    """

    unclear: tuple[Unclear, ...]
    aside: tuple[Unclear, ...]
    waiting: tuple[tuple[str, str, str], ...]
    came: tuple[Came, ...]
    more: int
    more_unclear: int
    photos: tuple[tuple[str, str], ...]
    students: tuple[tuple[str, str], ...]
    lessons: tuple[tuple[str, str], ...]


def facts(view: FormClass, last: str = "") -> Facts:
    """Return what the page shows; `last` is the drop of which the whole list is shown."""
    known = _Known(view)
    found = drops(view.folder)
    told = {drop.id: drop.told().lines for drop in found}
    shown = last if told.get(last) else next((id for id, lines in told.items() if lines), "")
    came = list(_came(told.get(shown, ()), known))
    unclear = list(_unclear(told, "open", known))
    return Facts(
        tuple(unclear[:MOST_UNCLEAR]),
        tuple(_unclear(told, "aside", known))[:MOST_UNCLEAR],
        tuple(_waiting(found)),
        tuple(came[:_MOST_LINES]),
        len(came[_MOST_LINES:]),
        len(unclear[MOST_UNCLEAR:]),
        tuple(_photos(known)),
        tuple(known.names.items()),
        tuple(known.titles.items()),
    )


class _Known:
    """Names and titles of a class."""

    def __init__(self, view: FormClass) -> None:
        self.folder = view.folder
        self.names = words.names(view.folder)
        released = view.folder.path / "release"
        slugs = sorted(p.name for p in released.iterdir()) if released.is_dir() else []
        self.titles = {slug: words.title(view, slug) for slug in slugs}

    def whose(self, student: str, slug: str) -> str:
        name = self.names.get(student, student)
        return " · ".join(filter(None, (name, self.titles.get(slug, slug))))

    def people(self, why: str) -> str:
        return intake_words.people(why, self.titles, self.names)


def _waiting(found: Iterable[Drop]) -> Iterable[tuple[str, str, str]]:
    for drop in found:
        if some := drop.waiting():
            when = datetime.fromtimestamp(min(one.when for one in some), UTC).replace(tzinfo=None)
            yield drop.id, words.many(len(some), "file"), words.when(when)


def _unclear(told: Mapping[str, tuple[Line, ...]], state: str, known: _Known) -> Iterable[Unclear]:
    for id, lines in told.items():
        groups: dict[str, list[Line]] = {}
        for line in lines:
            if line.state == state:
                groups.setdefault(line.source, []).append(line)
        for source, some in groups.items():
            asks = {line.asks: line for line in some}
            one = asks.get("owner") or asks.get("order") or some[0]
            whys = [known.people(line.why) for line in some]
            whys += [
                f"{line.fits} of {line.given} answers fit the numbers of {known.names[line.fit]}."
                for line in some
                if line.fit in known.names
            ]
            yield Unclear(
                id,
                source,
                tuple(dict.fromkeys(whys)),
                tuple(_choices(one, known)),
                "owner" in asks,
                one.slug,
                not kinds.to_look_at(source, b""),
                kinds.to_look_at(source, b"") == "a photo",
            )


def _choices(one: Line, known: _Known) -> Iterable[Choice]:
    if one.asks == "order":
        yield Choice(one.student, one.slug, "This one counts")
        return
    work = f"’s {known.titles[one.slug]}" if one.slug in known.titles else "’s"
    needs = bool(one.slug) or bool(kinds.to_look_at(one.source, b""))
    for student in dict.fromkeys(filter(None, (one.fit, *one.among))) if needs else ():
        if student in known.names:
            yield Choice(student, one.slug, f"This is {known.names[student]}{work}")


def _came(lines: Iterable[Line], known: _Known) -> Iterable[Came]:
    """Yield a line for each piece of work, and one for others that are alike."""
    groups: dict[object, list[Line]] = {}
    for number, line in enumerate(lines):
        if line.state == "done":
            alike = (line.what, line.student, line.slug, line.why)
            groups.setdefault(number if line.what in _EACH else alike, []).append(line)
    order = tuple(intake_words.WHAT)
    for some in sorted(groups.values(), key=lambda group: order.index(group[0].what)):
        one = some[0]
        name = ", ".join(line.source for line in some[:_NAMED])
        if more := sum(line.count for line in some[_NAMED:]):
            name += f" and {more} more like these"
        elif one.count > 1:
            name += f" ({one.count} files)"
        page = ""
        if one.student and one.slug:
            page = "/work?" + urlencode({"student": one.student, "lesson": one.slug})
        yield Came(
            name,
            intake_words.WHAT[one.what],
            one.what,
            known.whose(one.student, one.slug) if one.student else "",
            known.people(one.why),
            page,
        )


def _photos(known: _Known) -> Iterable[tuple[str, str]]:
    """Yield in words whose photos wait to be typed in, and the page on which that is done."""
    for student, slug, count in for_the_eye.waiting(known.folder):
        if student in known.names:
            said = f"{known.whose(student, slug)}: {words.many(count, 'photo')}"
            yield said, "/photos?" + urlencode({"student": student, "lesson": slug})


class DropPage(DeskPage):
    """The page itself."""

    def get(self) -> None:
        """Show what is unclear, and what came of the last drop."""
        job = self.job()
        last = str(job.said.get("drop", "")) if job else ""
        self.show(
            "drop",
            facts=facts(self.desk.view, last),
            query=urlencode(self.ticket()),
            limits=_LIMITS,
            taking={job.said["drop"] for job in self.jobs.open() if job.task == "take_in"},
            why=self.fields.get("why", ""),
        )


_LIMITS = {
    "file": LARGEST_FILE,
    "drop": LARGEST_DROP,
    "files": MOST_FILES,
    "form": LARGEST_FORM,
}


class _Incoming(DeskPage):
    """Takes a body in pieces as it comes, after the checks that every post passes."""

    body = ""  # the kind of body that it takes
    most = LARGEST_FILE
    refused: HTTPError | None = None

    def prepare(self) -> None:
        """Let the post in, and then alone a body that is larger than others may be.

        Who is refused is told so after the body was read, if that is as small as others, because
        an answer in the middle of it would be lost with the connection.
        """
        if self.request.method != "POST":
            self.set_header("Connection", "close")  # as Tornado does, but says so to nobody
        try:
            super().prepare()
            if not self._finished:
                self._let_in()
        except HTTPError as error:
            self.refused = error

    def _let_in(self) -> None:
        if self._kind() != self.body:
            raise HTTPError(415)
        length = self.request.headers.get("Content-Length", "0")
        if not length.isdigit() or int(length) > self.most:
            raise HTTPError(413)
        connection: Any = self.request.connection
        connection.set_max_body_size(self.most)
        connection.set_body_timeout(_SENDING)
        self.begin()

    def _kind(self) -> str:
        return self.request.headers.get("Content-Type", "").partition(";")[0].strip().lower()

    def begin(self) -> None:
        """Get ready for the first piece."""

    def data_received(self, chunk: bytes) -> Awaitable[None] | None:
        """Take a piece, if the post was let in."""
        if not (self.refused or self._finished):
            self.piece(chunk)
        return None

    def piece(self, data: bytes) -> None:
        """Take a piece."""

    def check(self) -> None:
        """Refuse the post now, if it is to be refused."""
        if self.refused:
            raise self.refused


@stream_request_body
class DropFile(_Incoming):
    """Takes one file, as it is, into a drop."""

    body = "application/octet-stream"
    posts = (body, "application/x-www-form-urlencoded")
    upload: Upload | None = None

    def begin(self) -> None:
        """Find out what the file is called, and which of the drop it is."""
        said = self.fields
        number = said.get("number", "")
        if not (number.isascii() and number.isdigit() and len(number) < 7):
            raise HTTPError(400)
        try:
            drop = Drop(self.desk.folder, said.get("drop", ""))
        except DropError:
            raise HTTPError(400) from None
        name = PASTED if "pasted" in said else said.get("name", "")
        changed = None if "pasted" in said else _changed(said.get("changed", ""))
        self.upload = Upload(drop, int(number), parts_of(name), changed)

    def refuse(self, status: int, why: str) -> None:
        """Answer in words for the page's script, and leave no half of a file behind."""
        self.on_finish()
        self.set_status(status)
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(why)

    def piece(self, data: bytes) -> None:
        """Write down a piece of it."""
        self._try(lambda upload: upload.write(data))

    def _try(self, do: Callable[[Upload], None]) -> bool:
        assert self.upload
        try:
            do(self.upload)
        except (DropError, ClassError) as error:
            self.refuse(413, str(error))
        except OSError as error:
            self.refuse(507, f"The file could not be kept: {error.strerror or error}.")
        else:
            return True
        return False

    def post(self) -> None:
        """Let it be there, if all of it came."""
        self.check()
        if not self.upload or self._finished:
            return
        size = self.fields.get("size", "")
        if size != str(self.upload.size):
            self.refuse(400, "The file did not come as a whole. Send it again.")
        elif self._try(lambda upload: upload.done()):
            self.set_header("Content-Type", "text/plain; charset=utf-8")
            self.finish("There.")

    def on_finish(self) -> None:
        """Leave no half of a file behind."""
        if self.upload:
            self.upload.give_up()

    def on_connection_close(self) -> None:
        """Leave no half of a file behind either if the browser went away."""
        super().on_connection_close()
        self.on_finish()


def _changed(said: str) -> float | None:
    """Return a browser's milliseconds as seconds, None for what is no time of a file."""
    if not (said.isascii() and said.isdigit() and len(said) < 15):
        return None
    seconds = int(said) / 1000
    return seconds if 0 < seconds <= time.time() + 24 * 3600 else None


@stream_request_body
class DropForm(_Incoming):
    """Takes files and a pasted text from the page's form, where there are no scripts."""

    body = "multipart/form-data"
    posts = (body, "application/x-www-form-urlencoded")
    most = LARGEST_FORM

    def begin(self) -> None:
        """Begin with nothing."""
        self._came = bytearray()

    def piece(self, data: bytes) -> None:
        """Keep a piece of the form."""
        self._came += data

    async def post(self) -> None:
        """Put the files into a drop, and take it in."""
        self.check()
        _, _, boundary = self.request.headers["Content-Type"].partition("boundary=")
        texts: dict[str, list[bytes]] = {}
        files: dict[str, list[HTTPFile]] = {}
        try:
            mark = boundary.strip().encode()
            parse_multipart_form_data(mark, bytes(self._came), texts, files)
        except (HTTPInputError, ValueError):
            raise HTTPError(400) from None
        drop = Drop(self.desk.folder, secrets.token_hex(8))
        some = [(one.filename, one.body) for found in files.values() for one in found]
        some += [(PASTED, text) for text in texts.get("pasted", ()) if text.strip()]
        if not some:
            self.redirect("/drop", status=303)
            return
        try:
            await asyncio.to_thread(_put_all, drop, some)
        except (DropError, OSError, ClassError) as error:
            self.redirect("/drop?" + urlencode({"why": str(error)[:300]}), status=303)
            return
        self.order("take_in", "Taking in what was dropped", "/drop", {"drop": drop.id})


def _put_all(drop: Drop, some: list[tuple[str, bytes]]) -> None:
    for number, (name, data) in enumerate(some, start=1):
        upload = Upload(drop, number, parts_of(name))
        try:
            upload.write(data)
            upload.done()
        finally:
            upload.give_up()


class _Word(DeskPage):
    """A word of the instructor's on something that was dropped."""

    def drop(self) -> Drop:
        """Return the drop that the post names."""
        try:
            return Drop(self.desk.folder, self.fields.get("drop", ""))
        except DropError:
            raise HTTPError(400) from None


class TakeIn(_Word):
    """Orders what was dropped to be taken in."""

    def post(self) -> None:
        """Order it."""
        self.order("take_in", "Taking in what was dropped", "/drop", {"drop": self.drop().id})


class Settle(_Word):
    """Takes in a piece with the instructor's word on whose it is."""

    def post(self) -> None:
        """Order it, if a student of the class is named, and a lesson that was handed out."""
        drop, said = self.drop(), self.fields
        source, student, slug = (said.get(name, "") for name in ("source", "student", "lesson"))
        known = _Known(self.desk.view)
        if student not in known.names or (slug and slug not in known.titles):
            self.redirect(
                "/drop?" + urlencode({"why": f"Choose whose {source} is, and which lesson."}),
                status=303,
            )
            return
        piece = {"drop": drop.id, "source": source, "student": student, "lesson": slug}
        self.order("take_in", f"Taking in {source}: {known.whose(student, slug)}", "/drop", piece)


class SetAside(_Word):
    """Sets a piece aside, brings it back, or throws away what was set aside."""

    async def post(self) -> None:
        """Do that, and show the page again."""
        drop, source = self.drop(), self.fields.get("source", "")
        state = self.fields.get("state", "")
        if state not in ("aside", "open", "gone"):
            raise HTTPError(400)
        async with self.form.turn:
            if state == "gone":
                await self.keep_before(f"Throwing away {source}")
                await asyncio.to_thread(throw_away, drop, source)
            else:
                await asyncio.to_thread(put, drop, source, state)
        self.redirect("/drop", status=303)


class Look(_Word):
    """Shows a piece that is not taken in, so that it can be seen whose it is."""

    async def get(self) -> None:
        """Send it."""
        source = self.fields.get("source", "")
        drop = self.drop()
        known = any(one.source == source and one.state != "done" for one in drop.told().lines)
        data = await asyncio.to_thread(drop.content, source) if known else None
        if data is None:
            raise HTTPError(404)
        opened.send(self, source, data, save="save" in self.fields)
