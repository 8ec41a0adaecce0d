"""A frame file makes the frame it says, and every slip in it is told with its place and its cure."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from coursekit import butts, frame
from coursekit.buildable import Post, Ring, Thread
from coursekit.sheets import frame_file
from coursekit.sheets.frame_file import FrameFileError

WHOLE = frame_file.EXAMPLE.read_text(encoding="utf-8")


def changed(*pairs: tuple[str, str]) -> str:
    """The example with lines replaced; each must be there once."""
    text = WHOLE
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def read(tmp_path: Path, text: str) -> Any:
    path = tmp_path / "frame.toml"
    path.write_text(text, encoding="utf-8")
    return frame_file.read(path)


def test_example_is_the_frame_it_describes(tmp_path: Path) -> None:
    own = read(tmp_path, WHOLE)
    wanted = frame.draw(
        seat_angle_deg=73, head_angle_deg=72.5, chainstay=425, bb_drop=70, wheel_radius=340,
        fork_length=380, fork_offset=45, lower_stack=12, head_tube=145, seat_tube=560,
        front_centre=595,
    )  # fmt: skip
    assert own.frame.points == wanted.points
    assert (own.name, own.builder) == ("Example frame", "bench-01")
    assert own.frame.tubes.axes["right_chainstay"].diameter == 22.2
    assert own.tubes["top_tube"].wall_at(0) == 0.8
    assert own.bench.cone_deg == 60
    assert (own.sleeve.lap, own.sleeve.outside) == (20, 31.8)
    assert own.fitted.thread == Thread(34.798, 25.4 / 24)
    assert (own.fitted.faced, own.fitted.tyre, own.fitted.pedal_out) == (68, 25, 150)
    assert own.fitted.post == Post(27.2, 80)
    assert own.fitted.ring == Ring(42, 45)
    assert own.fitted.holds_foot is False
    assert list(own.pieces)[:2] == ["head_tube", "seat_tube"]
    assert len(own.trimmed) == 8


def test_head_tube_gets_the_longer_butt(tmp_path: Path) -> None:
    trimmed = read(tmp_path, WHOLE).trimmed
    for name in ("top_tube", "down_tube"):
        plan = trimmed[name].plan
        assert plan.from_a == pytest.approx(plan.most_from_a - butts.RESERVE)
    own = read(
        tmp_path, changed(("above_head_bottom = 12 ", "from_a = 5\nabove_head_bottom = 12 "))
    )
    assert own.trimmed["down_tube"].plan.from_a == 5
    assert own.trimmed["down_tube"].in_hand("a") == pytest.approx(75.8 - 5, abs=0.05)


@pytest.mark.parametrize(
    ("lengths", "wanted"),
    [
        ("110, 40, 320, 40, 130", (5.0, 45.5)),  # as it stands: the seat end keeps the reserve
        # both cuts are 100.5 mm and both needs 48.0 + 41.0 mm: 193.5 mm of butt leave 4.0 mm
        ("98, 40, 366.5, 40, 95.5", (2.0, 2.0)),
    ],
)
def test_each_butt_keeps_a_reserve(
    tmp_path: Path, lengths: str, wanted: tuple[float, float]
) -> None:
    """A miter spoiled once must not cost the tube: from the lesson's own "2 mm deeper … is scrap"."""
    text = WHOLE.replace("lengths = [110, 40, 320, 40, 130]", f"lengths = [{lengths}]")
    cut = read(tmp_path, text).trimmed["top_tube"]
    assert (cut.in_hand("a"), cut.in_hand("b")) == pytest.approx(wanted, abs=0.06)
    assert cut.plan.least_from_a <= cut.plan.from_a <= cut.plan.most_from_a


def test_lengths_may_be_shop_text(tmp_path: Path) -> None:
    own = read(
        tmp_path,
        changed(("diameter = 31.8", 'diameter = "1 1/4 in"'), ("wall = 1.1", 'wall = "19 BWG"')),
    )
    assert own.tubes["down_tube"].diameter == 31.75
    assert own.tubes["head_tube"].walls[0] == pytest.approx(0.042 * 25.4)


def test_stays_and_the_last_tables_may_be_left_out(tmp_path: Path) -> None:
    text = WHOLE[: WHOLE.index("[tubes.chainstay]")]
    own = read(tmp_path, text)
    assert set(own.pieces) == {"head_tube", "seat_tube", "top_tube", "down_tube"}
    assert own.sleeve is None
    assert own.bench.heat_margin == 30


