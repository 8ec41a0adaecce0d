"""Refused calls of `frame`, `fixture`, `statics` and `skeleton`: the rule and the value of each."""

from dataclasses import replace

import pytest

from coursekit.fixture import built, error_budget, settings
from coursekit.frame import Chainstay, DownTube, Seatstay, TopTube, draw
from coursekit.skeleton import TUBES, front_hit, pedal, seat_load, skeleton
from coursekit.statics import Member, MemberSection, solve
from coursekit.tubes import Butted, Oval, Round

USUAL = {
    "seat_angle_deg": 73.0, "head_angle_deg": 72.0, "chainstay": 425.0, "bb_drop": 72.0,
    "wheel_radius": 340.0, "fork_length": 385.0, "fork_offset": 47.0, "lower_stack": 12.0,
    "head_tube": 145.0, "seat_tube": 540.0, "front_centre": 600.0,
}  # fmt: skip
TUBE = Round(28.6, 0.9)
LONG = Butted(28.6, (0.9, 0.6, 0.9), (100, 40, 330, 40, 100))
SHORT = Butted(28.6, (0.9, 0.6, 0.9), (60, 40, 200, 40, 60))
ENDS = {"a": (0, 0, 0), "b": (600, 0, 0)}
ARM = {"m": Member("a", "b", TUBE)}
STAYS = {"chainstay": Chainstay(22.2, 46.0, 126.0), "seatstay": Seatstay(16.0, 30.0, 126.0, 45.0)}
STRUT = {"m": Member("a", "b", TUBE, pinned=True)}


def without(*names):
    return {k: v for k, v in USUAL.items() if k not in names}


def place(**change):
    own = {"top_tube": TopTube(28.6, 14.0, 30.0), "down_tube": DownTube(34.9, 11.0)}
    return draw(**USUAL).place(**{**own, **change})


