"""Stays against scipy: root finding on the implicit equations, integration, least distances.

Source: SciPy (optimize.brentq, optimize.minimize, integrate.solve_ivp, integrate.quad, special.ellipeinc,
spatial.transform.Rotation), a general-purpose library. The equations are written here from the meaning
of the words alone.
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate, optimize, special
from scipy.spatial.transform import Rotation

from coursekit import rear, stays
from coursekit.stays.oval_distance import from_ellipse

END = np.array([-400.0, 66.7, 68.0])
AXLE = (-419.2, 70.0)
PLATE = rear.Dropout(6.0, rear.Tab(32.0, -9.5, 12.0), rear.Tab(28.0, 62.0, 10.0))
REAR_END = rear.RearEnd(AXLE, PLATE, 130.0)
SHELL = stays.rod("shell", (0, 0, -34), (0, 0, 34), 40.0)


def chainstay(widths, depths=(), start=(0.0, 0.0, 20.0), end=END):
    long = float(np.linalg.norm(np.asarray(end) - start))
    return stays.between("right_chainstay", start, end, stays.Taper((0.0, long), widths, depths))


# Cut ends: each line of the tube followed to the implicit surface of what it meets


@pytest.mark.parametrize(
    ("widths", "depths", "start"),
    [
        ((22.2, 12.2), (), (0, 0, 20)),
        ((16.0, 12.0), (30.0, 12.0), (0, 0, 18)),
        ((16.0, 8.0), (30.0, 15.0), (0.8, 4.0, 18)),
    ],
)
def test_cone_or_oval_on_a_cylinder(widths, depths, start):
    stay = chainstay(widths, depths, start)
    depths = depths or widths
    way = (END - start) / np.linalg.norm(END - start)
    zero = np.array([0.0, -1, 0]) - (np.array([0.0, -1, 0]) @ way) * way
    zero /= np.linalg.norm(zero)
    ninety = np.cross(way, zero)
    long = np.linalg.norm(END - start)

    def outside(s, phi):
        share = s / long
        x = (depths[0] + (depths[1] - depths[0]) * share) / 2 * np.cos(phi)
        y = (widths[0] + (widths[1] - widths[0]) * share) / 2 * np.sin(phi)
        point = start + s * way + x * zero + y * ninety
        return np.hypot(point[0], point[1]) - 20.0

    cut = stays.cut_end(stay, {"shell": SHELL}, stations=37)
    for line, along in zip(cut.around_deg, cut.along, strict=True):
        found = optimize.brentq(outside, 2.0, 60.0, args=(np.radians(line),), xtol=1e-12)
        assert along == pytest.approx(found, abs=1e-9)
    assert np.hypot(cut.edge[:, 0], cut.edge[:, 1]) == pytest.approx(20.0, abs=1e-9)


def test_stay_whose_bend_reaches_into_the_joint():
    """Round stay of 18 that leaves the shell in a bend of 80: a ring about (0, 0, 100), by its angle."""
    line = stays.CentreLine(
        (0, 0, 20), (-1, 0, 0), 200.0, (stays.Bend(0.0, 80.0, 60.0, 90.0),), (0, -1, 0)
    )
    stay = stays.Stay("right_chainstay", line, stays.Taper((0.0,), (18.0,)))
    cut = stays.cut_end(stay, {"shell": SHELL}, stations=25)

    def outside(turn, phi):
        out = 80.0 - 9.0 * np.sin(phi)  # from the ring's axis, which is upright
        x, y = -out * np.sin(turn), -9.0 * np.cos(phi)
        return np.hypot(x, y) - 20.0

    for phi, along in zip(np.radians(cut.around_deg), cut.along, strict=True):
        turn = optimize.brentq(outside, 0.01, 1.0, args=(phi,), xtol=1e-14)
        assert along == pytest.approx(80.0 * turn, abs=1e-9)


def test_bridge_on_a_cone():
    """Bridge of 12 between cones: each of its lines, straight across, to where the cone is as wide."""
    stay = chainstay((24.0, 10.0))
    one = rear.bridge(stay, 90.0, 12.0)
    line = stay.line
    half = np.arctan(7.0 / line.length)
    apex = line.start + line.direction * line.length * 12.0 / 7.0

    def outside(z, x, y):
        off = np.array([x, y, z]) - apex
        angle = np.arccos(np.clip(off @ -line.direction / np.linalg.norm(off), -1, 1))
        return angle - half

    middle = line.at(90.0).point
    for phi, along in zip(
        np.radians(one.cut.a.around_deg[::20]), one.cut.a.along[::20], strict=True
    ):
        x, y = middle[0] + 6.0 * np.sin(phi), middle[1] - 6.0 * np.cos(phi)
        z = optimize.brentq(outside, 0.0, middle[2], args=(x, y), xtol=1e-12)
        assert middle[2] - along == pytest.approx(z, abs=1e-8)
    assert one.cut.b.along == pytest.approx(
        one.cut.a.along, abs=1e-8
    )  # mirror images, line by line


def test_bridge_length_angle_and_place():
    stay = chainstay((22.2, 12.2))
    s = rear.place_from_axle(stay, AXLE, 345.0)
    share = optimize.brentq(lambda t: np.hypot(*(t * END[:2] - AXLE)) - 345.0, 0.0, 1.0, xtol=1e-14)
    assert s == pytest.approx(share * stay.length, abs=1e-6)
    one = rear.bridge(stay, s, 12.7)
    assert one.length == pytest.approx(2 * (20.0 + share * 48.0), abs=1e-6)
    way = np.array([-400.0, 66.7, 48.0])
    other = way * [1, 1, -1]
    cosine = way @ other / (way @ way)
    assert one.stays_deg == pytest.approx(np.degrees(np.arccos(cosine)), abs=1e-9)
    assert one.angle_deg == pytest.approx(90 - one.stays_deg / 2, abs=1e-9)
    # the stay goes on rearward and up: between rear (270°) and upper side (180°)
    assert one.obtuse_deg == pytest.approx(270 - np.degrees(np.arctan2(66.7, 400.0)), abs=1e-9)


def test_brake_bolt():
    """A caliper of 49 mm reach on pads 308 mm from the axle (common practice, no source for the rule)."""
    hung_from = optimize.brentq(lambda bolt: (bolt - 49.0) - 308.0, 300, 400)
    assert rear.bolt_from_axle(308.0, 49.0) == pytest.approx(hung_from)
    assert rear.bolt_from_axle([308.0, 290.0], 49.0).tolist() == [357.0, 339.0]


# Centre lines


BENT = (
    stays.Bend(60.0, 120.0, 14.0, 90.0),
    stays.Bend(110.0, 150.0, 20.0, 250.0),
    stays.Bend(250.0, 200.0, 9.0, 10.0),
)


def test_centre_line_by_integration():
    """r' = T, T' = κ·n, and both lines turn only against T: a frame carried along without twist."""
    line = stays.CentreLine((3, -4, 20), (-0.95, 0.1, 0.2), 400.0, BENT, (0, -1, 0))

    def change(s, state):
        _, way, zero, ninety = state.reshape(4, 3)
        here = [b for b in BENT if b.at <= s < b.at + b.radius * np.radians(b.angle_deg)]
        bend = 1 / here[0].radius if here else 0.0
        turn = np.radians(here[0].toward_deg) if here else 0.0
        inward = np.cos(turn) * zero + np.sin(turn) * ninety
        return np.concatenate(
            [way, bend * inward, -bend * np.cos(turn) * way, -bend * np.sin(turn) * way]
        )

    at = line.at(0.0)
    state = np.concatenate([at.point, at.direction, at.zero, at.ninety])
    edges = sorted(
        {
            0.0,
            400.0,
            *(b.at for b in BENT),
            *(b.at + b.radius * np.radians(b.angle_deg) for b in BENT),
        }
    )
    for low, high in pairwise(edges):
        run = integrate.solve_ivp(change, (low, high - 1e-12), state, rtol=1e-11, atol=1e-11)
        state = run.y[:, -1]
        at = line.at(high)
        assert np.concatenate([at.point, at.direction, at.zero, at.ninety]) == pytest.approx(
            state, abs=1e-7
        )


def test_developed_length_is_the_length_of_the_curve():
    stay = stays.between("right_chainstay", (0, 0, 20), END, stays.Taper((0.0,), (18.0,)), BENT)

    def speed(s):
        step = 1e-5
        return np.linalg.norm(stay.line.at(s + step).point - stay.line.at(s - step).point) / (
            2 * step
        )

    breaks = [v for b in BENT for v in (b.at, b.end)]
    long, _ = integrate.quad(speed, 0, stay.length, points=breaks, limit=200)
    assert long == pytest.approx(stay.length, abs=1e-4)
    assert stay.line.at(stay.length).point == pytest.approx(END, abs=1e-9)
    assert np.cross(stay.line.zero, (0, -1, 0)) @ stay.line.direction == pytest.approx(
        0.0, abs=1e-12
    )


def test_bend_turns_about_its_own_axis():
    bend = stays.Bend(50.0, 90.0, 40.0, 120.0)
    line = stays.CentreLine((0, 0, 0), (-1, 0, 0), 200.0, (bend,), (0, -1, 0))
    before, after = line.at(50.0), line.at(bend.end)
    turn = np.radians(120.0)
    axis = np.cos(turn) * before.ninety - np.sin(turn) * before.zero
    inward = np.cos(turn) * before.zero + np.sin(turn) * before.ninety
    rotation = Rotation.from_rotvec(np.radians(40.0) * np.cross(before.direction, inward))
    assert np.cross(before.direction, inward) == pytest.approx(
        np.sign(np.cross(before.direction, inward) @ axis) * axis
    )
    for name in ("direction", "zero", "ninety"):
        assert getattr(after, name) == pytest.approx(
            rotation.apply(getattr(before, name)), abs=1e-12
        )
    middle = before.point + 90.0 * inward
    assert after.point == pytest.approx(middle + rotation.apply(before.point - middle), abs=1e-10)
    assert stays.Bend(0.0, 90.0, 40.0).length == pytest.approx(
        integrate.quad(lambda t: 90.0, 0, np.radians(40))[0]
    )


@pytest.mark.parametrize(
    ("radius", "angle", "straight"), [(150.0, 8.0, 0.0), (90.0, 25.0, 40.0), (200.0, 90.0, 5.0)]
)
def test_s_bend_moves_a_tube_aside(radius, angle, straight):
    pair = stays.s_bend(30.0, radius, angle, straight, toward_deg=90.0)
    line = stays.CentreLine((0, 0, 0), (-1, 0, 0), pair[1].end + 20.0, pair, (0, -1, 0))
    end = line.at(line.length)
    assert end.direction == pytest.approx([-1, 0, 0], abs=1e-12)
    assert stays.s_bend_offset(radius, angle, straight) == pytest.approx(end.point[2], abs=1e-9)

    def miss(deg):
        turn = np.radians(deg)
        return 2 * radius * (1 - np.cos(turn)) + straight * np.sin(turn) - end.point[2]

    assert stays.s_bend_angle_deg(end.point[2], radius, straight) == pytest.approx(
        optimize.brentq(miss, 0, 91), abs=1e-9
    )


# The outside


def test_surface_turns_with_the_bend():
    """Through a bend the whole skin turns about the bend's axis as one piece."""
    bend = stays.Bend(50.0, 90.0, 40.0, 120.0)
    line = stays.CentreLine((0, 0, 0), (-1, 0, 0), 200.0, (bend,), (0, -1, 0))
    stay = stays.Stay("right_stay", line, stays.Taper((0.0,), (14.0,), (20.0,)))
    turn = np.radians(120.0)  # toward the line between the drive side, +z, and the upper side, +y
    inward = np.array([0.0, -np.cos(turn), np.sin(turn)])
    middle = np.array([-50.0, 0, 0]) + 90.0 * inward
    rotation = Rotation.from_rotvec(np.radians(40.0) * np.cross([-1.0, 0, 0], inward))
    around = np.arange(0.0, 360.0, 30.0)
    skin = np.column_stack(
        [np.full(12, -50.0), -10.0 * np.cos(np.radians(around)), 7.0 * np.sin(np.radians(around))]
    )
    assert stay.surface(50.0, around) == pytest.approx(skin, abs=1e-12)
    assert stay.surface(bend.end, around) == pytest.approx(
        middle + rotation.apply(skin - middle), abs=1e-10
    )


