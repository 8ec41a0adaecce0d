"""A closed tube and the same tube slit lengthwise.

Source: Pilkey, W. D. (2002), Analysis and Design of Elastic Beams, Examples 5.1 and 5.7: outside
diameter 8, wall 0.25, unit torque. J = 91.49 and τ = 0.0437 closed;
J = 0.13 and τ = 1.92 slit. Tolerance: 0.1 % closed; 3 % slit (thin-wall formula).
"""

import pytest

from coursekit.tubes import Round


def test_closed():
    tube = Round(8.0, 0.25)
    assert tube.torsion == pytest.approx(91.49, rel=0.001)
    assert tube.diameter / 2 / tube.torsion == pytest.approx(0.0437, abs=5e-5)


def test_slit():
    tube = Round(8.0, 0.25)
    assert tube.slit_torsion == pytest.approx(0.13, rel=0.03)
    assert tube.slit_torsion == pytest.approx(0.1268, abs=5e-5)
    assert tube.wall / tube.slit_torsion == pytest.approx(1.92, rel=0.03)


def test_closed_tube_is_about_700_times_stiffer():
    tube = Round(8.0, 0.25)
    assert tube.torsion / tube.slit_torsion == pytest.approx(700, rel=0.04)
