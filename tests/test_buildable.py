"""Can it be built: frames broken on purpose fail for that reason and no other, and each rule is held
against a calculation of its own.

The frames are the kit's example with one thing changed. Where a change breaks a second rule by its
nature, the part that rule asks about is left out, or both findings are named.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from math import cos, inf, pi, radians, sin, tan

import numpy as np
import pytest
from scipy.optimize import brentq, minimize, minimize_scalar
from scipy.spatial.transform import Rotation

from coursekit import buildable, pieces
from coursekit.buildable import Parts, Pedals, Post, Ring, Thread, rooms, shell, walls
from coursekit.frame import DownTube, TopTube, draw
from coursekit.sheets import frame_file
from coursekit.tubes import Butted

BRITISH = Thread(1.370 * 25.4, 25.4 / 24)  # ISO 6696, 1.370 in × 24 TPI
THIN = "the wall is thinner than full wall"
FACE = "the tube's edge reaches past the finished face"
OVERLAP = "the tubes run into each other"
NEAR = "the rear tyre comes too near"
TOE = "the pedal comes too near to the sweep of the front tyre (16 CFR 1512.17(d))"
SHELL, SLEEVE, POST = "bottom-bracket shell", "sleeve at the seat tube's top", "seat post"


def tables(changes=None, without=()):
    """The example's tables with some numbers changed, "table.key" or "tubes.name.key"."""
    data = tomllib.loads(frame_file.EXAMPLE.read_text(encoding="utf-8"))
    for path in without:
        table, _, key = path.rpartition(".")
        (data[table] if table else data).pop(key)
    for path, value in (changes or {}).items():
        *way, key = path.split(".")
        table = data
        for name in way:
            table = table[name]
        table[key] = value
        if value is None:
            del table[key]
    return data


def built(changes=None, without=()):
    return frame_file.build(tables(changes, without))


def forbidding(own):
    return {(f.where, f.what): f.by for f in own.findings if f.forbids}


def test_the_example_can_be_built_and_every_rule_was_asked():
    own = built()
    assert forbidding(own) == {}
    assert all(f.ease and f.cure and f.by > 0 and f.unit == "mm" for f in own.findings)
    fitted = own.fitted
    assert None not in (fitted.thread, fitted.faced, fitted.post, fitted.tyre, fitted.ring)
    assert fitted.pedal_out == 150
    assert not fitted.holds_foot
    assert own.sleeve is not None


# Broken on purpose: what is changed, what is left out, and what must be found, by how much

