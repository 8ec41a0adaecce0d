"""A feedback page is old when the marks it was made from are no longer those that count."""

from __future__ import annotations

import os
from types import SimpleNamespace

import pytest

from coursekit.classroom.report.made_from import digest, is_old


@pytest.fixture
def made(tmp_path):
    """A page, what the gradebook holds, and the record of marks, each as when the page was made."""
    page, record = tmp_path / "feedback.html", tmp_path / "marks.json"
    facts = SimpleNamespace(digest="a1b2c3")
    record.write_text("{}")
    page.write_text(f'<html>\n<meta name="made-from" content="{digest(facts, record)}">\n')
    os.utime(record, (1000, 1000))
    os.utime(page, (2000, 2000))
    return page, facts, record


def test_a_page_of_the_marks_that_count_is_not_old(made):
    page, facts, record = made
    assert not is_old(page, facts, record)
    os.utime(record, (3000, 3000))  # written again, with the same in it
    assert not is_old(page, facts, record)


def test_other_marks_in_the_gradebook_make_it_old(made):
    page, _, record = made
    assert is_old(page, SimpleNamespace(digest="d4e5f6"), record)


def test_another_record_makes_it_old(made):
    page, facts, record = made
    record.write_text('{"other": 1}')
    os.utime(record, (3000, 3000))
    assert is_old(page, facts, record)


def test_a_page_that_does_not_say_what_it_was_made_from_is_old(made):
    page, facts, record = made
    page.write_text("<html>\n")
    assert is_old(page, facts, record)
