"""Attacks on who looks at students' work, each with what must come of it.

`python -m tests.hostile.viewer_attacks` tries them all and prints, for each, expected and got;
`python -m tests.hostile.viewer_attacks drawing frame` those whose point or name has one of the words.

The judge is nbgrader's own page of formgrader, made by nbconvert without any of this kit's settings
and read by Python's own HTML parser: whatever acts in it beyond what acts in an empty notebook's
page was a student's. The rules of what acts are those of the HTML standard (scripts, handlers,
`javascript:`, frames, forms; from memory).
"""

from __future__ import annotations

import base64
import re
import signal
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial
from html.parser import HTMLParser

import nbformat
from nbconvert.exporters import HTMLExporter
from nbgrader.server_extensions.formgrader import handlers
from traitlets.config import Config

from coursekit.classroom.report import safe_html
from coursekit.classroom.running import safe_markup, safe_notebook, safe_svg

from . import viewers

NO_RELEASE: dict[str, str] = {}
ACTIVE_TAGS = {
    "script", "iframe", "object", "embed", "form", "input", "textarea", "base", "meta", "link",
    "style", "svg", "math", "video", "audio", "source", "details", "template", "noscript", "frame",
    "foreignobject", "set", "animate", "a:svg", "title", "body", "html", "head", "button",
}  # fmt: skip
REACHING = (r"\\href", r"\\require", r"\\cssId", r"\\mmlToken", r"\\bbox", r"\x1b", r"\u202e")


class Acting(HTMLParser):
    """Counts what acts, fetches or takes a box's place in a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: Counter[str] = Counter()

    def handle_starttag(self, tag, attrs):
        if tag in ACTIVE_TAGS:
            self.found[tag] += 1
        for name, value in attrs:
            self._attribute(tag, name, value or "")

    handle_startendtag = handle_starttag

    def _attribute(self, tag, name, value):
        plain = re.sub(r"[\s\x00-\x1f]", "", value).lower()
        if name.startswith("on") or name in ("srcdoc", "action", "formaction"):
            self.found[f"{name}={value}"] += 1
        elif name in ("src", "href", "xlink:href", "data", "poster") and not plain.startswith("#"):
            if plain.startswith("data:image/svg+xml;base64,"):
                self.found += acting(base64.b64decode(plain_base64(value)).decode())
            elif not re.match(r"data:image/(png|jpeg);base64,[a-z0-9+/=]*$", plain) and not (
                tag == "a" and re.match(r"https?://", plain)
            ):
                self.found[f"{tag} {name}={value}"] += 1
        elif name == "style" and plain.rstrip(";") not in (
            "text-align:left", "text-align:right", "text-align:center",
        ):  # fmt: skip
            self.found[f"style={value}"] += 1
        elif name == "id" and value == "why":
            self.found["the id of a box"] += 1
        elif name == "class" and {"nbgrader_cell", "score", "comment", "mermaid"} & set(
            value.split()
        ):
            self.found[f"class={value}"] += 1

    def handle_data(self, data):
        for what in REACHING:
            if re.search(what, data):
                self.found[what] += 1


def plain_base64(value: str) -> str:
    return value.split(",", 1)[1]


def acting(page: str) -> Counter[str]:
    reader = Acting()
    reader.feed(page)
    reader.close()
    return reader.found


@cache
def exporter() -> HTMLExporter:
    config = Config()
    config.HTMLExporter.template_name = "formgrade"
    config.HTMLExporter.extra_template_basedirs = [handlers.template_path]
    return HTMLExporter(config=config)


def formgraders_page(notebook) -> str:
    about = dict.fromkeys(
        ("assignment_id", "notebook_id", "submission_id", "base_url", "student", "last_name",
         "first_name", "notebook_path"), "x",
    )  # fmt: skip
    page, _ = exporter().from_notebook_node(notebook, resources={**about, "index": 0, "total": 1})
    return page


@cache
def empty() -> Counter[str]:
    return acting(formgraders_page(nbformat.v4.new_notebook()))


def written(text: str):
    return nbformat.v4.new_notebook(cells=[nbformat.v4.new_markdown_cell(text)])


def coded(text: str):
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(text)])
    notebook.metadata["language_info"] = {"name": "python"}  # as the kit's own
    return notebook


def shown(*outputs):
    cell = nbformat.v4.new_code_cell("x = 1")
    cell.outputs = [nbformat.from_dict(o) for o in outputs]
    return nbformat.v4.new_notebook(cells=[cell])


def one(kind: str, text: str):
    return shown({"output_type": "display_data", "metadata": {}, "data": {kind: text}})


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Stop what takes more processor time than this."""

    def stop(*_):
        raise TimeoutError(f"more than {seconds:g} s of processor time")

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def cleaned(notebook):
    """A copy of the notebook as it is kept."""
    made = nbformat.from_dict(notebook)
    safe_notebook.clean(made, NO_RELEASE)
    return made


