"""Identities, limits and properties of `frame`; outside numbers are in tests/sources."""

import itertools

import numpy as np
import pytest
import sympy as sp
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit import frame
from coursekit.frame import Chainstay, DownTube, Seatstay, TopTube, draw

USUAL = {
    "seat_angle_deg": 73.0, "head_angle_deg": 72.0, "chainstay": 425.0, "bb_drop": 72.0,
    "wheel_radius": 340.0, "fork_length": 385.0, "fork_offset": 47.0, "lower_stack": 12.0,
    "head_tube": 145.0, "seat_tube": 600.0, "front_centre": 600.0,
}  # fmt: skip
WANTED = (
    "wheelbase",
    "stack",
    "reach",
    "top_tube_level",
    "bb_height",
    "trail",
    "mechanical_trail",
    "wheel_flop",
)

dimension = st.fixed_dictionaries({
    "seat_angle_deg": st.floats(70, 76), "head_angle_deg": st.floats(68, 75), "chainstay": st.floats(400, 470),
    "bb_drop": st.floats(-10, 85), "rear_radius": st.floats(240, 370), "front_radius": st.floats(240, 370),
    "fork_length": st.floats(340, 460), "fork_offset": st.floats(20, 70), "lower_stack": st.floats(0, 20),
    "head_tube": st.floats(80, 220), "seat_tube": st.floats(400, 640), "front_centre": st.floats(620, 700),
})  # fmt: skip


# --- an independent construction: circles, lines and where they cross -----------------------------


def crossing(circle, radius, point, direction):
    """The two points where a line meets a circle, in order along the line."""
    d = np.array(direction) / np.hypot(*direction)
    near = np.dot(np.subtract(circle, point), d)
    foot = np.add(point, near * d)
    half = np.sqrt(radius**2 - np.sum((foot - circle) ** 2))
    return foot - half * d, foot + half * d


def by_compass(d):
    """The drawing as one makes it on paper, with compass and protractor."""
    rear, _ = crossing((0, 0), d["chainstay"], (0, d["bb_drop"]), (1, 0))
    ground = rear[1] - d["rear_radius"]
    _, front = crossing((0, 0), d["front_centre"], (0, ground + d["front_radius"]), (1, 0))
    slope = np.tan(np.radians(180 - d["head_angle_deg"]))
    # the steering axis touches a circle of the fork offset round the front axle, behind it
    touch = min(
        (
            front + s * d["fork_offset"] * np.array([1, -1 / slope]) / np.hypot(1, 1 / slope)
            for s in (1, -1)
        ),
        key=lambda p: p[0],
    )
    axis = np.array([-1.0, -slope]) / np.hypot(1, slope)
    axis = axis * np.sign(axis[1])
    _, crown = crossing(front, d["fork_length"], touch, axis)
    _, low = crossing(crown, d["lower_stack"], crown, axis)
    _, high = crossing(low, d["head_tube"], low, axis)
    seat = np.array([-1.0, np.tan(np.radians(d["seat_angle_deg"]))])
    _, top = crossing((0, 0), d["seat_tube"], (0, 0), seat)
    # where axis and ground, seat axis and the level through the head tube's top, cross
    trail_x = touch[0] + (ground - touch[1]) / axis[1] * axis[0]
    seat_x = high[1] / seat[1] * seat[0]
    return {
        "points": {"rear_axle": rear, "front_axle": front, "crown": crown, "head_low": low, "head_high": high,
                   "seat_top": top, "steer_foot": touch},
        "wheelbase": front[0] - rear[0], "stack": high[1], "reach": high[0], "top_tube_level": high[0] - seat_x,
        "bb_height": -ground, "trail": trail_x - front[0],
        # distance of the contact point from the axis
        "mechanical_trail": abs(np.cross([*axis, 0], [front[0] - touch[0], ground - touch[1], 0])[2]) * np.sign(trail_x - front[0]),
    }  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(dimension)
def test_every_point_and_dimension_against_compass_and_protractor(d):
    f, drawn = draw(**d), by_compass(d)
    for name, point in drawn.pop("points").items():
        np.testing.assert_allclose(f.points[name], point, rtol=1e-9, atol=1e-9)
    for name, value in drawn.items():
        assert getattr(f, name) == pytest.approx(value, rel=1e-9, abs=1e-8), name