@pytest.mark.parametrize("name", ["reach", "wheelbase", "top_tube_level"])
def test_other_dimensions_fix_the_same_frame(name: str, tmp_path: Path) -> None:
    base = read(tmp_path, WHOLE)
    value = float(getattr(base.frame, name))
    own = read(tmp_path, changed(("front_centre = 595", f"{name} = {value!r}")))
    assert own.frame.front_centre == pytest.approx(595, abs=1e-9)
    assert own.version == base.version


def test_version_changes_with_every_number_and_not_with_a_name(tmp_path: Path) -> None:
    base = read(tmp_path, WHOLE).version
    assert re.fullmatch("[0-9a-f]{6}", base)
    assert read(tmp_path, changed(('name = "Example frame"', 'name = "Other"'))).version == base
    for old, new in (
        ("bb_drop = 70", "bb_drop = 71"),
        ("below_head_top = 15 ", "below_head_top = 16 "),
        ("lengths = [110, 40, 320", "lengths = [111, 40, 319"),
        ("short_of_axle = 22", "short_of_axle = 23"),
        ("lap = 20 ", "lap = 21 "),
        ("faced = 68", "faced = 67"),
        ("teeth = 42", "teeth = 40"),
        ("holds_foot = false", "holds_foot = true"),
        ("cone_deg = 60", "cone_deg = 45"),
        ("lengths = [120, 40, 340, 40, 170]", "lengths = [120, 40, 340, 40, 170]\nfrom_a = 1"),
    ):
        assert read(tmp_path, changed((old, new))).version != base


