"""The lesson on the whole frame: answers worked again with plain arithmetic, slips, readings, slider, field."""

from __future__ import annotations

import cmath
import re
from collections import Counter
from itertools import permutations
from math import acos, atan2, cos, degrees, hypot, pi, radians, sin, sqrt

import pytest

from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_frame, own_numbers
from coursekit.sheets import checks, fixture_card
from coursekit.sheets.cut_list import marks
from coursekit.sheets.drawings import your_frame as field
from coursekit.sheets.reference_mark import mark_at

from .helpers import all_right, by_machine, marked

SLUG = "your-frame"
LEGS = ("down", "head", "top", "seat")


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def turned(length, deg):
    """A leg as a complex number: forward and up."""
    return cmath.rect(length, deg * pi / 180)


def leg_along(n, gap):
    """Which kind of leg lies along a gap, by the area between the two."""
    off = {}
    for leg in LEGS:
        way = turned(1, n[f"{leg}_way"])
        kind = "upright" if leg in ("head", "seat") else leg
        off[kind] = min(off.get(kind, 2), abs((gap / abs(gap) * way.conjugate()).imag))
    return min(off, key=off.get)


def worked_again(n):
    """Every answer but the order, with complex numbers and the right triangle alone."""
    walk = [turned(n[f"{leg}_axis"], n[f"{leg}_way"]) for leg in LEGS]
    gap = sum(walk)
    squares = 4 * n["tape_u"] ** 2
    squares += sum((n[f"{leg}_axis"] * n["way_u"] * pi / 180) ** 2 for leg in LEGS)
    apart = n["mark_b"] - n["mark_a"]
    axis = apart + n["back_a"] + n["back_b"]
    # the underside: distance between the two outsides along a line half a tube below the axis
    half, under = n["top_diameter"] / 2, axis
    for end in ("seat", "head"):
        corner = n[f"{end}_corner"] * pi / 180
        under -= (n[f"{end}_diameter"] / 2 + half * cos(corner)) / sin(corner)
    lean = turned(1, n["head_angle_deg"])
    base = (
        n["rear_back"]
        + n["head_ahead"]
        - n["axle_along"] * lean.real
        + n["fork_offset"] * lean.imag
    )
    level = [(n[m] ** 2 - n["bb_drop"] ** 2) ** 0.5 for m in ("chainstay", "front_centre")]
    return {
        "wheelbase-drawing": sum(level),
        "wheelbase-fixture": base,
        "unseen": "file",
        "runs": tuple(leg.real for leg in walk),
        "closing": (gap.real, gap.imag),
        "gap": abs(gap),
        "allowance": squares**0.5,
        "suspect": leg_along(n, gap),
        "top-tube-axis": (apart, axis),
        "underside": under,
        "trims": (
            n["bought"] - n["off_seat"] - n["off_head"],
            n["butt_a"] - n["off_seat"],
            n["butt_b"] - n["off_head"],
        ),
        "rooms": (
            n["sleeve_bore"] / 2 - n["plug"] / 2,
            n["seat_bore"] - 2 * n["land"],
            n["shell_width"] / 2 - n["stays_apart"] / 2 - n["stay_diameter"] / 2,
        ),
    }  # fmt: skip


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-9, abs=1e-9)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key, students):
    n = students[0]
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    down = turned(n["down_axis"], n["down_way"])
    want = {
        "wheelbase": again["wheelbase-drawing"], "run": down.real, "rise": down.imag, "marks": again["top-tube-axis"][1],
        "leg": hypot(n["tape_u"], n["down_axis"] * n["way_u"] * pi / 180), "trims": again["trims"][0],
        "sleeve": n["sleeve_bore"] / 2 - 14.3,
    }  # fmt: skip
    for id, value in want.items():
        assert found[f"practice-{id}"] == pytest.approx(value), id


def test_every_leg_is_misread_by_somebody(exercise, key, students):
    found = Counter(own_numbers.answers(exercise, key, n)["suspect"] for n in students)
    assert min(found[kind] for kind in ("down", "top", "upright")) >= 6


