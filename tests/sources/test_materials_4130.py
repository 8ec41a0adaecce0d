"""Properties of 4130 steel and of the stainless steel it meets.

Sources: MIL-T-6736B, normalized 4130 tube, wall up to 0.188 in, least values: yield 75 ksi, ultimate 95 ksi
(as quoted in two public programs; the specification itself was not read); ASM/MatWeb sheet m4130r, AISI 4130 normalized at 870 °C, 25 mm round (typical); a steel
supplier's sheets for 4130 and 304 (mean expansion by range); a maker's table of 304 foil (mean expansion
by range, per °F); Callister & Rethwisch, Fundamentals of Materials
Science and Engineering, 3rd ed., Table B.6 (expansion). Tolerance: half the last printed digit.
"""

import pytest
from scipy import constants

from coursekit import sleeves
from coursekit.materials import STAINLESS_304, STEEL_4130


def test_typical():
    assert STEEL_4130.modulus == pytest.approx(205e3, abs=500)
    assert STEEL_4130.shear_modulus == pytest.approx(80e3, abs=500)
    assert STEEL_4130.poisson == 0.29
    assert STEEL_4130.density == pytest.approx(7.85, abs=0.005)
    per_cubic_inch = STEEL_4130.density * constants.inch**3 * 1e3 / constants.pound
    assert per_cubic_inch == pytest.approx(0.284, abs=5e-4)
    assert STEEL_4130.heat == pytest.approx(0.477, abs=5e-4)


def test_least_strengths_of_thin_normalized_tube():
    """75 and 95 ksi, in MPa by scipy."""
    ksi = 1e3 * constants.psi / 1e6
    assert STEEL_4130.yield_stress == pytest.approx(75 * ksi, abs=0.5)
    assert STEEL_4130.ultimate == pytest.approx(95 * ksi, abs=0.5)
    assert "tube" in STEEL_4130.condition and f"{0.188 * 25.4:.1f} mm" in STEEL_4130.condition


def test_specific_heat_in_calories():
    """0.114 cal/(g·K) (4130, data sheets, from memory), in joule by scipy."""
    assert STEEL_4130.heat == pytest.approx(0.114 * constants.calorie, abs=5e-4 * constants.calorie)


def test_moduli_belong_together():
    """E = 2G(1 + ν) within what rounding leaves: 206.4 for 205 GPa."""
    steel = STEEL_4130
    assert steel.modulus / (2 * steel.shear_modulus * (1 + steel.poisson)) == pytest.approx(
        1, abs=0.01
    )


def test_mean_expansion_by_range():
    """From 20 to 100, 400 and 600 °C: 12.2, 13.7 and 14.6 millionths per K (supplier's sheet)."""
    assert dict(STEEL_4130.expansion) == {100: 12.2e-6, 400: 13.7e-6, 600: 14.6e-6}


def test_callister_table_b6():
    """304 stainless, room temperature to 100 °C: 17.2 millionths per K."""
    assert dict(STAINLESS_304.expansion)[100] == 17.2e-6


def test_stainless_by_range():
    """From 0 to 315 and 538 °C: 17.8 and 18.4 millionths per K (the supplier's sheet for 304); from
    32 to 212, 600, 1000 and 1200 °F: 9.6, 9.9, 10.2 and 10.4 per °F (the maker's table of foil)."""
    assert dict(STAINLESS_304.expansion) == {100: 17.2e-6, 315: 17.8e-6, 538: 18.4e-6, 649: 18.7e-6}
    for (top, mean), (f, per_f) in zip(
        STAINLESS_304.expansion, ((212, 9.6), (600, 9.9), (1000, 10.2), (1200, 10.4)), strict=True
    ):
        assert top == pytest.approx((f - 32) / 1.8, abs=0.6)
        assert mean == pytest.approx(per_f * 1.8e-6, abs=0.09e-6)


def test_stainless_socket_on_a_steel_tube():
    """28.6 mm, +700 K, 17.2e-6 and 12.2e-6 per K: the diametral gap opens 0.100 mm."""
    hot = sleeves.gap(28.6, 28.6, 17.2e-6, 12.2e-6, 700.0)
    assert 2 * hot == pytest.approx(0.100, abs=5e-4)