REFUSED = [
    (
        lambda: draw(**USUAL | {"head_angle_deg": 18.0}),
        "The head angle must lie between 45° and 90° from the horizontal; got 18°.",
    ),
    (
        lambda: draw(**USUAL | {"seat_angle_deg": 45.0}),
        "The seat angle must lie between 45° and 90° from the horizontal; got 45°.",
    ),
    (
        lambda: draw(**USUAL | {"seat_angle_deg": 90.5}),
        "The seat angle must lie between 45° and 90° from the horizontal; got 90.5°.",
    ),
    (
        lambda: draw(**USUAL | {"chainstay": 60.0}),
        "The chainstay must be longer than the drop, or it cannot reach the axle; got a chainstay of 60 mm and a drop of 72 mm.",
    ),
    (
        lambda: draw(**USUAL | {"chainstay": 72.0}),
        "The chainstay must be longer than the drop, or it cannot reach the axle; got a chainstay of 72 mm and a drop of 72 mm.",
    ),
    (
        lambda: draw(**USUAL | {"chainstay": -425.0}),
        "The chainstay must be greater than 0; got -425 mm.",
    ),
    (
        lambda: draw(**USUAL | {"bb_drop": float("nan")}),
        "The bb_drop must be a finite number in mm; got nan.",
    ),
    (
        lambda: draw(**USUAL | {"fork_offset": 400.0}),
        "The fork must be longer than its offset; got a length of 385 mm and an offset of 400 mm.",
    ),
    (
        lambda: draw(**USUAL | {"fork_offset": 385.0}),
        "The fork must be longer than its offset; got a length of 385 mm and an offset of 385 mm.",
    ),
    (
        lambda: draw(**USUAL | {"fork_offset": -1.0}),
        "The fork_offset must be 0 or more; got -1 mm.",
    ),
    (
        lambda: draw(**USUAL | {"lower_stack": -1.0}),
        "The lower_stack must be 0 or more; got -1 mm.",
    ),
    (
        lambda: draw(**USUAL | {"wheel_radius": 0.0}),
        "The rear_radius must be greater than 0; got 0 mm.",
    ),
    (
        lambda: draw(**USUAL | {"front_centre": 70.0}),
        "The front centre must be longer than the front axle's height above the bottom bracket; got 70 mm and 72 mm.",
    ),
    (
        lambda: draw(**USUAL | {"front_centre": 72.0}),
        "The front centre must be longer than the front axle's height above the bottom bracket; got 72 mm and 72 mm.",
    ),
    (
        lambda: draw(**USUAL | {"front_centre": 250.0}),
        "The wheelbase must be longer than both wheel radii together; got a wheelbase of 658.2644 mm and radii of 680 mm in all.",
    ),
    (
        lambda: draw(**USUAL | {"head_tube": "6 in"}),
        "The head_tube must be a finite number in mm; got '6 in'.",
    ),
    (
        lambda: draw(
            **without("wheel_radius"), rear_radius=340.0, front_radius=340.0, wheel_radius=340.0
        ),
        "The wheels must be given once; got wheel_radius and rear_radius.",
    ),
    (
        lambda: draw(**without("front_centre"), wheelbase="1 m"),
        "The wheelbase must be a finite number in mm; got '1 m'.",
    ),
    (
        lambda: draw(**without("front_centre"), reach=float("nan")),
        "The reach must be a finite number in mm; got nan.",
    ),
    (
        lambda: draw(),
        "The dimensions given must fix the frame; got none.",
    ),
    (
        lambda: draw(bb_drop=70.0),
        "The dimensions given must fix the frame; still free: seat_angle_deg, head_angle_deg, chainstay, rear_radius, front_radius, fork_length, fork_offset, lower_stack, head_tube, seat_tube, front_centre, wheelbase, stack, reach, top_tube_level, bb_height, trail, mechanical_trail, wheel_flop.",
    ),
    (
        lambda: draw(trail=60.0),
        "The dimensions given must fix the frame; still free: seat_angle_deg, head_angle_deg, chainstay, bb_drop, rear_radius, front_radius, fork_length, fork_offset, lower_stack, head_tube, seat_tube, front_centre, wheelbase, stack, reach, top_tube_level, bb_height, mechanical_trail, wheel_flop.",
    ),
    (
        lambda: draw(**USUAL, fork_rake=45.0),
        "A dimension must be one of seat_angle_deg, head_angle_deg, chainstay, bb_drop, rear_radius, front_radius, fork_length, fork_offset, lower_stack, head_tube, seat_tube, front_centre, wheelbase, stack, reach, top_tube_level, bb_height, trail, mechanical_trail, wheel_flop, wheel_radius; got 'fork_rake'.",
    ),
    (
        lambda: draw(**without("front_centre")),
        "The dimensions given must fix the frame; still free: front_centre, wheelbase, reach, top_tube_level.",
    ),
    (
        lambda: draw(**without("front_centre", "seat_tube")),
        "The dimensions given must fix the frame; still free: seat_tube, front_centre, wheelbase, reach, top_tube_level.",
    ),
    (
        lambda: draw(**without("wheel_radius")),
        "The dimensions given must fix the frame; still free: rear_radius, front_radius, wheelbase, stack, reach, top_tube_level, bb_height, trail, mechanical_trail, wheel_flop.",
    ),
    (
        lambda: draw(**without("front_centre"), stack=560.0),
        "The dimensions given must fix the frame; still free: front_centre, wheelbase, reach, top_tube_level. head_angle_deg, bb_drop, rear_radius, front_radius, fork_length, fork_offset, lower_stack, head_tube, stack hang together and count for less.",
    ),
    (
        lambda: draw(**USUAL, wheelbase=1010.0),
        "The dimensions must not contradict each other; got chainstay, bb_drop, rear_radius, front_radius, front_centre, wheelbase: wheelbase is 1010 but follows from the others as 1014.521, 4.521 less.",
    ),
    (
        lambda: draw(**without("front_centre"), wheelbase=1010.0, reach=400.0),
        "The dimensions must not contradict each other; got head_angle_deg, chainstay, bb_drop, fork_length, fork_offset, lower_stack, head_tube, wheelbase, reach: reach is 400 but follows from the others as 379.8462, 20.15 more.",
    ),
    (
        lambda: draw(**USUAL, trail=55.0, mechanical_trail=57.0),
        "The dimensions must not contradict each other; got head_angle_deg, front_radius, fork_offset, trail, mechanical_trail: trail is 55 but follows from the others as 61.05397, 6.054 less; mechanical_trail is 57 but follows from the others as 58.06578, 1.066 less.",
    ),
    (
        lambda: draw(**without("front_centre"), wheelbase=400.0),
        "The front axle must lie ahead of the bottom bracket; got -18.85678 mm ahead.",
    ),
    (
        lambda: draw(**without("head_angle_deg"), trail=300.0),
        "The dimensions must belong to a frame that can exist; got some from which it follows otherwise. The head angle must lie between 45° and 90° from the horizontal; got 42.62671°.",
    ),
    (
        lambda: draw(**without("bb_drop"), wheelbase=1010.0),
        "The dimensions must fit one frame only; got two that have them: bb_drop 86.0357 or -86.0357.",
    ),
    (
        lambda: draw(**without("chainstay"), wheelbase=590.0),
        "The dimensions must belong to a frame that can exist; none has wheelbase 590 with the others given (the nearest found has wheelbase 595.664).",
    ),
    (
        lambda: draw(**without("head_angle_deg"), trail=[57.0, 300.0]),
        "The dimensions must belong to a frame that can exist; got some from which it follows otherwise. The head angle must lie between 45° and 90° from the horizontal; got 42.62671°.",
    ),
    (
        lambda: draw(
            **without("head_angle_deg", "front_centre"), trail=57.0, stack=560.0, reach=390.0
        ),
        "The dimensions must not contradict each other; got bb_drop, rear_radius, front_radius, fork_length, fork_offset, lower_stack, head_tube, trail, stack: trail is 57 but follows from the others as 77.76436, 20.76 less; stack is 560 but follows from the others as 572.5656, 12.57 less.",
    ),
    (  # no two of the three agree, so nothing follows from the others
        lambda: draw(**without("head_angle_deg"), trail=57.0, stack=560.0, mechanical_trail=40.0),
        "The dimensions must not contradict each other; got bb_drop, rear_radius, front_radius, fork_length, fork_offset, lower_stack, head_tube, trail, stack, mechanical_trail.",
    ),
    (
        lambda: draw(**without("front_centre"), reach=-600.0),
        "The front axle must lie ahead of the bottom bracket; got -388.703 mm ahead.",
    ),
    (
        lambda: draw(**without("head_tube"), stack=380.0),
        "The dimensions must belong to a frame that can exist; got some from which it follows otherwise. The head_tube must be greater than 0; got -54.99881 mm.",
    ),
    (
        lambda: draw(**without("front_centre"), top_tube_level=[555.0, -300.0]),
        "The front axle must lie ahead of the bottom bracket; got -263.0337 mm ahead.",
    ),
    (
        lambda: draw(**USUAL).sensitivity("trail", "reach"),
        "The dimension to change must be one the frame was drawn from, seat_angle_deg, head_angle_deg, chainstay, bb_drop, wheel_radius, fork_length, fork_offset, lower_stack, head_tube, seat_tube, front_centre; got 'reach'.",
    ),
    (
        lambda: draw(**USUAL).toe_clearance(-170.0, 90.0),
        "The crank must be 0 or more; got -170 mm.",
    ),
    (
        lambda: draw(**USUAL).toe_clearance(170.0, -90.0),
        "The foot must be 0 or more; got -90 mm.",
    ),
    (
        lambda: draw(**USUAL).joints,
        "The tubes must be placed before there are joints; got none.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, 14.0)),
        "The top tube must be given by one of below_seat_top and slope_deg; got neither.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, 14.0, 30.0, 0.0)),
        "The top tube must be given by one of below_seat_top and slope_deg; got both.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, -1.0, 30.0)),
        "The below_head_top must be 0 or more; got -1 mm.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, 14.0, slope_deg=45.0)),
        "The top tube must slope by less than 45°; got 45°.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, 14.0, slope_deg=-45.0)),
        "The top tube must slope by less than 45°; got -45°.",
    ),
    (
        lambda: place(top_tube=TopTube(0.0, 14.0, 30.0)),
        "The top_tube must be greater than 0; got 0 mm.",
    ),
    (
        lambda: place(down_tube=DownTube(34.9, -1.0)),
        "The above_head_bottom must be 0 or more; got -1 mm.",
    ),
    (
        lambda: place(down_tube=DownTube(95.0, 11.0)),
        "The head tube must be long enough for both tubes; got the down tube 23.07221 mm into the top tube on its rear.",
    ),
    (
        lambda: place(chainstay=Chainstay(0.0, 46.0, 126.0)),
        "The chainstay must be greater than 0; got 0 mm.",
    ),
    (
        lambda: place(seatstay=Seatstay(-16.0, 30.0, 126.0, 45.0)),
        "The seatstay must be greater than 0; got -16 mm.",
    ),
    (
        lambda: place(head_tube=0.0),
        "The head_tube must be greater than 0; got 0 mm.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, 14.0, slope_deg=0.0)),
        "The top tube must meet the seat tube below its top; got 21.57106 mm above it.",
    ),
    (
        lambda: draw(**{**USUAL, "seat_tube": 1e-9}).place(
            top_tube=TopTube(28.6, 14.0, 30.0), down_tube=DownTube(34.9, 11.0)
        ),
        "The seat tube must have a length; got 1e-09 mm.",
    ),
    (
        lambda: place(down_tube=DownTube(1400.0, 12.0)),
        "The down tube must reach from the shell to the head tube; got an axis 700 mm off the tube's lower edge, which is 598.9404 mm away at the head tube.",
    ),
    (
        lambda: place(chainstay=Chainstay(22.2, 44.0, 114.0, above_shell=500.0)),
        "A chainstay must pass nearer to the shell than its axle is; got an axis 500 mm off the shell's, with the axle 425 mm away.",
    ),
    (
        lambda: place(top_tube=TopTube(28.6, 14.0, -2.0)),
        "The below_seat_top must be 0 or more; got -2 mm.",
    ),
    (
        lambda: skeleton(draw(**USUAL), dict.fromkeys(TUBES, TUBE)),
        "The frame must have its tubes and stays placed; got one without.",
    ),
    (
        lambda: skeleton(place(), dict.fromkeys(TUBES, TUBE)),
        "The frame must have its tubes and stays placed; got one without.",
    ),
    (
        lambda: skeleton(place(**STAYS), {"top_tube": TUBE}),
        "Every tube must have a section; got none for down_tube, seat_tube, head_tube, shell, chainstay, seatstay, fork.",
    ),
    (
        lambda: skeleton(
            place(chainstay=STAYS["chainstay"], seatstay=Seatstay(16.0, 30.0, 130.0, 45.0)),
            dict.fromkeys(TUBES, TUBE),
        ),
        "The chainstay and the seatstay of a side must meet at the axle; got 126 mm and 130 mm apart_at_axle.",
    ),
    (
        lambda: seat_load(draw(**USUAL), -1200.0),
        "The force must be greater than 0; got -1200 N.",
    ),
    (lambda: pedal(0.0), "The force must be greater than 0; got 0 N."),
    (
        lambda: pedal(1000.0, crank=0.0),
        "The crank must be greater than 0; got 0 mm.",
    ),
    (lambda: pedal(1000.0, tie=0.0), "The tie must be greater than 0; got 0 mm."),
    (
        lambda: front_hit(float("inf")),
        "The force must be a finite number in N; got inf.",
    ),
    (
        lambda: settings(draw(**USUAL), rail=-100.0),
        "The rail must be 0 or more; got -100 mm.",
    ),
    (
        lambda: settings(draw(**USUAL)).cone_tips(0.0, 60.0),
        "The bore must be greater than 0; got 0 mm.",
    ),
    (
        lambda: settings(draw(**USUAL)).cone_tips(32.0, 0.0),
        "The cone's angle must lie between 0° and 180°; got 0°.",
    ),
    (
        lambda: settings(draw(**USUAL)).cone_tips(32.0, 180.0),
        "The cone's angle must lie between 0° and 180°; got 180°.",
    ),
    (
        lambda: built(
            draw(**USUAL), replace(settings(draw(**USUAL)), high_face=100.0, low_face=100.0)
        ),
        "The upper face must lie above the lower; got 100 mm and 100 mm.",
    ),
    (
        lambda: error_budget(draw(**USUAL), {"top_tube": 0.1}, "trail"),
        "The setting must be one that shapes the frame, rear_back, rear_up, seat_angle_deg, head_angle_deg, head_ahead, low_face, high_face, fork_length, fork_offset, lower_stack, rear_radius, front_radius; got 'top_tube'.",
    ),
    (
        lambda: error_budget(draw(**USUAL), {"rear_up": -0.1}, "trail"),
        "The error of rear_up must be 0 or more; got -0.1 mm.",
    ),
    (
        lambda: solve(ENDS, {}, {}, {}),
        "A frame must have at least one member; got none.",
    ),
    (
        lambda: solve(ENDS, {"m": Member("a", "c", TUBE)}, {}, {}),
        "The member must run between joints that exist; got 'c' in member 'm'.",
    ),
    (
        lambda: solve(ENDS | {"c": (0, 0, 9)}, ARM, {"a": "fixed"}, {}),
        "A joint must have a member; got none at 'c'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"c": "fixed"}, {}),
        "The support must be at a joint that exists; got 'c'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {"c": (0, 1, 0)}),
        "The load must be at a joint that exists; got 'c'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {}, spread={"n": (0, 1, 0)}),
        "The spread load must lie on a member that exists; got 'n'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "clamped"}, {}),
        "A support must be 'fixed', 'pinned' or name ways among x y z turn_x turn_y turn_z; got 'clamped' at joint 'a'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": {"tilt": 0.0}}, {}),
        "A support must be 'fixed', 'pinned' or name ways among x y z turn_x turn_y turn_z; got 'tilt' at joint 'a'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {"b": (0, 1)}),
        "The load on joint 'b' must be 3 or 6 finite numbers along its last axis; got shape (2,).",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {"b": (0, float("nan"), 0)}),
        "The load on joint 'b' must be 3 or 6 finite numbers along its last axis; got a value that is not finite.",
    ),
    (
        lambda: solve({"a": (0, 0), "b": (600, 0)}, ARM, {"a": "fixed"}, {}),
        "The position of joint 'a' must be 3 finite numbers along its last axis; got shape (2,).",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {"b": 5.0}),
        "The load on joint 'b' must be 3 or 6 finite numbers along its last axis; got shape ().",
    ),
    (
        lambda: solve({"a": (1, 2, 3), "b": (1, 2, 3)}, ARM, {"a": "fixed"}, {}),
        "The member must have a length; got 0 mm for 'm'.",
    ),
    (
        lambda: solve(ENDS, STRUT, {"a": "pinned", "b": "y z"}, {"b": (1, 0, 0, 0, 0, 5)}),
        "A moment must act on a joint with a stiff member; got one on 'b', where all are pinned.",
    ),
    (
        lambda: solve(ENDS, STRUT, {"a": "pinned", "b": "y z"}, {}, spread={"m": (0, 1, 0)}),
        "A spread load must lie on a member with stiff ends; got pinned member 'm'.",
    ),
    (
        lambda: solve(ENDS, {"m": Member("a", "b", TUBE, side=(2, 0, 0))}, {"a": "fixed"}, {}),
        "The side of a member must not lie along it; got (2, 0, 0) for 'm'.",
    ),
    (
        lambda: solve(ENDS, {"m": Member("a", "b", LONG)}, {"a": "fixed"}, {}),
        "The butted tube must lie within its member; got 5 mm beyond a joint of 'm'.",
    ),
    (
        lambda: solve(ENDS, {"m": Member("a", "b", SHORT, tube_from=-5.0)}, {"a": "fixed"}, {}),
        "The butted tube must lie within its member; got 5 mm beyond a joint of 'm'.",
    ),
    (
        lambda: solve(ENDS, {"m": Member("a", "b", SHORT, tube_from=210.0)}, {"a": "fixed"}, {}),
        "The butted tube must lie within its member; got 10 mm beyond a joint of 'm'.",
    ),
    (
        lambda: solve(
            ENDS, {"m": Member("a", "b", Oval(30.0, 20.0, 0.9), shear=True)}, {"a": "fixed"}, {}
        ),
        "A member that yields in shear must be round, butted or a Section; got an Oval.",
    ),
    (
        lambda: solve(
            ENDS, {"m": Member("a", "b", MemberSection(1, 1, 1, 1), shear=True)}, {"a": "fixed"}, {}
        ),
        "A section that yields in shear must have shear_y and shear_z; got None.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "pinned", "b": "pinned"}, {}),
        "The frame must be held so that no joint moves without bending a tube; joint 'a' turns freely about x, 1 such motion in all.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {}).section_forces("m", 601.0),
        "The place along a member must lie on it, 0 to 600 mm; got 601 mm.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {}).stress("m", -1.0, 0),
        "The place along a member must lie on it, 0 to 600 mm; got -1 mm.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {}).stress("n", 0, 0),
        "The member must be one of m; got 'n'.",
    ),
    (
        lambda: solve(ENDS, ARM, {"a": "fixed"}, {}).worst("n"),
        "The member must be one of m; got 'n'.",
    ),
]


@pytest.mark.parametrize(("call", "rule"), REFUSED, ids=range(len(REFUSED)))
def test_refusal(call, rule):
    with pytest.raises(ValueError) as refusal:
        call()
    assert str(refusal.value).startswith(f"{rule} ")  # a cure follows, in words that may change
