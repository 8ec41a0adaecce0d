"""Can the rear end and the fork be built: frames broken on purpose fail for that reason, by so much.

The frames are the four of `frames_with_ends` with one thing changed. Where a change breaks a second rule by
its nature, both findings are named.
"""

from __future__ import annotations

from dataclasses import replace
from math import asin, cos, degrees, hypot, radians, sin, tan

import numpy as np
import pytest

from coursekit import buildable
from coursekit.buildable import Bought, Brake, Parts, Steerer
from tests.frames_with_ends import NAMES, broken, whole

NEAR, CRANK, HEEL = (
    "the rear tyre comes too near",
    "the crank comes too near",
    "the heel comes too near",
)
RING, DISC, FRONT = (
    "the chainring comes too near",
    "the disc comes too near",
    "the front tyre comes too near",
)
OVERLAP, SHORT = "the tubes run into each other", "the tube is too short"
RIM, MOUNT = "the brake's pads miss the rim", "the mount does not lie on a straight piece"
BOSSES, TIGHT = "the bosses stand in the wrong place", "the bend is too tight"
INTO_CUT, INTO_SLOT = "the bend runs into the cut", "the bend runs into the slot"
TIP, FACE = "the tip is too thin for its slot", "the tube's edge reaches past the finished face"
HANGER, SEAT = "the hanger points the wrong way", "the joint reaches over the crown race seat"
CHAIN = {"at": 150, "radius": 120, "angle_deg": 5}


def forbidding(own):
    return {(f.where, f.what): f.by for f in own.findings if f.forbids}


@pytest.mark.parametrize("name", NAMES)
def test_the_four_frames_can_be_built_and_close(name):
    from coursekit.sheets import checks

    own = whole(name)
    assert forbidding(own) == {}
    assert all(f.ease and f.cure.endswith(".") and f.by > 0 for f in own.findings)
    assert checks.open_ones(own) == ()
    assert own.ends.rear is not None
    assert own.ends.front is not None


