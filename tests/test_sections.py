"""Outlines: an ellipse against its own equation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.sections import Ellipse, ellipse_perimeter, gauss, section_of
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
    apart = np.degrees(np.arctan2(y, x)) - around  # a whole turn more or less
    assert (apart + 180) % 360 == pytest.approx(180, abs=1e-9)
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
