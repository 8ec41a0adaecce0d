"""Feedback pages, as a student opens them: offline, on a phone, on paper, with nothing of ours."""

from __future__ import annotations

import re

import pytest

from coursekit.classroom.bank import exercises, lesson_headings
from coursekit.classroom.gradebook import due, late_work
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import ClassError, load, write_text
from coursekit.classroom.register.class_toml import Late, when
from coursekit.classroom.report import feedback, safe_html

from ..tools import need
from . import small
from .conftest import LIMITS

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
MANY_THINGS = """
import numpy as np, matplotlib.pyplot as plt
from IPython.display import HTML, display
plt.plot([0, 1]); plt.show()
print(np.__file__)
display(HTML("<img src='http://example.com/seen.png'><script src='http://example.com/a.js'></script><table><tr><td>cell 7</td></tr></table>"))
import sympy; display(sympy.Symbol("theta") ** 2)
area = side**2
np.linalg.inv([[0.0]])
"""


@pytest.fixture
def page(evening):
    """The page of a student with a figure, a formula, an error deep in a library, and a comment."""
    text = "Because $s^2$ <script>alert(1)</script> ![seen](http://example.com/x.png)"
    small.hand_in(evening, "bench-01", {"area": MANY_THINGS, "why": text})
    mark_class.mark_class(evening, limits=LIMITS)
    with gradebook(evening.folder) as book:
        grade = book.find_grade("why", "small", "small", "bench-01")
        grade.manual_score, grade.extra_credit, grade.needs_manual_grade = 1.5, 0.5, False
        comment = book.find_comment("why", "small", "small", "bench-01")
        comment.manual_comment = "Say *which* side."
        book.db.commit()
    due.set_due(evening.folder, "small", when("2026-02-03T19:00:00+00:00"))  # half an hour before
    late_work.set_rule(evening.folder, Late(12.5))
    paths = feedback.give_feedback(evening.folder, "small", root=evening.root)
    return paths[0]


def test_the_numbers_are_those_that_the_work_was_marked_by(page, evening):
    """Not what the notebook printed: a student can make it print anything."""
    side = evening.numbers("bench-01")["side"]
    row = f'<td>side of a square</td><td><code>side</code></td><td class="n">{side:g} mm</td>'
    assert row in page.read_text(encoding="utf-8")
    place = evening.folder.autograded("bench-01", "small") / "numbers.json"
    write_text(place, place.read_text(encoding="utf-8").replace('"side"', '"breadth"'))
    assert "side of a square" not in feedback.page(evening.folder, evening.exercise, "bench-01")
    place.unlink()
    with pytest.raises(ClassError, match="work must be marked before feedback is made"):
        feedback.page(evening.folder, evening.exercise, "bench-01")


def test_nothing_on_a_page_is_fetched_from_outside(page):
    text = page.read_text(encoding="utf-8")
    assert re.findall(r"""(?:src|href)=["']?([^"'> ]+)""", text).count("tex-svg.js") == 1
    outside = re.findall(r"""(?:src|href)=["']?((?:https?:)?//[^"'> ]+)""", text)
    assert outside == []
    assert "url(" not in text
    assert "@import" not in text
    assert (page.with_name("tex-svg.js")).stat().st_size > 1_000_000


def test_nothing_of_ours_is_on_a_page(page, evening):
    text = page.read_text(encoding="utf-8")
    for word in (
        "/site-packages",
        "/tmp/",
        str(evening.folder.path),
        "coursekit/",
        "HIDDEN",
        "warm",
    ):
        assert word not in text, word
    assert "__init__.py" in text  # the file's own name may stand, where it lies may not
    assert "LinAlgError: Singular matrix" in text
    assert "np.linalg.inv([[0.0]])" in text
    assert "_raise_linalgerror_singular" not in text
    assert "json.load" not in text  # the kit's own first cell
    assert "This is what you hand in" not in text
    assert "<script>alert" not in text
    assert "cell 7" in text


def test_marks_reasons_hints_and_comments(page):
    text = page.read_text(encoding="utf-8")
    assert "Say <em>which</em> side." in text
    assert "marked by your instructor, 0.5 extra" in text
    assert re.search(r"Handed in late</td><td class=\"n\">−1<", text)
    # area right despite the error after it; double, shape right; why 1.5 + 0.5; late 12.5 % of 8
    assert re.search(r"Total</td><td class=\"n\">7 of 8<", text)
    other = (page.parents[2] / "bench-02" / "small" / "small.html").read_text(encoding="utf-8")
    assert "You went round it." in other
    assert "Total so far" in other
    assert "tex-svg.js" not in other  # no formula, no MathJax
    assert not (page.parents[2] / "bench-02" / "small" / "tex-svg.js").exists()


