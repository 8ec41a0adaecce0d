"""NIST/ITL Statistical Reference Datasets, linear regression, set NoInt1 (generated, a line through
zero), level of difficulty average. Certified values to 15 digits; read in copies of the set in
the tests of several statistics packages.

The hold of a class is the slope of such a line.
"""

from __future__ import annotations

from runpy import run_path

import numpy as np
import pytest

from coursekit import fitting

X, Y = np.arange(60.0, 71.0), np.arange(130.0, 141.0)
B, U, S = 2.07438016528926, 0.165289256198347e-01, 3.56753034006338
TIGHT = 1e-12  # relative: 15 printed digits, less what a double loses on the way


def test_linear_gives_the_certified_slope():
    fit = fitting.linear(X[:, None], Y)
    assert fit.values == pytest.approx([B], rel=TIGHT)
    assert fit.uncertainty == pytest.approx([U], rel=TIGHT)
    assert fit.scatter == pytest.approx(S, rel=TIGHT)
    assert fit.freedom == 10


def test_the_sum_that_the_lesson_teaches_gives_the_certified_slope():
    slope = X @ Y / (X @ X)
    assert slope == pytest.approx(B, rel=TIGHT)


def test_the_key_of_the_exercise_gives_the_certified_slope(root):
    slope = run_path(str(root / "solutions" / "tack-order.py"))["slope"]
    assert slope(X, Y) == pytest.approx(B, rel=TIGHT)
