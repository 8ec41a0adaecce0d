"""Miters: points on both tubes, symmetry, batches, whole cut ends."""

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from coursekit import miters
from coursekit.tubes import Butted, Oval, Round

diameters = st.floats(8.0, 50.0)
angles = st.floats(15.0, 165.0)
shares = st.floats(-1.0, 1.0)


def points(r, angle_deg, offset, around, along):
    """Points of the curve in space: the tube up z, moved by the offset along y."""
    phi = around / r
    return np.array([r * np.cos(phi), r * np.sin(phi) + offset, along])


def from_axis(point, angle_deg):
    """Distance from the axis of the tube that is met; its arm leans over the x side."""
    theta = np.radians(angle_deg)
    arm = np.array([np.sin(theta), 0.0, -np.cos(theta)])
    return np.linalg.norm(np.cross(point.T, arm), axis=-1)


@given(diameters, st.floats(0.0, 20.0), angles, shares)
def test_points_lie_on_both_tubes(diameter, more, angle, share):
    into = diameter + more
    offset = share * more / 2
    around, along = miters.saddle(diameter, into, angle, offset, stations=73)
    point = points(diameter / 2, angle, offset, around, along)
    assert np.hypot(point[0], point[1] - offset) == pytest.approx(diameter / 2, abs=1e-9)
    assert from_axis(point, angle) == pytest.approx(into / 2, abs=1e-9)
    # on the tube's own side of the joined tube's axis
    assert np.all(along * np.sin(np.radians(angle)) + point[0] * np.cos(np.radians(angle)) >= -1e-9)


@given(diameters, st.floats(0.0, 20.0), angles, shares)
def test_mirror(diameter, more, angle, share):
    """An offset the other way mirrors the curve; the supplement of the angle turns it half round."""
    into, offset = diameter + more, share * more / 2
    _, one = miters.saddle(diameter, into, angle, offset, stations=73)
    _, mirrored = miters.saddle(diameter, into, angle, -offset, stations=73)
    assert mirrored == pytest.approx(one[::-1], abs=1e-6)
    _, turned = miters.saddle(diameter, into, 180 - angle, -offset, stations=73)
    assert turned[:-1] == pytest.approx(np.roll(one[:-1], 36), abs=1e-6)


@given(diameters, st.floats(0.1, 20.0), angles, shares)
def test_general_path_is_the_round_one(diameter, more, angle, share):
    into, offset = diameter + more, share * more / 2
    around, along = miters.saddle(diameter, into, angle, offset, stations=37)
    one = miters.cut(diameter, miters.Joint(into, angle, offset), stations=37)
    assert one.along == pytest.approx(along, abs=1e-6)
    assert one.around == pytest.approx(around, abs=1e-9)


def test_batch_equals_loop():
    rng = np.random.default_rng(3)
    d = rng.uniform(12, 32, (7, 1))
    into = d + rng.uniform(0, 9, (7, 5))
    angle = rng.uniform(30, 150, 5)
    offset = (into - d) / 2 * rng.uniform(-1, 1, (7, 5))
    around, along = miters.saddle(d, into, angle, offset, stations=50)
    assert around.shape == along.shape == (7, 5, 50)
    for i in range(7):
        for j in range(5):
            s, z = miters.saddle(d[i, 0], into[i, j], angle[j], offset[i, j], stations=50)
            assert np.array_equal(around[i, j], s)
            assert np.array_equal(along[i, j], z)


@pytest.mark.parametrize("stations", [2, 5, 361, 6000])
def test_chunks_do_not_show(stations):
    d = np.linspace(10, 30, 40)
    _, along = miters.saddle(d, 40.0, 70.0, stations=stations)
    for i in (0, 14, 15, 16, 39):
        assert np.array_equal(along[i], miters.saddle(d[i], 40.0, 70.0, stations=stations)[1])


def test_scalars_give_plain_curves():
    around, along = miters.saddle(28.6, 36.0, 60)
    assert around.shape == along.shape == (361,)
    assert around[-1] == pytest.approx(np.pi * 28.6)
    along[0] = 0.0  # the caller's own to change
    assert miters.saddle(28.6, 36.0, 60)[1][0] != 0.0
    assert miters.curve.turns(9)[1].flags.writeable is False


