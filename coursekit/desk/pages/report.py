"""What the instructor needs before the next session, and the sheet of it to print."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tornado.web import HTTPError

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.lesson_figures import Figure
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.report import class_page, page_words
from coursekit.desk.page import DeskPage

PAGE = "/report"
PAPERS = {"a4": "A4", "us-letter": "Letter"}
# what a page on a screen says where the printed one names a command
_HERE = {
    page_words.MORE: "The whole report has them all.",
    " “coursekit remind --all-open” names them.": "",
}
_NAMES = {
    "report.pdf": "The page to print (PDF)",
    "report.html": "The page with its sketches, for a browser",
    "whole-report.pdf": "The whole report to print (PDF)",
    "whole-report.html": "The whole report, for a browser",
    "marks.csv": "Marks, for a spreadsheet",
    "questions.csv": "Questions, for a spreadsheet",
    "bench.csv": "Readings at the bench, for a spreadsheet",
}


def facts(
    folder: ClassFolder,
    root: Path,
    opened: Callable[[str], Assignment] | None = None,
    now: datetime | None = None,
) -> dict[str, Any]:
    """Return what the page shows: its rows in words, and what it is about."""
    page = class_page.class_page(folder, root, now, opened=opened)
    told = page_words.told(page)
    about = page_words.shown(page, told, named=True, draw=lambda figure: "")
    figures = [talk.figure for talk in page.talk]
    for talk, figure in zip(about["talks"], figures, strict=True):
        talk["sketch"] = picture(figure) if figure else ""
    rows = {
        part: [(row.about, for_the_desk(row.said)) for row in getattr(told, part)]
        for part in ("owed", "waits", "help", "bench")
    }
    return {**about, **rows, "rule": told.rule, "left": page.left}


def picture(figure: Figure) -> str:
    """Return the address of a figure's picture."""
    return "/report/sketch?" + urlencode({"lesson": figure.slug, "cell": figure.cell})


def for_the_desk(said: str) -> str:
    """Return a sentence of the page without the commands that it names."""
    for command, here in _HERE.items():
        said = said.replace(command, here)
    return said


def files(result: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return (name, address) of each file that a report's job has made."""
    found = []
    for path in result["files"]:
        name = path.rpartition("/")[2]
        found.append((_NAMES.get(name, name), f"/made/{path}"))
    return found


class Report(DeskPage):
    """The page before the next session."""

    def get(self) -> None:
        """Show it, with the files that the job which the address names has made."""
        job = self.job()
        done = job.result if job and job.task == "report" and job.state == "done" else None
        self.show(
            "report",
            facts=facts(self.desk.folder, self.desk.root, self.desk.opened),
            files=files(done) if done else [],
            left=done["left"] if done else [],
            papers=PAPERS,
        )

    def post(self) -> None:
        """Order the page as PDF, and the whole report if it is wanted."""
        paper = self.fields.get("paper", "a4")
        if paper not in PAPERS:
            raise HTTPError(400)
        whole = self.fields.get("deed") == "whole"
        said = {"paper": paper, "whole": whole, "without_names": "without-names" in self.fields}
        self.order("report", f"Making the {'whole report' if whole else 'report'}", PAGE, said)


class Sketch(DeskPage):
    """A figure of a lesson, which the worker draws once and when it is free."""

    async def get(self) -> None:
        """Send it; there is none for a cell of a page that draws nothing."""
        slug, cell = self.fields.get("lesson", ""), self.fields.get("cell", "")
        page = self.desk.root / "course" / f"{slug}.md"
        if slug not in exercises.slugs(self.desk.root) or not re.fullmatch(r"\d{1,3}", cell):
            raise HTTPError(404)
        state = page.stat().st_mtime if page.is_file() else 0
        said = {"lesson": slug, "cell": int(cell)}
        drawn = await self.jobs.come(f"sketch {slug} {cell} {state}", "sketch", said)
        if not (svg := (drawn or {}).get("svg")):
            raise HTTPError(404)
        self.set_header("Content-Type", "image/svg+xml")
        self.set_header("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'")
        self.finish(svg)
