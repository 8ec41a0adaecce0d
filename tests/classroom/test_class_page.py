"""The page for the evening before the next session: its facts, its words, and that it is one page."""

from __future__ import annotations

import io
import os
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pdfplumber
import pytest

from coursekit.book import sketches
from coursekit.classroom.bank import exercises, lesson_names
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.lesson_figures import figure_for
from coursekit.classroom.bench.centre_plane import Change
from coursekit.classroom.bench.class_fits import Residual
from coursekit.classroom.gradebook import due
from coursekit.classroom.intake import for_the_eye
from coursekit.classroom.register.class_folder import RECORD, Student, load, open_class
from coursekit.classroom.register.class_toml import when
from coursekit.classroom.report import class_report, page_words
from coursekit.classroom.report.called import called
from coursekit.classroom.report.class_page import (
    AllOff,
    Bench,
    ClassPage,
    Help,
    Outside,
    class_page,
)
from coursekit.classroom.report.item_analysis import Item, SlipCount
from coursekit.classroom.report.measured import line_measured
from coursekit.classroom.report.talk_over import Marked, Talk, talk_over
from coursekit.classroom.report.waits import Owing, Waiting
from tests import tools

SLUG = "small"
NOW = datetime(2026, 2, 9, 18, 0)
TAPE = BenchLine(
    "wheelbase", "wheelbase on the drawing, from axle to axle", "mm", "steel tape", 0.5
)


def rows(some):
    return [(row.about, row.said) for row in some]


def test_it_says_who_owes_and_what_waits(evening):
    folder = due.set_due(evening.folder, SLUG, when("2026-02-03T19:00:00+00:00"))
    page = class_page(folder, evening.root, NOW)
    (owing,) = page.owing
    assert (owing.lesson, owing.overdue, owing.students) == ("Small", True, ("Bench 5",))
    (read,) = page.waiting
    assert (read.what, read.lesson, read.count) == ("to read", "Small", 3)
    told = page_words.told(page)
    assert rows(told.owed) == [("Small", "was due Tue 3 Feb 2026: Bench 5.")]
    assert rows(told.waits) == [("3 written answers to read", "Small (3).")]


def test_newer_work_and_files_since_the_marking_wait(evening):
    folder = evening.folder
    record = folder.autograded("bench-01", SLUG) / RECORD
    before = datetime.fromtimestamp(record.stat().st_mtime, UTC)
    for days, name in ((-1, "before.jpg"), (1, "after.jpg"), (2, "later.jpg")):
        came = before + timedelta(days=days)
        path = folder.path / for_the_eye.FOLDER / "bench-01" / SLUG
        path.mkdir(parents=True, exist_ok=True)
        (path / f"{came:%Y%m%dT%H%M%SZ}-01234567-{name}").write_bytes(b"\xff\xd8\xff")
    work = folder.submitted("bench-02", SLUG) / f"{SLUG}.ipynb"
    work.write_text(work.read_text().replace("4 * side", "5 * side"))
    os.utime(work, (2**33, 2**33))
    page = class_page(folder, evening.root, NOW)
    told = rows(page_words.told(page).waits)
    assert ("To mark", "Small: Bench 2.") in told
    assert ("2 files to look at", "Small: Bench 1.") in told  # the first was there already


def test_two_of_one_name_are_told_apart(tmp_path):
    names = {"a": "Ann Li", "b": "ann  li", "c": "", "d": "Bo"}
    folder = open_class(tmp_path / "c", [Student(id, name) for id, name in names.items()])
    assert called(folder) == {"a": "Ann Li (a)", "b": "ann li (b)", "c": "c", "d": "Bo"}
    assert sorted(called(folder, False).values()) == ["S1", "S2", "S3", "S4"]


def test_a_class_that_was_handed_nothing_gets_a_page(root, tmp_path):
    page = class_page(open_class(tmp_path / "c", [Student("a", "Ann")]), root, NOW)
    text = class_report.html(page)
    for said in (
        "Nobody owes anything",
        "Nothing waits",
        "No work is marked yet",
        "nothing handed out",
    ):
        assert said in text
    assert class_report.pdf(page).startswith(b"%PDF")


def test_a_lesson_that_can_t_be_read_is_left_out_and_named(evening):
    path = evening.root / "solutions" / f"{SLUG}.md"
    path.write_text(path.read_text() + "\n## nowhere\nanswer: 1\n")
    page = class_page(evening.folder, evening.root, NOW)
    assert page.owing
    assert page.waiting
    assert not page.talk
    (line,) = page.left
    assert line.startswith(f"LEFT: the lesson {SLUG}.")
    assert "'nowhere'" in line


