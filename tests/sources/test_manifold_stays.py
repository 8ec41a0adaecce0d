"""Cut ends of stays, bridges and mono-tubes, and the room beside them, against solids of triangles.

Source: manifold3d, a general-purpose library for solids made of triangles; 360 facets to a round.
Tolerances follow from the facets: a chord of 1° lies r(1 − cos 0.5°) < 1e-3 mm inside its arc, and at a
joint of 15° that is four times as much along the tube. The kit promises 0.1 mm.
"""

import manifold3d as m3
import numpy as np
import pytest

from coursekit import rear, stays

FACETS = 360
NEAR = 5e-3  # mm


def turn_to(start, way, zero):
    """Matrix of a solid up z whose x axis then lies along `zero`."""
    way = np.asarray(way, float) / np.linalg.norm(way)
    x = np.asarray(zero, float) - np.dot(zero, way) * way
    x /= np.linalg.norm(x)
    return np.column_stack([x, np.cross(way, x), way, start])


def solid(start, end, sizes, zero, before=0.0, after=0.0):
    """A straight tube by the sizes ((depth, width) at start, the same at end), lengthened by its own taper."""
    start, end = np.asarray(start, float), np.asarray(end, float)
    long = np.linalg.norm(end - start)
    low, high = (np.asarray(s, float) / 2 for s in sizes)

    def shape(p):
        half = low + (high - low) * p[2] / long
        return np.array([p[0] * half[0], p[1] * half[1], p[2]])

    one = m3.Manifold.cylinder(long + before + after, 1.0, 1.0, FACETS).translate((0, 0, -before))
    return one.warp(shape).transform(turn_to(start, end - start, zero))


def bar(start, end, diameter, more=100.0):
    return solid(start, end, ((diameter, diameter),) * 2, (0.31, 0.52, 0.8), more, more)


def edge_of(left, stay, sizes, cut):
    """(line, along) of the corners of a mesh that lie on the stay's outside, away from its far end.

    Where each corner lies on the straight stay is worked out from its axis alone.
    """
    left = max(left.decompose(), key=lambda part: part.volume())  # not what a bar cut off beyond it
    at = stay.line
    low, high = (np.asarray(s, float) / 2 for s in sizes)
    off = np.array(left.to_mesh().vert_properties)[:, :3] - at.start
    s = off @ at.direction
    half = low + (high - low) * (s / at.length)[:, None]
    x, y = off @ at.zero / half[:, 0], off @ at.ninety / half[:, 1]
    along = s if cut.end == "a" else at.length - s
    ours = (np.hypot(x, y) > 1 - 1e-4) & (along < cut.short_point + 1.0)
    return np.degrees(np.arctan2(y, x))[ours] % 360, along[ours]


def holds(left, stay, sizes, cut, corners=0):
    """Every corner of the mesh on the stay's cut lies where the kit says that the stay ends.

    Where a cut goes over from one body to the next it has so many sharp corners; between the kit's
    stations those are cut off by up to a tenth.
    """
    line, along = edge_of(left, stay, sizes, cut)
    assert len(np.unique(np.round(line))) >= 350
    off = np.abs(along - np.interp(line, cut.around_deg, cut.along))
    assert off.max() < (0.15 if corners else NEAR)
    assert (off > NEAR).sum() <= corners


SHELL = ((0, 0, -34), (0, 0, 34), 40.0)
END = (-400.0, 66.7, 68.0)
CHAINSTAYS = {
    "round, square in side view": ((0, 0, 20), (-400, 0, 20), ((22.2, 22.2), (22.2, 22.2))),
    "tapered, toe-in": ((0, 0, 20), END, ((22.2, 22.2), (12.2, 12.2))),
    "tapered, toe-in, above the axis": ((1.2, 6.0, 20), END, ((22.2, 22.2), (12.2, 12.2))),
    "sharp taper, toe-in": ((0, 0, 22), END, ((12.0, 12.0), (40.0, 40.0))),
    "oval, toe-in": ((0, 0, 18), END, ((30.0, 16.0), (30.0, 16.0))),
    "oval, tapered alike": ((0, 0, 18), END, ((30.0, 16.0), (15.0, 8.0))),
    "oval to round": ((0, 0, 18), END, ((30.0, 16.0), (12.0, 12.0))),
    "oval across, below the axis": ((0, -4, 18), END, ((16.0, 24.0), (12.0, 14.0))),
}


