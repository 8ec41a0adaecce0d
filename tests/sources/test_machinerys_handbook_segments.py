"""Machinery's Handbook, Lengths of Chords, Heights of Segments and Areas of Segments, table "Segments of
circles for radius = 1": arc l, height h, chord c for the centre angle. From memory; five digits as printed.
"""

import pytest

from coursekit import braze_ons

# centre angle in degrees: l, h, c
TABLE = {
    30: (0.52360, 0.03407, 0.51764), 45: (0.78540, 0.07612, 0.76537), 60: (1.04720, 0.13397, 1.00000),
    90: (1.57080, 0.29289, 1.41421), 120: (2.09440, 0.50000, 1.73205), 180: (3.14159, 1.00000, 2.00000),
}  # fmt: skip
HALF_A_DIGIT = 0.000005


@pytest.mark.parametrize("angle", TABLE)
def test_height_of_a_segment(angle):
    _, height, chord = TABLE[angle]
    near_the_end = 0.005 if angle == 180 else 3 * HALF_A_DIGIT  # the chord itself has five digits
    assert braze_ons.hollow_depth(2.0, chord) == pytest.approx(height, abs=near_the_end)


@pytest.mark.parametrize("angle", TABLE)
def test_arc_between_two_edges_that_touch(angle):
    """Two straight edges, each tilted by half the centre angle, touch an arc l apart."""
    arc, _, _ = TABLE[angle]
    apart = braze_ons.touch(2.0, angle / 2) - braze_ons.touch(2.0, -angle / 2)
    assert apart == pytest.approx(arc, abs=HALF_A_DIGIT)