@pytest.mark.parametrize("width", [390, pytest.param(1280, marks=pytest.mark.slow)])
def test_in_a_browser_without_a_network(page, width):
    from playwright.sync_api import sync_playwright

    chromium = need("chromium")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=FLAGS)
        context = browser.new_context(viewport={"width": width, "height": 800}, offline=True)
        shown = context.new_page()
        asked, said = [], []
        shown.on("request", lambda r: asked.append(r.url))
        shown.on("console", lambda m: said.append(m.text))
        shown.goto(page.as_uri())
        shown.wait_for_selector("mjx-container svg")
        assert {u.split(":")[0] for u in asked} <= {"file", "data"}
        assert said == []
        assert shown.evaluate("document.documentElement.scrollWidth") <= width
        assert shown.locator("mjx-container").count() == 2
        assert shown.locator("img").evaluate("e => e.naturalWidth") > 100
        smallest = "Math.min(...[...document.querySelectorAll('p, td, dd, pre')].map(e => parseFloat(getComputedStyle(e).fontSize)))"
        assert shown.evaluate(smallest) >= 13
        pdf = shown.pdf()
        assert pdf.startswith(b"%PDF")
        browser.close()


def test_the_lesson_to_read_again(evening):
    exercise = evening.root / "exercises" / "small.md"
    exercise.write_text(exercise.read_text().replace("## area\n", "## area\nread: two-corners\n"))
    settings = evening.folder.path / "class.toml"
    first = feedback.give_feedback(evening.folder, "small", root=evening.root)
    assert "<dd>Two corners, in the lesson Small</dd>" in first[1].read_text()
    assert "Two corners" not in first[0].read_text()  # right: nothing to read again
    settings.write_text(settings.read_text() + 'book = "https://example.org/book/"\n')
    again = feedback.give_feedback(load(evening.folder.path), "small", root=evening.root)
    assert 'href="https://example.org/book/small.html#two-corners"' in again[1].read_text()


@pytest.mark.parametrize("word", ["Two corners", "#two", "3"])
def test_a_heading_to_read_must_be_one(tmp_path, word):
    text = small.PUBLIC.replace("## area\n", f"## area\nread: {word!r}\n")
    with pytest.raises(exercises.AuthoringError, match="question 'area': `read` must be a heading"):
        exercises.parse(text, "small")


def test_every_heading_to_read_stands_in_its_lesson(root):
    for slug in exercises.slugs(root):
        lesson = root / "course" / f"{slug}.md"
        exercise = exercises.load(slug, root)
        if not lesson.is_file():
            continue
        titles = re.findall(r"^#+ +(.*)$", lesson.read_text(encoding="utf-8"), re.MULTILINE)
        # an id in the page, as docutils makes it of a title
        ids = {re.sub(r"[^a-z0-9]+", "-", t.lower()).strip("-") for t in titles}
        for question in exercise.graded:
            assert question.read in ids, f"{slug}, {question.id}"


def test_a_heading_is_named_as_its_author_wrote_it(tmp_path):
    (tmp_path / "course").mkdir()
    text = "# Small\n\n```python\n# Don't\n```\n\n## Errors *don't* add\n"
    (tmp_path / "course" / "small.md").write_text(text, encoding="utf-8")
    assert lesson_headings.heading(tmp_path, "small", "errors-don-t-add") == "Errors don't add"
    assert lesson_headings.heading(tmp_path, "small", "don-t") == "Don t"  # a comment in code
    assert lesson_headings.heading(None, "small", "errors-don-t-add") == "Errors don t add"


def test_unmarked_work_is_told(evening):
    exercise = exercises.load("small", evening.root)
    with pytest.raises(ClassError, match="work must be marked before feedback is made; bench-05's"):
        feedback.page(evening.folder, exercise, "bench-05")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("No such file: '/tmp/bench-1/a/data.csv'", "No such file: 'data.csv'"),
        (r"C:\Users\me\x.py is it", "x.py is it"),
        ("/usr/lib/python3/x.py:12: Warning", "x.py:12: Warning"),
        ("1/2 in, 3/4/5, km/h, a//b", "1/2 in, 3/4/5, km/h, a//b"),
        ("see https://example.org/a/b", "see https://example.org/a/b"),
        ("/one stays", "/one stays"),
    ],
)
def test_paths_are_cut_down_to_their_last_name(text, shown):
    assert safe_html.without_paths(text) == shown


def test_an_unchanged_page_is_not_written(evening):
    told = []
    for _ in range(2):
        feedback.give_feedback(evening.folder, "small", lambda s, w: told.append(w), evening.root)
    assert told == ["made"] * 4 + ["unchanged"] * 4
    write_text(evening.folder.feedback("bench-01", "small") / "small.html", "harmed")
    told.clear()
    feedback.give_feedback(evening.folder, "small", lambda s, w: told.append(w), evening.root)
    assert told == ["made"] + ["unchanged"] * 3