BROKEN = [
    ("bore wider than the thread", {"tubes.shell.wall": 2.5}, (),
     {(SHELL, "the bore is too wide for the thread"): 35.0 - 33.9}),
    ("bore too narrow for the tap", {"tubes.shell.wall": 3.4}, (),
     {(SHELL, "the bore is too narrow for the tap"): 33.6 - 33.2}),
    ("shell too thin for its thread", {"tubes.shell.diameter": 36.4, "tubes.shell.wall": 1.3}, (),
     {(SHELL, "too little wall outside the thread"): 1.0 - (36.4 - 34.798) / 2}),
    ("shell bought as wide as it is to be", {"tubes.shell.length": 68}, (),
     {(SHELL, "too little metal to face off each side"): 0.25}),
    ("shell bought a little wider", {"tubes.shell.length": 68.2}, (),
     {(SHELL, "too little metal to face off each side"): 0.15}),
    ("chainstays too far out", {"tubes.chainstay.apart_at_shell": 44}, (),
     {("chainstays on the shell", FACE): None}),
    ("seatstays in each other",
     {"tubes.seatstay.diameter": 16, "tubes.seatstay.apart_at_seat_tube": 10,
      "tubes.seatstay.below_seat_top": 35}, ("sleeve",), {("seatstays", OVERLAP): None}),
    ("chainstays in each other", {"tubes.chainstay.apart_at_shell": 14}, ("tyre",),
     {("chainstays", OVERLAP): None, ("seat tube and chainstay", OVERLAP): None}),
    ("chainstay in the seat tube",
     {"tubes.chainstay.above_shell": 8.5, "tubes.chainstay.apart_at_shell": 30}, ("tyre",),
     {("seat tube and chainstay", OVERLAP): None}),
    ("thin end up", {"tubes.seat_tube.walls": [0.9, 0.6, 0.6]}, (),
     {(f"seat tube, under the {what}", THIN): 0.1 for what in ("top tube", "seatstays", "sleeve")}),
    ("upper butt too short", {"tubes.seat_tube.lengths": [200, 30, 250, 30, 90]}, (),
     {("seat tube, under the seatstays", THIN): None}),
    ("lower butt gone", {"tubes.seat_tube.from_a": 0,
                         "tubes.seat_tube.lengths": [40, 20, 300, 30, 210]}, (),
     {("seat tube, under the down tube", THIN): None}),
    ("top tube plain and thin", {"tubes.top_tube.walls": None, "tubes.top_tube.lengths": None,
                                 "tubes.top_tube.wall": 0.5, "tubes.top_tube.length": 640}, (),
     {(f"top tube, end {e}", "the wall is too thin to braze"): 0.2 for e in "ab"}),
    ("sleeve over the top tube", {"sleeve.lap": 40}, (),
     {(SLEEVE, "the sleeve covers where a tube lands"): None}),
    ("sleeve that doesn't go on", {"sleeve.bore": 28.5}, (),
     {(SLEEVE, "the sleeve doesn't fit cold"): 0.1}),
    ("sleeve that rattles", {"sleeve.bore": 29.2}, (),
     {(SLEEVE, "the gap is too wide for filler"): 0.1}),
    ("sleeve like a sheet", {"sleeve.outside": 29.8}, (),
     {(SLEEVE, "the sleeve's wall is too thin"): 0.2}),
    ("sleeve like a ring", {"sleeve.lap": 1.5}, (), {(SLEEVE, "the lap is too short"): 0.6}),
    ("plug with a post as thick", {"sleeve": {"plug": 27.0, "bore": 27.2, "lap": 30}}, (),
     {(POST, "the plug has no wall for the post"): 1.1}),
    ("post too thick", {"post.diameter": 27.4}, (), {(POST, "the post doesn't go in"): 0.2}),
    ("post too thin", {"post.diameter": 26.6}, (), {(POST, "the post is loose"): 0.3}),
    ("post too shallow", {"post.insertion": 50}, (),
     {(POST, "the post doesn't stand deep enough"): 2 * 27.2 - 50}),
    ("post longer than the thin part", {"post.insertion": 540, "post.diameter": 27.0}, (),
     {(POST, "the post doesn't go in"): 27.0 - 26.8}),
    ("tyre too wide for the stays", {"tyre.width": 34}, (),
     {("chainstays", NEAR): None, ("seatstays", NEAR): None}),
    ("tyre in the seat tube", {"drawing.chainstay": 355}, ("tubes.chainstay", "tubes.seatstay"),
     {("seat tube", NEAR): None}),
    ("tyre in the down tube", {"drawing.wheel_radius": None, "drawing.rear_radius": 340,
                                "drawing.front_radius": 430}, ("crankset",),
     {("down tube", "the front tyre comes too near"): None}),
    ("chainring in the stay", {"crankset.teeth": 53, "crankset.chainline": 41}, (),
     {("chainstay, drive side", "the chainring comes too near"): None}),
    ("toe in the tyre", {"bench.crank": 215}, (), {("front wheel and pedals", TOE): None}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "without", "wanted"), [b[1:] for b in BROKEN], ids=[b[0] for b in BROKEN]
)
def test_a_broken_frame_fails_for_its_reason_alone(changes, without, wanted):

    found = forbidding(built(changes, without))
    assert found.keys() == wanted.keys()
    for key, by in wanted.items():
        assert found[key] > 0
        if by is not None:
            assert found[key] == pytest.approx(by, abs=1e-9)


def test_there_are_twenty_broken_frames_and_more():
    assert len(BROKEN) >= 20
    assert len({name for name, *_ in BROKEN}) == len(BROKEN)


@pytest.mark.parametrize("part", ["sleeve", "post", "tyre", "crankset"])
def test_what_is_not_known_is_not_checked(part):
    bad = {
        "sleeve": {"sleeve.bore": 28.5},
        "post": {"post.diameter": 30},
        "tyre": {"tyre.width": 60},
        "crankset": {"crankset.chainline": 40},
    }
    assert forbidding(built(bad[part]))
    assert forbidding(built(without=(part,))) == {}