NOTHING, IN_TIME = "nothing acts", "shown in time, and not too long"
NO_ATTACK, TURNS = "it is no attack as it stands", "it changes when it is cleaned again"


@dataclass(frozen=True)
class Attack:
    """Something hostile: where a student puts it, its name, what it does, what must come of it."""

    point: str
    name: str
    act: Callable[[], str]
    expected: str


def look(notebook) -> str:
    """What acts in formgrader's page once the notebook has been cleaned."""
    if not acting(formgraders_page(notebook)) - empty():
        return NO_ATTACK
    made = cleaned(notebook)
    if found := acting(formgraders_page(made)) - empty():
        return "acts: " + ", ".join(found)
    return NOTHING if cleaned(made) == made else TURNS


_DRAWN_ACTS = re.compile(r"script|onclick|foreign|example|import|<set|#[ab]")


def draw(inner: str) -> str:
    """What acts in a drawing once it has been cleaned."""
    if not _DRAWN_ACTS.search(inner):
        return NO_ATTACK
    made = safe_svg.svg(viewers.drawing(inner))
    if not made.startswith("<svg ") or (found := _DRAWN_ACTS.search(made)):
        return f"acts: {found[0]}" if made.startswith("<svg ") else "the drawing is gone"
    return NOTHING if safe_svg.svg(made) == made else TURNS


def wait(notebook, most: int) -> str:
    """Whether a page of the kit's and formgrader's are made in time; text of `most` is not too long."""
    try:
        with within(60):
            safe_html.cell(notebook.cells[0], frozenset())
            made = cleaned(notebook)
            safe_html.cell(made.cells[0], frozenset())
            formgraders_page(made)
    except TimeoutError as error:
        return str(error)
    if sum(len(str(cell)) for cell in made.cells) > most:
        return "too long"
    return IN_TIME if cleaned(made) == made else TURNS


def lie(name: str) -> str:
    """Under which name a file lies that a browser would run."""
    return safe_notebook.file_name(name)


_SOURCES = (
    ("written", viewers.MARKDOWN, lambda text: partial(look, written(text)), NOTHING),
    ("shown", viewers.HTML, lambda text: partial(look, one("text/html", text)), NOTHING),
    ("output", viewers.OUTPUTS, lambda output: partial(look, shown(output)), NOTHING),
    ("drawing", viewers.DRAWINGS, lambda inner: partial(draw, inner), NOTHING),
    (
        "endless text",
        viewers.ENDLESS_MARKDOWN,
        lambda text: partial(wait, written(text), 3 * safe_markup.LONGEST_MARKDOWN),
        IN_TIME,
    ),
    (
        "endless output",
        viewers.ENDLESS_HTML,
        lambda text: partial(wait, one("text/html", text), 2 * safe_markup.LONGEST_HTML),
        IN_TIME,
    ),
    (
        "endless code",
        viewers.ENDLESS_CODE,
        lambda text: partial(wait, coded(text), 3 * safe_markup.LONGEST_CODE),
        IN_TIME,
    ),
)
ATTACKS = [
    Attack(point, name, act(what), expected)
    for point, table, act, expected in _SOURCES
    for name, what in table.items()
] + [Attack("file", name, partial(lie, name), f"{name}.txt") for name in viewers.PAGES]


def _table(words: list[str]) -> int:
    """Try the attacks that have one of the words and print what came; return how many went wrong."""
    tries = [a for a in ATTACKS if not words or any(w in f"{a.point} {a.name}" for w in words)]
    wrong = 0
    for attack in tries:
        got = attack.act()
        wrong += got != attack.expected
        sign = "ok   " if got == attack.expected else "WRONG"
        print(f"{sign} {attack.point}: {attack.name}", flush=True)
        print(f"      expected {attack.expected!r}\n      got      {got[:300]!r}", flush=True)
    print(f"{len(tries)} attacks, {wrong} went wrong")
    return wrong


if __name__ == "__main__":
    raise SystemExit(1 if _table(sys.argv[1:]) else 0)