def chainstay(start, end, sizes):
    (d0, w0), (d1, w1) = sizes
    long = float(np.linalg.norm(np.subtract(end, start)))
    return stays.between(
        "right_chainstay", start, end, stays.Taper((0.0, long), (w0, w1), (d0, d1))
    )


@pytest.mark.parametrize("name", CHAINSTAYS)
def test_chainstay_on_the_shell(name):
    start, end, sizes = CHAINSTAYS[name]
    stay = chainstay(start, end, sizes)
    cut = stays.cut_end(stay, {"shell": stays.rod("shell", *SHELL)}, stations=721)
    left = solid(start, end, sizes, (0, -1, 0), 30.0) - bar(*SHELL)
    holds(left, stay, sizes, cut)


def test_a_cylinders_template_would_not_do():
    """A joint of 15°: the cone's cut is right, and the cut of a cylinder as thick as its end misses."""
    start, end, sizes = (0, 0, 0), (-65.0, 0.0, 240.0), ((20.0, 20.0), (10.0, 10.0))
    long = float(np.linalg.norm(end))
    main = ((0, 0, -100), (0, 0, 300), 28.6)
    into = {"bar": stays.rod("bar", *main, zero=(-1, 0, 0))}
    stay = stays.between("right_stay", start, end, stays.Taper((0.0, long), (20.0, 10.0)))
    cone = stays.cut_end(stay, into, stations=721)
    plain = stays.between("right_stay", start, end, stays.Taper((0.0,), (20.0,)))
    cylinder = stays.cut_end(plain, into, stations=721)
    left = solid(start, end, sizes, (0, -1, 0)) - bar(*main)
    holds(left, stay, sizes, cone)
    assert np.abs(cylinder.along - cone.along).max() > 4.0


# The upper ends of seatstays

BB, TOP = (0.0, 0.0, 0.0), (-163.7, 535.5, 0.0)
AXLE = (-419.2, 70.0)
PLATE = rear.Dropout(6.0, rear.Tab(32.0, -9.5, 12.0), rear.Tab(28.0, 62.0, 10.0))
SEAT = stays.rod("seat_tube", BB, TOP, 28.6, stays.REAR)
LEFT_OUT = m3.Manifold.cube((4000, 4000, 2000)).translate(
    (-2000, -2000, -2000)
)  # all with z below 0


REAR_END = rear.RearEnd(AXLE, PLATE, 130.0)


def tube(widths, depths=()):
    return stays.Taper((0.0, 520.0), widths, depths)


def sizes_at_ends(stay):
    found = [stay.taper.sizes(s) for s in (0.0, stay.length)]
    return tuple((float(depth), float(width)) for width, depth in found)


def stay_solid(stay, before=60.0):
    line = stay.line
    return solid(line.start, line.at(line.length).point, sizes_at_ends(stay), line.zero, before)


def finer(cut_stay, into):
    """The cut with a station each half degree; at the whole degrees it is the one that was given."""
    cut = stays.cut_end(cut_stay.stay, into, stations=721)
    assert cut_stay.a.meets == tuple(into)
    assert cut_stay.a.along == pytest.approx(cut.along[::2], abs=1e-9)
    return cut


MIDDLE = stays.Plane((0, 0, 0), (0, 0, 1))


@pytest.mark.parametrize(
    ("widths", "depths", "apart"), [((13.0, 11.0), (), 14.0), ((10.0, 9.0), (16.0, 12.0), 13.0)]
)
def test_seatstay_into_the_seat_tube_from_behind(widths, depths, apart):
    pair = rear.into_seat_tube(SEAT, 40.0, REAR_END, tube(widths, depths), apart)
    stay = pair.right.stay
    left = stay_solid(stay) - bar(BB, TOP, 28.6)
    holds(left, stay, sizes_at_ends(stay), finer(pair.right, {"seat_tube": SEAT}))
    assert pair.right.finished == pytest.approx(
        stay.length - edge_of(left, stay, sizes_at_ends(stay), pair.right.a)[1].min(), abs=NEAR
    )