# The shell: a shop chart for the thread of ISO 6696, 33.6 to 33.9 mm


def test_bores_of_the_chart():
    assert shell.bores(BRITISH) == pytest.approx((33.6, 33.9))
    for bore, kept in ((33.56, False), (33.61, True), (33.89, True), (33.92, False)):
        own = built({"tubes.shell.wall": (40 - bore) / 2})
        assert (forbidding(own) == {}) is kept, bore


def test_bores_of_another_thread_leave_the_same_share():
    """By the rule of tap drill charts, 76.98 (major − bore) / pitch, with 36 mm × 24 TPI."""
    share = [76.98 * (34.798 - b) / (25.4 / 24) for b in (33.6, 33.9)]
    other = shell.bores(Thread(36.0, 25.4 / 24))
    assert [76.98 * (36.0 - b) / (25.4 / 24) for b in other] == pytest.approx(share)


def on_a_cylinder(start, way, radius, turn, host, host_way, host_radius):
    """Where a line of a tube, `turn` round it, first meets another tube from outside, by roots."""
    side = np.cross(way, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side)
    point = start + radius * (cos(turn) * side + sin(turn) * np.cross(way, side))

    def off(along):
        return np.linalg.norm(np.cross(point + along * way - host, host_way)) - host_radius

    deepest = minimize_scalar(off, bounds=(-60, 60), method="bounded").x
    return point + brentq(off, deepest, deepest + 200.0) * way


def farthest(name, host, sign):
    """Largest z · sign of the edge of a drive-side stay on its host."""
    own = name[0]
    axes = own.frame.tubes.axes
    stay, on = axes[name[1]], axes[host]
    given = (stay.start, stay.direction, stay.diameter / 2)
    rest = (on.start, on.direction, on.diameter / 2)
    many = [sign * on_a_cylinder(*given, t, *rest)[2] for t in np.linspace(0, 2 * pi, 181)]
    near = np.linspace(0, 2 * pi, 181)[int(np.argmax(many))]
    best = minimize_scalar(
        lambda t: -sign * on_a_cylinder(*given, t, *rest)[2],
        bounds=(near - 0.05, near + 0.05),
        method="bounded",
        options={"xatol": 1e-9},
    )
    return -best.fun


def test_chainstays_over_the_face_by_roots():
    own = built({"tubes.chainstay.apart_at_shell": 44, "tubes.chainstay.apart_at_axle": 114})
    past = farthest((own, "right_chainstay"), "shell", 1) - 34
    assert forbidding(own)["chainstays on the shell", FACE] == pytest.approx(past, abs=1e-3)
    assert past == pytest.approx(0.8, abs=0.05)


def test_seatstays_overlap_by_roots():
    changes = {
        "tubes.seatstay.diameter": 16,
        "tubes.seatstay.apart_at_seat_tube": 10,
        "tubes.seatstay.apart_at_axle": 114,
        "tubes.seatstay.below_seat_top": 35,
    }
    own = built(changes, ["sleeve"])
    deep = 2 * farthest((own, "right_seatstay"), "seat_tube", -1)
    assert forbidding(own)["seatstays", OVERLAP] == pytest.approx(deep, abs=1e-3)
    assert deep == pytest.approx(2.3, abs=0.06)


def test_seat_tube_and_chainstay_overlap_by_points():
    """Points of both solids, by hand: the deepest point of one within the other."""
    changes = {"tubes.chainstay.above_shell": 8.5, "tubes.chainstay.apart_at_shell": 30}
    own = built(changes, ["tyre"])
    axes = own.frame.tubes.axes
    stay, seat = axes["right_chainstay"], axes["seat_tube"]
    deep = 0.0
    for turn in np.linspace(0, 2 * pi, 721):
        for one, other in ((stay, seat), (seat, stay)):
            on = (axes["shell"].start, axes["shell"].direction, 20.0)
            at = on_a_cylinder(one.start, one.direction, one.diameter / 2, turn, *on)
            if (at - other.start) @ other.direction > 0:
                off = np.linalg.norm(np.cross(at - other.start, other.direction))
                deep = max(deep, other.diameter / 2 - off)
    assert deep > 0.2
    found = forbidding(own)["seat tube and chainstay", OVERLAP]
    assert found == pytest.approx(deep, abs=5e-3)


