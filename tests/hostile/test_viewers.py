"""What a student writes or shows acts nowhere, and holds no viewer up."""

from __future__ import annotations

import io
from collections import Counter

import nbformat
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure

from coursekit.classroom.bank.notebooks import TEXT_STUB
from coursekit.classroom.marking import mark_class
from coursekit.classroom.report import safe_html
from coursekit.classroom.running import page_policy, safe_markup, safe_notebook, safe_svg
from tests.classroom import small

from . import viewers
from .viewer_attacks import (
    ATTACKS,
    NO_RELEASE,
    acting,
    cleaned,
    empty,
    formgraders_page,
    shown,
    written,
)


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda a: f"{a.point}: {a.name}")
def test_every_attack_comes_to_nothing(attack):
    assert attack.act() == attack.expected


def test_a_drawing_that_names_its_own_text_is_none():
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">]>' + viewers.drawing("<text>&a;</text>")
    assert safe_svg.svg(bomb) == ""


PIECES = (
    *("<", "</", ">", "<!--", "-->", "<script>", "</script>", "<b>", "</b>", "<i>", "<p>", "</p>"),
    *("<table>", "<tr>", "<td>", "</td></tr>", "</table>", "<caption>", "<li>", "<ul>", "<h1>"),
    *("<a href='https://x'>", "<a href=javascript:1>", "<svg>", "<math>", "<title>", "<pre>"),
    *("&lt;", "&amp", "&#60;", "&", '"', "'", "<?x", "<![CDATA[", "]]>", "</3", "<hr>", "<form>"),
    *("[a]", "(javascript:1)", "(https://x)", "![", "]:", "]", "# ", "#", "=", "---", "$", "\\"),
    *("\\href{", "\\bbox[", "mermaid", "`", "```", "> ", "- ", "|", "\u2060", "\t", "\r", "\n"),
    *("\x1b[31m", "\x1b]8;;a\x07", "\x1b", "\u202e", "\x00", "\u0130", "x", " " * 300),
)  # fmt: skip


@given(text=st.lists(st.sampled_from(PIECES), max_size=25).map("".join))
def test_cleaning_what_is_clean_changes_nothing(text):
    page = {"text/html": text, "text/markdown": text, "text/latex": text, "text/plain": text}
    outputs = [
        {"output_type": "display_data", "metadata": {}, "data": page},
        {"output_type": "stream", "name": "stdout", "text": text},
        {"output_type": "error", "ename": text, "evalue": text, "traceback": [text]},
    ]
    notebook = shown(*outputs)
    notebook.cells[0].source = text
    notebook.cells += written(text).cells
    made = cleaned(notebook)
    assert safe_markup.NOT_SHOWN not in str(made)
    assert cleaned(made) == made
    drawn = safe_svg.svg(viewers.drawing(text))
    assert safe_svg.svg(drawn) == drawn


def test_a_plot_keeps_all_that_it_draws():
    figure = Figure(figsize=(3, 2))
    axes = figure.subplots()
    axes.plot([3, 1, 2], label="swing")
    axes.fill_between([0, 1, 2], [1, 0, 1], alpha=0.3)
    axes.imshow([[0, 1]])
    axes.legend()
    drawn = io.StringIO()
    figure.savefig(drawn, format="svg")
    made = safe_svg.svg(drawn.getvalue())
    for part in ("<path ", "<use ", "<g ", "<image ", "<clipPath ", "stroke-linejoin: round"):
        assert made.count(part) == drawn.getvalue().count(part) > 0


def test_what_never_comes_to_rest_is_not_shown():
    assert safe_markup.settled(lambda text: text + "a", "") == safe_markup.NOT_SHOWN


@pytest.mark.parametrize("text", viewers.ENDLESS_MARKDOWN.values(), ids=viewers.ENDLESS_MARKDOWN)
def test_long_text_says_that_a_part_is_left_out(text):
    if len(text) > safe_markup.LONGEST_MARKDOWN + 200:
        notebook = written(text)
        page = str(safe_html.cell(notebook.cells[0], frozenset())["text"])
        assert safe_markup.TEXT_CUT in page
        assert cleaned(notebook).cells[0].source.count(safe_markup.TEXT_CUT) == 1


@pytest.mark.parametrize("text", viewers.ENDLESS_HTML.values(), ids=viewers.ENDLESS_HTML)
def test_long_output_says_that_a_part_is_left_out(text):
    made = safe_markup.html(text)
    assert made.count("too long to show here") == 1 or len(made) < 10_000


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