SLIPS = [
    ("not TOML", [('name = "Example frame"', "name = Example frame")],
     "the file must be TOML, `name = value` lines under [tables]; got an error: "),
    ("unknown table", [("[sleeve]", "[sleve]")],
     "frame.toml: every name must be one of name, builder, drawing, tubes, sleeve, post, tyre, crankset, rear, fork, "
     "bench, record; got 'sleve'. "
     "Did you mean sleeve?"),
    ("no drawing", [("[drawing]", "[bench.drawing]")], "frame.toml: it must have a table for drawing; got none. "
     "Add it as in the example."),
    ("drawing is a number", [("[drawing]", "drawing = 3\n[bench.x]")],
     "frame.toml: it must have a table for drawing; got 3. Add it as in the example."),
    ("unknown tube", [("[tubes.shell]", "[tubes.shel]")],
     "frame.toml, [tubes]: every name must be one of shell, head_tube, seat_tube, top_tube, down_tube, "
     "chainstay, seatstay; got 'shel'. Did you mean shell?"),
    ("tube left out", [("[tubes.seat_tube]", "[tubes.seatstay.x]")],
     "frame.toml, [tubes]: it must have a table for seat_tube; got none. Add it as in the example."),
    ("tube is a number", [("[tubes.shell]\n", "[tubes]\nshell = 40\n[sleeve.x]\n")],
     "frame.toml, [tubes]: it must have a table for shell; got 40. Add it as in the example."),
    ("unknown key", [("below_head_top = 15 ", "below_headtop = 15 ")],
     "frame.toml, [tubes.top_tube]: every name must be one of diameter, wall, length, walls, lengths, from_a, "
     "below_head_top, below_seat_top, slope_deg; got 'below_headtop'. Did you mean below_head_top?"),
    ("key left out", [("above_head_bottom = 12 ", "above_shell = 0 ")],
     "frame.toml, [tubes.down_tube]: it must have above_head_bottom; got none. Add the line."),
    ("no diameter", [("diameter = 36\n", "")],
     "frame.toml, [tubes.head_tube]: it must have diameter; got none. Add the line."),
    ("words for a number", [("diameter = 36\n", 'diameter = "thick"\n')],
     "frame.toml, [tubes.head_tube], diameter: The length must be a number with mm or in, or a gauge with "
     "BWG or SWG; got 'thick'. Write it like '1 1/8 in', '28.6 mm' or '20 BWG'."),
    ("true for a number", [("diameter = 36\n", "diameter = true\n")],
     "frame.toml, [tubes.head_tube]: diameter must be a number; got True. Write it like `diameter = 28.6`."),
    ("a list for a number", [("diameter = 36\n", "diameter = [36]\n")],
     "frame.toml, [tubes.head_tube]: diameter must be a number; got [36]. Write it like `diameter = 28.6`."),
    ("not a number", [("bb_drop = 70", "bb_drop = nan")],
     "frame.toml, [drawing]: bb_drop must be a number; got nan. Write it like `bb_drop = 28.6`."),
    ("without end", [("bb_drop = 70", "bb_drop = inf")],
     "frame.toml, [drawing]: bb_drop must be a number; got inf. Write it like `bb_drop = 28.6`."),
    ("text for an angle", [("head_angle_deg = 72.5", 'head_angle_deg = "72.5"')],
     "frame.toml, [drawing]: head_angle_deg must be a number; got '72.5'. Write it like `head_angle_deg = 28.6`."),
    ("micrometres", [("seat_tube = 560 ", "seat_tube = 560000 ")],
     "frame.toml, [drawing]: seat_tube must not be larger than 3000; got 560000. Check the unit: lengths are mm."),
    ("metres", [("diameter = 36\n", "diameter = 0.036\n")],
     "frame.toml, [tubes.head_tube]: diameter must be 1 mm or more; got 0.036. Check the unit."),
    ("negative diameter", [("diameter = 36\n", "diameter = -36\n")],
     "frame.toml, [tubes.head_tube]: diameter must be 1 mm or more; got -36. Check the unit."),
    ("wall too thick", [("wall = 1.1", "wall = 19")],
     "frame.toml, [tubes.head_tube]: The wall must be at most half the diameter; got 19 mm"),
    ("two walls", [("walls = [0.8, 0.5, 0.8]", "walls = [0.8, 0.5]")],
     "frame.toml, [tubes.top_tube]: walls must be a list of 3 numbers; got [0.8, 0.5]. Mend the list."),
    ("one wall", [("walls = [0.8, 0.5, 0.8]", "walls = 0.8")],
     "frame.toml, [tubes.top_tube]: walls must be a list of 3 numbers; got 0.8. Mend the list."),
    ("no lengths", [("lengths = [110, 40, 320, 40, 130]\n", "")],
     "frame.toml, [tubes.top_tube]: the tube must have wall and length, or walls and lengths; got walls. "
     "Give one pair of the two."),
    ("both pairs", [("lengths = [110, 40, 320, 40, 130]\n", "lengths = [110, 40, 320, 40, 130]\nwall = 0.8\n")],
     "frame.toml, [tubes.top_tube]: the tube must have wall and length, or walls and lengths; got lengths, wall, "
     "walls. Give one pair of the two."),
    ("negative length", [("lengths = [110, 40, 320, 40, 130]", "lengths = [110, 40, -320, 40, 130]")],
     "frame.toml, [tubes.top_tube]: The belly must be 0 or more; got -320 mm. Check the sign."),
    ("unknown dimension", [("bb_drop = 70", "bb_dropp = 70")],
     "frame.toml, [drawing]: A dimension must be one of"),
    ("too few dimensions", [("bb_drop = 70\n", "")],
     "frame.toml, [drawing]: The dimensions given must fix the frame;"),
    ("too many dimensions", [("bb_drop = 70", "bb_drop = 70\nwheelbase = 1200")],
     "frame.toml, [drawing]: The dimensions must not contradict each other;"),
    ("angle from the vertical", [("head_angle_deg = 72.5", "head_angle_deg = 17.5")],
     "frame.toml, [drawing]: The head angle must lie between 45° and 90° from the horizontal; got 17.5°. "
     "If it was measured from the vertical, take it from 90°."),
    ("chainstay shorter than the drop", [("chainstay = 425", "chainstay = 60")],
     "frame.toml, [drawing]: The chainstay must be longer than the drop, or it cannot reach the axle; got a "
     "chainstay of 60 mm and a drop of 70 mm. Check both numbers."),
    ("head tube too short", [("head_tube = 145", "head_tube = 40")],
     "frame.toml, [tubes]: The head tube must be long enough for both tubes;"),
    ("seat tube too short", [("seat_tube = 560 ", "seat_tube = 400 "), ("below_seat_top = 30 ", "slope_deg = 0 ")],
     "frame.toml, [tubes]: The top tube must meet the seat tube below its top; got "),
    ("sleeve is a number", [("[sleeve]", "[x]"), ("[drawing]", "sleeve = 3\n[drawing]")], "frame.toml: every name must be"),
    ("bench is a number", [("[bench] ", "[sleeve.x] "), ("[drawing]", "bench = 3\n[drawing]")],
     "frame.toml, [bench]: it must be a table; got 3. See the example."),
    ("slope given twice", [("below_seat_top = 30 ", "slope_deg = 0\nbelow_seat_top = 30 ")],
     "frame.toml, [tubes]: The top tube must be given by one of below_seat_top and slope_deg; got both. "
     "Give just one of them."),
    ("no slope", [("below_seat_top = 30 ", "# below_seat_top = 30 ")],
     "frame.toml, [tubes]: The top tube must be given by one of below_seat_top and slope_deg; got neither. "
     "Give just one of them."),
    ("sleeve without lap", [("lap = 20 ", "# ")], "frame.toml, [sleeve]: it must have lap; got none. Add the line."),
    ("thread in words", [('"1.370 in x 24 TPI"', '"English"')],
     "frame.toml, [tubes.shell]: thread must be a size and its threads an inch; got 'English'. Write it like "
     '`thread = "1.370 in x 24 TPI"`.'),
    ("thread without ridges", [("x 24 TPI", "x 0 TPI")],
     "frame.toml, [tubes.shell], thread: The threads must be greater than 0; got 0 an inch."),
    ("thread is a number", [('"1.370 in x 24 TPI"', "34.8")],
     "frame.toml, [tubes.shell]: thread must be a size and its threads an inch; got 34.8."),
    ("faced to none", [("faced = 68", "faced = 0")],
     "frame.toml: The faced width must be greater than 0; got 0 mm. Check the number."),
    ("post without insertion", [("insertion = 80 ", "# ")],
     "frame.toml, [post]: it must have insertion; got none. Add the line."),
    ("post of no size", [("diameter = 27.2", "diameter = 0")],
     "frame.toml: The seat post's diameter must be greater than 0; got 0 mm. Check the number."),
    ("tyre is empty", [("width = 25\n", "")],
     "frame.toml, [tyre]: it must have width; got none. Add the line."),
    ("half a chainring", [("chainline = 45 ", "# ")],
     "frame.toml, [crankset]: it must have teeth and chainline, or neither; got no chainline. Add the line."),
    ("chainring of four", [("teeth = 42 ", "teeth = 4 ")],
     "frame.toml: The chainring must have 10 teeth or more; got 4. Count them."),
    ("clips in words", [("holds_foot = false", 'holds_foot = "clips"')],
     "frame.toml, [crankset]: holds_foot must be true or false; got 'clips'. Write it without quotes."),
    ("pedal inside", [("pedal_out = 150", "pedal_out = -150")],
     "frame.toml: The distance from the frame's plane to the pedal must be 0 or more; got -150 mm."),
    ("no tacks", [("tacks_deg = [0, 90, 180, 270]", "tacks_deg = []")],
     "frame.toml, [bench]: tacks_deg must be a list of numbers; got []. Mend the list."),
    ("a date", [("tack_hold = 0.6", "tack_hold = 2026-01-01")],
     "frame.toml, [bench]: tack_hold must be a number; got datetime.date(2026, 1, 1)."),
]  # fmt: skip