def test_trail_and_flop_by_sympy():
    """The axis as a line, cut with the ground; the height the axle loses for a small turn of the bars."""
    radius, offset, eta, t = sp.symbols("R f eta t", positive=True)
    axle = sp.Matrix([0, radius])
    axis = sp.Matrix([-sp.cos(eta), sp.sin(eta)])
    foot = axle - offset * sp.Matrix([sp.sin(eta), sp.cos(eta)])
    down = sp.solve((foot + t * axis)[1], t)[0]
    trail = sp.simplify((foot + down * axis)[0])
    values = {radius: 340, offset: 47, eta: sp.pi * 72 / 180}
    f = draw(**USUAL)
    assert f.trail == pytest.approx(float(trail.subs(values)), rel=1e-12)
    flop = trail * sp.sin(eta) * sp.cos(eta)
    assert f.wheel_flop == pytest.approx(float(flop.subs(values)), rel=1e-12)
    assert f.mechanical_trail == pytest.approx(float((trail * sp.sin(eta)).subs(values)), rel=1e-12)


def test_ground_is_level_under_both_wheels():
    p = draw(
        **{k: v for k, v in USUAL.items() if k != "wheel_radius"}, rear_radius=300, front_radius=350
    ).points
    assert (
        p["rear_contact"][1]
        == pytest.approx(p["front_contact"][1])
        == pytest.approx(p["trail_point"][1])
    )
    assert p["front_axle"][1] - p["front_contact"][1] == pytest.approx(350)
    assert p["bb"] == (0, 0)


@settings(max_examples=40, deadline=None)
@given(dimension)
def test_closure(d):
    """Distances between the points are the dimensions that went in."""
    p = {k: np.array(v) for k, v in draw(**d).points.items()}
    apart = lambda a, b: np.hypot(*(p[a] - p[b]))  # noqa: E731
    assert apart("bb", "rear_axle") == pytest.approx(d["chainstay"])
    assert apart("bb", "front_axle") == pytest.approx(d["front_centre"])
    assert apart("front_axle", "crown") == pytest.approx(d["fork_length"])
    assert apart("front_axle", "steer_foot") == pytest.approx(d["fork_offset"])
    assert apart("crown", "head_low") == pytest.approx(d["lower_stack"], abs=1e-9)
    assert apart("head_low", "head_high") == pytest.approx(d["head_tube"])
    assert apart("bb", "seat_top") == pytest.approx(d["seat_tube"])
    assert p["rear_axle"][0] < 0 < p["steer_foot"][0] < p["front_axle"][0]


# --- other sets of dimensions ---------------------------------------------------------------------

SWAPS = [
    {"front_centre": "wheelbase"}, {"front_centre": "reach"}, {"front_centre": "top_tube_level"},
    {"seat_angle_deg": "top_tube_level"}, {"bb_drop": "bb_height"}, {"fork_offset": "trail"},
    {"fork_offset": "mechanical_trail"}, {"fork_offset": "wheel_flop"}, {"head_tube": "stack"},
    {"head_tube": "stack", "front_centre": "reach"}, {"head_tube": "stack", "front_centre": "wheelbase", "bb_drop": "bb_height"},
    {"head_angle_deg": "trail"}, {"head_angle_deg": "mechanical_trail"}, {"chainstay": "wheelbase"},
    {"fork_length": "stack"}, {"lower_stack": "stack"}, {"head_angle_deg": "reach"}, {"bb_drop": "stack"},
    {"fork_length": "reach"}, {"head_tube": "top_tube_level"}, {"front_radius": "trail"},
    {"head_angle_deg": "trail", "front_centre": "wheelbase"}, {"head_angle_deg": "trail", "front_centre": "reach"},
    {"head_angle_deg": "trail", "head_tube": "stack", "front_centre": "reach", "seat_angle_deg": "top_tube_level"},
    {"fork_offset": "trail", "head_tube": "stack", "front_centre": "reach", "chainstay": "wheelbase"},
    {"rear_radius": "bb_height"},
]  # fmt: skip


@pytest.mark.parametrize("swap", SWAPS, ids=lambda s: ",".join(f"{k}<{v}" for k, v in s.items()))
def test_any_sufficient_set_gives_the_same_frame(swap):
    full = {k: v for k, v in USUAL.items() if k != "wheel_radius"} | {
        "rear_radius": 338.0,
        "front_radius": 342.0,
    }
    f = draw(**full)
    again = draw(
        **{k: v for k, v in full.items() if k not in swap},
        **{v: getattr(f, v) for v in swap.values()},
    )
    for name, value in full.items():
        assert getattr(again, name) == pytest.approx(value, abs=1e-6), name


