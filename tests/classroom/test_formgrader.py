"""Formgrader in a real browser on a gradebook of this kit: read, mark by hand, autograde."""

from __future__ import annotations

import re
import time

import pytest

from coursekit.classroom.gradebook.opener import gradebook

from ..tools import need
from . import small
from .formgrader_server import serving
from .test_feedback_pages import FLAGS

pytestmark = pytest.mark.slow


@pytest.fixture
def server(evening, tmp_path):
    with serving(evening, tmp_path) as found:
        yield found


def test_formgrader_reads_marks_and_autogrades(evening, server):
    from playwright.sync_api import expect, sync_playwright

    chromium = need("chromium")
    address, token = server
    before = small.rows(evening)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.set_default_timeout(600_000)
        expect.set_options(timeout=600_000)
        page.goto(f"{address}/formgrader/manage_assignments?token={token}")
        line = page.locator("tr", has_text="small")
        expect(line.locator("td.num-submissions")).to_have_text("4")

        page.goto(f"{address}/formgrader/manage_submissions/small")
        row = page.locator("tr", has_text="bench-02")
        expect(row).to_contain_text("3.5 / 8")
        expect(row).to_contain_text("needs manual grading")

        page.goto(f"{address}/formgrader/gradebook/small/small")
        page.locator("a", has_text="Submission #").first.wait_for()
        with gradebook(evening.folder) as book:
            id = book.find_submission_notebook("small", "small", "bench-02").id
        page.goto(f"{address}/formgrader/submissions/{id}/")
        # the marks of the machine and their reasons are there for the person who marks
        expect(page.locator("body")).to_contain_text("You went round it.")
        page.wait_for_function(  # formgrader fetches them after the page has come
            "() => [...document.querySelectorAll('input.score')]"
            ".filter(box => parseFloat(box.placeholder) > 0).length >= 3"
        )
        scores = [
            float(b.get_attribute("placeholder") or 0) for b in page.locator("input.score").all()
        ]
        assert sorted(scores) == [0.0, 0.5, 1.0, 2.0]
        # a mark and a comment by hand
        # the written question's box is the one on which formgrader waits
        box = page.locator("input.score").last
        box.fill("1.5")
        box.dispatch_event("change")
        note = page.locator("textarea.comment").last
        note.fill("Say which side.")
        note.dispatch_event("change")
        deadline = time.monotonic() + 600
        while time.monotonic() < deadline:
            with gradebook(evening.folder) as book:
                grade = book.find_grade("why", "small", "small", "bench-02")
                comment = book.find_comment("why", "small", "small", "bench-02").manual_comment
                if grade.manual_score == 1.5 and comment == "Say which side.":
                    break
            time.sleep(0.3)
        assert (grade.manual_score, comment) == (1.5, "Say which side.")

        # the button runs this kit's runner: the machine's marks are what they were
        page.goto(f"{address}/formgrader/manage_submissions/small")
        row = page.locator("tr", has_text="bench-01")
        row.locator("td.autograde span, td.autograde a").first.click()
        expect(page.locator(".modal.in, .modal.show")).to_contain_text(
            re.compile("success", re.IGNORECASE)
        )
        browser.close()
    after = small.rows(evening)
    assert [r for r in after if r[0] == "bench-01"] == [r for r in before if r[0] == "bench-01"]
    assert (evening.folder.autograded("bench-01", "small") / "marks.json").is_file()