# Broken on purpose: frame, what is changed, what is left out, what must be found, by how much
BROKEN = [
    ("tyre between the chainstays", "road", {"tyre.width": 38}, (),
     {("chainstays", NEAR): None}),
    ("knobs between the chainstays", "road", {"tyre.knobs": 4.5}, (), {("chainstays", NEAR): None}),
    ("tyre at the bridge", "road", {"rear.chainstay_bridge.from_axle": 346}, (),
     {("chainstay bridge", NEAR): 1.6 - (346 - 12.7 / 2 - 339)}),
    ("mono-tube down into the tyre", "trail", {"rear.mono_tube.length": 132}, (), {("mono-tube", NEAR): None}),
    ("chainring in the stay", "road", {"crankset.teeth": 50}, (), {("chainstay, drive side", RING): None}),
    ("crank in the stays", "road", {"crankset.inside_at_pedal": 46, "crankset.inside_at_bb": 44}, (),
     {("chainstays", CRANK): None}),
    ("heel on the chainstays", "road", {"crankset.heel_inside": 62}, (), {("chainstays", HEEL): None}),
    ("disc in the stays", "touring", {"rear.brake.rotor_in": 2}, (),
     {("chainstay, non-drive side", DISC): None, ("seatstay, non-drive side", DISC): None}),
    ("chainstays past the face", "road", {"tubes.chainstay.apart_at_shell": 44, "crankset.chainline": 48}, (),
     {("chainstays on the shell", FACE): None}),
    ("chainstays in each other", "road", {"tubes.chainstay.apart_at_shell": 15}, ("tyre", "fork.brake", "rear.brake"),
     {("chainstays", OVERLAP): None, ("seat tube and chainstay", OVERLAP): None}),
    ("chainstay too short", "road", {"tubes.chainstay.length": 372}, (), {("chainstays", SHORT): None}),
    ("chainstay cut too far", "road", {"tubes.chainstay.from_a": 40}, (), {("chainstays", SHORT): None}),
    ("seatstay too short", "touring", {"tubes.seatstay.length": 470}, (), {("seatstays", SHORT): None}),
    ("bend in the miter", "trail", {"tubes.seatstay.bends": [
        {"at": 40, "radius": 90, "angle_deg": 27, "toward_deg": 270}]}, ("tyre",),
     {("seatstays, end a", INTO_CUT): None}),
    ("bend in the slot", "road", {"tubes.seatstay.bends": [
        {"at": 462, "radius": 120, "angle_deg": 5}]}, (), {("seatstays, end b", INTO_SLOT): None, ("seatstays, end b", TIP): None}),
    ("bend of twenty millimetres", "road", {"tubes.seatstay.bends": [
        {"at": 300, "radius": 20, "angle_deg": 5}]}, (), {("seatstays, bend at 300 mm", TIGHT): None}),
    ("plate too thick for the tip", "road", {"rear.thickness": 8.5}, (),
     {("seatstays, end b", TIP): None, ("chainstays, end b", TIP): None}),
    ("hanger above the axle", "road", {"rear.hanger": [-8, 27]}, (),
     {("dropout, drive side", HANGER): degrees(np.arctan2(8, -27)) - 45}),
    ("bridge too near for the brake", "road", {"rear.brake.reach": [57, 73]}, (),
     {("seatstay bridge", RIM): 57 - (357 - 311)}),
    ("bridge too far for the brake", "road", {"rear.seatstay_bridge.from_axle": 368}, (),
     {("seatstay bridge", RIM): 368 - 311 - 49}),
    ("bosses on narrow stays", "touring", {"rear.brake": {"kind": "cantilever", "bosses": 95}}, (),
     {("seatstays, brake bosses", BOSSES): None}),
    ("disc mount on a bend", "trail", {"rear.brake.mount": [300, 60]}, (),
     {("seatstay, non-drive side, disc mount", MOUNT): None}),
    ("disc mount beyond the stay", "touring", {"rear.brake.mount": [40, 60]}, (),
     {("seatstay, non-drive side, disc mount", MOUNT): None}),
    ("front tyre between the blades", "road", {"fork.crown.spread": 50}, (), {("fork blades", FRONT): None}),
    ("front tyre under the crown", "road", {"fork.crown.underside": 30}, (), {("fork crown", FRONT): None}),
    ("blade too short", "road", {"fork.blade.length": 325}, (), {("fork blades", SHORT): None}),
    ("rake on a small former", "road", {"fork.bend": {"radius": 30, "tail": 25}}, (),
     {("fork blades, bend at 293 mm", TIGHT): None}),
    ("rake in the slot", "road", {"fork.bend.tail": 15}, (), {("fork blades, end b", INTO_SLOT): 7.0}),
    ("tip too thin for the plate", "road", {"fork.blade.tip": 7.5}, (), {("fork blades, end b", TIP): None}),
    ("brake too long for the fork", "road", {"fork.brake.reach": [57, 73]}, (), {("fork crown", RIM): None}),
    ("bosses on a wide crown", "touring", {"fork.brake.bosses": 60}, (),
     {("fork blades, brake bosses", BOSSES): None}),
    ("thin blade under a disc", "trail", {"fork.blade.wall": 0.8, "fork.blade.tip_wall": 0.8}, (),
     {("fork blade, non-drive side, disc mount", "the wall under the disc mount is thin"): 0.2}),
    ("disc in the blade", "trail", {"fork.brake.rotor_in": -2}, (), {("fork blade, non-drive side", DISC): None}),
    ("steerer too short", "road", {"fork.steerer.length": 200}, (),
     {("steerer", "the steerer is too short"): 145 + 12 + 40 + 25 - 200}),
    ("unicrown through the seat", "trail", {"fork.shoulder.crossing": 4}, (),
     {("fork blades on the steerer", SEAT): None}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "changes", "without", "wanted"), [b[1:] for b in BROKEN], ids=[b[0] for b in BROKEN]
)
def test_a_broken_frame_fails_for_its_reason_alone(name, changes, without, wanted):
    found = forbidding(broken(name, changes, without))
    assert found.keys() == wanted.keys()
    for key, by in wanted.items():
        assert found[key] == pytest.approx(by, abs=1e-4) if by is not None else found[key] > 0


# Care, and parts that are not told


