"""Gaps, laps and turning passes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import sleeves


def test_cold_gap_is_half_the_difference():
    assert sleeves.gap(28.8, 28.6, 12.2e-6, 12.2e-6, 0.0) == pytest.approx(0.1)


def test_same_metal_keeps_its_fit():
    assert sleeves.gap(28.8, 28.6, 14e-6, 14e-6, 700.0) == pytest.approx(0.1 * (1 + 14e-6 * 700))


def test_plug_that_grows_more_closes_the_gap():
    assert sleeves.gap(28.8, 28.6, 12.2e-6, 20.9e-6, 700.0) < 0.1 - 0.08
    assert sleeves.gap(28.6, 28.6, 12.2e-6, 20.9e-6, 700.0) == pytest.approx(
        -28.6 * 8.7e-6 * 700 / 2
    )


def test_gap_takes_arrays():
    gaps = sleeves.gap(np.array([28.7, 28.8]), 28.6, 12e-6, 12e-6, np.array([[0.0], [500.0]]))
    assert gaps.shape == (2, 2)


def test_no_gap_no_filler():
    assert sleeves.filler(28.6, 0.0, 25.0) == 0.0


def test_filler_scales():
    assert sleeves.filler(28.6, 0.1, 50.0) == pytest.approx(2 * sleeves.filler(28.6, 0.1, 25.0))
    assert sleeves.filler(28.6, 0.1, 25.0, 3.0) == pytest.approx(
        2 * sleeves.filler(28.6, 0.1, 25.0)
    )


def test_lap_of_arrays():
    assert sleeves.lap(np.array([0.6, 0.9]), 0.8) == pytest.approx([1.8, 2.4])


@given(st.floats(10.0, 60.0), st.floats(0.05, 20.0), st.floats(0.2, 2.0), st.floats(0.05, 0.3))
def test_passes(finished, more, deepest, last):
    stock = finished + more
    made = sleeves.passes(stock, finished, deepest, last)
    cuts = -np.diff([stock, *made]) / 2
    assert made[-1] == finished
    assert np.all(cuts > -1e-6)
    assert cuts[:-1].max(initial=0.0) <= deepest + 1e-5
    if more > 2 * last:
        assert cuts[-1] == pytest.approx(last, abs=1e-5)
        assert np.ptp(cuts[:-1]) < 2e-5
        # no pass more than needed
        assert len(made) - 1 == np.ceil((more / 2 - last) / deepest - 1e-9)


def test_one_light_pass_is_enough_for_a_little():
    assert sleeves.passes(28.7, 28.6, 0.5) == [28.6]
    assert sleeves.passes(28.9, 28.6, 0.5) == [28.8, 28.6]
    assert sleeves.passes(30.0, 28.0, 1.0, 0.25) == [28.5, 28.0]
    thirds = sleeves.passes(30.0, 28.8, 0.17, 0.1)  # to the thousandth of a micrometre
    assert thirds == [29.666667, 29.333333, 29.0, 28.8]
