"""Serves the desk on this computer, and opens its window."""

from __future__ import annotations

import asyncio
import contextlib
import signal
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from tornado.httpserver import HTTPServer
from tornado.web import HTTPError

from coursekit.classroom.form import server as form_server
from coursekit.classroom.form.door import Enter, FormPage, Style
from coursekit.classroom.form.quiet import be_quiet
from coursekit.classroom.form.sheet_pages import AnswersPage, BenchPage, Open
from coursekit.desk.page import HERE, DeskPage, render
from coursekit.desk.pages import drop, photos, work
from coursekit.desk.pages.at_the_bench import AtTheBench, Phones
from coursekit.desk.pages.classes import Classes, NewClass
from coursekit.desk.pages.made import Made
from coursekit.desk.pages.mark import Mark
from coursekit.desk.pages.next_lesson import NextLesson
from coursekit.desk.pages.now import Now
from coursekit.desk.pages.print import Print
from coursekit.desk.pages.put_away import Erase, OneStudent, PackedFile, PutAway
from coursekit.desk.pages.read import Names, Read
from coursekit.desk.pages.report import Report, Sketch
from coursekit.desk.pages.roster import Roster
from coursekit.desk.pages.send import Send
from coursekit.desk.state import Desk


class Ended(DeskPage):
    """The address is no page of the desk."""

    needs_class = False

    def prepare(self) -> None:
        """Say that there is nothing, after the checks that all requests pass."""
        super().prepare()
        if not self._finished:
            raise HTTPError(404)


class JobStrip(DeskPage):
    """How far the jobs are: the part of every page that is renewed by itself."""

    def get(self) -> None:
        """Send that part."""
        self.set_header("Cache-Control", "no-store")
        self.set_header("Content-Type", "text/html; charset=utf-8")
        facts = {"jobs": self.jobs.recent(), "ticket": self.hidden_fields(), "asked_for": ""}
        self.finish(render("jobs", **facts))


class StopJob(DeskPage):
    """Stops a job."""

    def post(self) -> None:
        """Stop it, and go back to the page that the window was on."""
        job = self.job()
        self.jobs.stop(self.fields.get("job", ""))
        self.redirect(job.page.partition("?")[0] if job else "/", status=303)


class SeenJob(DeskPage):
    """Takes a job that has ended off the strip."""

    def post(self) -> None:
        """Take it off, and go back to the page that the window is on."""
        if (job := self.job()) and job.ended:
            job.seen = True
        came = urlsplit(self.request.headers.get("Referer", ""))
        self.redirect(urlunsplit(("", "", "/" + came.path.lstrip("/"), came.query, "")), status=303)


class _File(DeskPage):
    """A style sheet or a script of the desk; there is nothing of a class in it."""

    needs_session = False
    needs_class = False
    kind = "text/css"
    files: Mapping[str, Path] = {}

    def get(self, name: str = "desk.css") -> None:
        """Send it."""
        self.set_header("Content-Type", f"{self.kind}; charset=utf-8")
        self.set_header("Cache-Control", "no-cache")
        if name not in _files():
            raise HTTPError(404)
        self.finish(_files()[name])


class DeskStyle(_File):
    """The style sheet."""


class Script(_File):
    """One of the desk's scripts."""

    kind = "text/javascript"


@cache
def _files() -> dict[str, str]:
    """Return name → text of each file that the pages load."""
    found = [HERE / "desk.css", *(HERE / "scripts").glob("*.js")]
    return {file.name: file.read_text(encoding="utf-8") for file in found}


ROUTES: Mapping[str, type[FormPage]] = {
    r"/": Now,
    r"/classes": Classes,
    r"/at-the-bench": AtTheBench,
    r"/at-the-bench/phones": Phones,
    r"/print": Print,
    r"/classes/new": NewClass,
    r"/made/(.+)": Made,
    r"/report": Report,
    r"/report/sketch": Sketch,
    r"/put-away": PutAway,
    r"/put-away/roster": Roster,
    r"/put-away/student": OneStudent,
    r"/put-away/erase": Erase,
    r"/put-away/file": PackedFile,
    r"/drop": drop.DropPage,
    r"/drop/file": drop.DropFile,
    r"/drop/form": drop.DropForm,
    r"/drop/take-in": drop.TakeIn,
    r"/drop/settle": drop.Settle,
    r"/drop/aside": drop.SetAside,
    r"/drop/look": drop.Look,
    r"/photos": photos.PhotoAnswers,
    r"/photos/bench": photos.PhotoBench,
    r"/photos/done": photos.Done,
    r"/photos/hand-in": photos.HandIn,
    r"/photo": photos.Photograph,
    r"/work": work.Work,
    r"/work/use": work.Use,
    r"/work/file": work.File,
    r"/work/tex-svg\.js": work.MathJax,
    r"/jobs": JobStrip,
    r"/mark": Mark,
    r"/next-lesson": NextLesson,
    r"/read": Read,
    r"/send": Send,
    r"/read/names": Names,
    r"/jobs/stop": StopJob,
    r"/jobs/seen": SeenJob,
    r"/desk\.css": DeskStyle,
    r"/scripts/([a-z-]+\.js)": Script,
    # the bench form's own pages; the first of them stands under another address here
    r"/enter": Enter,
    r"/sheet": Open,
    r"/bench": BenchPage,
    r"/answers": AnswersPage,
    r"/form\.css": Style,
}


def listen(desk: Desk) -> HTTPServer:
    """Open the desk; ClassError if the port is taken."""
    return form_server.listen(desk, form_server.application(desk, ROUTES, Ended))


def run(desk: Desk, path: Path | None, opened: Callable[[Desk], None]) -> None:
    """Serve the desk with the class in `path` until it is stopped with Ctrl-C, or by the system."""
    be_quiet()
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_until_stopped(desk, path, opened))


async def _until_stopped(desk: Desk, path: Path | None, opened: Callable[[Desk], None]) -> None:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for what in (signal.SIGINT, signal.SIGTERM):
        with contextlib.suppress(NotImplementedError):  # Windows: Ctrl-C ends asyncio.run itself
            loop.add_signal_handler(what, stop.set)
    listening = listen(desk)
    try:
        desk.open(path)
        opened(desk)
        await stop.wait()
    finally:
        await close(desk, listening)


async def close(desk: Desk, listening: HTTPServer) -> None:
    """Stop listening, here and to phones; the job at hand goes on to its end."""
    if desk.jobs:
        desk.jobs.close()
    desk.shut_phones_out()
    await form_server.close(listening)
