"""ISO 2768-1:1989, General tolerances, Table 1.
Read in a DIN ISO copy and in a test file that quotes the table; grade c of the two smallest
bands from the standard (the DIN copy prints less).
"""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import tolerances

MIDDLES = [2.0, 5.0, 20.0, 100.0, 300.0, 800.0, 1500.0, 3000.0]
TABLE_1 = {
    "f": [0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5],
    "m": [0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2],
    "c": [0.2, 0.3, 0.5, 0.8, 1.2, 2, 3, 4],
    "v": [None, 0.5, 1, 1.5, 2.5, 4, 6, 8],
}


@pytest.mark.parametrize("grade", "fmcv")
def test_table_1_every_cell(grade):
    for size, expected in zip(MIDDLES, TABLE_1[grade], strict=False):
        if expected is not None:
            assert tolerances.length(size, grade) == expected


def test_shell_axle_and_tube():
    assert tolerances.length(68.0, "m") == 0.3
    assert tolerances.length(130.0, "f") == 0.2
    assert tolerances.length(560.0, "m") == 0.8


def test_the_upper_limit_belongs_to_its_band():
    assert tolerances.length([30.0, 120.0], "m").tolist() == [0.2, 0.3]
    assert tolerances.length([30.001, 120.001], "m").tolist() == [0.3, 0.5]


def test_every_band_ends_where_the_tables_end_it():
    edges = np.array([3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0])
    assert tolerances.length(edges, "c").tolist() == TABLE_1["c"][:7]
    assert tolerances.length(edges + 0.001, "c").tolist() == TABLE_1["c"][1:]
    assert tolerances.length([0.5, 4000.0], "c").tolist() == [0.2, 4]
    with pytest.raises(ValueError, match=r"between 0\.5 and 4000"):
        tolerances.length(0.499)
    with pytest.raises(ValueError, match=r"between 0\.5 and 4000"):
        tolerances.length(4000.001)
