"""ANSI/ASME B1.13M-1995, inside metric threads of class 6H, minor diameter, min.: the basic one (ISO 68-1).

Read in a public table that names it (engineersedge.com/hardware/metric-internal-thread-sizes1.htm).
Tolerance half the last printed digit. Tap drills and per cent of thread: rows of tap drill charts, from
memory, printed in whole per cent.
"""

import pytest

from coursekit import shells


@pytest.mark.parametrize(
    ("major", "pitch", "minor"),
    [(9, 1.25, 7.647), (9, 0.75, 8.188), (9, 0.5, 8.459), (10, 1.5, 8.376), (10, 1.25, 8.647), (10, 1.12, 8.788),
     (11, 1.5, 9.376), (12, 1.75, 10.106), (12, 1.5, 10.376), (12, 1, 10.917), (14, 2, 11.835)],
)  # fmt: skip
def test_minor_diameter(major, pitch, minor):
    assert shells.minor(major, pitch) == pytest.approx(minor, abs=0.5e-3 + 1e-9)


@pytest.mark.parametrize(
    ("major", "pitch", "drill", "per_cent"),
    [(6, 1.0, 5.0, 77), (8, 1.25, 6.8, 74), (10, 1.5, 8.5, 77)],
)
def test_thread_left_by_a_tap_drill(major, pitch, drill, per_cent):
    assert shells.engaged(major, pitch, drill) == pytest.approx(per_cent, abs=0.5)
