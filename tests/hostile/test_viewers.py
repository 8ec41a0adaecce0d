"""What a student writes or shows acts nowhere, and holds no viewer up.

The judge is nbgrader's own page of formgrader, made by nbconvert without any of this kit's settings
and read by Python's own HTML parser: whatever acts in it beyond what acts in an empty notebook's
page was a student's. The rules of what acts are those of the HTML standard (scripts, handlers,
`javascript:`, frames, forms; from memory).
"""

from __future__ import annotations

import base64
import re
import signal
from collections import Counter
from contextlib import contextmanager
from functools import cache
from html.parser import HTMLParser

import nbformat
import pytest
from nbconvert.exporters import HTMLExporter
from nbgrader.server_extensions.formgrader import handlers
from traitlets.config import Config

from coursekit.classroom.bank.notebooks import TEXT_STUB
from coursekit.classroom.marking import mark_class
from coursekit.classroom.report import feedback, safe_html
from coursekit.classroom.running import page_policy, safe_markup, safe_notebook, safe_svg
from tests.classroom import small

from . import viewers

NO_RELEASE: dict[str, str] = {}
ACTIVE_TAGS = {
    "script", "iframe", "object", "embed", "form", "input", "textarea", "base", "meta", "link",
    "style", "svg", "math", "video", "audio", "source", "details", "template", "noscript", "frame",
    "foreignobject", "set", "animate", "a:svg", "title", "body", "html", "head", "button",
}  # fmt: skip
DRAWN = {"rect", "g", "text", "path", "svg"}


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
        for what in (r"\\href", r"\\require", r"\\cssId", r"\x1b", r"\u202e"):
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


def shown(*outputs):
    cell = nbformat.v4.new_code_cell("x = 1")
    cell.outputs = [nbformat.from_dict(o) for o in outputs]
    return nbformat.v4.new_notebook(cells=[cell])


def one(kind: str, text: str):
    return shown({"output_type": "display_data", "metadata": {}, "data": {kind: text}})


ATTACKS = (
    [pytest.param(written(t), id=f"written: {n}") for n, t in viewers.MARKDOWN.items()]
    + [pytest.param(one("text/html", t), id=f"shown: {n}") for n, t in viewers.HTML.items()]
    + [pytest.param(shown(o), id=f"output: {n}") for n, o in viewers.OUTPUTS.items()]
)


@pytest.mark.parametrize("notebook", ATTACKS)
def test_nothing_acts_in_formgraders_page(notebook):
    assert acting(formgraders_page(notebook)) - empty()  # it is an attack as it stands
    made = nbformat.from_dict(notebook)
    safe_notebook.clean(made, NO_RELEASE)
    assert acting(formgraders_page(made)) - empty() == Counter()
    again = nbformat.from_dict(made)
    safe_notebook.clean(again, NO_RELEASE)
    assert again == made


@pytest.mark.parametrize("inner", viewers.DRAWINGS.values(), ids=viewers.DRAWINGS)
def test_nothing_acts_in_a_drawing(inner):
    made = safe_svg.svg(viewers.drawing(inner))
    assert re.search(r"script|onclick|foreign|example|import|<set|#[ab]", inner)
    assert not re.search(r"script|onclick|foreign|example|import|<set|#[ab]", made)
    assert made.startswith("<svg ")
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">]>' + viewers.drawing("<text>&a;</text>")
    assert safe_svg.svg(bomb) == ""


@pytest.mark.parametrize("name", ["evil.html", "a/b.HTM", "x.svg", "x.xhtml", "x.xml", "x.xsl"])
def test_a_page_handed_in_lies_as_text(name):
    assert safe_notebook.file_name(name) == f"{name}.txt"


@pytest.mark.parametrize("name", ["data.csv", "x.png", "notes.txt", "x.py", "readings.json"])
def test_other_files_keep_their_names(name):
    assert safe_notebook.file_name(name) == name


TABLE = (
    '<div>\n<table border="1" class="dataframe">\n<thead>\n<tr style="text-align: right;">\n'
    '<th></th>\n<th>mm</th>\n</tr>\n</thead>\n<tbody>\n<tr>\n<th>0</th>\n<td colspan="2">1.5</td>\n'
    "</tr>\n</tbody>\n</table>\n</div>"
)


def test_honest_work_looks_as_before():
    text = (
        "**Bold**, *slanted*, `a[0](x)` and $a < b$:\n\n- one\n- two\n\n1. first\n\n"
        "a | b\n--|--\n1 | 2\n\n$$\\frac{1}{2} \\begin{matrix}1 & 2\\end{matrix}$$\n\n"
        "[the lesson](https://example.org/book)\n\n> said\n\nangle < 90 & so on"
    )
    outputs = [
        {"output_type": "display_data", "metadata": {}, "data": {"text/html": TABLE}},
        {"output_type": "display_data", "metadata": {}, "data": {"image/png": "eA==\n"}},
        {"output_type": "display_data", "metadata": {}, "data": {"text/latex": "$\\theta^{2}$"}},
        {"output_type": "stream", "name": "stdout", "text": "\x1b[31mred\x1b[0m <module> 5 < 6\n"},
        {"output_type": "error", "ename": "E", "evalue": "<x>", "traceback": ["in <module>"]},
    ]
    notebook = shown(*outputs)
    notebook.cells += written(text).cells
    before = formgraders_page(notebook)
    safe_notebook.clean(notebook, NO_RELEASE)
    plain = {"\u2060": None}
    assert formgraders_page(notebook).translate(str.maketrans(plain)) == before


def test_a_table_loses_its_style_sheet_alone():
    styled = "<div>\n<style scoped>.dataframe td { vertical-align: top; }</style>\n" + TABLE[6:]
    assert safe_markup.html(styled) == "<div>\n\n" + TABLE[6:]