@given(diameters, st.floats(0.0, 20.0), angles)
def test_acute_side_is_longer(diameter, more, angle):
    assume(abs(angle - 90) > 1)
    _, along = miters.saddle(diameter, diameter + more, angle, stations=5)
    assert (along[2] > along[0]) == (angle < 90)


def test_touching_sizes_count_as_equal():
    for more in (0.0, 9e-10, -1.5e-9):
        assert np.isfinite(miters.saddle(28.6, 28.6 + more, 70.0)[1]).all()
    assert np.isfinite(miters.saddle(28.6, 31.8, 70.0, offset=1.6)[1]).all()
    assert miters.saddle(28.6, 31.8, 70.0, offset=-1.6, stations=5)[1][3] == pytest.approx(
        0, abs=1e-3
    )


@pytest.mark.parametrize(
    ("angle", "swing"), [(90, 0), (60, 30), (73.5, 16.5), (107, -17), (0.5, 89.5), (179.5, -89.5)]
)
def test_mill_setting(angle, swing):
    assert miters.mill_setting_deg(angle) == swing


@pytest.mark.parametrize(
    ("d", "D", "angle", "offset"),
    [(28.6, 31.8, 90, 0), (28.6, 36.0, 60, 0), (28.6, 36.0, 60, 3.0), (22.2, 40.0, 84, -8.0),
     (28.6, 28.6002, 70, 0.0), (28.6, 31.8, 120, 1.6), (2.0, 4.0, 33, 0.5)],
)  # fmt: skip
def test_joint_line_to_25_digits(d, D, angle, offset):
    mp = mpmath.mp
    with mpmath.workdps(25):
        r, R, e = mp.mpf(str(d)) / 2, mp.mpf(str(D)) / 2, mp.mpf(str(offset))
        theta = mp.radians(angle)

        def step(phi):
            u = r * mp.sin(phi) + e
            climb = u * r * mp.cos(phi) / mp.sqrt((R - u) * (R + u))
            return mp.hypot(r, (r * mp.sin(phi) * mp.cos(theta) - climb) / mp.sin(theta))

        want = mp.quad(step, [i * mp.pi / 2 for i in range(5)])
    assert miters.joint_line(d, D, angle, offset) == pytest.approx(float(want), rel=1e-10)


def test_joint_line_by_chords():
    around, along = miters.saddle(28.6, 36.0, 60.0, 2.0, stations=100001)
    chords = np.hypot(np.diff(along), 28.6 * np.sin(np.diff(around) / 28.6))
    assert miters.joint_line(28.6, 36.0, 60.0, 2.0) == pytest.approx(chords.sum(), rel=1e-8)
    both = miters.joint_line(28.6, np.array([36.0, 38.1]), 60.0, 2.0)
    assert both.shape == (2,)
    assert both[0] == pytest.approx(chords.sum(), rel=1e-8)


def test_far_end():
    """The rotated axis, at `length` along the drawn one, by vectors."""
    for error in (-3.0, 0.5, 1.0):
        turn = np.radians(error)
        swung = np.array([np.sin(turn), np.cos(turn)]) * 600 / np.cos(turn)
        assert swung[1] == pytest.approx(600)
        assert miters.far_end(600.0, error) == pytest.approx(swung[0])
    assert miters.far_end(57.2900) == pytest.approx(1.0, abs=1e-5)
    assert miters.far_end(np.array([0.0, 600.0])) == pytest.approx([0, 10.473], abs=1e-3)


def test_cut_at_too_large_an_angle_throws_the_tube_to_the_obtuse_side():
    """Fitted without a gap the tube makes the cut's angle: its axis leans away from the arm."""
    theta, error = np.radians(60.0), np.radians(1.0)
    arm = np.array([-1.0, 0.0])  # the joined tube's arm on the acute side, obtuse side +x
    drawn = np.array([-np.cos(theta), np.sin(theta)])
    fitted = np.array([-np.cos(theta + error), np.sin(theta + error)])
    assert np.arccos(fitted @ arm) > np.arccos(drawn @ arm)
    toward_obtuse = np.array([np.sin(theta), np.cos(theta)])
    miss = 600 / (fitted @ drawn) * fitted @ toward_obtuse
    assert miters.far_end(600.0, 1.0) == pytest.approx(miss)


