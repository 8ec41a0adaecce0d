"""tolerances: what the tables share. Every cell is checked in tests/sources."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from coursekit import tolerances


@given(st.floats(6.01, 1999.0), st.floats(6.01, 1999.0))
def test_longer_and_coarser_is_looser(one, two):
    short, long = sorted((one, two))
    rows = [tolerances.length(np.array([short, long]), g) for g in "fmcv"]
    assert all(row[0] <= row[1] for row in rows)
    assert all((a < b).all() for a, b in pairwise(rows))


def test_a_batch_equals_a_loop():
    sizes = np.array([[2.0, 70.0], [650.0, 3.0]])
    many = tolerances.length(sizes, "m")
    assert all(many[i] == tolerances.length(float(sizes[i]), "m") for i in np.ndindex(2, 2))


def test_medium_is_the_grade_unless_named():
    assert tolerances.length(68.0) == tolerances.length(68.0, "m")
