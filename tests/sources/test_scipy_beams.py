"""SciPy as judge of one tube as a beam: its line by integrating the curvature, its stress by summing over the section."""

from math import cos, pi, sin

import pytest

from coursekit import beams
from coursekit.tubes import Round

integrate = pytest.importorskip("scipy.integrate")
constants = pytest.importorskip("scipy.constants")


@pytest.mark.parametrize(("force", "length", "inertia"), [(60, 500, 7519.69), (200, 500, 7519.69), (40, 450, 4682)])  # fmt: skip
def test_sag_by_integration(force, length, inertia):
    line = integrate.solve_ivp(
        lambda x, y: (y[1], force * (length - x) / (205_000 * inertia)), (0, length), (0, 0), rtol=1e-10, atol=1e-12
    )  # fmt: skip
    assert beams.sag(force, length, inertia) == pytest.approx(line.y[0, -1], rel=1e-8)


@pytest.mark.parametrize(("push", "bending", "size", "wall"), [(454, 101_800, 31.8, 0.9), (0, 3e4, 28.6, 0.9), (-800, 2e4, 25.4, 0.6)])  # fmt: skip
def test_stress_adds_up_to_push_and_bending(push, bending, size, wall):
    """The stress is even for the push and grows with the height for the bending; summed it must give both back."""
    tube = Round(size, wall)
    edge = beams.edge_stress(0.0, bending, tube)
    even = beams.edge_stress(push, 0.0, tube)
    inner, outer = size / 2 - wall, size / 2

    def over(what):
        return integrate.dblquad(lambda r, a: what(r * sin(a)) * r, 0, 2 * pi, inner, outer)[0]

    assert over(lambda y: even) == pytest.approx(abs(push), rel=1e-9, abs=1e-9)
    assert over(lambda y: y * edge * y / outer) == pytest.approx(bending, rel=1e-8)
    assert beams.edge_stress(push, bending, tube) == pytest.approx(edge + even, rel=1e-12)
    assert cos(0) * edge > 0


def test_gravity():
    assert beams.fall(22.5, 180.0) == pytest.approx(22.5 * constants.g * 0.18, rel=1e-12)