@pytest.mark.parametrize("toward", [0.0, 37.0, 90.0, 255.0])
def test_how_far_a_section_reaches(toward):
    """The farthest point of an ellipse in a direction, by scipy's search round it."""
    taper = stays.Taper((0.0, 100.0), (16.0, 12.0), (26.0, 14.0))
    turn = np.radians(toward)

    def reach(t):
        return -(11.5 * np.cos(t) * np.cos(turn) + 7.5 * np.sin(t) * np.sin(turn))

    found = optimize.minimize_scalar(
        reach, bounds=(turn - 1.6, turn + 1.6), method="bounded", options={"xatol": 1e-10}
    )
    assert taper.half_toward(25.0, toward) == pytest.approx(-found.fun, abs=1e-8)
    x, y = taper.outline(25.0, np.linspace(0, 360, 721))
    assert np.max(x * np.cos(turn) + y * np.sin(turn)) == pytest.approx(-found.fun, abs=1e-3)
    assert [float(v) for v in taper.sizes(25.0)] == [15.0, 23.0]


def test_distance_from_an_ellipse():
    rng = np.random.default_rng(5)
    for _ in range(60):
        a, b = rng.uniform(3, 20, 2)
        x, y = rng.uniform(-1.6, 1.6, 2) * (a, b)

        def away(t, a=a, b=b, x=x, y=y):
            return np.hypot(a * np.cos(t) - x, b * np.sin(t) - y)

        tries = [
            optimize.minimize_scalar(
                away, bounds=(c, c + 1.6), method="bounded", options={"xatol": 1e-12}
            )
            for c in np.arange(0, 2 * np.pi, np.pi / 2)
        ]
        least = min(one.fun for one in tries)
        sign = -1 if (x / a) ** 2 + (y / b) ** 2 < 1 else 1
        assert from_ellipse(x, y, a, b) == pytest.approx(sign * least, abs=1e-6)


