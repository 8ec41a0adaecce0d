"""Common volume of two cylinders, and the plane ellipses of two equal ones.

Source: Weisstein, E. W., "Steinmetz Solid", MathWorld, eqs. for the bicylinder (V = 16 r³/3) and
for unequal radii a > b, after Hubbell, J. H. (1965), "Common Volume of Two Intersecting
Cylinders", J. Res. NBS 69C, 139-143:
    V = (8/3) a [(a² + b²) E(k) − (a² − b²) K(k)],  k = b/a;  V at an angle θ is V/sin θ.
Tolerance: half the last printed digit.
"""

import numpy as np
import pytest

from coursekit import miters
from coursekit.sections import ellipse_perimeter


def common_volume(a, b, angle_deg=90.0):
    """Volume inside both, from the saddles of a nest of branches with radii up to b.

    A line of the branch lies inside the main pipe over along(φ) + along(φ + 180°).
    """
    nodes, weights = np.polynomial.legendre.leggauss(60)
    # r = b·sin(w) takes the sting out of the last branch, which may graze the main pipe
    w = np.pi / 4 * (nodes + 1)
    radii, dr = b * np.sin(w), b * np.cos(w) * weights * np.pi / 4
    _, along = miters.saddle(2 * radii, 2 * a, angle_deg, stations=4097)
    return float(np.sum(2 * np.mean(along[:, :-1], axis=1) * 2 * np.pi * radii * dr))


@pytest.mark.parametrize(
    ("a", "b", "volume", "half_digit"),
    [(1, 0.5, 1.5200400, 5e-8), (15.9, 14.3, 18066.878, 5e-4), (17.5, 14.3, 20403.551, 5e-4),
     (19.05, 12.7, 18163.040, 5e-4)],
)  # fmt: skip
def test_unequal_cylinders(a, b, volume, half_digit):
    assert common_volume(a, b) == pytest.approx(volume, abs=half_digit)


def test_equal_cylinders():
    assert common_volume(1.0, 1.0) == pytest.approx(16 / 3, rel=1e-5)


def test_slanted_cylinders():
    assert common_volume(15.9, 14.3, 60) / common_volume(15.9, 14.3) == pytest.approx(
        1.154701, abs=5e-7
    )


def test_joint_line_of_equal_cylinders_is_two_half_ellipses():
    """Semi-axes r and r√2; the ellipse of r = 14.3 cut at 45° is 109.257657 mm round."""
    assert miters.joint_line(28.6, 28.6, 90.0) == pytest.approx(109.257657, abs=5e-7)
    assert ellipse_perimeter(28.6, 40.4465) == pytest.approx(109.257657, abs=1e-4)


@pytest.mark.parametrize("angle", [30.0, 60.0, 73.0, 90.0])
def test_equal_tubes_are_cut_by_two_planes(angle):
    """z = r·tan(θ/2)·cos φ on the obtuse half and −r·cot(θ/2)·cos φ on the acute half."""
    around, along = miters.saddle(31.8, 31.8, angle)
    lean = np.cos(around / 15.9)
    half = np.radians(angle) / 2
    assert along == pytest.approx(
        np.where(lean > 0, np.tan(half), -1 / np.tan(half)) * 15.9 * lean, abs=1e-7
    )


def test_equal_tubes_at_60_degrees():
    _, along = miters.saddle(31.8, 31.8, 60.0, stations=5)
    assert along == pytest.approx([9.17987, 0, 27.53961, 0, 9.17987], abs=5e-6)


@pytest.mark.parametrize("angle", [40.0, 60.0, 90.0])
def test_joint_line_of_equal_tubes_at_an_angle(angle):
    """Two half ellipses: planes through the crossing at half the angle to the axis on each side."""
    half = np.radians(angle) / 2
    want = (ellipse_perimeter(2.0, 2 / np.cos(half)) + ellipse_perimeter(2.0, 2 / np.sin(half))) / 2
    assert miters.joint_line(2.0, 2.0, angle) == pytest.approx(want, rel=1e-12)
