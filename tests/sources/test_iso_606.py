"""Chainrings against sprockets made to ISO 606.

Source: a catalogue's page of sprockets with 3/8 in pitch, type 06B, that conform to ISO 606 (docslib.org,
document 7694706): number of teeth, pitch circle diameter and outside diameter, mm. The pitch there is
9.525; a bicycle's is 12.7, and diameters grow with the pitch. The catalogue's own two digits for 57, 76,
95 and 114 teeth are up to 0.03 off what the pitch gives, so they are judged to that.
The upper limit of the tip diameter, d + 1.25p − d₁, as a page on sprockets gives it
(en.jiansujichilun.com, article 579), which also gives d = p/sin(180°/z). The lower limit is from memory.
"""

import numpy as np
import pytest

from coursekit import rear

CATALOGUE = {
    17: (51.83, 55.3), 18: (54.85, 58.3), 19: (57.87, 61.3), 20: (60.89, 64.3), 21: (63.91, 68.0),
    22: (66.93, 71.0), 23: (69.95, 73.5), 24: (72.97, 77.0), 25: (76.00, 80.0), 26: (79.02, 83.0),
    27: (82.05, 86.0), 28: (85.07, 89.0), 30: (91.12, 94.7), 38: (115.35, 119.5), 45: (136.55, 140.7),
}  # fmt: skip
LARGE = {57: 172.91, 76: 230.49, 95: 288.08, 114: 345.68}


@pytest.mark.parametrize("teeth", CATALOGUE)
def test_pitch_diameter(teeth):
    assert rear.pitch_diameter(teeth, pitch=9.525) == pytest.approx(CATALOGUE[teeth][0], abs=0.011)
    grown = CATALOGUE[teeth][0] * 4 / 3
    assert rear.pitch_diameter(teeth) == pytest.approx(grown, abs=0.015)


@pytest.mark.parametrize("teeth", LARGE)
def test_pitch_diameter_of_many_teeth(teeth):
    assert rear.pitch_diameter(teeth, pitch=9.525) == pytest.approx(LARGE[teeth], abs=0.03)


def test_outside_diameters_lie_between_the_limits():
    """06B: rollers of 6.35 mm (ISO 606, from memory). The catalogue rounds to 0.5 mm here and there."""
    teeth = np.array(list(CATALOGUE))
    outside = np.array([size for _, size in CATALOGUE.values()])
    least, largest = rear.tip_limits(teeth, pitch=9.525, roller=6.35)
    assert np.all(outside > least - 0.25)
    assert np.all(outside < largest + 0.25)


def test_pins_lie_on_corners_of_a_polygon():
    """A chain on a ring of z teeth is a regular polygon with sides of one pitch, corners on the circle."""
    for teeth in (11, 22, 42, 53):
        turn = 2 * np.pi * np.arange(teeth + 1) / teeth
        corners = rear.pitch_diameter(teeth) / 2 * np.column_stack([np.cos(turn), np.sin(turn)])
        assert np.linalg.norm(np.diff(corners, axis=0), axis=1) == pytest.approx(12.7, abs=1e-9)


def test_usual_tip_lies_between_the_limits_for_bicycles():
    teeth = np.arange(11, 61)
    least, largest = rear.tip_limits(teeth)
    usual = rear.tip_diameter(teeth)
    assert np.all((least < usual) & (usual < largest))
    assert largest == pytest.approx(rear.pitch_diameter(teeth) + 1.25 * 12.7 - 7.75)
