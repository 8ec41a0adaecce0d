"""The lesson on the sleeve joint: answers worked again by other means, slips, orders, slider, field."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import permutations
from math import pi

import pytest

from coursekit.book import slider
from coursekit.classroom.bank import own_frame, own_numbers
from coursekit.sheets.drawings import sleeve_joint as field

from .helpers import all_right, by_machine, marked

SLUG = "sleeve-joint"


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def cuts(drilled, bore, deepest):
    """Open the hole in exact hundredths: rough cuts until a tenth is left on the radius, then one more."""
    size, left, count = Fraction(str(drilled)), Fraction(str(bore)) - Fraction("0.2"), 0
    while size < left:
        size += 2 * Fraction(str(deepest))
        count += 1
    return count + 1


def worked_again(n):
    """Every answer but the order, without the kit's own modules."""
    tube = n["seat_outside"]
    bore = tube + n["gap"] + n["gap"]
    ring = pi * (bore / 2) ** 2 - pi * (tube / 2) ** 2
    hot = [size + size * grows * n["rise"] for size, grows in ((bore, 17.2e-6), (tube, 12.2e-6))]
    room = sorted((n["post"] + n["play"], tube - n["wall"] - n["wall"]))[1]
    return {
        "bore": bore,
        "passes": float(cuts(n["drill"], round(bore, 6), n["cut"])),
        "dial": bore / 2 - n["drill"] / 2,
        "post-bore": (room, tube / 2 - room / 2),
        "least-lap": 3 * sorted((n["wall"], n["outside"] / 2 - bore / 2))[0],
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
    n = {
        "seat_outside": 24.0,
        "gap": 0.04,
        "lap": 18.0,
        "wall": 0.7,
        "outside": 34.9,
        "stock": 42.0,
    }
    n |= {"post": 22.0, "play": 0.06, "drill": 20.0, "cut": 0.7, "rise": 560.0, "rod": 2.0}
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (
        ("bore", "bore"),
        ("lap", "least-lap"),
        ("volume", "volume"),
        ("rod", "rods"),
    ):
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs]), ours
    assert found["practice-dial"] == pytest.approx(3.55)
    plug, bore = 24.0 * (1 + 17.2e-6 * 560), 24.08 * (1 + 12.2e-6 * 560)
    assert found["practice-hot"] == pytest.approx((bore - plug) / 2)


def test_a_hole_that_is_hardly_narrower_and_a_sleeve_without_a_wall_are_refused(key, students):
    n = students[0]
    assert key.is_sound(n)
    assert not key.is_sound(n | {"drill": n["seat_outside"] - 0.3})
    assert not key.is_sound(n | {"outside": n["seat_outside"] + 1.5})
    assert not key.is_sound(n | {"post": n["seat_outside"] - 0.5})


def test_the_sleeve_is_the_one_of_the_students_frame(exercise, key, root):
    text = own_frame.kinds(root)
    for i in range(60):
        build = own_frame.draw(text, b"tests", f"bench-{i:04d}")
        drawn = own_numbers.for_frame(exercise, key, b"tests", f"bench-{i:04d}")
        assert drawn.instead == ""
        found, n = worked_again(drawn.numbers), drawn.numbers
        assert found["bore"] == pytest.approx(build.sleeve.bore)
        assert (n["lap"], n["outside"], n["post"]) == (
            build.sleeve.lap,
            build.sleeve.outside,
            build.fitted.post.diameter,
        )
        assert build.tubes["seat_tube"].diameter == n["seat_outside"]
        assert found["post-bore"][0] >= n["post"] + n["play"] - 1e-9


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    tube, bore = n["seat_outside"], n["seat_outside"] + n["gap"]
    ring = pi / 4 * (bore**2 - tube**2)
    own = {
        "bore": bore,
        "passes": cuts(n["drill"], round(bore, 6), n["cut"]),
        "dial": (bore - n["drill"]) / 2,
        "stainless": (bore * (1 + 17.2e-6 * n["rise"]) - tube * (1 + 12.2e-6 * n["rise"])) / 2,
        "volume": ring * n["lap"],
        "rods": 1.5 * ring * n["lap"] / (pi / 4 * n["rod"] ** 2),
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["bore"].slip == "one-side"
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
        swing = 0.1 * abs(tenths) / 10  # the gap runs from 0.1 − swing to 0.1 + swing
        # published: 0.002 to 0.005 in, which is 0.0508 to 0.127 mm
        want = (min(0.0492, swing) + min(0.027, swing)) / (2 * swing) if swing else 1.0
        assert told == pytest.approx(want, abs=0.0061)  # in whole per cent


def test_the_field_is_to_scale(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        tubes = re.findall(
            r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="[\d.]+" fill="#bdbdbd"', svg
        )
        left, right = sorted(tubes, key=lambda t: float(t[0]))
        across = float(right[0]) + float(right[1]) - float(left[0])
        assert across == pytest.approx(2 * n["seat_outside"], abs=0.003)
        sleeves = re.findall(
            r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="([\d.]+)" fill="#e8e8e8"', svg
        )
        left, right = sorted(sleeves, key=lambda s: float(s[0]))
        inside = float(right[0]) - float(left[0]) - float(left[1])
        assert inside == pytest.approx(2 * worked_again(n)["bore"], abs=0.003)
        assert float(right[0]) + float(right[1]) - float(left[0]) == pytest.approx(
            2 * n["outside"], abs=0.003
        )
        assert float(left[2]) == pytest.approx(2 * n["lap"], abs=0.003)
        words = " ".join(re.findall(r">([^<]+)<", svg))
        assert f"{worked_again(n)['bore']:g}" not in words