@settings(max_examples=25, deadline=None)
@given(
    dimension,
    st.sampled_from([s for s in SWAPS if "reach" not in s.values() or "head_angle_deg" not in s]),
)
def test_any_sufficient_set_round_trips(d, swap):
    """Whatever frame is found has every dimension that was asked for, or the refusal says that two fit.

    Where head and seat axis are parallel, the level between them says nothing of the head tube.
    """
    f = draw(**d)
    asked = {k: v for k, v in d.items() if k not in swap} | {
        v: getattr(f, v) for v in swap.values()
    }
    try:
        again = draw(**asked)
    except ValueError as refusal:
        blind = (
            swap == {"head_tube": "top_tube_level"} and d["seat_angle_deg"] == d["head_angle_deg"]
        )
        assert ("still free: head_tube" if blind else "fit one frame only") in str(refusal)
        return
    for name, value in asked.items():
        assert getattr(again, name) == pytest.approx(value, abs=1e-6), name
    for name in d:
        assert getattr(again, name) == pytest.approx(d[name], abs=1e-5), name


@pytest.mark.parametrize(
    "swap", [{"lower_stack": "stack"}, {"fork_offset": "trail"}, {"fork_offset": "wheel_flop"}]
)
@pytest.mark.parametrize("angle", [70.3, 71.7, 72.9, 73.4])
def test_lengths_that_may_be_nought_are_found_nought(swap, angle):
    ((basic, other),) = swap.items()
    f = draw(**{**USUAL, "head_angle_deg": angle, basic: 0.0})
    again = draw(
        **{k: v for k, v in {**USUAL, "head_angle_deg": angle}.items() if k != basic},
        **{other: getattr(f, other)},
    )
    assert 0 <= getattr(again, basic) < 1e-9


def test_sound_extra_dimensions_are_taken():
    f = draw(**USUAL)
    again = draw(**USUAL, wheelbase=f.wheelbase, trail=f.trail)
    assert again.front_centre == 600


def test_batch_equals_loop():
    drops, angles = np.array([[65.0], [72.0]]), np.array([70.0, 71.5, 73.0])
    rest = {
        k: v for k, v in USUAL.items() if k not in ("bb_drop", "head_angle_deg", "front_centre")
    }
    many = draw(**rest, bb_drop=drops, head_angle_deg=angles, wheelbase=1010.0)
    assert many.reach.shape == (2, 3)
    tubes = {"top_tube": TopTube(28.6, 12, slope_deg=3), "down_tube": DownTube(31.8, 10)}
    built = many.place(**tubes).joints["down_tube-head_tube"]
    for i, j in itertools.product(range(2), range(3)):
        one = draw(
            **rest, bb_drop=float(drops[i, 0]), head_angle_deg=float(angles[j]), wheelbase=1010.0
        )
        for name in WANTED:
            value = np.broadcast_to(getattr(many, name), (2, 3))[i, j]
            assert value == pytest.approx(float(getattr(one, name)), rel=1e-12)
        joint = one.place(**tubes).joints["down_tube-head_tube"]
        assert built.angle_deg[i, j] == pytest.approx(float(joint.angle_deg), rel=1e-12)
        np.testing.assert_allclose(built.at[i, j], joint.at, rtol=1e-12)
        slope = np.broadcast_to(many.sensitivity("trail", "head_angle_deg"), (2, 3))[i, j]
        assert slope == pytest.approx(float(one.sensitivity("trail", "head_angle_deg")), rel=1e-9)


@pytest.mark.parametrize("other", ["wheelbase", "reach", "top_tube_level"])
def test_closed_forms_solve_a_large_batch_to_rounding(other):
    centre = np.linspace(560.0, 660.0, 30_000)
    f = draw(**{**USUAL, "front_centre": centre})
    again = draw(
        **{k: v for k, v in USUAL.items() if k != "front_centre"}, **{other: getattr(f, other)}
    )
    np.testing.assert_allclose(again.front_centre, centre, rtol=1e-13)


