"""The lesson on shop maths: answers worked again by other means, slips, chain, sliders, field."""

from __future__ import annotations

import re
from fractions import Fraction
from math import atan2, degrees, hypot, radians, tan
from statistics import fmean, stdev

import pytest

from coursekit.book import slider
from coursekit.classroom.bank import own_frame, own_numbers
from coursekit.sheets.drawings import shop_maths as field

from .helpers import all_right, by_machine, marked

SLUG = "shop-maths"
BWG = {14: "0.083", 16: "0.065", 17: "0.058", 18: "0.049", 19: "0.042", 20: "0.035", 23: "0.025"}


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(60)]


def wall(n):
    return float(Fraction(BWG[n["gauge"]]) * Fraction("25.4"))


def errors(n):
    miss = n["tube_length"] * tan(radians(n["protractor_error_deg"]))
    return {"protractor": miss, "cut": n["cut_error"], "fixture": n["fixture_error"]}


def worked_again(n):
    """Every answer without the kit's own modules."""
    tape = float(Fraction(int(n["sixteenths"]), 16) * Fraction("25.4"))
    values = [n[f"reading_{i}"] for i in (1, 2, 3, 4)]
    return {
        "tape": tape,
        "parts": float(round(Fraction(str(n["found"])) * 64 / Fraction("25.4"))),
        "wall": wall(n),
        "bore": tape - 2 * wall(n),
        "rise": 300 / tan(radians(90 - n["seat_angle_deg"])),
        "run": ((n["chainstay"] - n["bb_drop"]) * (n["chainstay"] + n["bb_drop"])) ** 0.5,
        "miss": errors(n)["protractor"],
        "allowed": degrees(atan2(1, n["tube_length"])),
        "together": hypot(*errors(n).values()),
        "improve": max(errors(n), key=errors(n).get),
        "readings": (fmean(values), stdev(values) / 2),
    }


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            assert found[id] == (value if isinstance(value, str) else pytest.approx(value)), id


def test_the_numbers_of_the_drawing_are_those_of_the_frame(exercise, key, students):
    """Angle, chainstay, drop and down tube are the student's one frame's; no frame is refused."""
    for i, n in enumerate(students[:10]):
        drawn = own_numbers.for_frame(exercise, key, b"tests", f"bench-{i:04d}")
        assert (drawn.instead, drawn.numbers) == ("", n)
        own = own_frame.draw(exercise.frames, b"tests", f"bench-{i:04d}")
        assert n["seat_angle_deg"] == float(own.frame.seat_angle_deg)
        assert (n["chainstay"], n["bb_drop"]) == (
            float(own.frame.chainstay),
            float(own.frame.bb_drop),
        )
        (x, y, _), (top, high, _) = (
            getattr(own.frame.tubes.axes["down_tube"], e) for e in ("start", "end")
        )
        assert n["tube_length"] == pytest.approx(hypot(top - x, high - y), abs=0.0501)


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {
        "sixteenths": 9.0, "gauge": 23.0, "found": 44.6, "seat_angle_deg": 63.5, "chainstay": 460.0,
        "bb_drop": 50.0, "tube_length": 500.0, "protractor_error_deg": 0.4, "cut_error": 2.5,
        "fixture_error": 3.5, "reading_1": 1.2, "reading_2": 1.3, "reading_3": 1.3, "reading_4": 1.4,
    }  # fmt: skip
    again, found = worked_again(n), own_numbers.answers(exercise, key, n)
    for id in ("tape", "parts", "bore", "rise", "run", "miss"):
        assert found[f"practice-{id}"] == pytest.approx(again[id]), id
    assert found["practice-together"] == pytest.approx(hypot(2.5, 3.5))


def test_one_error_is_clearly_the_largest(exercise, key):
    for i in range(60):
        n = own_numbers.draw(exercise, key, b"sound", f"bench-{i:04d}")
        _, middle, high = sorted(errors(n).values())
        assert high - middle >= 0.3


