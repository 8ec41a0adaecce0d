"""fitting: least squares, straight and curved."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import fitting

X = np.array([0.0, 1.0, 2.5, 4.0, 7.0])
MATRIX = np.stack([np.ones_like(X), X], axis=1)


@given(st.floats(-50, 50), st.floats(-5, 5))
def test_an_exact_line_is_found_exactly(offset, slope):
    fit = fitting.linear(MATRIX, offset + slope * X)
    assert fit.values == pytest.approx([offset, slope], abs=1e-10)
    assert fit.scatter == pytest.approx(0, abs=1e-10)


def test_residuals_stand_square_to_every_column():
    fit = fitting.linear(MATRIX, np.array([1.0, 3.0, 2.0, 5.0, 4.0]))
    assert MATRIX.T @ fit.residuals == pytest.approx([0, 0], abs=1e-12)
    assert fit.scatter**2 * 3 == pytest.approx(np.sum(fit.residuals**2))
    assert fit.freedom == 3


def test_covariance_of_a_line_by_hand():
    y = np.array([1.0, 3.0, 2.0, 5.0, 4.0])
    fit = fitting.linear(MATRIX, y, noise=0.5)
    sxx = np.sum((X - X.mean()) ** 2)
    assert fit.covariance[1, 1] == pytest.approx(0.25 / sxx)
    assert fit.covariance[0, 0] == pytest.approx(0.25 * (1 / 5 + X.mean() ** 2 / sxx))
    assert fit.covariance[0, 1] == pytest.approx(-0.25 * X.mean() / sxx)
    assert fit.freedom == np.inf
    free = fitting.linear(MATRIX, y)
    assert fit.uncertainty * free.scatter / 0.5 == pytest.approx(free.uncertainty)
    assert free.correlation[0, 1] == pytest.approx(-X.mean() / np.sqrt(np.mean(X**2)))


def test_a_batch_equals_a_loop():
    rng = np.random.default_rng(1)
    readings, noise = rng.normal(size=(3, 4, 5)), rng.uniform(0.1, 1, (3, 4))
    many = fitting.linear(MATRIX, readings, noise)
    for i in np.ndindex(3, 4):
        one = fitting.linear(MATRIX, readings[i], noise[i])
        assert many.values[i] == pytest.approx(one.values)
        assert many.covariance[i] == pytest.approx(one.covariance)
        assert many.scatter[i] == pytest.approx(one.scatter)


def test_a_batch_of_matrices_equals_a_loop():
    rng = np.random.default_rng(2)
    matrices, readings = rng.normal(size=(3, 4, 5, 2)), rng.normal(size=(3, 4, 5))
    for lead in ((), (0,)):  # two leading axes, and one
        many = fitting.linear(matrices[lead], readings[lead])
        for i in np.ndindex(readings[lead].shape[:-1]):
            one = fitting.linear(matrices[lead][i], readings[lead][i])
            assert many.values[i] == pytest.approx(one.values)
            assert many.uncertainty[i] == pytest.approx(one.uncertainty)
            assert many.correlation[i] == pytest.approx(one.correlation)


def test_one_spare_reading_gives_a_scatter():
    fit = fitting.linear([[1, 0], [1, 1], [1, 2]], [1.0, 2.0, 4.0])
    assert fit.residuals == pytest.approx([1 / 6, -1 / 3, 1 / 6])
    assert fit.scatter == pytest.approx(np.sqrt(1 / 6))
    assert fit.freedom == 1


def test_as_many_readings_as_unknowns_need_the_noise():
    fit = fitting.linear(MATRIX[:2], [1.0, 2.0], noise=0.1)
    assert fit.values == pytest.approx([1, 1])
    assert np.isnan(fit.scatter)


def test_scale_of_the_columns_does_not_matter():
    y = np.array([1.0, 3.0, 2.0, 5.0, 4.0])
    wild = fitting.linear(MATRIX * [1e9, 1e-7], y)
    assert wild.values * [1e9, 1e-7] == pytest.approx(fitting.linear(MATRIX, y).values)


def bell(x):
    def model(p):
        e = np.exp(-0.5 * ((x - p[1]) / p[2]) ** 2)
        d = (x - p[1]) / p[2]
        return p[0] * e, np.stack([e, p[0] * e * d / p[2], p[0] * e * d**2 / p[2]], axis=1)

    return model


def test_a_curved_model_is_found_from_afar():
    x = np.linspace(-5, 5, 40)
    fit = fitting.nonlinear(bell(x), bell(x)([2.0, 0.7, 1.3])[0], [1.0, -0.5, 2.5])
    assert fit.values == pytest.approx([2.0, 0.7, 1.3], rel=1e-9)
    assert fit.freedom == 37


def test_a_curved_model_with_known_noise():
    x = np.linspace(-5, 5, 40)
    y = bell(x)([2.0, 0.7, 1.3])[0]
    free = fitting.nonlinear(bell(x), y + 0.01 * np.cos(9 * x), [1.5, 0.5, 1.5])
    known = fitting.nonlinear(bell(x), y + 0.01 * np.cos(9 * x), [1.5, 0.5, 1.5], noise=0.02)
    assert known.covariance * (free.scatter / 0.02) ** 2 == pytest.approx(free.covariance)


def test_a_step_into_no_meaning_is_not_taken():
    x = np.linspace(0.1, 3, 20)

    def root(p):
        if p[0] <= 0:
            return np.full(20, np.nan), np.full((20, 1), np.nan)
        return np.sqrt(p[0] * x), (np.sqrt(x) / (2 * np.sqrt(p[0])))[:, None]

    fit = fitting.nonlinear(root, np.sqrt(0.01 * x), [5.0])
    assert fit.values == pytest.approx([0.01], rel=1e-8)


def test_the_walk_ends_when_a_step_wins_too_little():
    x = np.linspace(-5, 5, 40)
    y = bell(x)([2.0, 0.7, 1.3])[0] + 0.05 * np.cos(9 * x)
    counts = {}
    for gain in (1e-15, 0.5):
        counts[gain] = 0

        def counted(p, gain=gain):
            counts[gain] += 1
            return bell(x)(p)

        fitting.descend(counted, y, np.array([1.0, -0.5, 2.5]), gain)
    assert counts[0.5] < counts[1e-15] < 30


def test_a_step_that_would_go_uphill_is_shortened():
    """Undamped, the walk to the zero of arctan swings ever wider from beyond 1.39."""
    places = np.array([-1.0, 0.0, 1.0])

    def model(p):
        return np.arctan(p[0] + places), (1 / (1 + (p[0] + places) ** 2))[:, None]

    assert fitting.nonlinear(model, np.arctan(places), [6.0]).values == pytest.approx([0], abs=1e-9)


def test_an_unknown_that_changes_nothing_at_the_start():
    x = np.linspace(0, 3, 25)

    def decay(p):
        e = np.exp(-p[1] * x)
        return p[0] * e, np.stack([e, -p[0] * x * e], axis=1)

    fit = fitting.nonlinear(decay, 2.0 * np.exp(-1.3 * x), [0.0, 1.0])
    assert fit.values == pytest.approx([2.0, 1.3], rel=1e-9)


def test_an_unknown_that_is_right_from_the_start_does_not_end_the_walk():
    x = np.linspace(-5, 5, 40)

    def model(p):
        value, slopes = bell(x)(p[1:])
        return np.r_[p[0], value], np.block([[1, np.zeros(3)], [np.zeros((40, 1)), slopes]])

    y = np.r_[4.0, bell(x)([2.0, 0.7, 1.3])[0]]
    assert fitting.nonlinear(model, y, [4.0, 1.0, -0.5, 2.5]).values == pytest.approx(
        [4.0, 2.0, 0.7, 1.3], rel=1e-9
    )


def test_the_walk_over_exact_readings_ends_in_time():
    x, calls = np.linspace(-5, 5, 40), []

    def counted(p):
        calls.append(p)
        return bell(x)(p)

    fitting.nonlinear(counted, bell(x)([2.0, 0.7, 1.3])[0], [1.0, -0.5, 2.5])
    assert len(calls) < 40
