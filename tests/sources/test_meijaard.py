"""Meijaard, Papadopoulos, Ruina & Schwab (2007), Linearized dynamics equations for the balance and
steer of a bicycle, Proc. R. Soc. A 463, 1955–1982, Table 1: the benchmark bicycle.

w = 1.02 m, c = 0.08 m, steer-axis tilt λ = π/10, rR = 0.3 m, rF = 0.35 m (lengths in mm here).
Offset, mechanical trail and flop follow exactly from them and are given to six figures.
"""

import pytest

from coursekit.frame import draw

REST = {"seat_angle_deg": 72.0, "chainstay": 430.0, "bb_drop": 20.0, "fork_length": 400.0,
        "lower_stack": 12.0, "head_tube": 140.0, "seat_tube": 540.0}  # fmt: skip


@pytest.fixture
def bicycle():
    return draw(
        wheelbase=1020.0,
        trail=80.0,
        head_angle_deg=90 - 18,
        rear_radius=300.0,
        front_radius=350.0,
        **REST,
    )


def test_benchmark_bicycle(bicycle):
    assert bicycle.fork_offset == pytest.approx(32.0714, abs=0.00005)
    assert bicycle.mechanical_trail == pytest.approx(76.0845, abs=0.00005)
    assert bicycle.wheel_flop == pytest.approx(23.5114, abs=0.00005)
    assert bicycle.wheelbase == pytest.approx(1020.0)
    assert bicycle.points["front_contact"][0] - bicycle.points["rear_contact"][0] == pytest.approx(
        1020.0
    )


def test_trail_from_the_offset(bicycle):
    again = draw(
        wheelbase=1020.0,
        fork_offset=32.0714,
        head_angle_deg=72.0,
        rear_radius=300.0,
        front_radius=350.0,
        **REST,
    )
    assert again.trail == pytest.approx(80.0, abs=0.0001)
