"""The rear triangle: whole rear ends in their places, and what must hold whatever the numbers."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit import rear, stays

FLIP = np.array([1.0, 1.0, -1.0])
PLATE = rear.Dropout(
    6.0, rear.Tab(32.0, -9.5, 12.0), rear.Tab(28.0, 62.0, 10.0), hanger=(-8.0, -28.0)
)
THROUGH = rear.Dropout(
    7.0, rear.Tab(35.0, -6.0, 14.0), rear.Tab(32.0, 60.0, 12.0), "through", (-6.0, -30.0)
)
SEAT = stays.rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 28.6, stays.REAR)


def axle(chainstay, drop):
    return -float(np.sqrt(chainstay**2 - drop**2)), float(drop)


ROAD = axle(415.0, 70.0)
TRAIL = axle(440.0, 45.0)
SEATSTAY = stays.Taper((100.0, 480.0), (14.0, 11.0))


ROAD_END = rear.RearEnd(ROAD, PLATE, 130.0)
TRAIL_END = rear.RearEnd(TRAIL, THROUGH, 148.0)


WAYS = {
    "tacked to the flank": lambda: rear.tacked(SEAT, 40.0, ROAD_END, SEATSTAY, 30.0),
    "into the seat tube": lambda: rear.into_seat_tube(SEAT, 40.0, ROAD_END, SEATSTAY, 14.0),
    "against each other": lambda: rear.against_each_other(SEAT, 40.0, ROAD_END, SEATSTAY, 6.0),
    "into a mono-tube": lambda: rear.into_mono_tube(
        SEAT, 40.0, ROAD_END, SEATSTAY, 25.4, 70.0, 200.0
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_each_way_of_seatstay_is_whole(way):
    pair = WAYS[way]()
    right = pair.right
    assert pair.way == way
    end = ROAD_END.stay_end("seatstay")
    assert right.stay.line.at(right.stay.length).point == pytest.approx(end, abs=1e-9)
    assert right.stay.line.at(0.0).ninety[2] > 0.9  # 90° lies on the drive side
    assert right.stay.line.at(0.0).zero[0] < -0.5  # 0° at the rear
    assert right.finished == pytest.approx(right.stay.length - right.a.long_point)
    assert right.b.meets == () and right.b.depth == 0.0
    paper = stays.template(right.stay, right.a, right.a.short_point + 20.0)
    assert paper.edge[:, 1].max() < paper.base[:, 1].min()
    # nothing of the finished stay lies in the seat tube, nor beyond the middle of the frame
    reach = np.maximum(right.a.along, 0.0)
    for share in (0.0, 0.02, 0.1):
        skin = right.stay.surface(reach + share * (right.stay.length - reach), right.a.around_deg)
        assert SEAT.outside(skin).min() > -1e-6
        assert skin[:, 2].min() > -1e-6
    # the left one is its mirror image, cut by the mirror image of what the right one meets
    left = right.stay.mirrored()
    if way == "into the seat tube":
        cut = stays.cut_end(left, {"seat_tube": SEAT})
        assert cut.edge[::-1] == pytest.approx(right.a.edge * FLIP, abs=1e-8)


def test_tacked_stays_touch_and_no_more():
    pair = WAYS["tacked to the flank"]()
    touch = rear.room(pair.right.stay, SEAT)
    assert touch.room == pytest.approx(0.0, abs=1e-6)
    assert touch.s < 60.0
    assert pair.cap.long == pytest.approx(14.0 / np.sin(np.radians(30.0)))
    oval = rear.tacked(SEAT, 40.0, ROAD_END, stays.Taper((0.0,), (12.0,), (16.0,)), 30.0)
    assert oval.cap is None and oval.right.a.long_point == pytest.approx(0.0, abs=1e-6)


def test_a_mono_tube_points_to_the_axle():
    mono = WAYS["into a mono-tube"]().mono.stay
    top, way = mono.line.start, mono.line.direction
    assert np.cross(np.array([*ROAD, 0.0]) - top, way) == pytest.approx([0, 0, 0], abs=1e-9)
    assert SEAT.line.at(SEAT.length - 40.0).point == pytest.approx(top)


def trail_stay(angle):
    taper = stays.Taper(
        (0.0, 60.0, 160.0, 420.0), (16.0, 16.0, 18.0, 14.0), (24.0, 24.0, 18.0, 14.0)
    )
    return rear.chainstay(TRAIL_END, 44.0, taper, stays.s_bend(25.0, 80.0, angle, straight=15.0))


def test_a_trail_frame_with_a_tyre_of_60():
    """The bend that leaves 4 mm to the knobs; then everything else beside the stay has room as well."""
    tyre, ring = rear.Tyre(TRAIL, 370.0, 60.0, knobs=2.0), rear.Chainring(32, 52.0)
    crank, heel = rear.Crank(170.0, 68.0, 70.0), rear.Heel(170.0, 160.0, 95.0, 20.0)
    found = rear.for_room(trail_stay, tyre, 4.0, 5.0, 25.0)
    assert 15.0 < found.value < 20.0
    stay = found.stay
    beside = rear.rooms(
        {"right": stay, "left": stay.mirrored()},
        {"tyre": tyre, "ring": ring, "crank": crank, "heel": heel},
    )
    assert beside["right", "tyre"].room == pytest.approx(4.0, abs=1e-6)
    for other in ("ring", "crank", "heel"):
        assert 2.0 < beside["right", other].room < 20.0
        assert beside["left", other].room > 50.0
    # each place is where it should be: the tyre on the inside, the rest on the outside
    assert beside["right", "tyre"].around_deg == pytest.approx(270.0, abs=25.0)
    assert beside["right", "ring"].around_deg == pytest.approx(90.0, abs=25.0)
    assert min(stay.bend_ratios) > stays.EASY_BEND
    assert 2.0 < rear.shell_land(stay, 40.0, 73.0) < 8.0
    one = rear.bridge(stay, rear.place_from_axle(stay, TRAIL, 385.0), 12.7)
    assert rear.room(one.cut.stay, tyre).room > 2.0


def test_a_ring_that_is_too_large_shows_by_how_much():
    stay = trail_stay(16.0)
    rooms = [rear.room(stay, rear.Chainring(teeth, 48.0)).room for teeth in (30, 34, 38, 42)]
    assert np.all(np.diff(rooms) < 0)
    assert rooms[-1] < -2.0  # deeper than the ring is thick


@given(st.floats(-500, 100), st.floats(-200, 300), st.floats(-150, 150))
def test_bodies_are_the_same_on_both_sides(x, y, z):
    p, other = np.array([x, y, z]), np.array([x, y, -z])
    for make in (
        lambda side: rear.Crank(170.0, 60.0, 66.0, side=side),
        lambda side: rear.Heel(170.0, 160.0, 95.0, side=side),
    ):
        assert make("right").outside(p) == pytest.approx(make("left").outside(other), abs=1e-9)
    tyre = rear.Tyre(ROAD, 340.0, 25.0)
    assert tyre.outside(p) == tyre.outside(other)
    assert rear.Tyre(ROAD, 340.0, 25.0, knobs=2.0).outside(p) == pytest.approx(
        tyre.outside(p) - 2.0
    )


@given(
    st.floats(0.0, 190.0), st.floats(-100.0, 200.0), st.floats(0.0, 190.0), st.floats(-100.0, 200.0)
)
def test_a_distance_never_changes_faster_than_you_move(r, z, r2, z2):
    dish = rear.Turned((0.0, 0.0), ((0.0, 50.0), (180.0, 62.0), (180.0, 90.0), (0.0, 90.0)))
    moved = np.hypot(r - r2, z - z2)
    assert abs(dish.outside([r, 0.0, z]) - dish.outside([r2, 0.0, z2])) <= moved + 1e-9


def test_the_order_of_a_profile_does_not_matter():
    corners = ((0.0, 50.0), (180.0, 62.0), (180.0, 90.0), (0.0, 90.0))
    points = np.random.default_rng(2).uniform(-250, 250, (50, 3))
    assert rear.Turned((3.0, 4.0), corners).outside(points) == pytest.approx(
        rear.Turned((3.0, 4.0), corners[::-1]).outside(points)
    )
    assert rear.Turned((3.0, 4.0), corners).radius == 180.0


@settings(max_examples=12)
@given(st.floats(60.0, 300.0), st.floats(8.0, 13.0))
def test_bridges_have_both_miters_alike_and_in_phase(s, diameter):
    stay = rear.chainstay(ROAD_END, 40.0, stays.Taper((100.0, 400.0), (22.0, 14.0)))
    one = rear.bridge(stay, s, diameter)
    assert one.cut.a.along == pytest.approx(one.cut.b.along, abs=1e-7)
    assert one.cut.a.edge == pytest.approx(one.cut.b.edge * FLIP, abs=1e-7)
    assert one.length == pytest.approx(2 * stay.line.at(s).point[2])
    assert one.stays_deg == pytest.approx(2 * rear.toe_in_deg(stay))
    # in the obtuse corner the bridge is cut less deep than in the acute one
    obtuse, acute = (
        np.interp(v % 360, one.cut.a.around_deg, one.cut.a.along)
        for v in (one.obtuse_deg, one.obtuse_deg + 180)
    )
    assert obtuse < acute
    assert one.cut.finished < one.length
    front = np.interp(90.0, one.cut.a.around_deg, one.cut.a.edge[:, 0])
    assert front == pytest.approx(stay.line.at(s).point[0] + diameter / 2)


def test_place_from_axle_along_a_bent_stay():
    stay = trail_stay(16.0)
    for distance in (100.0, 250.0, 400.0):
        at = stay.line.at(rear.place_from_axle(stay, TRAIL, distance)).point
        assert np.hypot(at[0] - TRAIL[0], at[1] - TRAIL[1]) == pytest.approx(distance, abs=1e-8)


def test_plan_view_has_everything_by_name():
    stay = rear.chainstay(ROAD_END, 40.0, stays.Taper((100.0, 400.0), (22.0, 14.0)))
    shell = stays.rod("shell", (0, 0, -34), (0, 0, 34), 40.0)
    cuts = {}
    for one in (stay, stay.mirrored()):
        cuts[one.name] = stays.CutStay(
            one, stays.cut_end(one, {"shell": shell}), stays.cut_end(one, None, "b")
        )
    cuts["bridge"] = rear.bridge(stay, 60.0, 12.7).cut
    tyre, ring, crank = (
        rear.Tyre(ROAD, 340.0, 25.0),
        rear.Chainring(42, 45.0),
        rear.Crank(170.0, 55.0, 60.0),
    )
    seen = rear.plan_view(cuts, ROAD_END, tyre, ring, {"right_crank": crank})
    assert set(seen.outlines) == {
        "right_chainstay",
        "left_chainstay",
        "bridge",
        "tyre",
        "chainring",
        "right_crank",
    }
    assert set(seen.lines) == {
        "right_chainstay_axis",
        "left_chainstay_axis",
        "bridge_axis",
        "axle",
        "middle",
        "chainline",
    }
    right, left = seen.outlines["right_chainstay"], seen.outlines["left_chainstay"]
    for edge in ("min", "max"):
        assert getattr(left, edge)(axis=0)[0] == pytest.approx(
            getattr(right, edge)(axis=0)[0], abs=1e-6
        )
    assert right[:, 1].min() == pytest.approx(-left[:, 1].max(), abs=1e-6)
    assert seen.outlines["tyre"][:, 0].max() == pytest.approx(ROAD[0] + 340.0)
    assert np.ptp(seen.outlines["tyre"][:, 1]) == pytest.approx(25.0, abs=1e-3)
    assert seen.lines["right_chainstay_axis"][0].tolist() == pytest.approx([0.0, 20.0])
    assert np.all(np.isfinite(np.concatenate(list(seen.outlines.values()))))


def test_results_are_frozen():
    for one in (
        PLATE,
        PLATE.chainstay,
        rear.AXLES["130"],
        rear.Tyre(ROAD, 340.0, 25.0),
        rear.bridge(trail_stay(10.0), 250.0, 12.0),
    ):
        with pytest.raises(dataclasses.FrozenInstanceError):
            one.thickness = 1.0


def test_numbers_as_arrays():
    assert rear.pitch_diameter([11, 42]).shape == (2,)
    assert rear.slot_width([5.0, 6.0], [[0.0], [6.0]], 12.0).shape == (2, 2)
    assert type(rear.slot_width(6.0, 5.0, 12.0)) is float
    assert stays.s_bend_offset([100.0, 200.0], 9.0).shape == (2,)
    assert stays.s_bend_angle_deg([0.0, 5.0], 100.0)[0] == 0.0
    assert (
        PLATE.hanger_deg
        > 0
        > rear.Dropout(6.0, PLATE.chainstay, PLATE.seatstay, hanger=(8.0, -28.0)).hanger_deg
    )
    assert np.isnan(rear.Dropout(6.0, PLATE.chainstay, PLATE.seatstay).hanger_length)
    assert not PLATE.chainstay.capped and rear.Tab(30.0, -9.0).capped


# Four rear ends of invented frames, from numbers to templates

ROUND_STAYS = stays.Taper((150.0, 400.0), (22.2, 12.7))
OVAL_STAYS = stays.Taper(
    (0.0, 60.0, 160.0, 420.0), (16.0, 16.0, 18.0, 14.0), (24.0, 24.0, 18.0, 14.0)
)
FOUR = {
    "road": {
        "end": (axle(412.0, 72.0), PLATE, 130.0), "tyre": (338.0, 28.0, 0.0), "ring": (36, 43.5), "crank": (54.0, 60.0),
        "apart": 38.0, "taper": ROUND_STAYS, "bend": (38.0, 100.0, 10.0), "range": (0.5, 10.0), "room": 5.0,
        "stays": lambda end: rear.tacked(SEAT, 45.0, end, stays.Taper((150.0, 480.0), (14.0, 11.0)), 25.0),
        "brake": rear.bolt_from_axle(308.0, 49.0), "shell": 68.0,
    },
    "touring": {
        "end": (axle(445.0, 70.0), PLATE, 135.0), "tyre": (352.0, 40.0, 0.0), "ring": (28, 47.5), "crank": (62.0, 68.0),
        "apart": 38.0, "taper": ROUND_STAYS, "bend": (38.0, 100.0, 10.0), "range": (0.5, 14.0), "room": 5.0,
        "stays": lambda end: rear.into_seat_tube(SEAT, 50.0, end, stays.Taper((150.0, 480.0), (13.0, 12.0)), 14.5),
        "brake": 375.0, "shell": 68.0,
    },
    "trail": {
        "end": (TRAIL, THROUGH, 148.0), "tyre": (370.0, 60.0, 2.0), "ring": (30, 52.0), "crank": (68.0, 70.0),
        "apart": 44.0, "taper": OVAL_STAYS, "bend": (36.0, 75.0, 10.0), "range": (5.0, 25.0), "room": 5.0,
        "stays": lambda end: rear.tacked(SEAT, 30.0, end, stays.Taper((0.0, 150.0, 480.0), (14.0, 14.0, 12.0), (18.0, 16.0, 12.0)),
                                         25.0, 270.0, stays.s_bend(40.0, 70.0, 14.0, 10.0)),
        "brake": 395.0, "shell": 73.0,
    },
    "small step-through": {
        "end": (axle(425.0, 55.0), PLATE, 135.0), "tyre": (292.0, 44.0, 0.0), "ring": (38, 48.0), "crank": (60.0, 66.0),
        "apart": 38.0, "taper": ROUND_STAYS, "bend": (38.0, 100.0, 10.0), "range": (0.5, 10.0), "room": 7.0,
        "stays": lambda end: rear.against_each_other(SEAT, 190.0, end, stays.Taper((150.0, 380.0), (14.0, 12.0)), 8.0,
                                                    stays.s_bend(40.0, 80.0, 14.0)),
        "brake": 330.0, "shell": 68.0,
    },
}  # fmt: skip


@pytest.mark.parametrize("name", FOUR)
def test_four_rear_ends(name):
    given_ = FOUR[name]
    end = rear.RearEnd(*given_["end"])
    radius, width, knobs = given_["tyre"]
    tyre, ring = rear.Tyre(end.axle, radius, width, knobs), rear.Chainring(*given_["ring"])
    crank, heel = rear.Crank(170.0, *given_["crank"]), rear.Heel(170.0, 160.0, 92.0, 20.0)
    at, bend_radius, straight = given_["bend"]

    def make(angle):
        bends = stays.s_bend(at, bend_radius, angle, straight)
        return rear.chainstay(end, given_["apart"], given_["taper"], bends)

    chain = rear.for_room(make, tyre, given_["room"], *given_["range"]).stay
    pair = given_["stays"](end)
    seat = pair.right.stay
    both = {"chainstay": chain, "seatstay": seat}
    beside = rear.rooms(both, {"tyre": tyre, "ring": ring, "crank": crank, "heel": heel})
    assert min(one.room for one in beside.values()) > 2.0, {
        k: round(v.room, 2) for k, v in beside.items()
    }
    assert beside["chainstay", "tyre"].room == pytest.approx(given_["room"], abs=1e-6)
    assert min(chain.bend_ratios) > stays.EASY_BEND
    half = given_["shell"] / 2
    shell = stays.rod("shell", (0, 0, -half), (0, 0, half), 40.0)
    cut = stays.CutStay(
        chain, stays.cut_end(chain, {"shell": shell}), stays.cut_end(chain, None, "b")
    )
    assert rear.shell_land(chain, 40.0, 2 * half) > 0.5
    bridge = rear.bridge(
        seat, rear.place_from_axle(seat, end.axle, given_["brake"]), 10.0, "brake_bridge"
    )
    assert rear.room(bridge.cut.stay, tyre).room > 4.0
    tubes = {"right_chainstay": cut, "right_seatstay": pair.right, "brake_bridge": bridge.cut}
    for one in tubes.values():
        for tip in (one.a, one.b):
            if tip.meets:
                paper = stays.template(one.stay, tip, tip.short_point + 5.0)
                girth = np.linalg.norm(np.diff(paper.base, axis=0), axis=1).sum()
                width_, depth = (float(v) for v in one.stay.taper.sizes(0.0))
                assert girth == pytest.approx(np.pi * (width_ + depth) / 2, rel=0.03)
    seen = rear.plan_view(
        {"right_chainstay": cut, "brake_bridge": bridge.cut},
        end,
        tyre,
        ring,
        {"right_crank": crank},
    )
    assert (
        seen.outlines["right_chainstay"][:, 1].max()
        < end.spacing / 2 + end.dropout.thickness / 2 + 10.0
    )
    assert seen.lines["chainline"][0, 1] == ring.chainline
