"""scipy.optimize.brentq, .approx_fprime and scipy.integrate.quad (SciPy, Virtanen et al., Nature Methods
17 (2020) 261) as judges of what is found by search, of slopes and of sums along a tube.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import approx_fprime, brentq

from coursekit import alignment, bending, fixture, miters, ovals, pulls, tacks
from coursekit.frame import draw
from coursekit.tubes import Butted, Oval, Round

YIELD, MODULUS = 517.0, 205_000.0
TUBE = Round(28.6, 0.9)
GIVEN = {
    "seat_angle_deg": 73.0, "head_angle_deg": 72.0, "chainstay": 425.0, "bb_drop": 72.0, "rear_radius": 340.0,
    "front_radius": 338.0, "fork_length": 385.0, "fork_offset": 47.0, "lower_stack": 12.0, "head_tube": 145.0,
    "seat_tube": 600.0, "reach": 390.0,
}  # fmt: skip


@pytest.mark.parametrize("of", ["trail", "wheelbase", "front_centre", "stack"])
@pytest.mark.parametrize("to", ["head_angle_deg", "fork_offset", "reach", "bb_drop"])
def test_slope_of_a_dimension(of, to):
    slope = approx_fprime([GIVEN[to]], lambda v: getattr(draw(**{**GIVEN, to: v[0]}), of), 1e-5)
    assert draw(**GIVEN).sensitivity(of, to) == pytest.approx(slope[0], abs=2e-5)


def test_budget_of_the_fixture():
    frame = draw(**GIVEN)
    s = fixture.settings(frame)
    names = ["head_ahead", "head_angle_deg", "rear_up", "low_face"]

    def trail(values):
        return fixture.built(frame, fixture.Settings(**{**vars(s), **dict(zip(names, values, strict=True))})).trail  # fmt: skip

    errors = np.array([0.3, 0.05, 0.2, 0.25])
    budget = fixture.error_budget(frame, dict(zip(names, errors, strict=True)), of="trail")
    slopes = approx_fprime([getattr(s, n) for n in names], trail, 1e-5)
    assert [budget.slopes[n] for n in names] == pytest.approx(slopes, abs=2e-5)
    assert budget.total == pytest.approx(np.linalg.norm(slopes * errors), abs=2e-5)
    assert budget.worst == pytest.approx(np.abs(slopes) @ errors, abs=4e-5)


def ring_moment(kappa):
    """Bending moment of the tube, N·mm, by strips of its wall: σ·y summed through it and round it."""

    def strip(r, phi):
        y = r * np.sin(phi)
        return np.clip(MODULUS * kappa * y, -YIELD, YIELD) * y * r

    nodes, weights = np.polynomial.legendre.leggauss(80)
    r, step = 13.85 + 0.45 * nodes, 0.45 * weights
    phi = np.linspace(0, np.pi / 2, 4001)
    return 4 * np.trapezoid((step[:, None] * strip(r[:, None], phi)).sum(0), phi)


@pytest.mark.parametrize("ratio", [1.05, 1.3, 3.0])
def test_set_of_a_bent_tube(ratio):
    kappa = ratio * bending.yield_curvature(TUBE, YIELD, MODULUS)
    inertia = np.pi / 64 * (28.6**4 - 26.8**4)
    left = kappa - ring_moment(kappa) / (MODULUS * inertia)
    assert bending.set_curvature(kappa, TUBE, YIELD, MODULUS) == pytest.approx(left, rel=1e-5)
    assert bending.curvature_for_set(left, TUBE, YIELD, MODULUS) == pytest.approx(kappa, rel=1e-5)


def set_deg(tip, length):
    """Slope that stays at the end of a cantilever: the set summed along it, the clamp at share `tip`
    of the plastic moment; κ from the moment by bracketing."""
    plastic = YIELD * TUBE.plastic_modulus
    elastic = MODULUS * TUBE.inertia
    first = bending.yield_curvature(TUBE, YIELD, MODULUS)

    def stays(share):
        m = share * tip * plastic
        if m <= elastic * first:
            return 0.0
        return brentq(lambda k: bending.moment(k, TUBE, YIELD, MODULUS) - m, first / 2, 1e4 * first, xtol=1e-18) - m / elastic  # fmt: skip

    # near the hinge κ rises as 1/√: let the share be 1 − s²
    return np.degrees(length * quad(lambda s: stays(1 - s * s) * 2 * s, 1e-6, 1, epsrel=1e-8, limit=200)[0])  # fmt: skip


def test_greatest_set_of_a_pull():
    assert pulls.greatest_set_deg(500.0, TUBE, YIELD, MODULUS) == pytest.approx(set_deg(1.0, 500.0), rel=2e-4)  # fmt: skip


def test_pull_for_a_set():
    pulled = pulls.cantilever_for_set(0.3, 400.0, TUBE, YIELD, MODULUS)
    tip = pulled.force * 400.0 / (YIELD * TUBE.plastic_modulus)
    assert set_deg(tip, 400.0) == pytest.approx(0.3, rel=1e-5)


def test_width_to_press_to():
    for width in (26.0, 24.0):
        pressed = brentq(lambda w, to=width: w + ovals.springback(28.6, 0.9, w, YIELD, MODULUS) - to, 15.0, width)  # fmt: skip
        assert ovals.squeeze_to(28.6, 0.9, width, YIELD, MODULUS) == pytest.approx(
            pressed, abs=1e-6
        )


@pytest.mark.parametrize(("angle", "saw", "error"), [(90.0, 33.0, 0.0), (60.0, 31.8, 1.0), (75.0, 32.5, -1.5)])  # fmt: skip
def test_light_that_a_wrong_saw_leaves(angle, saw, error):
    """Rays along the tube's wall to the cylinder it was cut to and to the one it meets, by bracketing."""

    def reach(phi, big, at_deg):
        c, s = np.cos(np.radians(at_deg)), np.sin(np.radians(at_deg))
        x, y = 14.3 * np.cos(phi), 14.3 * np.sin(phi)
        # across the other tube: its axis leans, so a place t along the wall lies at t·s + x·c of it
        return brentq(lambda t: (t * s + x * c) ** 2 + y**2 - big**2, -x * c / s, 400.0, xtol=1e-12)

    around = np.radians(np.linspace(0, 360, 25))
    gap = np.array([reach(p, saw / 2, angle + error) - reach(p, 15.9, angle) for p in around])
    _, ours = miters.gaps(28.6, 31.8, angle, saw, error, stations=25)
    assert ours == pytest.approx(gap - gap.min(), abs=1e-9)


