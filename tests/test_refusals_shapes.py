"""Refused calls of units, tubes, outlines, miters, metals, sleeves, ovals and brazing, in full."""

import dataclasses

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
)  # fmt: skip
from coursekit.miters import Joint

NAN, INF = float("nan"), float("inf")
READ = "Write it like '1 1/8 in', '28.6 mm' or '20 BWG'."
CHECK = "Check the number."
LENGTH = "The length must be a number with mm or in, or a gauge with BWG or SWG; got "
TURN = "Turn text into mm with units.mm first."
AXES = "Measure it between the two axes."
WIDER = "The cut tube must not be wider than the tube it meets; got "
BESIDE = "The cut tube must lie within the width of the tube it meets; got "
LENGTHS = (70.0, 40.0, 320.0, 40.0, 130.0)
TUBE = tubes.Butted(28.6, (0.9, 0.6, 0.9), LENGTHS)

REFUSED = [
    # units
    (lambda: units.mm("one inch"), f"{LENGTH}'one inch'. {READ}"),
    (lambda: units.mm(""), f"{LENGTH}''. {READ}"),
    (lambda: units.mm("1 1/8"), f"{LENGTH}'1 1/8'. {READ}"),
    (lambda: units.mm("28,6 mm"), f"{LENGTH}'28,6 mm'. {READ}"),
    (lambda: units.mm("nan"), f"{LENGTH}'nan'. {READ}"),
    (lambda: units.mm("1/0 in"), "The fraction must not divide by zero; got '1/0 in'. Write it like '1 1/8 in'."),
    (lambda: units.mm("20 gauge"), "The gauge must name its series; got '20 gauge'. Write '20 BWG' for Birmingham (0.889 mm) or '20 SWG' for British Standard (0.9144 mm)."),
    (lambda: units.mm("30 SWG"), "The gauge must lie between 14 and 26; got '30 SWG'. Measure the wall and give it in mm."),
    (lambda: units.mm("13 BWG"), "The gauge must lie between 14 and 26; got '13 BWG'. Measure the wall and give it in mm."),
    (lambda: units.mm(None), f"The length must be a finite number in mm; got None. {TURN}"),
    (lambda: units.mm(NAN), f"The length must be a finite number in mm; got nan. {TURN}"),
    (lambda: units.mm(True), f"The length must be a finite number in mm; got True. {TURN}"),
    (lambda: units.mm([1.0, "x"]), f"{LENGTH}'x'. {READ}"),
    (lambda: units.fraction(28.6, 10), "The denominator must be a power of two up to 128; got 10. A rule is divided in halves, quarters, eighths …: take 64."),
    (lambda: units.fraction(28.6, 256), "The denominator must be a power of two up to 128; got 256. A rule is divided in halves, quarters, eighths …: take 64."),
    (lambda: units.rise(90.0), "The angle must lie between −90° and 90°; got 90°. An upright line has no rise: set it out with a square."),
    (lambda: units.rise(45.0, 0.0), f"The run must be greater than 0; got 0 mm. {CHECK}"),
    # rules
    (lambda: rules.number("load", INF, "N"), "The load must be a finite number in N; got inf. Give a plain number."),
    (lambda: rules.number("load", [1.0, [2.0]], "N"), "The load must be a finite number in N; got [1.0, [2.0]]. Give a plain number."),
    (lambda: rules.number("load", [1.0, NAN], "N"), "The load must be a finite number in N; got [1.0, nan]. Give a plain number."),
    (lambda: rules.number("load", 1j, "N"), "The load must be a finite number in N; got 1j. Give a plain number."),
    (lambda: rules.positive("wall", np.array([0.9, 0.0, -1.0])), f"The wall must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: rules.not_negative("lap", -0.5), "The lap must be 0 or more; got -0.5 mm. Check the sign."),
    # tubes
    (lambda: tubes.Round(0.9, 28.6), "The wall must be at most half the diameter; got 28.6 mm in a 0.9 mm tube. Check which is which."),
    (lambda: tubes.Round(np.array([28.6, 31.8]), np.array([0.9, 16.0])), "The wall must be at most half the diameter; got 16 mm in a 31.8 mm tube. Check which is which."),
    (lambda: tubes.Round(-28.6, 0.9), f"The diameter must be greater than 0; got -28.6 mm. {CHECK}"),
    (lambda: tubes.Round(28.6, 0.0), f"The wall must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: tubes.Round("28.6 mm", 0.9), f"The diameter must be a finite number in mm; got '28.6 mm'. {TURN}"),
    (lambda: tubes.Round(28.6, 0.9).grams_per_metre(0.0), f"The density must be greater than 0; got 0 g/cm³. {CHECK}"),
    (lambda: tubes.Oval(30.0, 4.0, 0.9), "The wall must be less than the tightest outside radius; got a 0.9 mm wall at a radius of 0.2666667 mm. Take a rounder oval or a thinner wall."),
    (lambda: tubes.Oval(4.0, 30.0, 0.3), "The wall must be less than the tightest outside radius; got a 0.3 mm wall at a radius of 0.2666667 mm. Take a rounder oval or a thinner wall."),
    (lambda: tubes.Oval(30.0, 0.0, 0.9), f"The depth must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: tubes.Oval(0.0, 20.0, 0.9), f"The width must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: tubes.Oval(30.0, 20.0, -0.9), f"The wall must be greater than 0; got -0.9 mm. {CHECK}"),
    (lambda: tubes.Oval(30.0, 20.0, 0.9).grams_per_metre(-1), f"The density must be greater than 0; got -1 g/cm³. {CHECK}"),
    (lambda: tubes.Butted(28.6, (0.9, 0.6), LENGTHS), "The walls must be three: end a, belly, end b; got 2. Give a plain tube the same wall three times."),
    (lambda: tubes.Butted(28.6, (0.9, 0.6, 0.9), (70.0, 40.0, 320.0)), "The lengths must be five: butt_a, taper_a, belly, taper_b, butt_b; got 3. Give 0 for a part that is not there."),
    (lambda: tubes.Butted(28.6, (0.9, 0.6, 0.9), (70.0, -40.0, 320.0, 40.0, 130.0)), "The taper a must be 0 or more; got -40 mm. Check the sign."),
    (lambda: tubes.Butted(28.6, (0.9, 0.6, 0.9), (0, 0, 0, 0, 0)), "The tube must have a length; got 0 mm in all. Give at least one of the five lengths."),
    (lambda: tubes.Butted(28.6, (0.9, 0.0, 0.9), LENGTHS), f"The wall must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: TUBE.wall_at(700.0), "The place must lie on the tube; got 700 mm on 600 mm. Measure from end a."),
    (lambda: TUBE.wall_at(-0.1), "The place must lie on the tube; got -0.1 mm on 600 mm. Measure from end a."),
    (lambda: TUBE.cut(400.0, 250.0), "The cuts must leave some tube; got 400 mm and 250 mm off 600 mm. Take less or a longer tube."),
    (lambda: TUBE.cut(600.0, 0.0), "The cuts must leave some tube; got 600 mm and 0 mm off 600 mm. Take less or a longer tube."),
    (lambda: TUBE.cut(-1.0, 0.0), "The cut at a must be 0 or more; got -1 mm. Check the sign."),
    (lambda: TUBE.cut(0.0, -1.0), "The cut at b must be 0 or more; got -1 mm. Check the sign."),
    (lambda: TUBE.mass(0.0), f"The density must be greater than 0; got 0 g/cm³. {CHECK}"),
    # sections
    (lambda: sections.ellipse_perimeter(4.0, 0.0), f"The depth must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: sections.ellipse_perimeter(-4.0, 2.0), f"The width must be greater than 0; got -4 mm. {CHECK}"),
    (lambda: sections.Ellipse(0.0, 1.0), f"The half_x must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: sections.Ellipse(1.0, 1.0, NAN), "The turned_deg must be a finite number in degrees; got nan. Give a plain number."),
    (lambda: sections.section_of("28.6 mm"), f"The tube must be a finite number in mm; got '28.6 mm'. {TURN}"),
    # miters
    (lambda: miters.saddle(31.8, 28.6, 90.0), f"{WIDER}31.8 mm into 28.6 mm. Swap them."),
    (lambda: miters.saddle([28.6, 31.8], [31.8, 28.6], 90.0), f"{WIDER}31.8 mm into 28.6 mm. Swap them."),
    (lambda: miters.saddle(28.6, 28.6 - 2.5e-9, 90.0), f"{WIDER}28.6 mm into 28.6 mm. Swap them."),
    (lambda: miters.saddle(28.6, 38.1, 90.0, offset=6.0), f"{BESIDE}28.6 mm into 38.1 mm at an offset of 6 mm. Make the offset smaller or the tube narrower."),
    (lambda: miters.saddle(28.6, 38.1, 90.0, offset=-6.0), f"{BESIDE}28.6 mm into 38.1 mm at an offset of -6 mm. Make the offset smaller or the tube narrower."),
    (lambda: miters.saddle(28.6, 28.6, 90.0, offset=1e-6), f"{BESIDE}28.6 mm into 28.6 mm at an offset of 1e-06 mm. Make the offset smaller or the tube narrower."),
    (lambda: miters.saddle(28.6, 36.0, 0.0), f"The included angle must lie between 0° and 180°; got 0°. {AXES}"),
    (lambda: miters.saddle(28.6, 36.0, 180.0), f"The included angle must lie between 0° and 180°; got 180°. {AXES}"),
    (lambda: miters.saddle(28.6, 36.0, -60.0), f"The included angle must lie between 0° and 180°; got -60°. {AXES}"),
    (lambda: miters.saddle(0.0, 36.0, 60.0), f"The diameter must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: miters.saddle(28.6, -36.0, 60.0), f"The into must be greater than 0; got -36 mm. {CHECK}"),
    (lambda: miters.saddle(28.6, 36.0, "60"), "The angle must be a finite number in degrees; got '60'. Give a plain number."),
    (lambda: miters.saddle(28.6, 36.0, 60.0, offset=NAN), f"The offset must be a finite number in mm; got nan. {TURN}"),
    (lambda: miters.saddle(28.6, 36.0, 60.0, stations=1), "The stations must be a whole number, 2 or more; got 1. Take 361 for one a degree."),
    (lambda: miters.saddle(28.6, 36.0, 60.0, stations=3.5), "The stations must be a whole number, 2 or more; got 3.5. Take 361 for one a degree."),
    (lambda: miters.saddle(28.6, 36.0, 60.0, stations=True), "The stations must be a whole number, 2 or more; got True. Take 361 for one a degree."),
    (lambda: miters.mill_setting_deg(200.0), f"The included angle must lie between 0° and 180°; got 200°. {AXES}"),
    (lambda: miters.joint_line(28.6, 25.4, 90.0), f"{WIDER}28.6 mm into 25.4 mm. Swap them."),
    (lambda: miters.far_end(600.0, 90.0), "The error must lie between −90° and 90°; got 90°. Give cut minus wanted."),
    (lambda: miters.far_end(600.0, -90.0), "The error must lie between −90° and 90°; got -90°. Give cut minus wanted."),
    (lambda: miters.far_end(-600.0), "The length must be 0 or more; got -600 mm. Check the sign."),
    (lambda: miters.gaps(28.6, 31.8, 90.0, saw=28.0), f"{WIDER}28.6 mm into 28 mm. Swap them."),
    (lambda: Joint(36.0, 0.0), f"The included angle must lie between 0° and 180°; got 0°. {AXES}"),
    (lambda: Joint(-36.0, 60.0), f"The into must be greater than 0; got -36 mm. {CHECK}"),
    (lambda: Joint(36.0, 60.0, set_back=INF), f"The set_back must be a finite number in mm; got inf. {TURN}"),
    (lambda: Joint(36.0, 60.0, turned_deg=NAN), "The turned_deg must be a finite number in degrees; got nan. Give a plain number."),
    (lambda: Joint(36.0, 60.0, offset=NAN), f"The offset must be a finite number in mm; got nan. {TURN}"),
    (lambda: miters.cut(38.1, Joint(28.6, 90.0)), f"{BESIDE}a line at 49° that passes beside it. Swap them, or make the offset smaller."),
    (lambda: miters.cut(28.6, Joint(36.0, 90.0), end="c"), "The end must be 'a' or 'b'; got 'c'. Name one of the two."),
    (lambda: miters.two_ended(31.8, 30.0, Joint(36.0, 60.0), Joint(40.0, 90.0)), "The joints must leave some tube between them; got -19.96448 mm on the line at 180°. Give the length from axis to axis."),
    (lambda: miters.two_ended(31.8, 0.0, Joint(36.0, 60.0), Joint(40.0, 90.0)), f"The length must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: miters.cluster(31.8, []), "The cluster must have a joint; got none. Give one or more."),
    (lambda: miters.cluster(38.1, [Joint(28.6, 90.0)]), "The joints must catch every line of the tube; got a line at 49° that passes beside all of them. Add the tube it meets there, or make an offset smaller."),
    (lambda: miters.cluster(31.8, [Joint(36.0, 90.0)], end=""), "The end must be 'a' or 'b'; got ''. Name one of the two."),
    # sleeves
    (lambda: sleeves.gap(28.7, 28.8, 12e-6, 12e-6, 0.0), "The plug must fit the bore cold; got 28.8 mm in 28.7 mm. Turn it down, or swap them."),
    (lambda: sleeves.gap(28.7, 28.6, 12.2, 12e-6, 700.0), "The expansion must be per K, below 0.001; got 12.2. Write 12.2e-6."),
    (lambda: sleeves.gap(28.7, 28.6, 12e-6, 0.001, 700.0), "The expansion must be per K, below 0.001; got 0.001. Write 12.2e-6."),
    (lambda: sleeves.gap(28.7, 28.6, 12e-6, 12e-6, "hot"), "The rise must be a finite number in K; got 'hot'. Give a plain number."),
    (lambda: sleeves.filler(28.6, 0.1, 25.0, 0.5), "The allowance must be 1 or more; got 0.5. Take 1.5, or 1 for the bare gap."),
    (lambda: sleeves.filler(28.6, -0.1, 25.0), "The gap must be 0 or more; got -0.1 mm. Check the sign."),
    (lambda: sleeves.filler(28.6, 0.1, 0.0), f"The lap must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: sleeves.lap(0.9, 1.5, times=2), "The lap must be at least 3 times the thinner wall; got 2. Take 3 or 4."),
    (lambda: sleeves.passes(28.0, 28.6, 0.5), "The stock must be thicker than the finished piece; got 28 mm for 28.6 mm. Take thicker bar."),
    (lambda: sleeves.passes(28.6, 28.6, 0.5), "The stock must be thicker than the finished piece; got 28.6 mm for 28.6 mm. Take thicker bar."),
    (lambda: sleeves.passes(30.0, 28.6, 0.0), f"The deepest must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: sleeves.passes(30.0, 28.6, 0.5, 0.0), f"The last must be greater than 0; got 0 mm. {CHECK}"),
    # shells and vents
    (lambda: shells.pitch(0.0), f"The threads must be greater than 0; got 0 an inch. {CHECK}"),
    (lambda: shells.minor(5.0, 5.0), f"The pitch must leave a bore; got 5 mm in 5 mm. {CHECK}"),
    (lambda: shells.minor(0.0, 1.0), f"The major diameter must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: shells.engaged(34.798, 1.0583, 34.8), "The bore must not be wider than the thread; got 34.8 mm for 34.798 mm. It can't be tapped."),
    (lambda: shells.facing((33.9, 34.5), (0.2, 0.1), 68.0), "The face must reach half the width all round; got 33.9 mm for 34 mm. Take a longer shell, or a narrower width."),
    (lambda: shells.facing((34.5, 33.99), (0.2, 0.1), 68.0), "The face must reach half the width all round; got 33.99 mm for 34 mm. Take a longer shell, or a narrower width."),
    (lambda: shells.facing((34.5, 34.5), (-0.2, 0.1), 68.0), "The swing must be 0 or more; got -0.2 mm. Check the sign."),
    (lambda: shells.facing((34.5, 34.5), (0.2, 0.1), 0.0), f"The width must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: vents.air_pressure(-300.0), f"The temperature must be above -273.15 °C; got -300 °C. {CHECK}"),
    (lambda: vents.air_pressure(-273.15), f"The temperature must be above -273.15 °C; got -273.15 °C. {CHECK}"),
    (lambda: vents.steam_pressure(0.0, 1.0, 700.0), f"The volume must be greater than 0; got 0 mm³. {CHECK}"),
    (lambda: vents.steam_pressure(1e5, -1.0, 700.0), "The water must be 0 or more; got -1 g. Check the sign."),
    (lambda: vents.round_shell(0.0, 60.0), f"The diameter must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: vents.round_shell(38.1, NAN), "The angle must be a finite number in degrees; got nan. Give a plain number."),
    (lambda: vents.footprint(40.0, 38.1), "The bore must not be wider than the shell; got 40 mm on 38.1 mm. Swap them."),
    (lambda: vents.land(40.0, 38.1, 5.0), "The bore must not be wider than the shell; got 40 mm on 38.1 mm. Swap them."),
    (lambda: vents.land(26.8, 38.1, 0.0), f"The hole must be greater than 0; got 0 mm. {CHECK}"),
    # ovals
    (lambda: ovals.depth_for(28.6, 0.9, 60.0), f"The width must lie between the wall and the tube pressed flat; got 60 mm, from 0.9 mm to 44.41106 mm. {CHECK}"),
    (lambda: ovals.depth_for(28.6, 0.9, 0.9), f"The width must lie between the wall and the tube pressed flat; got 0.9 mm, from 0.9 mm to 44.41106 mm. {CHECK}"),
    (lambda: ovals.ramanujan(4.0, 2.0, form=3), "The form must be 1 or 2; got 3. Ramanujan gave two."),
    (lambda: ovals.ring(28.6, 0.9, 0.0), f"The modulus must be greater than 0; got 0 MPa. {CHECK}"),
    (lambda: ovals.ring(28.6, 0.9, 205e3, NAN), "The load must be a finite number in N/mm; got nan. Give a plain number."),
    (lambda: ovals.hinge_load(28.6, 0.9, -517.0), f"The yield stress must be greater than 0; got -517 MPa. {CHECK}"),
    (lambda: ovals.springback(28.6, 0.9, 26.0, 0.0, 205e3), f"The yield stress must be greater than 0; got 0 MPa. {CHECK}"),
    (lambda: ovals.springback(28.6, 0.9, 26.0, 517.0, 0.0), f"The modulus must be greater than 0; got 0 MPa. {CHECK}"),
    (lambda: ovals.squeeze_to(28.6, 0.9, 30.0, 517.0, 205e3), "The width must be below the diameter, for a press only makes it smaller; got 30 mm from 28.6 mm. Press the other axis."),
    (lambda: ovals.squeeze_to(28.6, 0.9, 28.6, 517.0, 205e3), "The width must be below the diameter, for a press only makes it smaller; got 28.6 mm from 28.6 mm. Press the other axis."),
    (lambda: ovals.squeeze_to(28.6, 0.9, 2.0, 517.0, 205e3), "The tube must not be pressed flat on the way; got 2 mm from 28.6 mm. Anneal it, or squeeze it less."),
    # brazing
    (lambda: brazing.celsius("hot"), "The temperature must be a finite number in °F; got 'hot'. Give a plain number."),
    (lambda: brazing.filler("BAg-1"), "The filler must be free of cadmium; got BAg-1, 24 % Cd, whose fume can kill. Take BAg-7 or BAg-24."),
    (lambda: brazing.filler("tin"), "The filler must be one of RBCuZn-A, RBCuZn-C, RBCuZn-D, BAg-5, BAg-7, BAg-24, BCu-1; got 'tin'. Choose one of them."),
    (lambda: brazing.flux("borax"), "The flux must be one of FB3-A, FB3-C, FB3-D, FB3-K; got 'borax'. Choose one of them."),
    (lambda: brazing.match("BAg-3", "FB3-A"), "The filler must be free of cadmium; got BAg-3, 16 % Cd, whose fume can kill. Take BAg-7 or BAg-24."),
    (lambda: brazing.match("BAg-7", "water"), "The flux must be one of FB3-A, FB3-C, FB3-D, FB3-K; got 'water'. Choose one of them."),
    (lambda: brazing.bead_area(6.0, 0.0), "The opening must lie between 0° and 180°; got 0°. Measure it between the two faces."),
    (lambda: brazing.bead_area(6.0, 181.0), "The opening must lie between 0° and 180°; got 181°. Measure it between the two faces."),
    (lambda: brazing.fillet(28.6, 36.0, 60.0, 0.0), f"The leg must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: brazing.fillet(28.6, 25.4, 60.0, 6.0), f"{WIDER}28.6 mm into 25.4 mm. Swap them."),
    (lambda: brazing.fillet(28.6, 36.0, 60.0, 6.0).rod_length(2.4, 0.5), "The allowance must be 1 or more; got 0.5. Take 1 for the bare bead."),
    (lambda: brazing.fillet(28.6, 36.0, 60.0, 6.0).rod_length(0.0), f"The rod must be greater than 0; got 0 mm. {CHECK}"),
    (lambda: brazing.heat_share(3.6, 0.9, materials.STEEL_4130, materials.STAINLESS_304), "The metal must have a density and a specific heat; got none for 304 stainless steel. Choose another metal."),
]  # fmt: skip


@pytest.mark.parametrize(("call", "message"), REFUSED, ids=range(len(REFUSED)))
def test_refused(call, message):
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message


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