def test_asking_for_the_page_changes_nothing(evening):
    def state():
        return {p: p.stat().st_mtime_ns for p in evening.folder.path.rglob("*") if p.is_file()}

    before = state()
    class_page(load(evening.folder.path), evening.root, NOW)
    assert state() == before


# what to talk over


def item(question, *slips, poor=0, share=0.9, marked=9):
    counts = tuple(SlipCount(f"slip-{question}-{n}", n, "Hint.") for n in slips)
    return Item(question, question.upper(), 2.0, marked, share, 0.0, 0, counts, poor)


def marked(*items):
    exercise = SimpleNamespace(
        slug="no-page", title="T", question=lambda id: SimpleNamespace(read="the-" + id)
    )
    return Marked(exercise, SimpleNamespace(items=items))


def test_the_commonest_slip_is_talked_over_first_and_longest():
    lesson = marked(
        item("a", 2),
        item("b", 5, 1, share=0.1),
        item("c", 3),
        item("d", 1),
        item("e", 2, share=0.1),
    )
    found = talk_over([lesson], None)
    # of the two that two students made, the harder question comes first
    assert [(t.question, t.slip, t.count) for t in found] == [
        ("B", "slip-b-5", "5 of 9"), ("C", "slip-c-3", "3 of 9"), ("E", "slip-e-2", "2 of 9"),
    ]  # fmt: skip
    assert [t.minutes for t in found] == [5, 3, 2]
    assert found[0].read == "The b"
    assert talk_over([], None) == ()


def test_a_question_few_got_right_stands_in_for_a_slip():
    lesson = marked(
        item("a", 1), item("b", poor=6, share=0.3), item("c", poor=2, share=0.1, marked=2)
    )
    first, second = talk_over([lesson], None)
    assert (first.question, first.slip, first.count) == ("B", "", "6 of 9")
    assert (second.question, second.slip) == ("A", "slip-a-1")  # c still waits to be read


def test_every_marked_question_finds_a_figure_and_figures_draw(root):
    """Two of each lesson are drawn; the book's own tests draw them all."""
    for slug in exercises.slugs(root):
        found = [
            figure_for(root, slug, q.read) for q in exercises.load(slug, root).graded if q.read
        ]
        assert found
        assert all(f and f.caption and f.alt for f in found), slug
    for slug, address, own in (
        ("tack-order", "where-the-angles-are", True),
        ("tack-order", "a-class-finds-its-own-numbers", True),  # needs a visible cell's numbers
        ("sleeve-joint", "three-small-tacks", False),
    ):
        figure = figure_for(root, slug, address)
        assert (figure.heading == address) == own
        svg = sketches.svg(root, figure)
        assert svg.count("<path") > 10
        assert svg == sketches.svg(root, figure)
    assert figure_for(root, "no-such-lesson", "x") is None


def test_the_figure_of_a_section_comes_before_one_that_stands_nearer(tmp_path):
    def cell(caption):
        head = f'---\nmystnb:\n  figure: {{name: f, caption: "{caption}"}}\n---\n'
        return "```{code-cell} ipython3\n" + head + "```\n"

    text = "\n".join(
        (
            "## A",
            cell("Of A."),
            "## B",
            "Words.\n" * 20,
            cell("Of B."),
            "## C",
            "```",
            "## D",
            "```",
        )
    )
    (tmp_path / "course").mkdir()
    (tmp_path / "course" / "page.md").write_text(text)
    found = {a: figure_for(tmp_path, "page", a).caption for a in ("a", "b", "c")}
    assert found == {"a": "Of A.", "b": "Of B.", "c": "Of B."}
    assert figure_for(tmp_path, "page", "d").caption == "Of A."  # no heading: it stands in a fence


def test_a_figure_whose_code_fails_is_left_out(tmp_path):
    (tmp_path / "course").mkdir()
    text = '## A\n```{code-cell} ipython3\n---\nmystnb:\n  figure: {name: f, caption: "C."}\n---\n1 / 0\n```\n'
    (tmp_path / "course" / "bad.md").write_text(text)
    figure = figure_for(tmp_path, "bad", "a")
    assert (figure.caption, figure.heading) == ("C.", "a")
    assert sketches.pen(tmp_path)(figure) == ""


# one page