def test_distance_from_a_cone():
    """A round taper without bends is a cone: its outside, square to it, by the angle at the apex."""
    stay = chainstay((24.0, 10.0))
    line = stay.line
    half = np.arctan(7.0 / line.length)
    apex = line.start + line.direction * line.length * 12.0 / 7.0
    rng = np.random.default_rng(8)
    s, around, off = rng.uniform(20, 380, 40), rng.uniform(0, 360, 40), rng.uniform(-4, 30, 40)
    at = line.at(s)
    out = (
        np.cos(np.radians(around))[:, None] * at.zero
        + np.sin(np.radians(around))[:, None] * at.ninety
    )
    points = at.point + ((12.0 - 7.0 * s / line.length) + off)[:, None] * out
    way = points - apex
    far = np.linalg.norm(way, axis=1)
    angle = np.arccos(way @ -line.direction / far)
    assert stay.outside(points) == pytest.approx(far * np.sin(angle - half), abs=1e-9)


# Templates


def test_cone_unrolls_to_a_sector():
    """Every point keeps its distance from the apex, and the whole turn becomes 2π·sin(half angle)."""
    stay = chainstay((24.0, 10.0))
    cut = stays.cut_end(stay, {"shell": SHELL})
    paper = stays.template(stay, cut, 60.0)
    half = np.arctan(7.0 / stay.length)
    long = stay.length * 12.0 / 7.0  # to the apex along the axis
    apex = np.array([0.0, (long - 60.0) / np.cos(half)])
    for flat, s in ((paper.edge, cut.along), (paper.base, np.full(361, 60.0))):
        off = flat - apex
        assert np.hypot(*off.T) == pytest.approx((long - s) / np.cos(half), abs=2e-3)
        turn = np.arctan2(off[:, 0], -off[:, 1])
        wanted = np.radians(cut.around_deg - 180.0) * np.sin(half)
        # seen from below with the rear up on the paper, the drive side, 90°, lies to the right of 0°
        assert turn * 60 == pytest.approx(wanted * 60, abs=1e-3)


