"""Tube values and textbook beams worked by hand from closed forms (derived, no printed source).

Tolerance: half the last digit given, unless said otherwise.
"""

import numpy as np
import pytest

from coursekit.tubes import Round

TUBE = Round(28.6, 0.9)


@pytest.mark.parametrize(
    ("D", "t", "area", "inertia", "modulus", "grams"),
    [(28.6, 0.9, 78.320, 7519.69, 525.852, 614.81), (31.8, 0.8, 77.912, 9365.35, 589.016, 611.61),
     (28.575, 0.889, 77.324, 7416.34, 519.079, 606.99),
     (25.4, 0.889, 68.456, 5147.73, 405.333, 537.38)],
)  # fmt: skip
def test_values(D, t, area, inertia, modulus, grams):
    tube = Round(D, t)
    assert tube.area == pytest.approx(area, abs=5.1e-4)
    assert tube.inertia == pytest.approx(inertia, abs=5.1e-3)
    assert tube.modulus == pytest.approx(modulus, abs=5.1e-4)
    assert tube.grams_per_metre() == pytest.approx(grams, abs=5.1e-3)


def test_bore():
    assert Round(28.575, 0.889).bore == pytest.approx(26.797, abs=1e-9)


def test_thin_tube_form_is_low_by_a_thousandth():
    thin = np.pi * TUBE.mid_radius**3 * 0.9
    assert thin == pytest.approx(7511.8, abs=0.05)
    assert 1 - thin / TUBE.inertia == pytest.approx(0.0011, abs=1e-4)
    assert 2 * np.pi * TUBE.mid_radius * 0.9 == pytest.approx(TUBE.area, rel=1e-12)


@pytest.mark.parametrize(
    ("D", "t", "ratio"), [(28.6, 0.9, 1.31368), (31.8, 0.8, 1.30552), (28.6, 0.6, 1.30013)]
)
def test_shape_factor(D, t, ratio):
    tube = Round(D, t)
    assert tube.plastic_modulus / tube.modulus == pytest.approx(ratio, abs=5.1e-6)


def test_shape_factor_limits():
    """Thin tube 4/π, solid bar 16/(3π)."""
    thin, solid = Round(1000.0, 1e-4), Round(20.0, 10.0)
    assert thin.plastic_modulus / thin.modulus == pytest.approx(1.27324, abs=1e-5)
    assert solid.plastic_modulus / solid.modulus == pytest.approx(1.69765, abs=5e-6)


def test_cantilever():
    """E = 205 GPa, 500 mm, 200 N at the tip: 5.4059 mm and 190.17 MPa."""
    assert 200 * 500**3 / (3 * 205e3 * TUBE.inertia) == pytest.approx(5.4059, abs=5e-5)
    assert 200 * 500 / TUBE.modulus == pytest.approx(190.17, abs=5e-3)


def test_torsion():
    """20 N·m over 600 mm, G = 80 GPa: 0.57146° and 19.017 MPa; thin wall 18.438 MPa."""
    assert np.degrees(20e3 * 600 / (80e3 * TUBE.torsion)) == pytest.approx(0.57146, abs=5e-6)
    assert 20e3 * 14.3 / TUBE.torsion == pytest.approx(19.017, abs=5e-4)
    assert 20e3 / (2 * np.pi * TUBE.mid_radius**2 * TUBE.wall) == pytest.approx(18.438, abs=5e-4)


def test_euler():
    """Pinned, 600 mm, E = 205 GPa: 42.26 kN."""
    assert np.pi**2 * 205e3 * TUBE.inertia / 600**2 == pytest.approx(42.26e3, rel=1e-3)
