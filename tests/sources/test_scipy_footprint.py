"""SciPy as judge of holes on a shell: lengths round it by integration, least distances by minimising."""

from math import hypot, pi, sqrt

import numpy as np
import pytest

from coursekit import vents

optimize = pytest.importorskip("scipy.optimize")
integrate = pytest.importorskip("scipy.integrate")


def round_to(y, big):
    """Length round a circle of radius `big` from its top to the place `y` beside the middle."""
    return integrate.quad(lambda t: 1 / sqrt(1 - (t / big) ** 2), 0, y)[0]


@pytest.mark.parametrize(("bore", "shell"), [(26.8, 38.1), (30.0, 38.1), (12.0, 40.0)])
def test_footprint_lies_on_both_cylinders(bore, shell):
    along, about = vents.footprint(bore, shell, 41)
    for x, s in zip(along, about, strict=True):
        y = sqrt(max((bore / 2) ** 2 - x**2, 0.0))  # on the tube's bore
        assert abs(s) == pytest.approx(round_to(y, shell / 2), abs=1e-6)


@pytest.mark.parametrize(
    "off", [(0, 0), (3, 0), (0, 4), (5, -6), (-9, 2), (13, 0), (20.3, 0), (2, 17)]
)
def test_least_land(off):
    bore, shell, hole = 26.8, 38.1, 5.0

    def apart(a):
        y = bore / 2 * np.cos(a)
        return hypot(bore / 2 * np.sin(a) - off[1], shell / 2 * np.arcsin(2 * y / shell) - off[0])

    starts = np.linspace(0, 2 * pi, 13)
    least = min(
        optimize.minimize_scalar(apart, bounds=(a - 0.4, a + 0.4), method="bounded", options={"xatol": 1e-10}).fun
        for a in starts
    )  # fmt: skip
    y = sqrt(max((bore / 2) ** 2 - off[1] ** 2, 0.0))
    inside = abs(off[1]) < bore / 2 and abs(off[0]) < round_to(y, shell / 2)
    assert vents.land(bore, shell, hole, *off) == pytest.approx(
        (least if inside else -least) - hole / 2, abs=1e-6
    )


def test_round_the_shell_is_the_length_of_an_arc():
    for shell, angle in ((38.1, 61.0), (40.0, 63.0)):
        turned = np.radians(angle)
        length = integrate.quad(
            lambda t, r=shell / 2: hypot(r * np.cos(t), r * np.sin(t)), 0, turned
        )[0]
        assert vents.round_shell(shell, angle) == pytest.approx(length, rel=1e-12)