def test_a_gap_that_points_nowhere_is_refused(key, students):
    n = students[0]
    assert key.is_sound(n)
    assert not key.is_sound(n | {"down_axis": n["down_axis"] + 17, "top_axis": n["top_axis"] + 17})


def test_a_frame_with_unequal_wheels_is_refused(key, students):
    """Then drawing and fixture give two wheelbases; the question asks for wheels of one size."""
    n = students[0]
    assert not key.is_sound(n | {"axle_along": n["axle_along"] + 3})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    right = worked_again(n)
    runs = [abs(r) for r in right["runs"]]
    closing = [sum(runs), right["closing"][1]]
    own = {"runs": runs, "closing": closing, "gap": hypot(*closing)}
    own["top-tube-axis"] = [right["top-tube-axis"][0]] * 2
    own["underside"] = right["underside"] - n["back_a"] - n["back_b"]
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert (marks["runs"].slip, marks["top-tube-axis"].slip) == (
        "all-forward",
        "marks-are-the-axis",
    )
    for id in ("closing", "gap", "underside"):
        assert marks[id].verdict == "carried", (id, marks[id])


def test_saw_and_fixture_may_change_places_and_nothing_else(exercise, key, students):
    question = exercise.question("evening")
    full = [
        o for o in permutations(question.entries) if key.share(question, students[0], o)[0] == 1
    ]
    assert len(full) == 2
    for order in full:
        assert order[0] == "print the dossier"
        assert set(order[1:3]) == {"saw and miter", "set the fixture"}
        assert order[3:] == ("tack", "braze", "read the record")
    assert key.share(question, students[0], full[0][::-1])[0] == 0


# The numbers are those of the papers


@pytest.fixture(scope="module")
def frames(exercise):
    """The whole frames of the first students."""
    return [own_frame.draw(exercise.frames, b"tests", f"bench-{i:04d}") for i in range(15)]


def test_every_drawn_frame_is_asked_about(exercise, key):
    """None is changed for a case of its own."""
    for i in range(40):
        assert own_numbers.for_frame(exercise, key, b"tests", f"bench-{i:04d}").instead == ""


def test_a_real_frame_without_a_sleeve_gets_a_case_of_its_own(exercise, key):
    known = worked_frame.facts()
    assert own_numbers.for_frame(exercise, key, b"tests", "bench-01", known).instead == ""
    bare = {name: value for name, value in known.items() if not name.startswith("sleeve.")}
    found = own_numbers.for_frame(exercise, key, b"tests", "bench-01", bare)
    assert found.instead == "the frame has no sleeve.plug"
    assert found.numbers["sleeve_bore"] > found.numbers["plug"]


def test_readings_are_those_of_each_students_own_papers(frames, students):
    """Cut list, templates and fixture card of the student's frame say what the notebook says."""
    for n, own in zip(students, frames, strict=False):
        cut = own.trimmed["top_tube"]
        found = dict(marks(cut))
        assert found["mark a"] == pytest.approx(n["mark_a"], abs=0.0501)
        assert found["mark b"] == pytest.approx(n["mark_b"], abs=0.0501)
        assert [mark_at(cut, e) for e in "ab"] == [n["back_a"], n["back_b"]]
        assert [cut.plan.from_a, cut.plan.from_b] == pytest.approx(
            [n["off_seat"], n["off_head"]], abs=0.0501
        )
        for end, name in zip("ab", ("seat", "head"), strict=True):
            corner = n[f"{name}_corner"]
            under = min(corner, 180 - corner)
            assert cut.piece.end(end).joints[0].angle_deg == pytest.approx(under, abs=0.0501)
        scales = {row["letter"]: row["value"] for row in fixture_card.part(own)["rows"]}
        assert scales["A"] == f"{n['rear_back']:.1f} mm"
        assert scales["D"] == f"{n['head_ahead']:.1f} mm"
        assert checks.open_ones(own) == ()


