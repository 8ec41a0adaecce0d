"""The lesson on the sleeve joint: answers worked again by other means, slips, orders, slider, field."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import permutations
from math import pi

import pytest

from coursekit.book import slider
from coursekit.classroom.bank import own_numbers
from coursekit.sheets.drawings import sleeve_joint as field

from .helpers import all_right, by_machine, marked

SLUG = "sleeve-joint"


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def cuts(stock, plug, deepest):
    """Turn the bar down in exact hundredths: rough cuts until a tenth is left, then one more."""
    size, left, count = Fraction(str(stock)), Fraction(str(plug)) + Fraction("0.2"), 0
    while size > left:
        size -= 2 * Fraction(str(deepest))
        count += 1
    return count + 1


def worked_again(n):
    """Every answer but the order, without the kit's own modules."""
    plug = n["bore"] - n["gap"] - n["gap"]
    ring = pi * (n["bore"] / 2) ** 2 - pi * (plug / 2) ** 2
    hot = [
        size + size * grows * n["rise"] for size, grows in ((n["bore"], 14.6e-6), (plug, 17.2e-6))
    ]
    return {
        "plug": plug,
        "passes": float(cuts(n["stock"], round(plug, 6), n["cut"])),
        "dial": n["stock"] / 2 - plug / 2,
        "least-lap": 3 * sorted((n["wall"], n["sleeve_wall"]))[0],
        "same-steel": "same",
        "stainless": (hot[0] - hot[1]) / 2,
        "volume": ring * n["lap"],
        "rods": 1.5 * ring * n["lap"] / (pi * (n["rod"] / 2) ** 2),
        "share": (0.0, n["gap"], 2 * n["gap"]),
    }


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-9, abs=1e-12)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {"bore": 24.8, "gap": 0.04, "lap": 18.0, "wall": 0.7, "sleeve_wall": 3.0, "stock": 38.0}
    n |= {"cut": 0.7, "rise": 560.0, "rod": 2.0}
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (
        ("plug", "plug"), ("lap", "least-lap"), ("volume", "volume"), ("rod", "rods"), ("hot", "stainless"),
    ):  # fmt: skip
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs]), ours
    assert found["practice-dial"] == pytest.approx(6.6)


def test_a_bar_that_is_hardly_thicker_is_refused(key, students):
    assert key.is_sound(students[0])
    assert not key.is_sound(students[0] | {"stock": students[0]["bore"] + 0.3})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    plug = n["bore"] - n["gap"]
    ring = pi / 4 * (n["bore"] ** 2 - plug**2)
    own = {
        "plug": plug,
        "passes": cuts(n["stock"], round(plug, 6), n["cut"]),
        "dial": (n["stock"] - plug) / 2,
        "stainless": (n["bore"] * (1 + 14.6e-6 * n["rise"]) - plug * (1 + 17.2e-6 * n["rise"])) / 2,
        "volume": ring * n["lap"],
        "rods": 1.5 * ring * n["lap"] / (pi / 4 * n["rod"] ** 2),
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["plug"].slip == "one-side"
    for id in ("dial", "stainless", "volume", "rods"):
        assert marks[id].verdict == "carried", (id, marks[id])
    assert marks["passes"].verdict in ("carried", "right")


def test_brazing_last_is_full_in_any_order_of_tacks(exercise, key, students):
    question = exercise.question("tacks")
    for order in permutations(question.entries):
        share, said = key.share(question, students[0], order)
        assert (share == 1) == (order[3] == "braze")
        assert said
    first = ("braze", "tack 0°", "tack 120°", "tack 240°")
    assert key.share(question, students[0], first)[0] == 0


def test_the_slider_says_what_the_wedge_gives():
    states = slider.slider(f"{SLUG}/lean").states
    assert len(states) >= 20
    for state, tenths in zip(states, range(-10, 11), strict=True):
        told = int(re.search(r"(\d+)%", state.text)[1]) / 100
        swing = 0.08 * abs(tenths) / 10  # the gap runs from 0.08 − swing to 0.08 + swing
        # published: 0.002 to 0.005 in, which is 0.0508 to 0.127 mm
        want = (min(0.0292, swing) + min(0.047, swing)) / (2 * swing) if swing else 1.0
        assert told == pytest.approx(want, abs=0.0061)  # in whole per cent


def test_the_field_is_to_scale(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        tubes = re.findall(
            r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="[\d.]+" fill="#bdbdbd"', svg
        )
        left, right = float(tubes[0][0]) + float(tubes[0][1]), float(tubes[2][0])
        assert right - left == pytest.approx(2 * n["bore"], abs=0.003)
        sleeves = re.findall(
            r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="([\d.]+)" fill="#e8e8e8"', svg
        )
        across = float(sleeves[1][0]) + float(sleeves[1][1]) - float(sleeves[0][0])
        assert across == pytest.approx(2 * worked_again(n)["plug"], abs=0.003)
        assert float(sleeves[0][2]) == pytest.approx(4 * n["lap"], abs=0.003)
        words = " ".join(re.findall(r">([^<]+)<", svg))
        assert f"{worked_again(n)['plug']:g}" not in words
