"""Shop text to millimetres and back."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import units


@pytest.mark.parametrize(
    ("text", "want"),
    [("1 1/8 in", 28.575), ("1-1/8in", 28.575), ('1 1/8"', 28.575), ("9/8 inch", 28.575),
     ("7/8in", 22.225), ("0.035 in", 0.889), (".035in", 0.889), ("2 inches", 50.8),
     ("28.6 mm", 28.6), ("28.6", 28.6), ("28.", 28.0), ("2.86 cm", 28.6), ("0.0286 m", 28.6),
     ("-1/2 in", -12.7), ("+1/2 in", 12.7), ("-3.5mm", -3.5), (" 20  bwg ", 0.889), ("#20 SWG", 0.9144),
     ("20 ga BWG", 0.889), ("no. 22 BWG", 0.7112), ("1/2 mm", 0.5), (28, 28.0), (np.float32(0.5), 0.5)],
)  # fmt: skip
def test_reads(text, want):
    assert units.mm(text) == want


def test_lists():
    assert units.mm(["1 in", 2, "20 BWG"]) == pytest.approx([25.4, 2.0, 0.889], abs=0)
    assert units.mm(np.array([[1.0, 2.0], [3.0, 4.0]])).shape == (2, 2)


@given(st.integers(-(10**5), 10**5), st.sampled_from([1, 2, 4, 8, 16, 32, 64, 128]))
def test_fraction_round_trip(parts, denominator):
    """Whole parts of an inch survive the way to text and back, to the last bit."""
    exact = float(Fraction(parts, denominator) * Fraction("25.4"))
    assert units.mm(units.fraction(exact, denominator)) == exact


@given(st.floats(-1e4, 1e4, allow_nan=False), st.sampled_from([1, 2, 4, 8, 16, 32, 64, 128]))
def test_fraction_is_the_nearest(length, denominator):
    assert abs(units.mm(units.fraction(length, denominator)) - length) <= 12.7 / denominator + 1e-9


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_round_trip_of_decimals(length):
    assert units.mm(f"{length:.17f} mm") == pytest.approx(length, abs=1e-15, rel=1e-15)


@pytest.mark.parametrize(
    ("length", "denominator", "text"),
    [(25.4, 64, "1 in"), (0.0, 64, "0 in"), (-28.575, 8, "-1 1/8 in"), (12.7, 2, "1/2 in"),
     (12.7, 1, "0 in"), (30.0, 1, "1 in"), (28.6, 128, "1 1/8 in"), ("28.6 mm", 64, "1 1/8 in"),
     (0.4, 64, "1/64 in"), (0.2, 128, "1/128 in")],
)  # fmt: skip
def test_fraction(length, denominator, text):
    assert units.fraction(length, denominator) == text


def test_fraction_takes_sixty_fourths_unless_told():
    assert units.fraction(25.4 / 64) == "1/64 in"
    assert units.fraction(25.4 / 128 * 1.1) == "1/64 in"


def test_gauges_run_from_14_to_26():
    for table in (units.BWG, units.SWG):
        assert sorted(table) == list(range(14, 27))
        assert all(np.diff([table[g] for g in sorted(table)]) < 0)


def test_rise_of_known_angles():
    """30°, 45° and 60° have the tangents 1/√3, 1 and √3 in every table."""
    assert units.rise([30.0, 45.0, 60.0], 300.0) == pytest.approx(
        [300 / 3**0.5, 300.0, 300 * 3**0.5]
    )
