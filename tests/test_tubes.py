"""Tube sections: identities, limits, symmetry."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.tubes import Butted, Oval, Round


@pytest.mark.parametrize("tube", [Round(28.6, 0.9), Round(12.0, 6.0), Round(38.1, 2.0)])
def test_round_by_rings(tube):
    """∫ dA, ∫ r² dA over thin rings, r from bore to outside."""
    r, w = np.polynomial.legendre.leggauss(8)
    a, b = tube.bore / 2, tube.diameter / 2
    r, w = (a + b) / 2 + (b - a) / 2 * r, w * (b - a) / 2
    assert tube.area == pytest.approx(np.sum(2 * np.pi * r * w))
    assert tube.torsion == pytest.approx(np.sum(2 * np.pi * r**3 * w))
    assert tube.inertia == pytest.approx(tube.torsion / 2)
    # plastic modulus: ∫ |y| dA, a ring of radius r has mean |y| = 2r/π
    assert tube.plastic_modulus == pytest.approx(np.sum(2 * np.pi * r * 2 * r / np.pi * w))
    assert tube.modulus * tube.diameter / 2 == pytest.approx(tube.inertia)


def test_round_simple_values():
    tube = Round(28.6, 0.9)
    assert tube.perimeter == pytest.approx(np.pi * 28.6)
    assert tube.mid_radius == pytest.approx(13.85)
    assert tube.slit_torsion == pytest.approx(2 * np.pi * 13.85 * 0.9**3 / 3)
    assert tube.grams_per_metre(7.0) == pytest.approx(7 * tube.area)
    assert tube.section().height(0.0) == pytest.approx(14.3)
    solid = Round(10.0, 5.0)
    assert solid.area == pytest.approx(np.pi * 25)


def test_round_takes_arrays():
    many = Round(np.array([28.6, 31.8]), np.array([[0.9], [0.6]]))
    assert many.area.shape == (2, 2)
    assert many.area[1, 0] == Round(28.6, 0.6).area


def offset_polygon(width, depth, inset, count=40001):
    """Corners of the curve `inset` inside an ellipse, square to it."""
    t = np.linspace(0, 2 * np.pi, count)
    x, y = width / 2 * np.cos(t), depth / 2 * np.sin(t)
    nx, ny = np.cos(t) / (width / 2), np.sin(t) / (depth / 2)
    n = np.hypot(nx, ny)
    return x - inset * nx / n, y - inset * ny / n


def polygon_values(x, y):
    """Area and second moments ∫x² dA, ∫y² dA of a polygon (shoelace, Green's theorem)."""
    a, b = x[:-1] * y[1:] - x[1:] * y[:-1], (x[:-1], x[1:], y[:-1], y[1:])
    area = a.sum() / 2
    xx = np.sum(a * (b[0] ** 2 + b[0] * b[1] + b[1] ** 2)) / 12
    yy = np.sum(a * (b[2] ** 2 + b[2] * b[3] + b[3] ** 2)) / 12
    return area, xx, yy


@pytest.mark.parametrize(
    ("w", "d", "t"), [(30.0, 20.0, 0.9), (20.0, 30.0, 1.5), (28.6, 28.6, 0.9), (40.0, 15.0, 0.6)]
)
def test_oval_by_polygons(w, d, t):
    outside = np.array(polygon_values(*offset_polygon(w, d, 0.0)))
    inside = np.array(polygon_values(*offset_polygon(w, d, t)))
    area, across_width, across_depth = outside - inside
    oval = Oval(w, d, t)
    assert oval.area == pytest.approx(area, rel=1e-6)
    assert oval.inertia_depth == pytest.approx(across_width, rel=1e-6)
    assert oval.inertia_width == pytest.approx(across_depth, rel=1e-6)


@pytest.mark.parametrize(("w", "d", "t"), [(30.0, 20.0, 0.9), (40.0, 15.0, 0.6)])
def test_oval_torsion_by_bredt_on_a_polygon(w, d, t):
    x, y = offset_polygon(w, d, t / 2)
    enclosed = polygon_values(x, y)[0]
    length = np.hypot(np.diff(x), np.diff(y)).sum()
    assert Oval(w, d, t).torsion == pytest.approx(4 * enclosed**2 * t / length, rel=1e-6)


def test_round_oval_is_a_round_tube():
    oval, tube = Oval(28.6, 28.6, 0.9), Round(28.6, 0.9)
    assert oval.area == pytest.approx(tube.area, rel=1e-12)
    assert oval.inertia_width == pytest.approx(tube.inertia, rel=1e-12)
    assert oval.inertia_depth == pytest.approx(tube.inertia, rel=1e-12)
    assert oval.perimeter == pytest.approx(tube.perimeter, rel=1e-14)
    assert oval.grams_per_metre() == pytest.approx(tube.grams_per_metre(), rel=1e-12)
    # Bredt leaves out (t/2r)²
    assert 1 - oval.torsion / tube.torsion == pytest.approx((0.9 / 27.7) ** 2, rel=2e-3)


def test_oval_turned_is_the_same_oval():
    one, two = Oval(30.0, 20.0, 0.9), Oval(20.0, 30.0, 0.9)
    assert one.area == two.area
    assert one.inertia_width == pytest.approx(two.inertia_depth, rel=1e-14)
    assert one.torsion == two.torsion
    assert one.inertia_depth > one.inertia_width


def test_oval_takes_arrays():
    many = Oval(np.array([30.0, 32.0]), 20.0, 0.9)
    assert many.inertia_width[1] == pytest.approx(Oval(32.0, 20.0, 0.9).inertia_width, rel=1e-15)


def test_oval_section_turns():
    oval = Oval(30.0, 20.0, 0.9)
    assert oval.section().height(0.0) == pytest.approx(15.0)
    assert oval.section(90).height(0.0) == pytest.approx(10.0)


TUBE = Butted(28.6, (0.9, 0.6, 0.8), (70.0, 40.0, 320.0, 30.0, 140.0))
parts = st.floats(0.0, 300.0)


def test_butted_walls():
    x = [0, 70, 90, 110, 300, 430, 445, 460, 600]
    assert TUBE.wall_at(x) == pytest.approx([0.9, 0.9, 0.75, 0.6, 0.6, 0.6, 0.7, 0.8, 0.8])
    assert TUBE.section_at(90).wall == pytest.approx(0.75)
    assert TUBE.marks == (70, 110, 430, 460)
    assert TUBE.section().height(0.0) == pytest.approx(14.3)


def test_butted_mass_by_slices():
    edges = np.array([0.0, *TUBE.marks, 600.0])
    nodes, weights = np.polynomial.legendre.leggauss(6)
    total = 0.0
    for a, b in pairwise(edges):
        x = (a + b) / 2 + (b - a) / 2 * nodes
        total += np.sum(Round(28.6, TUBE.wall_at(x)).area * weights) * (b - a) / 2
    assert TUBE.mass() == pytest.approx(total * 7.85 / 1000, rel=1e-13)
    assert TUBE.mass(8.0) == pytest.approx(total * 8.0 / 1000, rel=1e-13)


def test_plain_tube_weighs_its_length():
    plain = Butted(31.8, (0.9, 0.9, 0.9), (0.0, 0.0, 500.0, 0.0, 0.0))
    assert plain.mass() == pytest.approx(Round(31.8, 0.9).grams_per_metre() / 2)


def test_single_butted_step():
    step = Butted(28.6, (0.9, 0.6, 0.6), (100.0, 0.0, 400.0, 0.0, 0.0))
    assert step.wall_at([99.9, 100.0, 100.1, 500.0]) == pytest.approx([0.9, 0.9, 0.6, 0.6])


def test_taper_too_short_to_divide_by_is_a_step():
    step = Butted(28.6, (0.9, 0.6, 0.6), (100.0, 2e-309, 400.0, 0.0, 0.0))
    assert step.wall_at([99.9, 100.1, 500.0]) == pytest.approx([0.9, 0.6, 0.6])
    start = Butted(28.6, (0.9, 0.6, 0.6), (0.0, 2e-309, 400.0, 0.0, 0.0))
    assert start.wall_at([0.0, 300.0]) == pytest.approx([0.9, 0.6])


@given(st.tuples(parts, parts, parts, parts, parts), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_cut_keeps_the_walls_where_they_were(lengths, share_a, share_b):
    if sum(lengths) < 10:
        return
    whole = Butted(28.6, (0.9, 0.6, 0.8), lengths)
    a = whole.length * 0.9 * share_a
    b = (whole.length - a) * 0.9 * share_b
    left = whole.cut(a, b)
    assert left.length == pytest.approx(whole.length - a - b)
    x = np.linspace(0, left.length, 23)[1:-1]
    away = np.min(np.abs((x + a)[:, None] - np.array(whole.marks)), axis=1) > 1e-6
    assert left.wall_at(x)[away] == pytest.approx(whole.wall_at(x + a)[away], abs=1e-6)


def test_cut_in_turn_is_cut_at_once():
    assert TUBE.cut(30, 10).cut(20, 40).lengths == pytest.approx(TUBE.cut(50, 50).lengths)
    assert TUBE.cut(0, 0) == TUBE


def test_cut_mass_is_what_falls_off():
    left = TUBE.cut(90, 150)
    assert left.lengths == pytest.approx((0, 20, 320, 20, 0))
    assert left.walls == pytest.approx((0.75, 0.6, 0.6 + 0.2 * 20 / 30))
    off = TUBE.cut(0, 510).mass() + TUBE.cut(450, 0).mass()
    assert left.mass() + off == pytest.approx(TUBE.mass(), rel=1e-12)


def test_cut_beyond_the_belly():
    near_b, near_a = TUBE.cut(445, 0), TUBE.cut(0, 510)
    assert near_b.lengths == pytest.approx((0, 0, 0, 15, 140))
    assert near_b.walls == pytest.approx((0.7, 0.7, 0.8))
    assert near_a.lengths == pytest.approx((70, 20, 0, 0, 0))
    assert near_a.walls == pytest.approx((0.9, 0.75, 0.75))


def test_reversal():
    turned = Butted(28.6, TUBE.walls[::-1], TUBE.lengths[::-1])
    x = np.linspace(0, 600, 101)
    assert turned.wall_at(600 - x) == pytest.approx(TUBE.wall_at(x))
    assert turned.mass() == pytest.approx(TUBE.mass())


def test_butted_takes_arrays():
    many = Butted(28.6, (np.array([0.9, 1.0]), 0.6, 0.8), TUBE.lengths)
    assert many.mass()[0] == pytest.approx(TUBE.mass())
    assert many.mass()[1] > many.mass()[0]
    cuts = TUBE.cut(np.array([0.0, 90.0, 445.0]), 0.0)
    assert cuts.length == pytest.approx([600, 510, 155])
    assert cuts.walls[0] == pytest.approx([0.9, 0.75, 0.7])
