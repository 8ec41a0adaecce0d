"""The class page as an HTML page and a PDF, both from the same facts and words.

On paper it is one page: the PDF takes the largest of its type sizes at which everything fits, and
goes on to a second page, at 8.5 pt, only where 7.5 pt would not do. What can grow with the class is
said in few words (everyone but two, 13 lessons) or cut with a count of the rest.
"""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from pathlib import Path

import jinja2

from coursekit.classroom.bank.lesson_figures import Figure
from coursekit.classroom.register import dates
from coursekit.classroom.register.class_folder import write_bytes
from coursekit.classroom.report import page_words
from coursekit.classroom.report.class_page import ClassPage
from coursekit.classroom.report.page_words import Draw, Told
from coursekit.sheets import page as paper_page

LARGE, SMALL = 9.0, 7.5  # pt, of the HTML page when it is printed
_MUCH = 1800  # characters, more than which are printed small


def no_sketch(figure: Figure) -> str:
    """Draw nothing, where nobody is there to draw."""
    return ""


def write(
    found: ClassPage,
    folder: Path,
    paper: paper_page.Paper = "a4",
    *,
    named: bool = True,
    draw: Draw = no_sketch,
) -> list[Path]:
    """Write the page to `folder` as HTML and PDF, and return both files."""
    sketches = {talk.figure: draw(talk.figure) for talk in found.talk if talk.figure}
    made = {
        "report.html": html(found, named=named, draw=sketches.__getitem__).encode(),
        "report.pdf": pdf(found, paper, named=named, draw=sketches.__getitem__),
    }
    for name, data in made.items():
        write_bytes(folder / name, data)
    return [folder / name for name in made]


def html(found: ClassPage, *, named: bool = True, draw: Draw = no_sketch) -> str:
    """Return the class page as one HTML page that needs no other file."""
    told = page_words.told(found)
    shown = page_words.shown(found, told, named=named, draw=draw)
    for talk in shown["talks"]:
        data = b64encode(talk["svg"].encode()).decode()
        talk["src"] = f"data:image/svg+xml;base64,{data}" if data else ""
    return template("report.html.j2").render(told=told, print_pt=_print_pt(told), **shown)


def pdf(
    found: ClassPage,
    paper: paper_page.Paper = "a4",
    *,
    named: bool = True,
    draw: Draw = no_sketch,
) -> bytes:
    """Return the class page as a PDF."""
    told = page_words.told(found)
    width, height = paper_page.size(paper)
    shown = page_words.shown(found, told, named=named, draw=draw)
    parts = {
        name: [[row.about, row.said] for row in getattr(told, name)]
        for name in ("owed", "waits", "help", "bench")
    }
    talks = shown.pop("talks")
    data = {**shown, **parts, "talk": talks, "rule": told.rule, "made": dates.day(found.made)}
    return paper_page.pdf("report.typ", {"width": width, "height": height, **data})


def _print_pt(told: Told) -> float:
    """Return the type size at which the HTML page is printed, smaller if much is said."""
    rows = (*told.owed, *told.waits, *told.help, *told.bench)
    return LARGE if sum(len(r.about) + len(r.said) for r in rows) < _MUCH else SMALL


@cache
def template(name: str) -> jinja2.Template:
    """Return a page's template."""
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    return env.get_template(name)