def test_tube_along_its_length():
    """Wall by numpy.interp between the marks, mass by quad over the ring's area."""
    tube = Butted(28.6, (0.9, 0.6, 0.8), (70.0, 40.0, 320.0, 45.0, 125.0))
    places = np.cumsum([0.0, *tube.lengths])
    walls = [0.9, 0.9, 0.6, 0.6, 0.8, 0.8]

    def ring(x):
        wall = np.interp(x, places, walls)
        return np.pi * wall * (28.6 - wall)

    x = np.linspace(0, 600, 97)
    assert tube.wall_at(x) == pytest.approx(np.interp(x, places, walls))
    assert tube.marks == pytest.approx(places[1:-1])
    assert tube.section_at(x).area == pytest.approx(ring(x))
    mass = quad(ring, 0, 600, points=places[1:-1], epsrel=1e-12)[0] * 7.85e-3
    assert tube.mass(7.85) == pytest.approx(mass, rel=1e-9)
    short = tube.cut(90.0, 130.0)  # into a taper at a, through the butt at b
    left = quad(ring, 90, 470, points=[110, 430], epsrel=1e-12)[0] * 7.85e-3
    assert tube.length == places[-1]
    assert (short.length, short.mass(7.85)) == (380.0, pytest.approx(left, rel=1e-9))