# Walls: where a tube lands, from two straight lines in the plane of the frame


def test_where_the_top_tube_lands():
    own = built()
    landed = walls.landings(own.frame, own.pieces)["seat_tube", "top tube"]
    joint = own.frame.joints["top_tube-seat_tube"]
    theta, at = radians(float(joint.angle_deg)), float(np.linalg.norm(joint.at))
    middle = at - 14.3 / tan(theta)  # the acute corner lies below: the seat tube leans back
    assert landed == pytest.approx(
        (middle - 14.3 / sin(theta), middle + 14.3 / sin(theta)), abs=0.01
    )


def test_the_taper_may_come_just_to_the_margin():
    own = built()
    low = walls.landings(own.frame, own.pieces)["seat_tube", "seatstays"][0]
    long = 560 - (low - 30)
    for more, ok in ((0.3, True), (-0.3, False)):
        butt = long + more
        lengths = [200, 30, 340 - butt, 30, butt]
        own = built({"tubes.seat_tube.lengths": lengths})
        assert (forbidding(own) == {}) is ok


def test_full_wall_is_that_of_the_nearer_end():
    own = built()
    cut = own.trimmed["seat_tube"]
    assert walls.walls_under(cut, 500, 560) == pytest.approx((0.7, 0.7))
    assert walls.walls_under(cut, 20, 60) == pytest.approx((0.9, 0.9))
    assert walls.walls_under(cut, 300, 330)[1] == pytest.approx(0.6)


def test_a_thin_place_between_two_butts_counts():
    cut = built().trimmed["seat_tube"]
    waist = replace(cut, tube=Butted(28.6, (0.9, 0.6, 0.7), (270, 0, 10, 0, 266)))
    assert walls.walls_under(waist, 260, 330)[1] == pytest.approx(0.6)


def test_the_wall_counts_down_to_the_sleeves_foot():
    """No margin, a butt of 20 mm and a taper of 20: 30 mm down the wall is halfway, 0.65 mm."""
    lengths = [200, 30, 330, 20, 20]
    own = built({"bench.heat_margin": 0, "sleeve.lap": 30, "tubes.seat_tube.lengths": lengths})
    assert forbidding(own)["seat tube, under the sleeve", THIN] == pytest.approx(0.05)


def test_post_by_hand():
    waist = Butted(28.6, (0.6, 0.9, 0.6), (100, 30, 280, 30, 100))
    assert walls.post_room(waist, Post(27.0, 540)) == pytest.approx((-0.2, 0.4))
    tube = Butted(28.6, (0.9, 0.6, 0.7), (100, 30, 280, 30, 100))
    assert walls.post_room(tube, Post(27.2, 80)) == pytest.approx((0.0, 0.0))
    assert walls.post_room(tube, Post(27.0, 500)) == pytest.approx((26.8 - 27.0, 0.2))
    assert walls.post_room(tube, Post(27.0, 5000))[0] == pytest.approx(-0.2)


# Rooms beside the tubes: the least distance of two curves, by a general search


def test_tyre_beside_a_stay():
    own = built({"tyre.width": 34})
    axes, axle = own.frame.tubes.axes, np.array([*own.frame.points["rear_axle"], 0.0])
    for name in ("right_chainstay", "right_seatstay"):
        axis, core = axes[name], 340 - 17

        def apart(x, axis=axis, core=core):
            ring = axle + core * np.array([cos(x[1]), sin(x[1]), 0.0])
            return np.linalg.norm(axis.start + x[0] * (axis.end - axis.start) - ring)

        tries = [
            minimize(apart, (s, t), method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-10})
            for s in (0.1, 0.3, 0.5)
            for t in (0, 1, 2, 5)
        ]
        room = min(t.fun for t in tries) - 17 - axis.diameter / 2
        assert rooms.tyre_room(axis, axle, 340.0, 34.0) == pytest.approx(room, abs=1e-6)
        # 1/16 in, 16 CFR 1512.11(b)
        assert forbidding(own)[f"{name[6:]}s", NEAR] == pytest.approx(1.6 - room, abs=1e-6)


