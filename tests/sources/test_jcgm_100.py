"""JCGM 100:2008, Evaluation of measurement data - Guide to the expression of uncertainty in
measurement (GUM 1995 with minor corrections). Examples H.1 and H.3: read, digits as printed
(some of them depend on roundings on the way, so the last printed digit may move by one). Table
G.2: from memory, as printed to two decimals. The twenty readings of Table 1 (4.4.3): from memory;
that they give the printed mean, deviation and uncertainty to the last digit confirms them.
"""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from coursekit import alignment, closure, fitting, readings, uncertainty

# --- 4.4.3 and 4.4.5, a temperature in °C ------------------------------------------------------

TABLE_1 = [
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
]  # fmt: skip


def test_4_4_3_mean_of_twenty_readings():
    found = readings.mean_of(TABLE_1)
    assert found.count == 20
    assert found.value == pytest.approx(100.145, abs=0.0005)
    assert found.scatter == pytest.approx(1.489, abs=0.0005)
    assert found.uncertainty == pytest.approx(0.333, abs=0.0005)


def test_4_4_5_anywhere_within_four_degrees():
    """Bounds 96 °C and 104 °C, half-width 4 °C: u = 4/√3 = 2.3 °C (from memory)."""
    assert readings.division_uncertainty(104 - 96) == pytest.approx(2.3, abs=0.05)


def test_f_2_2_1_resolution_of_an_indication():
    """A division δx has the standard uncertainty 0.29 δx (F.2.2.1, from memory)."""
    assert readings.division_uncertainty(1.0) == pytest.approx(0.29, abs=0.005)


# --- H.1, end-gauge calibration, lengths in nm ------------------------------------------------


def test_h_1_3_2_three_parts_of_a_difference():
    """u(d) = √(5.8² + 3.9² + 6.7²) = 9.7 nm, also as the spread of a walk of three legs."""
    assert uncertainty.combined(5.8, 3.9, 6.7) == pytest.approx(9.7, abs=0.05)
    parts = np.array([5.8, 3.9, 6.7])
    assert closure.allowance([1.0, 1.0, 1.0], parts, 0.0) == pytest.approx(9.7, abs=0.05)
    assert closure.allowance(parts, 0.0, 180 / np.pi) == pytest.approx(9.7, abs=0.05)


def test_h1_expanded_uncertainty():
    """16 degrees of freedom, 99 %: the factor 2.92 times 32 nm is 93 nm."""
    factor = uncertainty.coverage_factor(0.99, 16)
    assert factor == pytest.approx(2.92, abs=0.005)
    assert factor * 32 == pytest.approx(93, abs=0.5)


# --- H.3, calibration of a thermometer: a line by least squares --------------------------------

T = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])  # fmt: skip
B = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160])  # fmt: skip


def test_h3_line_by_the_fit():
    fit = fitting.linear(np.stack([np.ones_like(T), T - 20.0], axis=1), B)
    assert fit.values == pytest.approx([-0.1712, 0.00218], abs=5e-5) and fit.values[1] == pytest.approx(0.00218, abs=5e-6)  # fmt: skip
    assert fit.uncertainty[0] == pytest.approx(0.0029, abs=5e-5)
    assert fit.uncertainty[1] == pytest.approx(0.00067, abs=5e-6)
    assert fit.correlation[0, 1] == pytest.approx(-0.930, abs=5e-4)
    assert fit.scatter == pytest.approx(0.0035, abs=5e-5)
    assert np.sum(fit.residuals**2) == pytest.approx(0.000110096583109, rel=1e-9)


def test_h3_correction_beyond_the_readings():
    found = alignment.line(T - 20.0, B, -B)
    assert found.offset_at(10.0) == pytest.approx(-0.1494, abs=5e-5)
    assert found.offset_uncertainty_at(10.0) == pytest.approx(0.0041, abs=5e-5)
    assert found.offset == pytest.approx(-0.1712, abs=5e-5)
    assert found.offset_uncertainty == pytest.approx(0.0029, abs=5e-5)


def test_h3_by_the_root_that_the_lesson_on_alignment_teaches():
    """Scatter times the root of 1/n and the squared reach over S, at 30 °C, and at 20 °C where the line starts."""
    s, apart = 0.0035, T - T.mean()
    for at, printed in ((30.0, 0.0041), (20.0, 0.0029)):
        reach = np.sqrt(1 / T.size + (at - T.mean()) ** 2 / (apart @ apart))
        assert s * reach == pytest.approx(printed, abs=1e-4)  # half a digit of s and of the result


# --- Table G.2, value of t_p for p = 95 % and 99 % (from memory) -------------------------------

TABLE_G2 = [(1, 12.71, 63.66), (2, 4.30, 9.92), (3, 3.18, 5.84), (5, 2.57, 4.03), (8, 2.31, 3.36),
            (10, 2.23, 3.17), (15, 2.13, 2.95), (20, 2.09, 2.85), (50, 2.01, 2.68), (inf, 1.960, 2.576)]  # fmt: skip


@pytest.mark.parametrize(("freedom", "t95", "t99"), TABLE_G2)
def test_g2_coverage_factors(freedom, t95, t99):
    half = 0.0005 if freedom == inf else 0.005
    assert uncertainty.coverage_factor(0.95, freedom) == pytest.approx(t95, abs=half)
    assert uncertainty.coverage_factor(0.99, freedom) == pytest.approx(t99, abs=half)