@pytest.mark.parametrize("apart", [0.0, 3.0, 6.0])
def test_seatstays_mitered_against_each_other(apart):
    pair = rear.against_each_other(SEAT, 40.0, REAR_END, tube((14.0, 12.0)), apart)
    stay = pair.right.stay
    left = stay_solid(stay) - bar(BB, TOP, 28.6) - LEFT_OUT
    cut = finer(pair.right, {"seat_tube": SEAT, "middle": MIDDLE})
    holds(left, stay, sizes_at_ends(stay), cut, corners=6)
    assert 0 < cut.touches.mean() < 1  # both catch some lines


@pytest.mark.parametrize("length", [200.0, 100.0])
def test_seatstays_into_a_mono_tube(length):
    """Into its flanks, and across its lower end, where they come to lie against each other."""
    pair = rear.into_mono_tube(SEAT, 40.0, REAR_END, tube((14.0, 12.0)), 25.4, 70.0, length)
    stay, mono = pair.right.stay, pair.mono.stay
    low = mono.line.at(mono.length).point
    left = stay_solid(stay) - solid(mono.line.start, low, ((25.4, 25.4),) * 2, mono.line.zero)
    cut = finer(pair.right, {"mono_tube": mono, "middle": MIDDLE})
    holds(left - LEFT_OUT, stay, sizes_at_ends(stay), cut, corners=0 if length > 150 else 12)
    assert len({cut.meets[i] for i in cut.touches}) == (1 if length > 150 else 2)


def test_mono_tube_into_the_seat_tube():
    pair = rear.into_mono_tube(SEAT, 40.0, REAR_END, tube((14.0, 12.0)), 25.4, 70.0, 200.0)
    mono = pair.mono.stay
    left = stay_solid(mono) - bar(BB, TOP, 28.6)
    holds(left, mono, sizes_at_ends(mono), finer(pair.mono, {"seat_tube": SEAT}))


@pytest.mark.parametrize("cap_deg", [25.0, 40.0, 90.0])
@pytest.mark.parametrize("toward", [0.0, 180.0, 270.0])
def test_cap_on_a_tapered_seatstay(cap_deg, toward):
    """The cut is a plane, and the ellipse of the cap is what a plane leaves of the solid."""
    pair = rear.tacked(SEAT, 40.0, REAR_END, tube((16.0, 10.0)), cap_deg, toward)
    stay, cut = pair.right.stay, pair.right.a
    line, turn, lean = stay.line, np.radians(toward), np.radians(cap_deg)
    out = np.cos(turn) * line.zero + np.sin(turn) * line.ninety
    normal = np.sin(lean) * line.direction + np.cos(lean) * out
    tip = line.start + 8.0 * out
    left = stay_solid(stay).trim_by_plane(tuple(normal), float(normal @ tip))
    face = np.array(left.to_mesh().vert_properties)[:, :3]
    face = face[np.abs((face - tip) @ normal) < 1e-3] - tip
    across, along = np.cross(line.direction, out), np.cross(normal, np.cross(line.direction, out))
    assert np.ptp(face @ along) == pytest.approx(pair.cap.long, abs=2e-3)
    assert np.ptp(face @ across) == pytest.approx(pair.cap.short, abs=2e-3)
    holds(left, stay, sizes_at_ends(stay), stays.capped(stay, cap_deg, toward, stations=721))
    assert cut.long_point == pytest.approx(0.0, abs=1e-6)


def test_tacked_stays_touch_the_seat_tube():
    stay = rear.tacked(SEAT, 40.0, REAR_END, tube((16.0, 10.0)), 30.0).right.stay
    gap = stay_solid(stay, before=0.0).min_gap(bar(BB, TOP, 28.6), 5.0)
    assert gap == pytest.approx(0.0, abs=1e-3)


# Bridges


def bridge_of(stay, s, diameter):
    one = rear.bridge(stay, s, diameter)
    tube = one.cut.stay
    left = solid(
        tube.line.start,
        tube.line.at(tube.length).point,
        ((diameter, diameter),) * 2,
        tube.line.zero,
    )
    for side in (stay, stay.mirrored()):
        left -= solid(
            side.line.start, side.line.at(side.length).point, sizes_at_ends(side), side.line.zero
        )
    return one, left


