"""The saddle derived anew, symbolically.

Source: sympy; the derivation below starts from the two axes as vectors and solves for the height.
"""

from fractions import Fraction

import pytest
import sympy as sp

from coursekit import miters

r, R, theta, phi, e, z = sp.symbols("r R theta phi e z", real=True)


def derived():
    """Solve |P × b| = R for the height z of the point P on the branch, b the main pipe's axis."""
    arm = sp.Matrix([sp.sin(theta), 0, -sp.cos(theta)])  # into the obtuse corner, on the x side
    point = sp.Matrix([r * sp.cos(phi), r * sp.sin(phi) + e, z])
    across = point.cross(arm)
    return sp.solve(sp.Eq(across.dot(across), R**2), z)


@pytest.mark.parametrize(
    ("d", "D", "angle", "offset"),
    [
        ("28.6", "31.8", 60, "0"),
        ("22.2", "40", 84, "7.1"),
        ("16", "36", 38, "-3.25"),
        ("25.4", "36", 115, "1"),
    ],
)
def test_saddle_to_thirty_digits(d, D, angle, offset):
    upper = derived()
    _, along = miters.saddle(float(d), float(D), angle, float(offset), stations=13)
    for i in range(13):
        at = {r: sp.Rational(Fraction(d)) / 2, R: sp.Rational(Fraction(D)) / 2,
              theta: sp.pi * angle / 180, phi: sp.pi * i / 6, e: sp.Rational(Fraction(offset))}  # fmt: skip
        want = max(sp.re(sp.N(root.subs(at), 30)) for root in upper)
        assert along[i] == pytest.approx(float(want), abs=1e-12)
