"""The bicycle frame as a frame of beams: statics by hand, symmetry, what butts are for."""

import numpy as np
import pytest

from coursekit import skeleton, tubes
from coursekit.frame import Chainstay, DownTube, Seatstay, TopTube, draw
from tests import statics_peers as peers

USUAL = {
    "seat_angle_deg": 73.0, "head_angle_deg": 72.0, "chainstay": 425.0, "bb_drop": 72.0,
    "wheel_radius": 340.0, "fork_length": 385.0, "fork_offset": 47.0, "lower_stack": 12.0,
    "head_tube": 145.0, "seat_tube": 600.0, "front_centre": 600.0,
}  # fmt: skip
SECTIONS = {
    "top_tube": tubes.Round(28.6, 0.7), "down_tube": tubes.Round(31.8, 0.8), "seat_tube": tubes.Round(28.6, 0.8),
    "head_tube": tubes.Round(36.0, 1.1), "shell": tubes.Round(38.1, 2.5), "chainstay": tubes.Round(22.2, 0.8),
    "seatstay": tubes.Round(16.0, 0.7), "fork": tubes.Round(28.6, 3.0),
}  # fmt: skip


def placed(**change):
    own = {
        "top_tube": TopTube(28.6, below_head_top=14.0, slope_deg=2.0),
        "down_tube": DownTube(31.8, above_head_bottom=11.0),
        "chainstay": Chainstay(22.2, 46.0, 126.0),
        "seatstay": Seatstay(16.0, 30.0, 126.0, below_seat_top=42.0),
    }
    return draw(**USUAL).place(**{**own, **change})


def made(**sections):
    return skeleton.skeleton(placed(), {**SECTIONS, **sections})


@pytest.mark.parametrize("off", [-0.9, -1e-6, 0.0, 1e-9, 0.3])
def test_stays_and_top_tube_may_meet_the_seat_tube_in_one_place(off):
    """A member as short as that would count all others as loose; 1 mm changes next to nothing."""
    nodes = made().nodes
    between = np.linalg.norm(nodes["seat_stays"] - nodes["seat_top_tube"])
    assert between > 10  # the stays' joint is the higher one here
    met = placed(seatstay=Seatstay(16.0, 30.0, 126.0, below_seat_top=42.0 + between + off))
    near = placed(seatstay=Seatstay(16.0, 30.0, 126.0, below_seat_top=42.0 + between + 4.0))
    load = skeleton.front_hit(-500.0)
    close, clear = (skeleton.skeleton(f, SECTIONS) for f in (met, near))
    gap = np.linalg.norm(close.nodes["seat_stays"] - close.nodes["seat_top_tube"])
    assert gap == pytest.approx(1.0)
    moved = [s.under(load).moves["front_axle"] for s in (close, clear)]
    np.testing.assert_allclose(moved[0], moved[1], rtol=0.02, atol=1e-3)


def test_joints_lie_where_the_drawing_has_them():
    f, s = placed(), made()
    for name in ("bb", "head_low", "head_high", "crown", "front_axle", "seat_top"):
        np.testing.assert_allclose(s.nodes[name], [*f.points[name], 0])
    seat = [m for n, m in s.members.items() if n.startswith("seat_tube")]
    heights = [s.nodes[m.start][1] for m in seat]
    assert heights == sorted(heights)
    assert [*(m.start for m in seat), seat[-1].end] == [
        "bb",
        "seat_top_tube",
        "seat_stays",
        "seat_top",
    ]
    higher = skeleton.skeleton(placed(top_tube=TopTube(28.6, 14.0, below_seat_top=5.0)), SECTIONS)
    assert higher.members["top_tube"].start == "seat_top_tube"
    assert higher.members["seat_tube_3"].start == "seat_top_tube"
    assert sum(np.linalg.norm(s.nodes[m.end] - s.nodes[m.start]) for m in seat) == pytest.approx(
        600
    )
    head = [m for n, m in s.members.items() if n.startswith("head_tube")]
    assert sum(np.linalg.norm(s.nodes[m.end] - s.nodes[m.start]) for m in head) == pytest.approx(
        145
    )


def test_weight_on_the_seat_is_shared_by_the_lever_rule():
    f = placed()
    s = made().under(skeleton.seat_load(f, 1200.0, behind=70.0, above=250.0))
    top = f.points["seat_top"]
    load_x = top[0] - 250 * np.cos(np.radians(73)) - 70
    rear, front = f.points["rear_axle"][0], f.points["front_axle"][0]
    on_front = 1200 * (load_x - rear) / (front - rear)
    assert s.reactions["front_axle"][1] == pytest.approx(on_front, rel=1e-6)
    for side in ("right", "left"):
        assert s.reactions[f"{side}_axle"][1] == pytest.approx((1200 - on_front) / 2, rel=1e-6)


def test_hit_at_the_front_wheel_bends_the_frame_as_a_lever():
    """Moments about the rear axle: the front axle's height over it makes the vertical reactions."""
    f, s = placed(), made().under(skeleton.front_hit(-600.0))
    rise = f.points["front_axle"][1] - f.points["rear_axle"][1]
    assert rise == pytest.approx(0, abs=1e-9)
    assert s.reactions["front_axle"][1] == pytest.approx(0, abs=1e-6)
    assert s.reactions["right_axle"][0] == pytest.approx(300.0, abs=0.1)
    # cut at the head: the moment of the hit about the down tube's joint goes into top and down tube
    joint = f.tubes.axes["down_tube"].end
    arm = joint[1] - f.points["front_axle"][1]
    inner = [
        s.section_forces(
            "head_tube_1", np.linalg.norm(made().nodes["head_down_tube"] - made().nodes["head_low"])
        )
    ]
    assert abs(inner[0][0, 5]) == pytest.approx(600 * arm, rel=1e-6)