def test_chainring_beside_a_stay():
    """A point of the ring's disc and a point of the axis, as near as they come."""
    own = built({"crankset.teeth": 53, "crankset.chainline": 41})
    axis = own.frame.tubes.axes["right_chainstay"]
    rim = 12.7 / 2 * (0.6 + 1 / tan(pi / 53))  # ASME B29.1, from memory

    def apart(x):
        disc = [rim * sin(x[1]) * cos(x[2]), rim * sin(x[1]) * sin(x[2]), 41.0]
        return np.linalg.norm(axis.start + x[0] * (axis.end - axis.start) - np.array(disc))

    tries = [
        minimize(apart, (s, 1.2, t), method="Nelder-Mead",
                 options={"xatol": 1e-10, "fatol": 1e-10, "maxiter": 9999, "maxfev": 9999})
        for s in (0.1, 0.25, 0.4) for t in (2.5, 3.0, 3.5)
    ]  # fmt: skip
    room = min(t.fun for t in tries) - 1.0 - 11.1
    assert rooms.ring_room(axis, Ring(53, 41)) == pytest.approx(room, abs=1e-5)
    found = forbidding(own)["chainstay, drive side", "the chainring comes too near"]
    assert found == pytest.approx(1.0 - room, abs=1e-5)


def test_a_ring_inside_the_stay_has_no_room():
    own = built({"crankset.chainline": 10})
    found = forbidding(own)
    assert found["chainstay, drive side", "the chainring comes too near"] > 20


def test_ring_stands_between_its_pitch_circle_and_its_chain():
    """The pitch polygon's corners lie on pitch / 2 / sin(180° / teeth); the tips stand above them,
    by less than the pitch's third."""
    for teeth in (22, 42, 53):
        pitch_radius = 12.7 / 2 / sin(pi / teeth)
        assert pitch_radius < Ring(teeth, 45).radius < pitch_radius + 12.7 / 3


# Toe to tyre: the rule as it is written, by turning the wheel


FRAME = {
    "seat_angle_deg": 73, "head_angle_deg": 72, "chainstay": 430, "bb_drop": 70, "wheel_radius": 340,
    "fork_length": 385, "fork_offset": 45, "lower_stack": 12, "head_tube": 150, "seat_tube": 550,
}  # fmt: skip


def turned_wheels(own, steps):
    """Middle of the front wheel and its plane's normal, for every turn of the fork up to 90°."""
    foot, axle = (np.array([*own.points[n], 0.0]) for n in ("steer_foot", "front_axle"))
    lean = radians(own.head_angle_deg)
    axis = np.array([-cos(lean), sin(lean), 0.0])
    turn = Rotation.from_rotvec(np.linspace(-pi / 2, pi / 2, steps)[:, None] * axis)
    return foot + turn.apply(axle - foot), turn.apply([0.0, 0.0, 1.0])


def level_gap(own, crank, out):
    """Brute force, closer around the nearest place of the crank."""
    near, _ = nearest(own, crank, out, np.linspace(-180, 180, 361), 2001)
    return nearest(own, crank, out, near + np.linspace(-8, 8, 161), 50_001)[1]


def nearest(own, crank, out, angles_deg, steps):
    """The level line through the pedal meets each turned wheel's plane once; the rearmost of those
    points that lie within their wheel is where the sweep begins."""
    middle, normal = turned_wheels(own, steps)
    straight = np.abs(normal[:, 0]) < 1e-9
    middle, normal = middle[~straight], normal[~straight]
    found = []
    for angle in np.radians(angles_deg):
        x, y = crank * cos(angle), crank * sin(angle)
        off = (y - middle[:, 1]) * normal[:, 1] + (out - middle[:, 2]) * normal[:, 2]
        at = middle[:, 0] - off / normal[:, 0]
        points = np.stack([at, np.full_like(at, y), np.full_like(at, out)], axis=-1)
        within = np.linalg.norm(points - middle, axis=-1) <= own.front_radius
        found.append(at[within].min() - x if within.any() else inf)
    return angles_deg[int(np.argmin(found))], min(found)


