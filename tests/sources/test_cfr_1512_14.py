"""16 CFR 1512.14, fork and frame assembly: 890 N (200 lbf) or 39.5 J (350 in·lbf), whichever makes the greater force.

Read in public copies of the Code of Federal Regulations. Tolerance half the last printed digit.
"""

import pytest

from coursekit import beams

POUND, INCH = 0.45359237, 25.4  # kg, mm, by definition


def test_work_of_a_pound_that_falls():
    assert beams.fall(POUND, 350 * INCH) == pytest.approx(39.5, abs=0.05)


def test_two_hundred_pounds_by_their_work():
    assert beams.fall(200 * POUND, 1000.0) == pytest.approx(890, abs=5)  # J of a metre are N
