"""bending: limits, signs and published ratios. The integrals are judged in tests/sources."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import bending, pulls
from coursekit.tubes import Round

TUBE = Round(28.6, 0.9)
STEEL = (517.0, 205_000.0)
FIRST = bending.yield_curvature(TUBE, *STEEL)
YIELD_MOMENT = 517.0 * TUBE.modulus

ratios = st.floats(1.001, 200.0)


def test_first_yield():
    assert pytest.approx(517.0 / 205_000.0 / 14.3) == FIRST
    assert bending.moment(FIRST, TUBE, *STEEL) == pytest.approx(YIELD_MOMENT, rel=1e-12)


@given(st.floats(-1.0, 1.0))
def test_below_yield_it_is_elastic(share):
    kappa = share * FIRST
    expected = 205_000.0 * TUBE.inertia * kappa
    assert bending.moment(kappa, TUBE, *STEEL) == pytest.approx(expected, rel=1e-12, abs=1e-9)
    assert bending.set_curvature(kappa, TUBE, *STEEL) == 0.0


@given(ratios)
def test_moment_grows_towards_the_plastic_one(ratio):
    one, two = (bending.moment(r * FIRST, TUBE, *STEEL) for r in (ratio, 1.01 * ratio))
    assert YIELD_MOMENT < one < two < 517.0 * TUBE.plastic_modulus


@pytest.mark.parametrize(
    ("diameter", "wall", "expected"),
    # Z/S in closed form: thin tube 4/π, solid bar 16/3π, and three tubes
    [
        (1000.0, 0.0005, 4 / np.pi),
        (20.0, 10.0, 16 / (3 * np.pi)),
        (28.6, 0.9, 1.31368),
        (31.8, 0.8, 1.30552),
        (28.6, 0.6, 1.30013),
    ],
)
def test_plastic_over_elastic_modulus(diameter, wall, expected):
    tube = Round(diameter, wall)
    first = bending.yield_curvature(tube, *STEEL)
    far = bending.moment(1e5 * first, tube, *STEEL) / bending.moment(first, tube, *STEEL)
    assert far == pytest.approx(expected, abs=5e-6)
    assert far == pytest.approx(tube.plastic_modulus / tube.modulus, rel=1e-9)


# M/My of a thin tube at κ/κy, and the set left, by integrating σ·y·t·ds round the ring
THIN = [(1.2, 1.10447, 0.09553), (1.5, 1.17135, 0.32865), (2, 1.21800, 0.78200), (3, 1.24925, 1.75075), (5, 1.26470, 3.73530)]  # fmt: skip


@pytest.mark.parametrize(("ratio", "moment", "left"), THIN)
def test_thin_tube(ratio, moment, left):
    thin = Round(1000.0, 0.002)
    first = bending.yield_curvature(thin, *STEEL)
    start = bending.moment(first, thin, *STEEL)
    assert bending.moment(ratio * first, thin, *STEEL) / start == pytest.approx(moment, abs=1e-5)
    assert bending.set_curvature(ratio * first, thin, *STEEL) / first == pytest.approx(
        left, abs=1e-5
    )


@given(ratios)
def test_bending_the_other_way_mirrors(ratio):
    kappa = ratio * FIRST
    for function in (bending.moment, bending.set_curvature):
        assert function(-kappa, TUBE, *STEEL) == -function(kappa, TUBE, *STEEL)


@given(st.floats(1e-7, 1e-2), st.sampled_from([-1, 1]))
def test_the_curvature_for_a_set_leaves_it(wanted, way):
    bent = bending.curvature_for_set(way * wanted, TUBE, *STEEL)
    assert np.sign(bent) == way
    assert bending.set_curvature(bent, TUBE, *STEEL) == pytest.approx(way * wanted, rel=1e-8)


def test_set_is_curvature_less_elastic_return():
    kappa = 3 * FIRST
    back = bending.moment(kappa, TUBE, *STEEL) / (205_000.0 * TUBE.inertia)
    assert bending.set_curvature(kappa, TUBE, *STEEL) == pytest.approx(kappa - back, rel=1e-12)


def test_a_cantilever_below_yield_is_the_handbook_one():
    load, length = 200.0, 500.0  # PL³/3EI = 5.4059 of a clamped 28.6 x 0.9, E = 205 GPa
    root = load * length / (205_000.0 * TUBE.inertia)
    pulled = pulls.cantilever(root, length, TUBE, *STEEL)
    assert pulled.force == pytest.approx(load, rel=1e-12)
    assert pulled.deflection == pytest.approx(5.4059, abs=5e-5)
    assert np.radians(pulled.slope_deg) == pytest.approx(load * length**2 / (2 * 205_000.0 * TUBE.inertia))  # fmt: skip
    assert pulled.springback_deg == pytest.approx(pulled.slope_deg)
    assert (pulled.set_deg, pulled.moment) == (0.0, pytest.approx(load * length))
    assert pulled.strain == pytest.approx(root * 14.3)


@given(st.floats(1.0001, 100.0))
def test_slope_is_set_and_springback(ratio):
    pulled = pulls.cantilever(ratio * FIRST, 400.0, TUBE, *STEEL)
    assert pulled.set_deg + pulled.springback_deg == pytest.approx(pulled.slope_deg)
    assert 0 < pulled.set_deg < pulls.greatest_set_deg(400.0, TUBE, *STEEL)
    assert np.radians(pulled.springback_deg) == pytest.approx(pulled.force * 400.0**2 / (2 * 205_000.0 * TUBE.inertia))  # fmt: skip


def test_running_on_smoothly_through_yield():
    just, past = (pulls.cantilever(r * FIRST, 400.0, TUBE, *STEEL) for r in (1 - 1e-9, 1 + 1e-9))
    assert past.slope_deg == pytest.approx(just.slope_deg, rel=1e-8)
    assert past.deflection == pytest.approx(just.deflection, rel=1e-8)


@given(st.floats(0.001, 0.75), st.floats(100.0, 900.0))
def test_the_pull_for_a_set_leaves_it_at_any_length(set_deg, length):
    wanted = set_deg * length / 500.0
    pulled = pulls.cantilever_for_set(wanted, length, TUBE, *STEEL)
    assert pulled.set_deg == pytest.approx(wanted, rel=1e-6)
    # all angles grow with length, all travel with its square, the force falls with it
    short = pulls.cantilever_for_set(wanted / 2, length / 2, TUBE, *STEEL)
    assert pulled.slope_deg == pytest.approx(2 * short.slope_deg, rel=1e-6)
    assert pulled.deflection == pytest.approx(4 * short.deflection, rel=1e-6)
    assert pulled.force == pytest.approx(short.force / 2, rel=1e-6)


def test_a_batch_equals_a_loop():
    tubes = Round(np.array([28.6, 31.8, 16.0]), np.array([0.9, 0.5, 1.0]))
    sets = np.array([[0.1], [0.4]])
    many = pulls.cantilever_for_set(sets, 500.0, tubes, *STEEL)
    assert many.force.shape == (2, 3)
    for i, j in np.ndindex(2, 3):
        tube = Round(float(tubes.diameter[j]), float(tubes.wall[j]))
        one = pulls.cantilever_for_set(float(sets[i, 0]), 500.0, tube, *STEEL)
        for name in one.__dataclass_fields__:
            assert np.broadcast_to(getattr(many, name), (2, 3))[i, j] == pytest.approx(getattr(one, name), rel=1e-12)  # fmt: skip
    kappas = np.array([1e-4, 5e-4, -9e-4])
    for function in (bending.moment, bending.set_curvature, bending.curvature_for_set):
        loop = [function(float(k), TUBE, *STEEL) for k in kappas]
        assert function(kappas, TUBE, *STEEL) == pytest.approx(loop, rel=1e-12)


def test_within_yield_nothing_stays():
    """Hooke: a tube that is bent less than to yield goes back all the way, to either side."""
    tube = Round(28.6, 0.9)
    first = float(bending.yield_curvature(tube, 517.0, 205_000.0))
    assert first == pytest.approx(517.0 / 205_000.0 / 14.3)
    for share in (0.2, -0.9, 0.999):
        assert bending.set_curvature(share * first, tube, 517.0, 205_000.0) == 0.0
    assert bending.set_curvature(1.01 * first, tube, 517.0, 205_000.0) > 0