@pytest.mark.parametrize("name", ["right", "left"])
def test_which_way_round_a_template_is(name):
    """Wrap it round the tube, print outward: the points of the paper come to lie on their lines."""
    stay = chainstay((24.0, 10.0))
    stay = stay if name == "right" else stay.mirrored()
    cut = stays.cut_end(stay, {"shell": SHELL})
    paper = stays.template(stay, cut, 60.0)
    up, outward = (
        stay.line.direction,
        -stay.line.zero,
    )  # from line 180° the paper is seen from above
    right = np.cross(up, outward)
    at = stay.surface(60.0, 180.0 + np.array([-20.0, 20.0])) - stay.surface(60.0, 180.0)
    flat = np.interp(180.0 + np.array([-20.0, 20.0]), paper.around_deg, paper.base[:, 0])
    assert np.sign(at @ right).tolist() == np.sign(flat).tolist()


def test_oval_unrolls_to_the_length_of_its_arc():
    stay = chainstay((16.0, 16.0), (30.0, 30.0))
    cut = stays.cut_end(stay, {"shell": SHELL})
    paper = stays.template(stay, cut, 60.0)
    assert paper.base[:, 1] == pytest.approx(0.0, abs=1e-9)
    # x = 15 cos φ, y = 8 sin φ: the arc from φ = 0 is 15·E(φ + 90° | m) − 15·E(90° | m), with m = 1 − (8/15)²
    m = 1 - (8.0 / 15.0) ** 2
    phi = np.radians(cut.around_deg)
    arc = 15.0 * (special.ellipeinc(phi + np.pi / 2, m) - special.ellipeinc(np.pi / 2, m))
    half = 15.0 * 2 * special.ellipe(m)
    assert np.abs(paper.base[:, 0]) == pytest.approx(np.abs(arc - half), abs=2e-3)
    assert paper.edge[:, 1] == pytest.approx(cut.along - 60.0, abs=1e-9)


