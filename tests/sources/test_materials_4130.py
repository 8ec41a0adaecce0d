"""Properties of 4130 steel and of metals it meets.

Sources: ASM/MatWeb sheet m4130r, AISI 4130 normalized at 870 °C, 25 mm round (typical); a steel
supplier's 4130 sheet (density, mean expansion by range); MIL-T-6736B and MIL-HDBK-5J Table
2.3.1.0(c1), quoted second-hand (the line for walls over 0.188 in from memory); Callister &
Rethwisch, Fundamentals of Materials Science and Engineering, 3rd ed., Table B.6 (expansion); a
maker's sheet for C37000. Tolerance: half the last printed digit.
"""

import pytest

from coursekit import materials, sleeves
from coursekit.materials import metal


def test_typical():
    steel = metal("4130")
    assert steel.modulus == pytest.approx(205e3, abs=500)
    assert steel.shear_modulus == pytest.approx(80e3, abs=500)
    assert steel.poisson == 0.29
    assert steel.yield_stress == pytest.approx(435, abs=0.5)
    assert steel.ultimate == pytest.approx(670, abs=0.5)
    assert steel.density == pytest.approx(7.85, abs=0.005)
    assert steel.density / 27.67990 == pytest.approx(0.284, abs=5e-4)
    assert steel.heat == pytest.approx(0.477, abs=5e-4)


def test_thin_tube_minimum():
    """75 ksi = 517 MPa, 95 ksi = 655 MPa, 29.0 Msi = 199.9 GPa, 11.0 Msi = 75.8 GPa, 0.283 lb/in³."""
    tube = materials.tube_minimum(0.9)
    assert tube is metal("4130 tube minimum")
    assert tube.yield_stress == pytest.approx(517, abs=0.5)
    assert tube.ultimate == pytest.approx(655, abs=0.5)
    assert tube.modulus == pytest.approx(199.9e3, abs=50)
    assert tube.shear_modulus == pytest.approx(75.8e3, abs=50)
    assert tube.poisson == 0.32
    assert tube.density == pytest.approx(7.83, abs=0.005)


def test_thick_tube_minimum():
    """70 ksi = 482.6 MPa and 90 ksi = 620.5 MPa where the wall is over 0.188 in; moduli as thin."""
    tube = materials.tube_minimum(0.189 * 25.4)
    assert tube.yield_stress == pytest.approx(482.6, abs=0.05)
    assert tube.ultimate == pytest.approx(620.5, abs=0.05)
    thin = materials.tube_minimum(0.188 * 25.4)
    assert thin.yield_stress == pytest.approx(517, abs=0.5)
    for name in ("modulus", "shear_modulus", "poisson", "density", "expansion", "heat"):
        assert getattr(tube, name) == getattr(thin, name)


@pytest.mark.parametrize(("name", "half_digit"), [("4130", 0.01), ("4130 tube minimum", 0.002)])
def test_moduli_belong_together(name, half_digit):
    """E = 2G(1 + ν) within what rounding leaves: 206.4 for 205 and 200.2 for 199.9 GPa."""
    one = metal(name)
    assert one.modulus / (2 * one.shear_modulus * (1 + one.poisson)) == pytest.approx(
        1, abs=half_digit
    )


@pytest.mark.parametrize(("hot", "mean"), [(100, 12.2e-6), (400, 13.7e-6), (600, 14.6e-6)])
def test_mean_expansion(hot, mean):
    assert materials.mean_expansion(metal("4130"), hot) == pytest.approx(mean, abs=5e-8)


def test_100_mm_heated_to_600():
    """+0.847 mm (mean 14.6e-6 over 580 K)."""
    assert materials.growth(metal("4130"), 100.0, 600.0) == pytest.approx(0.847, abs=5e-4)


@pytest.mark.parametrize(
    ("name", "printed"),
    [("4140", 12.3e-6), ("304", 17.2e-6), ("C26000", 19.9e-6), ("C36000", 20.5e-6),
     ("C71500", 16.2e-6)],
)  # fmt: skip
def test_callister_table_b6(name, printed):
    assert materials.mean_expansion(metal(name), 20.0) == pytest.approx(printed, abs=5e-8)


def test_60_40_brass():
    """11.6e-6 per °F = 20.9e-6 per K; 8.41 g/cm³."""
    brass = metal("C37000")
    assert materials.mean_expansion(brass, 300.0) == pytest.approx(11.6e-6 * 1.8, abs=5e-8)
    assert brass.density == pytest.approx(8.41, abs=0.005)


def test_stainless_socket_on_a_steel_tube():
    """28.6 mm, +700 K, 17.2e-6 and 12.2e-6 per K: the diametral gap opens 0.100 mm."""
    hot = sleeves.gap(28.6, 28.6, 17.2e-6, 12.2e-6, 700.0)
    assert 2 * hot == pytest.approx(0.100, abs=5e-4)


@pytest.mark.parametrize(("name", "hottest"), [("4140", 100), ("304", 100), ("C26000", 100),
                                               ("C36000", 100), ("C71500", 100), ("C37000", 300)])  # fmt: skip
def test_expansion_is_a_mean_up_to_the_temperature_printed(name, hottest):
    """Table B.6: from room temperature to 100 °C; C37000: from 20 to 300 °C."""
    assert [top for top, _ in metal(name).expansion] == [hottest]