def test_batch_by_search_equals_loop():
    trails = np.array([55.0, 60.0])
    rest = {k: v for k, v in USUAL.items() if k != "head_angle_deg"}
    many = draw(**rest, trail=trails)
    for i, trail in enumerate(trails):
        assert many.head_angle_deg[i] == pytest.approx(
            draw(**rest, trail=float(trail)).head_angle_deg, abs=1e-9
        )


# --- too few, too many, impossible ----------------------------------------------------------------


def test_two_frames_that_fit_are_both_named():
    """Equal wheels: the axles may lie as far above the bottom bracket as below it."""
    rest = {k: v for k, v in USUAL.items() if k != "bb_drop"}
    with pytest.raises(
        ValueError, match="must fit one frame only; got two that have them: bb_drop 72 or -72"
    ):
        draw(**rest, wheelbase=draw(**USUAL).wheelbase)


# --- toe clearance --------------------------------------------------------------------------------


@settings(max_examples=30, deadline=None)
@given(dimension, st.floats(150, 185), st.floats(0, 130))
def test_toe_clearance_is_the_least_over_a_turn_of_the_crank(d, crank, foot):
    f = draw(**d)
    turn = np.linspace(0, 2 * np.pi, 20_001)
    toe = np.stack([crank * np.cos(turn) + foot, crank * np.sin(turn)])
    gap = np.hypot(*(toe - np.array(f.points["front_axle"])[:, None])) - d["front_radius"]
    assert f.toe_clearance(crank, foot) == pytest.approx(gap.min(), abs=1e-4)


# --- sensitivities --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "drivers",
    [{}, {"front_centre": "reach"}, {"head_angle_deg": "trail", "front_centre": "wheelbase"}],
)
def test_sensitivity_against_a_redraw(drivers):
    f = draw(**USUAL)
    given_ = {k: v for k, v in USUAL.items() if k not in drivers} | {
        v: getattr(f, v) for v in drivers.values()
    }
    f = draw(**given_)
    h = 1e-3
    for to in given_:
        up, down = (draw(**{**given_, to: given_[to] + s * h}) for s in (1, -1))
        for of in (*WANTED, "head_angle_deg", "front_centre"):
            slope = (getattr(up, of) - getattr(down, of)) / (2 * h)
            assert f.sensitivity(of, to) == pytest.approx(slope, abs=2e-6), (of, to)
        toe = (up.toe_clearance(170, 95) - down.toe_clearance(170, 95)) / (2 * h)
        assert f.sensitivity(lambda g: g.toe_clearance(170, 95), to) == pytest.approx(toe, abs=2e-6)


def test_sensitivity_to_itself_is_one():
    f = draw(**USUAL)
    for name in USUAL:
        assert f.sensitivity(
            "rear_radius" if name == "wheel_radius" else name, name
        ) == pytest.approx(1.0)


# --- tubes in place -------------------------------------------------------------------------------


def placed(**change):
    own = {
        "top_tube": TopTube(28.6, below_head_top=14.0, below_seat_top=30.0),
        "down_tube": DownTube(34.9, above_head_bottom=11.0),
        "chainstay": Chainstay(22.2, apart_at_shell=46.0, apart_at_axle=126.0, above_shell=3.0),
        "seatstay": Seatstay(
            16.0, apart_at_seat_tube=30.0, apart_at_axle=126.0, below_seat_top=45.0
        ),
    }
    return draw(**USUAL).place(**{**own, **change})


def distance(point, line):
    d = (line.end - line.start) / np.linalg.norm(line.end - line.start)
    return np.linalg.norm(np.cross(point - line.start, d))


def test_edges_of_top_and_down_tube_lie_where_they_were_put():
    """The marked points on the tubes' skins lie a tube's radius from its axis, on the right side."""
    f = placed()
    t = f.tubes.axes
    head, seat = t["head_tube"], t["seat_tube"]
    back = np.array([head.direction[1], -head.direction[0], 0]) * -18.0  # rear of a 36 mm head tube
    ahead = np.array([seat.direction[1], -seat.direction[0], 0]) * 14.3
    top = head.end - 14 * head.direction + back
    assert distance(top, t["top_tube"]) == pytest.approx(14.3, abs=1e-9)
    assert np.cross(t["top_tube"].direction, top - t["top_tube"].start)[2] > 0
    rear = seat.end - 30 * seat.direction + ahead
    assert distance(rear, t["top_tube"]) == pytest.approx(14.3, abs=1e-9)
    low = head.start + 11 * head.direction + back
    assert distance(low, t["down_tube"]) == pytest.approx(17.45, abs=1e-9)
    assert np.cross(t["down_tube"].direction, low - t["down_tube"].start)[2] < 0
    for name, ends in {
        "top_tube": ("seat_tube", "head_tube"),
        "down_tube": ("shell", "head_tube"),
    }.items():
        assert distance(t[name].start, t[ends[0]]) == pytest.approx(0, abs=1e-9)
        assert distance(t[name].end, t[ends[1]]) == pytest.approx(0, abs=1e-9)


