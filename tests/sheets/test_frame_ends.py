"""A frame file's rear end and fork: every slip is told with its place and its cure, and old files stay as they were."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from coursekit.sheets import frame_file
from coursekit.sheets.frame_file import FrameFileError
from tests import frames_with_ends

GOOD_TAB = {"length": 32, "angle_deg": -9.5, "slot": 12}
BEND = {"at": 150, "radius": 120, "angle_deg": 5}

# what, frame, changes, left out, what is told
SLIPS: list[tuple[str, str, dict[str, Any], tuple[str, ...], str]] = [
    ("no rear table", "road", {"rear": 3}, (), "frame.toml: it must have a table for rear; got 3. Add it as in the example."),
    ("unknown key of rear", "road", {"rear.thicknes": 6}, (), "frame.toml, [rear]: every name must be one of thickness, seatstays, axle,"),
    ("no thickness", "road", {}, ("rear.thickness",), "frame.toml, [rear]: it must have thickness; got none. Add it."),
    ("no tab", "road", {}, ("rear.chainstay_tab",), "frame.toml, [rear]: it must have chainstay_tab; got none. Add it."),
    ("no way to meet", "road", {}, ("rear.seatstays",), "frame.toml, [rear]: it must have seatstays; got none. Add it."),
    ("unknown way to meet", "road", {"rear.seatstays": "lug"}, (),
     'frame.toml, [rear]: seatstays must be one of "flank", "seat tube", "each other", "mono-tube"; got \'lug\'. Name one of them.'),
    ("unknown axle", "road", {"rear.axle": "141"}, (), 'frame.toml, [rear]: axle must be one of "110", "120", "126", "130", "135", "142 through", "148 through"; got \'141\'.'),
    ("axle and spacing", "road", {"rear.spacing": 130}, (), "frame.toml, [rear]: it must have one of axle and spacing; got both. Give just one of them."),
    ("neither axle nor spacing", "road", {}, ("rear.axle",), "frame.toml, [rear]: it must have one of axle and spacing; got neither."),
    ("spacing of the bench", "road", {"bench.spacing": 126}, (), "frame.toml, [bench]: spacing must be that of [rear]; got 126 and 130. Take it out, or make them alike."),
    ("hanger of one number", "road", {"rear.hanger": [8]}, (), "frame.toml, [rear]: hanger must be a list of 2 numbers; got [8]. Mend the list."),
    ("flank without a cap", "road", {}, ("rear.cap_deg",), 'frame.toml, [rear]: seatstays = "flank" must have cap_deg; got none. Add it.'),
    ("mono without a tube", "trail", {}, ("rear.mono_tube",), 'frame.toml, [rear]: seatstays = "mono-tube" must have mono_tube; got none.'),
    ("cap on no flank", "touring", {"rear.cap_deg": 30}, (), 'frame.toml, [rear]: cap_deg must go with seatstays = "flank"; got "seat tube". Take it out.'),
    ("tab that is a number", "road", {"rear.chainstay_tab": 32}, (), "frame.toml, [rear.chainstay_tab]: it must be a table; got 32."),
    ("tab without an angle", "road", {}, ("rear.chainstay_tab.angle_deg",), "frame.toml, [rear.chainstay_tab]: it must have angle_deg; got none. Add the line."),
    ("slot deeper than its tab", "road", {"rear.chainstay_tab.slot": 40}, (), "frame.toml, [rear]: The slot must be less deep than the tab is long; got 40 mm in 32 mm."),
    ("tabs swapped", "road", {"rear.chainstay_tab.angle_deg": 80}, (), "frame.toml, [rear]: The seatstay's tab must point higher than the chainstay's;"),
    ("bridge off the stay", "road", {"rear.chainstay_bridge.from_axle": 500}, (), "frame.toml, [rear.chainstay_bridge]: The distance must lie between those of the stay's two ends;"),
    ("bridge wider than the stay", "road", {"rear.seatstay_bridge.diameter": 16}, (), "frame.toml, [rear.seatstay_bridge]: The cut stay must lie within the width of what it meets;"),
    ("bridge without a wall", "road", {}, ("rear.seatstay_bridge.wall",), "frame.toml, [rear.seatstay_bridge]: it must have wall; got none. Add the line."),
    ("unknown brake", "road", {"rear.brake.kind": "drum"}, (), 'frame.toml, [rear.brake]: kind must be one of "caliper", "cantilever", "disc"; got \'drum\'. Name one of them.'),
    ("caliper without reach", "road", {}, ("rear.brake.reach",), "frame.toml, [rear.brake]: it must have reach; got none. Add the line."),
    ("caliper on no bridge", "road", {}, ("rear.seatstay_bridge",), "frame.toml, [rear]: a caliper must have seatstay_bridge; got none. Add it: the brake sits on it."),
    ("reach the wrong way round", "road", {"rear.brake.reach": [49, 39]}, (), "frame.toml, [rear.brake]: The brake's longest reach must not be less than its shortest; got 39 mm and 49 mm."),
    ("disc on the seat tube", "touring", {"rear.brake.on": "seat tube"}, (), 'frame.toml, [rear.brake]: on must be one of "chainstay", "seatstay"; got \'seat tube\'.'),
    ("rotor of none", "touring", {"rear.brake.rotor": 0}, (), "frame.toml, [rear.brake]: The rotor's diameter must be greater than 0; got 0 mm."),
    ("rear without chainstays", "road", {}, ("tubes.chainstay",), "frame.toml, [tubes]: it must have a table for chainstay; got none."),
    ("said twice at the axle", "road", {"tubes.chainstay.apart_at_axle": 118}, (), "frame.toml, [tubes.chainstay]: apart_at_axle must be left out where [rear] is there; got 118."),
    ("said twice along the stay", "road", {"tubes.seatstay.short_of_axle": 28}, (), "frame.toml, [tubes.seatstay]: short_of_axle must be left out where [rear] is there; got 28."),
    ("apart on the flank", "road", {"tubes.seatstay.apart_at_seat_tube": 14}, (), "frame.toml, [tubes.seatstay]: apart_at_seat_tube must be left out where [rear] is there; got 14."),
    ("not apart in the seat tube", "touring", {}, ("tubes.seatstay.apart_at_seat_tube",), "frame.toml, [tubes.seatstay]: it must have apart_at_seat_tube; got none."),
    ("stays through each other", "touring", {"tubes.seatstay.apart_at_seat_tube": 10}, (), "frame.toml, [tubes.seatstay]: The two stays must lie beside each other; got 10 mm apart for 14 mm of stay."),
    ("shape without rear", "road", {"tubes.chainstay.apart_at_axle": 118}, ("rear",), "frame.toml, [tubes.chainstay]: places must go with a table [rear]; got none. Add it, or take places out."),
    ("places without widths", "road", {}, ("tubes.chainstay.widths",), "frame.toml, [tubes.chainstay]: it must have places and widths, or neither; got no widths."),
    ("widths that don't match", "road", {"tubes.chainstay.widths": [22.2]}, (), "frame.toml, [tubes.chainstay]: The taper must have as many widths as places; got 1 for 2."),
    ("another diameter", "road", {"tubes.chainstay.diameter": 19}, (), "frame.toml, [tubes.chainstay]: the first of widths, or of depths, must be the diameter; got 22.2 and 19."),
    ("bends that are a number", "road", {"tubes.chainstay.bends": 5}, (), "frame.toml, [tubes.chainstay]: bends must be a list of tables; got 5. Write it like `bends = [{ at = 120 }]`."),
    ("a bend without a radius", "road", {"tubes.chainstay.bends": [{"at": 150, "angle_deg": 5}]}, (), "frame.toml, [tubes.chainstay], bends 1: it must have radius; got none. Add the line."),
    ("a bend of nothing", "road", {"tubes.chainstay.bends": [BEND | {"angle_deg": 0}]}, (), "frame.toml, [tubes.chainstay]: The bend must turn the tube by more than 0° and less than 180°; got 0°."),
    ("bends on each other", "road", {"tubes.chainstay.bends": [BEND, BEND]}, (), "frame.toml, [tubes.chainstay]: The bends must follow each other on the tube;"),
    ("a bend that folds", "road", {"tubes.chainstay.bends": [BEND | {"radius": 9}]}, (), "frame.toml, [tubes.chainstay]: The bend must be wider than half the tube, or its inner side folds;"),
    ("a dimple through the tube", "road", {"tubes.chainstay.dimples": [{"at": 80, "length": 60, "depth": 14, "toward_deg": 270}]}, (),
     "frame.toml, [tubes.chainstay]: The dimple must not reach past the middle of the tube;"),
    ("half a crank", "road", {}, ("crankset.inside_at_bb",), "frame.toml, [crankset]: it must have inside_at_bb and inside_at_pedal, or neither; got no inside_at_bb."),
    ("half a heel", "road", {}, ("crankset.heel_behind",), "frame.toml, [crankset]: it must have heel_behind and heel_inside, or neither; got no heel_behind."),
    ("half a tooth", "road", {"crankset.teeth": 39.5}, (), "frame.toml, [crankset]: The chainring must have 9 teeth or more, and a whole number; got 39.5."),
    ("knobs inward", "road", {"tyre.knobs": -2}, (), "frame.toml, [tyre]: knobs must be 0 or more; got -2. Check the sign."),
    ("unknown part of a fork", "road", {"fork.crwon": {}}, (), "frame.toml, [fork]: every name must be one of crown, shoulder, blade, bend, dropout, steerer, brake; got 'crwon'. Did you mean crown?"),
    ("fork without blades", "road", {}, ("fork.blade",), "frame.toml, [fork]: it must have blade; got none. Add it."),
    ("fork without a crown", "road", {}, ("fork.crown",), "frame.toml, [fork]: it must have one of crown and shoulder; got neither."),
    ("crown and shoulder", "trail", {"fork.crown": {"below": 20, "spread": 60, "underside": 20, "depth": 30}}, (), "frame.toml, [fork]: it must have one of crown and shoulder; got both."),
    ("shoulders on no steerer", "trail", {}, ("fork.steerer",), "frame.toml, [fork]: a fork with shoulders must have steerer; got none. Add it: they are mitered to it."),
    ("straight unicrown", "trail", {}, ("fork.bend",), "frame.toml, [fork]: The blades of a unicrown fork must run straight down before they are raked; got a lean of"),
    ("one number for the bend", "road", {}, ("fork.bend.tail",), "frame.toml, [fork]: The bend must be given by two of radius, start and tail; got radius."),
    ("a bend that can't reach", "road", {"fork.bend": {"radius": 200, "start": 345}}, (), "frame.toml, [fork]: The blade must be able to reach the axle;"),
    ("blade without a top", "road", {}, ("fork.blade.top",), "frame.toml, [fork.blade]: it must have top; got none. Add the line."),
    ("tip wider than the top", "road", {"fork.blade.tip": 30}, (), "frame.toml, [fork.blade]: The tip must not be wider than the top; got 30 mm and 24 mm."),
    ("two ways for a blade", "touring", {"fork.blade.top": 24}, (), "frame.toml, [fork.blade]: the blade must have places, widths and walls, or top, tip, straight and wall; got some of each."),
    ("a blade's last place", "touring", {"fork.blade.length": 430}, (), "frame.toml, [fork.blade]: the last of places must be the length; got 420 and 430."),
    ("a shoulder inside the steerer", "trail", {"fork.shoulder.spread": 40}, (), "frame.toml, [fork]: The shoulder must be long enough to leave the steerer before it bends;"),
    ("a crown at the axle", "road", {"fork.crown.below": 380}, (), "frame.toml, [fork]: The axle must lie below the blades' upper ends;"),
    ("caliper without a bolt", "road", {}, ("fork.brake.bolt",), "frame.toml, [fork.brake]: it must have bolt; got none. Add the line."),
    ("steerer of no length", "road", {"fork.steerer.length": 0}, (), "frame.toml, [fork]: The steerer's length must be greater than 0; got 0 mm."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "changes", "without", "told"), [s[1:] for s in SLIPS], ids=[s[0] for s in SLIPS]
)
def test_slip_is_told_with_its_place_and_cure(name, changes, without, told) -> None:
    with pytest.raises(FrameFileError) as refused:
        frames_with_ends.broken(name, changes, without)
    assert str(refused.value).startswith(told), str(refused.value)
    assert str(refused.value).endswith((".", "?"))


def test_a_frame_with_ends_says_what_its_file_does() -> None:
    own = frames_with_ends.whole("road")
    rear, front = own.ends.rear, own.ends.front
    assert rear is not None
    assert front is not None
    assert (rear.end.spacing, own.bench.spacing) == (130, 130)
    assert rear.end.dropout.hanger == (-8, -27)
    assert rear.seatstays.way == "tacked to the flank"
    assert rear.brake is not None
    assert rear.brake.reach == (39, 49)
    assert rear.crank is not None
    assert rear.crank.length == 170
    assert set(rear.bridges) == {"chainstay_bridge", "seatstay_bridge"}
    assert front.steerer is not None
    assert front.steerer.needed == 145 + 12 + 40 + 25
    assert list(own.pieces) == ["head_tube", "seat_tube", "top_tube", "down_tube"]
    assert set(frames_with_ends.whole("trail").ends.rear.tubes) == {
        "right_chainstay", "left_chainstay", "right_seatstay", "left_seatstay", "mono_tube",
    }  # fmt: skip


@pytest.mark.parametrize(
    "change",
    [{"tubes.chainstay.widths": [22.2, 12.4]}, {"rear.thickness": 5.9}, {"fork.bend.radius": 199},
     {"tyre.knobs": 1}, {"rear.brake.reach": [39, 50]}, {"crankset.heel_inside": 101}],
)  # fmt: skip
def test_every_number_of_the_ends_changes_the_version(change) -> None:
    assert frames_with_ends.broken("road", change).version != frames_with_ends.whole("road").version


@pytest.mark.parametrize("name", frames_with_ends.NAMES)
def test_a_frame_with_ends_has_all_the_numbers_of_the_lessons(name) -> None:
    """A student's real frame goes through the lessons: the straight stand-ins give statics its stays."""
    from coursekit.sheets import frame_facts

    found = frame_facts.facts(frames_with_ends.whole(name))
    assert found["chainstay.apart_at_axle"] == pytest.approx(
        found["bench.spacing"] + frames_with_ends.tables(name)["rear"]["thickness"]
    )
    assert found["pushed.push"] != 0


def test_an_old_file_has_no_ends() -> None:
    own = frame_file.build(tomllib.loads(frame_file.EXAMPLE.read_text(encoding="utf-8")))
    assert (own.ends.rear, own.ends.front, own.ends.told) == (None, None, None)
    assert own.main is own.frame
