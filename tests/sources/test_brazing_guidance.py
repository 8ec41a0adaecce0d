"""Laps, filler to supply, and the hollow fillet.

Sources: Copper Development Association, Copper Tube Handbook, brazed joints (lap 3 × the thinner
member, after AWS); brazing guidance pages (lap 3 to 4 × thinnest; filler 1.5 × the joint's
volume); closed form for the fillet (derived). Tolerance: half the last digit.
"""

import numpy as np
import pytest

from coursekit import brazing, sleeves


def test_lap_is_three_times_the_thinner_member():
    assert sleeves.lap(0.9, 1.6) == pytest.approx(2.7)
    assert sleeves.lap(1.6, 0.9, times=4) == pytest.approx(3.6)


def test_sleeve_28_6_by_25_with_a_tenth():
    """225.4 mm³ of gap; 338.1 mm³ to supply at 1.5 times."""
    assert sleeves.filler(28.6, 0.1, 25.0, allowance=1.0) == pytest.approx(225.4, abs=0.05)
    assert sleeves.filler(28.6, 0.1, 25.0) == pytest.approx(338.1, abs=0.05)


def test_gap_volume_is_bore_less_plug():
    bore, plug, lap = 28.8, 28.6, 25.0
    assert sleeves.filler(plug, (bore - plug) / 2, lap, 1.0) == pytest.approx(
        np.pi / 4 * (bore**2 - plug**2) * lap
    )


@pytest.mark.parametrize(("leg", "area"), [(6.0, 7.7257), (8.0, 13.7345)])
def test_quarter_circle_fillet(leg, area):
    assert brazing.bead_area(leg) == pytest.approx(area, abs=5.1e-5)


def test_tube_square_on_a_plate():
    """A body of revolution: Pappus-Guldin, centroid of the hollow fillet from its composite areas."""
    r, leg = 14.3, 6.0
    area = leg**2 * (1 - np.pi / 4)
    out = (leg**3 / 2 - np.pi / 4 * leg**2 * (leg - 4 * leg / (3 * np.pi))) / area
    bead = brazing.fillet(2 * r, 1e9, 90.0, leg)
    assert bead.volume == pytest.approx(2 * np.pi * (r + out) * area, rel=1e-7)
    assert bead.line == pytest.approx(2 * np.pi * r, rel=1e-9)
    assert bead.mean_opening_deg == pytest.approx(90.0, abs=1e-6)
    assert bead.rod_length(2.4) == pytest.approx(bead.volume / (np.pi * 1.2**2))
    assert bead.rod_length(2.4, 1.2) == pytest.approx(1.2 * bead.volume / (np.pi * 1.2**2))