def test_gaps():
    around, gap = miters.gaps(28.6, 36.0, 60.0, saw=36.0)
    assert gap == pytest.approx(0, abs=1e-12)
    assert around[-1] == pytest.approx(np.pi * 28.6)
    _, wide = miters.gaps(28.6, 31.8, 90.0, saw=33.0, stations=9)
    depths = [np.sqrt((D / 2) ** 2 - 14.3**2) - D / 2 for D in (33.0, 31.8)]
    assert wide.max() == pytest.approx(depths[0] - depths[1])
    assert wide[[0, 4]] == pytest.approx(0, abs=1e-12)
    _, narrow = miters.gaps(28.6, 33.0, 90.0, saw=31.8, stations=9)
    assert narrow[[2, 6]] == pytest.approx(0, abs=1e-12)
    _, lean = miters.gaps(28.6, 36.0, 60.0, saw=36.0, error_deg=1.0)
    right, wrong = (miters.saddle(28.6, 36.0, a)[1] for a in (60.0, 61.0))
    assert lean == pytest.approx(wrong - right - (wrong - right).min())
    assert lean.max() > 0.3


# whole cut ends


def test_bore_touches_on_the_flanks_and_the_obtuse_side():
    one = miters.cut(Round(28.6, 0.9), miters.Joint(36.0, 60.0), stations=361)
    inner = miters.saddle(26.8, 36.0, 60.0)[1]
    assert one.bore == pytest.approx(inner, abs=1e-9)
    assert one.bore_touches[0]
    assert one.bore_touches[90]
    assert not one.bore_touches[180]
    assert one.template == pytest.approx(np.maximum(one.along, inner), abs=1e-9)
    assert one.depth == pytest.approx(np.ptp(one.along))
    assert one.around_deg[90] == 90


def test_no_wall_no_bore():
    one = miters.cut(28.6, miters.Joint(36.0, 60.0))
    assert np.isnan(one.bore).all()
    assert not one.bore_touches.any()
    assert np.array_equal(one.template, one.along)


def test_bore_of_a_butted_tube_goes_by_the_end():
    tube = Butted(28.6, (0.9, 0.6, 0.8), (70.0, 40.0, 320.0, 30.0, 140.0))
    joint = miters.Joint(36.0, 60.0)
    for end, wall in (("a", 0.9), ("b", 0.8)):
        want = miters.cut(Round(28.6, wall), joint, end=end).bore
        assert miters.cut(tube, joint, end=end).bore == pytest.approx(want, abs=1e-12)


def test_bore_of_a_taper_that_starts_at_the_end():
    tube = Butted(28.6, (0.9, 0.6, 0.9), (0.0, 1.0, 320.0, 1.0, 0.0))
    joint = miters.Joint(36.0, 60.0)
    want = miters.cut(Round(28.6, 0.9), joint).bore
    assert miters.cut(tube, joint).bore == pytest.approx(want, abs=1e-12)


def test_oval_bore_is_square_through_the_wall():
    oval = Oval(30.0, 20.0, 0.9)
    one = miters.cut(oval, miters.Joint(36.0, 90.0), stations=5)
    # at 90° the bore's edge at the width's end: y = 0 both times, same height R
    assert one.bore[0] == pytest.approx(one.along[0])
    assert one.along[1] == pytest.approx(np.sqrt(18**2 - 10**2))
    assert one.bore[1] == pytest.approx(np.sqrt(18**2 - 9.1**2))


def test_oval_target():
    """A small round tube square on an oval: the oval's height over the tube's line."""
    oval = Oval(44.0, 36.0, 0.9)
    for turned, reach, half in ((0, 22.0, 18.0), (90, 18.0, 22.0)):
        one = miters.cut(12.0, miters.Joint(oval.section(turned), 90.0), stations=5)
        assert one.along[0] == pytest.approx(reach)
        assert one.along[1] == pytest.approx(reach * np.sqrt(1 - (6 / half) ** 2))
    assert miters.Joint(oval, 90.0).crotch == pytest.approx(22.0)


