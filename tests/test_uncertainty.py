"""uncertainty: sums and Student's distribution."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import uncertainty

parts = st.lists(st.floats(0, 1e3), min_size=1, max_size=6)


@given(parts)
def test_combined_is_the_root_of_the_sum_of_squares(values):
    assert uncertainty.combined(*values) == pytest.approx(np.sqrt(np.sum(np.square(values))))


def test_combined_of_a_batch_equals_a_loop():
    a, b = np.array([0.1, 0.2, 0.3]), np.array([[0.4], [0.5]])
    many = uncertainty.combined(a, b)
    assert many.shape == (2, 3)
    assert many[1, 2] == uncertainty.combined(0.3, 0.5)


@given(st.floats(-30, 30), st.integers(1, 400))
def test_the_shares_either_side_add_up(t, freedom):
    below = uncertainty.share_below(t, freedom)
    assert 0 <= below <= 1
    assert below + uncertainty.share_below(-t, freedom) == pytest.approx(1, abs=1e-12)


@given(st.floats(0.55, 0.999), st.integers(1, 50))
def test_the_factor_undoes_the_share(confidence, freedom):
    two = uncertainty.coverage_factor(confidence, freedom)
    one = uncertainty.coverage_factor(confidence, freedom, sides=1)
    reach = uncertainty.share_below(two, freedom) - uncertainty.share_below(-two, freedom)
    assert reach == pytest.approx(confidence, abs=1e-12)
    assert uncertainty.share_below(one, freedom) == pytest.approx(confidence, abs=1e-12)


def test_freedom_is_cut_down_to_a_whole_number():
    assert uncertainty.coverage_factor(0.95, 4.99) == uncertainty.coverage_factor(0.95, 4)


def test_few_readings_cost_more():
    factors = [uncertainty.coverage_factor(0.95, f) for f in (1, 2, 5, 30, inf)]
    assert factors == sorted(factors, reverse=True)


def test_student_with_one_and_two_degrees_of_freedom_in_closed_form():
    """Cauchy's 1/2 + atan(t)/π, and 1/2 + t / (2 √(2 + t²)) (Student 1908)."""
    t = np.array([-2.0, 0.5, 4.30])
    assert uncertainty.share_below(t, 1) == pytest.approx(0.5 + np.arctan(t) / np.pi, abs=1e-14)
    two = 0.5 + t / (2 * np.sqrt(2 + t**2))
    assert uncertainty.share_below(t, 2) == pytest.approx(two, abs=1e-14)
    assert uncertainty.share_below(t, 2.9) == pytest.approx(two, abs=1e-14)
    assert round(uncertainty.coverage_factor(0.95, 2), 2) == 4.30  # JCGM 100:2008, Table G.2


@pytest.mark.parametrize("confidence", [0.5, 1.0, 1.5, 95])
def test_a_confidence_outside_a_half_to_one_is_refused(confidence):
    with pytest.raises(ValueError, match=r"The confidence must lie between 0.5 and 1"):
        uncertainty.coverage_factor(confidence)
    assert 0 < uncertainty.coverage_factor(0.501, sides=1) < 0.01
