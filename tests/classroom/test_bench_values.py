"""What may be typed as a reading, and what is asked back with which words."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.bank.bench_line import AuthoringError, BenchLine, line
from coursekit.classroom.bench.typed_value import value

GAP = BenchLine("gap", "widest gap", "mm", "feeler gauge", 0.05, low=0, high=5)
DIAL = BenchLine("dial", "the gauge", "mm", "dial indicator", 0.02, low=-8, high=8)
RULE = BenchLine("rule", "the length", "mm", "steel rule", 0.5)
ANGLE = BenchLine("angle", "the angle", "deg", "bevel protractor", 0.5, low=40, high=90)
VERNIER = BenchLine("vernier", "the angle", "deg", "vernier protractor", 1 / 12)
FORCE = BenchLine("force", "the pull", "N", "spring scale", 1, low=0)

TAKEN = [
    (GAP, "1.2", 1.2), (GAP, "1,20", 1.2), (GAP, " .35 mm ", 0.35), (GAP, "0", 0.0),
    (GAP, "0.12 cm", 1.2), (GAP, "0.05 in", 1.27), (GAP, "1/16 in", 1.5875), (GAP, '3/32"', 2.38125),
    (DIAL, "−0,34", -0.34), (DIAL, "+0.3", 0.3), (DIAL, "-0.012 in", -0.3048),
    (RULE, "17 1/2 in", 444.5), (RULE, "1 7/64 in", 28.178125), (RULE, "0.4445 m", 444.5),
    (RULE, "444.50", 444.5), (ANGLE, "61.5", 61.5), (ANGLE, "61,5°", 61.5), (ANGLE, "62 deg", 62.0),
    (ANGLE, "61° 30'", 61.5), (VERNIER, "-1°25′", -1 - 25 / 60), (FORCE, "35", 35.0),
    (FORCE, "35 n", 35.0), (FORCE, "1e0", None), (ANGLE, "61°", 61.0),
]  # fmt: skip


@pytest.mark.parametrize(("where", "text", "wanted"), [t for t in TAKEN if t[2] is not None])
def test_taken(where, text, wanted):
    assert value(where, text) == pytest.approx(wanted, abs=1e-12)


ASKED_BACK = [
    (GAP, "", "'widest gap' must be a number, in mm; got ''. Write it like 3."),
    (GAP, "wide", "'widest gap' must be a number, in mm; got 'wide'. Write it like 3."),
    (GAP, "01. Feb", "'widest gap' must be a number, in mm; got '01. Feb'. Write it like 3."),
    (GAP, "=1+1", "'widest gap' must be a number, in mm; got '=1+1'. Write it like 3."),
    (GAP, "nan", "'widest gap' must be a number, in mm; got 'nan'. Write it like 3."),
    (GAP, "1e0", "'widest gap' must be a number, in mm; got '1e0'. Write it like 3."),
    (GAP, "1/0 in", "'widest gap' must be a number, in mm; got '1/0 in'. Write it like 3."),
    (GAP, "2 kg", "'widest gap' must be a number, in mm; got '2 kg'. Write it like 3."),
    (GAP, "1.234,5", "'widest gap' must have one point or comma, for the decimals; got '1.234,5'. Write it like 1234.5."),
    (GAP, "1 " * 40, "'widest gap' must have one point or comma, for the decimals; got '1 1 1 1"),
    (GAP, "12", "'widest gap' must lie between 0 and 5 mm; got 12 mm. Look at the instrument again, and at the unit."),
    (GAP, "-0.05", "'widest gap' must lie between 0 and 5 mm; got -0.05 mm. Look at the instrument again, and at the unit."),
    (GAP, "1.2 in", "'widest gap' must lie between 0 and 5 mm; got 30.48 mm. Look at the instrument again, and at the unit."),
    (GAP, "0.32", "'widest gap' must be a whole number of divisions of the instrument, 0.05 mm; got 0.32 mm. The nearest marks are 0.3 and 0.35: write the nearer, or name the finer instrument."),
    (DIAL, "-0.31", "'the gauge' must be a whole number of divisions of the instrument, 0.02 mm; got -0.31 mm. The nearest marks are -0.32 and -0.3: write the nearer, or name the finer instrument."),
    (DIAL, "0.0123 in", "'the gauge' must be a whole number of divisions of the instrument, 0.02 mm; got 0.3124 mm, typed to 0.0025 mm. Round it to what can be read, or name the finer instrument."),
    (RULE, "17 1/128 in", "'the length' must be a whole number of divisions of the instrument, 0.5 mm; got 431.9984 mm, typed to 0.1984 mm. Round it to what can be read, or name the finer instrument."),
    (ANGLE, "61° 20'", "'the angle' must be a whole number of divisions of the instrument, 0.5 deg; got 61.3333 deg. The nearest marks are 61 and 61.5: write the nearer, or name the finer instrument."),
    (ANGLE, "61° 75'", "'the angle' must be a number, in deg; got \"61° 75'\". Write it like 70."),
    (ANGLE, "61 mm", "'the angle' must be a number, in deg; got '61 mm'. Write it like 70."),
    (FORCE, "3 mm", "'the pull' must be a number, in N; got '3 mm'. Write it like 12."),
    (FORCE, "-3", "'the pull' must lie at 0 N or above; got -3 N. Look at the instrument again, and at the unit."),
]  # fmt: skip


@pytest.mark.parametrize(("where", "text", "message"), ASKED_BACK)
def test_asked_back(where, text, message):
    with pytest.raises(ValueError) as told:
        value(where, text)
    assert str(told.value).startswith(message)


def test_a_finer_instrument_that_is_named_is_believed():
    assert value(GAP, "0.32", 0.01) == 0.32
    with pytest.raises(ValueError, match=r"0\.01 mm; got 0\.325 mm"):
        value(GAP, "0.325", 0.01)


@given(st.integers(-400, 400), st.sampled_from([".", ","]), st.booleans())
def test_every_mark_of_a_dial_is_taken_and_every_place_between_asked_back(k, sign, between):
    """Decimals of two hundredths are no binary fractions: none may be lost to that."""
    exact = Fraction(2 * k + between, 100)
    text = f"{float(exact):.2f}".replace(".", sign)
    if between:
        with pytest.raises(ValueError, match=r"whole number of divisions|must lie between"):
            value(DIAL, text)
    else:
        assert Fraction(value(DIAL, text)).limit_denominator(1000) == exact


SPEC = {"id": "gap", "say": "gap", "unit": "mm", "instrument": "gauge", "resolution": 0.05}
BENT = [
    ({"id": "Gap"}, "an id must be small letters, digits, - and _; got 'Gap'. Rename it."),
    ({"resolution": 0}, "the resolution must be above 0; got 0. Give the finest division."),
    ({"resolution": "fine"}, "`resolution` must be a number; got 'fine'. Mend it."),
    ({"resolution": float("inf")}, "the resolution must be above 0; got inf. Give the finest division."),
    ({"readings": 0}, "`readings` must lie between 1 and 9; got 0. Change it."),
    ({"readings": 2.5}, "`readings` must lie between 1 and 9; got 2.5. Change it."),
    ({"low": 5, "high": 5}, "`low` must lie below `high`; got 5 and 5. Swap them."),
    ({"low": True}, "`low` must be a number; got True. Mend it."),
    ({"role": "gap"}, "`role` must be one of lever, pull in plane, pull across, height drive up, height drive down, offset, place found; got 'gap'. Mend it."),
    ({"stage": "later"}, "`stage` must be before or after; got 'later'. Mend it."),
    ({"role": "pull across"}, "a pull must say after which tacks it was read; got no `at`. Give their degrees in the order set, `at: [0, 180]`."),
    ({"role": "height drive up", "at": 100}, "a height must say where it was read and of which part; got at [100.0], of ''. Add both, `at: 100` and `of: head tube`."),
    ({"role": "height drive down", "of": "seat tube"}, "a height must say where it was read and of which part; got at [], of 'seat tube'. Add both, `at: 100` and `of: head tube`."),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), BENT)
def test_a_line_that_could_not_be_worked_with_is_refused(change, message):
    with pytest.raises(AuthoringError) as told:
        line(SPEC | change, "exercises/small.md")
    assert str(told.value) == f"exercises/small.md, bench line '{(SPEC | change)['id']}': {message}"


def test_a_line_with_all_there_is():
    made = line(SPEC | {"role": "height drive up", "at": 100, "of": "seat tube", "stage": "before", "low": -1}, "x")  # fmt: skip
    assert (made.at, made.of, made.stage, made.low) == ((100.0,), "seat tube", "before", -1.0)
