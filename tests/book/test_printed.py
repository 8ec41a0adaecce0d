"""The whole book on paper: every page once, links that stay inside, answers only where they may be."""

from __future__ import annotations

import os
import re

import pdfplumber
import pytest
import yaml

from coursekit.book import printed
from coursekit.book.build import BookError
from tests.tools import need

PAGE = """<html><head><title>{title}</title><link rel="stylesheet" href="_static/book.css">
<script>window.MathJax = {{"a": 1}}</script></head><body><article class="bd-article">
<section id="here"><h1>{title}</h1><a href="#here">back</a> <a href="two.html#here">on</a>
<a class="gone" href="search.html">search</a> <a href="https://example.org/">out</a>
<img src="_images/x.svg" alt="x"><label for="in">a</label><input id="in">
<svg><defs><clipPath id="cut"></clipPath></defs><g clip-path="url(#cut)"></g></svg>
<input type="radio" name="card"><script>secret()</script>
<details class="sd-dropdown"><summary>Solution</summary><p>It is 42.</p></details></section>
</article></body></html>"""


@pytest.fixture
def small(tmp_path):
    """A book of two pages and the commands, as the builder leaves it."""
    html, course = tmp_path / "book" / "html", tmp_path / "course"
    html.mkdir(parents=True)
    course.mkdir()
    parts = [{"caption": "Part I", "chapters": [{"file": "two"}, {"file": "commands"}]}]
    (course / "_toc.yml").write_text(yaml.safe_dump({"root": "one", "parts": parts}))
    for name in ("one", "two", "commands"):
        (html / f"{name}.html").write_text(PAGE.format(title=name.title()))
    return html / "one.html", course


def text_of(made):
    return made.read_text(encoding="utf-8")


def test_pages_stand_in_order_with_names_of_their_own(small):
    text = text_of(printed.make(*small))
    assert re.findall(r"<h1>(\w+)</h1>", text) == ["One", "Two"]
    assert '<p class="ck-part">Part I</p>' in text
    for part in ("one", "two"):
        assert f'id="{part}--here"' in text
        assert f'<label for="{part}--in">a</label><input id="{part}--in">' in text
        assert f'id="{part}--cut"' in text
        assert f'clip-path="url(#{part}--cut)"' in text
        assert f'name="{part}--card"' in text
    assert '<a href="#one--here">back</a> <a href="#two--here">on</a>' in text
    assert '<a class="gone">search</a>' in text
    assert 'href="https://example.org/"' in text
    assert 'src="../html/_images/x.svg"' in text
    assert "secret()" not in text


def test_answers_are_printed_in_the_instructors_edition_alone(small):
    closed = text_of(printed.make(*small))
    assert "It is 42." not in closed
    assert closed.count("Your working:") == 2
    opened = text_of(printed.make(*small, opened=True))
    assert opened.count("It is 42.") == 3
    assert "Your working:" not in opened
    assert "<h1>Commands</h1>" in opened


def test_paper_is_chosen(small):
    assert "size: A4;" in text_of(printed.make(*small))
    assert "size: letter;" in text_of(printed.make(*small, paper="us-letter"))


def test_a_missing_page_is_named(small):
    (small[0].parent / "two.html").unlink()
    with pytest.raises(BookError, match=r"before it is printed; got no two.html. Build it."):
        printed.make(*small)


def test_a_browser_that_fails_is_told_with_the_cure(small, monkeypatch, tmp_path):
    page = printed.make(*small)
    broken = tmp_path / "browser"
    broken.write_text("#!/bin/sh\necho no display >&2\nexit 3\n")
    broken.chmod(0o755)
    monkeypatch.setenv("COURSEKIT_BROWSER", str(broken))
    with pytest.raises(BookError, match=r"must print the book; got no display. Open .* print it"):
        printed.pdf(page)
    monkeypatch.delenv("COURSEKIT_BROWSER")
    monkeypatch.setenv("PATH", os.devnull)
    assert printed.pdf(page) is None


@pytest.mark.slow
def test_the_real_book_prints_whole(book, root):
    need("chromium")
    page = printed.make(book / "index.html", root / "course")
    text = text_of(page)
    names = re.findall(r' id="([^"]+)"', text)
    assert len(names) == len(set(names)), {n for n in names if names.count(n) > 1}
    lost = set(re.findall(r' href="#([^"]+)"', text)) - set(names)
    assert not lost
    assert "sd-dropdown" not in text
    made = printed.pdf(page)
    with pdfplumber.open(made) as pages:
        assert len(pages.pages) > 100
        first = pages.pages[0]
        assert (round(first.width), round(first.height)) == (595, 842)
        told = "".join(p.extract_text() or "" for p in pages.pages[:40])
    assert "Shop maths" in told
    assert "\\frac" not in told  # formulas are set, not spelled
