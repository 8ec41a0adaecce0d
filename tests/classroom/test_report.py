"""A class's report in all its forms, and who is reminded of what."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from dataclasses import replace
from datetime import datetime
from math import isnan, sqrt

import numpy as np
import pdfplumber
import pytest

from coursekit.classroom.bank import exercises
from coursekit.classroom.bench import bench_record
from coursekit.classroom.gradebook import due
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking.marked_work import recorded
from coursekit.classroom.register.class_folder import ClassError, Student, load, open_class
from coursekit.classroom.register.class_toml import when
from coursekit.classroom.report import (
    class_facts,
    class_report,
    marks_table,
    reminders,
    report_data,
    whole_report,
)
from coursekit.classroom.report.class_page import class_page
from tests import tools

from .conftest import SLUG
from .test_cli import call

NOW = datetime(2026, 2, 9)
READINGS = {"bench-01": (61.0, 61.5), "bench-02": (58.0, 58.0), "bench-03": (60.5,)}
EVIL = '=HYPERLINK("http://x","a");+1\t"quoted", Ng'


@pytest.fixture(scope="module")
def reported(ran, root, tmp_path_factory):
    """The demo class with bench readings, a due time that was missed, and one name that bites."""
    path = tmp_path_factory.mktemp("report") / "class"
    shutil.copytree(ran.folder.path, path)
    names = {"bench-09": EVIL}
    open_class(path, [Student(s.id, names.get(s.id, s.name)) for s in ran.folder.students])
    due.set_due(load(path), SLUG, when("2026-02-03T19:00:00+00:00"))
    folder = load(path)
    bench_record.record(
        folder,
        [
            bench_record.Reading(student, SLUG, "protractor", turn, value, "deg")
            for student, values in READINGS.items()
            for turn, value in enumerate(values, start=1)
        ],
    )
    return folder, class_facts.gather(folder, root, now=NOW)


def test_the_marks_are_the_gradebook_s(reported, root):
    folder, facts = reported
    most = exercises.load(SLUG, root).marks
    with gradebook(folder) as book:
        got = {s: sum(m.values()) for s, m in scores(book, SLUG).items()}
    (lesson,) = facts.lessons
    assert lesson.marks == got
    assert facts.share("bench-01") == got["bench-01"] / most
    assert lesson.mean_share == pytest.approx(sum(got.values()) / 12 / most)
    assert all(p.late for p in lesson.place.students.values())


def test_the_bench_spread_is_pooled_over_who_read_twice(reported):
    (spread,) = reported[1].lessons[0].bench
    assert spread.values == READINGS
    # s² = (1·s₁² + 1·s₂²)/2 by hand: readings half a degree apart have s² = 0.125
    assert spread.repeat == pytest.approx(sqrt((0.125 + 0) / 2))
    assert (spread.freedom, spread.divisions) == (2, pytest.approx(spread.repeat / 0.5))
    alone = replace(spread, fit=replace(spread.fit, repeat=None))
    assert isnan(alone.repeat)


def test_what_is_talked_over_is_what_most_slipped_on(reported, root):
    folder, facts = reported
    page = class_page(folder, root, NOW)
    slips = {(i.title, s.name): s for i in facts.lessons[0].analysis.items for s in i.slips}
    assert len(page.talk) == 3
    poor = {i.title: i.poor for i in facts.lessons[0].analysis.items}
    for one in page.talk:
        if found := slips.get((one.question, one.slip)):
            assert (one.students, one.hint) == (found.students, found.hint)
        else:
            assert (one.slip, one.hint, one.students) == ("", "", poor[one.question])
    assert page.talk[0].students == max(s.students for s in slips.values())
    assert sum(t.minutes for t in page.talk) == pytest.approx(10, abs=1)
    assert all(t.figure and t.figure.slug == SLUG for t in page.talk)


def test_the_pages_hold_everything_and_ask_for_nothing(reported, root):
    folder, facts = reported
    page = class_page(folder, root, NOW)
    one, whole = class_report.html(page), whole_report.html(facts)
    for words in ("Who owes what", "Nobody owes anything", "To talk over next time", "10 written"):
        assert words in one
    for words in ("included angle", "Bench 1<", "Measured minus expected", "Tells good work"):
        assert words in whole
    # 61.0 and 61.5 at the protractor against this student's own angle
    expected = facts.lessons[0].work.numbers("bench-01")["angle_deg"]
    assert f">{61.25 - expected:+.1f}<".replace("-", "−") in whole
    for text in (one, whole):
        assert "<script" not in text
        assert not re.search(r'(src|href)="(?!data:image/svg)', text)
        assert not re.search(r"Cronbach|bench-\d|miter-angles", text)
        assert 'HYPERLINK("http' not in text  # the quote is escaped
    assert "=HYPERLINK(" in whole


def test_without_names_nobody_is_named_nor_known_by_place(reported, root):
    folder, _ = reported
    facts = class_facts.gather(folder, root, names=False, now=NOW)
    order = list(facts.names)
    assert sorted(facts.names.values(), key=lambda n: int(n[1:])) == [f"S{i}" for i in range(1, 13)]
    assert order != sorted(order)
    page = class_page(folder, root, NOW, names=False)
    pages = [whole_report.html(facts, named=False), report_data.as_json(facts, page)]
    tables = [report_data.table_text(rows(facts)).decode() for rows in
              (report_data.marks_rows, report_data.question_rows, report_data.bench_rows)]  # fmt: skip
    one = class_report.html(page, named=False)
    printed = []
    for made in (whole_report.pdf(facts, named=False), class_report.pdf(page, named=False)):
        with pdfplumber.open(io.BytesIO(made)) as pdf:
            printed.append("".join(p.extract_text() for p in pdf.pages))
    for text in (*pages, tables[0], printed[0]):
        assert "S12" in text
    for text in (*pages, *tables, *printed, one):
        assert not re.search(r"[Bb]ench[ -]\d|HYPERLINK", text)


def test_tables_open_in_a_spreadsheet_and_run_nothing(reported):
    facts = reported[1]
    for rows in (
        report_data.marks_rows(facts),
        report_data.question_rows(facts),
        report_data.bench_rows(facts),
    ):
        data = report_data.table_text(rows)
        assert data.startswith(b"\xef\xbb\xbf")
        back = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))
        assert {len(r) for r in back} == {len(rows[0])}
        assert not [c for r in back for c in r if re.match(r"[=+@\t\r]|-\D", c)]
    text = report_data.table_text(report_data.marks_rows(facts)).decode("utf-8-sig")
    marks = list(csv.reader(io.StringIO(text, newline="")))
    assert marks[9][0].startswith("'=HYPERLINK(")
    assert float(marks[1][1]) == facts.lessons[0].marks["bench-01"]


def test_the_pdf_says_the_same_and_nothing_is_clipped(reported):
    facts = reported[1]
    for paper, width in (("a4", 595), ("us-letter", 612)):
        with pdfplumber.open(io.BytesIO(whole_report.pdf(facts, paper))) as pdf:
            text = "".join(p.extract_text() for p in pdf.pages)
            assert round(float(pdf.pages[0].width)) == width
            for p in pdf.pages:
                assert all(c["x0"] > 10 and c["x1"] < width - 10 for c in p.chars)
    for words in ("Bench 12", "included angle on the full-size drawing", "Middle"):
        assert words in text
    assert whole_report.pdf(facts) == whole_report.pdf(facts)


def test_the_heads_of_tables_do_not_print_over_each_other(reported):
    """Sixteen lessons side by side, as a whole course has them: no two letters share a place."""
    facts = reported[1]
    many = replace(facts, lessons=facts.lessons * 16)
    with pdfplumber.open(io.BytesIO(whole_report.pdf(many))) as pdf:
        (first, *_) = pdf.pages
        sides = ("x0", "x1", "top", "bottom")
        left, right, top, foot = (
            np.array([c[side] for c in first.chars if c["text"].strip()]) for side in sides
        )
    # letters that touch share a hair's breadth; a letter that is printed over another does not
    wide = np.minimum.outer(right, right) - np.maximum.outer(left, left)
    tall = np.minimum.outer(foot, foot) - np.maximum.outer(top, top)
    over = (wide > 1.5) & (tall > 2.0)
    assert over.sum() == len(left)  # each lies over itself alone


def test_what_cannot_be_reported_is_refused(reported, root, tmp_path):
    with pytest.raises(
        ClassError, match="large: a report must be of an exercise that the class was"
    ):
        class_facts.gather(reported[0], root, ["large"])
    empty = open_class(tmp_path / "c", [Student("bench-01", "")])
    with pytest.raises(ClassError, match="nothing is handed out yet"):
        class_facts.gather(empty, root)


def test_a_class_that_has_handed_nothing_in_gets_a_report_too(root, tmp_path):
    folder = open_class(tmp_path / "c", [Student("bench-01", "One"), Student("bench-02", "Two")])
    assignments.hand_out(assignments.assignment(folder, SLUG, root))
    facts = class_facts.gather(folder, root)
    page = class_page(folder, root)
    assert page.talk == page.help == page.waiting == ()
    assert [(o.lesson, o.students, o.overdue) for o in page.owing] == [
        ("Miter angles", ("One", "Two"), False)
    ]
    assert "no due date: everyone." in class_report.html(page)
    for made in (class_report.pdf(page), whole_report.pdf(facts)):
        assert made.startswith(b"%PDF")
    assert [row[1] for row in report_data.marks_rows(facts)[1:]] == ["", ""]
    due.set_due(folder, SLUG, when("2026-02-03T19:00:00+00:00"))
    found = reminders.owed(load(folder.path), root, now=NOW)
    text = reminders.messages(found, {"bench-01": "One", "bench-02": "Two"})
    assert text.startswith(
        "One,\nthis is still missing from you:\n- Miter angles, was due on Tue 3 Feb 2026, "
    )
    assert text.count("Miter angles") == 2
    assert reminders.owed(load(folder.path), root, now=datetime(2026, 2, 1)) == {}
    early = reminders.owed(load(folder.path), root, all_open=True, now=datetime(2026, 2, 1))
    assert early["bench-01"][0].line.startswith("- Miter angles, due on Tue 3 Feb 2026, ")


def test_the_commands(reported, monkeypatch, root, tmp_path):
    folder, _ = reported
    monkeypatch.chdir(root)
    place = ["--class", folder.path]
    assert call("report", *place, "--out", tmp_path / "r", "--quiet") == (0, "")
    assert sorted(p.name for p in (tmp_path / "r").iterdir()) == ["report.html", "report.pdf"]
    assert "data:image/svg+xml;base64," in (tmp_path / "r" / "report.html").read_text()
    assert call("report", *place, "--out", tmp_path / "w", "--quiet", "--whole") == (0, "")
    assert sorted(p.name for p in (tmp_path / "w").iterdir()) == [
        "bench.csv", "marks.csv", "questions.csv", "report.html", "report.pdf", "whole-report.html",
        "whole-report.pdf",
    ]  # fmt: skip
    found = json.loads(call("report", SLUG, *place, "--json", "--without-names")[1])
    assert found["lessons"][0]["bench"][0]["freedom"] == 2
    assert {s["student"] for s in found["students"]} == {f"S{i}" for i in range(1, 13)}
    assert call("remind", *place) == (0, "Nothing is overdue.\n")
    assert json.loads(call("remind", *place, "--json")[1]) == {}


def test_the_pages_fit_a_phone(reported, root, tmp_path):
    path = tools.need("chromium")
    from playwright.sync_api import sync_playwright

    folder, facts = reported
    (tmp_path / "whole.html").write_text(whole_report.html(facts))
    (tmp_path / "one.html").write_text(class_report.html(class_page(folder, root, NOW)))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--disable-gpu"]
        )
        for width in (390, 1280):
            for name in ("one", "whole"):
                page = browser.new_page(viewport={"width": width, "height": 900})
                page.goto((tmp_path / f"{name}.html").as_uri())
                assert page.evaluate("document.documentElement.scrollWidth") == width
        browser.close()


def test_the_table_of_the_course_sums_up_each_exercise(reported, root):
    """Worked out again from the report's own list of marks and the records of the runs."""
    folder, facts = reported
    (lesson,) = facts.lessons
    table = marks_table.course_table([lesson.work])
    cells = {str(c.header): next(iter(c.cells)) for c in table.columns}
    marks = list(lesson.marks.values())
    given = [m for s in folder.students for m in recorded(folder, s.id, SLUG).marks]
    assert cells["handed in"] == "12 of 12"
    exercise = exercises.load(SLUG, root)
    assert (cells["questions"], cells["of"]) == (f"{len(exercise.graded)}", f"{exercise.marks:g}")
    assert (cells["least"], cells["most"]) == (f"{min(marks):.1f}", f"{max(marks):.1f}")
    assert cells["mean"] == f"{sum(marks) / 12:.1f}"
    assert int(cells["right"]) == sum(m.verdict == "right" for m in given) > 0
    assert int(cells["slips"]) == sum(m.verdict == "slip" for m in given) > 0
