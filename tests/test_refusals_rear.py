"""Refused calls of stays and the rear triangle, with rule and value."""

import re

import numpy as np
import pytest

from coursekit import rear, stays
from coursekit.stays.oval_distance import from_ellipse
from coursekit.stays.vectors import point

NAN = float("nan")
AXLE = (-419.2, 70.0)
PLATE = rear.Dropout(6.0, rear.Tab(32.0, -9.5, 12.0), rear.Tab(28.0, 62.0, 10.0))
SEAT = stays.rod("seat_tube", (0, 0, 0), (-163.7, 535.5, 0), 28.6, stays.REAR)
SHELL = stays.rod("shell", (0, 0, -34), (0, 0, 34), 40.0)
ROUND = stays.Taper((0.0,), (20.0,))
TYRE = rear.Tyre(AXLE, 340.0, 50.0)


def stay(bends=(), taper=ROUND):
    return stays.between("right_chainstay", (0, 0, 20), (-400, 66.7, 68), taper, bends)


def line(bends=(), length=400.0, zero=(0, -1, 0), ninety=(0, 0, 1)):
    return stays.CentreLine((0, 0, 20), (-1, 0, 0), length, bends, zero, ninety)


REAR_END = rear.RearEnd(AXLE, PLATE, 130.0)


CUT = stays.cut_end(stay(), {"shell": SHELL})

