"""A frame's papers against each other: what closes, what is open, and what the command says."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from math import cos, radians, sin, sqrt
from pathlib import Path

import pytest
from click.testing import CliRunner

from coursekit import closure, fixture
from coursekit.buildable import Sleeve
from coursekit.cli import main
from coursekit.sheets import checks, dossier, frame_file
from tests.conftest import ROOT
from tests.sheets import builds, paper


def recorded(**record):
    return frame_file.build(builds.tables() | {"record": record})


def test_the_example_closes_and_each_check_is_named_once():
    made = checks.of(builds.example())
    assert all(check.closes for check in made)
    assert len({check.say for check in made}) == len(made) > 30
    assert [c.say for c in made if "mark to mark" in c.say] == [
        "top tube: mark to mark, template and cut list",
        "down tube: mark to mark, template and cut list",
    ]


def test_a_sleeve_for_another_tube_is_open():
    own = builds.example()
    over = replace(own, sleeve=replace(own.sleeve, plug=28.4))
    inside = replace(own, sleeve=Sleeve(26.8, 27.0, 30))
    for wrong, one, other in ((over, 28.4, 28.6), (inside, 27.0, 28.6 - 2 * 0.7)):
        (found,) = checks.open_ones(wrong)
        assert found.say.startswith("sleeve")
        assert (found.one, found.other) == pytest.approx((one, other))
    assert checks.open_ones(replace(own, sleeve=None)) == ()


READ = {
    "wheelbase": sqrt(425**2 - 70**2) + sqrt(595**2 - 70**2),
    "head_angle_deg": 72.5,
    "wheel_radius": 340.0,
    "top_tube_marks": 485.4,
    "top_tube_axis": 550.4,
    "top_tube_piece": 539.5,
    "seat_tube_axis": 560.0,
}


@pytest.mark.parametrize("name", READ)
def test_a_reading_is_open_where_it_is_off_by_more_than_allowed(name):
    allowed = 0.3 if name.endswith("_deg") else 2.0
    for off, is_open in ((0.9, False), (-0.9, False), (1.2, True), (-1.2, True)):
        own = recorded(**{name: READ[name] + off * allowed})
        assert [c.one for c in checks.open_ones(own)] == [READ[name] + off * allowed] * is_open


def test_what_is_allowed_can_be_set():
    assert checks.open_ones(recorded(chainstay=425.4, allowed=0.5)) == ()
    assert len(checks.open_ones(recorded(chainstay=425.4, allowed=0.3))) == 1
    assert len(checks.open_ones(recorded(seat_angle_deg=73.1, allowed_deg=0.05))) == 1


def test_a_record_moves_no_line_on_paper():
    assert recorded(wheelbase=1234.0).version == builds.example().version


@pytest.mark.parametrize(
    ("record", "says"),
    [
        ({"wheelbace": 1010.0}, "got 'wheelbace'. Did you mean wheelbase?"),
        ({"top_tube_ears": 1.0}, "every name must be one of"),
        ({"allowed": -1.0}, "allowed must be 0 or more; got -1"),
        ({"wheelbase": "a metre"}, r"\[record\], wheelbase"),
    ],
)
def test_refused_records(record, says):
    with pytest.raises(frame_file.FrameFileError, match=says):
        recorded(**record)


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["sheets", *words], env={"COURSEKIT_ROOT": str(ROOT)})
    return done.exit_code, done.output


def test_the_command_says_what_closes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine.toml")[0] == 0
    code, said = run("closure", "mine.toml", "--out", "said/closure.txt")
    assert code == 0
    assert re.search(r"closes +1010\.06 +1010\.06  wheelbase, drawing and fixture", said)
    flat = " ".join(said.split())
    assert "All 13 numbers found in two ways close. In the other 19, marked `agrees`" in flat
    assert "All share the frame file" in flat
    built, _, sums = said.partition("\n\n")
    assert built.startswith("Can it be built? Nothing that the kit checks forbids it.\ncare ")
    assert "\ncare    top tube to seat tube: the fillet has little shoulder" in built
    assert "CAN'T" not in said
    assert built.count("Equal tubes are brazed every day") == 1  # of three such joints
    assert built.count("little shoulder on the flanks") == 3
    assert sums.startswith("closes ")
    lines = (tmp_path / "said" / "closure.txt").read_text("utf-8").partition("\n\n")[2].splitlines()
    assert Counter(line.split()[0] for line in lines) == {"closes": 13, "agrees": 19}


def test_only_lines_that_share_no_step_are_called_two_ways():
    """The tubes' sums, the fixture's faces and the marks follow from what they stand beside."""
    two = [c.say for c in checks.of(builds.example()) if not c.arithmetic]
    assert len(two) == 13
    for say in two:
        assert re.search("^wheelbase|^trail|^main triangle|: its edge on the |^sleeve: ", say), say


def test_a_wrong_fixture_opens_what_is_found_in_two_ways_alone(monkeypatch):
    right = fixture.settings

    def wrong(*args):
        own = right(*args)
        return replace(own, head_ahead=own.head_ahead + 3, low_face=own.low_face + 3,
                       high_face=own.high_face + 3)  # fmt: skip

    monkeypatch.setattr(closure.fixture, "settings", wrong)
    opened = checks.open_ones(builds.example())
    assert [c.say.split(",")[0] for c in opened] == ["wheelbase", "trail"]
    assert not any(c.arithmetic for c in opened)


def test_the_command_refuses_what_is_open(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine.toml")[0] == 0
    file = tmp_path / "mine.toml"
    text = file.read_text("utf-8")
    assert "# wheelbase = 1010 " in text
    file.write_text(text.replace("# wheelbase = 1010 ", "wheelbase = 1020 "), "utf-8")
    code, said = run("closure", "mine.toml")
    assert code == 1
    assert re.search(r"OPEN +1020\.00 +1010\.06  record: wheelbase, measured and drawn", said)
    assert "got 1 of 33 that is not, marked OPEN above" in said


def test_the_command_refuses_what_cannot_be_built(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine.toml")[0] == 0
    file = tmp_path / "mine.toml"
    text = file.read_text("utf-8")
    assert "wall = 3.1 " in text
    file.write_text(text.replace("wall = 3.1 ", "wall = 2.5 "), "utf-8")
    code, said = run("closure", "mine.toml")
    assert code == 1
    built, _, sums = said.partition("\n\n")
    assert built.startswith("Can it be built? Not as it is drawn.\nCAN'T   bottom-bracket shell: ")
    assert "the bore is too wide for the thread, by 1.1 mm" in built
    assert "OPEN" not in sums
    assert "got 1 place marked CAN'T above" in sums


def test_the_cover_says_whether_it_can_be_built() -> None:
    own = builds.example()
    assert [f.forbids for f in own.findings] == [False] * len(own.findings)
    said = checks.in_short(own)
    assert said.startswith("Nothing that the kit checks forbids it. ")
    assert f"{len(own.findings)} places take more care" in said
    tables = builds.tables()
    tables["tubes"]["shell"] |= {"wall": 2.5, "length": 68}
    tables["tubes"]["chainstay"] |= {"apart_at_shell": 44}
    wrong = frame_file.build(tables)
    short = checks.in_short(wrong)
    assert short.startswith("Not as it is drawn: bottom-bracket shell, the bore is too wide")
    assert "finished face" not in short
    assert " and 1 more. " in short
    page = " ".join(paper.text(paper.pages(dossier.pdf(wrong, ROOT, with_tiles=False))[0]).split())
    assert short in page


def test_the_printed_dossier_agrees_with_its_drawing():
    """What a reader finds on the pages: one state everywhere, one wheelbase, parts that add up."""
    own = builds.example()
    pages = paper.pages(dossier.pdf(own, ROOT, with_tiles=False))
    texts = [" ".join(paper.text(page).split()) for page in pages]
    assert all(own.version in text for text in texts)
    cover, card = texts[0], next(t for t in texts if t.startswith("Fixture card"))
    names = ("chainstay", "drop", "front centre")
    stay, drop, front = (float(re.search(rf"{name} ([\d.]+) mm", cover)[1]) for name in names)
    level = sqrt(stay**2 - drop**2) + sqrt(front**2 - drop**2)
    assert f"wheelbase, axle to axle {level:.1f} mm" in card
    back, ahead, along, offset = (
        float(re.search(rf"{re.escape(words)} ([\d.]+) mm", card)[1])
        for words in ("rear axle, level", "crosses the rail", "arm to its foot", "axis (offset)")
    )
    lean = radians(float(re.search(r"head angle ([\d.]+)°", cover)[1]))
    assert back + ahead - along * cos(lean) + offset * sin(lean) == pytest.approx(level, abs=0.15)
    cuts = next(t for t in texts if t.startswith("Cut list"))
    found = re.findall(
        r"finished length, ([\d.]+) mm: ([\d.]+) mm off end a, ([\d.]+) mm off end b", cuts
    )
    bought = [
        own.tubes[name].length
        for name in ("head_tube", "seat_tube", "top_tube", "down_tube", "chainstay", "seatstay")
    ]
    assert [sum(map(float, one)) for one in found] == pytest.approx(bought, abs=0.16)
