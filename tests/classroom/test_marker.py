"""The marking rules, one by one, on plain values."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from enum import IntEnum
from fractions import Fraction

import numpy as np
import pytest
import sympy

from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.marking.shown import shown
from coursekit.classroom.running.plain_value import plain

from .small import PUBLIC, write


class Colour(IntEnum):
    GREEN = 144


SIDE = {"side": 12.0}  # area 144, double 288


@pytest.fixture
def small(tmp_path):
    exercise = exercises.load("small", write(tmp_path))
    return exercise, keys.load(exercise, tmp_path)


def marked(small, /, numbers=SIDE, stopped=None, written=None, **values):
    found = mark(*small, numbers, {k: plain(v) for k, v in values.items()}, stopped, written)
    return {m.question: m for m in found}


def verdict(small, value):
    m = marked(small, area=value)["area"]
    assert type(m.marks) is float
    assert 0 <= m.marks <= m.out_of
    return m.verdict, m.marks


@pytest.mark.parametrize(
    ("value", "reason", "hint"),
    [(145.01, "Near, but not near enough.", "Keep all digits in between and round at the end."),
     (139.0, "Near, but not near enough.", "Keep all digits in between and round at the end."),
     (138.99, "Not right, and no usual slip leads to it.", "Work it again from the lesson"),
     (0.0, "Not right, and no usual slip leads to it.", "Work it again from the lesson")],
)  # fmt: skip
def test_a_near_miss_is_told_from_a_far_one(small, value, reason, hint):
    found = marked(small, area=value)["area"]
    assert (found.reason, found.marks) == (reason, 0.0)
    assert found.hint.startswith(hint)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (144.0, ("right", 2.0)),
        (144, ("right", 2.0)),
        (145.0, ("right", 2.0)),
        (143.0, ("right", 2.0)),
        (145.01, ("wrong", 0.0)),
        (142.99, ("wrong", 0.0)),
        (48.0, ("slip", 0.5)),
        (-144.0, ("sign", 0.0)),
        (144 / 25.4, ("unit", 1.0)),
        (14.4, ("unit", 1.0)),
        (0.144, ("unit", 1.0)),
        (0.0, ("wrong", 0.0)),
        (None, ("blank", 0.0)),
        (math.nan, ("unreadable", 0.0)),
        (math.inf, ("unreadable", 0.0)),
        (True, ("unreadable", 0.0)),
        (144 + 0j, ("unreadable", 0.0)),
        ([144.0], ("right", 2.0)),
        ([144.0, 144.0], ("unreadable", 0.0)),
        ({"a": 144}, ("unreadable", 0.0)),
        (np.float64(144), ("right", 2.0)),
        (np.int32(144), ("right", 2.0)),
        (np.float32(144), ("right", 2.0)),
        (np.bool_(True), ("unreadable", 0.0)),
        (np.float64("nan"), ("unreadable", 0.0)),
        (np.array(144.0), ("right", 2.0)),
        (np.array([144.0, 1.0]), ("unreadable", 0.0)),
        (sympy.Integer(144), ("right", 2.0)),
        (sympy.Rational(289, 2), ("right", 2.0)),
        (sympy.pi * 144 / sympy.pi, ("right", 2.0)),
        (sympy.sqrt(-144), ("unreadable", 0.0)),
        (sympy.Symbol("x"), ("unreadable", 0.0)),
        ("144", ("right", 2.0)),
        ("144,3 mm", ("right", 2.0)),
        ("144.3mm", ("right", 2.0)),
        (" 1.44e2 ", ("right", 2.0)),
        ("14.4 cm", ("right", 2.0)),
        ("0.144 m", ("right", 2.0)),
        ("5.669 in", ("right", 2.0)),
        ('5 43/64"', ("right", 2.0)),
        ("5.669", ("unit", 1.0)),
        ("144 g", ("unreadable", 0.0)),
        ("144°", ("unreadable", 0.0)),
        ("5 43/64", ("unreadable", 0.0)),
        ("about 144", ("unreadable", 0.0)),
        ("", ("unreadable", 0.0)),
        ("1e999", ("unreadable", 0.0)),
        (10**5000, ("unreadable", 0.0)),
        (Fraction(289, 2), ("right", 2.0)),
        (Decimal("144.5"), ("right", 2.0)),
        (Decimal("NaN"), ("unreadable", 0.0)),
        (Colour.GREEN, ("unreadable", 0.0)),
        (np.array([144.0]), ("right", 2.0)),
        (np.ma.masked_array([144.0], [True]), ("unreadable", 0.0)),
        (np.ma.masked, ("unreadable", 0.0)),
        (np.datetime64("2026-02-03"), ("unreadable", 0.0)),
        (datetime(2026, 2, 3), ("unreadable", 0.0)),
        (timedelta(seconds=144), ("unreadable", 0.0)),
        (b"144", ("unreadable", 0.0)),
        ({144.0}, ("unreadable", 0.0)),
        (range(144), ("unreadable", 0.0)),
        (np.float16(144), ("right", 2.0)),
        (np.complex128(144), ("unreadable", 0.0)),
        (np.array(["144"]), ("right", 2.0)),
        (sympy.oo, ("unreadable", 0.0)),
        (sympy.nan, ("unreadable", 0.0)),
        (sympy.Float("144.0"), ("right", 2.0)),
        ("١٤٤", ("right", 2.0)),
        ("１４４", ("right", 2.0)),
        ("−144", ("sign", 0.0)),
        ("–144", ("sign", 0.0)),
        ("144\u00a0mm", ("right", 2.0)),
        ("144,", ("right", 2.0)),
        ("0 144", ("unreadable", 0.0)),
        ("1 44", ("unreadable", 0.0)),
        ("1.144,5", ("unreadable", 0.0)),
        ("nan", ("unreadable", 0.0)),
        ("inf", ("unreadable", 0.0)),
        ("0x90", ("unreadable", 0.0)),
        ("144_0", ("unreadable", 0.0)),
        ("144 145", ("wrong", 0.0)),
        ("144+0", ("unreadable", 0.0)),
        ("144 * 1", ("unreadable", 0.0)),
        ("1" * 10**6, ("unreadable", 0.0)),
        ("144" + " " * 10**6, ("right", 2.0)),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_a_number(small, value, expected):
    assert verdict(small, value) == expected


def test_an_object_that_claims_to_be_a_number_is_none(small):
    class Sly(float):
        def __float__(self):
            return 144.0

        def __eq__(self, other):
            return True

        __hash__ = float.__hash__

    assert verdict(small, Sly(1.0)) == ("unreadable", 0.0)


def test_reasons_and_hints_are_words(small):
    found = marked(small, area=48.0)["area"]
    assert (found.slip, found.hint, found.reason) == (
        "perimeter",
        "You went round it.",
        "A usual slip.",
    )
    assert found.given == "48 mm"
    assert marked(small, area="14.4 cm")["area"].given == "144 mm"
    assert marked(small, area="14.4 g")["area"].reason == (
        "The answer must be in mm; got “g”. Turn it and leave the unit out."
    )
    assert marked(small, area=14.4)["area"].reason == "Right in cm, but mm were asked."
    assert marked(small)["area"].reason == "This cell did not run, so there is no value to mark."


def test_degrees_are_said_as_degrees(small):
    exercise, private = small
    turned = [replace(q, unit="deg") if q.id == "area" else q for q in exercise.questions]
    small = replace(exercise, questions=tuple(turned)), private
    assert marked(small, area=48.0)["area"].given == "48°"
    assert marked(small, area="144 mm")["area"].reason == (
        "The answer must be in degrees; got “mm”. Turn it and leave the unit out."
    )
    assert marked(small, area="143° 45'")["area"].given == "143.75°"
    assert marked(small, area="2.5133 rad")["area"].reason == "Right."
    assert marked(small, area=math.radians(144))["area"].reason == (
        "Right in radians, but degrees were asked."
    )
    assert marked(small, area=-48.0)["area"].given == "−48°"
    assert shown(turned[0], (12.5, None)) == "12.5°, –"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 234,5", 1234.5),
        ("1\u202f234.5 mm", 1234.5),
        ("12 345 678", 12345678.0),
        ("1,234", 1.234),
        ("1.234", 1.234),
        ("−31,5 mm", -31.5),
        ("+31.5mm", 31.5),
        (".5", 0.5),
    ],
)  # fmt: skip
def test_a_number_in_text_is_read_by_iso_80000(small, text, value):
    # ISO 80000-1:2022, 7.3: a comma or a point is the decimal sign, a small space groups digits
    assert marked(small, area=text)["area"].given == f"{value:.6g} mm".replace("-", "−")


@pytest.mark.parametrize("text", ["1.234,5", "1,234.5 mm", "1.234.567", "1'234", "1’234,5"])
def test_a_number_with_two_kinds_of_sign_is_refused_with_the_reason(small, text):
    assert marked(small, area=text)["area"].reason == (
        f"“{text}” can be read in two ways. Write one point or comma for the decimals and nothing "
        "between the thousands, like 1234.5."
    )


def test_carry_forward_from_a_right_but_rounded_value_takes_nothing_off(small):
    # 144.9 lies within 1 of 144; twice it lies outside 1 of 288
    found = marked(small, area=144.9, double=289.8)
    assert (found["area"].verdict, found["double"].verdict) == ("right", "right")
    assert found["double"].marks == 3.0
    assert found["double"].reason == "Right, from your own rounded value before it."


def test_carry_forward_earns_the_method_marks(small):
    found = marked(small, area=100.0, double=200.0)
    assert (found["area"].verdict, found["double"].verdict) == ("wrong", "carried")
    assert found["double"].marks == 2.0


def test_carry_forward_wins_over_a_slip_of_the_same_value(small):
    # 144 for "double" is no slip; 4·12² is "doubled-side", and also 2 × a wrong area of 288
    assert marked(small, area=144.0, double=576.0)["double"].slip == "doubled-side"
    assert marked(small, area=288.0, double=576.0)["double"].verdict == "carried"


def test_carry_forward_needs_a_value_to_carry(small):
    assert marked(small, area=None, double=288.0)["double"].verdict == "right"
    assert marked(small, area="no idea", double=200.0)["double"].verdict == "wrong"


def test_right_after_a_wrong_earlier_value_is_right(small):
    assert marked(small, area=100.0, double=288.0)["double"].marks == 3.0


def test_a_choice(small):
    assert marked(small, shape="square")["shape"].marks == 1.0
    assert marked(small, shape=" Square ")["shape"].marks == 1.0
    assert marked(small, shape="round")["shape"].slip == "a-ring"
    assert marked(small, shape="oval")["shape"].reason == (
        'The answer must be one of "round", "square"; got “oval”.'
    )
    assert marked(small, shape=2)["shape"].verdict == "unreadable"


def test_a_stopped_cell_is_told_but_a_right_value_counts(small):
    stop = {"area": "Your cell ran too long and was stopped."}
    assert marked(small, stopped=stop, area=1.0)["area"].verdict == "stopped"
    assert marked(small, stopped=stop, area=None)["area"].reason == stop["area"]
    assert marked(small, stopped=stop, area=144.0)["area"].verdict == "right"


def test_a_written_question_waits_for_a_person(small):
    assert marked(small, written={"why": True})["why"].verdict == "to-read"
    assert marked(small, written={"why": False})["why"].verdict == "blank"


@pytest.fixture
def listed(tmp_path):
    public = PUBLIC.replace("given: [side]", "entries: [area, half, third, fourth]")
    exercise = exercises.load("small", write(tmp_path, public))
    private = keys.load(exercise, tmp_path)
    private.answers["area"] = keys.Answer(lambda n: [n.side**2 / k for k in (1, 2, 3, 4)], ())
    private.slips["area"] = [
        keys.Slip("turned", lambda n: [n.side**2 / k for k in (4, 3, 2, 1)], "Turn it.", 0.0)
    ]
    private.answers["double"] = keys.Answer(lambda n, earlier: earlier["area"][0] * 2, ("area",))
    return exercise, private


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ([144.0, 72.0, 48.0, 36.0], ("right", 2.0)),
        (np.array([144.0, 72.0, 48.0, 36.0]), ("right", 2.0)),
        ((144, "72,0 mm", 48, np.float64(36)), ("right", 2.0)),
        ([36.0, 48.0, 72.0, 144.0], ("slip", 0.0)),
        ([144.0, 72.0, 48.0, 99.0], ("part", 1.5)),
        ([144.0, None, None, None], ("part", 0.5)),
        ([1.0, 2.0, 3.0, 4.0], ("wrong", 0.0)),
        ([None, None, None, None], ("blank", 0.0)),
        (["a", "b", "c", "d"], ("unreadable", 0.0)),
        ([144.0, 72.0, 48.0], ("unreadable", 0.0)),
        ([144.0] * 100, ("unreadable", 0.0)),
        (144.0, ("unreadable", 0.0)),
        ([[144.0], 72.0, 48.0, 36.0], ("part", 1.5)),
        ([-144.0, -72.0, -48.0, -36.0], ("sign", 0.0)),
        ([-144.0, 72.0, 48.0, 36.0], ("part", 1.5)),
        ([14.4, 7.2, 4.8, 3.6], ("unit", 1.0)),
        ([14.4, 72.0, 48.0, 36.0], ("part", 1.5)),
    ],
)  # fmt: skip
def test_a_list(listed, value, expected):
    assert verdict(listed, value) == expected


def test_a_list_says_which_entries_are_missed(listed):
    assert marked(listed, area=[144.0, 1.0, 48.0, 2.0])["area"].reason == (
        "2 of 4 are right; look again at half, fourth."
    )


def test_zeros_that_survive_a_turned_sign_earn_nothing(listed):
    exercise, private = listed
    private.answers["area"] = keys.Answer(lambda n: [0.0, 50.0, 0.0, -50.0], ())
    assert verdict((exercise, private), [0.0, -50.0, 0.0, 50.0]) == ("sign", 0.0)


@pytest.mark.parametrize(
    ("tolerance", "value", "expected"),
    [
        ("last digit 0.1", 12.3, "right"),  # the answer is 12.25: it rounds either way
        ("last digit 0.1", 12.2, "right"),
        ("last digit 0.1", 12.25, "right"),
        ("last digit 0.1", 12.1, "wrong"),
        ("last digit 0.1", 12.31, "wrong"),
        ("one last digit 0.1", 12.35, "right"),
        ("one last digit 0.1", 12.36, "wrong"),
        ("half last digit 1", 12.75, "right"),
        ("half last digit 1", 12.76, "wrong"),
    ],
)  # fmt: skip
def test_a_last_digit_allows_half_a_unit_or_one(tmp_path, tolerance, value, expected):
    public = PUBLIC.replace("tolerance: 1\ngiven", f"tolerance: {tolerance}\ngiven")
    exercise = exercises.load("small", write(tmp_path, public))
    private = keys.load(exercise, tmp_path)
    assert marked((exercise, private), {"side": 3.5}, area=value)["area"].verdict == expected


def test_a_relative_tolerance_scales_with_the_answer(tmp_path):
    public = PUBLIC.replace("tolerance: 1\ngiven", "tolerance: 1 %\ngiven")
    exercise = exercises.load("small", write(tmp_path, public))
    relative = exercise, keys.load(exercise, tmp_path)
    assert verdict(relative, 145.4) == ("right", 2.0)
    assert verdict(relative, 145.5) == ("wrong", 0.0)
