"""scipy.spatial.transform.Rotation, scipy.constants and scipy.special (SciPy, Virtanen et al., Nature
Methods 17 (2020) 261) as judges of angles in space, of the inch and of the ellipse's arc.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import constants, special
from scipy.spatial.transform import Rotation

from coursekit import alignment, miters, tacks, units
from coursekit.sections import Ellipse


def thrown(angle_deg, length):
    """How far off the x axis a line turned by an angle is where its x is `length`."""
    way = Rotation.from_euler("z", angle_deg, degrees=True).apply([1.0, 0.0, 0.0])
    return way[1] * length / way[0]


@pytest.mark.parametrize("error", [-3.0, 0.5, 1.0, 20.0])
def test_far_end_of_a_tube_that_swings(error):
    assert miters.far_end(600.0, error) == pytest.approx(thrown(error, 600.0))
    assert tacks.tip_offset([error, -error], 480.0) == pytest.approx([thrown(error, 480.0), thrown(-error, 480.0)])  # fmt: skip
    assert units.rise(error, 600.0) == pytest.approx(thrown(error, 600.0))
    assert alignment.over_length(error, 150.0) == pytest.approx(thrown(error, 150.0))


def read_on_the_plate(lean_deg, zero, places):
    """Heights of a tube that leans about the frame's x axis, read with either face down."""
    axis = Rotation.from_euler("x", lean_deg, degrees=True).apply([0.0, 1.0, 0.0])
    height = places * axis[2] / axis[1]
    return alignment.line(places, zero + height, zero - height)


def test_twist_of_head_tube_against_seat_tube():
    places = np.array([0.0, 70.0, 140.0, 300.0])
    head, seat = read_on_the_plate(0.8, 52.0, places), read_on_the_plate(0.3, 52.0, places)
    assert alignment.twist_deg(head, seat) == pytest.approx(0.5)


def test_the_inch():
    inch = constants.inch * 1000
    assert units.mm("1 in") == units.mm("1 1/8 in") / 1.125 == inch


@pytest.mark.parametrize(("a", "b"), [(15.0, 10.0), (14.3, 14.3), (9.0, 16.0)])
def test_arc_and_normal_of_an_ellipse(a, b):
    """With t the eccentric angle from the y axis the arc is a·E(t, 1 − b²/a²)."""
    outline, around = Ellipse(a, b), np.arange(0.0, 361.0, 7.5)
    arcs = outline.arc(around)
    t = np.unwrap(np.arctan2(np.sin(np.radians(around)) / b, np.cos(np.radians(around)) / a))
    m = 1 - b**2 / a**2
    judge = a * (special.ellipe(m) - special.ellipeinc(np.pi / 2 - t, m))
    assert arcs - arcs[0] == pytest.approx(judge - judge[0], abs=1e-9)
    x, y = outline.point(around)
    assert (x / a) ** 2 + (y / b) ** 2 == pytest.approx(np.ones_like(x))
    normal = np.array([x / a**2, y / b**2])
    assert np.array(outline.normal(around)) == pytest.approx(
        normal / np.linalg.norm(normal, axis=0)
    )
    high = outline.height(0.6 * b)
    assert float(high) == pytest.approx(0.8 * a)  # 3-4-5


@pytest.mark.parametrize("turned", [25.0, -70.0])
def test_an_ellipse_that_is_turned(turned):
    turn = Rotation.from_euler("z", turned, degrees=True)
    plain, other, around = Ellipse(15.0, 10.0), Ellipse(15.0, 10.0, turned), np.arange(0.0, 360, 24)
    for of in ("point", "normal"):
        before = np.column_stack([*getattr(plain, of)(around - turned), 0 * around])
        assert np.column_stack(getattr(other, of)(around)) == pytest.approx(turn.apply(before)[:, :2], abs=1e-12)  # fmt: skip