def test_sloping_and_level_top_tube():
    f = placed(top_tube=TopTube(28.6, below_head_top=14.0, slope_deg=6.0))
    assert np.degrees(np.arctan2(*f.tubes.axes["top_tube"].direction[1::-1])) == pytest.approx(6.0)
    assert f.joints["top_tube-head_tube"].angle_deg == pytest.approx(72 + 6)
    assert f.joints["top_tube-seat_tube"].angle_deg == pytest.approx(73 + 6)
    level = placed(top_tube=TopTube(28.6, below_head_top=14.0, slope_deg=0.0)).tubes.axes[
        "top_tube"
    ]
    f = draw(**USUAL)
    drop = 14 * np.sin(np.radians(72)) + 18 * np.cos(np.radians(72)) + 14.3
    assert level.start[1] == pytest.approx(f.stack - drop)
    assert level.length == pytest.approx(
        f.top_tube_level + drop * (1 / np.tan(np.radians(72)) - 1 / np.tan(np.radians(73))),
        rel=1e-9,
    )


def test_down_tube_raised_above_the_shell():
    f = placed(down_tube=DownTube(34.9, 11.0, above_shell=4.0))
    joint = f.joints["down_tube-shell"]
    assert joint.offset == pytest.approx(4.0)
    assert distance(np.zeros(3), f.tubes.axes["down_tube"]) == pytest.approx(4.0)
    assert f.tubes.axes["down_tube"].start[1] > 0
    assert placed().joints["down_tube-shell"].offset == pytest.approx(0.0, abs=1e-12)


def test_angles_between_tubes_in_the_plane():
    f = placed()
    j = f.joints
    down = np.degrees(np.arctan2(*f.tubes.axes["down_tube"].direction[1::-1]))
    top = np.degrees(np.arctan2(*f.tubes.axes["top_tube"].direction[1::-1]))
    assert j["down_tube-head_tube"].angle_deg == pytest.approx(
        180 - 72 - down if down > 18 else 72 + down
    )
    assert j["top_tube-head_tube"].angle_deg == pytest.approx(72 + top)
    assert j["down_tube-seat_tube"].angle_deg == pytest.approx(180 - 73 - down)
    assert j["seat_tube-shell"].angle_deg == j["down_tube-shell"].angle_deg == pytest.approx(90)


def test_stays_are_mirrored_and_pass_where_they_were_put():
    f = placed()
    right, left = (f.tubes.axes[f"{s}_chainstay"] for s in ("right", "left"))
    flip = np.array([1, 1, -1])
    np.testing.assert_allclose(left.start, right.start * flip)
    np.testing.assert_allclose(right.end, [*f.points["rear_axle"], 63.0])
    assert right.start[2] == 23.0
    joint = f.joints["right_chainstay-shell"]
    assert joint.offset == pytest.approx(3.0)
    assert right.start[1] > 0
    run = np.hypot(*(right.end - right.start)[:2])
    assert joint.angle_deg == pytest.approx(np.degrees(np.arctan2(run, 40.0)), rel=1e-9)
    stay = f.joints["right_seatstay-seat_tube"]
    assert stay.offset == pytest.approx(f.joints["left_seatstay-seat_tube"].offset)
    assert f.tubes.axes["right_seatstay"].start[2] == 15.0


def test_offset_and_crossing_against_a_search():
    """Least distance of two axes by a fine grid around the closed form."""
    f = placed()
    for name in ("right_seatstay-seat_tube", "right_chainstay-shell"):
        joint = f.joints[name]
        cut, into = (f.tubes.axes[n] for n in name.split("-"))
        s = np.linspace(-80, 80, 3201)
        gaps = [distance(joint.at + k * cut.direction, into) for k in s]
        assert min(gaps) == pytest.approx(joint.offset, abs=1e-6)
        assert s[int(np.argmin(gaps))] == pytest.approx(0, abs=0.051)


