"""Length of ellipses, and the complete elliptic integral of the second kind through it.

Sources: Abramowitz & Stegun (1964), Handbook of Mathematical Functions, Table 17.1, E(m) with
parameter m = k² (the digits read in several public test suites); Ramanujan (1914) for the hand
formulas, values for a = 2, b = 1 read in public test suites; scipy.special.ellipe.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipe

from coursekit import ovals
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.sections import ellipse_perimeter


@pytest.mark.parametrize(
    ("m", "E"),
    [(0.1, 1.530757637), (0.25, 1.467462209), (0.5, 1.350643881), (0.75, 1.211056028),
     (0.9, 1.104774733), (0.99, 1.015993546), (0.0, 1.570796327)],
)  # fmt: skip
def test_abramowitz_stegun_17_1(m, E):
    """A quarter of the ellipse with semi-axes 1 and √(1 − m) is E(m).

    Within one unit of the last digit: at m = 0.99 the printed 1.015993546 is 1.0159935450 in full.
    """
    assert ellipse_perimeter(2.0, 2 * np.sqrt(1 - m)) / 4 == pytest.approx(E, abs=1e-9)


def test_two_to_one():
    assert ellipse_perimeter(4.0, 2.0) == pytest.approx(9.688448220547675, rel=1e-15)
    assert ovals.ramanujan(4.0, 2.0, form=1) == pytest.approx(9.688421097671288, rel=1e-15)
    assert ovals.ramanujan(4.0, 2.0, form=2) == pytest.approx(9.688448216130086, rel=1e-15)


def test_ten_to_one():
    exact = ellipse_perimeter(20.0, 2.0)
    assert exact == pytest.approx(40.63974180100896, rel=1e-14)
    assert ovals.ramanujan(20.0, 2.0, form=1) / exact - 1 == pytest.approx(-8.4e-4, abs=0.05e-4)
    assert ovals.ramanujan(20.0, 2.0) / exact - 1 == pytest.approx(-1.16e-5, abs=0.005e-5)


def test_seven_by_four():
    """True length 35.2032 (one page prints 35.622: wrong)."""
    assert ellipse_perimeter(14.0, 8.0) == pytest.approx(35.2032, abs=5e-5)


def test_miter_of_a_28_6_tube_at_45_degrees():
    assert ellipse_perimeter(40.4465, 28.6) == pytest.approx(109.257657, abs=1e-4)
    assert ellipse_perimeter(28.6 * np.sqrt(2), 28.6) == pytest.approx(109.257657, abs=5e-7)


@pytest.mark.parametrize("ratio", [1.0, 0.999999, 0.7, 0.3, 1e-3, 1e-9])
def test_scipy(ratio):
    assert ellipse_perimeter(2.0, 2 * ratio) == pytest.approx(4 * ellipe(1 - ratio**2), rel=1e-13)
    assert ellipse_perimeter(2 * ratio, 2.0) == pytest.approx(4 * ellipe(1 - ratio**2), rel=1e-13)


@pytest.mark.parametrize("student", range(12))
def test_the_key_of_the_lesson_on_ovals_gives_the_depth_by_the_elliptic_integral(root, student):
    """4·a·E(m) of the middle line equals π(D − t); E by scipy, the depth by its root finder."""
    exercise = exercises.load("oval-tubes", root)
    key = keys.load(exercise, root)
    n = own_numbers.draw(exercise, key, b"ellipse", f"bench-{student:02d}")
    right = own_numbers.answers(exercise, key, n)
    b = (n["into"] - 2 * n["shoulder"] - n["wall"]) / 2
    goal = np.pi * (n["diameter"] - n["wall"])
    a = brentq(lambda a: 4 * a * ellipe(1 - (b / a) ** 2) - goal, b, 4 * b, xtol=1e-12)
    assert right["oval"][0] == pytest.approx(2 * a + n["wall"], abs=1e-9)
