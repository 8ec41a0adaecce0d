"""How fast saddle curves are made, beside peers.

The peers are scipy's root finder on the distance to the other tube's axis, which is what one would
write without the closed form, and a mesh boolean by manifold3d. Each benchmark's `extra_info` has the
curves per second from its median.
"""

import manifold3d as m3
import numpy as np
import pytest
from scipy.optimize import elementwise

from coursekit import miters

STATIONS = 361


def joints(count):
    rng = np.random.default_rng(7)
    diameter = rng.uniform(12, 32, count)
    return diameter, diameter + rng.uniform(0.5, 10, count), rng.uniform(45, 90, count)


def root_found(diameter, into, angle_deg):
    """One curve by scipy's vectorised bracketing solver (Chandrupatla), no closed form."""
    phi = np.linspace(0, 2 * np.pi, STATIONS)
    theta = np.radians(angle_deg)
    x, y = diameter / 2 * np.cos(phi), diameter / 2 * np.sin(phi)

    def outside(z, x, y):
        return (z * np.sin(theta) + x * np.cos(theta)) ** 2 + y**2 - (into / 2) ** 2

    low = -x / np.tan(theta)
    found = elementwise.find_root(
        outside, (low, low + 10 * into), args=(x, y), tolerances={"xatol": 1e-9}
    )
    return found.x


def mesh_cut(diameter, into, angle_deg):
    """One cut end by a mesh boolean, 360 facets; its corners stand for the curve."""
    branch = m3.Manifold.cylinder(100, diameter / 2, diameter / 2, 360)
    main = m3.Manifold.cylinder(200, into / 2, into / 2, 360).translate((0, 0, -100))
    return (branch - main.rotate((0, 180 - angle_deg, 0))).to_mesh().vert_properties


def speak(benchmark, curves):
    benchmark.extra_info["curves_per_s"] = round(curves / benchmark.stats.stats.median)


@pytest.mark.benchmark(group="saddle")
def test_ten_thousand_saddles_at_once(benchmark):
    given = joints(10_000)
    around, along = benchmark(miters.saddle, *given)
    assert around.shape == along.shape == (10_000, STATIONS)
    speak(benchmark, 10_000)


@pytest.mark.benchmark(group="saddle")
def test_one_saddle(benchmark):
    _, along = benchmark(miters.saddle, 28.6, 36.0, 60.0)
    assert along.shape == (STATIONS,)
    speak(benchmark, 1)


@pytest.mark.benchmark(group="saddle")
def test_one_general_cut(benchmark):
    joint = miters.Joint(36.0, 60.0)
    one = benchmark(miters.cut, 28.6, joint)
    assert one.along == pytest.approx(miters.saddle(28.6, 36.0, 60.0)[1], abs=1e-9)
    speak(benchmark, 1)


@pytest.mark.benchmark(group="saddle")
def test_peer_root_finding_by_scipy(benchmark):
    along = benchmark(root_found, 28.6, 36.0, 60.0)
    assert along == pytest.approx(miters.saddle(28.6, 36.0, 60.0)[1], abs=1e-6)
    speak(benchmark, 1)


@pytest.mark.benchmark(group="saddle")
def test_peer_mesh_boolean_by_manifold3d(benchmark):
    corners = benchmark(mesh_cut, 28.6, 36.0, 60.0)
    assert corners[:, 2].min() == pytest.approx(miters.saddle(28.6, 36.0, 60.0)[1].min(), abs=5e-3)
    speak(benchmark, 1)
