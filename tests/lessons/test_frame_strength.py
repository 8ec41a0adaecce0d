"""The lesson on the strength of a frame: answers worked again by other means, slips, printed numbers, slider, field."""

from __future__ import annotations

import re
from math import cos, pi, radians

import numpy as np
import pytest

from coursekit import skeleton
from coursekit.book import slider
from coursekit.classroom.bank import own_numbers
from coursekit.figures import _loaded
from coursekit.sheets.drawings import frame_strength as field
from coursekit.tubes import Butted, Round

from .helpers import all_right, by_machine, marked

SLUG = "frame-strength"
E = 205_000


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(30)]


def ring(size, wall, power):
    """Outside less bore, both to a power."""
    return size**power - (size - 2 * wall) ** power


def area(size, wall):
    return pi / 4 * ring(size, wall, 2)


def second(size, wall):
    return pi / 64 * ring(size, wall, 4)


def modulus(size, wall):
    return second(size, wall) * 2 / size


def stress(push, bending, size, wall):
    """N and N·m to MPa."""
    return push / area(size, wall) + 1000 * bending / modulus(size, wall)


def worked_again(n):
    """Every answer without the kit's own modules."""
    shape = second(n["test_diameter"], n["test_wall"])
    head, shell = n["head_bending"], n["shell_bending"]
    there = float(np.interp(n["thin_from"], [0, n["length"]], [head, -shell]))
    size = n["down_diameter"]
    places = {
        "head": stress(n["push"], head, size, n["butt_wall"]),
        "thin": stress(n["push"], there, size, n["belly_wall"]),
        "shell": stress(n["push"], shell, size, n["butt_wall"]),
    }
    return {
        "inertia": shape,
        "sag": n["weight"] * n["free"] ** 3 / (3 * E * shape),
        "root": n["weight"] * n["free"] / (2 * shape / n["test_diameter"]),
        "lever": n["front_force"] * (n["height"] / 1000),
        "twisting": n["pedal_force"] * (n["out"] / 1000),
        "energy": n["mass"] * 9.80665 * (n["drop"] / 1000),
        "at-head": places["head"],
        "bending-there": there,
        "at-thin": places["thin"],
        "hardest": max(places, key=places.get),
        "stiffer": tuple(ring(s, n["butt_wall"], 4) / ring(28.6, n["butt_wall"], 4) for s in (28.6, 31.8, 34.9)),
        "says": "once",
    }  # fmt: skip


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-9, abs=1e-12)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key, students):
    n = students[0] | {"test_diameter": 27, "free": 340, "weight": 70, "mass": 18, "drop": 120}
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (("inertia", "inertia"), ("sag", "sag"), ("lever", "lever"), ("between", "bending-there"),
                         ("stress", "at-head"), ("energy", "energy")):  # fmt: skip
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs]), ours
    assert found["practice-says"] == "cooler"


def test_what_is_made_is_what_the_whole_frame_says(students):
    """The bending at both ends of the student's down tube, by statics on the student's own frame."""
    for n in students[:8]:
        frame = _loaded.placed(n["fork_length"], n["head_tube"])
        axis = frame.tubes.axes["down_tube"]
        run = float(np.linalg.norm(axis.end - axis.start))
        tube = Butted(
            n["down_diameter"], (n["butt_wall"], n["belly_wall"], n["butt_wall"]),
            (70.0, 40.0, run - 70 - 40 - n["thin_from"], 40.0, n["thin_from"] - 40),
        )  # fmt: skip
        made = _loaded.under(skeleton.front_hit(-n["front_force"]), tube, frame, 0.0)
        pull, bending = made.inner("down_tube", [0.0, made.length("down_tube")])
        assert made.length("down_tube") == pytest.approx(n["length"], abs=0.5)
        assert bending[0] == pytest.approx(n["head_bending"], abs=0.26)
        assert -bending[1] == pytest.approx(n["shell_bending"], abs=0.26)
        assert -pull[0] == pytest.approx(n["push"], abs=0.51)
        # force times lever is shared by two tubes and the head tube's own ends
        assert n["head_bending"] < n["front_force"] * n["height"] / 1000