CARE = [
    ("fillet at the faced shell", "road", {},
     ("chainstays on the shell", "the fillet has little room beside the finished face")),
    ("hanger of an odd length", "road", {"rear.hanger": [-8, -34]},
     ("dropout, drive side", "the hanger has an unusual length")),
    ("a bend of three diameters", "road", {"tubes.seatstay.bends": [{"at": 300, "radius": 40, "angle_deg": 5}]},
     ("seatstays, bend at 300 mm", "the bend is tight")),
    ("oval where it is raked", "touring", {"fork.bend": {"radius": 180, "tail": 190}},
     ("fork blades", "the blade is oval where it is bent")),
    ("a tyre that just clears", "road", {"tyre.width": 33}, ("chainstays", "the rear tyre has little room")),
    ("a heel that just clears", "road", {"crankset.heel_inside": 73}, ("chainstays", "the heel has little room")),
]  # fmt: skip


@pytest.mark.parametrize(("name", "changes", "wanted"), [c[1:] for c in CARE], ids=[c[0] for c in CARE])  # fmt: skip
def test_what_costs_care_is_said_and_forbids_nothing(name, changes, wanted):
    own = broken(name, changes)
    assert wanted in {(f.where, f.what) for f in own.findings if f.ease}
    assert forbidding(own) == {}


@pytest.mark.parametrize("part", ["tyre", "crankset", "rear.brake", "fork.brake", "fork.steerer", "fork", "rear.hanger"])  # fmt: skip
def test_what_is_not_told_is_not_checked(part):
    assert forbidding(broken("road", {}, (part,))) == {}


# The rules, each held against a calculation of its own


def test_the_heels_round_by_points():
    """A disc about the heel's place: its nearest point to the stay, looked for on both surfaces."""
    own = broken("road", {"crankset.heel_inside": 62})
    stay = own.ends.rear.chainstay.stay
    s, turn = np.meshgrid(np.linspace(20, stay.length, 4001), np.linspace(0, 360, 361))
    points = stay.surface(s, turn)
    inside = 170 + 30 - np.hypot(points[..., 0] + 160, points[..., 1])
    deepest = np.minimum(points[..., 2] - 62, inside).max()
    assert forbidding(own)[("chainstays", HEEL)] == pytest.approx(deepest, abs=0.02)


def test_the_discs_room_by_points():
    """The left seatstay beside a flat disc: how far it reaches in, over the disc's own circle."""
    own = broken("touring", {"rear.brake.rotor_in": 2})
    rear = own.ends.rear
    stay = rear.seatstays.right.stay
    s, turn = np.meshgrid(np.linspace(200, stay.length, 3001), np.linspace(0, 360, 361))
    points = stay.surface(s, turn)
    x, y = rear.end.axle
    inside = 80 - np.hypot(points[..., 0] - x, points[..., 1] - y)
    face = 135 / 2 - 2  # the disc's outer face, toward the stay
    deepest = np.minimum(face - points[..., 2], inside).max()
    assert forbidding(own)[("seatstay, non-drive side", DISC)] == pytest.approx(1 + deepest, abs=0.02)  # fmt: skip


def test_the_bridges_place_and_its_reach_by_hand():
    own = whole("road")
    at = own.ends.rear.bridges["seatstay_bridge"].cut.stay.line.at(0.0).point
    x, y = own.ends.rear.end.axle
    assert hypot(at[0] - x, at[1] - y) == pytest.approx(357, abs=1e-8)


def test_the_forks_numbers_are_those_of_the_drawing():
    """The tip, the plate's reach and half the spacing, put together anew."""
    for name in NAMES:
        own, front = whole(name), whole(name).ends.front
        assert front.fork.fork_length == pytest.approx(float(own.frame.fork_length), abs=1e-9)
        assert front.fork.fork_offset == pytest.approx(float(own.frame.fork_offset), abs=1e-9)
        tip = front.right.stay.line.at(front.right.stay.length)
        plate, splay = front.fork.dropout, radians(float(front.fork.splay_deg))
        lean = radians(float(front.fork.tip_deg))
        way = np.array([sin(lean), -cos(lean) * cos(splay), cos(lean) * sin(splay)])
        beside = np.array([cos(lean), sin(lean) * cos(splay), -sin(lean) * sin(splay)])
        axle = tip.point + plate.reach * way + plate.ahead * beside
        assert tip.direction == pytest.approx(way, abs=1e-9)
        assert axle[2] == pytest.approx((plate.spacing + plate.thickness) / 2, abs=1e-6)
        assert hypot(axle[0], axle[1]) == pytest.approx(float(own.frame.fork_length), abs=1e-6)