REFUSED = {
    # stays
    "The start must have x, y and z": [
        (lambda: stays.between("right_stay", (0, 0), (-400, 0, 0), ROUND), "2 numbers"),
        (lambda: point("start", 3.0), "1 numbers"),
    ],
    "The start must be a finite number in mm": [
        (lambda: stays.rod("x", (0, NAN, 0), (1, 0, 0), 20.0), "nan"),
    ],
    "The direction must point somewhere": [
        (lambda: stays.rod("x", (1, 2, 3), (1, 2, 3), 20.0), "0 mm"),
        (lambda: stays.CentreLine((0, 0, 0), (0, 0, 0), 10.0, (), (0, 1, 0)), "0 mm"),
    ],
    "The normal must point somewhere": [(lambda: stays.Plane((0, 0, 0), (0, 0, 0)), "0 mm")],
    "The line 0° must lie beside the tube's axis": [(lambda: line(zero=(1, 0, 0)), "along it")],
    "The line 90° must lie beside the line 0° and the tube's axis": [
        (lambda: line(ninety=(0, 1, 0)), "along one of them"),
        (lambda: line(ninety=(1, 0, 0)), "along one of them"),
    ],
    "The length must be greater than 0": [(lambda: line(length=0.0), "0 mm")],
    "The bend's radius must be greater than 0": [
        (lambda: stays.Bend(10.0, 0.0, 5.0), "0 mm"),
        (lambda: stays.s_bend(10.0, -80.0, 5.0), "-80 mm"),
        (lambda: stays.s_bend_offset([80.0, 0.0], 5.0), "0 mm"),
    ],
    "The bend must turn the tube by more than 0° and less than 180°": [
        (lambda: stays.Bend(10.0, 80.0, 0.0), "0°"),
        (lambda: stays.Bend(10.0, 80.0, 180.0), "180°"),
        (lambda: stays.s_bend(10.0, 80.0, -5.0), "-5°"),
    ],
    "The bends must follow each other on the tube": [
        (lambda: line((stays.Bend(50.0, 100.0, 30.0), stays.Bend(60.0, 100.0, 5.0))), "60 mm where 102.3599 mm"),
        (lambda: line((stays.Bend(-5.0, 100.0, 30.0),)), "-5 mm where 0 mm"),
    ],
    "The bends must end on the tube": [
        (lambda: line((stays.Bend(390.0, 100.0, 30.0),)), "442.3599 mm on 400 mm")
    ],
    "The place must lie on a straight piece of the tube": [
        (lambda: line((stays.Bend(100.0, 100.0, 30.0),)).straight_at(120.0), "120 mm in the bend from 100 mm"),
        (lambda: rear.bridge(stay((stays.Bend(100.0, 100.0, 10.0),)), 105.0, 10.0), "105 mm in the bend"),
    ],
    "The bend must be wider than half the tube": [
        (lambda: stay((stays.Bend(50.0, 10.0, 20.0),)), "10 mm for a half of 10 mm")
    ],
    "The bends must leave a straight piece to the end": [
        (lambda: stay((stays.Bend(100.0, 1500.0, 14.0),)), "away over 408.3539 mm")
    ],
    "The straight piece must be 0 or more": [
        (lambda: stays.s_bend(10.0, 80.0, 5.0, straight=-1.0), "-1 mm"),
        (lambda: stays.s_bend_angle_deg(5.0, 80.0, -1.0), "-1 mm"),
    ],
    "The angle must lie between 0° and 90°": [(lambda: stays.s_bend_offset(80.0, [10.0, 95.0]), "95°")],
    "The S-bend must move the tube by no more than 2R + L": [
        (lambda: stays.s_bend_angle_deg([5.0, 300.0], 80.0, 30.0), "300 mm for 190 mm")
    ],
    "The taper must have a place": [(lambda: stays.Taper((), ()), "none")],
    "The taper must have as many widths as places": [
        (lambda: stays.Taper((0.0, 100.0), (20.0,)), "1 for 2")
    ],
    "The taper must have as many depths as places": [
        (lambda: stays.Taper((0.0,), (20.0,), (20.0, 16.0)), "2 for 1")
    ],
    "The places must rise along the tube": [
        (lambda: stays.Taper((0.0, 50.0, 50.0), (20.0, 18.0, 16.0)), "50 mm after 50 mm")
    ],
    "The width must be greater than 0": [
        (lambda: stays.Taper((0.0, 50.0), (20.0, 0.0)), "0 mm"),
        (lambda: stay().bore(10.0), "0 mm"),
    ],
    "The depth must be greater than 0": [(lambda: stays.Taper((0.0,), (20.0,), (-1.0,)), "-1 mm")],
    "The wall must be greater than 0": [(lambda: stay().bore(0.0), "0 mm")],
    "The dimple's depth must be greater than 0": [(lambda: stays.Dimple(50.0, 60.0, 0.0, 270.0), "0 mm")],
    "The dimple's length must be greater than 0": [(lambda: stays.Dimple(50.0, 0.0, 3.0, 270.0), "0 mm")],
    "The dimple must not reach past the middle of the tube": [
        (lambda: stays.Taper((0.0,), (20.0,), (30.0,), (stays.Dimple(50.0, 60.0, 10.0, 270.0),)), "10 mm into a half of 10 mm")
    ],
    "The stay's name must begin with its side, right or left": [
        (lambda: stays.rod("bridge", (0, 0, 9), (0, 0, -9), 12.0).mirrored(), "'bridge'"),
        (lambda: stays.rod("right_", (0, 0, 9), (0, 0, -9), 12.0).mirrored(), "'right_'"),
    ],
    "The half axis must be greater than 0": [(lambda: from_ellipse(1.0, 1.0, [5.0, 0.0], 4.0), "0 mm")],
    "The end must be 'a' or 'b'": [
        (lambda: stays.cut_end(stay(), {"shell": SHELL}, "c"), "'c'"),
        (lambda: stays.capped(stay(), 30.0, 0.0, "c"), "'c'"),
        (lambda: rear.toe_in_deg(stay(), ""), "''"),
    ],
    "The stations must be a whole number, 2 or more": [
        (lambda: stays.cut_end(stay(), {"shell": SHELL}, stations=1), "1"),
        (lambda: stays.cut_end(stay(), {"shell": SHELL}, stations=9.5), "9.5"),
    ],
    "The cut stay must lie within the width of what it meets": [
        (lambda: stays.cut_end(stay(), {"bar": stays.rod("bar", (0, 0, -34), (0, 0, 34), 16.0)}), "0°"),
        (lambda: rear.bridge(stay(), 90.0, 24.0), "a line at"),
        (lambda: rear.into_seat_tube(SEAT, 40.0, REAR_END, ROUND, 24.0), "a line at"),
    ],
    "The stay must come from outside of what it meets": [
        (lambda: stays.cut_end(stay(), {"hub": stays.rod("hub", (-400, 66.7, -99), (-400, 66.7, 99), 50.0)}), "inside at its far end")
    ],
    "The ring must lie beyond the short point": [
        (lambda: stays.template(stay(), CUT, 19.0), "19 mm for 21.3"),
    ],
    "The template must lie on a straight piece without a dimple": [
        (lambda: stays.template(stay((stays.Bend(40.0, 100.0, 5.0),)), CUT, 60.0), "40 mm to 48.72665 mm is not"),
        (lambda: stays.template(stay(taper=stays.Taper((0.0,), (20.0,), (), (stays.Dimple(60.0, 40.0, 3.0, 270.0),))), CUT, 60.0), "40 mm to 80 mm is not"),
    ],
    "The line must lie between 0° and 360°": [(lambda: stays.template(stay(), CUT, 60.0).line(-1.0), "-1°")],
    "The angle must be greater than 0° and at most 90°": [
        (lambda: stays.capped(stay(), 0.0, 180.0), "0°"),
        (lambda: stays.cap_size(16.0, [30.0, 91.0]), "91°"),
        (lambda: rear.tacked(SEAT, 40.0, REAR_END, ROUND, 120.0), "120°"),
    ],
    "The cut must pass through both sides of the tube": [
        (lambda: stays.cap_size(16.0, 1.0, growth=0.1), "1° in a taper of 2.862405° a side")
    ],
    # dropouts and axles
    "The axle's spacing must be greater than 0": [(lambda: rear.Axle(0.0, 10.0, "slot", ""), "0 mm")],
    "The axle's diameter must be greater than 0": [(lambda: rear.Axle(130.0, -1.0, "slot", ""), "-1 mm")],
    "The axle must be of a known kind, slot or through": [(lambda: rear.Axle(130.0, 10.0, "bolt", ""), "'bolt'")],
    "The dropout must be of a known kind, slot or through": [
        (lambda: rear.Dropout(6.0, PLATE.chainstay, PLATE.seatstay, "hook"), "'hook'")
    ],
    "The plate's thickness must be greater than 0": [
        (lambda: rear.Dropout(0.0, PLATE.chainstay, PLATE.seatstay), "0 mm"),
        (lambda: rear.slot_width(0.0, 5.0, 12.0), "0 mm"),
    ],
    "The tab's length must be greater than 0": [(lambda: rear.Tab(0.0, 5.0), "0 mm")],
    "The slot must be 0 or more": [
        (lambda: rear.Tab(30.0, 5.0, -2.0), "-2 mm"),
        (lambda: rear.slot_width(6.0, 5.0, -12.0), "-12 mm"),
    ],
    "The slot must be less deep than the tab is long": [(lambda: rear.Tab(12.0, 5.0, 12.0), "12 mm in 12 mm")],
    "The seatstay's tab must point higher than the chainstay's": [
        (lambda: rear.Dropout(6.0, PLATE.seatstay, PLATE.chainstay), "-9.5° and 62°")
    ],
    "The hanger must be a finite number in mm": [
        (lambda: rear.Dropout(6.0, PLATE.chainstay, PLATE.seatstay, hanger=(NAN, -28.0)), "nan")
    ],
    "The stay must be named chainstay or seatstay": [
        (lambda: REAR_END.stay_end("fork"), "'fork'")
    ],
    "The side must be right or left": [(lambda: REAR_END.stay_end("chainstay", "drive"), "'drive'")],
    "The spacing must be greater than 0": [
        (lambda: rear.RearEnd(AXLE, PLATE, 0.0), "0 mm"),
    ],
    "The angle to the plate must lie between −90° and 90°": [(lambda: rear.slot_width(6.0, 90.0, 12.0), "90°")],
    # what turns
    "The chainring must have 9 teeth or more, and a whole number": [
        (lambda: rear.pitch_diameter(8), "8"),
        (lambda: rear.tip_diameter([42, 41.5]), "41.5"),
        (lambda: rear.Chainring(0, 45.0), "0"),
    ],
    "The chainring must be a finite number in teeth": [(lambda: rear.pitch_diameter("42"), "'42'")],
    "The pitch must be greater than 0": [(lambda: rear.pitch_diameter(42, 0.0), "0 mm")],
    "The roller must be greater than 0": [(lambda: rear.tip_limits(42, roller=0.0), "0 mm")],
    "The chainline must be greater than 0": [(lambda: rear.Chainring(42, -45.0), "-45 mm")],
    "The chainring's thickness must be greater than 0": [(lambda: rear.Chainring(42, 45.0, 0.0), "0 mm")],
    "The tyre's width must be greater than 0": [(lambda: rear.Tyre(AXLE, 340.0, 0.0), "0 mm")],
    "The tyre must be less wide than its wheel is high": [(lambda: rear.Tyre(AXLE, 340.0, 340.0), "340 mm of a radius of 340 mm")],
    "The knobs must be 0 or more": [(lambda: rear.Tyre(AXLE, 340.0, 50.0, -1.0), "-1 mm")],
    "The crank must stand away from the frame's plane": [(lambda: rear.Crank(170.0, -5.0, 60.0), "-5 mm")],
    "The crank must be greater than 0": [(lambda: rear.Crank(0.0, 50.0, 60.0), "0 mm")],
    "The crank's side must be right or left": [(lambda: rear.Crank(170.0, 50.0, 60.0, side="drive"), "'drive'")],
    "The shoe must stand away from the frame's plane": [(lambda: rear.Heel(170.0, 160.0, 500.0), "500 mm")],
    "The shoe's side must be right or left": [(lambda: rear.Heel(170.0, 160.0, 95.0, side="both"), "'both'")],
    "The way to the heel must be greater than 0": [(lambda: rear.Heel(170.0, 0.0, 95.0), "0 mm")],
    "The profile must have three corners or more": [(lambda: rear.Turned((0, 0), ((0, 1), (2, 1))), "2")],
    "The profile must be convex": [
        (lambda: rear.Turned((0, 0), ((0, 0), (9, 0), (2, 1), (9, 9), (0, 9))), "a corner that turns back")
    ],
    # places and rooms
    "The distance apart at the shell must be greater than 0": [
        (lambda: rear.chainstay(REAR_END, 0.0, ROUND), "0 mm")
    ],
    "The chainstay must pass nearer to the shell's axis than its end is": [
        (lambda: rear.chainstay(REAR_END, 40.0, ROUND, above_shell=500.0), "500 mm off it with the end 405.0")
    ],
    "The shell's width must be greater than 0": [(lambda: rear.shell_land(stay(), 40.0, 0.0), "0 mm")],
    "The stay must not run straight across the frame": [
        (lambda: rear.slot_lines_deg(stays.rod("x", (0, 0, 9), (0, 0, -9), 12.0)), "one that does")
    ],
    "The piece of stay must begin before it ends, and lie on the stay": [
        (lambda: rear.room(stay(), TYRE, 50.0, 40.0), "50 mm to 40 mm on 408.3539 mm"),
        (lambda: rear.room(stay(), TYRE, 0.0, 500.0), "0 mm to 500 mm"),
    ],
    "The stay must be the one on the right": [(lambda: rear.apart(stay().mirrored()), "'left_chainstay'")],
    "The rooms must be between something": [(lambda: rear.rooms({}, {"tyre": TYRE}), "no stay")],
    "The wanted room must lie between what the two ends of the range give": [
        (lambda: rear.for_room(lambda v: stay(taper=stays.Taper((0.0,), (v,))), TYRE, 50.0, 12.0, 20.0), "50 mm, from")
    ],
    "The two ends of the range must lie on both sides of zero": [
        (lambda: rear.zero_of(np.exp, 0.0, 1.0), "got 1 and 2.718282")
    ],
    # seatstays and bridges
    "The stays must begin on the seat tube": [
        (lambda: rear.into_seat_tube(SEAT, 600.0, REAR_END, ROUND, 22.0), "600 mm below the top of 559.9624 mm")
    ],
    "The way below the seat tube's top must be 0 or more": [
        (lambda: rear.against_each_other(SEAT, -1.0, REAR_END, ROUND, 6.0), "-1 mm")
    ],
    "The two stays must lie beside each other": [
        (lambda: rear.into_seat_tube(SEAT, 40.0, REAR_END, ROUND, 19.0), "19 mm apart for 20 mm of stay")
    ],
    "The distance apart must be 0 or more": [(lambda: rear.against_each_other(SEAT, 40.0, REAR_END, ROUND, -6.0), "-6 mm")],
    "The mono-tube must reach past the place where the stays join it": [
        (lambda: rear.into_mono_tube(SEAT, 40.0, REAR_END, ROUND, 25.4, 90.0, 80.0), "80 mm for 90 mm")
    ],
    "The mono-tube must be greater than 0": [
        (lambda: rear.into_mono_tube(SEAT, 40.0, REAR_END, ROUND, 0.0, 70.0, 80.0), "0 mm")
    ],
    "The bridge must sit on the stay": [(lambda: rear.bridge(stay(), -1.0, 12.0), "-1 mm on 408.3539 mm")],
    "The stays must stand apart where the bridge sits": [
        (lambda: rear.bridge(stay().mirrored(), 60.0, 12.0), "got -27.0")
    ],
    "The distance must lie between those of the stay's two ends": [
        (lambda: rear.place_from_axle(stay(), AXLE, 600.0), "600 mm, from 425.0043 mm to 19.48")
    ],
    "The reach must be 0 or more": [(lambda: rear.bolt_from_axle(308.0, [49.0, -1.0]), "-1 mm")],
    "The radius at the pads must be greater than 0": [(lambda: rear.bolt_from_axle(0.0, 49.0), "0 mm")],
    # plan
    "The rear axle must lie behind the bottom bracket": [(lambda: rear.RearEnd((420.0, 70.0), PLATE, 130.0), "420 mm ahead")],
    "The tube must not stand upright in a plan view": [
        (lambda: rear.outline(stays.CutStay(SEAT_UP, stays.cut_end(SEAT_UP), stays.cut_end(SEAT_UP, None, "b"))), "at 0 mm")
    ],
}  # fmt: skip

