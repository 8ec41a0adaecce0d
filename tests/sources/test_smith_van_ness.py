"""Smith, Van Ness and Abbott, Introduction to Chemical Engineering Thermodynamics, appendix F.

Superheated steam at 800 kPa, specific volume in cm³/g: read in a copy of the appendix (example F.1, from
table F.2). At 1 MPa from memory of the usual tables, m³/kg. A gas's law isn't steam's: at 500 °C and above
they agree within a hundredth, and that is what the lesson says. The gas constant is CODATA's, by scipy.
"""

import pytest

scipy_constants = pytest.importorskip("scipy.constants")

from coursekit import vents  # noqa: E402


@pytest.mark.parametrize(
    ("kpa", "hot", "cm3_a_gram"),
    [(800, 500, 443.17), (800, 550, 472.49), (1000, 600, 401.11), (1000, 700, 447.83)],
)
def test_superheated_steam(kpa, hot, cm3_a_gram):
    made = 1000 * vents.steam_pressure(1000 * cm3_a_gram, 1.0, hot)
    assert made == pytest.approx(kpa, rel=0.01)
    assert made > kpa  # molecules that attract each other push a little less


def test_gas_constant_over_the_mass_of_water():
    per_gram = scipy_constants.R / 18.0153  # J/(g·K) = N·m/(g·K)
    assert 1000 * per_gram == pytest.approx(vents.STEAM, rel=1e-4)
    assert vents.air_pressure(20.0) == pytest.approx(scipy_constants.atm / 1e6, rel=1e-12)
    zero = scipy_constants.zero_Celsius
    hot = scipy_constants.atm / 1e6 * (700 + zero) / (20 + zero)
    assert vents.air_pressure(700.0) == pytest.approx(hot, rel=1e-12)