def test_oval_to_round_keeps_every_length_on_paper():
    """It can't be laid flat exactly: girth, lines and diagonals against the same on the tube."""
    stay = chainstay((16.0, 12.0), (30.0, 12.0))
    cut = stays.cut_end(stay, {"shell": SHELL})
    paper = stays.template(stay, cut, 60.0)
    base = stay.surface(60.0, cut.around_deg)
    for flat, round_ in ((paper.edge, cut.edge), (paper.base, base)):
        girth = np.linalg.norm(np.diff(round_, axis=0), axis=1)
        assert np.linalg.norm(np.diff(flat, axis=0), axis=1) == pytest.approx(girth, rel=2e-3)
        assert np.linalg.norm(np.diff(flat, axis=0), axis=1).sum() == pytest.approx(
            girth.sum(), abs=0.01
        )
    line = np.linalg.norm(cut.edge - base, axis=1)
    assert np.hypot(*(paper.edge - paper.base).T) == pytest.approx(line, abs=1e-9)


# Room


def least(stay, outside):
    """Least of a distance over a stay's outside by scipy, from a grid of starts."""
    starts = [(s, f) for s in np.linspace(5, 200, 6) for f in (230, 270, 310)]
    found = [
        optimize.minimize(
            lambda v: outside(stay.surface(v[0], v[1])),
            start,
            method="L-BFGS-B",
            bounds=[(0, stay.length), (-360, 720)],
        )
        for start in starts
    ]
    best = min(found, key=lambda one: one.fun)
    best = optimize.minimize(
        lambda v: outside(stay.surface(np.clip(v[0], 0, stay.length), v[1])),
        best.x,
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-12},
    )
    return float(best.fun)


