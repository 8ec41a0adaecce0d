"""Mark, Next lesson and Send in Chromium: a job's progress is seen, and axe finds nothing."""

from __future__ import annotations

import pytest

from coursekit.classroom.gradebook import due
from coursekit.classroom.register.class_toml import when

from ..classroom import small
from .desk_client import serving_desk
from .looks import LOOKS, finds_nothing, opened


@pytest.fixture
def desk(tmp_path):
    """A class of three with new work, of whom one owes the lesson."""
    work = small.evening(tmp_path, 3)
    due.set_due(work.folder, "small", when("2026-02-01 19:00"))
    for student in work.folder.students[:2]:
        small.hand_in(work, student.id, {"why": "So."})
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def done(page, text):
    """Wait until the page shows what came of its job."""
    page.get_by_text(text).first.wait_for()


def test_a_week_takes_few_clicks(browser, desk):
    """From new work to drafts: mark, read two sentences, hand out again, send."""
    with opened(browser, desk) as page:
        page.goto(f"{page.home}/mark")
        page.get_by_role("button", name="Mark", exact=True).click()
        done(page, "Their feedback pages are made.")
        page.get_by_role("link", name="2 answers to read").click()
        page.wait_for_url("**/read*")
        page.wait_for_load_state()
        page.keyboard.press("2")
        page.keyboard.press("1")
        page.wait_for_function("document.getElementById('left').textContent.startsWith('All')")
        page.keyboard.press("Enter")
        page.wait_for_url("**/send?what=feedback*")
        assert page.locator("[name='feedback.small']").is_checked()
        assert not page.locator("[name='lesson.small']").is_checked()
        page.get_by_role("button", name="Make the file").click()
        done(page, "with folders for")
        with page.expect_download() as saved:
            page.get_by_role("link", name="Save it").click()
        assert saved.value.suggested_filename == "stick.zip"


def test_reminders_are_copied(browser, desk):
    with opened(browser, desk, permissions=["clipboard-read", "clipboard-write"]) as page:
        page.goto(f"{page.home}/send")
        page.get_by_role("button", name="Copy it").click()
        page.get_by_text("It is copied.").wait_for()
        copied = page.evaluate("navigator.clipboard.readText()")
        assert copied == page.locator("#owed").input_value()
        assert "still missing from you" in copied


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_axe_finds_nothing_before_and_after_a_job(browser, desk, width, scheme):
    with opened(browser, desk, width, scheme) as page:
        for address, button, came in (
            ("/mark", "Mark", "Their feedback pages are made."),
            ("/next-lesson", "Hand out Small again", "Made for all 3"),
            ("/send", "Make the file", "with folders for"),
        ):
            page.goto(page.home + address)
            for one in page.locator("summary").all():
                one.click()
            finds_nothing(page)
            page.get_by_role("button", name=button, exact=True).click()
            done(page, came)
            finds_nothing(page)
