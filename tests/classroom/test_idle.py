"""Answering nothing earns nothing: no sheet filled in without a calculation earns more than 15 %.

The bound of 15 % is a rule of this course; common practice, no source.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from coursekit.book import exercise_rules
from coursekit.book import lesson as lessons
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.marking import idle, marker
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.marking.worked_out import filled_in
from coursekit.classroom.running.plain_value import plain
from coursekit.commands.lessons import lesson

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
    monkeypatch.setattr(marker, "filled_in", lambda *_: False)


@pytest.mark.parametrize("students", [5, pytest.param(200, marks=pytest.mark.slow)])
@pytest.mark.parametrize("slug", SLUGS)
def test_an_idle_sheet_earns_at_most_15_percent(slug, students):
    found = idle.table(*loaded(slug), students)
    assert not list(idle.too_much(found))
    assert {one.kind for one in found} == set(idle.KINDS)


@pytest.mark.parametrize("slug", CARRIED)
def test_without_the_rule_an_idle_sheet_earns_more(slug, monkeypatch):
    switch_off(monkeypatch)
    worst = max(idle.table(*loaded(slug), 3), key=lambda one: one.share)
    assert worst.share > 0.2


def test_lesson_check_says_which_sheet_earns_too_much(monkeypatch):
    tacks = lessons.read("tack-order", ROOT)
    assert not list(exercise_rules._idle(tacks))
    switch_off(monkeypatch)
    mean, one = exercise_rules._idle(tacks)
    assert "a sheet without work must earn at most 15% of the marks on average; got 3" in mean
    assert "of the marks for any one student; got 3" in one


def test_lesson_check_shows_what_idle_sheets_earn():
    out = CliRunner().invoke(lesson, ["check", "--idle", "--json", "shop-maths"])
    assert out.exit_code == 0
    shares = json.loads(out.output)["shop-maths"]
    assert set(shares) == set(idle.KINDS)
    assert all(mean <= one <= 0.15 for mean, one in shares.values())


def test_lesson_check_ends_with_1_where_an_idle_sheet_earns_too_much(monkeypatch):
    switch_off(monkeypatch)
    out = CliRunner().invoke(lesson, ["check", "--idle", "tack-order"])
    assert out.exit_code == 1
    assert "tack-order: zeros 3" in out.output


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
    ("area", "typed", "marks"),
    [
        (2.0, 4.0, 0.0),  # twice the area is the given number itself
        (2.1, 4.0, 0.0),  # the given number was typed, and lies within the tolerance
        (2.1, 4.2, 2.0),  # near it, but calculated
    ],
)
def test_a_led_to_value_that_was_given_earns_nothing_by_itself(small, area, typed, marks):
    found = double(small, area, typed, side=4.0)
    assert found.marks == marks
    assert ("too little work" in found.reason) == (marks == 0)


@pytest.mark.parametrize(
    ("slug", "slip", "after"),
    [
        ("alignment-checks", ("line", 0), "pull"),  # no lean, so nothing to pull
        ("tack-order", ("pulls", 2), "clock"),  # all tacks equal, so they cancel
        ("tack-order", ("left", 2), "tip"),  # the same as the gauge reads
    ],
)
def test_one_slip_that_leads_to_zero_or_a_given_number_keeps_the_method_marks(slug, slip, after):
    exercise, key = loaded(slug)
    numbers = own_numbers.draw(exercise, key, b"one slip", "bench-01")
    own = {}
    for question in (q for q in exercise.graded if q.kind != "written"):
        if question.id == slip[0]:
            wrong = key.slips[question.id][slip[1]]
            own[question.id] = key.slip_value(wrong, question, numbers, own)
        else:
            own[question.id] = key.value(question, numbers, own)
    assert filled_in(own[after], numbers.values(), ())
    values = {id: plain(list(v) if isinstance(v, tuple) else v) for id, v in own.items()}
    found = next(m for m in mark(exercise, key, numbers, values) if m.question == after)
    assert (found.verdict, found.marks) == ("carried", exercise.question(after).method_marks)


def test_a_right_answer_earns_its_marks_even_where_it_was_given(small):
    # 0.5 squared, twice: the right answer is the given number
    assert double(small, 0.25, 0.5, side=0.5).marks == 3.0


# A number that only looks filled in is paid by the company it keeps. The exercise asks in order for
# the square of `side` and for other multiples of it. Who stops halfway is left with the given number
# itself, which is the right answer to one of them.

FOUR = (
    """\
---
title: Four
numbers:
  side:
    say: side of a square
    unit: mm
    low: 10
    high: 30
    step: 0.5
