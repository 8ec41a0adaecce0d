"""R. C. Hibbeler, Engineering Mechanics: Statics (SI edition), 13th ed., Pearson, 2013, chapter 2:
problems 2-21 and 2-23, and the problem of a 6 kN and a 2 kN force on a screw eye. Read in worked
solutions published at questionsolutions.com, not in the book; digits as printed there.

Two tacks are two forces: the first pull is the first force, the hold the second's share of it.
"""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import tacks


def size_and_direction(angles_deg, first, second):
    x, y = tacks.pull(angles_deg, first, second / first)
    return np.hypot(x, y), np.degrees(np.arctan2(y, x))


def test_6_and_2_kilonewton_105_degrees_in_the_triangle():
    # 2000 N stands 45° clockwise from x; the triangle's angle is 105°, so 6000 N stands 75° further
    size, direction = size_and_direction([-120, -45], 6000, 2000)
    assert size == pytest.approx(6798, abs=0.5)
    assert direction == pytest.approx(-103.5, abs=0.05)  # "103.5°, clockwise from the x axis"


def test_2_21_angle_between_400_and_600_newton_for_800():
    size, _ = size_and_direction([0, 75.52], 600, 400)
    assert size == pytest.approx(800, abs=0.05)  # half of 0.01° turns the sum by less than 0.04 N


def test_2_23_resultant_straight_up():
    # 600 N stands 30° beside the upright, 500 N stands 36.87° beside it on the other side
    size, direction = size_and_direction([120, 90 - 36.87], 600, 500)
    assert size == pytest.approx(919.61, abs=0.01)  # printed from rounded angles
    assert direction == pytest.approx(90, abs=0.005)
