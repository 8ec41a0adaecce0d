"""Section values of schedule 40 steel pipe.

Source: Mott, R. L. (2004), Machine Elements in Mechanical Design, 4th ed., Table A16-6, p. 924
(nominal walls). Units inches. "Zp" there is the polar section modulus, twice S.
Tolerance: half the last printed digit, doubled where the table's own rounding of the diameters
and walls shows (its I of NPS 1/8 is 0.3 % off the closed form).
"""

import pytest

from coursekit.tubes import Round

# D, t, A in², I in⁴, r in, S in³, Zp in³, each as printed
TABLE = [
    (".405", ".068", "0.072", "0.00106", "0.122", "0.00525", "0.01050"),
    (".540", ".088", "0.125", "0.00331", "0.163", "0.01227", "0.02454"),
    (".675", ".091", "0.167", "0.00729", "0.209", "0.02160", "0.04320"),
    (".840", ".109", "0.250", "0.01709", "0.261", "0.04070", "0.08140"),
    ("1.050", ".113", "0.333", "0.03704", "0.334", "0.07055", "0.1411"),
    ("1.315", ".133", "0.494", "0.08734", "0.421", "0.1328", "0.2656"),
    ("1.900", ".145", "0.799", "0.3099", "0.623", "0.3262", "0.6524"),
    ("2.375", ".154", "1.075", "0.6658", "0.787", "0.5607", "1.121"),
    ("2.875", ".203", "1.704", "1.530", "0.947", "1.064", "2.128"),
    ("4.500", ".237", "3.174", "7.233", "1.510", "3.215", "6.430"),
    ("6.625", ".280", "5.581", "28.14", "2.245", "8.496", "16.99"),
]


def half_digit(printed):
    return 0.5 * 10.0 ** -len(printed.split(".")[1])


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row[0])
def test_row(row):
    pipe = Round(float(row[0]), float(row[1]))
    radius = (pipe.inertia / pipe.area) ** 0.5
    values = (pipe.area, pipe.inertia, radius, pipe.modulus)
    for value, printed in zip(values, row[2:6], strict=True):
        assert value == pytest.approx(float(printed), abs=2 * half_digit(printed))
    # the table doubled its rounded S
    polar = pipe.torsion / (pipe.diameter / 2)
    assert polar == pytest.approx(
        float(row[6]), abs=max(4 * half_digit(row[5]), 2 * half_digit(row[6]))
    )


def test_polar_modulus_is_not_the_plastic_one():
    """NPS 2: Zp as printed 1.121 in³; the plastic modulus is 0.761."""
    assert Round(2.375, 0.154).plastic_modulus == pytest.approx(0.761, abs=5e-4)
