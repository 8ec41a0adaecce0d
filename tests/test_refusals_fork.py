"""Refused calls of the fork, each with the rule it breaks and the value."""

from __future__ import annotations

import re

import pytest

from coursekit import fork
from coursekit.fork import BladeLine, Crown, Dropout
from coursekit.tubes import Round

STEEL = (517.0, 205_000.0)
CROWN, ENDS = Crown(20.0, 62.0), Dropout(22.0, 100.0, 6.0)
BLADE = fork.tapered(380.0, 24.0, 12.0, 180.0, 0.9)
OVAL = fork.Blade((0.0, 180.0, 380.0), (20.0, 20.0, 12.0), (0.9, 0.9, 0.9), (28.0, 28.0, 12.0))
RAKED = fork.raked(380.0, 45.0, CROWN, ENDS, radius=200.0, tail=15.0)
CUT = BLADE.cut(RAKED.blade_length)
NAN, INF = float("nan"), float("inf")
AT = fork.levers(380.0, 45.0, 72.0)

REFUSED = {
    "The straight before the bend must be 0 or more": [
        (lambda: BladeLine(-1.0, 200.0, 30.0, 20.0), "-1 mm"),
        (lambda: fork.bend_to(120.0, 45.0, radius=250.0, tail=0.0), "-23.09088 mm"),
    ],
    "The straight after the bend must be 0 or more": [
        (lambda: BladeLine(250.0, 200.0, 30.0, -2.0), "-2 mm"),
        (lambda: fork.bend_to(372.0, 46.0, radius=210.0, start=240.0, reach=22.0), "-7.167603 mm"),
    ],
    "The radius of the bend must be greater than 0": [
        (lambda: BladeLine(250.0, 0.0, 30.0, 20.0), "0 mm"),
        (lambda: fork.bend_to(370.0, 45.0, radius=-200.0, tail=0.0), "-200 mm"),
    ],
    "The bend must turn the blade by 0° or more and less than 90°": [
        (lambda: BladeLine(250.0, 200.0, 90.0, 20.0), "90°"),
        (lambda: BladeLine(250.0, 200.0, -3.0, 20.0), "-3°"),
    ],
    "The place must lie on the blade": [
        (lambda: BladeLine(250.0, 200.0, 0.0, 20.0).at(271.0), "271 mm of 270 mm"),
        (lambda: BLADE.depth_at(-1.0), "-1 mm of 380 mm"),
        (lambda: BLADE.section_at([0.0, 381.0]), "381 mm of 380 mm"),
    ],
    "The bend must be given by two of radius, start and tail": [
        (lambda: fork.bend_to(370.0, 45.0), "none"),
        (lambda: fork.bend_to(370.0, 45.0, tail=0.0), "tail"),
        (lambda: fork.raked(380.0, 45.0, CROWN, ENDS, radius=200.0, start=1.0, tail=0.0), "radius and start and tail"),
    ],
    "The axle must lie as far ahead as the dropout alone brings it": [
        (lambda: fork.bend_to(370.0, -1.0, radius=200.0, tail=0.0), "-1 mm against 0 mm"),
        (lambda: fork.bend_to(370.0, 5.0, radius=200.0, tail=0.0, beside=9.0), "5 mm against 9 mm"),
    ],
    "The blade must be able to reach the axle": [
        (lambda: fork.bend_to(370.0, 450.0, radius=200.0, tail=0.0), "none that brings it 450 mm ahead with this bend"),
        (lambda: fork.bend_to(370.0, 45.0, radius=200.0, start=370.0), "none that brings it 45 mm ahead with this bend"),
        (lambda: fork.bend_to(370.0, 0.0, start=250.0, tail=10.0), "none that brings it 0 mm ahead with this bend"),
    ],
    "The sockets must lean by less than 45°": [
        (lambda: Crown(20.0, 62.0, angle_deg=45.0), "45°"),
        (lambda: fork.straight(100.0, 95.0, Crown(20.0, 106.0), Dropout(0.0, 100.0, 6.0)), "83.2613°"),
    ],
    "The spread of the blades must be greater than 0": [(lambda: Crown(20.0, 0.0), "0 mm")],
    "The reach of the dropout must be 0 or more": [(lambda: Dropout(-1.0, 100.0, 6.0), "-1 mm")],
    "The thickness of the dropout must be greater than 0": [(lambda: Dropout(22.0, 100.0, 0.0), "0 mm")],
    "The tab of the dropout must be 0 or more": [(lambda: Dropout(22.0, 100.0, 6.0, tab=-1.0), "-1 mm")],
    "The straight part must be shorter than the blade": [
        (lambda: fork.tapered(380.0, 24.0, 12.0, 380.0, 0.9), "380 mm of 380 mm"),
    ],
    "The tip must not be wider than the top": [
        (lambda: fork.tapered(380.0, 12.0, 24.0, 180.0, 0.9), "24 mm and 12 mm"),
    ],
    "The places must rise from 0 along the blade": [
        (lambda: fork.Blade((0.0, 100.0, 100.0), (24.0, 24.0, 12.0), (0.9, 0.9, 0.9)), "100 mm after 100 mm"),
        (lambda: fork.Blade((5.0, 100.0), (24.0, 12.0), (0.9, 0.9)), "5 mm after 0 mm"),
    ],
    "The blade must have as many walls as places": [
        (lambda: fork.Blade((0.0, 100.0), (24.0, 12.0), (0.9,)), "1 for 2"),
    ],
    "The blade must have as many widths as places": [
        (lambda: fork.Blade((0.0,), (24.0,), (0.9,)), "1 for 1"),
    ],
    "The blade must have as many depths as places": [
        (lambda: fork.Blade((0.0, 100.0), (20.0, 12.0), (0.9, 0.9), (28.0,)), "1 for 2"),
    ],
    "The wall must be at most half the diameter": [
        (lambda: fork.tapered(380.0, 24.0, 12.0, 180.0, 0.9, tip_wall=7.0), "7 mm in a 12 mm tube"),
    ],
    "The blade must be long enough for the piece": [
        (lambda: BLADE.cut(370.0, 20.0), "370 mm and 20 mm off the tip of 380 mm"),
    ],
    "The lower stack must be 0 or more": [(lambda: fork.steerer_length(150.0, -1.0, 60.0), "-1 mm")],
    "The fork must be longer than its offset": [
        (lambda: fork.raked(45.0, 45.0, CROWN, ENDS, radius=200.0, tail=0.0), "a length of 45 mm and an offset of 45 mm"),
        (lambda: fork.levers(40.0, 45.0, 72.0), "a length of 40 mm and an offset of 45 mm"),
    ],
    "The axle must lie below the blades' upper ends": [
        (lambda: fork.straight(380.0, 0.0, Crown(400.0, 62.0), ENDS), "-20 mm below them"),
    ],
    "The dropouts must leave some blade": [
        (lambda: fork.straight(380.0, 0.0, Crown(30.0, 106.0), Dropout(350.0, 100.0, 6.0)), "a reach of 350 mm where 350 mm is all there is"),
    ],
    "The blades must be long enough to reach from the crown's width to the axle's": [
        (lambda: fork.built(Crown(20.0, 306.0), BladeLine(90.0, 1.0, 0.0, 0.0), Dropout(10.0, 100.0, 6.0)), "100 mm of blade for -100 mm sideways"),
    ],
    "The end must be 'tip' or 'top'": [(lambda: fork.uneven(RAKED, 1.0, 311.0, "axle"), "'axle'")],
    "The radius must be greater than 0": [(lambda: fork.uneven(RAKED, 1.0, 0.0), "0 mm")],
    "The radius to stay must be greater than 0": [(lambda: fork.former_radius(0.0, Round(16.0, 1.0), *STEEL), "0 mm")],
    "The former must have a radius": [
        (lambda: fork.former_radius(6.0, Round(16.0, 1.0), *STEEL), "a bend of 6 mm on a tube of 16 mm"),
    ],
    "The yield stress must be greater than 0": [
        (lambda: fork.former_radius(200.0, Round(16.0, 1.0), 0.0, 205e3), "0 MPa"),
        (lambda: fork.wrapped(BLADE, 200.0, 250.0, 300.0, -1.0, 205e3), "-1 MPa"),
    ],
    "The radius of the former must be greater than 0": [
        (lambda: fork.wrapped(BLADE, 0.0, 250.0, 300.0, *STEEL), "0 mm"),
    ],
    "The bend must end below its start and on the blade": [
        (lambda: fork.wrapped(BLADE, 200.0, 300.0, 300.0, *STEEL), "300 mm to 300 mm of 380 mm"),
        (lambda: fork.wrapped(BLADE, 200.0, 300.0, 381.0, *STEEL), "300 mm to 381 mm of 380 mm"),
    ],
    "The blade must be round where it is bent": [
        (lambda: fork.wrapped(OVAL, 200.0, 250.0, 300.0, *STEEL), "22.4 mm by 17.2 mm"),
    ],
    "The former must be able to give the offset": [
        (lambda: fork.wrap_for(BLADE, 60.0, 200.0, 300.0, *STEEL), "60 mm where 13.8 mm is the most"),
    ],
    "The offset of the bend must be greater than 0": [
        (lambda: fork.wrap_for(BLADE, 0.0, 200.0, 300.0, *STEEL), "0 mm"),
    ],
    "The blade must be cut to the bend's length": [
        (lambda: fork.heights(BladeLine(250.0, 200.0, 0.0, 20.0), BLADE, 10.0, 40.0), "380 mm and 270 mm"),
    ],
    "The place must lie under the blade": [
        (lambda: fork.heights(BladeLine(380.0, 1.0, 0.0, 0.0), BLADE, -1.0, 40.0), "-1 mm, from 0 mm to 380 mm"),
    ],
    "The height must be a finite number in mm": [
        (lambda: fork.rake((NAN, 145.0), (55.0, 55.0), 100.0), "nan"),
        (lambda: fork.sideways((150.0, INF), (49.0, 149.0)), "inf"),
    ],
    "The noise must be 0 or more": [
        (lambda: fork.rake((145.0, 145.0), (55.0, 55.0), 100.0, noise=-0.1), "-0.1 mm"),
        (lambda: fork.lean(377.0, 377.0, 106.0, noise=-0.1), "-0.1 mm"),
    ],
    "The distance between the two places must be greater than 0": [
        (lambda: fork.lean(377.0, 377.0, -106.0), "-106 mm"),
    ],
    "The distance on the other side must be greater than 0": [(lambda: fork.lean(377.0, 0.0, 106.0), "0 mm")],
    "The drive side must stand higher when it is up": [
        (lambda: fork.sideways((150.0, 50.0), (149.0, 49.0)), "49 mm and 149 mm"),
    ],
    "The two blades must have one height for each place": [
        (lambda: fork.pair([0.0, 1.0], [1.0, 2.0, 3.0], [1.0, 2.0, 3.0]), "3 and 3 heights at 2 places"),
    ],
    "The readings must outnumber the unknowns": [
        (lambda: fork.pair([0.0, 100.0], [52.0, 52.1], [52.0, 52.0]), "2 for 2"),
    ],
    "The blade must be cut to the fork's length": [
        (lambda: fork.beside(RAKED, BLADE, 340.0, 32.0), f"380 mm and {RAKED.blade_length:.7g} mm"),
    ],
    "The tyre's width must be less than its radius": [
        (lambda: fork.beside(RAKED, CUT, 340.0, 340.0), "340 mm and 340 mm"),
    ],
    "The width of the tyre must be greater than 0": [(lambda: fork.beside(RAKED, CUT, 340.0, 0.0), "0 mm")],
    "The underside must lie above the axle": [
        (lambda: fork.under_crown(RAKED, 340.0, 380.0, 30.0), f"380 mm against {RAKED.axle_drop:.7g} mm"),
    ],
    "The depth of the crown must be 0 or more": [
        (lambda: fork.under_crown(RAKED, 340.0, 20.0, -30.0), "-30 mm"),
    ],
    "The bead seat must be greater than 0": [(lambda: fork.brake_reach(RAKED, -622.0, 20.0, 0.0), "-622 mm")],
    "The boss must lie on the blade": [
        (lambda: fork.boss_place(RAKED, 30.0), "-12 mm from the axle, where the blade reaches from 22 mm to 360.1 mm"),
    ],
    "The shoulder must lean out more than the blade below it, and at most 90°": [
        (lambda: fork.shoulder(28.6, 62.0, 91.0), "91° and 0°"),
        (lambda: fork.shoulder(28.6, 62.0, 3.0, splay_deg=3.0), "3° and 3°"),
    ],
    "The shoulder must be long enough to leave the steerer before it bends": [
        (lambda: fork.shoulder(28.6, 28.6, 90.0), "14.3 mm where 14.3 mm lie inside"),
    ],
    "The side must be 'drive side' or 'non-drive side'": [
        (lambda: fork.shoulder(28.6, 80.0, 60.0).joint("right"), "'right'"),
        (lambda: fork.crown_tube_joint(36.0, 3.0, "left"), "'left'"),
    ],
    "The blade must lean out by less than 45°": [
        (lambda: fork.crown_tube_joint(36.0, -45.0, "drive side"), "-45°"),
    ],
    "The crown tube must be greater than 0": [
        (lambda: fork.crown_tube_joint(0.0, 3.0, "drive side"), "0 mm"),
    ],
    "The tubes must turn by more than 0° and less than 180°": [
        (lambda: fork.knee(24.0, 180.0, 270.0), "180°"),
    ],
    "The stations must be a whole number, 2 or more": [
        (lambda: fork.knee(24.0, 60.0, 270.0, stations=1), "1"),
    ],
    "The bead seat must be one of 305, 349, 369, 406, 451, 507, 520, 540, 559, 571, 584, 590, 597, 622, 630, 635": [
        (lambda: fork.TyreSize(32.0, 623), "623 mm"),
        (lambda: fork.tyre_size("32-700"), "700 mm"),
    ],
    "The tyre's size must be width-bead seat in mm": [
        (lambda: fork.tyre_size("28 x 1 5/8"), "'28 x 1 5/8'"),
    ],
    "The height of the tyre must be greater than 0": [
        (lambda: fork.wheel_radius(fork.tyre_size("32-622"), -3.0), "-3 mm"),
    ],
    "The turns must be greater than 0": [(lambda: fork.rolling_radius(2155.0, -1.0), "-1")],
    "The head angle must lie between 45° and 90° from the horizontal": [
        (lambda: fork.levers(380.0, 45.0, 45.0), "45°"),
        (lambda: fork.levers(380.0, 45.0, 91.0), "91°"),
    ],
    "The force up must be a finite number in N": [(lambda: fork.axle_bending(*AT, 0.0, NAN), "nan")],
    "The brake's force must be 0 or more": [
        (lambda: fork.braking_bending(*AT, 340.0, -1.0, 500.0), "-1 N"),
        (lambda: fork.pad_drag(-1.0, 340.0, 311.0), "-1 N"),
    ],
    "The weight on the wheel must be 0 or more": [
        (lambda: fork.braking_bending(*AT, 340.0, 1.0, -500.0), "-500 N"),
    ],
    "The pads must lie nearer to the axle than the tread": [
        (lambda: fork.pad_drag(400.0, 340.0, 340.0), "340 mm against 340 mm"),
    ],
    "The bending must be a finite number in N·mm": [(lambda: fork.blade_stress(INF, Round(24.0, 0.9)), "inf")],
}  # fmt: skip
ROWS = [(call, f"{rule}; got {value}.") for rule, rows in REFUSED.items() for call, value in rows]


@pytest.mark.parametrize(("call", "message"), ROWS, ids=range(len(ROWS)))
def test_refused_with_its_rule_and_the_value(call, message):
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value).startswith(f"{message} ")  # a cure follows, in words that may change


@pytest.mark.parametrize("rule", REFUSED)
def test_every_rule_says_what_must_be(rule):
    assert re.match("The [a-z].* must ", rule)


@pytest.mark.parametrize(
    "call",
    [
        lambda: BladeLine(0.0, 1.0, 0.0, 0.0),
        lambda: fork.tapered(380.0, 24.0, 24.0, 0.0, 12.0),
        lambda: BLADE.cut(380.0),
        lambda: fork.wrapped(BLADE, 200.0, 0.0, 380.0, *STEEL),
        lambda: fork.shoulder(28.6, 80.0, 90.0),
        lambda: fork.levers(380.0, 0.0, 90.0),
        lambda: fork.heights(BladeLine(380.0, 1.0, 0.0, 0.0), BLADE, 380.0, 40.0),
        lambda: fork.beside(RAKED, CUT, 340.0, 339.0),
    ],
)
def test_the_edge_of_what_is_allowed(call):
    call()