@pytest.mark.parametrize(
    ("name", "value"),
    [("found", 25.4), ("found", 28.575), ("reading_1", 1.28), ("cut_error", 1.5)],
    ids=str,
)
def test_cases_that_can_not_be_marked_are_refused(key, name, value):
    sound = {
        "found": 28.8, "reading_1": 1.24, "reading_2": 1.26, "reading_3": 1.28, "reading_4": 1.36,
        "tube_length": 600.0, "protractor_error_deg": 0.1, "cut_error": 2.0, "fixture_error": 1.5,
    }  # fmt: skip
    flat = {"reading_1": 1.28, "reading_2": 1.28, "reading_4": 1.28} if name == "reading_1" else {}
    assert key.is_sound(sound)
    assert not key.is_sound(sound | flat | {name: value})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    swg = {17: 0.056, 18: 0.048, 19: 0.040, 20: 0.036}[n["gauge"]] * 25.4
    miss = 300 * tan(radians(n["protractor_error_deg"]))
    own = {"wall": swg, "bore": worked_again(n)["tape"] - 2 * swg, "miss": miss}
    own["together"] = hypot(miss, n["cut_error"], n["fixture_error"])
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert (marks["wall"].slip, marks["miss"].slip) == ("the-other-family", "over-the-base")
    assert (marks["bore"].verdict, marks["bore"].marks) == ("carried", 1)
    assert (marks["together"].verdict, marks["together"].marks) == ("carried", 2)


def test_half_of_a_pair_earns_half(exercise, key, students):
    n = students[2]
    mean, _ = worked_again(n)["readings"]
    marks = marked(exercise, key, n, all_right(exercise, key, n) | {"readings": [mean, 9.0]})
    assert marks["readings"].marks == 1.5


def test_the_completed_program_gives_the_answer(exercise, key, students):
    """The scaffold with its two lines filled in is what a student is meant to write."""
    question = exercise.question("readings")
    lines = question.scaffold
    for blank, written in (
        ("scatter = None", "scatter = (squares / (count - 1))**0.5"),
        ("uncertainty = None", "uncertainty = scatter / count**0.5"),
        ("readings = None", "readings = [mean, uncertainty]"),
    ):
        assert lines.count(blank) == 1
        lines = lines.replace(blank, written)
    for n in students[:5]:
        space = dict(n)
        exec(lines, space)
        assert space["readings"] == pytest.approx(worked_again(n)["readings"])


@pytest.mark.parametrize("name", ["rise", "far-end"])
def test_the_sliders_say_what_the_formula_gives(name):
    states = slider.slider(f"{SLUG}/{name}").states
    assert len(states) >= 20
    for state in states:
        first = float(re.match(r"[+−]?[\d.]+", state.text)[0].replace("−", "-"))
        if name == "rise":
            told = float(re.search(r"rise ([\d.]+) mm", state.text)[1])
            assert told == pytest.approx(300 * tan(radians(first)), abs=0.0501)
        else:
            told = [float(v.replace("−", "-")) for v in re.findall(r"([+−][\d.]+) mm", state.text)]
            want = [place * tan(radians(first)) for place in (100, 300, 627.1)]
            assert told == pytest.approx(want, abs=0.0501)


def test_the_field_is_to_scale_and_shows_no_answer(students):
    for n in students[:5]:
        drawing = field.draw(n)
        x, y = field.RULE
        tip = float(re.search(r'<path d="M([\d.]+) ', drawing.svg)[1])
        assert tip - x == pytest.approx(n["found"], abs=0.001)
        strokes = [float(v) for v in re.findall(rf'<line x1="([\d.]+)" y1="{y:.3f}"', drawing.svg)]
        for inch in (1, 2):
            assert any(abs(s - x - 25.4 * inch) < 0.001 for s in strokes)
        texts = " ".join(re.findall(r">([^<]+)<", drawing.svg))
        answers = worked_again(n)
        assert f"{answers['rise']:.0f}" not in texts.split()
        assert f"{answers['parts']:.0f} " not in texts
        levels = [float(v) for v in re.findall(r'y1="([\d.]+)"', drawing.svg)]
        assert answers["rise"] < field.TALL
        assert any(abs(v - (field.FIELD[1] - 1000 / 10)) < 0.001 for v in levels)
