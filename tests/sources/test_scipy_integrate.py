"""scipy.integrate.quad and scipy.optimize.brentq (SciPy, Virtanen et al., Nature Methods 17
(2020) 261) as judges of `bending`: the section integrated by fibres, the cantilever along its
length, nothing taken from the closed forms.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from coursekit import bending, coldset, pulls
from coursekit.tubes import Butted, Round

YIELD, MODULUS = 517.0, 205_000.0
TUBES = [(28.6, 0.9), (31.8, 0.5), (16.0, 1.0), (10.0, 5.0)]  # the last is a solid bar


def fibres(kappa: float, outside: float, inside: float) -> float:
    """Moment, N·mm: σ·y over chords, σ the fibre's own stress."""

    def chord(y):
        return 4 * (np.sqrt(max(outside**2 - y * y, 0)) - np.sqrt(max(inside**2 - y * y, 0)))

    knees = sorted({min(YIELD / (MODULUS * kappa), outside), inside, outside})
    knees = [0.0, *[k for k in knees if k > 0]]
    return sum(
        quad(lambda y: min(MODULUS * kappa * y, YIELD) * y * chord(y), a, b, epsabs=1e-9, epsrel=1e-11, limit=200)[0]
        for a, b in pairwise(knees))  # fmt: skip


@pytest.mark.parametrize(("diameter", "wall"), TUBES)
@pytest.mark.parametrize("ratio", [0.7, 1.0, 1.05, 1.2, 2.0, 10.0])
def test_moment_is_the_sum_over_the_fibres(diameter, wall, ratio):
    tube = Round(diameter, wall)
    kappa = ratio * bending.yield_curvature(tube, YIELD, MODULUS)
    assert bending.moment(kappa, tube, YIELD, MODULUS) == pytest.approx(fibres(kappa, diameter / 2, diameter / 2 - wall), rel=1e-9)  # fmt: skip


def along(load, length, tube, power, top):
    """∫ κ(P·x)·x^power dx from the pulled end, κ solved from the moment by bracketing."""
    first = bending.yield_curvature(tube, YIELD, MODULUS)
    onset = YIELD * tube.modulus / load

    def kappa(x):
        if x <= onset:
            return load * x / (MODULUS * tube.inertia)
        return brentq(lambda k: bending.moment(k, tube, YIELD, MODULUS) - load * x, first * (1 - 1e-9), top * (1 + 1e-9), xtol=1e-17, rtol=1e-14)  # fmt: skip

    # x = L - s²: the curvature rises without bound in slope at the clamp
    root = np.sqrt(length - onset)
    yielded = quad(lambda s: kappa(length - s * s) * (length - s * s) ** power * 2 * s, 0, root, epsabs=1e-13, epsrel=1e-11)[0]  # fmt: skip
    return load / (MODULUS * tube.inertia) * onset ** (2 + power) / (2 + power) + yielded


@pytest.mark.parametrize(("diameter", "wall"), TUBES)
@pytest.mark.parametrize("ratio", [1.1, 2.0, 6.0])
def test_slope_and_deflection_of_a_cantilever(diameter, wall, ratio):
    tube, length = Round(diameter, wall), 400.0
    root = ratio * bending.yield_curvature(tube, YIELD, MODULUS)
    pulled = pulls.cantilever(root, length, tube, YIELD, MODULUS)
    assert np.radians(pulled.slope_deg) == pytest.approx(along(pulled.force, length, tube, 0, root), rel=1e-8)  # fmt: skip
    assert pulled.deflection == pytest.approx(along(pulled.force, length, tube, 1, root), rel=1e-8)


@pytest.mark.parametrize("error", [0.1, 0.3, -0.6])
def test_cold_set_leaves_the_member_straight(error):
    tube, length = Round(28.6, 0.9), 450.0
    pull = coldset.cold_set(error, tube, length, YIELD, MODULUS)
    load = abs(pull.force)
    top = pull.curvature_ratio * bending.yield_curvature(tube, YIELD, MODULUS)
    swing = np.degrees(along(load, length, tube, 0, top))
    back = np.degrees(load * length**2 / (2 * MODULUS * tube.inertia))  # PL²/2EI, elastic
    assert np.sign(pull.pull_deg) == -np.sign(error)
    assert abs(pull.pull_deg) == pytest.approx(swing, rel=1e-8)
    assert abs(pull.overbend_deg) == pytest.approx(back, rel=1e-9)
    assert error + np.sign(pull.pull_deg) * (swing - back) == pytest.approx(0.0, abs=1e-7)


@pytest.mark.parametrize(
    ("from_a", "from_b"), [(0.0, 0.0), (5.0, 31.8), (70.0, 0.0), (20.0, 120.0)]
)
def test_mass_of_a_butted_tube_is_its_ring_along_the_length(from_a, from_b):
    """Area from two circles, wall by numpy's interpolation; cuts into butt, taper and nowhere."""
    edges, walls = np.cumsum([0.0, 55.0, 42.0, 355.0, 42.0, 104.0]), [0.9, 0.9, 0.6, 0.6, 0.8, 0.8]

    def ring(x):
        bore = 25.4 - 2 * np.interp(x, edges, walls)
        return np.pi / 4 * (25.4**2 - bore**2)

    inner = [e for e in edges if from_a < e < edges[-1] - from_b]
    volume = quad(ring, from_a, edges[-1] - from_b, points=inner, epsabs=1e-10, epsrel=1e-12)[0]
    tube = Butted(25.4, (0.9, 0.6, 0.8), tuple(np.diff(edges)))
    assert tube.cut(from_a, from_b).mass() == pytest.approx(volume * 7.85e-3, rel=1e-10)
