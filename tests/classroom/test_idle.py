"""Answering nothing earns nothing: no sheet filled in without a calculation earns more than 15 %.

The bound of 15 % is a rule of this course; common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from coursekit.book import exercise_rules
from coursekit.book import lesson as lessons
from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.marking import idle, marker
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.running.plain_value import plain

from .small import write

ROOT = Path(__file__).resolve().parents[2]
SLUGS = exercises.slugs(ROOT)
CARRIED = ("alignment-checks", "butt-finding", "oval-tubes", "tack-order")  # by zeros, once


def loaded(slug):
    exercise = exercises.load(slug, ROOT)
    return exercise, keys.load(exercise, ROOT)


def switch_off(monkeypatch):
    """Let the marker pay for whatever follows from an earlier value, as if all were worked out."""
    monkeypatch.setattr(marker, "plausible", lambda *_: True)
    monkeypatch.setattr(marker, "is_zero", lambda *_: False)
    monkeypatch.setattr(marker, "filled_in", lambda *_: False)


@pytest.mark.parametrize("students", [20, pytest.param(200, marks=pytest.mark.slow)])
@pytest.mark.parametrize("slug", SLUGS)
def test_an_idle_sheet_earns_at_most_15_percent(slug, students):
    most = idle.greatest(*loaded(slug), students)
    assert most.share <= 0.15, most


@pytest.mark.parametrize("slug", CARRIED)
def test_without_the_rule_an_idle_sheet_earns_more(slug, monkeypatch):
    switch_off(monkeypatch)
    assert idle.greatest(*loaded(slug), 3).share > 0.2


def test_lesson_check_says_which_sheet_earns_too_much(monkeypatch):
    lesson = lessons.read("tack-order", ROOT)
    assert not list(exercise_rules._idle(lesson))
    switch_off(monkeypatch)
    (found,) = exercise_rules._idle(lesson)
    assert "answering nothing must earn at most 15%" in found


# One question after another; the small exercise asks for the square of `side`, then for twice that


@pytest.fixture
def small(tmp_path):
    exercise = exercises.load("small", write(tmp_path))
    return exercise, keys.load(exercise, tmp_path)


def double(small, area, double, side=12.0):
    values = {"area": plain(area), "double": plain(double)}
    return next(m for m in mark(*small, {"side": side}, values) if m.question == "double")


@pytest.mark.parametrize(
    ("area", "verdict"),
    [
        (48.0, "carried"),  # a known slip
        (-144.0, "carried"),  # a wrong sign
        (14.4, "carried"),  # cm for mm
        (14400.0, "carried"),  # a shifted decimal point
        (1440.0, "carried"),  # ten times too large
        (14.5, "carried"),  # a tenth, nearly
        (1500.0, "wrong"),
        (5.0, "wrong"),
        (0.0, "wrong"),
    ],
)
def test_an_earlier_value_carries_if_it_is_plausible(small, area, verdict):
    found = double(small, area, 2 * area)
    assert (found.verdict, found.marks) == (verdict, 2.0 if verdict == "carried" else 0.0)
    assert verdict == "carried" or "ten times too large or too small" in found.reason


@pytest.mark.parametrize(
    ("typed", "marks"),
    [
        (4.0, 0.0),  # the given number itself
        (4.2, 2.0),  # near it, within the tolerance of 1, but calculated
    ],
)
def test_a_led_to_value_that_was_given_earns_nothing(small, typed, marks):
    found = double(small, 2.0, typed, side=4.0)
    assert found.marks == marks
    assert ("does not show the method" in found.reason) == (marks == 0)


def test_a_right_answer_earns_its_marks_even_where_it_was_given(small):
    # 0.5 squared, twice: the right answer is the given number
    assert double(small, 0.25, 0.5, side=0.5).marks == 3.0
