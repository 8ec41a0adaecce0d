"""The ellipse that a plane cuts out of a tapered tube.

Source: SymPy, a general-purpose library for algebra. The equation of the cone is cut by the plane and the
axes of the conic that is left are read from it; at the apex angle of zero it is the old rule long = d/sin β.
"""

import numpy as np
import pytest
import sympy as sp

from coursekit import stays


@pytest.mark.parametrize(
    ("angle", "growth"),
    [
        (30, 0),
        (30, sp.Rational(1, 50)),
        (45, sp.Rational(1, 25)),
        (90, sp.Rational(1, 30)),
        (22, sp.Rational(1, 40)),
    ],
)
def test_the_ellipse_of_a_cap(angle, growth):
    u, v = sp.symbols("u v", real=True)
    beta = sp.rad(angle)
    along, up = (
        u * sp.cos(beta),
        u * sp.sin(beta),
    )  # a point of the plane: u along its slope, v across
    form = sp.Poly(sp.expand(up**2 + v**2 - (8 + growth / 2 * along) ** 2), u, v)
    a, b, c = (form.coeff_monomial(m) for m in (u**2, u, 1))
    middle = -b / (2 * a)
    rest = b**2 / (4 * a) - c
    size = stays.cap_size(16.0, float(angle), float(growth))
    assert size.off_centre == pytest.approx(float(middle), abs=1e-12)
    assert size.long == pytest.approx(float(2 * sp.sqrt(rest / a)), rel=1e-12)
    assert size.short == pytest.approx(float(2 * sp.sqrt(rest)), rel=1e-12)


def test_without_a_taper_it_is_the_diameter_over_the_sine():
    angle = np.array([20.0, 45.0, 90.0])
    size = stays.cap_size(14.0, angle)
    assert size.long == pytest.approx(14.0 / np.sin(np.radians(angle)))
    assert size.short == pytest.approx(14.0)