BRIDGES = {
    "chainstay bridge, tapered stays": ("chain", ((22.2, 22.2), (12.2, 12.2)), 60.0, 12.7),
    "chainstay bridge, oval to round": ("chain", ((30.0, 16.0), (12.0, 12.0)), 70.0, 14.0),
    "brake bridge, tapered stays": ("seat", ((16.0, 16.0), (11.0, 11.0)), 140.0, 12.7),
    "brake bridge, oval stays": ("seat", ((14.0, 11.0), (12.0, 11.0)), 160.0, 10.0),
    "bridge as wide as the stays": ("seat", ((14.0, 14.0), (14.0, 14.0)), 100.0, 14.0),
}


@pytest.mark.parametrize("name", BRIDGES)
def test_bridge_mitered_at_both_ends(name):
    which, sizes, s, diameter = BRIDGES[name]
    if which == "chain":
        stay = chainstay((0, 0, 20), END, sizes)
    else:
        (d0, w0), (d1, w1) = sizes
        start, end = np.array([-152.0, 497.3, 22.0]), REAR_END.stay_end("seatstay")
        long = float(np.linalg.norm(end - start))
        taper = stays.Taper((0.0, long), (w0, w1), (d0, d1))
        stay = stays.between("right_seatstay", start, end, taper, zero=stays.REAR)
    one, left = bridge_of(stay, s, diameter)
    tube = one.cut.stay
    round_sizes = ((diameter, diameter),) * 2
    for end, side in (("a", stay), ("b", stay.mirrored())):
        cut = stays.cut_end(tube, {"stay": side}, end, stations=721)
        line, along = edge_of(left, tube, round_sizes, cut)
        near = along < one.length / 2
        assert len(np.unique(np.round(line[near]))) > 340
        graze = (
            0.05 if name.endswith("wide as the stays") else NEAR
        )  # the ears of a graze are steep
        assert along[near] == pytest.approx(
            np.interp(line[near], cut.around_deg, cut.along), abs=graze
        )
    corners = np.array(left.to_mesh().vert_properties)[:, 2]
    assert np.ptp(corners) == pytest.approx(one.cut.finished, abs=0.05)


# Bends


def test_bend_is_a_piece_of_a_ring():
    """Volume and place of a bent tube: two cylinders and a ring turned about the bend's middle."""
    bend = stays.Bend(60.0, 90.0, 35.0, 90.0)
    line = stays.CentreLine((0, 0, 0), (-1, 0, 0), 200.0, (bend,), (0, -1, 0))
    stay = stays.Stay("right_stay", line, stays.Taper((0.0,), (16.0,)))
    round_ = m3.CrossSection.circle(8.0, 180).translate((90.0, 0.0))
    ring = m3.Manifold.revolve(round_, 4 * FACETS, 35.0)  # about z, from x toward y
    # the ring's axis is y; it begins at x = −60 below its middle (−60, 0, 90) and turns toward −x
    ring = ring.transform(np.array([[0.0, -1, 0, -60], [0, 0, 1, 0], [-1.0, 0, 0, 90]]))
    corners = np.array(ring.to_mesh().vert_properties)[:, :3]
    assert np.abs(stay.outside(corners)).max() < 2e-3
    far = np.linalg.norm(
        stay.line.at(60.0 + bend.length).point
        - np.array([-60 - 90 * np.sin(np.radians(35)), 0, 90 * (1 - np.cos(np.radians(35)))])
    )
    assert far < 1e-9


def test_bent_stay_cut_at_its_straight_end():
    """An S-bend behind the joint changes nothing of the cut: the straight cone is what meets the shell."""
    taper = stays.Taper((0.0, 400.0), (22.0, 12.0))
    bent = stays.between("right_chainstay", (0, 0, 20), END, taper, stays.s_bend(90.0, 150.0, 8.0))
    line = bent.line
    far = line.start + 90.0 * line.direction
    sizes = ((22.0, 22.0), (22.0 - 90 / 40, 22.0 - 90 / 40))
    straight = stays.between(
        "right_stay", line.start, far, stays.Taper((0.0, 90.0), (22.0, sizes[1][0]))
    )
    left = solid(line.start, far, sizes, (0, -1, 0), 30.0) - bar(*SHELL)
    cut = stays.cut_end(bent, {"shell": stays.rod("shell", *SHELL)}, stations=721)
    holds(left, straight, sizes, cut)


