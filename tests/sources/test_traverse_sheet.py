"""Sample Traverse Computations, a teaching sheet of two pages, author and year not named (read as the
public page scribd.com/doc/279716815). Table 1: six courses, bearings, distances, latitudes and
departures to four decimals; sums 16.8171 and 18.0737, linear error of closure 24.6876, relative 1/200.

Bearings are printed there with the degree sign lost: "N530.00E'" is N 5°30.00' E. That the printed
latitudes and departures follow to the last digit confirms the reading.
"""

from __future__ import annotations

import pytest

from coursekit import closure

# distance, quadrant, degrees, minutes, departure, latitude
COURSES = [
    (495.8500, "NE", 5, 30.00, 47.5251, 493.5672),
    (850.6200, "NE", 46, 2.00, 612.2285, 590.5342),
    (855.4500, "SE", 67, 38.00, 791.0924, -325.5265),
    (1020.8700, "SE", 12, 25.00, 219.5069, -996.9916),
    (1117.2600, "SW", 83, 44.00, -1110.5840, -121.9557),
    (660.0800, "NW", 55, 9.00, -541.6952, 377.1895),
]
HALF = 0.00005  # half the last printed digit


def direction(quadrant, degrees, minutes):
    """A bearing from north or south toward east or west, as degrees counter-clockwise from east."""
    angle = degrees + minutes / 60
    return {"NE": 90 - angle, "SE": angle - 90, "SW": 270 - angle, "NW": 90 + angle}[quadrant]


def walked():
    ways = [direction(*course[1:4]) for course in COURSES]
    return closure.traverse([course[0] for course in COURSES], ways)


@pytest.fixture
def walk():
    return walked()


def test_departures_and_latitudes(walk):
    steps = walk.points[1:] - walk.points[:-1]
    for step, (*_, departure, latitude) in zip(steps, COURSES, strict=True):
        assert step == pytest.approx([departure, latitude], abs=1.01 * HALF)


def test_misclosure():
    walk = walked()
    assert walk.misclosure == pytest.approx([18.0737, 16.8171], abs=1.01 * HALF)
    assert walk.distance == pytest.approx(24.6876, abs=1.01 * HALF)
    assert walk.perimeter == pytest.approx(5000.1300, abs=HALF)
    assert round(walk.perimeter / walk.distance, -1) == 200  # printed as 1/200


def test_the_course_along_the_gap(walk):
    """Up over forward is tan 42.938°; the second course runs at 43.967°, all others are far off."""
    assert walk.apart_deg.argmin() == 1
    assert walk.apart_deg[1] == pytest.approx(43.967 - 42.938, abs=0.001)
    assert sorted(walk.apart_deg)[1] > 14
