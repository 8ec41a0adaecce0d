"""Every number that a public function takes for granted, once more: a default that moves would move
the numbers of lessons, keys and sheets without a word.

Beside each stands what it rests on. "Nothing asked": no offset, no lean, no noise, unless given.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from math import inf, isnan, nan

import pytest

import coursekit

NONE, STATIONS = "nothing asked", "a station a degree, both ends of the round"
ALLOWED = "common practice, no source"
STEEL = "ASM data sheet m4130r, as in `materials`"
GUM = "JCGM 100:2008 (GUM), G.1.3: 95 %, no limit of freedom, both sides; from memory"
DEFAULTS = {
    "alignment.decide": ({"confidence": 0.95, "freedom": inf}, GUM),
    "beams.sag": ({"modulus": 205_000.0}, STEEL),
    "braze_ons.edge_marks": ({"opening_deg": 90.0}, "the usual corner between foot and tube"),
    "braze_ons.foot_gap": ({"hollowed_for": inf}, "a flat foot"),
    "brazing.Fillet.rod_length": ({"allowance": 1.0}, "no more rod than the fillet holds"),
    "brazing.bead_area": ({"opening_deg": 90.0}, "two parts at a right angle"),
    "brazing.fillet": ({"offset": 0.0}, NONE),
    "buildable.Bought": ({"from_a": 0.0}, NONE),
    "buildable.Brake": ({"bosses": 80.0, "rotor": 0.0, "rotor_in": 0.0}, ALLOWED),
    "buildable.FrontFork": ({"underside": 0.0, "depth": 0.0, "crossing": 0.0}, NONE),
    "buildable.Parts": ({"knobs": 0.0}, "a tyre without knobs"),
    "buildable.Pedals": ({"hold_foot": False}, "bare pedals, the case that the rule asks about"),
    "buildable.Sleeve": ({"outside": 0.0}, "a plug, which goes into the tube"),
    "buildable.check": ({"margin": 30.0}, ALLOWED),
    "butts.find": ({"tilt": False}, NONE),
    "butts.keep": ({"margin": 30.0}, ALLOWED),
    "closure.Check": ({"allowed": 1e-6, "arithmetic": False}, "two exact ways differ by rounding alone"),
    "closure.of_frame": ({"rail": 0.0}, NONE),
    "dropouts.centre": ({"noise": 0.0}, NONE),
    "dropouts.faces": ({"noise": 0.0}, NONE),
    "dropouts.string_gap": ({"off_centre": 0.0}, NONE),
    "dropouts.string_test": ({"noise": 0.0}, NONE),
    "fitting.descend": ({"gain": 1e-15}, "below rounding: go on until nothing is won"),
    "fixture.built": ({"rail": 0.0}, NONE),
    "fixture.error_budget": ({"rail": 0.0}, NONE),
    "fixture.settings": ({"rail": 0.0}, NONE),
    "fork.Crown": ({"ahead": 0.0, "angle_deg": 0.0}, NONE),
    "fork.Dropout": ({"ahead": 0.0, "tab": 0.0}, NONE),
    "fork.BladeLine.marked": ({"toward_deg": 180.0}, "the front, where a blade is raked to"),
    "fork.Blade.cut": ({"from_tip": 0.0}, NONE),
    "fork.crown_tube_joint": ({"ahead": 0.0}, NONE),
    "fork.bend_to": ({"reach": 0.0, "beside": 0.0}, NONE),
    "fork.boss_place": ({"below": 27.0}, ALLOWED),
    "fork.knee": ({"stations": 361}, STATIONS),
    "fork.lean": ({"noise": 0.0}, NONE),
    "fork.levers": ({"below": 0.0}, NONE),
    "fork.rake": ({"noise": 0.0}, NONE),
    "fork.rolling_radius": ({"turns": 1.0}, "a single turn"),
    "fork.shoulder": ({"splay_deg": 0.0, "radius": 0.0}, NONE),
    "fork.sideways": ({"noise": 0.0}, NONE),
    "fork.steerer_length": ({"into_crown": 0.0}, NONE),
    "fork.under_crown": ({"ahead": 0.0}, NONE),
    "frame.Chainstay": ({"above_shell": 0.0}, NONE),
    "frame.DownTube": ({"above_shell": 0.0}, NONE),
    "frame.Frame.place": (
        {"seat_tube": 28.6, "head_tube": 36.0, "shell": 38.1},
        "1 1/8 in, the head tube of a 1 1/8 in steerer, 1 1/2 in; common practice, no source",
    ),
    "miters.Joint": ({"offset": 0.0, "set_back": 0.0, "turned_deg": 0.0}, NONE),
    "miters.cluster": ({"stations": 361}, STATIONS),
    "miters.cut": ({"stations": 361}, STATIONS),
    "miters.far_end": ({"error_deg": 1.0}, "a degree of error"),
    "miters.gaps": ({"error_deg": 0.0, "stations": 361}, f"true to the angle; {STATIONS}"),
    "miters.joint_line": ({"offset": 0.0}, NONE),
    "miters.saddle": ({"offset": 0.0, "stations": 361}, STATIONS),
    "miters.two_ended": ({"stations": 361}, STATIONS),
    "ovals.ramanujan": ({"form": 2}, "the closer of Ramanujan's two forms"),
    "ovals.ring": ({"load": 1.0}, "for a load of one newton"),
    "pieces.Piece.outline": ({"stations": 181}, "a station every two degrees"),
    "pieces.Trimmed": ({"margin": 30.0}, ALLOWED),
    "pieces.Trimmed.reserved": ({"reserve": 5.0}, "common practice, no source: saw 1, file 1, spoiled miter 3"),
    "pieces.cut_out": ({"margin": 30.0}, ALLOWED),
    "pieces.of_frame": ({"stations": 361}, STATIONS),
    "rear.Chainring": ({"thickness": 2.0}, ALLOWED),
    "rear.Crank": ({"tip": 14.0}, ALLOWED),
    "rear.Heel": ({"up": 0.0, "round": 30.0}, "level with the pedal; round: common practice, no source"),
    "rear.Tab": ({"slot": 0.0}, "a stay that is capped"),
    "rear.Tyre": ({"knobs": 0.0}, NONE),
    "rear.chainstay": ({"above_shell": 0.0}, NONE),
    "rear.pitch_diameter": ({"pitch": 12.7}, "1/2 in, a bicycle's chain (ISO 606, from memory)"),
    "rear.room": ({"begin": 0.0}, "the whole stay"),
    "rear.tacked": ({"toward_deg": 270.0}, "caps that look outward"),
    "rear.tip_diameter": ({"pitch": 12.7}, "as `pitch_diameter`"),
    "rear.tip_limits": ({"pitch": 12.7, "roller": 7.75}, "as `pitch_diameter`; roller of 081, ISO 606, from memory"),
    "runout.bow": ({"harmonics": 1}, "once round"),
    "sections.Ellipse": ({"turned_deg": 0.0}, NONE),
    "skeleton.pedal": ({"crank": 175.0, "out": 150.0, "lean_deg": 7.5, "tie": 75.0}, "ISO 4210-6:2014, 4.3, as quoted in the annex its docstring names; crank and tie: common practice, no source"),
    "skeleton.seat_load": ({"above": 250.0, "behind": 70.0}, "TBIS 79010:2019, Table 8 (after ISO 4210-6)"),
    "sleeves.filler": ({"allowance": 1.5}, ALLOWED),
    "sleeves.lap": ({"times": 3.0}, "Copper Tube Handbook, brazed joints, after AWS"),
    "sleeves.passes": ({"last": 0.1}, ALLOWED),
    "statics.Member": ({"modulus": 205_000.0, "shear_modulus": 80_000.0, "shear": False, "pinned": False}, STEEL),
    "statics.MemberSection": ({"torsion_modulus": nan, "half_y": nan, "half_z": nan}, "not known"),
    "statics.solve": ({"plane": False}, "in space"),
    "stays.Bend": ({"toward_deg": 90.0}, "outward, on the right chainstay"),
    "stays.cap_size": ({"growth": 0.0}, NONE),
    "stays.capped": ({"stations": 361}, STATIONS),
    "stays.cut_end": ({"stations": 361}, STATIONS),
    "stays.s_bend": ({"straight": 0.0, "toward_deg": 90.0}, "bend after bend; as `Bend`"),
    "stays.s_bend_angle_deg": ({"straight": 0.0}, "bend after bend"),
    "stays.s_bend_offset": ({"straight": 0.0}, "bend after bend"),
    "tacks.after_each": ({"first": 1.0, "hold": 0.6}, ALLOWED),
    "tacks.best": ({"first": 1.0, "hold": 0.6, "across": 1.0}, ALLOWED),
    "tacks.pull": ({"first": 1.0, "hold": 0.6}, ALLOWED),
    "tubes.Butted.mass": ({"density": 7.85}, STEEL),
    "tubes.Round.grams_per_metre": ({"density": 7.85}, "the same"),
    "tubes.Oval.grams_per_metre": ({"density": 7.85}, "the same"),
    "tubes.Oval.section": ({"turned_deg": 0.0}, NONE),
    "uncertainty.coverage_factor": ({"confidence": 0.95, "freedom": inf, "sides": 2}, GUM),
    "uncertainty.share_below": ({"freedom": inf}, "the normal distribution"),
    "units.fraction": ({"denominator": 64}, "the finest division of a workshop rule"),
    "units.rise": ({"run": 300.0}, "the leg of a square that a bench has"),
    "vents.footprint": ({"stations": 361}, STATIONS),
    "vents.land": ({"along_off": 0.0, "round_off": 0.0}, NONE),
}  # fmt: skip

NOT_DOMAIN = ("cli", "project", "book", "classroom", "commands", "figures", "sheets")


def found():
    """Function → its default numbers, of all public functions, methods and records of the kit."""
    taken = {}
    for one in pkgutil.iter_modules(coursekit.__path__):
        if one.name in NOT_DOMAIN:
            continue
        module = importlib.import_module(f"coursekit.{one.name}")
        for name, thing in vars(module).items():
            home = getattr(thing, "__module__", "").removeprefix("coursekit.")
            if name.startswith("_") or home not in (one.name, *_inner(module)):
                continue
            inside = vars(thing).items() if inspect.isclass(thing) else ()
            for where, function in ((name, thing), *((f"{name}.{k}", f) for k, f in inside if inspect.isfunction(f) and k[0] != "_")):  # fmt: skip
                if numbers := _numbers(function):
                    taken[f"{one.name}.{where}"] = numbers
    return taken


def _inner(module):
    """The modules inside a package whose things it gives out under its own name."""
    given = getattr(module, "__all__", ())
    homes = {getattr(getattr(module, n), "__module__", "") for n in given}
    return {h.removeprefix("coursekit.") for h in homes if h.startswith(f"{module.__name__}.")}


def _numbers(function):
    try:
        parameters = inspect.signature(function).parameters.values()
    except (TypeError, ValueError):
        return {}
    return {p.name: p.default for p in parameters if isinstance(p.default, (int, float))}


FOUND = found()


@pytest.mark.parametrize("name", sorted(DEFAULTS.keys() | FOUND.keys()))
def test_each_default_is_as_it_is_told_here(name):
    wanted, why = DEFAULTS[name]
    assert why
    assert FOUND[name].keys() == wanted.keys()
    for key, value in wanted.items():
        assert type(FOUND[name][key]) is type(value)
        assert FOUND[name][key] == value or (isnan(value) and isnan(FOUND[name][key]))