def busy(root, students, lessons):
    """A page on which every part has more to say than a week usually brings."""
    names = {f"bench-{i:02d}": f"Christopher Longname {i}" for i in range(1, students + 1)}
    who, slugs = list(names.values()), exercises.slugs(root)[:lessons]
    titles = [lesson_names.title(slug, root) for slug in slugs]
    owing = [
        Owing(t, NOW - timedelta(days=7 * k), True, tuple(who[k % 5 :: 4]))
        for k, t in enumerate(titles)
    ]
    waiting = [Waiting("to read", t, tuple(who), students) for t in titles]
    waiting += [Waiting("to mark", t, tuple(who[:3]), 3) for t in titles[-2:]]
    waiting += [
        Waiting("to look at", titles[0], (who[0],), 2),
        Waiting("to look at", "", (who[-1],), 1),
    ]
    figures = [(slug, q) for slug in slugs[-3:] for q in exercises.load(slug, root).graded[1:2]]
    talk = [
        Talk(titles[-1], q.title, "slip", 5, students, "You left the bore out: that is a solid bar. " * 4,
             4.0, "Stiffer one way, softer the other", figure_for(root, slug, q.read), True)
        for slug, q in figures
    ]  # fmt: skip
    lost = ("Where the walk ends", "What readings alone may do", "Which leg lies along the gap?")
    helped = [Help(name, titles[-1], 0.2, lost, 1) for name in who]
    values = {s: (1000.0 + (9.0 if k % 4 == 0 else 0.0),) for k, s in enumerate(names)}
    line = line_measured(TAPE, values, dict.fromkeys(names, 1000.0))
    outside = [Outside(names[m.student], titles[-1], TAPE, m, line) for m in line.outside]
    bench = Bench(
        (titles[-1], titles[-2]), tuple(outside), (AllOff(titles[-1], replace(line, middle=1.2)),),
        ((who[0], Residual("x", (0.0, 180.0), "across", 0.31, 0.02, True), "deg"),),
        ((who[-1], Change("x", "seat tube", 400.0, 0.2, 0.6, 0.03, "further off")),),
    )  # fmt: skip
    return ClassPage(
        "Evening class at the harbour workshop", NOW, names, lessons, tuple(owing), tuple(waiting),
        (titles[-1], titles[-2]), tuple(talk), tuple(helped), bench,
    )  # fmt: skip


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_it_is_one_page_for_twelve_and_at_most_two_for_thirty(root, paper):
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 5 4"><rect width="5" height="4"/></svg>'
    for students, most in ((1, 1), (12, 1), (30, 2)):
        made = class_report.pdf(busy(root, students, 16), paper, draw=lambda figure: svg)
        with pdfplumber.open(io.BytesIO(made)) as pdf:
            assert len(pdf.pages) <= most, (students, len(pdf.pages))
            sizes = [c["size"] for p in pdf.pages for c in p.chars]
            assert min(sizes) > 5.9
            for page in pdf.pages:
                assert all(20 < c["x0"] < c["x1"] < float(page.width) - 20 for c in page.chars)


def test_a_browser_prints_it_on_one_page_too(root, tmp_path):
    path = tools.need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--disable-gpu"]
        )
        for students, most in ((12, 1), (30, 2)):
            (tmp_path / "r.html").write_text(
                class_report.html(busy(root, students, 16), draw=sketches.pen(root))
            )
            page = browser.new_page()
            page.goto((tmp_path / "r.html").as_uri())
            for paper in ("A4", "Letter"):
                with pdfplumber.open(io.BytesIO(page.pdf(format=paper))) as pdf:
                    assert len(pdf.pages) <= most, (students, paper, len(pdf.pages))
        browser.close()


def test_who_owes_is_said_in_few_words(root):
    page = replace(busy(root, 12, 3), lessons=3)

    def said(*students):
        owing = (Owing("Miter angles", None, False, students),)
        names = page.names if len(students) > 1 else {"a": "Ann"}
        (row,) = page_words.told(replace(page, owing=owing, names=names)).owed
        return row.said.removeprefix("no due date: ")

    who = tuple(page.names.values())
    assert said("Ann") == "Ann."
    assert said(*who) == "everyone."
    assert said(*who[2:]) == f"everyone but {who[0]} and {who[1]}."
    assert said(who[3], who[5]) == f"{who[3]} and {who[5]}."


def test_what_it_says_is_whole_sentences_of_titles_and_names(root):
    told = page_words.told(busy(root, 12, 16))
    said = [row.said for part in (told.owed, told.waits, told.help, told.bench) for row in part]
    said += [row.said for _, row in told.talk]
    slugs = "|".join(s for s in exercises.slugs(root) if "-" in s)
    for one in said:
        assert one.endswith((".", "”", "all."))
        assert not re.search(rf"\b({slugs})\b|bench-\d|nan|None", one)
    assert rows(told.bench)[1] == (
        "Christopher Longname 1, +9.0 mm",
        "wheelbase on the drawing, from axle to axle (Your frame): 1009.0 mm where 1000.0 mm is expected.",
    )