@given(st.floats(0, 360), st.floats(30, 150), st.floats(-2.0, 2.0))
def test_turning_the_joint_turns_the_curve(turned, angle, offset):
    straight = miters.Joint(36.0, angle, offset)
    joint = miters.Joint(36.0, angle, offset, turned_deg=turned)
    phi = np.radians(np.arange(0, 360, 17.0))
    x, y = 14.3 * np.cos(phi), 14.3 * np.sin(phi)
    t = np.radians(turned)
    moved = straight.along(14.3 * np.cos(phi - t), 14.3 * np.sin(phi - t))
    assert joint.along(x, y) == pytest.approx(moved, abs=1e-9)
    mirrored = straight.along(14.3 * np.cos(t - phi), 14.3 * np.sin(t - phi))
    assert joint.along(x, y, "b") == pytest.approx(mirrored, abs=1e-9)


def test_set_back_and_crotch():
    joint = miters.Joint(36.0, 60.0, offset=2.0, set_back=5.0)
    assert joint.crotch == pytest.approx(np.sqrt(18**2 - 4) / np.sin(np.radians(60)) + 5)
    plain = miters.Joint(36.0, 60.0, offset=2.0)
    assert miters.cut(20.0, joint).along - miters.cut(20.0, plain).along == pytest.approx(5.0)
    # the tube's own axis enters the surface at the crotch: a line of no thickness
    assert plain.along(0.0, 0.0) == pytest.approx(plain.crotch)


# two ends

HEAD = miters.Joint(36.0, 60.0)
SHELL = miters.Joint(40.0, 90.0, turned_deg=90.0)


def test_down_tube_by_hand():
    down = miters.two_ended(Round(31.8, 0.9), 630.0, HEAD, SHELL)
    sin, cos, r = np.sin(np.radians(60)), 0.5, 15.9
    shell = np.sqrt(20**2 - r**2)
    assert down.side(0.0) == pytest.approx(630 - (18 - r * cos) / sin - shell)
    assert down.side(180.0) == pytest.approx(630 - (18 + r * cos) / sin - shell)
    assert down.side(90.0) == pytest.approx(630 - np.sqrt(18**2 - r**2) / sin - 20)
    assert down.side([0.0, 90.0])[1] == down.side(90.0)
    assert down.crotch_to_crotch == pytest.approx(630 - 18 / sin - 20)
    assert down.phase_deg == 90.0
    assert down.lengths[[0, 90, 180]] == pytest.approx(down.side([0.0, 90.0, 180.0]))
    assert down.finished == pytest.approx(630 - down.a.along.min() - shell, abs=1e-9)
    assert down.finished >= down.lengths.max()


def test_turned_end_for_end():
    """The same tube named from its other end: sides pair up, counted the other way round."""
    one = miters.two_ended(
        28.6, 560.0, miters.Joint(36.0, 73.0, 1.0, 20.0), miters.Joint(34.9, 107.0, -0.5, 200.0)
    )
    two = miters.two_ended(
        28.6, 560.0, miters.Joint(34.9, 107.0, -0.5, -200.0), miters.Joint(36.0, 73.0, 1.0, -20.0)
    )
    lines = np.arange(0, 360, 30.0)
    assert two.side(-lines) == pytest.approx(one.side(lines), abs=1e-9)
    assert one.crotch_to_crotch == pytest.approx(two.crotch_to_crotch)
    assert one.phase_deg == two.phase_deg == 180.0
    wrapped = miters.two_ended(
        28.6, 560.0, miters.Joint(36.0, 73.0, 0.0, 300.0), miters.Joint(34.9, 107.0, 0.0, 30.0)
    )
    assert wrapped.phase_deg == 90.0


def test_top_tube_in_space():
    """Both ends in one plane, by points: each end's line meets its own tube's surface."""
    top = miters.two_ended(
        28.6,
        560.0,
        miters.Joint(36.0, 73.0, turned_deg=180.0),
        miters.Joint(34.9, 107.0 - 34.0, turned_deg=0.0),
    )
    for line in (0.0, 40.0, 90.0, 200.0):
        a = miters.saddle(28.6, 36.0, 73.0, stations=361)[1][int((line - 180) % 360)]
        b = miters.saddle(28.6, 34.9, 73.0, stations=361)[1][int(-line % 360)]
        assert top.side(line) == pytest.approx(560 - a - b, abs=1e-9)


