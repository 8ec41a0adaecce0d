"""The lesson on tube choice: answers worked again by other means, slips, chain, slider, field."""

from __future__ import annotations

import re
from math import hypot, pi

import pytest
from scipy.integrate import quad

from coursekit.book import slider
from coursekit.classroom.bank import own_frame, own_numbers
from coursekit.sheets.drawings import tube_choice as field

from .helpers import all_right, by_machine, marked

SLUG = "tube-choice"
STEEL = 0.00785


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def discs(outside, wall, power):
    """Outside disc less bore disc, by powers of the diameters."""
    return outside**power - (outside - 2 * wall) ** power


def area(outside, wall):
    return pi / 4 * discs(outside, wall, 2)


def second_moment(outside, wall):
    return pi / 64 * discs(outside, wall, 4)


def butted_mass(n):
    """By quadrature along the tube, the wall from the five pieces."""
    a, first, second, b, length = (
        n[k] for k in ("butt_a", "taper_a", "taper_b", "butt_b", "length")
    )

    def wall(x):
        share = min(max(x - a, 0) / first, max(length - b - x, 0) / second, 1)
        return n["end_wall"] + (n["belly_wall"] - n["end_wall"]) * share

    edges = [a, a + first, length - b - second, length - b]
    return STEEL * quad(lambda x: area(n["diameter"], wall(x)), 0, length, points=edges)[0]


def worked_again(n):
    """Every answer without the kit's own modules."""
    D, t, big = n["diameter"], n["wall"], n["bigger"]
    stiffer = second_moment(big, t) / second_moment(D, t)
    heavier = area(big, t) / area(D, t)
    butts = STEEL * area(D, n["end_wall"]) * (n["butt_a"] + n["butt_b"])
    thin = n["length"] - n["butt_a"] - n["butt_b"] - n["taper_a"] - n["taper_b"]
    belly = STEEL * area(D, n["belly_wall"]) * thin
    pieces = (butts, butted_mass(n) - butts - belly, belly)
    return {
        "area": area(D, t),
        "mass": area(D, t) * n["length"] * STEEL,
        "inertia": second_moment(D, t),
        "stiffer": stiffer,
        "heavier": heavier,
        "per-gram": stiffer / heavier,
        "butted": (*pieces, butted_mass(n)),
        "saved": area(D, n["end_wall"]) * n["length"] * STEEL - butted_mass(n),
        "stress": 1000 * n["moment"] * (D / 2) / second_moment(D, t),
        # the whole tube against a strip rolled up: 2 I over length · t³ / 3
        "slit": 2 * second_moment(D, t) / (pi * (D - t) * t**3 / 3),
        "against": "dents",
    }


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-6)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {"diameter": 27.2, "wall": 1.1, "bigger": 44.5, "length": 470.0}
    n |= {"moment": 90.0, "end_wall": 0.9, "belly_wall": 0.6, "head_wall": 0.9, "butt_a": 60.0, "taper_a": 40.0, "taper_b": 40.0, "butt_b": 110.0}  # fmt: skip
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    assert n["diameter"] in exercise.quantity("diameter").practice
    for id in ("area", "mass", "inertia", "stiffer", "heavier", "stress", "slit"):
        assert found[f"practice-{id}"] == pytest.approx(again[id]), id


def test_a_tube_without_a_belly_is_refused(key, students):
    assert key.is_sound(students[0])
    assert not key.is_sound(students[0] | {"length": 250.0})
    assert not key.is_sound(students[0] | {"belly_wall": students[0]["end_wall"]})
    assert not key.is_sound(students[0] | {"head_wall": students[0]["end_wall"] + 0.1})


