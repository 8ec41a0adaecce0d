"""The author's tools: a new lesson that works at once, the check, the quick look."""

from __future__ import annotations

import json
import shutil

import nbformat
import pytest

from coursekit.book import author
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from tests.classroom import small
from tests.classroom.conftest import LIMITS
from tests.classroom.test_cli import call

SLUG = "rack-mounts"


@pytest.fixture(scope="module")
def course(root, tmp_path_factory):
    """A course with one small lesson and a new one after it."""
    place = small.write(tmp_path_factory.mktemp("course"))
    for name in ("_config.yml", "references.bib"):
        shutil.copy(root / "course" / name, place / "course")
    (place / "course" / "_toc.yml").write_text(
        "format: jb-book\nroot: intro\nparts:\n  - caption: One\n    chapters:\n      - file: small\n"
    )
    (place / "course" / "intro.md").write_text("# Start\n\nRead on.\n")
    (place / "course" / "sources.md").write_text("# Sources\n")
    (place / "course" / "small.md").write_text("# Small\n\nA square has four sides.\n")
    author.new(SLUG, place, after="small")
    return place


def test_a_new_lesson_is_whole_enough_to_be_handed_out_and_marked(course, tmp_path):
    exercise = exercises.load(SLUG, course)
    own_numbers.prove(exercise, keys.load(exercise, course))
    folder = invented_class.open_demo(tmp_path / "class", 1)
    work = assignments.assignment(folder, SLUG, course)
    assignments.hand_out(work)

    text = (folder.bundle("bench-01", SLUG) / f"{SLUG}.ipynb").read_text()
    filled = invented_class.filled(
        nbformat.reads(text, as_version=4), invented_class.right_cells(work, "bench-01")
    )
    place = folder.submitted("bench-01", SLUG)
    place.mkdir(parents=True)
    (place / f"{SLUG}.ipynb").write_text(nbformat.writes(filled))
    mark_class.mark_class(work, limits=LIMITS)
    with gradebook(folder) as book:
        assert scores(book, SLUG) == {"bench-01": {"one-piece": 2, "what-is-left": 2, "why": 0}}


def test_its_place_in_the_book_and_its_title(course):
    assert (
        (course / "course" / "_toc.yml")
        .read_text()
        .endswith("      - file: small\n      - file: rack-mounts\n")
    )
    assert "# Rack mounts\n" in (course / "course" / f"{SLUG}.md").read_text()
    made = "".join((course / place).read_text() for place in author.files(SLUG))
    assert "{slug}" not in made
    assert "{title}" not in made
    compile((course / "tests/lessons/test_rack_mounts.py").read_text(), "test", "exec")


@pytest.mark.parametrize("slug", ["Rack", "rack_mounts", "3-racks", "", "a--b", "../x", "a" * 41])
def test_a_slug_that_cannot_be_is_refused(course, slug):
    with pytest.raises(AuthoringError, match="A slug must be small letters"):
        author.new(slug, course)


def test_nothing_is_written_over_and_nothing_half_done(course):
    before = small.tree(course)
    for slug, words, said in (
        (SLUG, {}, "must not write over another"),
        ("small", {}, "must not write over another"),
        ("other", {"after": "nowhere"}, "the page to stand before must be there; got 'nowhere'"),
    ):
        with pytest.raises(AuthoringError, match=said):
            author.new(slug, course, **words)
    assert small.tree(course) == before


def test_the_check_says_what_is_still_lacking(course, monkeypatch):
    monkeypatch.chdir(course)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    code, said = call("lesson", "check", SLUG)
    assert code == 1
    assert "a page must have a slider figure of its own" in said
    found = json.loads(call("lesson", "check", SLUG, "--json")[1])
    assert len(found[SLUG]) == len(said.strip().splitlines())
    code, said = call("lesson", "check", "nothing")
    assert (code, "course/nothing.md: a lesson must have a page" in said) == (1, True)


@pytest.mark.slow
def test_a_quick_look_builds_one_page_though_a_link_is_open(course):
    page = author.preview(SLUG, course)
    text = page.read_text()
    assert "The part in the hand" in text
    assert "ck-card" in text or "card-one-piece-practice" in text
    assert not page.with_name("small.html").exists()
    with pytest.raises(AuthoringError, match="a lesson to look at must have a page"):
        author.preview("nothing", course)


@pytest.mark.slow
def test_a_quick_look_does_not_ask_for_the_lessons_that_a_lesson_stands_on(course):
    page = course / "course" / f"{SLUG}.md"
    text = page.read_text()
    page.write_text(text.replace("---\n", "---\nneeds: [small]\n", 1))
    try:
        assert "The part in the hand" in author.preview(SLUG, course).read_text()
    finally:
        page.write_text(text)


def test_a_quick_look_leaves_out_the_page_that_reads_every_lesson(course, tmp_path):
    order = course / "course" / "lesson-order.md"
    order.write_text("# The order\n\n```{evening-plan}\n```\n")
    try:
        author._stage(SLUG, course, tmp_path)
    finally:
        order.unlink()
    staged = {p.name for p in (tmp_path / "course").glob("*.md")}
    assert f"{SLUG}.md" in staged and order.name not in staged


def test_the_command_begins_a_lesson(course, monkeypatch, tmp_path):
    shutil.copytree(course, tmp_path / "c", ignore=shutil.ignore_patterns("build"))
    monkeypatch.chdir(tmp_path / "c")
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    code, said = call("lesson", "new", "fork-crowns", "--title", "Fork crowns")
    assert (code, said.splitlines()[0]) == (0, "course/fork-crowns.md")
    assert "- file: fork-crowns" in said
    assert call("lesson", "new", "fork-crowns")[0] == 1