def test_wall_of_an_oval():
    """∫ dA and ∫ x² dA over the wall by quad: outside ellipse less its parallel curve's inside."""
    a, b, t = 15.0, 10.0, 0.9

    def through(s, phi, power):
        c, n = np.cos(phi), np.sin(phi)
        speed = np.hypot(a * n, b * c)
        x = a * c - s * b * c / speed
        return x**power * (speed - s * a * b / speed**2)

    nodes, weights = np.polynomial.legendre.leggauss(8)
    depth, step = t / 2 * (1 + nodes), t / 2 * weights
    area, inertia = (
        4 * quad(lambda phi, k=power: float(step @ through(depth, phi, k)), 0, np.pi / 2, epsrel=1e-12)[0]
        for power in (0, 2))  # fmt: skip
    oval = Oval(30.0, 20.0, t)
    rim = 4 * quad(lambda phi: np.hypot(a * np.sin(phi), b * np.cos(phi)), 0, np.pi / 2)[0]
    assert float(oval.perimeter) == pytest.approx(rim, rel=1e-10)
    assert Round(30.0, t).perimeter == pytest.approx(2 * np.pi * a)
    # Bredt: twice the area inside the mid-line, squared, over the sum of lengths by thickness
    half = t / 2

    def mid_line(phi):  # points of the parallel curve half a wall inside
        speed = np.hypot(a * np.sin(phi), b * np.cos(phi))
        return np.array([a * np.cos(phi) - half * b * np.cos(phi) / speed, b * np.sin(phi) - half * a * np.sin(phi) / speed])  # fmt: skip

    x, y = mid_line(np.linspace(0, 2 * np.pi, 200_001))
    inside = np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2
    length = np.hypot(np.diff(x), np.diff(y)).sum()
    assert float(oval.torsion) == pytest.approx(4 * inside**2 * t / length, rel=1e-8)
    assert float(oval.area) == pytest.approx(area, rel=1e-10)
    assert float(oval.inertia_depth) == pytest.approx(inertia, rel=1e-10)
    assert float(Oval(20.0, 30.0, t).inertia_width) == pytest.approx(inertia, rel=1e-10)
    assert oval.grams_per_metre(7.85) == pytest.approx(area * 7.85, rel=1e-10)


def test_height_of_a_fitted_line_beyond_its_readings():
    """numpy.polyfit's line and covariance carried to a place."""
    x = np.array([0.0, 60.0, 110.0, 160.0, 250.0])
    half = np.array([0.10, 0.16, 0.15, 0.27, 0.31])
    line = alignment.line(x, 50 + half, 50 - half)
    (slope, offset), covariance = np.polyfit(x, half, 1, cov=True)
    place = np.array([400.0, 1.0])
    assert line.offset_at(400.0) == pytest.approx(slope * 400 + offset)
    assert line.offset_uncertainty_at(400.0) == pytest.approx(np.sqrt(place @ covariance @ place))


def test_best_order_by_complex_numbers():
    """Every order of the tacks, its pulls summed as complex numbers, by brute force."""
    from itertools import permutations

    angles = (0.0, 70.0, 150.0, 200.0, 290.0)
    sums = [abs(sum(0.7**k * np.exp(1j * np.radians(a)) for k, a in enumerate(o))) for o in permutations(angles)]  # fmt: skip
    order = tacks.best(angles, hold=0.7)
    assert order.size == pytest.approx(min(sums))
    steps = np.cumsum([0.7**k * np.exp(1j * np.radians(a)) for k, a in enumerate(order.angles_deg)])
    tilt = tacks.after_each(order.angles_deg, hold=0.7)
    assert tilt[:, 0] + 1j * tilt[:, 1] == pytest.approx(steps)
