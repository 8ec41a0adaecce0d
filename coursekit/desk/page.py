"""What all pages of the desk share: who may see them, how they look, and how they order jobs."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, cast

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from tornado.web import HTTPError

from coursekit.classroom.form import pages as form_pages
from coursekit.classroom.form.door import FormPage
from coursekit.classroom.register import undo
from coursekit.classroom.register.class_folder import ClassError
from coursekit.desk import warm, words
from coursekit.desk.jobs import Job, Jobs
from coursekit.desk.state import Desk

HERE = Path(__file__).parent
# the pages in the order of a week, in groups: (what the group is, ((address, name), …))
WEEK: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("", (("/", "Now"),)),
    (
        "After the evening",
        (("/drop", "Drop"), ("/mark", "Mark"), ("/read", "Read"), ("/send", "Send")),
    ),
    (
        "Before the next",
        (("/next-lesson", "Next lesson"), ("/print", "Print"), ("/at-the-bench", "At the bench")),
    ),
    ("Now and then", (("/report", "Report"), ("/put-away", "Put away"))),
)
_ONE_STEP = 3600.0  # seconds within which quick changes of one kind are undone together
_POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; "
    "img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


class DeskPage(FormPage):
    """A page for the instructor, on this computer alone."""

    needs_class = True

    @property
    def desk(self) -> Desk:
        """The desk that this request is for."""
        return cast(Desk, self.form)

    @property
    def jobs(self) -> Jobs:
        """The jobs of the class that is open."""
        assert self.desk.jobs
        return self.desk.jobs

    def set_default_headers(self) -> None:
        """Let the desk's own scripts run, and nothing else."""
        super().set_default_headers()
        self.set_header("Content-Security-Policy", _POLICY)

    def prepare(self) -> None:
        """Let the instructor in; to everybody else there is no such page."""
        super().prepare()
        if self._finished:
            return
        if not self.at_home():
            raise HTTPError(404)
        if self.request.method == "GET" and "key" in self.fields:
            self.redirect(str(self.request.path))
            return
        try:
            self.desk.renew()
        except (ClassError, OSError) as error:
            self.set_status(503)
            self.show("told", head="The class cannot be read", why=str(error))
            return
        if self.needs_class and not self.desk.is_open:
            self.redirect("/classes", status=303)

    def on_finish(self) -> None:
        """Begin to load what later pages need, now that one has been answered."""
        if self.desk.is_open:
            warm.begin(self.desk.view)

    def show(self, name: str, **facts: Any) -> None:
        """Answer with one of the pages; a window that is not let in sees nothing of the class."""
        self.set_header("Content-Type", "text/html; charset=utf-8")
        desk = self.desk
        seen = bool(self.session) and desk.is_open
        self.finish(
            render(
                name,
                class_title=desk.folder.title if seen else "",
                week=WEEK if seen else (),
                here=self.request.path,
                ticket=self.hidden_fields() if self.session else "",
                jobs=desk.jobs.recent() if seen and desk.jobs else [],
                asked_for=self.request.uri,
                phone=False,
                words=words,
                **facts,
            )
        )

    def order(self, task: str, say: str, page: str, said: Mapping[str, Any]) -> Job:
        """Order the job of this post, and lead the window to the page that shows how far it is.

        `say` is what the job does, in words, `page` where what came of it is shown.
        """
        self.desk.kept_before = ("", 0.0)
        job = self.jobs.order(self.posting.split("|")[-1], task, say, page, said)
        self.redirect(job.page, status=303)
        return job

    async def keep_before(self, say: str) -> None:
        """Keep the class as it is before a quick change, so that it can be undone.

        Changes in a row that are told in the same words are one step, unless an hour passes: who
        gives thirty scores undoes them together.
        """
        words_before, at = self.desk.kept_before
        if words_before != say or time.monotonic() - at > _ONE_STEP:
            await asyncio.to_thread(undo.keep_before, self.desk.folder, say)
            self.desk.kept_before = (say, time.monotonic())

    def job(self) -> Job | None:
        """Return the job that the address names, if it is known."""
        return self.jobs.jobs.get(self.fields.get("job", ""))

    def title(self, slug: str) -> str:
        """Return the lesson's title, or its slug if its exercise has a mistake."""
        return words.title(self.desk.view, slug)

    def name(self, student: str) -> str:
        """Return what to call a student on a page."""
        return words.names(self.desk.folder).get(student, student)


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader([HERE / "templates", form_pages.HERE / "templates"]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def render(name: str, **facts: object) -> str:
    """Return the page `name` as HTML; `facts` are shown as text, never read as markup."""
    return _environment().get_template(f"{name}.html.j2").render(**facts)