def test_obtuse_corner_is_where_the_tubes_open():
    f = placed()
    joint = f.joints["down_tube-head_tube"]
    # the down tube comes up from below: seen from it the head tube leans away at the top or bottom
    head = f.tubes.axes["head_tube"].direction
    corner = np.degrees(np.arccos(np.dot(joint.inward, head)))
    side = np.dot(joint.obtuse, head)
    assert (side > 0) == (corner > 90)
    for j in f.joints.values():
        assert np.dot(j.obtuse, j.inward) == pytest.approx(0, abs=1e-12)
        assert np.linalg.norm(j.obtuse) == pytest.approx(1)
    # the top tube's obtuse corners: under it at the head tube, over it at the seat tube
    assert f.joints["top_tube-head_tube"].obtuse[1] < -0.9
    assert f.joints["top_tube-seat_tube"].obtuse[1] > 0.9


def test_inward_points_into_the_tube():
    f = placed()
    for name, j in f.joints.items():
        line = f.tubes.axes[name.split("-")[0]]
        middle = (line.start + line.end) / 2
        assert np.dot(middle - j.at, j.inward) > 0


def test_head_room_is_what_is_left():
    f = placed()
    longer = draw(**{**USUAL, "head_tube": 165.0}).place(
        top_tube=TopTube(28.6, 14.0, slope_deg=0), down_tube=DownTube(34.9, 11.0)
    )
    shorter = draw(**USUAL).place(
        top_tube=TopTube(28.6, 14.0, slope_deg=0), down_tube=DownTube(34.9, 11.0)
    )
    assert longer.tubes.head_room - shorter.tubes.head_room == pytest.approx(20.0)
    head = f.tubes.axes["head_tube"]
    assert 0 < f.tubes.head_room < head.length - 14 - 11 - 28.6 - 34.9


def test_frame_keeps_its_dimensions_when_tubes_are_placed():
    assert placed().basic == draw(**USUAL).basic
    assert frame.TOE_CLEARANCE_US == 89.0


def test_a_raised_down_tube_keeps_its_mark_on_the_head_tube():
    f = placed(down_tube=DownTube(34.9, 11.0, above_shell=4.0))
    head, tube = f.tubes.axes["head_tube"], f.tubes.axes["down_tube"]
    rear = np.array([head.direction[1], -head.direction[0], 0]) * -18.0
    mark = head.start + 11 * head.direction + rear
    assert distance(mark, tube) == pytest.approx(17.45, abs=1e-9)
    assert np.cross(tube.direction, mark - tube.start)[2] < 0
    assert distance(tube.end, head) == pytest.approx(0, abs=1e-9)


def test_seatstays_start_below_the_seat_tube_s_top():
    f = placed()
    seat, stay = f.tubes.axes["seat_tube"], f.tubes.axes["right_seatstay"]
    np.testing.assert_allclose(stay.start, [*(seat.end - 45 * seat.direction)[:2], 15.0], atol=1e-9)
    np.testing.assert_allclose(stay.end, [*f.points["rear_axle"], 63.0], atol=1e-9)


def test_joints_lie_where_the_two_axes_are_nearest():
    """From the joint to the foot of its perpendicular on the other axis it is square to both."""
    f = placed(down_tube=DownTube(34.9, 11.0, above_shell=4.0))
    for name, joint in f.joints.items():
        cut, into = (f.tubes.axes[n] for n in name.split("-"))
        foot = into.start + np.dot(joint.at - into.start, into.direction) * into.direction
        assert np.dot(foot - joint.at, cut.direction) == pytest.approx(0, abs=1e-9)
        assert np.linalg.norm(foot - joint.at) == pytest.approx(joint.offset, abs=1e-9)
        assert distance(joint.at, cut) == pytest.approx(0, abs=1e-9)


def test_the_shell_lies_across_the_frame_at_the_origin():
    shell = placed().tubes.axes["shell"]
    assert shell.direction.tolist() == [0.0, 0.0, 1.0]
    np.testing.assert_allclose(shell.start + shell.end, 0, atol=1e-12)


