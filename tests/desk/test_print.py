"""The desk's page that prints: what is chosen is counted before it is made, and made as counted."""

from __future__ import annotations

import io
import re

import pdfplumber
import pytest

from coursekit.desk.pages.print import Chosen, chosen

from ..classroom import small
from ..classroom.form_client import words
from .desk_client import Window, serving_desk


@pytest.fixture
def desk(tmp_path):
    work = small.evening(tmp_path, 3)
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def sheets_said(text):
    return int(re.search(r"(\d+) sheets? of paper", words(text))[1])


def order(window, **said):
    status, headers, text = window.send("/print", "/print", **said)
    assert status == 303, words(text)
    return window.wait(headers["Location"])


def test_sheets_are_counted_before_a_file_is_written_and_the_pile_has_as_many(desk):
    one = Window(desk)
    what = {"kind": "worksheets", "lesson": "small", "paper": "a4", "sides": "one-sided"}
    text = order(one, **what, do="count")
    count = sheets_said(text)
    assert count >= 3
    assert f"Make these {count} sheets ready to print" in words(text)
    assert not (desk.folder.path / "to-print").exists()
    text = order(one, **what, do="make")
    assert sheets_said(text) == count
    place = re.search(r'href="(/made/to-print/[^"]*)"', text)[1]
    path = desk.folder.path / place.removeprefix("/made/")
    with pdfplumber.open(io.BytesIO(path.read_bytes())) as pile:
        assert len(pile.pages) == count
    assert one.get(place)[0] == 200
    links = re.findall(r'href="(/made/worksheets/[^"]*)"', text)
    assert len(links) == 3
    assert {one.get(link)[0] for link in links} == {200}


def test_one_student_takes_fewer_sheets_and_two_sides_half_the_paper(desk):
    one = Window(desk)
    what = {"kind": "worksheets", "lesson": "small", "paper": "us-letter", "do": "count"}
    whole = sheets_said(order(one, **what))
    alone = sheets_said(order(one, **what, student="bench-02"))
    assert alone * 3 == whole
    both = sheets_said(order(one, **what, student="bench-02", sides="two-sided"))
    assert alone / 2 <= both <= alone


def test_what_is_missing_is_said_and_nothing_is_ordered(desk):
    one = Window(desk)
    for said, why in (
        ({"lesson": "small"}, "nothing is ticked"),
        ({"kind": "worksheets"}, "Choose a lesson or more"),
        ({"kind": "../../etc", "lesson": "small"}, "nothing is ticked"),
        ({"kind": "key", "lesson": "../../etc"}, "Choose a lesson or more"),
    ):
        status, _, text = one.send("/print", "/print", do="make", **said)
        assert status == 422
        assert why in words(text)
    assert not desk.jobs.jobs


def test_only_what_is_there_can_be_chosen(desk):
    ticked = {
        "kind": ["worksheets", "secret"],
        "lesson": ["small", "/etc/passwd"],
        "student": ["bench-02", "bench-99"],
        "paper": ["napkin"],
        "sides": ["two-sided"],
    }
    assert chosen(desk.view, ticked) == Chosen(
        ("worksheets",), ("small",), ("bench-02",), "a4", True, False
    )


def test_the_page_opens_with_the_last_lesson_ticked(desk):
    text = Window(desk).page("/print")
    assert re.search(r'name="lesson" value="small" checked', text)
    assert re.search(r'name="kind" value="worksheets" checked', text)
