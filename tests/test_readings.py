"""Mean, scatter and uncertainty of readings: identities, limits and refusals."""

from __future__ import annotations

from statistics import fmean, stdev

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import readings

VALUES = st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30)


@given(VALUES)
def test_mean_and_scatter_are_those_of_the_standard_library(values):
    found = readings.mean_of(values)
    assert found.value == pytest.approx(fmean(values), abs=1e-9)
    assert found.scatter == pytest.approx(stdev(values), abs=1e-9)
    assert found.uncertainty == pytest.approx(stdev(values) / len(values) ** 0.5, abs=1e-9)
    assert found.count == len(values)


@given(VALUES, st.floats(-100, 100))
def test_a_shift_moves_the_mean_and_nothing_else(values, shift):
    was, now = readings.mean_of(values), readings.mean_of(np.array(values) + shift)
    assert now.value == pytest.approx(was.value + shift, abs=1e-9)
    assert now.scatter == pytest.approx(was.scatter, abs=1e-9)


def test_readings_rounded_to_a_division_scatter_as_said():
    """A million true values, rounded to 0.5: their errors have the deviation the sum gives."""
    true = np.random.default_rng(3).uniform(0, 1000, 1_000_000)
    error = np.round(true / 0.5) * 0.5 - true
    assert readings.division_uncertainty(0.5) == pytest.approx(error.std(), rel=0.003)
    assert readings.division_uncertainty([0.5, 1.0]).shape == (2,)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: readings.mean_of([0.2]), "The readings must be two or more; got 1. Measure again."),
        (lambda: readings.mean_of([]), "The readings must be two or more; got 0. Measure again."),
        (lambda: readings.mean_of([0.2, np.inf]),
         "The readings must be finite; got inf at place 2. Leave it out or mend it."),
        (lambda: readings.division_uncertainty(-0.5),
         "The division must be greater than 0; got -0.5. Give the finest step you read."),
    ],
    ids=range(4),
)  # fmt: skip
def test_refused(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message