SEAT_UP = stays.rod("seat_tube", (0, 0, 0), (0, 500, 0), 28.6, stays.REAR)
CALLS = [(rule, call, value) for rule, calls in REFUSED.items() for call, value in calls]


@pytest.mark.parametrize(("rule", "call", "value"), CALLS, ids=[f"{r}-{v}" for r, _, v in CALLS])
def test_refused(rule, call, value):
    with pytest.raises(ValueError, match=f"^{re.escape(rule)}") as caught:
        call()
    text = str(caught.value)
    assert value in text
    assert re.search(r"; got .+\. [A-Z].+\.$", text, re.DOTALL)


@pytest.mark.parametrize(
    "call",
    [
        lambda: stays.Bend(0.0, 80.0, 179.9),
        lambda: line((stays.Bend(0.0, 100.0, 90.0), stays.Bend(157.07963267948966, 100.0, 90.0))),
        lambda: stays.s_bend_offset(80.0, 90.0),
        lambda: stays.s_bend_angle_deg(190.0, 80.0, 30.0),
        lambda: stays.cap_size(16.0, 90.0, 0.1),
        lambda: stays.capped(stay(), 90.0, 0.0),
        lambda: stays.template(stay(), CUT, CUT.short_point + 0.1),
        lambda: rear.Tab(12.0, 5.0, 11.9),
        lambda: rear.bridge(stay(), 90.0, 20.0),
        lambda: rear.into_seat_tube(SEAT, 40.0, REAR_END, stays.Taper((0.0,), (14.0,)), 14.0),
        lambda: rear.room(stay(), TYRE, 0.0, stay().length),
        lambda: rear.slot_width(6.0, -89.0, 0.0),
        lambda: rear.Heel(170.0, 160.0, 0.0),
    ],
)
def test_the_edge_of_what_is_allowed(call):
    call()
