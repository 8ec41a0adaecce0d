"""ASTM F2899-11, Standard Specification for Condition 1 Bicycle Forks (roads and smooth surfaces), public sample text;
and the other loads that standards put on forks.

As printed: 5.1.2.1 bending load 1200 N (100 N and 1100 N more); 5.1.2.2 permanent deflection of a rigid fork not above
5 mm; 5.1.3.1 mass of 22.5 kg, impact at 3.54 m/s or more, less than 45 mm; Note 1: 640 mm in a frictionless system;
5.1.4 fully reversed 620 N for at least 100 000 cycles. TBIS 4210-6:2019, 5.7: 5000 N along the steerer for 1 min.
16 CFR 1512.14: 890 N (200 lbf) or 39.5 J (350 in·lbf).
"""

import math

import pytest

from coursekit import beams, fork

ROWS = {(row.name, row.source): row for row in fork.STANDARD_LOADS}


def row(source):
    (one,) = [r for r in fork.STANDARD_LOADS if r.source == source]
    return one


def test_bending_once():
    one = row("ASTM F2899-11, 5.1.2")
    assert (one.force, one.most_set) == (100.0 + 1100.0, 5.0)


def test_falling_mass():
    one = row("ASTM F2899-11, 5.1.3")
    assert math.sqrt(2 * beams.GRAVITY * 0.640) == pytest.approx(3.54, abs=0.005)
    assert one.energy == pytest.approx(beams.fall(22.5, 640.0), abs=0.05)
    assert one.energy >= 22.5 * 3.54**2 / 2
    assert (one.most_set, "3.54" in one.name, "22.5" in one.name) == (45.0, True, True)


def test_to_and_fro():
    one = row("ASTM F2899-11, 5.1.4")
    assert (one.force, one.cycles) == (620.0, 100_000)


def test_fork_and_frame_of_the_us_rule():
    one = row("16 CFR 1512.14")
    pound = 0.45359237 * beams.GRAVITY
    assert one.force == pytest.approx(200 * pound, abs=0.5)
    assert one.energy == pytest.approx(350 * pound * 0.0254, abs=0.05)


def test_pull_of_a_brazed_fork():
    assert row("TBIS 4210-6:2019, 5.7").force == 5000.0
    assert len(ROWS) == len(fork.STANDARD_LOADS) == 5


def test_what_the_bending_load_is_for_a_steerer():
    """1200 N on the axle, square to the steerer, 377.3 mm below: 453 N·m, whichever way it is counted."""
    drop = math.sqrt(380.0**2 - 45.0**2)
    height, ahead = fork.levers(380.0, 45.0, 90.0)
    assert fork.axle_bending(height, ahead, -1200.0, 0.0) == pytest.approx(-1200 * drop)