@pytest.mark.parametrize("angle", [4.0, 12.0])
def test_tyre_beside_a_bent_oval_stay(angle):
    bends = stays.s_bend(15.0, 100.0, angle, straight=10.0)
    taper = stays.Taper(
        (60.0, 300.0), (16.0, 12.0), (24.0, 12.0), (stays.Dimple(100.0, 70.0, 2.5, 270.0),)
    )
    stay = stays.between("right_chainstay", (0, 0, 22), END, taper, bends)

    def outside(p):
        out = np.hypot(p[0] - AXLE[0], p[1] - AXLE[1]) - (345.0 - 25.0)
        return np.hypot(out, p[2]) - 25.0 - 3.0

    found = rear.room(stay, rear.Tyre(AXLE, 345.0, 50.0, knobs=3.0))
    assert found.room == pytest.approx(least(stay, outside), abs=1e-4)
    assert stay.surface(found.s, found.around_deg) == pytest.approx(found.at)
    assert outside(found.at) == pytest.approx(found.room, abs=1e-9)


def test_bend_for_a_wanted_room():
    tyre = rear.Tyre(AXLE, 345.0, 47.0)

    def make(angle):
        bends = stays.s_bend(15.0, 100.0, angle, straight=10.0)
        return stays.between(
            "right_chainstay", (0, 0, 22), END, stays.Taper((60.0, 300.0), (18.0, 12.0)), bends
        )

    found = rear.for_room(make, tyre, 6.0, 1.0, 25.0)
    angle = optimize.brentq(
        lambda deg: rear.room(make(deg), tyre).room - 6.0, 1.0, 25.0, xtol=1e-10
    )
    assert found.value == pytest.approx(angle, abs=1e-6)
    assert found.room == pytest.approx(6.0, abs=1e-6)
    assert rear.zero_of(lambda v: np.cos(v) - v, 0.0, 1.0) == pytest.approx(
        optimize.brentq(lambda v: np.cos(v) - v, 0, 1), abs=1e-9
    )


@pytest.mark.parametrize("low", [-1.0, 0.2])
def test_zero_of_a_bent_curve(low):
    """Curves that a straight line through both ends misses by far: brentq finds the same zero."""
    for curve in (
        lambda v: np.exp(6 * v) - 20.0,
        lambda v: np.tanh(9 * (v - 0.7)),
        lambda v: v**7 - 0.9,
    ):
        wanted = optimize.brentq(curve, low, 3.0, xtol=1e-14)
        assert rear.zero_of(curve, low, 3.0) == pytest.approx(wanted, abs=1e-8)
        assert rear.zero_of(lambda v, curve=curve: -curve(v), low, 3.0) == pytest.approx(
            wanted, abs=1e-8
        )


def test_every_room_at_once():
    stay = chainstay((22.2, 12.2))
    ring, tyre = rear.Chainring(38, 52.0), rear.Tyre(AXLE, 335.0, 20.0)
    found = rear.rooms({"right": stay, "left": stay.mirrored()}, {"ring": ring, "tyre": tyre})
    assert set(found) == {
        ("right", "ring"),
        ("right", "tyre"),
        ("left", "ring"),
        ("left", "tyre"),
        ("right", "left"),
    }
    assert found["right", "tyre"].room == pytest.approx(found["left", "tyre"].room, abs=1e-6)
    apart = least(stay, lambda p: 2 * p[2])
    assert found["right", "left"].room == pytest.approx(apart, abs=1e-4)
    assert rear.apart(stay).room == pytest.approx(apart, abs=1e-6)


# Dropouts


@pytest.mark.parametrize(
    ("which", "deg", "long"), [("chainstay", -9.5, 20.0), ("seatstay", 62.0, 18.0)]
)
def test_where_a_stay_ends(which, deg, long):
    turned = Rotation.from_euler("z", deg, degrees=True).apply([long, 0, 0])
    for side, hand in (("right", 1), ("left", -1)):
        wanted = np.array([*AXLE, 0.0]) + turned + [0, 0, hand * 68.0]
        assert REAR_END.stay_end(which, side) == pytest.approx(wanted, abs=1e-9)
    assert PLATE.between_deg == 71.5
    hung = rear.Dropout(6.0, PLATE.chainstay, PLATE.seatstay, hanger=(-9.0, -28.0))
    back = Rotation.from_euler("z", -hung.hanger_deg, degrees=True).apply(
        [0, -hung.hanger_length, 0]
    )
    assert back == pytest.approx([-9.0, -28.0, 0.0], abs=1e-9)