def test_what_is_sawn_off_and_where_the_taper_lies():
    """Without a word of it all comes off end a, so the tip is as thick as it was bought."""
    own = whole("road").ends.rear
    for name, size in (("chainstay", 12.5), ("seatstay", 11.0)):
        cut, bought = own.right[name], own.bought[name]
        assert bought.from_b(cut.finished) == pytest.approx(0, abs=1e-7)
        assert cut.stay.taper.sizes(cut.stay.length)[0] == pytest.approx(size, abs=1e-6)
    touring = whole("touring").ends.rear
    cut, bought = touring.chainstay, touring.bought["chainstay"]
    assert (bought.from_a, bought.length) == (20, 450)
    # 100 mm from the bought tube's end a it is halfway from 22.2 round to 17 by 28
    wide, deep = cut.stay.taper.sizes(cut.a.long_point + 100 - 20)
    assert (float(wide), float(deep)) == pytest.approx((19.6, 25.1), abs=1e-6)
    front = whole("road").ends.front
    # the blade's taper begins 190 mm below its upper end, of which 400 less the piece is sawn off
    along = 190 - (400 - float(front.fork.blade_length)) + 21
    assert front.blade.width_at(along) == pytest.approx(24 - 11.5 * 21 / 210)


def test_a_unicrowns_joint_reaches_up_as_an_ellipse_does():
    """The top of the joint on the steerer: tangent line of the shoulder's upper side, by hand."""
    own = broken("trail", {"fork.shoulder.crossing": 4})
    half, big, turn = 25.4 / 2, 28.6 / 2, radians(60)
    above = half / sin(turn) - big / tan(turn)
    assert forbidding(own)[("fork blades on the steerer", SEAT)] == pytest.approx(above - 4)


def test_the_slots_room_by_hand():
    own = broken("road", {"rear.thickness": 9.0})
    rear = own.ends.rear
    stay = rear.seatstays.right.stay
    way = stay.line.at(stay.length).direction
    toe = asin(way[2])
    wide = 9.0 / cos(toe) + 12 * tan(toe)
    found = forbidding(own)[("seatstays, end b", TIP)]
    assert found == pytest.approx(1.5 - (11 - wide) / 2, abs=1e-6)


# Refusals


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Brake("drum"), "The brake must be of a known kind, caliper, cantilever or disc; got 'drum'. Name one of the three."),
        (lambda: Brake("caliper", (49, 39)), "The brake's longest reach must not be less than its shortest; got 39 mm and 49 mm. Swap them."),
        (lambda: Brake("disc", mount=(110, 60)), "The rotor's diameter must be greater than 0; got 0 mm."),
        (lambda: Brake("disc", rotor=160), "The mount's length must be greater than 0; got 0 mm."),
        (lambda: Bought(0, 0.8), "The tube's length must be greater than 0; got 0 mm."),
        (lambda: Bought(400, 0), "The tube's wall must be greater than 0; got 0 mm."),
        (lambda: Bought(400, 0.8, -1), "The cut at end a must be 0 or more; got -1 mm."),
        (lambda: Steerer(0, 1.6, 260, 200), "The steerer's diameter must be greater than 0; got 0 mm."),
        (lambda: Steerer(28.6, 1.6, 0, 200), "The steerer's length must be greater than 0; got 0 mm."),
        (lambda: Parts(knobs=-1), "The knobs must be 0 or more; got -1 mm."),
        (lambda: Parts(bead_seat=0), "The bead seat must be greater than 0; got 0 mm."),
    ],
)  # fmt: skip
def test_no_part_of_an_end_is_taken_that_is_none(make, told):
    with pytest.raises(ValueError) as refused:
        make()
    assert str(refused.value).startswith(told)


def test_a_disc_mount_on_no_stay_is_refused():
    from coursekit.buildable import rear_making

    rear = whole("touring").ends.rear
    odd = replace(rear, brake=replace(rear.brake, on="seat tube"))
    with pytest.raises(ValueError, match="The disc's mount must be on the chainstay or the seatstay; got 'seat tube'"):  # fmt: skip
        list(rear_making.findings(odd, Parts()))


def test_a_frame_without_its_stand_ins_keeps_its_drawing():
    own = whole("road")
    bare = buildable.without_stays(own.frame)
    assert {n for n in bare.tubes.axes if "stay" in n} == set()
    assert bare.points == own.frame.points
    assert "down_tube-head_tube" in bare.joints
