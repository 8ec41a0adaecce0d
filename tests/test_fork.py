"""fork: sums worked by hand, limits, signs, mirror images and batches. Outside judges stand in tests/sources:
test_scipy_fork, test_manifold_fork, test_pynite_fork, test_iso_5775, test_astm_f2899, test_moore_measured.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from coursekit import fork, miters
from coursekit.fork import BladeLine, Crown, Dropout
from coursekit.frame import draw
from coursekit.tubes import Oval, Round

STEEL = (517.0, 205_000.0)
CROWN, ENDS = Crown(20.0, 62.0), Dropout(22.0, 100.0, 6.0)
RAKED = fork.raked(380.0, 45.0, CROWN, ENDS, radius=200.0, tail=15.0)

lengths, offsets = st.floats(340.0, 480.0), st.floats(20.0, 70.0)
radii, tails = st.floats(120.0, 400.0), st.floats(0.0, 40.0)
crowns = st.builds(Crown, st.floats(5.0, 40.0), st.floats(50.0, 100.0), st.floats(-5.0, 10.0), st.floats(-2.0, 4.0))  # fmt: skip
ends = st.builds(Dropout, st.floats(0.0, 35.0), st.just(100.0), st.floats(4.0, 8.0), st.floats(-5.0, 5.0))  # fmt: skip


def made(*args, **known):
    """A raked fork, or none where the numbers leave no blade."""
    try:
        return fork.raked(*args, **known)
    except ValueError:
        assume(False)


# ---- worked by hand -------------------------------------------------------------------------------


def test_a_rake_worked_on_a_calculator():
    """R 200, tip straight on for 37 (15 and the dropout's 22), 45 ahead: 37 sin β − 200 cos β = −155.

    √(37² + 200²) = 203.394, and β = 79.518° − 49.647° = 29.871°.
    Along the blade: 200 sin β = 99.61, 37 cos β = 32.08; the socket lies 358.003 above the axle in the
    blade's plane, so the upper straight is 358.003 − 99.61 − 32.08 = 226.31.
    To cut: 226.31 + 200 · 0.52135 + 15 = 345.58.
    """
    assert RAKED.bend.angle_deg == pytest.approx(29.871, abs=0.001)
    assert RAKED.bend.start == pytest.approx(226.31, abs=0.01)
    assert RAKED.blade_length == pytest.approx(345.58, abs=0.01)


def test_three_ways_to_ask_for_the_same_bend():
    whole = {"radius": RAKED.bend.radius, "start": RAKED.bend.start, "tail": RAKED.bend.tail}
    for left_out in whole:
        known = {name: value for name, value in whole.items() if name != left_out}
        again = fork.raked(380.0, 45.0, CROWN, ENDS, **known)
        assert dataclasses.astuple(again.bend) == pytest.approx(dataclasses.astuple(RAKED.bend), abs=1e-7)  # fmt: skip


def test_a_degree_at_the_crown_worked_on_a_calculator():
    """Straight blades of 338.8 and 22 of dropout: a degree is 360.8 · 0.01745 = 6.3 mm of offset."""
    straight = fork.straight(380.0, 45.0, CROWN, ENDS)
    turned = dataclasses.replace(straight.crown, angle_deg=straight.crown.angle_deg + 1)
    other = fork.built(turned, straight.bend, ENDS)
    assert other.fork_offset - 45.0 == pytest.approx(6.25, abs=0.05)


def test_a_blade_a_millimetre_longer_worked_on_a_calculator():
    """Straight down, 106 apart: the wheel leans by 1/106, 311 mm out by 311/106 = 2.93 mm."""
    plain = fork.built(
        Crown(0.0, 106.0), BladeLine(350.0, 1.0, 0.0, 0.0), Dropout(20.0, 100.0, 6.0)
    )
    found = fork.uneven(plain, 1.0, 311.0)
    assert found.at_crown == pytest.approx(2.934, abs=0.001)
    assert (found.turn_deg, found.at_front, found.axle_ahead) == (0.0, 0.0, 0.0)


def test_a_steerer_worked_by_hand():
    assert fork.steerer_length(145.0, 12.0, 60.0, 25.0) == 242.0


# ---- the drawing ----------------------------------------------------------------------------------


@given(lengths, offsets, crowns, ends, radii, tails)
def test_what_is_drawn_can_be_built(length, offset, crown, dropout, radius, tail):
    one = made(length, offset, crown, dropout, radius=radius, tail=tail)
    again = fork.built(one.crown, one.bend, one.dropout)
    assert (again.fork_length, again.fork_offset) == pytest.approx((length, offset), abs=1e-7)
    assert again.splay_deg == pytest.approx(one.splay_deg, abs=1e-9)


@given(lengths, offsets, crowns, ends)
def test_what_is_drawn_straight_can_be_built(length, offset, crown, dropout):
    one = fork.straight(length, offset, crown, dropout)
    again = fork.built(one.crown, one.bend, one.dropout)
    assert (again.fork_length, again.fork_offset) == pytest.approx((length, offset), abs=1e-7)


@given(lengths, offsets, radii, tails)
def test_a_bent_blade_is_longer_than_a_straight_one_to_the_same_place(length, offset, radius, tail):
    bent = made(length, offset, CROWN, ENDS, radius=radius, tail=tail)
    straight = fork.straight(length, offset, CROWN, ENDS)
    assert bent.blade_length > straight.blade_length


def test_the_two_numbers_are_those_of_the_frame():
    frame = draw(
        seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70, wheel_radius=340,
        fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550, front_centre=600,
    )  # fmt: skip
    one = fork.raked(frame.fork_length, frame.fork_offset, CROWN, ENDS, radius=220.0, tail=10.0)
    lean = np.radians(72)
    axis, front = np.array([-np.cos(lean), np.sin(lean)]), np.array([np.sin(lean), np.cos(lean)])
    axle = frame.points["crown"] - one.axle_drop * axis + one.fork_offset * front
    assert axle == pytest.approx(frame.points["front_axle"], abs=1e-9)
    x, y, z = fork.in_frame(one.points["axle"], frame)
    assert (x, y, z) == pytest.approx((*frame.points["front_axle"], 53.0), abs=1e-9)
    assert fork.in_frame((0.0, -12.0, 0.0), frame)[:2] == pytest.approx(frame.points["head_low"])


def test_points_follow_each_other_down_the_blade():
    names = ["socket", "arc_start", "arc_end", "tip", "axle"]
    down = [RAKED.points[name][1] for name in names]
    assert down == sorted(down)
    assert RAKED.points["socket"] == (0.0, 20.0, 31.0)
    assert RAKED.points["axle"][2] == pytest.approx(53.0)
    assert RAKED.tip_deg == pytest.approx(RAKED.bend.angle_deg)


def test_no_offset_is_a_straight_blade():
    one = fork.bend_to(370.0, 0.0, radius=200.0, tail=10.0)
    assert (one.angle_deg, one.length) == (0.0, pytest.approx(370.0))
    again = fork.bend_to(370.0, 0.0, radius=200.0, start=100.0)
    assert (again.angle_deg, again.length) == (0.0, pytest.approx(370.0))


def test_a_batch_of_forks_equals_a_loop():
    lengths, offsets = np.array([[370.0], [385.0], [400.0]]), np.array([40.0, 50.0])
    many = fork.raked(lengths, offsets, CROWN, ENDS, radius=220.0, tail=10.0)
    wide = fork.uneven(many, 1.0, 311.0)
    under = fork.under_crown(many, 330.0, 20.0, 30.0)
    along, _ = fork.boss_place(many, 584.0)
    for i, j in np.ndindex(3, 2):
        one = fork.raked(float(lengths[i, 0]), float(offsets[j]), CROWN, ENDS, radius=220.0, tail=10.0)  # fmt: skip
        assert many.blade_length[i, j] == pytest.approx(one.blade_length, rel=1e-12)
        assert many.points["tip"][1][i, j] == pytest.approx(one.points["tip"][1], rel=1e-12)
        assert wide.at_front[i, j] == pytest.approx(fork.uneven(one, 1.0, 311.0).at_front)
        assert under[i, j] == pytest.approx(fork.under_crown(one, 330.0, 20.0, 30.0))
        assert along[i, j] == pytest.approx(fork.boss_place(one, 584.0)[0])
    bends = fork.bend_to(370.0, offsets, radius=200.0, tail=0.0)
    assert bends.offset == pytest.approx(offsets)
    assert fork.straight(lengths, offsets, CROWN, ENDS).blade_length.shape == (3, 2)


# ---- signs ----------------------------------------------------------------------------------------


@given(st.floats(0.01, 3.0), st.sampled_from([1, -1]), st.sampled_from(["tip", "top"]))
def test_a_longer_blade_on_the_other_side_mirrors(size, hand, end):
    longer = hand * size
    one, other = (fork.uneven(RAKED, way * longer, 311.0, end) for way in (1, -1))
    wide = {"rel": 0.2, "abs": 1e-12}  # the axle grows longer or shorter besides
    assert one.lean_deg == pytest.approx(-other.lean_deg, **wide)
    assert one.at_front == pytest.approx(-other.at_front, **wide)
    assert np.sign(one.lean_deg) == np.sign(one.at_crown) == np.sign(longer)
    if end == "tip":
        assert np.sign(one.turn_deg) == np.sign(one.at_front) == -np.sign(longer)


def test_the_longer_blade_shows_on_the_plate_as_it_does_on_the_wheel():
    """Axle ends of a fork whose drive side is longer at the tip, read as on the plate."""
    found = fork.uneven(RAKED, 1.0, 311.0)
    tip = np.radians(RAKED.tip_deg)
    ahead = np.sin(tip)
    read = fork.rake((100 + 45 + ahead, 145.0), (100 - 45 - ahead, 55.0), 106.0)
    assert read.turn_deg == pytest.approx(found.turn_deg, abs=0.002)
    assert read.offset == pytest.approx(45 + found.axle_ahead, abs=1e-9)
    run = RAKED.axle_drop + np.cos(tip)
    assert fork.lean(run, RAKED.axle_drop, 106.0).lean_deg == pytest.approx(found.lean_deg, abs=0.002)  # fmt: skip


def test_a_hit_and_a_weight_bend_a_fork_to_opposite_sides():
    at = fork.levers(380.0, 45.0, 72.5)
    assert fork.axle_bending(*at, forward=-500.0, up=0.0) < 0 < fork.axle_bending(*at, 0.0, 500.0)
    assert fork.braking_bending(*at, 340.0, brake=0.0, weight=500.0) == pytest.approx(fork.axle_bending(*at, 0.0, 500.0))  # fmt: skip


def test_leaving_the_axle_behind_the_levers_shrink_to_nothing():
    drop = np.sqrt(380.0**2 - 45.0**2)
    height, ahead = fork.levers(380.0, 45.0, 90.0, below=drop)
    assert (height, ahead) == (pytest.approx(0.0, abs=1e-9), 45.0)


# ---- the former -----------------------------------------------------------------------------------

BLADE = fork.tapered(380.0, top=24.0, tip=12.0, straight=180.0, wall=0.9, tip_wall=1.3)


@given(st.floats(80.0, 500.0), st.floats(10.0, 24.0))
def test_the_former_leaves_the_radius_it_was_made_for(radius, diameter):
    tube = Round(diameter, 1.0)
    former = fork.former_radius(radius, tube, *STEEL)
    assert former < radius - diameter / 2
    plain = fork.tapered(400.0, diameter, diameter, 0.0, 1.0)
    found = fork.wrapped(plain, former, 200.0, 260.0, *STEEL)
    assert np.radians(found.angle_deg) == pytest.approx(60.0 / radius, rel=1e-9)
    bend = BladeLine(200.0, radius, found.angle_deg, 140.0)
    assert (found.offset, found.drop) == pytest.approx((bend.offset, bend.drop), abs=1e-7)


def test_a_thicker_tube_springs_back_less():
    """The yield curvature is 2σ/ED, so what springs back shrinks with the diameter."""
    back = [fork.wrapped(fork.tapered(400.0, d, d, 0.0, 1.0), 250 - d / 2, 200.0, 300.0, *STEEL).springback_deg
            for d in (12.0, 18.0, 24.0)]  # fmt: skip
    assert back == sorted(back, reverse=True)
    assert back[0] / back[2] == pytest.approx(2.0, rel=0.05)


def test_the_taper_shows_in_the_bend_of_one_former():
    """On one former the thin end is bent tighter under load, and springs back more."""
    upper = fork.wrapped(BLADE, 200.0, 185.0, 235.0, *STEEL)
    lower = fork.wrapped(BLADE, 200.0, 320.0, 370.0, *STEEL)
    assert lower.held_deg > upper.held_deg
    assert lower.springback_deg > upper.springback_deg
    assert lower.strain < upper.strain


@settings(max_examples=20)
@given(st.floats(5.0, 40.0))
def test_the_offset_that_was_asked_for_stays(offset):
    found = fork.wrap_for(BLADE, offset, 180.0, 230.0, *STEEL)
    assert found.offset == pytest.approx(offset, abs=1e-7)


def test_the_most_a_former_gives_is_where_the_blade_has_turned_by_a_right_angle():
    with pytest.raises(ValueError, match="got 150 mm where 138"):
        fork.wrap_for(BLADE, 150.0, 60.0, 200.0, *STEEL)


# ---- the blade, shoulders, room -------------------------------------------------------------------


def test_a_blade_cut_from_its_top_keeps_its_tip():
    left = BLADE.cut(345.0)
    assert (left.places, left.widths) == ((0.0, 145.0, 345.0), (24.0, 24.0, 12.0))
    assert left.section_at(345.0) == Round(12.0, 1.3)
    assert BLADE.cut(380.0) == BLADE
    short = BLADE.cut(150.0)  # cut into the taper: all of it tapers
    assert short.places == (0.0, 150.0)
    assert short.widths == pytest.approx((24 - 12 * 50 / 200, 12.0))


def test_an_oval_blade_is_raked_where_it_is_round():
    """From 180 mm on it is the round blade's, and so is what the former leaves in it."""
    oval = fork.Blade((0.0, 100.0, 180.0, 380.0), (20.0, 20.0, 24.0, 12.0), (0.9, 0.9, 0.9, 1.3), (28.0, 28.0, 24.0, 12.0))  # fmt: skip
    assert oval.section_at(50.0) == Oval(20.0, 28.0, 0.9)
    assert fork.wrapped(oval, 200.0, 240.0, 360.0, *STEEL) == fork.wrapped(BLADE, 200.0, 240.0, 360.0, *STEEL)  # fmt: skip
    assert oval.cut(345.0).depths == (28.0, 28.0, 24.0, 12.0)
    assert oval.cut(345.0).places == (0.0, 65.0, 145.0, 345.0)


@given(st.floats(40.0, 85.0), st.floats(0.0, 4.0), st.floats(0.0, 30.0))
def test_a_shoulder_ends_where_the_blade_begins(angle, splay, radius):
    one = fork.shoulder(28.6, 110.0, angle, splay, radius)
    lean = np.radians(angle)
    out = one.stub * np.sin(lean) + radius * (np.cos(np.radians(splay)) - np.cos(lean))
    assert out == pytest.approx(55.0)
    assert one.turn_deg == pytest.approx(angle - splay)
    assert one.length >= np.hypot(55.0, one.down) - 1e-9


def test_the_two_shoulders_are_mirror_images():
    one = fork.shoulder(28.6, 80.0, 60.0)
    drive, other = (miters.cut(24.0, one.joint(side)) for side in ("drive side", "non-drive side"))
    assert drive.along == pytest.approx(other.along[::-1], abs=1e-9)
    # the top, 90°, is the obtuse line: (14.3 − 12 cos 60°)/sin 60°; underneath, (14.3 + 6)/sin 60°
    assert (drive.along[90], drive.along[270]) == (pytest.approx(9.584, abs=5e-4), pytest.approx(23.440, abs=5e-4))  # fmt: skip
    assert drive.along.argmax() == 270
    a, b = (fork.knee(24.0, 60.0, line)[1] for line in (270.0, 90.0))
    assert a == pytest.approx(b[::-1], abs=1e-9)


def test_a_square_shoulder_is_a_square_joint():
    one = fork.shoulder(28.6, 80.0, 90.0)
    assert (one.stub, one.down) == (40.0, pytest.approx(0.0, abs=1e-12))
    above, below = one.span(24.0)
    assert (above, below) == (pytest.approx(12.0), pytest.approx(12.0))


def test_a_wider_tyre_leaves_half_of_its_width_less():
    blade = BLADE.cut(RAKED.blade_length)
    narrow, wide = (fork.beside(RAKED, blade, 340.0, w).gap for w in (28.0, 32.0))
    assert narrow - wide == pytest.approx(2.0, abs=0.2)  # the middle of the wider one lies lower
    assert fork.under_crown(RAKED, 340.0, 20.0, 30.0) - fork.under_crown(RAKED, 343.0, 20.0, 30.0) == pytest.approx(3.0)  # fmt: skip


def test_a_pair_that_is_one_plane_reads_as_one():
    place = np.array([0.0, 80.0, 160.0])
    found = fork.pair(place, 52 + 0.01 * place, 52 + 0.01 * place, noise=0.05)
    assert (found.ahead, found.angle_deg) == (pytest.approx(0, abs=1e-9), pytest.approx(0, abs=1e-9))  # fmt: skip
    many = fork.pair(place, np.stack([52 + 0.01 * place, 52 + 0.02 * place]), np.full((2, 3), 52.0), noise=0.05)  # fmt: skip
    assert np.tan(np.radians(many.angle_deg)) == pytest.approx([0.01, 0.02])


def test_a_dropout_worked_by_hand():
    """100 between the faces and half a plate of 6 to each side; 22 to the tip and 15 in the slot."""
    one = Dropout(22.0, 100.0, 6.0, tab=15.0)
    assert (one.apart, one.plate) == (106.0, 37.0)


@pytest.mark.parametrize(
    ("thing", "field"),
    [(RAKED, "bend"), (RAKED.bend, "radius"), (CROWN, "below"), (ENDS, "reach"), (BLADE, "length"),
     (fork.shoulder(28.6, 80.0, 60.0), "stub"), (fork.tyre_size("32-622"), "width"),
     (fork.STANDARD_LOADS[0], "force")],
)  # fmt: skip
def test_things_do_not_change_under_your_hands(thing, field):
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(thing, field, 1.0)


# ---- four forks from end to end -------------------------------------------------------------------

# length, offset, spread of the blades, tyre, over its knobs; invented
SHAPES = {
    "road": (372.0, 45.0, 64.0, "28-622", 0.0),
    "touring": (395.0, 50.0, 76.0, "40-622", 0.0),
    "trail": (500.0, 46.0, 104.0, "60-622", 3.0),
    "small step-through": (365.0, 48.0, 74.0, "37-590", 0.0),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_fork_from_its_drawing_to_the_plate(shape):
    length, offset, spread, size, knobs = SHAPES[shape]
    crown, dropout = Crown(22.0, spread), Dropout(24.0, 100.0, 6.0)
    one = fork.raked(length, offset, crown, dropout, radius=190.0, tail=12.0)
    blade = fork.tapered(540.0, 24.0, 13.0, 300.0, 1.0, tip_wall=1.4).cut(one.blade_length)
    # over the former, let go, and back on the plate: the tip is where the drawing has it
    middle = blade.section_at(one.bend.start + one.bend.arc / 2)
    former = fork.former_radius(190.0, middle, *STEEL)
    bent = fork.wrap_for(blade, one.bend.offset, former, one.bend.start, *STEEL)
    assert bent.offset == pytest.approx(one.bend.offset, abs=1e-6)
    assert bent.drop == pytest.approx(one.bend.drop, abs=0.3)  # a taper bends no even arc
    assert bent.held_deg > bent.angle_deg > 0
    last = one.bend.drop - 6.5 * np.sin(np.radians(one.bend.angle_deg))
    tip = fork.heights(one.bend, blade, last, level=50.0)
    assert tip == pytest.approx(50 + one.bend.offset + 6.5 * np.cos(np.radians(one.bend.angle_deg)), abs=1e-6)  # fmt: skip
    # the wheel: where the middle of the tyre passes the blade, the gap is what lies to the side
    tyre = fork.tyre_size(size)
    radius, width = fork.wheel_radius(tyre) + knobs, tyre.width + 2 * knobs
    room = fork.beside(one, blade, radius, width)
    side = one.place(room.along)[2] - blade.width_at(room.along) / 2 - width / 2
    assert side <= room.gap <= side + 0.6
    assert room.gap >= fork.TYRE_ROOM
    assert fork.under_crown(one, radius, 22.0, 30.0) > fork.TYRE_ROOM
    along, _ = fork.boss_place(one, tyre.bead_seat)
    assert room.along < along < one.bend.start


def test_a_blade_that_is_no_body_is_refused():
    """Not cut to length; under a knee; under a shoulder, and leaning."""
    ends = Dropout(22.0, 100.0, 6.0)
    plain = fork.raked(400.0, 40.0, Crown(60.0, 90.0), ends, radius=250.0, tail=12.0)
    cut = fork.tapered(plain.blade_length, 24.0, 24.0, 0.0, 0.9)
    with pytest.raises(ValueError, match=r"^The blade must be cut to its length; got 500 mm for"):
        fork.blade_stay(plain, fork.tapered(500.0, 24.0, 24.0, 0.0, 0.9))
    knee = fork.shoulder(28.6, 90.0, 65.0)
    longer = fork.tapered(plain.blade_length + knee.length, 24.0, 24.0, 0.0, 0.9)
    with pytest.raises(ValueError, match=r"^The shoulder must be bent; got a knee\. Draw"):
        fork.blade_stay(plain, longer, knee)
    bent = fork.shoulder(28.6, 90.0, 65.0, radius=40.0)
    lean = fork.straight(400.0, 40.0, Crown(60.0, 90.0), ends)
    long = fork.tapered(lean.blade_length + bent.length, 24.0, 24.0, 0.0, 0.9)
    with pytest.raises(ValueError, match=r"must run straight down before they are raked; got a lean of 6\.\d+°"):  # fmt: skip
        fork.blade_stay(lean, long, bent)
    assert fork.blade_stay(plain, cut).name == "right_blade"
