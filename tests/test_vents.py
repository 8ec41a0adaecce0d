"""Holes under a tube, and pressure in a closed space."""

from math import asin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import vents


def test_in_the_middle_the_land_lies_along_the_shell():
    assert vents.land(26.8, 38.1, 5.0) == pytest.approx((26.8 - 5) / 2, abs=1e-9)


def test_at_the_far_side_of_the_oval():
    reach = 38.1 / 2 * asin(26.8 / 38.1)
    assert vents.land(26.8, 38.1, 4.0, reach - 3) == pytest.approx(3 - 2, abs=1e-6)
    assert vents.land(26.8, 38.1, 4.0, reach + 3) == pytest.approx(-3 - 2, abs=1e-6)


@given(st.floats(-20, 20), st.floats(-20, 20))
def test_left_is_as_right_and_fore_as_aft(off_round, off_along):
    lands = [
        vents.land(26.8, 38.1, 4.0, s * off_round, t * off_along) for s in (1, -1) for t in (1, -1)
    ]
    assert lands == pytest.approx([lands[0]] * 4, abs=1e-6)


@given(st.floats(-12, 12), st.floats(-12, 12), st.floats(0.5, 6))
def test_a_wider_hole_takes_half_of_it_on_each_side(off_round, off_along, more):
    small = vents.land(26.8, 38.1, 3.0, off_round, off_along)
    assert small - vents.land(26.8, 38.1, 3.0 + more, off_round, off_along) == pytest.approx(more / 2)  # fmt: skip


def test_footprint_is_closed_and_as_wide_as_the_bore():
    along, about = vents.footprint(26.8, 38.1)
    assert (along[0], about[0]) == pytest.approx((along[-1], about[-1]), abs=1e-12)
    assert along.max() == pytest.approx(13.4) and about.max() > 13.4
    assert about.max() < np.pi / 2 * 19.05


def test_pressures():
    assert vents.steam_pressure(250e3, 0.0, 700.0) == 0
    one, two = vents.steam_pressure(250e3, np.array([1.0, 2.0]), 700.0)
    assert two == pytest.approx(2 * one)
    assert vents.steam_pressure(125e3, 1.0, 700.0) == pytest.approx(two)
    assert vents.air_pressure(20.0) == pytest.approx(0.101325)
    assert vents.air_pressure(2 * 293.15 - 273.15) == pytest.approx(2 * 0.101325)
    # a tenth of a newton on a square millimetre is a bar; 4.615 · g · K / cm³
    assert 10 * vents.steam_pressure(1000.0, 1.0, 1000 - 273.15) == pytest.approx(4615.2)


def test_round_shell_is_a_share_of_the_whole_round():
    assert vents.round_shell(38.1, 360.0) == pytest.approx(np.pi * 38.1)


@pytest.mark.parametrize("turn", [20.0, 50.0, 80.0, 130.0, 200.0, 310.0])
def test_land_at_a_slant_is_the_least_distance_from_many_places_on_the_edge(turn):
    """A hole on the ray to a place on the edge, a twentieth inside it and a twentieth outside."""
    along, about = vents.footprint(26.8, 38.1, stations=200_001)
    t = np.radians(turn)
    place = np.array([19.05 * asin(13.4 * np.cos(t) / 19.05), 13.4 * np.sin(t)])  # round, along
    for share, side in ((0.95, 1), (1.05, -1)):
        off = share * place
        least = np.hypot(along - off[1], about - off[0]).min()
        found = vents.land(26.8, 38.1, 3.0, off[0], off[1])
        assert found == pytest.approx(side * least - 1.5, abs=1e-5)