# Room


def ring_solid(radius, width):
    """The front sixth of a tyre, which is the one beside the chainstays."""
    section = m3.CrossSection.circle(width / 2, 180).translate((radius - width / 2, 0.0))
    return m3.Manifold.revolve(section, 720, 60.0).rotate((0, 0, -40)).translate((*AXLE, 0.0))


def disc(teeth, chainline):
    """A ring 2 mm thick, as large as its teeth; outward of it nothing comes near a stay."""
    radius = 12.7 * (0.6 + 1 / np.tan(np.pi / teeth)) / 2
    return m3.Manifold.cylinder(2.0, radius, radius, 720).translate((0, 0, chainline - 1.0))


@pytest.mark.parametrize(
    "name", ["tapered, toe-in", "oval, toe-in", "oval to round", "tapered, toe-in, above the axis"]
)
@pytest.mark.parametrize("what", ["tyre", "ring"])
def test_room_beside_a_chainstay(name, what):
    start, end, sizes = CHAINSTAYS[name]
    stay = chainstay(start, end, sizes)
    if what == "tyre":
        body = rear.Tyre(AXLE, 335.0, 20.0)
        other = ring_solid(335.0, 20.0)
        far = np.array(other.to_mesh().vert_properties)[:, :3] - [*AXLE, 0.0]
        out = np.hypot(far[:, 0], far[:, 1])
        assert out.max() == pytest.approx(body.core + body.half, abs=5e-3)
        assert far[:, 2].max() == pytest.approx(body.half, abs=5e-3)
    else:
        body = rear.Chainring(38, 52.0)
        other = disc(38, 52.0)
    found = rear.room(stay, body).room
    assert found > 0.2
    # the search ends at this distance, so a room that is told too small shows as well as one too large
    gap = solid(start, end, sizes, (0, -1, 0)).min_gap(other, found + 0.1)
    assert found == pytest.approx(gap, abs=5e-3)


def test_room_between_two_stays():
    right = chainstay((0, 0, 20), END, ((22.2, 22.2), (12.2, 12.2)))
    one = solid((0, 0, 20), END, ((22.2, 22.2), (12.2, 12.2)), (0, -1, 0))
    assert rear.apart(right).room == pytest.approx(
        one.min_gap(one.mirror((0, 0, 1)), 60.0), abs=1e-3
    )
    seat = rear.tacked(SEAT, 40.0, REAR_END, tube((16.0, 10.0)), 30.0).right.stay
    gap = one.min_gap(stay_solid(seat, before=0.0), 60.0)
    assert rear.room(right, seat).room == pytest.approx(gap, abs=5e-3)
    assert gap > 5


@pytest.mark.parametrize("side", ["right", "left"])
def test_room_beside_crank_and_heel(side):
    """A crank's turn is a dished disc, a heel's a flat one."""
    hand = 1 if side == "right" else -1
    stay = chainstay((0, 0, 20), END, ((22.2, 22.2), (12.2, 12.2)))
    one = solid((0, 0, 20), END, ((22.2, 22.2), (12.2, 12.2)), (0, -1, 0))
    if side == "left":
        stay, one = stay.mirrored(), one.mirror((0, 0, 1))
    dish = m3.CrossSection([[(0.0, 62.0), (184.0, 70.0), (184.0, 120.0), (0.0, 120.0)]])
    crank = m3.Manifold.revolve(dish, 720)
    if side == "left":
        crank = crank.mirror((0, 0, 1))
    found = rear.room(stay, rear.Crank(170.0, 62.0, 70.0, side=side)).room
    assert found == pytest.approx(one.min_gap(crank, 60.0), abs=2e-3)
    heel = m3.Manifold.cylinder(100.0, 200.0, 200.0, 720).translate(
        (-160.0, 20.0, 100.0 if hand > 0 else -200.0)
    )
    found = rear.room(stay, rear.Heel(170.0, 160.0, 100.0, 20.0, side=side)).room
    assert found == pytest.approx(one.min_gap(heel, 60.0), abs=5e-3)