def test_a_sliver_of_tube_is_still_a_tube():
    square = miters.Joint(36.0, 90.0)
    need = 36.0  # the two valleys meet
    assert miters.two_ended(28.6, need + 0.5, square, square).crotch_to_crotch == pytest.approx(0.5)
    with pytest.raises(ValueError, match="must leave some tube"):
        miters.two_ended(28.6, need - 0.5, square, square)


# clusters


def test_cluster_is_the_larger_of_the_two():
    seat = miters.Joint(28.6, 62.0)
    both = miters.cluster(31.8, [SHELL, seat], stations=361)
    shell = miters.cut(31.8, SHELL).along
    assert np.all(both.along >= shell - 1e-12)
    assert both.along[180] == pytest.approx(
        (14.3 + 15.9 * np.cos(np.radians(62))) / np.sin(np.radians(62))
    )
    assert set(both.touches) == {0, 1}
    assert np.array_equal(both.along[both.touches == 0], shell[both.touches == 0])
    assert both.around == pytest.approx(miters.saddle(31.8, 40.0, 90.0)[0])
    assert both.around_deg[-1] == 360
    one = miters.cluster(31.8, (SHELL,))
    assert np.array_equal(one.along, shell)
    assert not one.touches.any()


def test_cluster_set_back_lifts_its_joint():
    far = miters.cluster(28.6, [miters.Joint(40.0, 90.0), miters.Joint(36.0, 90.0, set_back=50.0)])
    assert set(far.touches) == {1}
    near = miters.cluster(
        28.6, [miters.Joint(40.0, 90.0), miters.Joint(36.0, 90.0, set_back=-50.0)]
    )
    assert set(near.touches) == {0}


def test_cluster_at_end_b_runs_the_other_way():
    joints = [SHELL, miters.Joint(28.6, 62.0, turned_deg=30.0)]
    a = miters.cluster(31.8, joints)
    b = miters.cluster(
        31.8,
        [miters.Joint(40.0, 90.0, turned_deg=-90.0), miters.Joint(28.6, 62.0, turned_deg=-30.0)],
        end="b",
    )
    assert b.along == pytest.approx(a.along[::-1], abs=1e-6)


@given(diameters, st.floats(0.0, 20.0), angles)
def test_long_point_is_the_least_of_the_curve(diameter, more, angle):
    """By the definition: no point of the curve is nearer to the crossing, and this one is on it."""
    line, along = miters.long_point(diameter, diameter + more, angle)
    _, curve = miters.saddle(diameter, diameter + more, angle, stations=7201)
    assert along <= curve.min() + 1e-9
    r, phi = mpmath.mpf(diameter) / 2, mpmath.radians(line)
    big, theta = mpmath.mpf(diameter + more) / 2, mpmath.radians(angle)
    height = mpmath.sqrt(abs(big**2 - (r * mpmath.sin(phi)) ** 2))
    there = (height - r * mpmath.cos(phi) * mpmath.cos(theta)) / mpmath.sin(theta)
    assert float(there) == pytest.approx(float(along), abs=1e-6)


def test_long_point_and_ear_of_the_lessons_down_tube():
    """25.4 mm into 31.8 mm at 62°, by calculator: √(15.9² − 12.7²) = 9.57, and over sin 62° 10.84."""
    one = miters.cut(25.4, miters.Joint(31.8, 62.0))
    assert miters.long_point(25.4, 31.8, 62.0)[1] == pytest.approx(9.567, abs=5e-4)
    assert one.long_point == pytest.approx(9.567, abs=1e-3)
    assert one.along[90] == pytest.approx(10.835, abs=5e-4)  # the ear
    assert one.short_point == one.along[180]
    assert miters.long_point(25.4, 31.8, 90.0)[0] == pytest.approx(90.0)
    steep = miters.long_point([25.4, 12.0], 31.8, 30.0)
    assert steep[0].tolist() == pytest.approx([0.0, 0.0])
