"""NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, upper critical values of Student's t
distribution, column 0.05 (one side). Read in a copy of the table that names the handbook.

The guard band of the lesson on alignment checks is this factor times the standard uncertainty.
"""

from __future__ import annotations

from math import inf

import pytest

from coursekit import alignment, uncertainty
from coursekit.classroom.bank import exercises, keys

# degrees of freedom, t exceeded in 5 of 100 cases
COLUMN = [(1, 6.314), (2, 2.920), (3, 2.353), (4, 2.132), (5, 2.015), (6, 1.943), (7, 1.895),
          (8, 1.860), (9, 1.833), (10, 1.812), (15, 1.753), (20, 1.725), (30, 1.697), (40, 1.684),
          (60, 1.671), (100, 1.660), (inf, 1.645)]  # fmt: skip
HALF = 0.0005


@pytest.mark.parametrize(("freedom", "t"), COLUMN)
def test_factor_of_one_side(freedom, t):
    assert uncertainty.coverage_factor(0.95, freedom, sides=1) == pytest.approx(t, abs=HALF)


@pytest.mark.parametrize(("freedom", "t"), COLUMN[1:])
def test_guard_band_of_a_decision(freedom, t):
    found = alignment.decide(0.3, 0.02, 1.0, freedom=freedom)
    assert found.guard == pytest.approx(0.02 * t, abs=0.02 * HALF)
    assert found.accept_to == pytest.approx(1.0 - 0.02 * t, abs=0.02 * HALF)


def test_the_key_of_the_exercise_decides_with_the_last_row(root):
    key = keys.load(exercises.load("alignment-checks", root), root)
    verdict = key.answers["decide"].sum
    guard = 0.024 * COLUMN[-1][1]
    for twist, said in (
        (0.2 - guard - 0.0005, "within"), (0.2 - guard + 0.0005, "undecided"),
        (-0.2 - guard + 0.0005, "undecided"), (-0.2 - guard - 0.0005, "outside"),
    ):  # fmt: skip
        assert verdict(None, {"twist": twist}) == said
