"""Stays: lines and sides, bends, tapers, dimples, cut ends; what must hold whatever the numbers."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from coursekit import frame, miters, pieces, stays, tubes
from coursekit.stays.oval_distance import from_ellipse

FLIP = np.array([1.0, 1.0, -1.0])
SHELL = stays.rod("shell", (0, 0, -34), (0, 0, 34), 40.0)
BENDS = (stays.Bend(70.0, 150.0, 12.0, 90.0), stays.Bend(130.0, 120.0, 15.0, 255.0))
TAPER = stays.Taper(
    (60.0, 200.0, 400.0), (16.0, 18.0, 12.0), (26.0, 18.0, 12.0),
    (stays.Dimple(90.0, 60.0, 3.0, 270.0), stays.Dimple(110.0, 50.0, 2.0, 90.0)),
)  # fmt: skip


def stay(bends=BENDS, taper=TAPER):
    return stays.between("right_chainstay", (0, 0, 20), (-400, 66.7, 68), taper, bends)


places = st.floats(0.0, 400.0)
lines = st.floats(0.0, 360.0)


@given(places, lines)
def test_left_is_the_mirror_image_of_right_and_names_keep_their_sides(s, around):
    right, left = stay(), stay().mirrored()
    assert left.name == "left_chainstay" and left.mirrored().name == right.name
    assert left.surface(s, 360.0 - around) == pytest.approx(
        right.surface(s, around) * FLIP, abs=1e-9
    )
    for one in (right, left):  # 90° lies on the drive side of both, 0° at the underside
        at = one.line.at(0.0)
        assert at.ninety[2] > 0.9 and at.zero[1] < -0.9
    assert left.mirrored().surface(s, around) == pytest.approx(right.surface(s, around), abs=1e-9)


@given(places)
def test_lines_stay_square_to_the_tube(s):
    at = stay().line.at(s)
    axes = np.array([at.direction, at.zero, at.ninety])
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)


@given(st.floats(20.0, 380.0), lines, st.floats(-3.0, 8.0))
def test_nearest_place_is_the_foot_of_the_square(s, around, off):
    one = stay()
    at = one.line.at(s)
    turn = np.radians(around)
    p = at.point + off * (np.cos(turn) * at.zero + np.sin(turn) * at.ninety)
    assert one.line.nearest(p) == pytest.approx(s, abs=1e-7)


@given(st.floats(5.0, 395.0), lines)
def test_the_surface_lies_neither_in_nor_out(s, around):
    one = stay()
    assert one.outside(one.surface(s, around)) == pytest.approx(0.0, abs=1e-7)
    at = one.line.at(s).point
    assert one.outside(at + 0.9 * (one.surface(s, around) - at)) < 0
    assert one.outside(at + 1.1 * (one.surface(s, around) - at)) > 0


def test_arrays_broadcast():
    one = stay()
    s, around = np.linspace(0, 400, 7), np.linspace(0, 360, 5)
    grid = one.surface(s[:, None], around)
    assert grid.shape == (7, 5, 3)
    assert one.outside(grid).shape == (7, 5)
    for i in range(7):
        assert one.surface(s[i], around) == pytest.approx(grid[i])
        assert one.surface(s, around[2])[i] == pytest.approx(grid[i, 2])
    assert one.line.at(s).point.shape == (7, 3)
    assert one.surface(3.0, 4.0).shape == (3,)


def test_beyond_its_ends_a_line_goes_on_straight():
    line = stay().line
    assert line.at(-10.0).point == pytest.approx(line.start - 10.0 * line.direction)
    at = line.at(line.length)
    assert line.at(line.length + 7.0).point == pytest.approx(at.point + 7.0 * at.direction)


def test_beyond_its_ends_a_tube_does_not_go_on():
    rod = stays.rod("seat_tube", (0, 0, 0), (-100, 300, 0), 28.6, stays.REAR)
    way = rod.line.direction
    assert rod.outside(rod.line.at(rod.length).point + 5.0 * way) == pytest.approx(5.0)
    corner = rod.surface(rod.length, 90.0) + 3.0 * way + [0, 0, 4.0]
    assert rod.outside(corner) == pytest.approx(5.0)


@given(st.floats(40.0, 400.0), st.floats(2.0, 25.0), st.floats(0.0, 360.0), st.floats(5.0, 60.0))
def test_a_stay_between_two_points_ends_there(radius, angle, toward, straight):
    bends = stays.s_bend(30.0, radius, angle, straight, toward)
    assume(bends[1].end < 330)
    one = stays.between(
        "right_chainstay", (0, 3, 20), (-400, 66.7, 68), stays.Taper((0.0,), (18.0,)), bends
    )
    assert one.line.at(one.length).point == pytest.approx([-400, 66.7, 68], abs=1e-9)
    assert one.line.at(0.0).point == pytest.approx([0, 3, 20], abs=1e-12)
    # line 0° points as nearly down as it can
    assert np.cross(one.line.zero, one.line.direction) @ (0, -1, 0) == pytest.approx(0.0, abs=1e-12)


def test_straight_pieces_are_found():
    line = stay().line
    assert line.straight_at(10.0) == (0.0, 70.0)
    assert line.straight_at(110.0) == pytest.approx((70.0 + 150 * np.radians(12), 130.0))
    assert line.straight_at(300.0)[1] == line.length


def test_bend_over_size():
    """Common practice, no source: under about 4 sizes of the tube a thin wall wrinkles."""
    taper = stays.Taper((0.0, 100.0), (20.0, 10.0))
    line = stays.CentreLine(
        (0, 0, 0), (-1, 0, 0), 200.0, (stays.Bend(50.0, 60.0, 20.0),), (0, -1, 0)
    )
    assert stays.Stay("right_stay", line, taper).bend_ratios == pytest.approx([60 / 15])
    oval = stays.Stay("right_stay", line, stays.Taper((0.0,), (12.0,), (24.0,)))
    assert oval.bend_ratios == pytest.approx([60 / 12])  # the size in the plane of the bend
    assert stays.EASY_BEND == 4.0


def test_taper_between_places_and_flat_beyond():
    assert [float(v) for v in TAPER.sizes(0.0)] == [16.0, 26.0]
    assert [float(v) for v in TAPER.sizes(130.0)] == [17.0, 22.0]
    assert [float(v) for v in TAPER.sizes(900.0)] == [12.0, 12.0]
    for s in (30.0, 100.0, 300.0, 500.0):
        slope = [
            (b - a) / 2e-3
            for a, b in zip(TAPER.sizes(s - 1e-3), TAPER.sizes(s + 1e-3), strict=True)
        ]
        assert [float(v) for v in TAPER.slopes(s)] == pytest.approx(
            [float(v) for v in slope], abs=1e-9
        )
    cut = TAPER.cut(25.0)
    assert np.array(cut.sizes(105.0)) == pytest.approx(np.array(TAPER.sizes(130.0)))
    assert cut.dimples[0].at == 65.0
    assert cut.outline(80.0, 270.0) == pytest.approx(TAPER.outline(105.0, 270.0))


def test_dimple_has_a_straight_floor_of_its_depth():
    taper = stays.Taper((0.0,), (20.0,), (), (stays.Dimple(100.0, 60.0, 4.0, 270.0),))
    around = np.linspace(0, 360, 361)
    _, y = taper.outline(100.0, around)
    assert y.min() == pytest.approx(-6.0)
    pressed = np.isclose(y, -6.0)
    # of a circle of radius 10 the part beyond a chord 6 from the middle spans 2·arccos(0.6)
    assert pressed.sum() == pytest.approx(2 * np.degrees(np.arccos(0.6)), abs=2)
    # along the tube one wave of a cosine: all of it in the middle, half of it half-way out
    assert taper.dimples[0].pressed([69.0, 70.0, 85.0, 100.0, 115.0, 131.0]) == pytest.approx(
        [0, 0, 2, 4, 2, 0]
    )
    assert taper.outline(100.0, 90.0)[1] == 10.0
    assert taper.outline(85.0, 270.0)[1] == pytest.approx(-8.0)  # half-way in
    assert taper.outline(70.0, 270.0)[1] == pytest.approx(-10.0)
    assert taper.outline(129.999, 270.0)[1] == pytest.approx(-10.0, abs=1e-6)


@given(st.floats(-30, 30), st.floats(-30, 30), st.floats(2, 20), st.floats(2, 20))
def test_distance_from_an_ellipse_has_the_same_signs_and_symmetries(x, y, a, b):
    far = from_ellipse(x, y, a, b)
    assert from_ellipse(-x, y, a, b) == from_ellipse(x, -y, a, b) == far
    assert from_ellipse(y, x, b, a) == pytest.approx(far, abs=1e-9)
    assert (far < 0) == ((x / a) ** 2 + (y / b) ** 2 < 1)
    assert from_ellipse(x, y, a, a) == pytest.approx(np.hypot(x, y) - a, abs=1e-9)


# Cut ends against the closed forms of the round joint


@settings(max_examples=25)
@given(st.floats(8.0, 30.0), st.floats(0.0, 12.0), st.floats(25.0, 90.0), st.floats(-1.0, 1.0))
def test_a_round_stay_has_the_round_saddle(diameter, more, angle, share):
    into, offset = diameter + more, share * more / 2
    turn = np.radians(angle)
    one = stays.rod("stay", (0, 0, 0), (0, 300.0, 0), diameter, (0, 0, 1))
    arm = np.array(
        [0.0, -np.cos(turn), np.sin(turn)]
    )  # its obtuse corner lies on the side of line 0°
    past = np.array([-offset, 0.0, 0.0])
    main = stays.rod("main", past - 400 * arm, past + 400 * arm, into, (1, 0, 0))
    if one.line.ninety[0] < 0:
        past = -past
        main = stays.rod("main", past - 400 * arm, past + 400 * arm, into, (1, 0, 0))
    cut = stays.cut_end(one, {"main": main}, stations=73)
    _, along = miters.saddle(diameter, into, angle, offset, stations=73)
    assert cut.along == pytest.approx(along, abs=1e-5)


def test_bore_edge_is_the_bore_of_a_round_tube():
    one = stays.rod("stay", (0, 0, 0), (0, 300.0, 0), 22.2, (0, 0, 1))
    turn = np.radians(70.0)
    arm = np.array([0.0, -np.cos(turn), np.sin(turn)])
    main = stays.rod("main", -400 * arm, 400 * arm, 40.0, (1, 0, 0))
    inner = stays.cut_end(one.bore(0.8), {"main": main}, stations=73)
    wanted = miters.cut(tubes.Round(22.2, 0.8), miters.Joint(40.0, 70.0), stations=73)
    assert inner.along == pytest.approx(wanted.bore, abs=1e-6)


def placed():
    drawn = frame.draw(
        seat_angle_deg=73, head_angle_deg=72.5, chainstay=425, bb_drop=70, wheel_radius=340, fork_length=380,
        fork_offset=45, lower_stack=12, head_tube=145, seat_tube=560, front_centre=595,
    )  # fmt: skip
    return drawn.place(
        top_tube=frame.TopTube(28.6, 15, below_seat_top=30), down_tube=frame.DownTube(31.8, 12), shell=40.0,
        chainstay=frame.Chainstay(22.2, 40, 118), seatstay=frame.Seatstay(14.0, 14, 118, 45),
    )  # fmt: skip


@pytest.mark.parametrize(
    "name", ["right_chainstay", "left_chainstay", "right_seatstay", "left_seatstay"]
)
def test_straight_round_stays_are_those_of_the_pieces(name):
    """The same edge in the frame, line by line, and the same finished length."""
    frame_ = placed()
    axis, piece = frame_.tubes.axes[name], pieces.of_frame(frame_)[name]
    zero = stays.UNDERSIDE if name.endswith("chainstay") else stays.REAR
    one = stays.rod(name, axis.start, axis.end, float(axis.diameter), zero)
    host = "shell" if name.endswith("chainstay") else "seat_tube"
    other = frame_.tubes.axes[host]
    more = 100.0 * other.direction
    main = stays.rod(
        host, other.start - more, other.end + more, float(other.diameter), (-1, -0.2, 0)
    )
    cut = stays.cut_end(one, {host: main})
    assert cut.edge == pytest.approx(piece.edge("a"), abs=1e-6)
    whole = stays.CutStay(one, cut, stays.cut_end(one, None, "b"))
    assert whole.finished == pytest.approx(piece.finished, abs=1e-6)
    assert whole.lengths == pytest.approx(piece.lengths, abs=1e-6)


def test_lines_have_their_names():
    frame_ = placed()
    for name in ("right_chainstay", "left_chainstay", "right_seatstay", "left_seatstay"):
        axis = frame_.tubes.axes[name]
        zero = stays.UNDERSIDE if name.endswith("chainstay") else stays.REAR
        one = stays.rod(name, axis.start, axis.end, float(axis.diameter), zero)
        assert one.lines == pieces.of_frame(frame_)[name].lines
    bridge = stays.rod("bridge", (-50, 10, 20), (-50, 10, -20), 12.0)
    assert bridge.lines == stays.ACROSS
    ways = {
        "underside": (0, -1, 0),
        "upper side": (0, 1, 0),
        "front": (1, 0, 0),
        "rear": (-1, 0, 0),
    }
    for name, around in zip(bridge.lines, (0, 90, 180, 270), strict=True):
        assert bridge.surface(0.0, around) - (-50, 10, 20) == pytest.approx(
            6.0 * np.array(ways[name])
        )


def test_both_ends_and_their_words():
    long = stays.rod("bridge", (0, 0, 50), (0, 0, -50), 12.0)
    posts = {
        s: stays.rod(s, (0, -100, z), (0, 100, z), 20.0, (1, 0, 0))
        for s, z in (("a", 50), ("b", -50))
    }
    both = stays.CutStay(
        long,
        stays.cut_end(long, {"post": posts["a"]}),
        stays.cut_end(long, {"post": posts["b"]}, "b"),
    )
    assert both.a.along == pytest.approx(both.b.along, abs=1e-9)
    assert both.a.long_point == pytest.approx(8.0) and both.a.short_point == pytest.approx(10.0)
    assert both.a.depth == pytest.approx(2.0)
    assert both.finished == pytest.approx(84.0)
    assert both.lengths.min() == pytest.approx(80.0)
    assert both.a.edge[0, 2] > 0 > both.b.edge[0, 2]
    square = stays.cut_end(long, None, "b")
    assert square.meets == () and square.depth == 0.0


@given(st.floats(20.0, 89.0), st.floats(0.0, 0.06))
def test_cap_is_a_plane_section(angle, growth):
    """The ellipse's ends and flanks lie on the cone: radius = r + growth/2 · way along it."""
    size = stays.cap_size(16.0, angle, growth)
    s, c, k = np.sin(np.radians(angle)), np.cos(np.radians(angle)), growth / 2
    for u in (size.off_centre + size.long / 2, size.off_centre - size.long / 2):
        assert abs(u) * s == pytest.approx(8.0 + k * u * c, abs=1e-9)
    u = size.off_centre
    assert np.hypot(u * s, size.short / 2) == pytest.approx(8.0 + k * u * c, abs=1e-9)


