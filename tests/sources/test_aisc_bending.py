"""AISC Steel Construction Manual shapes database, rows Pipe 2 STD and Pipe 3 STD (S and Z as
printed, in³, of the design wall). Read in a table that quotes it. The plastic over the elastic
modulus is the moment that a tube bent without end reaches, over its yield moment.
"""

from __future__ import annotations

import pytest

from coursekit import bending
from coursekit.tubes import Round


@pytest.mark.parametrize(
    ("diameter", "wall", "elastic", "plastic"),
    [(2.375, 0.143, 0.528, 0.713), (3.5, 0.201, 1.63, 2.19)],
)
def test_moment_far_past_yield_is_z_over_s(diameter, wall, elastic, plastic):
    tube = Round(diameter, wall)
    first = bending.yield_curvature(tube, 36.0, 29_000.0)
    begin = bending.moment(first, tube, 36.0, 29_000.0)
    end = bending.moment(1e4 * first, tube, 36.0, 29_000.0)
    assert end / begin == pytest.approx(plastic / elastic, rel=0.003)  # 3 printed figures each
    assert begin / 36.0 == pytest.approx(elastic, rel=0.005)
    assert end / 36.0 == pytest.approx(plastic, rel=0.005)
