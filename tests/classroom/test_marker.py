"""The marking rules, one by one, on plain values."""

from __future__ import annotations

import math

import numpy as np
import pytest
import sympy

from coursekit.classroom import bank, key
from coursekit.classroom.marker import mark
from coursekit.classroom.plain import plain

from .small import PUBLIC, write

SIDE = {"side": 12.0}  # area 144, double 288


@pytest.fixture
def small(tmp_path):
    exercise = bank.load("small", write(tmp_path))
    return exercise, key.load(exercise, tmp_path)


def marked(small, /, numbers=SIDE, stopped=None, written=None, **values):
    found = mark(*small, numbers, {k: plain(v) for k, v in values.items()}, stopped, written)
    return {m.question: m for m in found}


def verdict(small, value):
    m = marked(small, area=value)["area"]
    assert type(m.marks) is float
    assert 0 <= m.marks <= m.out_of
    return m.verdict, m.marks


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
        ([144.0], ("unreadable", 0.0)),
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
        ("14.4 cm", ("unreadable", 0.0)),
        ("about 144", ("unreadable", 0.0)),
        ("", ("unreadable", 0.0)),
        ("1e999", ("unreadable", 0.0)),
        (10**5000, ("unreadable", 0.0)),
    ],
    ids=range(40),
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
        "A known slip.",
    )
    assert found.given == "48 mm"
    assert marked(small, area="14.4 cm")["area"].reason == (
        "The answer must be in mm; got “cm”. Turn it and leave the unit out."
    )
    assert marked(small, area=14.4)["area"].reason == "Right in cm, but mm were asked."
    assert marked(small)["area"].reason == "This cell did not run, so there is no value to mark."


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
    exercise = bank.load("small", write(tmp_path, public))
    private = key.load(exercise, tmp_path)
    private.answers["area"] = key.Answer(lambda n: [n.side**2 / k for k in (1, 2, 3, 4)], ())
    private.slips["area"] = [
        key.Slip("turned", lambda n: [n.side**2 / k for k in (4, 3, 2, 1)], "Turn it.", 0.0)
    ]
    private.answers["double"] = key.Answer(lambda n, earlier: earlier["area"][0] * 2, ("area",))
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
    ],
)  # fmt: skip
def test_a_list(listed, value, expected):
    assert verdict(listed, value) == expected


def test_a_list_says_which_entries_are_missed(listed):
    assert marked(listed, area=[144.0, 1.0, 48.0, 2.0])["area"].reason == (
        "2 of 4 are right; look again at half, fourth."
    )


def test_a_relative_tolerance_scales_with_the_answer(tmp_path):
    public = PUBLIC.replace("tolerance: 1\ngiven", "tolerance: 1 %\ngiven")
    exercise = bank.load("small", write(tmp_path, public))
    relative = exercise, key.load(exercise, tmp_path)
    assert verdict(relative, 145.4) == ("right", 2.0)
    assert verdict(relative, 145.5) == ("wrong", 0.0)
