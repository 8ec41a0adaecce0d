"""Outlines: an ellipse against its own equation, a polygon against an ellipse."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.sections import Ellipse, Outline, ellipse_perimeter, gauss, section_of
from coursekit.tubes import Butted, Oval, Round

half = st.floats(5.0, 30.0)
turn = st.floats(-400.0, 400.0)


def back(ellipse, x, y):
    t = np.radians(ellipse.turned_deg)
    return (x * np.cos(t) + y * np.sin(t)) / ellipse.half_x, (
        y * np.cos(t) - x * np.sin(t)
    ) / ellipse.half_y


@given(half, half, turn, st.floats(0, 360))
def test_points_lie_on_the_ellipse(a, b, turned, around):
    ellipse = Ellipse(a, b, turned)
    x, y = ellipse.point(around)
    u, v = back(ellipse, x, y)
    assert u * u + v * v == pytest.approx(1.0, rel=1e-12)
    assert np.degrees(np.arctan2(y, x)) % 360 == pytest.approx(around % 360, abs=1e-9)
    assert ellipse.height(y) >= x - 2e-5  # a root near its end loses half of the digits
    nx, ny = ellipse.normal(around)
    step = 1e-5
    (x1, y1), (x0, y0) = ellipse.point(around + step), ellipse.point(around - step)
    assert abs((x1 - x0) * nx + (y1 - y0) * ny) < 1e-7 * np.hypot(x1 - x0, y1 - y0) + 1e-13
    assert nx * x + ny * y > 0
    assert np.hypot(nx, ny) == pytest.approx(1.0)


@given(half, half, turn, st.floats(-0.999, 0.999))
def test_height_lies_on_the_ellipse(a, b, turned, share):
    ellipse = Ellipse(a, b, turned)
    t = np.radians(turned)
    widest = np.hypot(a * np.sin(t), b * np.cos(t))
    x = ellipse.height(share * widest)
    u, v = back(ellipse, x, share * widest)
    assert u * u + v * v == pytest.approx(1.0, rel=1e-9)
    lower = -Ellipse(a, b, turned).height(-share * widest)
    assert x >= lower
    assert np.isnan(ellipse.height(1.001 * widest))
    assert np.isnan(ellipse.height(-1.001 * widest))


@pytest.mark.parametrize(
    ("a", "b", "turned"), [(14.3, 14.3, 0.0), (15.0, 10.0, 25.0), (8.0, 20.0, -70.0)]
)
def test_arc_goes_once_round(a, b, turned):
    ellipse = Ellipse(a, b, turned)
    arc = ellipse.arc(np.linspace(0, 360, 25))
    assert arc[0] == 0
    assert arc[-1] == pytest.approx(ellipse_perimeter(2 * a, 2 * b), rel=1e-11)
    x, y = ellipse.point(np.linspace(0, 360, 240001))
    chords = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    assert arc == pytest.approx(chords[::10000], rel=1e-7, abs=1e-9)
    some = ellipse.arc(np.array([15.0, 75.0]))
    assert some == pytest.approx(arc[[1, 5]], rel=1e-11)


def test_polygon_stands_for_an_ellipse():
    t = np.radians(np.arange(0, 360, 0.05))
    ellipse = Ellipse(15.0, 10.0)
    polygon = Outline(15 * np.cos(t), 10 * np.sin(t))
    around = np.linspace(0, 360, 97)
    assert polygon.point(around)[0] == pytest.approx(ellipse.point(around)[0], abs=1e-5)
    assert polygon.point(around)[1] == pytest.approx(ellipse.point(around)[1], abs=1e-5)
    assert polygon.arc(around) == pytest.approx(ellipse.arc(around), abs=1e-4)
    y = np.linspace(-9.99, 9.99, 41)
    assert polygon.height(y) == pytest.approx(ellipse.height(y), abs=1e-4)
    assert np.isnan(polygon.height([10.1, -10.1])).all()


def test_square_outline():
    square = Outline([10.0, 10.0, -10.0, -10.0], [-5.0, 5.0, 5.0, -5.0])
    assert square.height([-5.0, -4.9, 0.0, 5.0]) == pytest.approx(10.0)
    x, y = square.point([0.0, 45.0, 90.0, 180.0, 270.0])
    assert x == pytest.approx([10, 5, 0, -10, 0], abs=1e-12)
    assert y == pytest.approx([0, 5, 5, 0, -5], abs=1e-12)
    assert square.arc([0.0, 90.0, 180.0, 360.0]) == pytest.approx([0, 15, 30, 60])


def test_outline_may_begin_at_any_corner():
    x, y = np.array([12.0, 9, -4, -11, -2]), np.array([-3.0, 8, 10, 1, -9])
    across, around = np.linspace(-8.9, 9.9, 21), np.linspace(0, 360, 17)
    first = Outline(x, y)
    for k in range(1, 5):
        turned = Outline(np.roll(x, k), np.roll(y, k))
        assert turned.height(across) == pytest.approx(first.height(across))
        assert turned.arc(around) == pytest.approx(first.arc(around))


def test_arc_of_an_outline_counts_from_direction_0():
    square = Outline([10.0, 10.0, -10.0, -10.0], [-5.0, 5.0, 5.0, -5.0])
    assert square.arc([90.0]) == pytest.approx([15])
    assert square.arc([0.0]) == pytest.approx([0])


def test_straight_corners_are_taken_and_dents_are_not():
    with_middle = Outline([10.0, 10.0, 10.0, -10.0, -10.0], [-5.0, 0.0, 5.0, 5.0, -5.0])
    assert with_middle.height([-2.0, 2.0]) == pytest.approx(10)
    t = np.radians(np.arange(0, 360, 30))
    dented = np.ones(12)
    dented[4] = 0.85  # the sides next to it still turn the right way against each other
    with pytest.raises(ValueError, match="must be convex"):
        Outline(20 * dented * np.cos(t), 20 * dented * np.sin(t))
    with pytest.raises(ValueError, match="go round the centre"):
        Outline([0.0, 0.0, -20.0, -20.0], [-5.0, 5.0, 5.0, -5.0])  # the centre on its edge


def test_top_and_default_turn_of_an_ellipse():
    ellipse = Ellipse(15.0, 10.0)
    assert ellipse.height([10.0, -10.0]) == pytest.approx([0.0, 0.0], abs=1e-7)
    assert ellipse == Ellipse(15.0, 10.0, turned_deg=0.0)


def test_what_is_kept_for_all_cannot_be_written_to():
    for array in gauss(24):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0.0


def test_section_of():
    assert section_of(Round(28.6, 0.9)) == Ellipse(14.3, 14.3)
    assert section_of(Oval(30.0, 20.0, 0.9)) == Ellipse(15.0, 10.0, 0.0)
    assert section_of(Butted(28.6, (0.9, 0.6, 0.9), (1, 1, 1, 1, 1))) == Ellipse(14.3, 14.3)
    assert section_of(28.6) == Ellipse(14.3, 14.3)
    outline = Ellipse(15.0, 10.0, 30.0)
    assert section_of(outline) is outline


def test_perimeter_broadcasts():
    widths = np.array([[4.0], [6.0]])
    both = ellipse_perimeter(widths, np.array([2.0, 3.0, 1.0]))
    assert both.shape == (2, 3)
    assert both[1, 2] == pytest.approx(ellipse_perimeter(6.0, 1.0), rel=1e-15)


def test_a_lopsided_outline_is_met_in_every_direction_where_a_side_is():
    """On the line of one side, between its corners, and in the direction that was asked for."""
    x, y = np.array([20.0, 5.0, -12.0]), np.array([-5.0, 15.0, -8.0])
    around = np.arange(0.0, 360.0, 7.0)
    px, py = Outline(x, y).point(around)
    assert np.degrees(np.arctan2(py, px)) % 360 == pytest.approx(around, abs=1e-9)
    for a, b in zip(px, py, strict=True):
        twice = [(x[i] - a) * (y[j] - b) - (x[j] - a) * (y[i] - b) for i, j in ((0, 1), (1, 2), (2, 0))]  # fmt: skip
        assert min(twice) == pytest.approx(0, abs=1e-9)  # within the triangle, on a side of it