def test_the_numbers_are_those_of_the_frame(exercise, key, students):
    """The tube on offer is the down tube of the student's one frame, as it is bought."""
    for i, n in enumerate(students[:10]):
        drawn = own_numbers.for_frame(exercise, key, b"tests", f"bench-{i:04d}")
        assert (drawn.instead, drawn.numbers) == ("", n)
        tube = own_frame.draw(exercise.frames, b"tests", f"bench-{i:04d}").tubes["down_tube"]
        assert n["diameter"] == tube.diameter
        assert (n["end_wall"], n["belly_wall"], n["head_wall"]) == tube.walls
        parts = n["butt_a"], n["taper_a"], n["taper_b"], n["butt_b"]
        assert parts == (*tube.lengths[:2], *tube.lengths[3:])
        assert n["length"] == sum(tube.lengths)


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    wrong = pi * n["diameter"] ** 2 / 4
    own = {"area": wrong, "mass": wrong * n["length"] * STEEL}
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["area"].slip == "solid-bar"
    assert (marks["mass"].verdict, marks["mass"].marks) == ("carried", 1)


def test_the_thin_formula_and_the_mean_wall_count_as_right(exercise, key, students):
    """What the page offers as near enough must be near enough for the marker."""
    for n in students:
        r = (n["diameter"] - n["wall"]) / 2
        mean = (n["end_wall"] + n["belly_wall"]) / 2
        long = n["length"] - n["butt_a"] - n["butt_b"] - n["taper_a"] - n["taper_b"]
        grams = [
            STEEL * area(n["diameter"], n["end_wall"]) * (n["butt_a"] + n["butt_b"]),
            STEEL * area(n["diameter"], mean) * (n["taper_a"] + n["taper_b"]),
            STEEL * area(n["diameter"], n["belly_wall"]) * long,
        ]
        own = {
            "inertia": pi * r**3 * n["wall"],
            "butted": [*grams, sum(grams)],
            "slit": 3 * (r / n["wall"]) ** 2,
        }
        own["stiffer"] = ((n["bigger"] - n["wall"]) / (n["diameter"] - n["wall"])) ** 3
        marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
        for id in own:
            assert marks[id].verdict == "right", (id, marks[id])


def test_the_completed_program_gives_the_answer(exercise, students):
    lines = exercise.question("butted").scaffold
    for blank, written in (
        ("grams = None", "grams = 0.00785 * pi * (diameter - t) * t * piece"),
        ("together = None", "together = butted[0] + butted[1] + butted[2]"),
    ):
        assert lines.count(blank) == 1
        lines = lines.replace(blank, written)
    for n in students[:5]:
        space = dict(n)
        exec(lines, space)
        assert space["butted"] == pytest.approx(worked_again(n)["butted"], abs=0.1)


def test_the_slider_keeps_the_mass():
    states = slider.slider(f"{SLUG}/same-mass").states
    assert len(states) >= 20
    for state in states:
        across, wall, times = (float(v) for v in re.findall(r"\d+(?:\.\d+)?", state.text)[:3])
        assert area(across, wall) == pytest.approx(area(25.4, 1.0), rel=0.01)  # two digits of wall
        assert times == pytest.approx(
            second_moment(across, wall) / second_moment(25.4, 1.0), rel=0.02
        )


def test_the_field_is_to_scale(students):
    for n in students[:5]:
        drawing = field.draw(n)
        assert sum(field.pieces(n)) == pytest.approx(n["length"])
        points = [
            tuple(float(v) for v in p.split(","))
            for p in re.search(r'points="([^"]+)"', drawing.svg)[1].split()
        ]
        xs, ys = zip(*points, strict=True)
        assert max(xs) - min(xs) == pytest.approx(n["length"] / 5, abs=0.002)
        assert min(xs) >= 0 and max(xs) <= drawing.width
        assert max(ys) - min(ys) == pytest.approx(20 * n["end_wall"], abs=0.002)
        rings = re.findall(
            r'r="([\d.]+)" fill="none" stroke="black" stroke-width="([\d.]+)"', drawing.svg
        )
        outside = [2 * float(r) + float(w) for r, w in rings]
        assert outside == pytest.approx([n["diameter"], n["bigger"]], abs=0.002)
        assert hypot(drawing.width, drawing.height) < hypot(180, 200)