def test_cap_sizes_come_as_arrays():
    size = stays.cap_size([16.0, 14.0], [[30.0], [90.0]])
    assert size.long.shape == (2, 2)
    assert size.long[1].tolist() == pytest.approx([16.0, 14.0])
    assert size.long[0, 0] == pytest.approx(32.0)


def test_a_template_knows_its_lines():
    one = stay((), stays.Taper((0.0,), (20.0,)))
    cut = stays.cut_end(one, {"shell": SHELL})
    paper = stays.template(one, cut, 50.0)
    edge, base = paper.line(180.0)
    assert base == pytest.approx([0.0, 0.0], abs=1e-9)
    assert edge == pytest.approx(
        [0.0, np.interp(180.0, cut.around_deg, cut.along) - 50.0], abs=1e-9
    )
    assert paper.line(270.0)[1][0] == pytest.approx(np.pi * 5.0, abs=1e-3)
    far = stays.template(
        one,
        stays.cut_end(one, {"p": stays.Plane(one.line.at(one.length).point, (1, 0, 0))}, "b"),
        60.0,
    )
    assert far.line(270.0)[1][0] == pytest.approx(
        -np.pi * 5.0, abs=1e-3
    )  # from the other end it is the other way round


def test_the_other_side_is_cut_as_a_mirror_image():
    """Cut anew to the same tube, the left stay is the right one's mirror image line by line."""
    stay = stays.between("right_seatstay", (-150, 480, 9), (-415, 70, 60), stays.Taper((0.0, 400.0), (16.0, 11.0)), zero=stays.REAR)  # fmt: skip
    into = {"seat_tube": stays.rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 38.0, stays.REAR)}
    right = stays.CutStay(stay, stays.cut_end(stay, into), stays.cut_end(stay, None, "b"))
    left = right.mirrored()
    again = stays.cut_end(stay.mirrored(), into)
    assert left.stay.name == "left_seatstay"
    assert left.a.along == pytest.approx(again.along, abs=1e-8)
    assert left.a.edge == pytest.approx(again.edge, abs=1e-8)
    assert left.finished == right.finished