@pytest.mark.parametrize(
    ("crank", "out", "changes"),
    [
        (170, 150, {}),
        (165, 120, {"head_angle_deg": 68, "fork_offset": 60}),
        (175, 180, {"front_radius": 300}),
        (170, 100, {"fork_offset": 0}),
    ],
)
def test_sweep_of_the_tyre_by_turning_it(crank, out, changes):
    given = FRAME | {"front_centre": 590} | changes
    if "front_radius" in given:
        given["rear_radius"] = given.pop("wheel_radius")
    own = draw(**given)
    late = level_gap(own, crank, out) - buildable.pedal_to_tyre(own, crank, out)
    assert -1e-9 <= late < 0.02  # steps find the sweep late, never early


def test_width_of_the_tyre_does_not_move_the_sweep():
    """A tyre as a ring 40 mm thick, turned: level with the pedal it begins where a bare circle does."""
    own = draw(**FRAME, front_centre=590)
    gap = buildable.pedal_to_tyre(own, 170, 150)
    middle, normal = turned_wheels(own, 2001)
    for angle in np.linspace(-0.3, 0.6, 19):
        x = np.linspace(0, 80, 401) + 170 * cos(angle) + gap - 40
        y = 170 * sin(angle)
        for at in x:
            off = np.array([at, y, 150.0]) - middle
            side = (off * normal).sum(-1)
            core = np.sqrt((off**2).sum(-1) - side**2) - 320
            if (np.hypot(core, side) <= 20).any():
                assert at - 170 * cos(angle) >= gap - 0.25
                break


def test_a_wider_pedal_has_more_room_and_one_beyond_the_wheel_all():
    own = draw(**FRAME, front_centre=590)
    gaps = [buildable.pedal_to_tyre(own, 170, out) for out in (0, 60, 120, 180)]
    assert gaps == sorted(gaps)
    assert gaps[0] >= own.toe_clearance(170, 0)
    assert buildable.pedal_to_tyre(own, 170, 400) == inf


def test_side_view_may_break_what_the_rule_allows():
    """The lesson's frame has 80 mm in side view; by the rule it passes easily with usual pedals."""
    own = built({"drawing.front_centre": 588})
    assert own.frame.toe_clearance(170, 0) < 89
    assert buildable.pedal_to_tyre(own.frame, 170, 150) > 110
    assert TOE not in {what for _, what in forbidding(own)}


def test_the_rule_asks_for_89_mm_and_not_of_pedals_that_hold():
    own = built({"bench.crank": 215})
    gap = buildable.pedal_to_tyre(own.frame, 215, 150)
    assert forbidding(own)["front wheel and pedals", TOE] == pytest.approx(89 - gap)  # 3-1/2 in
    assert forbidding(built({"bench.crank": 215, "crankset.holds_foot": True})) == {}


# Ease


EASE = [
    ({}, "top tube to seat tube", "the fillet has little shoulder on the flanks", 3.0),
    ({}, "down tube to head tube", "the fillet has little shoulder on the flanks", 3 - 2.1),
    ({}, POST, "the post has little room in its bore", 0.05),
    ({}, "seat tube", "the wall under the flame is thin", 0.1),
    ({"tubes.down_tube.above_head_bottom": 4}, "head tube",
     "the fillet has little room above the lower face", None),
    ({"tubes.top_tube.below_head_top": 2}, "head tube",
     "the fillet has little room below the upper face", None),
    ({"drawing.head_tube": 100, "drawing.seat_tube": 520}, "head tube",
     "two fillets have little room between them", None),
    ({"sleeve.lap": 26}, SLEEVE, "the fillet has little room below the sleeve", None),
    ({"tyre.width": 29}, "chainstays", "the rear tyre has little room", None),
    ({"crankset.chainline": 42}, "chainstay, drive side", "the chainring has little room", None),
    ({}, "chainstays on the shell", "the fillet has little room beside the finished face", None),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "where", "what", "by"), EASE)
def test_what_costs_care_forbids_nothing(changes, where, what, by):
    own = built(changes)
    assert forbidding(own) == {}
    (found,) = [f for f in own.findings if (f.where, f.what) == (where, what)]
    assert found.ease
    if by is not None:
        assert found.by == pytest.approx(by, abs=1e-9)


