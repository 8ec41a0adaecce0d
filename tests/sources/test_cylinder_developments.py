"""Development tables of a branch pipe on a main pipe.

Source: no published table with numbers was found; the values below were worked out once from the
closed form and once by root finding in space, both by hand outside this package (agreement
5e-13 mm), and printed to four decimals. The root finding is repeated here.
Tolerance: half the last printed digit, 0.00005 mm.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from coursekit import miters

PRINTED = 0.00005 * 1.01

# r, R, angle, divisions of the circle, ordinates from 0° to 180°, arc step
TABLES = [
    (14.3, 15.9, 90, 12, [15.9000, 14.2017, 9.9721, 6.9513, 9.9721, 14.2017, 15.9000], 7.4875),
    (15.9, 15.9, 90, 16,
     [15.9000, 14.6897, 11.2430, 6.0847, 0.0000, 6.0847, 11.2430, 14.6897, 15.9000], 6.2439),
    (14.3, 15.9, 60, 16,
     [10.1036, 9.6104, 8.3308, 7.0560, 8.0266, 13.3749, 20.0067, 24.8657, 26.6158], 5.6156),
    (15.9, 18.2, 60, 16,
     [11.8357, 11.3252, 10.0350, 8.8942, 10.2261, 15.9201, 23.0173, 28.2874, 30.1954], 6.2439),
    (15.9, 15.9, 60, 16,
     [9.1799, 8.4811, 6.4911, 3.5130, 0.0000, 10.5390, 19.4734, 25.4433, 27.5396], 6.2439),
]  # fmt: skip


@pytest.mark.parametrize(("r", "R", "angle", "divisions", "ordinates", "step"), TABLES)
def test_ordinates(r, R, angle, divisions, ordinates, step):
    around, along = miters.saddle(2 * r, 2 * R, angle, stations=divisions + 1)
    half = divisions // 2 + 1
    assert along[:half] == pytest.approx(ordinates, abs=PRINTED)
    assert along[half - 1 :] == pytest.approx(ordinates[::-1], abs=PRINTED)
    assert np.diff(around) == pytest.approx(step, abs=PRINTED)


@pytest.mark.parametrize(("r", "R", "angle", "divisions", "ordinates", "step"), TABLES)
def test_ordinates_of_a_cut_end(r, R, angle, divisions, ordinates, step):
    """The general code path gives the same table."""
    one = miters.cut(2 * r, miters.Joint(2 * R, angle), stations=divisions + 1)
    assert one.along[: divisions // 2 + 1] == pytest.approx(ordinates, abs=1e-4)
    assert np.diff(one.around) == pytest.approx(step, abs=PRINTED)


@pytest.mark.parametrize(
    ("r", "R", "angle", "depth"),
    [(14.3, 15.9, 90, 8.9487), (14.3, 15.9, 60, 19.5598), (15.9, 18.2, 60, 21.3012),
     (14.3, 17.5, 73, 12.3439)],
)  # fmt: skip
def test_depth_over_16_stations(r, R, angle, depth):
    _, along = miters.saddle(2 * r, 2 * R, angle, stations=17)
    assert along.max() - along.min() == pytest.approx(depth, abs=0.0001)
    one = miters.cut(2 * r, miters.Joint(2 * R, angle), stations=17)
    assert one.depth == pytest.approx(depth, abs=0.0001)


def test_12_and_16_stations_agree():
    sixteen = miters.saddle(28.6, 31.8, 90, stations=17)[1]
    assert sixteen[[2, 4, 6]] == pytest.approx([12.2705, 6.9513, 12.2705], abs=PRINTED)
    twelve = miters.saddle(28.6, 31.8, 90, stations=13)[1]
    assert twelve[[0, 3, 6]] == pytest.approx(sixteen[[0, 4, 8]], abs=1e-12)


def _met(r, R, angle_deg, offset, phi):
    """Where the branch's line at phi enters the main pipe: a root found in space, in 3-D vectors.

    The branch runs up the z-axis, moved by the offset along y; the main pipe passes through the
    origin and one of its arms points into the obtuse corner, on the branch's x side.
    """
    theta = np.radians(angle_deg)
    arm = np.array([np.sin(np.pi - theta), 0.0, np.cos(np.pi - theta)])

    def outside(z):
        point = np.array([r * np.cos(phi), r * np.sin(phi) + offset, z])
        return np.linalg.norm(np.cross(point, arm)) - R

    nearest = r * np.cos(phi) * np.cos(theta) / -np.sin(theta)
    return brentq(outside, nearest, nearest + 100 * R, xtol=1e-12, rtol=1e-15)


@pytest.mark.parametrize(
    ("r", "R", "angle", "offset"),
    [(14.3, 15.9, 90, 0), (14.3, 15.9, 60, 0), (11.1, 20.0, 85, 6.5), (8.0, 19.05, 47, -9.0),
     (15.9, 20.0, 118, 2.5), (6.0, 17.5, 12, 0.0)],
)  # fmt: skip
def test_root_finding_in_space(r, R, angle, offset):
    found = [_met(r, R, angle, offset, phi) for phi in np.radians(np.arange(0, 361, 15))]
    _, along = miters.saddle(2 * r, 2 * R, angle, offset, stations=25)
    assert along == pytest.approx(found, abs=1e-9)
    one = miters.cut(2 * r, miters.Joint(2 * R, angle, offset), stations=25)
    assert one.along == pytest.approx(found, abs=1e-9)


@pytest.mark.parametrize("turn", [0.0, 35.0, 90.0, 200.0])
def test_root_finding_at_both_ends_of_a_turned_tube(turn):
    """Lines of the tube go by one count at both ends; at end b the joint's own count runs back."""
    lines = np.arange(0, 361, 15)
    joint = miters.Joint(38.0, 65.0, offset=3.0, turned_deg=turn)
    for end, count in (("a", lines - turn), ("b", turn - lines)):
        found = [_met(12.7, 19.0, 65.0, 3.0, phi) for phi in np.radians(count)]
        assert miters.cut(25.4, joint, stations=25, end=end).along == pytest.approx(found, abs=1e-9)