---

Some sums.
"""
    + "".join(
        f"""
## {id}
marks: 4
unit: mm
tolerance: 0.5
given: [side]

What is it?
"""
        for id in ("area", "around", "cube", "diagonal", "half", "itself")
    )
    + """
## both
marks: 4
unit: mm
tolerance: 0.5
entries: [one, two]

Which two?
"""
)
PRIVATE = '''\
from coursekit.classroom.bank.keys import Key

key = Key("four")


def ask(id, right):
    key.answer(id)(lambda n: right(n.side))

    def not_worked_out(n):
        """You stopped at the side itself."""
        return n.side

    key.slip(id, credit=0.5)(not_worked_out)


ask("area", lambda side: side**2)
ask("around", lambda side: 4 * side)
ask("cube", lambda side: side**3)
ask("diagonal", lambda side: 1.5 * side)
ask("half", lambda side: side / 2)


@key.answer("itself")
def _(n):
    return n.side


@key.slip("itself")
def doubled(n):
    """You doubled it."""
    return 2 * n.side


@key.answer("both")
def _(n):
    return [0.0, 3 * n.side]


@key.slip("both")
def swapped(n):
    """You swapped them."""
    return [3 * n.side, 0.0]
'''


@pytest.fixture
def four(tmp_path):
    for folder in ("exercises", "solutions"):
        (tmp_path / folder).mkdir()
    (tmp_path / "exercises/four.md").write_text(FOUR)
    (tmp_path / "solutions/four.py").write_text(PRIVATE)
    worked = "".join(f"## {id}\n\nSo.\n\n" for id in IDS)
    (tmp_path / "solutions/four.md").write_text(f"{worked}## notes\n\nNone.\n")
    exercise = exercises.load("four", tmp_path)
    return exercise, keys.load(exercise, tmp_path)


IDS = ("area", "around", "cube", "diagonal", "half", "itself", "both")


def marked(four, **typed):
    values = {id: plain(value) for id, value in typed.items()}
    return {m.question: m for m in mark(*four, {"side": 12.0}, values)}


def test_a_slip_that_equals_a_given_number_keeps_hint_and_marks_beside_real_work(four):
    found = marked(four, area=144.0, around=12.0)["around"]
    assert (found.verdict, found.marks) == ("slip", 2.0)
    assert found.hint == "You stopped at the side itself."


def test_work_that_comes_later_is_company_too(four):
    assert marked(four, area=12.0, around=48.0)["area"].marks == 2.0


@pytest.mark.parametrize(
    "beside", [{}, {"around": 12.0}, {"around": 7.3}, {"around": 48.0, "cube": 12.0}]
)
def test_a_slip_that_equals_a_given_number_keeps_only_its_hint_without_work(four, beside):
    found = marked(four, area=12.0, **beside)["area"]
    assert (found.verdict, found.marks) == ("slip", 0.0)
    assert found.hint == "You stopped at the side itself."
    assert "the sheet shows too little work" in found.reason


@pytest.mark.parametrize(
    ("beside", "marks"),
    [
        ({}, 4.0),
        ({"area": 12.0, "around": 12.0}, 4.0),  # two wrong ones may be honest
        ({"area": 12.0, "around": 12.0, "cube": 12.0}, 0.0),
        ({"area": 12.0, "around": -12.0, "cube": 12.01}, 0.0),  # sign and rounding hide nothing
        ({"area": 144.0, "around": 12.0, "cube": 12.0, "diagonal": 12.0}, 0.0),
        ({"area": 144.0, "around": 48.0, "cube": 12.0, "diagonal": 12.0, "half": 12.0}, 4.0),
        ({"area": 99.0, "around": 7.7, "cube": 12.0, "diagonal": 12.0, "half": 12.0}, 4.0),
    ],
)
def test_a_right_number_that_looks_filled_in_is_luck_on_an_idle_sheet_alone(four, beside, marks):
    found = marked(four, **beside, itself=12.0)["itself"]
    assert (found.verdict, found.marks) == ("right" if marks else "filled-in", marks)
    assert ("happens to be right" in found.reason) == (not marks)


def test_a_part_that_is_only_zero_needs_company(four):
    assert marked(four, both=[0.0, 12.0])["both"].marks == 0.0
    assert marked(four, both=[0.0, 12.0], area=144.0)["both"].marks == 2.0


def test_a_blank_answer_is_not_there_to_be_copied(four):
    # the right area, never written, is not among what the student could copy
    found = marked(four, around=48.0, both=[0.0, 144.0])["both"]
    assert found.marks == 2.0
