"""Ovals and squeezing: round limits, constant mid-line, closure."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ellipe

from coursekit import ovals
from coursekit.sections import ellipse_perimeter


@given(st.floats(16.0, 45.0), st.floats(0.4, 1.2), st.floats(0.2, 1.45))
def test_mid_line_keeps_its_length(diameter, wall, share):
    width = wall + share * (diameter - wall)
    depth = ovals.depth_for(diameter, wall, width)
    assert ellipse_perimeter(width - wall, depth - wall) == pytest.approx(
        np.pi * (diameter - wall), rel=1e-12
    )
    assert (depth > diameter) == (width < diameter) or abs(width - diameter) < 1e-6
    assert ovals.depth_for(diameter, wall, depth) == pytest.approx(width, rel=1e-6)


def test_depth_by_scipy():
    def excess(b):
        a = (33.0 - 0.8) / 2
        return 4 * max(a, b) * ellipe(1 - (min(a, b) / max(a, b)) ** 2) - np.pi * 31.0

    assert ovals.depth_for(31.8, 0.8, 33.0) == pytest.approx(
        2 * brentq(excess, 1, 30, xtol=1e-13) + 0.8, abs=1e-9
    )


def test_depth_takes_arrays():
    depths = ovals.depth_for(31.8, np.array([[0.8], [0.9]]), np.array([28.0, 30.0, 31.8]))
    assert depths.shape == (2, 3)
    assert depths[:, 2] == pytest.approx(31.8)


@given(st.floats(1.0, 100.0), st.floats(0.26, 1.0))
def test_ramanujan_is_low_and_close(width, ratio):
    exact = ellipse_perimeter(width, ratio * width)
    assert -1e-6 < ovals.ramanujan(width, ratio * width) / exact - 1 < 1e-14
    assert -5e-4 < ovals.ramanujan(width, ratio * width, form=1) / exact - 1 < 1e-14


def test_ramanujan_of_a_circle():
    assert ovals.ramanujan(28.6, 28.6, 1) == pytest.approx(np.pi * 28.6, rel=1e-15)
    assert ovals.ramanujan(28.6, 28.6, 2) == pytest.approx(np.pi * 28.6, rel=1e-15)


def test_springback_of_a_round_tube():
    assert ovals.springback(28.6, 0.9, 28.6, 517.0, 205e3) == pytest.approx(
        ovals.round_springback(28.6, 0.9, 517.0, 205e3), rel=1e-9
    )


def test_spring_scales():
    """σy up, spring-back up in proportion; E up, down in proportion."""
    base = ovals.springback(28.6, 0.9, 25.0, 400.0, 200e3)
    assert ovals.springback(28.6, 0.9, 25.0, 800.0, 200e3) == pytest.approx(2 * base)
    assert ovals.springback(28.6, 0.9, 25.0, 400.0, 400e3) == pytest.approx(base / 2)


@pytest.mark.parametrize("pressed", [28.6, 24.0, 15.0, 6.0])
def test_springback_by_castigliano_and_quad(pressed):
    """12·σy/(E·t)·∫(x − x̄)² ds / (half the other axis), the integral by scipy."""
    wall, sigma, E = 0.9, 517.0, 205e3
    a, b = (pressed - wall) / 2, (ovals.depth_for(28.6, wall, pressed) - wall) / 2

    def along(f):
        return quad(
            lambda t: f(b * np.sin(t)) * np.hypot(b * np.cos(t), a * np.sin(t)),
            0,
            np.pi / 2,
            epsabs=1e-12,
        )[0]

    length, first, second = along(lambda x: 1.0), along(lambda x: x), along(lambda x: x * x)
    want = 12 * sigma / (E * wall) / b * (second - first**2 / length)
    assert ovals.springback(28.6, wall, pressed, sigma, E) == pytest.approx(want, rel=1e-9)


@given(st.floats(20.0, 45.0), st.floats(0.5, 1.2), st.floats(0.75, 0.99), st.floats(250.0, 800.0))
def test_pressed_and_let_go(diameter, wall, share, sigma):
    width = share * diameter
    pressed = ovals.squeeze_to(diameter, wall, width, sigma, 205e3)
    assert pressed < width
    back = ovals.springback(diameter, wall, pressed, sigma, 205e3)
    assert pressed + back == pytest.approx(width, abs=1e-9)


def test_squeeze_takes_arrays():
    many = ovals.squeeze_to(28.6, 0.9, np.array([24.0, 26.0]), np.array([[435.0], [517.0]]), 205e3)
    assert many.shape == (2, 2)
    assert many[1, 1] == pytest.approx(ovals.squeeze_to(28.6, 0.9, 26.0, 517.0, 205e3), abs=1e-12)


def test_ring_and_hinge_take_arrays():
    shorter, wider = ovals.ring(np.array([28.6, 31.8]), 0.9, 205e3, 10.0)
    assert shorter.shape == wider.shape == (2,)
    loads = ovals.hinge_load(np.array([28.6, 31.8]), 0.9, 517.0)
    assert loads[0] > loads[1]
    assert loads[0] == pytest.approx(517 * 0.81 / 13.85)