def test_which_corner_lies_under_the_top_tube(frames, students):
    """From the axes' directions: under the tube, toward the tube that it meets."""
    for n, own in zip(students, frames, strict=False):
        axes = own.frame.tubes.axes
        top, seat, head = (axes[t].direction[:2] for t in ("top_tube", "seat_tube", "head_tube"))
        for name, along, down in (("seat", top, -seat), ("head", -top, -head)):
            corner = degrees(acos(float(along @ down)))
            assert n[f"{name}_corner"] == pytest.approx(corner, abs=0.0501)


def test_one_reading_is_wrong_and_the_walk_says_which(frames, students):
    """Against the drawing of the frame: seven readings near it, one a centimetre or two off."""
    for n, own in zip(students, frames, strict=False):
        axes = own.frame.tubes.axes
        down, top = axes["down_tube"], axes["top_tube"]
        places = [(0, 0), down.end, top.end, top.start, (0, 0)]
        off = {}
        for leg, a, b in zip(LEGS, places, places[1:], strict=False):
            off[leg] = n[f"{leg}_axis"] - hypot(b[0] - a[0], b[1] - a[1])
            way = degrees(atan2(b[1] - a[1], b[0] - a[0])) % 360
            assert n[f"{leg}_way"] == pytest.approx(way, abs=0.5)
        wrong = max(off, key=lambda leg: abs(off[leg]))
        assert min(abs(abs(off[wrong]) - size) for size in (10, 20)) < 2.5
        assert all(abs(v) < 2.5 for leg, v in off.items() if leg != wrong)
        kind = "upright" if wrong in ("head", "seat") else wrong
        assert worked_again(n)["suspect"] == kind


# Slider, field


def test_the_slider_says_how_the_gap_grows():
    states = slider.slider(f"{SLUG}/misread").states
    assert len(states) == 42
    for i, state in enumerate(states):
        if i < 21:
            longer = -20 + 2 * i
            want, words = abs(longer), f"{abs(longer)} mm too {'long' if longer > 0 else 'short'}"
        else:
            steeper = -2 + 0.2 * (i - 21)
            want = 2 * worked_frame.facts()["down_tube.axis"] * sin(radians(abs(steeper)) / 2)
            words = f"{abs(steeper):.1f}° too {'steep' if steeper > 0 else 'flat'}"
        told = float(re.search(r"gap ([\d.]+) mm", state.text)[1])
        assert told == pytest.approx(want, abs=0.051)  # as printed
        assert words in state.text or want < 0.01


def test_the_field_has_the_directions_to_scale_and_no_answer(students):
    for n in students[:8]:
        svg = field.draw(n).svg
        rays = re.findall(
            r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)"[^>]*dasharray', svg
        )
        assert len(rays) == 4
        for (x1, y1, x2, y2), leg in zip(rays, ("down", "top", "head", "seat"), strict=True):
            way = degrees(atan2(float(y1) - float(y2), float(x2) - float(x1))) % 360
            assert way == pytest.approx(n[f"{leg}_way"], abs=0.02)
            assert (float(x1) + float(x2)) / 2 == pytest.approx(field.MIDDLE[0], abs=0.011)
        bold = sorted(
            {
                float(x)
                for x in re.findall(r'<line x1="([\d.]+)" y1="10.00" [^>]*stroke-width="0.28"', svg)
            }
        )
        assert bold == pytest.approx(
            [field.MIDDLE[0] + 20 * i for i in (-2, -1, 0, 1, 2)]
        )  # 10 mm of gap
        words = " ".join(re.findall(r">([^<]+)<", svg))
        again = worked_again(n)
        for value in (again["gap"], again["wheelbase-drawing"], again["top-tube-axis"][1]):
            assert f"{value:.1f}" not in words


def test_no_distance_of_the_walk_is_lost_in_its_readings(students):
    for n in students:
        again = worked_again(n)
        assert again["gap"] > 2 * again["allowance"]
        assert again["gap"] == pytest.approx(
            sqrt(again["closing"][0] ** 2 + again["closing"][1] ** 2)
        )
