"""Refused calls of units, tubes, miters, sleeves, shells, ovals and brazing, with rule and value."""

import dataclasses
import re

import numpy as np
import pytest

from coursekit import (
    brazing,
    materials,
    miters,
    ovals,
    rules,
    sections,
    shells,
    sleeves,
    tubes,
    units,
    vents,
)
from coursekit.miters import Joint

NAN, INF = float("nan"), float("inf")
LENGTHS = (70.0, 40.0, 320.0, 40.0, 130.0)
TUBE = tubes.Butted(28.6, (0.9, 0.6, 0.9), LENGTHS)

REFUSED = {
    "The length must be a number with mm or in, or a gauge with BWG or SWG": [
        (lambda: units.mm("one inch"), "'one inch'"),
        (lambda: units.mm(""), "''"),
        (lambda: units.mm("1 1/8"), "'1 1/8'"),
        (lambda: units.mm("28,6 mm"), "'28,6 mm'"),
        (lambda: units.mm("nan"), "'nan'"),
        (lambda: units.mm([1.0, "x"]), "'x'"),
    ],
    "The fraction must not divide by zero": [(lambda: units.mm("1/0 in"), "'1/0 in'")],
    "The gauge must name its series": [(lambda: units.mm("20 gauge"), "'20 gauge'")],
    "The gauge must lie between 14 and 26": [
        (lambda: units.mm("30 SWG"), "'30 SWG'"),
        (lambda: units.mm("13 BWG"), "'13 BWG'"),
    ],
    "The length must be a finite number in mm": [
        (lambda: units.mm(None), "None"),
        (lambda: units.mm(NAN), "nan"),
        (lambda: units.mm(True), "True"),
    ],
    "The denominator must be a power of two up to 128": [
        (lambda: units.fraction(28.6, 10), "10"),
        (lambda: units.fraction(28.6, 256), "256"),
    ],
    "The angle must lie between −90° and 90°": [(lambda: units.rise(90.0), "90°")],
    "The run must be greater than 0": [(lambda: units.rise(45.0, 0.0), "0 mm")],
    "The load must be a finite number in N": [
        (lambda: rules.number("load", INF, "N"), "inf"),
        (lambda: rules.number("load", [1.0, [2.0]], "N"), "[1.0, [2.0]]"),
        (lambda: rules.number("load", [1.0, NAN], "N"), "[1.0, nan]"),
        (lambda: rules.number("load", 1j, "N"), "1j"),
    ],
    "The wall must be greater than 0": [
        (lambda: rules.positive("wall", np.array([0.9, 0.0, -1.0])), "0 mm"),
        (lambda: tubes.Round(28.6, 0.0), "0 mm"),
        (lambda: tubes.Oval(30.0, 20.0, -0.9), "-0.9 mm"),
        (lambda: tubes.Butted(28.6, (0.9, 0.0, 0.9), LENGTHS), "0 mm"),
    ],
    "The lap must be 0 or more": [(lambda: rules.not_negative("lap", -0.5), "-0.5 mm")],
    "The wall must be at most half the diameter": [
        (lambda: tubes.Round(0.9, 28.6), "28.6 mm in a 0.9 mm tube"),
        (
            lambda: tubes.Round(np.array([28.6, 31.8]), np.array([0.9, 16.0])),
            "16 mm in a 31.8 mm tube",
        ),
    ],
    "The diameter must be greater than 0": [
        (lambda: tubes.Round(-28.6, 0.9), "-28.6 mm"),
        (lambda: miters.saddle(0.0, 36.0, 60.0), "0 mm"),
        (lambda: vents.round_shell(0.0, 60.0), "0 mm"),
    ],
    "The diameter must be a finite number in mm": [
        (lambda: tubes.Round("28.6 mm", 0.9), "'28.6 mm'")
    ],
    "The density must be greater than 0": [
        (lambda: tubes.Round(28.6, 0.9).grams_per_metre(0.0), "0 g/cm³"),
        (lambda: tubes.Oval(30.0, 20.0, 0.9).grams_per_metre(-1), "-1 g/cm³"),
        (lambda: TUBE.mass(0.0), "0 g/cm³"),
    ],
    "The wall must be less than the tightest outside radius": [
        (lambda: tubes.Oval(30.0, 4.0, 0.9), "a 0.9 mm wall at a radius of 0.2666667 mm"),
        (lambda: tubes.Oval(4.0, 30.0, 0.3), "a 0.3 mm wall at a radius of 0.2666667 mm"),
    ],
    "The depth must be greater than 0": [
        (lambda: tubes.Oval(30.0, 0.0, 0.9), "0 mm"),
        (lambda: sections.ellipse_perimeter(4.0, 0.0), "0 mm"),
    ],
    "The width must be greater than 0": [
        (lambda: tubes.Oval(0.0, 20.0, 0.9), "0 mm"),
        (lambda: sections.ellipse_perimeter(-4.0, 2.0), "-4 mm"),
        (lambda: shells.facing((34.5, 34.5), (0.2, 0.1), 0.0), "0 mm"),
    ],
    "The walls must be three: end a, belly, end b": [
        (lambda: tubes.Butted(28.6, (0.9, 0.6), LENGTHS), "2")
    ],
    "The lengths must be five: butt_a, taper_a, belly, taper_b, butt_b": [
        (lambda: tubes.Butted(28.6, (0.9, 0.6, 0.9), (70.0, 40.0, 320.0)), "3")
    ],
    "The taper a must be 0 or more": [
        (lambda: tubes.Butted(28.6, (0.9, 0.6, 0.9), (70.0, -40.0, 320.0, 40.0, 130.0)), "-40 mm")
    ],
    "The tube must have a length": [
        (lambda: tubes.Butted(28.6, (0.9, 0.6, 0.9), (0, 0, 0, 0, 0)), "0 mm in all")
    ],
    "The place must lie on the tube": [
        (lambda: TUBE.wall_at(700.0), "700 mm on 600 mm"),
        (lambda: TUBE.wall_at(-0.1), "-0.1 mm on 600 mm"),
    ],
    "The cuts must leave some tube": [
        (lambda: TUBE.cut(400.0, 250.0), "400 mm and 250 mm off 600 mm"),
        (lambda: TUBE.cut(600.0, 0.0), "600 mm and 0 mm off 600 mm"),
    ],
    "The cut at a must be 0 or more": [(lambda: TUBE.cut(-1.0, 0.0), "-1 mm")],
    "The cut at b must be 0 or more": [(lambda: TUBE.cut(0.0, -1.0), "-1 mm")],
    "The half_x must be greater than 0": [(lambda: sections.Ellipse(0.0, 1.0), "0 mm")],
    "The turned_deg must be a finite number in degrees": [
        (lambda: sections.Ellipse(1.0, 1.0, NAN), "nan"),
        (lambda: Joint(36.0, 60.0, turned_deg=NAN), "nan"),
    ],
    "The tube must be a finite number in mm": [
        (lambda: sections.section_of("28.6 mm"), "'28.6 mm'")
    ],
    "The cut tube must not be wider than the tube it meets": [
        (lambda: miters.saddle(31.8, 28.6, 90.0), "31.8 mm into 28.6 mm"),
        (lambda: miters.saddle([28.6, 31.8], [31.8, 28.6], 90.0), "31.8 mm into 28.6 mm"),
        (lambda: miters.saddle(28.6, 28.6 - 2.5e-9, 90.0), "28.6 mm into 28.6 mm"),
        (lambda: miters.joint_line(28.6, 25.4, 90.0), "28.6 mm into 25.4 mm"),
        (lambda: miters.gaps(28.6, 31.8, 90.0, saw=28.0), "28.6 mm into 28 mm"),
        (lambda: brazing.fillet(28.6, 25.4, 60.0, 6.0), "28.6 mm into 25.4 mm"),
    ],
    "The cut tube must lie within the width of the tube it meets": [
        (
            lambda: miters.saddle(28.6, 38.1, 90.0, offset=6.0),
            "28.6 mm into 38.1 mm at an offset of 6 mm",
        ),
        (
            lambda: miters.saddle(28.6, 38.1, 90.0, offset=-6.0),
            "28.6 mm into 38.1 mm at an offset of -6 mm",
        ),
        (
            lambda: miters.saddle(28.6, 28.6, 90.0, offset=1e-6),
            "28.6 mm into 28.6 mm at an offset of 1e-06 mm",
        ),
        (lambda: miters.cut(38.1, Joint(28.6, 90.0)), "a line at 49° that passes beside it"),
    ],
    "The included angle must lie between 0° and 180°": [
        (lambda: miters.saddle(28.6, 36.0, 0.0), "0°"),
        (lambda: miters.saddle(28.6, 36.0, 180.0), "180°"),
        (lambda: miters.saddle(28.6, 36.0, -60.0), "-60°"),
        (lambda: miters.mill_setting_deg(200.0), "200°"),
        (lambda: Joint(36.0, 0.0), "0°"),
    ],
    "The into must be greater than 0": [
        (lambda: miters.saddle(28.6, -36.0, 60.0), "-36 mm"),
        (lambda: Joint(-36.0, 60.0), "-36 mm"),
    ],
    "The angle must be a finite number in degrees": [
        (lambda: miters.saddle(28.6, 36.0, "60"), "'60'"),
        (lambda: vents.round_shell(38.1, NAN), "nan"),
    ],
    "The offset must be a finite number in mm": [
        (lambda: miters.saddle(28.6, 36.0, 60.0, offset=NAN), "nan"),
        (lambda: Joint(36.0, 60.0, offset=NAN), "nan"),
    ],
    "The stations must be a whole number, 2 or more": [
        (lambda: miters.saddle(28.6, 36.0, 60.0, stations=1), "1"),
        (lambda: miters.saddle(28.6, 36.0, 60.0, stations=3.5), "3.5"),
        (lambda: miters.saddle(28.6, 36.0, 60.0, stations=True), "True"),
    ],
    "The error must lie between −90° and 90°": [
        (lambda: miters.far_end(600.0, 90.0), "90°"),
        (lambda: miters.far_end(600.0, -90.0), "-90°"),
    ],
    "The length must be 0 or more": [(lambda: miters.far_end(-600.0), "-600 mm")],
    "The set_back must be a finite number in mm": [
        (lambda: Joint(36.0, 60.0, set_back=INF), "inf")
    ],
    "The end must be 'a' or 'b'": [
        (lambda: miters.cut(28.6, Joint(36.0, 90.0), end="c"), "'c'"),
        (lambda: miters.cluster(31.8, [Joint(36.0, 90.0)], end=""), "''"),
    ],
    "The joints must leave some tube between them": [
        (
            lambda: miters.two_ended(31.8, 30.0, Joint(36.0, 60.0), Joint(40.0, 90.0)),
            "-19.96448 mm on the line at 180°",
        ),
    ],
    "The length must be greater than 0": [
        (lambda: miters.two_ended(31.8, 0.0, Joint(36.0, 60.0), Joint(40.0, 90.0)), "0 mm")
    ],
    "The cluster must have a joint": [(lambda: miters.cluster(31.8, []), "none")],
    "The joints must catch every line of the tube": [
        (
            lambda: miters.cluster(38.1, [Joint(28.6, 90.0)]),
            "a line at 49° that passes beside all of them",
        ),
    ],
    "The plug must fit the bore cold": [
        (lambda: sleeves.gap(28.7, 28.8, 12e-6, 12e-6, 0.0), "28.8 mm in 28.7 mm")
    ],
    "The expansion must be per K, below 0.001": [
        (lambda: sleeves.gap(28.7, 28.6, 12.2, 12e-6, 700.0), "12.2"),
        (lambda: sleeves.gap(28.7, 28.6, 12e-6, 0.001, 700.0), "0.001"),
    ],
    "The rise must be a finite number in K": [
        (lambda: sleeves.gap(28.7, 28.6, 12e-6, 12e-6, "hot"), "'hot'")
    ],
    "The allowance must be 1 or more": [
        (lambda: sleeves.filler(28.6, 0.1, 25.0, 0.5), "0.5"),
        (lambda: brazing.fillet(28.6, 36.0, 60.0, 6.0).rod_length(2.4, 0.5), "0.5"),
    ],
    "The gap must be 0 or more": [(lambda: sleeves.filler(28.6, -0.1, 25.0), "-0.1 mm")],
    "The lap must be greater than 0": [(lambda: sleeves.filler(28.6, 0.1, 0.0), "0 mm")],
    "The lap must be at least 3 times the thinner wall": [
        (lambda: sleeves.lap(0.9, 1.5, times=2), "2")
    ],
    "The stock must be thicker than the finished piece": [
        (lambda: sleeves.passes(28.0, 28.6, 0.5), "28 mm for 28.6 mm"),
        (lambda: sleeves.passes(28.6, 28.6, 0.5), "28.6 mm for 28.6 mm"),
    ],
    "The deepest must be greater than 0": [(lambda: sleeves.passes(30.0, 28.6, 0.0), "0 mm")],
    "The last must be greater than 0": [(lambda: sleeves.passes(30.0, 28.6, 0.5, 0.0), "0 mm")],
    "The threads must be greater than 0": [(lambda: shells.pitch(0.0), "0 an inch")],
    "The pitch must leave a bore": [(lambda: shells.minor(5.0, 5.0), "5 mm in 5 mm")],
    "The major diameter must be greater than 0": [(lambda: shells.minor(0.0, 1.0), "0 mm")],
    "The bore must not be wider than the thread": [
        (lambda: shells.engaged(34.798, 1.0583, 34.8), "34.8 mm for 34.798 mm")
    ],
    "The face must reach half the width all round": [
        (lambda: shells.facing((33.9, 34.5), (0.2, 0.1), 68.0), "33.9 mm for 34 mm"),
        (lambda: shells.facing((34.5, 33.99), (0.2, 0.1), 68.0), "33.99 mm for 34 mm"),
    ],
    "The swing must be 0 or more": [
        (lambda: shells.facing((34.5, 34.5), (-0.2, 0.1), 68.0), "-0.2 mm")
    ],
    "The temperature must be above -273.15 °C": [
        (lambda: vents.air_pressure(-300.0), "-300 °C"),
        (lambda: vents.air_pressure(-273.15), "-273.15 °C"),
    ],
    "The volume must be greater than 0": [(lambda: vents.steam_pressure(0.0, 1.0, 700.0), "0 mm³")],
    "The water must be 0 or more": [(lambda: vents.steam_pressure(1e5, -1.0, 700.0), "-1 g")],
    "The bore must not be wider than the shell": [
        (lambda: vents.footprint(40.0, 38.1), "40 mm on 38.1 mm"),
        (lambda: vents.land(40.0, 38.1, 5.0), "40 mm on 38.1 mm"),
    ],
    "The hole must be greater than 0": [(lambda: vents.land(26.8, 38.1, 0.0), "0 mm")],
    "The width must lie between the wall and the tube pressed flat": [
        (lambda: ovals.depth_for(28.6, 0.9, 60.0), "60 mm, from 0.9 mm to 44.41106 mm"),
        (lambda: ovals.depth_for(28.6, 0.9, 0.9), "0.9 mm, from 0.9 mm to 44.41106 mm"),
    ],
    "The form must be 1 or 2": [(lambda: ovals.ramanujan(4.0, 2.0, form=3), "3")],
    "The modulus must be greater than 0": [
        (lambda: ovals.ring(28.6, 0.9, 0.0), "0 MPa"),
        (lambda: ovals.springback(28.6, 0.9, 26.0, 517.0, 0.0), "0 MPa"),
    ],
    "The load must be a finite number in N/mm": [
        (lambda: ovals.ring(28.6, 0.9, 205e3, NAN), "nan")
    ],
    "The yield stress must be greater than 0": [
        (lambda: ovals.hinge_load(28.6, 0.9, -517.0), "-517 MPa"),
        (lambda: ovals.springback(28.6, 0.9, 26.0, 0.0, 205e3), "0 MPa"),
    ],
    "The width must be below the diameter, for a press only makes it smaller": [
        (lambda: ovals.squeeze_to(28.6, 0.9, 30.0, 517.0, 205e3), "30 mm from 28.6 mm"),
        (lambda: ovals.squeeze_to(28.6, 0.9, 28.6, 517.0, 205e3), "28.6 mm from 28.6 mm"),
    ],
    "The tube must not be pressed flat on the way": [
        (lambda: ovals.squeeze_to(28.6, 0.9, 2.0, 517.0, 205e3), "2 mm from 28.6 mm")
    ],
    "The temperature must be a finite number in °F": [(lambda: brazing.celsius("hot"), "'hot'")],
    "The filler must be free of cadmium": [
        (lambda: brazing.filler("BAg-1"), "BAg-1, 24 % Cd, whose fume can kill"),
        (lambda: brazing.match("BAg-3", "FB3-A"), "BAg-3, 16 % Cd, whose fume can kill"),
    ],
    "The filler must be one of RBCuZn-A, RBCuZn-C, RBCuZn-D, BAg-5, BAg-7, BAg-24, BCu-1": [
        (lambda: brazing.filler("tin"), "'tin'")
    ],
    "The flux must be one of FB3-A, FB3-C, FB3-D, FB3-K": [
        (lambda: brazing.flux("borax"), "'borax'"),
        (lambda: brazing.match("BAg-7", "water"), "'water'"),
    ],
    "The opening must lie between 0° and 180°": [
        (lambda: brazing.bead_area(6.0, 0.0), "0°"),
        (lambda: brazing.bead_area(6.0, 181.0), "181°"),
    ],
    "The leg must be greater than 0": [(lambda: brazing.fillet(28.6, 36.0, 60.0, 0.0), "0 mm")],
    "The rod must be greater than 0": [
        (lambda: brazing.fillet(28.6, 36.0, 60.0, 6.0).rod_length(0.0), "0 mm")
    ],
    "The metal must have a density and a specific heat": [
        (
            lambda: brazing.heat_share(3.6, 0.9, materials.STEEL_4130, materials.STAINLESS_304),
            "none for 304 stainless steel",
        ),
    ],
}
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
    ("thing", "field"),
    [(tubes.Round(28.6, 0.9), "wall"), (tubes.Oval(30.0, 20.0, 0.9), "wall"), (TUBE, "walls"),
     (sections.Ellipse(1.0, 1.0), "half_x"),
     (Joint(36.0, 60.0), "angle_deg"), (miters.cut(28.6, Joint(36.0, 60.0)), "along"),
     (miters.two_ended(28.6, 500.0, Joint(36.0, 60.0), Joint(36.0, 60.0)), "length"),
     (miters.cluster(28.6, [Joint(36.0, 60.0)]), "along"), (materials.STEEL_4130, "modulus"),
     (brazing.filler("BAg-7"), "name"), (brazing.flux("FB3-A"), "name"),
     (brazing.match("BAg-7", "FB3-A"), "below"), (brazing.fillet(28.6, 36.0, 60.0, 6.0), "line")],
)  # fmt: skip
def test_things_do_not_change_under_your_hands(thing, field):
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(thing, field, 1.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: miters.saddle(28.6, 36.0, 1e-3),
        lambda: miters.saddle(28.6, 36.0, 179.999),
        lambda: miters.saddle(28.6, 36.0, 60.0, stations=np.int64(2)),
        lambda: tubes.Round(10.0, 5.0),
        lambda: TUBE.wall_at([0.0, 600.0]),
        lambda: TUBE.cut(599.9, 0.0),
        lambda: sleeves.gap(28.6, 28.6, 0.0, 9e-4, 0.0),
        lambda: shells.facing((34.0, 34.0), (0.0, 0.0), 68.0),
        lambda: shells.engaged(34.798, 1.0, 34.798),
        lambda: vents.footprint(38.1, 38.1),
        lambda: vents.steam_pressure(1.0, 0.0, -273.0),
        lambda: sleeves.filler(28.6, 0.0, 25.0, 1.0),
        lambda: brazing.fillet(28.6, 36.0, 60.0, 6.0).rod_length(2.4, 1.0),
        lambda: miters.far_end(0.0, 89.9),
    ],
)
def test_the_edge_of_what_is_allowed(call):
    call()
