"""16 CFR 1512.17(d) (US Consumer Product Safety Commission), toe clearance: at least 89 mm (3-1/2 in)
between pedal and front tyre on bicycles without foot retention, measured level from the centre of
the pedal to the arc swept by the tyre."""

import numpy as np
import pytest

from coursekit.buildable import pedal_to_tyre
from coursekit.frame import TOE_CLEARANCE_US, draw

FRAME = {
    "seat_angle_deg": 73, "head_angle_deg": 72, "chainstay": 430, "bb_drop": 70, "wheel_radius": 340,
    "fork_length": 385, "fork_offset": 45, "lower_stack": 12, "head_tube": 150, "seat_tube": 550,
}  # fmt: skip


def test_limit():
    assert pytest.approx(3.5 * 25.4, abs=0.5) == TOE_CLEARANCE_US == 89


def test_frame_on_the_limit():
    """170 + 340 + 89 = 599 mm of front centre."""
    f = draw(**FRAME, front_centre=599)
    assert f.toe_clearance(crank=170, foot=0) == pytest.approx(89)


def test_level_distance_is_never_less():
    """The rule's own distance, level at every crank angle, is not below ours: ours is cautious."""
    f = draw(**FRAME, front_centre=599)
    turn = np.linspace(-np.pi / 2, np.pi / 2, 4001)
    x, y = 170 * np.cos(turn), 170 * np.sin(turn)
    ax, ay = f.points["front_axle"]
    level = ax - np.sqrt(340**2 - (y - ay) ** 2) - x
    assert level.min() >= f.toe_clearance(170, 0) - 1e-9
    assert level.min() < f.toe_clearance(170, 0) + 1  # the tyre is nearly upright where they meet


def test_level_distance_in_the_frames_plane():
    """With the pedal in the frame's plane the sweep begins at the tyre that stands straight ahead."""
    for crank, centre in ((170, 599), (165, 575), (175, 640)):
        f = draw(**FRAME, front_centre=centre)
        turn = np.linspace(-np.pi / 2, np.pi / 2, 40001)
        x, y = crank * np.cos(turn), crank * np.sin(turn)
        ax, ay = f.points["front_axle"]
        level = ax - np.sqrt(340**2 - (y - ay) ** 2) - x
        assert pedal_to_tyre(f, crank, 0) == pytest.approx(level.min(), abs=1e-5)
