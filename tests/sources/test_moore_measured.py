"""Moore, Hubbard, Peterson, Schwab & Kooijman (2014), measured physical parameters of bicycles,
data set DOI 10.6084/m9.figshare.1198429. The bicycles are called M1, M4, M5, M6 here.

As printed: head angle ± 0.2°, fork offset ± 1 mm, rollouts in m over so many turns, wheelbase in m;
reduced values rF, rR in m, trail in mm (arithmetic to 1e-6); standard deviation of M5's trail.
"""

import math

import numpy as np
import pytest

from coursekit import fork
from coursekit.frame import draw

# head angle °, offset mm, front rollout m, turns, rear rollout m, turns, wheelbase m, rF m, rR m, trail mm
MEASURED = {
    "M1": (67.1, 70.5, 28.060, 13, 27.850, 13, 1.121, 0.3435298, 0.3409589, 68.5809),
    "M4": (71.1, 38.5, 29.044, 14, 29.788, 14, 1.070, 0.3301783, 0.3386362, 72.3513),
    "M5": (74.2, 31.5, 29.366, 14, 29.212, 14, 0.989, 0.3338389, 0.3320882, 61.7300),
    "M6": (72.7, 56.5, 27.925, 13, 27.884, 13, 1.089, 0.3418771, 0.3413751, 47.3057),
}
SEAT = {"M1": (1.195550538, 68.5), "M3": (1.235693110, 70.8), "M6": (1.265363708, 72.5)}
REST = {"seat_angle_deg": 72.0, "chainstay": 440.0, "bb_drop": 60.0, "fork_length": 385.0,
        "lower_stack": 12.0, "head_tube": 140.0, "seat_tube": 540.0}  # fmt: skip


def bicycle(name):
    head, offset, front, front_turns, rear, rear_turns, base, *_ = MEASURED[name]
    return draw(
        head_angle_deg=head,
        fork_offset=offset,
        front_radius=front / (2 * math.pi * front_turns) * 1000,
        rear_radius=rear / (2 * math.pi * rear_turns) * 1000,
        wheelbase=base * 1000,
        **REST,
    )


@pytest.mark.parametrize("name", MEASURED)
def test_trail_of_measured_bicycles(name):
    *_, front, rear, trail = MEASURED[name]
    f = bicycle(name)
    assert f.front_radius / 1000 == pytest.approx(front, abs=0.00000005)
    assert f.rear_radius / 1000 == pytest.approx(rear, abs=0.00000005)
    assert f.trail == pytest.approx(trail, abs=0.00005)


def test_standard_deviation_of_trail():
    """Printed 1.60776 mm; the authors also propagate the rollout's spread, hence 2 %."""
    f = bicycle("M5")
    parts = [
        f.sensitivity("trail", "head_angle_deg") * 0.2,
        f.sensitivity("trail", "fork_offset") * 1.0,
    ]
    assert np.hypot(*parts) == pytest.approx(1.60776, rel=0.02)


@pytest.mark.parametrize("name", SEAT)
def test_seat_angles(name):
    """Printed in radians; the seat tube's top lies in that direction, mirrored to the rear."""
    radians, degrees = SEAT[name]
    f = draw(
        **{**REST, "seat_angle_deg": degrees},
        head_angle_deg=72,
        fork_offset=45,
        wheel_radius=335,
        front_centre=600,
    )
    x, y = f.points["seat_top"]
    assert math.atan2(y, -x) == pytest.approx(radians, abs=5e-10)


@pytest.mark.parametrize("name", MEASURED)
def test_rolling_radii(name):
    _, _, front, front_turns, rear, rear_turns, _, r_front, r_rear, _ = MEASURED[name]
    assert fork.rolling_radius(front * 1000, front_turns) == pytest.approx(r_front * 1000, abs=0.00005)  # fmt: skip
    assert fork.rolling_radius(rear * 1000, rear_turns) == pytest.approx(r_rear * 1000, abs=0.00005)


@pytest.mark.parametrize("name", MEASURED)
@pytest.mark.parametrize("kind", ["raked", "straight"])
def test_a_fork_for_a_measured_bicycle_gives_its_trail(name, kind):
    """The fork is made from its parts and set into the measured bicycle: its axle stands on the ground
    by the radius, and the steering axis, through the crown race seat, meets the ground ahead by the trail.
    """
    head, offset, rolled, turns, *_, trail = MEASURED[name]
    f = bicycle(name)
    crown, ends = fork.Crown(20.0, 64.0), fork.Dropout(22.0, 100.0, 6.0)
    bent = {"radius": 400.0, "tail": 5.0} if kind == "raked" else {}
    made = getattr(fork, kind)(385.0, offset, crown, ends, **bent)
    made = fork.built(made.crown, made.bend, made.dropout)
    x, y, _ = fork.in_frame(made.points["axle"], f)
    seat_x, seat_y, _ = fork.in_frame((0.0, 0.0, 0.0), f)
    ground = y - fork.rolling_radius(rolled * 1000, turns)
    assert ground == pytest.approx(-f.bb_height)
    meets = seat_x + (seat_y - ground) / math.tan(math.radians(head))
    assert meets - x == pytest.approx(trail, abs=0.00005)
