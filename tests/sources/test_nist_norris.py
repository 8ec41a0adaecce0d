"""NIST/ITL Statistical Reference Datasets, linear regression, set Norris (calibration of ozone
monitors, J. Norris, NIST), level of difficulty lower. Certified values to 15 digits. Read.
"""

from __future__ import annotations

from runpy import run_path

import numpy as np
import pytest

from coursekit import alignment, fitting

X = np.array([0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5])  # fmt: skip
Y = np.array([0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2])  # fmt: skip
B0, U0 = -0.262323073774029, 0.232818234301152
B1, U1 = 1.00211681802045, 0.429796848199937e-3
S, R2 = 0.884796396144373, 0.999993745883712
TIGHT = 1e-11  # relative: 15 printed digits, less what a double loses on the way


def test_linear_gives_the_certified_line():
    fit = fitting.linear(np.stack([np.ones_like(X), X], axis=1), Y)
    assert fit.values == pytest.approx([B0, B1], rel=TIGHT)
    assert fit.uncertainty == pytest.approx([U0, U1], rel=TIGHT)
    assert fit.scatter == pytest.approx(S, rel=TIGHT)
    assert fit.freedom == 34
    left = np.sum(fit.residuals**2) / np.sum((Y - Y.mean()) ** 2)
    assert 1 - left == pytest.approx(R2, rel=TIGHT)


def test_a_tube_read_from_both_faces_gives_the_certified_line():
    # Heights +y and -y: half the difference is y, half the sum is zero.
    found = alignment.line(X, Y, -Y)
    assert found.offset == pytest.approx(B0, rel=TIGHT)
    assert np.tan(np.radians(found.angle_deg)) == pytest.approx(B1, rel=TIGHT)
    assert found.offset_uncertainty == pytest.approx(U0, rel=TIGHT)
    slope_uncertainty = np.radians(found.angle_deg_uncertainty) * (1 + B1**2)
    assert slope_uncertainty == pytest.approx(U1, rel=TIGHT)
    assert found.scatter == pytest.approx(S, rel=TIGHT)
    assert found.gauge_zero == found.gauge_zero_uncertainty == 0.0


def test_damped_steps_from_afar_reach_the_certified_line():
    def straight(p):
        return p[0] + p[1] * X, np.stack([np.ones_like(X), X], axis=1)

    fit = fitting.nonlinear(straight, Y, [100.0, -3.0])
    assert fit.values == pytest.approx([B0, B1], rel=1e-9)
    assert fit.uncertainty == pytest.approx([U0, U1], rel=1e-9)


def test_the_sums_that_the_lesson_on_alignment_teaches_give_the_certified_line():
    apart = X - X.mean()
    slope = apart @ Y / (apart @ apart)
    assert slope == pytest.approx(B1, rel=TIGHT)
    assert Y.mean() - slope * X.mean() == pytest.approx(B0, rel=1e-10)


def test_the_key_of_the_exercise_gives_the_certified_line(root):
    best_line = run_path(str(root / "solutions" / "alignment-checks.py"))["best_line"]
    start, lean = best_line(tuple(X), tuple(Y))
    assert start == pytest.approx(B0, rel=TIGHT)
    assert lean == pytest.approx(100 * B1, rel=TIGHT)