def test_loads_act_in_their_own_ways_only():
    f = placed()
    back = 70 + 250 * np.cos(np.radians(73))
    np.testing.assert_allclose(
        skeleton.seat_load(f, 1200.0)["seat_top"], [0, -1200, 0, 0, 0, 1200 * back]
    )
    np.testing.assert_allclose(
        skeleton.front_hit(np.array([0.0, -600.0]))["front_axle"], [[0, 0, 0], [-600, 0, 0]]
    )
    pulled = skeleton.pedal(1100.0)["right_axle"]
    np.testing.assert_allclose(
        pulled, [1100 * np.cos(np.radians(7.5)) * 175 * np.sqrt(0.5) / 150, 0, 0]
    )


def test_pedal_load_is_its_force_brought_to_the_bottom_bracket():
    """Force at the pedal and the tie rod's two pulls have the same resultant as the loads returned."""
    force, lean = 1100.0, np.radians(7.5)
    at = np.array([175 * np.cos(np.pi / 4), -175 * np.sin(np.pi / 4), 150.0])
    push = np.array([0, -force * np.cos(lean), force * np.sin(lean)])
    load = skeleton.pedal(force)
    pull = load["right_axle"][0] * 2
    assert pull * 75 == pytest.approx(force * np.cos(lean) * at[0])
    np.testing.assert_allclose(load["bb"][:3], push - [pull, 0, 0])
    arm = np.cross([0, 75, 0], [-pull, 0, 0])
    np.testing.assert_allclose(load["bb"][3:], np.cross(at, push) + arm, atol=1e-6)
    np.testing.assert_allclose(load["left_axle"], load["right_axle"])


def test_pedalling_rolls_the_bottom_bracket_to_the_loaded_side():
    roll = made().under(skeleton.pedal(1100.0)).turns_deg["bb"][0]
    assert roll > 0.3  # about x: the right side goes down
    stiffer = (
        made(down_tube=tubes.Round(38.1, 0.8)).under(skeleton.pedal(1100.0)).turns_deg["bb"][0]
    )
    assert 0 < stiffer < roll


def test_longer_butt_at_the_head_lowers_the_stress_there():
    """Same tube both ways round under the same hit: 150 mm of thick wall at the head, or 60 mm."""
    line = placed().tubes.axes["down_tube"]
    length = float(line.length)
    long_at_head = tubes.Butted(31.8, (0.9, 0.6, 0.9), (60, 40, length - 290, 40, 150))
    short_at_head = tubes.Butted(31.8, (0.9, 0.6, 0.9), (150, 40, length - 290, 40, 60))
    near = length - 110.0  # a short butt's taper starts at 100 mm from the head
    hit = skeleton.front_hit(-600.0)
    stress = [
        float(
            made(down_tube=t)
            .under(hit)
            .stress("down_tube", near, np.arange(0, 360, 5))
            .von_mises.max()
        )
        for t in (long_at_head, short_at_head)
    ]
    assert stress[0] < stress[1]


def test_mirrored_load_mirrors_the_movement():
    """But for the thousandth that holding only one side of the axle makes."""
    right = made().under({"bb": (0, -500, 200)})
    left = made().under({"bb": (0, -500, -200)})
    assert right.moves["head_high"][1] == pytest.approx(left.moves["head_high"][1], rel=1e-3)
    assert right.moves["right_yoke"][0] == pytest.approx(left.moves["left_yoke"][0], abs=2e-4)


def test_down_tube_beside_the_shells_axis_hangs_on_a_link():
    f = placed(down_tube=DownTube(31.8, 11.0, above_shell=4.0))
    s = skeleton.skeleton(f, SECTIONS)
    assert np.linalg.norm(s.nodes["down_tube_start"]) == pytest.approx(4.0)
    near = s.under(skeleton.pedal(1100.0)).moves["bb"]
    np.testing.assert_allclose(
        near, made().under(skeleton.pedal(1100.0)).moves["bb"], rtol=0.05, atol=0.01
    )


def test_whole_bicycle_frame_against_a_general_program():
    s = made()
    loads = {n: np.pad(v, (0, 6 - len(v))) for n, v in skeleton.pedal(1100.0).items()}
    ours = s.under(loads)
    theirs = peers.by_calfem(s.nodes, s.members, skeleton.HELD, loads)
    moves = np.array([[*ours.moves[n], *np.radians(ours.turns_deg[n])] for n in s.nodes])
    np.testing.assert_allclose(moves, theirs, rtol=1e-6, atol=1e-9)


def test_axle_is_solid_steel_of_ten_millimetres():
    axle = made().members["axle"].tube
    assert (axle.area, axle.bore) == (pytest.approx(25 * np.pi), 0.0)


def test_a_skeleton_is_not_changed_by_accident():
    with pytest.raises(AttributeError):
        made().nodes = {}


def test_many_frames_at_once():
    drops = np.array([65.0, 72.0, 80.0])
    rest = {k: v for k, v in USUAL.items() if k != "bb_drop"}
    own = {"top_tube": TopTube(28.6, 14.0, slope_deg=2.0), "down_tube": DownTube(31.8, 11.0),
           "chainstay": Chainstay(22.2, 46.0, 126.0), "seatstay": Seatstay(16.0, 30.0, 126.0, 42.0)}  # fmt: skip
    f = draw(**rest, bb_drop=drops).place(**own)
    many = skeleton.skeleton(f, SECTIONS).under(skeleton.seat_load(f, 1200.0))
    one = made().under(skeleton.seat_load(placed(), 1200.0))
    np.testing.assert_allclose(many.moves["bb"][1], one.moves["bb"], rtol=1e-6)
