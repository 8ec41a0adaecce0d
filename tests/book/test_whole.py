"""The lessons as one book: what stands on what, the plans, the index of words, and the spelling."""

from __future__ import annotations

import re
import shutil

import pytest

from coursekit.book import whole
from coursekit.book.lesson import lessons
from coursekit.classroom.bank.exercises import AuthoringError


def test_every_lesson_but_the_first_stands_on_another(root):
    before = whole.needs(root)
    assert tuple(before) == lessons(root)
    assert not before["shop-maths"]
    assert all(before[slug] for slug in before if slug != "shop-maths")
    assert not before["your-frame"] or not whole.wanted_by(before)["your-frame"]


@pytest.fixture
def course(root, tmp_path):
    for part in ("course", "exercises"):
        shutil.copytree(root / part, tmp_path / part)
    return tmp_path


def test_a_lesson_that_stands_on_a_later_one_is_refused(course):
    page = course / "course" / "shop-maths.md"
    text = page.read_text("utf-8").replace("needs: []", "needs: [miter-angles]")
    page.write_text(text, "utf-8")
    with pytest.raises(AuthoringError, match=r"come earlier in the book; got miter-angles. Move"):
        whole.needs(course)


def test_a_page_says_what_it_stands_on_below_its_time(root):
    text = (root / "course" / "miter-angles.md").read_text("utf-8")
    said = whole.with_needs("miter-angles", text, root)
    (line,) = set(said.splitlines()) - set(text.splitlines())
    assert line == "Before it: {doc}`frame-drawing`."
    above = said.splitlines()[said.splitlines().index(line) - 1]
    assert "At the bench:" in above
    plain = (root / "course" / "shop-maths.md").read_text("utf-8")
    assert whole.with_needs("shop-maths", plain, root) == plain


def test_words_are_found_where_they_are_linked_or_else_written(course):
    found = whole.used_words(course)
    assert ("miter-angles", "two-corners", "Two corners") in found["acute corner"]
    assert all(places for places in found.values())
    assert set(found) <= set(whole.glossary(course))
    page = course / "course" / "miter-angles.md"
    page.write_text(
        page.read_text("utf-8") + "\n## Wombats\n\nA {term}`trail` and a {term}`Trail`.\n"
    )
    assert ("miter-angles", "wombats", "Wombats") in whole.used_words(course)["trail"]


def test_every_word_of_the_glossary_stands_once_in_the_alphabet(root):
    words = whole.glossary(root)
    assert len({w.lower() for w in words}) == len(words)
    assert list(words) == sorted(words, key=str.lower)


def test_no_two_pages_give_a_figure_the_same_name(root):
    names = [
        name
        for path in (root / "course").glob("*.md")
        for name in re.findall(r"\bname: (fig-[\w-]+)", path.read_text("utf-8"))
    ]
    assert len(names) > 80
    assert not {n for n in names if names.count(n) > 1}