def test_the_release_is_left_alone():
    own = "See <b>this</b> ![figure](x.png)"
    cell = nbformat.v4.new_markdown_cell(own, metadata={"nbgrader": {"grade_id": "a-text"}})
    notebook = nbformat.v4.new_notebook(cells=[cell])
    safe_notebook.clean(notebook, {"a-text": own})
    assert notebook.cells[0].source == own
    notebook.cells[0].source = own + "!"
    safe_notebook.clean(notebook, {"a-text": own})
    assert "<b" not in notebook.cells[0].source


@contextmanager
def within(seconds: float):
    """Stop what takes more processor time."""

    def stop(*_):
        raise TimeoutError(f"more than {seconds:g} s of processor time")

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


@pytest.mark.parametrize("text", viewers.ENDLESS_MARKDOWN.values(), ids=viewers.ENDLESS_MARKDOWN)
def test_long_text_holds_nobody_up(text):
    with within(20):
        page = str(safe_html.cell(written(text).cells[0], frozenset())["text"])
        notebook = written(text)
        safe_notebook.clean(notebook, NO_RELEASE)
        formgraders_page(notebook)
    assert len(notebook.cells[0].source) < 3 * safe_markup.LONGEST_MARKDOWN
    if len(text) > safe_markup.LONGEST_MARKDOWN + 200:
        assert safe_markup.TEXT_CUT in page
        assert notebook.cells[0].source.count(safe_markup.TEXT_CUT) == 1


@pytest.mark.parametrize("text", viewers.ENDLESS_HTML.values(), ids=viewers.ENDLESS_HTML)
def test_long_output_holds_nobody_up(text):
    with within(60):
        notebook = one("text/html", text)
        safe_html.cell(notebook.cells[0], frozenset())
        safe_notebook.clean(notebook, NO_RELEASE)
        formgraders_page(notebook)
    made = notebook.cells[0].outputs[0].data["text/html"]
    assert len(made) < 4 * safe_markup.LONGEST_HTML
    assert "too long to show here" in made or len(made) < 10_000


def test_a_long_table_says_how_much_of_it_is_there():
    made = safe_markup.html(viewers.ENDLESS_HTML["an honest table"])
    assert made.count("<tr>") == 200
    assert made.endswith(
        "<p>This output is too long to show here: the first 200 rows are above.</p>"
    )


def test_a_whole_notebook_is_bounded():
    many = [
        {"output_type": "display_data", "metadata": {}, "data": {"text/html": "<b>a</b>c" * 5_000}}
    ]
    notebook = shown(*many * 100)
    notebook.cells += [written("a" * 7_000).cells[0] for _ in range(100)]
    safe_notebook.clean(notebook, NO_RELEASE)
    html = sum(len(o.data["text/html"]) for o in notebook.cells[0].outputs)
    assert html < 1.2 * safe_notebook.MOST_HTML
    assert sum(len(c.source) for c in notebook.cells) < 1.2 * safe_notebook.MOST_MARKDOWN


def test_only_the_pages_own_scripts_are_named():
    own = "<script>a</script><script src='x'></script><b onclick=\"b(&quot;c&quot;)\">d</b>"
    said = page_policy.policy(own)
    for script, named in (("a", True), ('b("c")', True), ("other", False)):
        assert (page_policy.sha256_source(script) in said) is named
    assert "'unsafe-inline'" not in said.split("style-src")[0]


def test_one_broken_page_takes_none_from_the_others(evening_marked, monkeypatch):
    work, told = evening_marked, []
    real = feedback.page

    def page(folder, exercise, student):
        if student == "bench-02":
            raise RecursionError("nested too deep")
        return real(folder, exercise, student)

    monkeypatch.setattr(feedback, "page", page)
    paths = feedback.give_feedback(
        work.folder, "small", lambda s, w: told.append((s, w)), work.root
    )
    assert told == [("bench-01", "made"), ("bench-02", "left: nested too deep")]
    assert len(paths) == 1


@pytest.fixture
def evening_marked(tmp_path):
    """A class in which one student's notebook acts wherever it can, and another's is honest."""
    work = small.evening(tmp_path, 2)
    code = (
        "from IPython.display import HTML, Javascript, display\n"
        f"display(HTML({viewers.HTML['picture that fails']!r}))\n"
        f"display(Javascript({viewers.DO!r}))\n"
        "area = side**2"
    )
    place = small.hand_in(
        work, "bench-01", {"area": code, "why": viewers.MARKDOWN["picture that fails"]}
    )
    (place / "evil.html").write_text(viewers.HTML["script"])
    small.hand_in(work, "bench-02", {"why": TEXT_STUB})
    mark_class.mark_class(work)
    return work


def test_what_is_kept_acts_nowhere(evening_marked):
    place = evening_marked.folder.autograded("bench-01", "small")
    notebook = nbformat.read(place / "small.ipynb", as_version=4)
    assert acting(formgraders_page(notebook)) - empty() <= boxes(notebook)
    assert (place / "evil.html.txt").is_file()
    assert not (place / "evil.html").exists()
    given = evening_marked.folder.submitted("bench-01", "small") / "small.ipynb"
    assert viewers.MARKDOWN["picture that fails"] in nbformat.read(given, 4).cells[-1].source


def boxes(notebook) -> Counter[str]:
    """What acts in formgrader's page of the same cells without a student's text and outputs."""
    bare = nbformat.from_dict(notebook)
    for cell in bare.cells:
        cell.source = ""
        if cell.cell_type == "code":
            cell.outputs = []
    return acting(formgraders_page(bare)) - empty()