def test_both_places_win(exercise, key):
    won = set()
    for i in range(60):
        n = own_numbers.draw(exercise, key, b"sound", f"bench-{i:04d}")
        won.add(own_numbers.answers(exercise, key, n)["hardest"])
    assert won == {"head", "thin"}


def test_two_places_that_work_alike_are_refused(key, students):
    n = students[0]
    assert key.is_sound(n)
    again = worked_again(n)
    lift = again["at-head"] - again["at-thin"]  # MPa
    bend = lift * modulus(n["down_diameter"], n["belly_wall"]) / 1000
    share = 1 - n["thin_from"] / n["length"]
    # raise or lower the thin place to the head's stress by the bending at the shell
    shell = n["shell_bending"] - bend * n["length"] / n["thin_from"]
    assert 0 < share < 1
    assert not key.is_sound(n | {"shell_bending": shell})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    shape = 2 * second(n["test_diameter"], n["test_wall"])
    there = n["head_bending"] * (1 - n["thin_from"] / n["length"])
    own = {
        "inertia": shape,
        "sag": n["weight"] * n["free"] ** 3 / (3 * E * shape),
        "root": n["weight"] * n["free"] * n["test_diameter"] / 2 / shape,
        "bending-there": there,
        "at-thin": stress(n["push"], there, n["down_diameter"], n["belly_wall"]),
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["inertia"].slip == "for-twisting"
    assert marks["bending-there"].slip == "to-nothing-at-the-shell"
    for id in ("sag", "root", "at-thin"):
        assert marks[id].verdict == "carried", (id, marks[id])


# the page


def test_the_vice_on_the_page(page):
    shape = second(28.6, 0.9)
    page.says("For 28.6 × 0.9 mm it is # mm⁴", round(shape, -1))
    page.says("at 500 mm make #.## mm", 60 * 500**3 / (3 * E * shape))
    page.says("sinks by #.## mm", 60 * 500**3 / (3 * E * shape))
    page.says("That is # MPa at the vice", 60 * 500 * 14.3 / shape)
    thin = second(25.4, 0.8)
    page.says("Its second moment of area is # mm⁴", thin)
    page.says(
        "= #.## mm. 40 × 450 × 12.7 / # = # MPa",
        40 * 450**3 / (3 * E * thin),
        thin,
        40 * 450 * 12.7 / thin,
    )


def test_the_loads_on_the_page(page):
    made = _loaded.under(_loaded.loads()["front"])
    rise = made.nodes["head_down_tube"][1] - made.nodes["front_axle"][1]
    page.says("450 N × # mm = # N·m", rise, round(450 * rise / 1000))
    page.says("tips the shell with # N·m", 1000 * 0.150)
    lever = 70 + 250 * cos(radians(72.5))
    page.says("the lever is # mm", lever)
    page.says(
        "1000 N × # mm = # N·m; # 000 / # = # MPa".replace("# 000", "145 000"),
        lever,
        lever,
        modulus(28.6, 0.9),
        1000 * lever / modulus(28.6, 0.9),
    )
    page.says("22.5 × 9.81 × 0.18 = #.# J", 22.5 * 9.80665 * 0.18)


def test_the_down_tube_on_the_page(page):
    made = _loaded.under(_loaded.loads()["front"])
    run = made.length("down_tube")
    pull, bending = made.inner("down_tube", [0.0, run])
    thin = run - _loaded.FROM - sum(_loaded.LENGTHS[:3])
    there = float(np.interp(thin, [0, run], bending))
    page.says("at the head tube #.# N·m; at the shell #.# N·m", bending[0], -bending[1])
    page.says("all along it a push of # N", -pull[0])
    page.says(
        "# mm from the head tube, it is 101.8 − (101.8 + 47.2) × # / # = #.# N·m",
        thin,
        thin,
        run,
        101.8 - 149.0 * 152 / 628,
    )
    assert there == pytest.approx(65.7, abs=0.06)
    for at, m, wall, said in (
        (0.0, bending[0], 0.9, "# + # = # MPa"),
        (thin, there, 0.6, "# + # = # MPa"),
    ):
        n, b = -pull[0] / area(31.8, wall), 1000 * m / modulus(31.8, wall)
        page.says(said, n, b, n + b)
        page.says("#.# mm², # mm³", area(31.8, wall), modulus(31.8, wall))
        assert made.stress("down_tube", run - at)[0] == pytest.approx(n + b, rel=2e-3)
    page.says("= # + # = # MPa", 400 / 80, 90_000 / 560, 400 / 80 + 90_000 / 560)


def test_both_ways_round_on_the_page(page):
    made = _loaded.under(_loaded.loads()["front"], _loaded.SHORT)
    run = made.length("down_tube")
    thin = run - _loaded.FROM - sum(_loaded.LENGTHS[::-1][:3])
    worst = float(made.solution.worst("down_tube")[0])
    page.says(
        "the thin wall begins at # mm, and the stress there is # MPa instead of 154", thin, worst
    )
    page.says("peaks earlier and higher, # MPa at # mm", worst, thin)
    for load, names in (
        ("front", ("head_tube_1", "down_tube", "top_tube", "seat_tube_1")),
        ("pedal", ("seat_tube_1", "down_tube", "head_tube_1", "top_tube")),
    ):
        found = _loaded.under(_loaded.loads()[load]).solution
        peaks = [float(found.worst(name)[0]) for name in names]
        if load == "front":
            page.says(
                "the head tube, # MPa, and the head ends of down tube, # MPa, and top tube, # MPa. The seat tube reaches # MPa",
                *peaks,
            )
            page.says("We found #.", peaks[0])
        else:
            page.says(
                "at the shell, # MPa, and the down tube has # MPa near the shell. Head tube #, top tube # MPa",
                *peaks,
            )


def test_wide_and_narrow_on_the_page(page):
    page.says(
        "has #.## times the second moment of one of 28.6 mm, and #.## times its weight",
        second(34.9, 0.9) / second(28.6, 0.9),
        area(34.9, 0.9) / area(28.6, 0.9),
    )
    page.says(
        "10 436 / 7520 = #.## times, with #.## times the weight",
        second(31.8, 0.9) / second(28.6, 0.9),
        area(31.8, 0.9) / area(28.6, 0.9),
    )
    assert second(31.8, 0.9) == pytest.approx(10_436, abs=0.5)
    gives, tips = [], []
    for size in (34.9, 28.6):
        tube = Butted(size, _loaded.WALLS, _loaded.LENGTHS)
        gives.append(-_loaded.under(_loaded.loads()["front"], tube).solution.moves["front_axle"][0])
        tips.append(_loaded.under(_loaded.loads()["pedal"], tube).solution.turns_deg["bb"][0])
    page.says("front axle gives #.# mm with the one and #.# mm with the other", *gives)
    page.says("tips by #.##° and by #.##°", *tips)


# slider and field


def test_the_slider_says_where_it_is_hardest():
    states = slider.slider(f"{SLUG}/butt").states
    assert len(states) >= 20
    for state, butt in zip(states, range(30, 185, 5), strict=True):
        told = float(re.search(r", (\d+) MPa$", state.text)[1])
        made = _loaded.under(_loaded.loads()["front"], Round(31.8, 0.9))
        run = made.length("down_tube")
        tube = Butted(31.8, (0.9, 0.6, 0.9), (76.0, 40.0, run - 156 - butt, 40.0, float(butt)))
        pull, bending = _loaded.under(_loaded.loads()["front"], tube, start=0.0).inner(
            "down_tube", [0.0, run]
        )
        there = float(np.interp(butt + 40, [0, run], bending))
        head, thin = stress(-pull[0], bending[0], 31.8, 0.9), stress(-pull[0], there, 31.8, 0.6)
        assert told == pytest.approx(max(head, thin), abs=0.6)
        assert ("at the head tube" in state.text) == (head > thin)


def test_the_field_is_to_scale_and_tells_nothing(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        points = [
            tuple(map(float, p.split(",")))
            for p in re.search(r'<polygon points="([^"]+)"', svg)[1].split()
        ]
        x = [p[0] for p in points[:6]]
        assert x[5] - x[0] == pytest.approx(n["length"] / 4, abs=0.002)
        assert x[2] - x[0] == pytest.approx(n["thin_from"] / 4, abs=0.002)
        words = " ".join(re.findall(r">([^<]+)<", svg))
        assert f"{worked_again(n)['bending-there']:.1f}" not in words