@pytest.mark.parametrize(("pairs", "message"), [s[1:] for s in SLIPS], ids=[s[0] for s in SLIPS])
def test_slip_is_told_with_its_place_and_cure(
    tmp_path: Path, pairs: list[tuple[str, str]], message: str
) -> None:
    with pytest.raises(FrameFileError) as refused:
        read(tmp_path, changed(*pairs))
    said = str(refused.value).removeprefix(f"{tmp_path}/frame.toml: ")
    assert said.startswith(message)


LATER = [
    ("tube too short", [("lengths = [110, 40, 320, 40, 130]", "lengths = [90, 40, 220, 40, 110]")],
     "top tube: The tube must be at least as long as the finished length; got 500 mm for "),
    ("butt too short", [("lengths = [120, 40, 340, 40, 170]", "lengths = [20, 40, 440, 40, 170]")],
     "down tube: The butt at end a must reach past its joint; got 20 mm for "),
    ("cut outside the window", [("below_head_top = 15 ", "from_a = 80\nbelow_head_top = 15 ")],
     "top tube: The cut at end a must lie within its window; got "),
    ("stay wider than its tube", [("apart_at_seat_tube = 14", "apart_at_seat_tube = 20")],
     "right seatstay, end a: The joints must catch every line of the tube; got a line at "),
    ("stay shorter than what it stops short", [("short_of_axle = 22 ", "short_of_axle = 500 ")],
     "The stay must be longer than it stops short of the axle; got 500 mm of "),
]  # fmt: skip


@pytest.mark.parametrize(("pairs", "message"), [s[1:] for s in LATER], ids=[s[0] for s in LATER])
def test_what_shows_only_in_the_cutting_is_told_too(
    tmp_path: Path, pairs: list[tuple[str, str]], message: str
) -> None:
    own = read(tmp_path, changed(*pairs))
    with pytest.raises(ValueError) as refused:
        _ = own.trimmed
    assert str(refused.value).startswith(message)


def test_file_that_is_not_there_or_no_text(tmp_path: Path) -> None:
    with pytest.raises(FrameFileError, match=r"got no such file\. Start one with"):
        frame_file.read(tmp_path / "none.toml")
    with pytest.raises(FrameFileError, match="the frame file must be a text file; got"):
        frame_file.read(tmp_path)
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00n")
    with pytest.raises(FrameFileError, match="the frame file must be a text file; got"):
        frame_file.read(tmp_path / "bytes.toml")