def test_the_steering_axis_meets_the_ground_at_the_trail_point():
    f = draw(**USUAL)
    at, level = f.points["trail_point"]
    assert level == f.points["front_contact"][1] == -f.bb_height
    (x1, y1), (x2, y2) = f.points["head_low"], f.points["head_high"]
    assert x1 + (level - y1) * (x2 - x1) / (y2 - y1) == pytest.approx(at, abs=1e-9)
    assert at - f.points["front_contact"][0] == pytest.approx(f.trail, abs=1e-9)
    assert f.points["bb"] == (0.0, 0.0)


@pytest.mark.parametrize("by, fits", [(0.5, True), (-0.5, False)])
def test_half_a_millimetre_decides_whether_the_tubes_have_room(by, fits):
    """The head tube is made just longer, or just shorter, than both tubes take up on it."""
    own = {"top_tube": TopTube(28.6, 14.0, slope_deg=0), "down_tube": DownTube(34.9, 11.0)}

    def room(head_tube):
        return draw(**{**USUAL, "head_tube": head_tube}).place(**own).tubes.head_room

    slope = (room(150.0) - room(140.0)) / 10
    head_tube = 150.0 + (by - room(150.0)) / slope
    if fits:
        assert room(head_tube) == pytest.approx(by, abs=1e-6)
        return
    with pytest.raises(ValueError, match="The head tube must be long enough for both tubes"):
        room(head_tube)


@pytest.mark.parametrize("by", [0.5, -0.5])
def test_half_a_millimetre_decides_whether_the_top_tube_meets_the_seat_tube(by):
    """A level top tube meets the seat axis at one height; the seat tube ends just over or under it."""
    own = {"top_tube": TopTube(28.6, 14.0, slope_deg=0), "down_tube": DownTube(34.9, 11.0)}
    tall = draw(**USUAL).place(**own).tubes.axes
    along = np.linalg.norm(tall["top_tube"].start - tall["seat_tube"].start)
    frame_ = draw(**{**USUAL, "seat_tube": along + by})
    if by > 0:
        assert frame_.place(**own).tubes.head_room > 0
        return
    with pytest.raises(ValueError, match=r"must meet the seat tube below its top; got 0.5"):
        frame_.place(**own)


@pytest.mark.parametrize("angle, good", [(45.0, False), (45.5, True), (90.0, True), (90.1, False)])
def test_angles_go_from_over_45_to_upright(angle, good):
    given_ = {**USUAL, "seat_angle_deg": angle}
    if good:
        assert draw(**given_).seat_angle_deg == angle
        return
    with pytest.raises(ValueError, match="angle must lie"):
        draw(**given_)


UPRIGHT = {
    "seat_angle_deg": 73, "head_angle_deg": 72, "rear_radius": 340, "front_radius": 340,
    "fork_length": 385, "fork_offset": 45, "lower_stack": 12, "head_tube": 150, "seat_tube": 550,
}  # fmt: skip


def test_wheels_may_not_even_touch():
    level = {**UPRIGHT, "chainstay": 300.0, "bb_drop": 0.0}
    with pytest.raises(ValueError, match="a wheelbase of 680 mm and radii of 680 mm in all"):
        frame.draw(**level, front_centre=380.0)
    assert frame.draw(**level, front_centre=380.0001).wheelbase == pytest.approx(680.0001)


@pytest.mark.parametrize(
    ("wheelbase", "said"),
    [(400.0, "The front axle must lie ahead of the bottom bracket; got 0 mm ahead."),
     (400.5, "The wheelbase must be longer than both wheel radii together; got a wheelbase of 400.5")],
)  # fmt: skip
def test_a_front_axle_just_ahead_of_the_bottom_bracket_is_refused_for_the_wheels(wheelbase, said):
    """The rear axle lies 400 mm behind: a triangle of 300, 400 and 500."""
    with pytest.raises(ValueError, match=said):
        frame.draw(**UPRIGHT, chainstay=500.0, bb_drop=300.0, wheelbase=wheelbase)


def test_the_head_tube_may_stand_just_ahead_of_the_seat_tube():
    folded = {**UPRIGHT, "seat_angle_deg": 90, "head_angle_deg": 45.5, "rear_radius": 100,
              "front_radius": 100, "chainstay": 300, "bb_drop": 0, "head_tube": 600}  # fmt: skip
    assert frame.draw(**folded, top_tube_level=0.5).top_tube_level == pytest.approx(0.5)
    with pytest.raises(ValueError, match=r"got a level top tube of -0\.5 mm"):  # fmt: skip
        frame.draw(**folded, top_tube_level=-0.5)