def test_equal_tubes_are_brazed_every_day():
    found = next(f for f in built().findings if f.where == "top tube to seat tube")
    assert "Equal tubes are brazed every day" in found.say
    assert not found.forbids


def test_shoulder_of_a_stay_beside_the_tubes_middle():
    """The outer flank: half the difference of the diameters, less how far the axes pass."""
    own = built()
    stay, seat = (own.frame.tubes.axes[n] for n in ("right_seatstay", "seat_tube"))
    square = np.cross(stay.direction, seat.direction)
    passing = abs((stay.start - seat.start) @ square) / np.linalg.norm(square)
    (found,) = [f for f in own.findings if f.where == "seatstays to seat tube"]
    assert found.by == pytest.approx(3 - ((28.6 - 14) / 2 - passing), abs=1e-9)


def test_roomy_joints_say_nothing():
    own = built({"tubes.top_tube.diameter": 22.0})
    assert "top tube to seat tube" not in {f.where for f in own.findings}  # 3.3 mm of shoulder


# The call itself


def test_what_forbids_comes_first_and_the_order_holds():
    own = built({"tubes.shell.wall": 2.5, "post.diameter": 27.4})
    kinds = [f.forbids for f in own.findings]
    assert kinds == sorted(kinds, reverse=True)
    assert [f.where for f in own.findings[:2]] == [SHELL, POST]
    assert own.findings == replace(own).findings


def test_said_in_one_line():
    own = built({"post.diameter": 27.4})
    assert own.findings[0].say == (
        "seat post: the post doesn't go in, by 0.2 mm. Take a thinner post, or a tube with a thinner "
        "wall at its top."
    )


def plain(**shell):
    own = draw(**FRAME, front_centre=600).place(
        top_tube=TopTube(25.4, 12, below_seat_top=20), down_tube=DownTube(28.6, 10), shell=40
    )
    bought = {
        n: Butted(p.diameter, (0.9,) * 3, (0, 0, 700, 0, 0))
        for n, p in pieces.of_frame(own).items()
    }
    cut = {n: pieces.cut_out(p, bought[n]) for n, p in pieces.of_frame(own).items()}
    return own, {"shell": Butted(40, (3.1,) * 3, (0, 0, 69, 0, 0))}, cut


def test_a_frame_without_stays_and_parts():
    assert not [f for f in buildable.check(*plain()) if f.forbids]
    ringed = Parts(thread=BRITISH, tyre=28, ring=Ring(42, 45), pedals=Pedals(170, 150))
    assert not [f for f in buildable.check(*plain(), ringed) if f.forbids]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: buildable.check(draw(**FRAME, front_centre=600), {}, {}),
         "The tubes must be placed before there are joints; got none. Call place(...) first."),
        (lambda: buildable.check(plain()[0], {"top_tube": None}, {}),
         "The tubes must have a shell among them; got top_tube. Add it."),
        (lambda: buildable.check(*plain(), margin=-1),
         "The heat margin must be 0 or more; got -1 mm. Check the sign."),
        (lambda: Parts(faced=0), "The faced width must be greater than 0; got 0 mm."),
        (lambda: Parts(tyre=-28), "The tyre's width must be greater than 0; got -28 mm."),
        (lambda: Thread(0, 1), "The thread's major diameter must be greater than 0; got 0 mm."),
        (lambda: Thread(34.8, -1), "The thread's pitch must be greater than 0; got -1 mm."),
        (lambda: Post(0, 80), "The seat post's diameter must be greater than 0; got 0 mm."),
        (lambda: Post(27.2, 0), "The seat post's insertion must be greater than 0; got 0 mm."),
        (lambda: Ring(9, 45), "The chainring must have 10 teeth or more; got 9. Count them."),
        (lambda: Ring(42, 0), "The chainline must be greater than 0; got 0 mm."),
        (lambda: Pedals(0, 150), "The crank must be greater than 0; got 0 mm."),
        (lambda: Pedals(170, -1), "The distance from the frame's plane to the pedal must be 0 or "),
        (lambda: buildable.pedal_to_tyre(draw(**FRAME, front_centre=600), 170, "far"),
         "The distance to the pedal must be a finite number in mm; got 'far'."),
    ],
)  # fmt: skip
def test_refused(call, message):
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value).startswith(message)