@pytest.mark.parametrize("toe", [0.0, 6.0, -6.0])
def test_slot_for_a_plate_at_an_angle(toe):
    """The plate is a strip of 6; within the slot's 12 mm along the tube it takes up this much across."""
    edges = Rotation.from_euler("z", toe, degrees=True).apply(
        [[-500.0, h, 0] for h in (-3, 3)] + [[500.0, h, 0] for h in (-3, 3)]
    )
    across = [
        np.interp(x, edges[[i, i + 2], 0], edges[[i, i + 2], 1])
        for i in (0, 1)
        for x in (0.0, 12.0)
    ]
    assert rear.slot_width(6.0, toe, 12.0) == pytest.approx(np.ptp(across), abs=1e-9)


def test_slot_lines_lie_in_the_plate():
    stay = stays.between(
        "right_chainstay", (0, 0, 20), END, stays.Taper((0.0,), (14.0,), (18.0,)), BENT
    )
    for line in rear.slot_lines_deg(stay):
        off = stay.surface(stay.length, line) - stay.line.at(stay.length).point
        assert off[2] == pytest.approx(0.0, abs=1e-9)
    assert np.degrees(np.arcsin(stay.line.at(stay.length).direction[2])) == pytest.approx(
        rear.toe_in_deg(stay)
    )


def seen_on_the_shell(stay):
    """Where lines of a straight round stay of 20 leave a cylinder of 40 about z, by root finding."""
    at = stay.line.at(0.0)
    around = np.arange(0.0, 360.0)
    edge = []
    for turn in np.radians(around):
        on = at.point + 10.0 * (np.cos(turn) * at.zero + np.sin(turn) * at.ninety)
        s = optimize.brentq(
            lambda s, on=on: np.hypot(*(on + s * at.direction)[:2]) - 20.0, 5.0, 60.0
        )
        edge.append(on + s * at.direction)
    return around, np.array(edge)


def test_chainstay_starts_square_to_its_way_past_the_shell():
    taper = stays.Taper((0.0,), (20.0,))
    stay = rear.chainstay(REAR_END, 40.0, taper, above_shell=5.0)
    start, end = stay.line.start, REAR_END.stay_end("chainstay")
    side = (end - start)[:2]
    assert np.cross([*side, 0], [*-start[:2], 0])[2] / np.hypot(*side) == pytest.approx(
        5.0, abs=1e-9
    )
    assert start[:2] @ side == pytest.approx(0.0, abs=1e-9)
    assert start[1] > 0 and start[2] == 20.0
    around, edge = seen_on_the_shell(stay)
    # the outermost of the joint: on the line at the drive side, where the stay leaves the shell's round
    out = optimize.minimize_scalar(
        lambda line: -np.interp(line, around, edge[:, 2]), bounds=(60, 120), method="bounded"
    )
    assert 34.0 - rear.shell_land(stay, 40.0, 68.0) == pytest.approx(-out.fun, abs=1e-3)


def test_wall_of_a_disc_by_the_distance_to_a_segment():
    """A dished disc is the turn of its profile: distance in the half plane, by scipy's own search."""
    dish = rear.Turned((0.0, 0.0), ((0.0, 50.0), (180.0, 62.0), (180.0, 90.0), (0.0, 90.0)))
    for far, z in ((60.0, 30.0), (150.0, 40.0), (200.0, 70.0), (20.0, 48.0)):
        found = optimize.minimize(
            lambda v, far=far, z=z: np.hypot(v[0] - far, v[1] - z),
            (100.0, 80.0), method="SLSQP", bounds=[(0, 180), (0, 90)],
            constraints={"type": "ineq", "fun": lambda v: v[1] - 50.0 - 12.0 * v[0] / 180.0},
        )  # fmt: skip
        point = np.array([far * np.cos(2.0), far * np.sin(2.0), z])
        assert dish.outside(point) == pytest.approx(found.fun, abs=1e-5)
    assert dish.outside([0.0, 0.0, 70.0]) == pytest.approx(-20.0, abs=0.1)
