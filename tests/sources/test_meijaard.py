"""Meijaard, Papadopoulos, Ruina & Schwab (2007), Linearized dynamics equations for the balance and
steer of a bicycle, Proc. R. Soc. A 463, 1955–1982, Table 1: the benchmark bicycle.

w = 1.02 m, c = 0.08 m, steer-axis tilt λ = π/10, rR = 0.3 m, rF = 0.35 m (lengths in mm here).
Offset, mechanical trail and flop follow exactly from them and are given to six figures.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from coursekit import fixture, fork
from coursekit.classroom.bank import exercises, keys
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
    crown, ends = fork.Crown(25.0, 64.0), fork.Dropout(20.0, 100.0, 6.0)
    made = fork.raked(bicycle.fork_length, bicycle.fork_offset, crown, ends, radius=250.0, tail=0.0)
    assert made.fork_offset == pytest.approx(32.0714, abs=0.00005)


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


def test_a_head_arm_over_the_ground_stands_the_trail_ahead_of_the_wheel(bicycle):
    """With the ground for a rail, the fixture's arm crosses it c = 0.08 m ahead of the front contact."""
    readings = fixture.settings(bicycle, rail=bicycle.bb_height)
    contact, _ = bicycle.points["front_contact"]
    assert readings.head_ahead - contact == pytest.approx(80.0, abs=1e-9)
    assert readings.rear_back + contact == pytest.approx(1020.0, abs=1e-9)
    assert readings.square == pytest.approx(
        (contact + 80.0) * np.cos(np.pi / 10) - bicycle.bb_height * np.sin(np.pi / 10)
    )


def test_the_sums_of_the_lesson_on_setting_a_fixture(root):
    """Foot, arm and check of the exercise's key, with the benchmark's fork and the ground for a rail."""
    key = keys.load(exercises.load("fixture-setting", root), root)
    below, front = 270.0, 600.0  # the bottom bracket over the ground, and behind the front axle
    n = {
        "head_angle_deg": 72.0, "fork_offset": 32.0714, "bb_drop": 350.0 - below, "rail": below,
        "front_centre": float(np.hypot(front, 80.0)), "chainstay": 430.0, "fork_length": 400.0,
        "lower_stack": 12.0, "head_tube": 140.0,
    }  # fmt: skip
    own = SimpleNamespace(**n)
    x, y = key.answers["foot"].sum(own, {})[0]
    for foot in ((x, y), (x + 1e-9, y)):  # by the kit, and by the sum that carries a student's own
        assert key.answers["ahead"].sum(own, {"foot": foot}) - front == pytest.approx(
            80.0, abs=0.0001
        )
