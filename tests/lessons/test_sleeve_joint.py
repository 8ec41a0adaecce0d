"""The lesson on the sleeve joint: answers worked again by other means, slips, orders, slider, field."""

from __future__ import annotations

import re
import tomllib
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


def cuts(stock, finished, deepest):
    """Turn the bar down in exact hundredths: rough cuts until a tenth is left, then one more."""
    size, left, count = Fraction(str(stock)), Fraction(str(finished)) + Fraction("0.2"), 0
    while size > left:
        size -= 2 * Fraction(str(deepest))
        count += 1
    return count + 1


def worked_again(n):
    """Every answer but the order, without the kit's own modules."""
    bore = n["tube"] + n["gap"] + n["gap"]
    ring = pi * (bore / 2) ** 2 - pi * (n["tube"] / 2) ** 2
    post_bore = n["tube"] - n["wall"] - n["wall"]
    room = round(post_bore - n["post"], 3)
    hot = [
        size + size * grows * n["rise"] for size, grows in ((bore, 18.6e-6), (n["tube"], 14.6e-6))
    ]
    return {
        "bore": bore,
        "post-bore": post_bore,
        "post-fit": "ream" if room < 0.05 else "slides" if room <= 0.3 else "loose",
        "passes": float(cuts(n["stock"], n["outside"], n["cut"])),
        "dial": bore / 2 - n["drilled"] / 2,
        "least-lap": 3 * sorted((n["wall"], (n["outside"] - bore) / 2))[0],
        "same-steel": "same",
        "stainless": (hot[0] - hot[1]) / 2,
        "volume": ring * n["lap"],
        "rods": 1.5 * ring * n["lap"] / (pi * (n["rod"] / 2) ** 2),
        "share": (0.0, n["gap"], 2 * n["gap"]),
    }


def test_the_sleeve_is_the_frame_s(students, root):
    """What a student bores is what their frame file and cut list say."""
    kinds = own_frame.kinds(root)
    seen = set()
    for i, n in enumerate(students):
        build = own_frame.draw(kinds, b"tests", f"bench-{i:04d}")
        assert build.sleeve is not None
        assert worked_again(n)["bore"] == pytest.approx(build.sleeve.bore, abs=1e-9)
        assert (n["lap"], n["outside"]) == (build.sleeve.lap, build.sleeve.outside)
        assert n["post"] == build.fitted.post.diameter
        seen.add((n["gap"], worked_again(n)["post-fit"]))
    assert len(seen) == 6  # three gaps; posts of 27 slide, posts of 27.2 don't


def test_a_plug_inside_is_refused(key, students):
    assert not key.is_sound(students[0] | {"outside": 0.0})


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-9, abs=1e-12)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {"tube": 31.8, "gap": 0.04, "lap": 18.0, "wall": 0.8, "outside": 36.0, "stock": 44.0}
    n |= {"cut": 0.7, "rise": 560.0, "rod": 2.0, "post": 27.0, "drilled": 19.0}
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (
        ("bore", "bore"), ("post", "post-bore"), ("volume", "volume"), ("rod", "rods"), ("hot", "stainless"),
    ):  # fmt: skip
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs]), ours
    assert found["practice-dial"] == pytest.approx(4)
    assert found["practice-lap"] == pytest.approx(7.5)


def test_a_bar_that_is_hardly_thicker_is_refused(key, students):
    assert key.is_sound(students[0])
    assert not key.is_sound(students[0] | {"stock": students[0]["outside"] + 0.3})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    bore = n["tube"] + n["gap"]
    ring = pi / 4 * (bore**2 - n["tube"] ** 2)
    hot = bore * (1 + 18.6e-6 * n["rise"]) - n["tube"] * (1 + 14.6e-6 * n["rise"])
    own = {
        "bore": bore,
        "dial": (bore - n["drilled"]) / 2,
        "stainless": hot / 2,
        "volume": ring * n["lap"],
        "rods": 1.5 * ring * n["lap"] / (pi / 4 * n["rod"] ** 2),
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["bore"].slip == "one-side"
    for id in ("dial", "stainless", "volume", "rods"):
        assert marks[id].verdict == "carried", (id, marks[id])


def test_brazing_last_is_full_in_any_order_of_tacks(exercise, key, students):
    question = exercise.question("tacks")
    for order in permutations(question.entries):
        share, said = key.share(question, students[0], order)
        assert (share == 1) == (order[3] == "braze")
        assert said
    first = ("braze", "tack 0°", "tack 120°", "tack 240°")
    assert key.share(question, students[0], first)[0] == 0


def test_the_slider_says_what_the_wedge_gives(root):
    states = slider.slider(f"{SLUG}/lean").states
    assert len(states) >= 20
    gap, *_ = worked(root)
    for state, tenths in zip(states, range(-10, 11), strict=True):
        told = int(re.search(r"(\d+)%", state.text)[1]) / 100
        swing = (
            gap * abs(tenths) / 10
        )  # the gap runs from its mean less swing to its mean and swing
        # published: 0.002 to 0.005 in, which is 0.0508 to 0.127 mm
        want = (min(gap - 0.0508, swing) + min(0.127 - gap, swing)) / (2 * swing) if swing else 1.0
        assert told == pytest.approx(want, abs=0.0061)  # in whole per cent


def worked(root):
    """Gap a side and lap of the frame that the lessons work through, as its file gives them."""
    sleeve = tomllib.loads((root / "course/worked-frame.toml").read_text("utf-8"))["sleeve"]
    return (sleeve["bore"] - sleeve["plug"]) / 2, sleeve["lap"]


def test_the_slider_s_words_are_of_the_worked_frame(root):
    gap, lap = worked(root)
    shown = slider.slider(f"{SLUG}/lean")
    assert f"gap of {gap:.3g} mm a side" in shown.alt
    assert f"Lap {lap:g} mm, {gap:.3g} mm a side" in shown.caption


def rects(svg, fill):
    """Return left, width and height of the rectangles of one fill."""
    found = re.findall(
        rf'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="([\d.]+)" fill="{fill}"', svg
    )
    return [tuple(map(float, one)) for one in found]


def test_the_field_is_to_scale(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        left, right = rects(svg, "#bdbdbd")
        assert right[0] + right[1] - left[0] == pytest.approx(2 * n["tube"], abs=0.003)
        assert left[1] == pytest.approx(2 * n["wall"], abs=0.003)
        left, right = rects(svg, "#e8e8e8")
        bore = worked_again(n)["bore"]
        assert right[0] - left[0] - left[1] == pytest.approx(2 * bore, abs=0.003)
        assert right[0] + right[1] - left[0] == pytest.approx(2 * n["outside"], abs=0.003)
        assert left[2] == pytest.approx(2 * n["lap"], abs=0.003)
        words = " ".join(re.findall(r">([^<]+)<", svg))
        assert f"{bore:g}" not in words
