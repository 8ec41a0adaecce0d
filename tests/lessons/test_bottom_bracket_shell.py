"""The lesson on the bottom-bracket shell: answers worked again by other means, slips, printed numbers, slider, field."""

from __future__ import annotations

import re
from math import acos, asin, cos, pi, radians, sin, sqrt

import pytest

from coursekit.book import slider
from coursekit.classroom.bank import own_numbers
from coursekit.sheets.drawings import bottom_bracket_shell as field

from .helpers import all_right, by_machine, marked

SLUG = "bottom-bracket-shell"
PITCH = 25.4 / 24
GAS = 8.31446 / 18.0153  # J/(g·K)


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def left(bore):
    """Height of the ridges over 100 % of a chart: 1.5 heights of an equal-sided triangle of one pitch."""
    return 100 * (34.798 - bore) / (1.5 * PITCH * sin(radians(60)))


def steam(space, water, hot):
    """Bar: N·m of one gram's gas over the space in m³, a bar being 100 000 Pa."""
    return water * GAS * (hot + 273.15) / (space * 1e-6) / 1e5


def depth(tube, shell):
    """How far the ears reach past the valleys: the angle at the shell's centre instead of a root."""
    return shell / 2 * (1 - cos(asin(tube / shell)))


def worked_again(n):
    """Every answer but the order, without the kit's own modules."""
    bore = n["seat_tube"] - n["seat_wall"] - n["seat_wall"]
    near = [side + n["seat_tube"] / 2 for side in (n["drive_side"], n["other_side"])]
    far = [near[0] + n["drive_swing"], near[1] + n["other_swing"]]
    space = pi * bore * bore * n["closed_length"] / 4000
    width = n["found_width"]
    return {
        "hand": "drive",
        "travel": n["turns"] * 25.4 / 24,
        "thread-left": left(n["bore"]),
        "middle": tuple(near),
        "cuts": (far[0] - 34, far[1] - 34),
        "lean": n["height"] * n["drive_swing"] / n["shell"],
        "verdict": "narrow" if width < 67.7 else "wide" if width > 68.3 else "within",
        "depth": depth(n["seat_tube"], n["shell"]),
        "place": pi * n["shell"] * n["between"] / 360,
        "lands": tuple(bore / 2 - hole / 2 for hole in (3, 5, 8)),
        "space": space,
        "steam": steam(space, n["water"], n["hot"]),
        "push": steam(space, n["water"], n["hot"]) * 1e5 * pi * (bore / 2000) ** 2,
    }


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-5, abs=1e-9)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {
        "shell": 37, "seat_tube": 26, "seat_wall": 1.1, "between": 54.5, "turns": 5.5, "bore": 33.95, "drive_side": 23.95,
        "other_side": 24, "drive_swing": 0.4, "other_swing": 0.34, "height": 380, "found_width": 67.3, "closed_length": 260,
        "water": 2, "hot": 560,
    }  # fmt: skip
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (("travel", "travel"), ("thread", "thread-left"), ("lean", "lean"), ("depth", "depth"),
                         ("place", "place"), ("steam", "steam")):  # fmt: skip
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs], rel=1e-5), ours
    assert found["practice-cut"] == pytest.approx(23.95 + 13 + 0.4 - 36.5)
    assert found["practice-hand"] == "right"


def test_both_faces_come_clean_for_everybody(exercise, key):
    for i in range(60):
        n = own_numbers.draw(exercise, key, b"sound", f"bench-{i:04d}")
        near = worked_again(n)["middle"]
        assert min(near) > 34


def test_equal_faces_are_refused(key, students):
    n = students[0]
    assert key.is_sound(n)
    same = {"other_side": n["drive_side"], "other_swing": n["drive_swing"]}
    assert not key.is_sound(n | same)


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    space = pi / 4 * n["seat_tube"] ** 2 * n["closed_length"] / 1000
    bore = n["seat_tube"] - 2 * n["seat_wall"]
    own = {
        "middle": [n["drive_side"], n["other_side"]],
        "cuts": [n["drive_side"] + n["drive_swing"] - 34, n["other_side"] + n["other_swing"] - 34],
        "space": space,
        "steam": steam(space, n["water"], n["hot"]),
        "push": steam(space, n["water"], n["hot"]) / 10 * pi / 4 * bore**2,
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["middle"].slip == "from-the-side"
    assert marks["space"].slip == "steel-and-all"
    for id in ("cuts", "steam", "push"):
        assert marks[id].verdict == "carried", (id, marks[id])


def test_the_order_is_marked_by_its_pairs(exercise, key, students):
    question = exercise.question("clean")
    best = ("degrease", "abrade", "wipe again", "let dry", "flux")
    assert key.share(question, students[0], best)[0] == 1
    assert key.share(question, students[0], best[::-1])[0] == 0
    share, said = key.share(
        question, students[0], ("degrease", "abrade", "wipe again", "flux", "let dry")
    )
    assert share == pytest.approx(0.8)
    assert "90%" in said


# the page


def test_the_thread_on_the_page(page):
    basic = 34.798 - 1.25 * PITCH * sin(radians(60))
    page.says(r"\frac{25.4}{24} = #.###", PITCH)
    page.says("Ten turns are #.## mm", 10 * PITCH)
    page.says("A V of 60° is #.### of its pitch high", sin(radians(60)))
    page.says("less #.#### pitches", 1.25 * sin(radians(60)))
    page.says("that is #.### mm", basic)
    page.says("they call #.### pitches 100 %", 1.5 * sin(radians(60)))
    page.says("leaves # % of the thread, and of 33.9 mm # %", left(basic), left(33.9))
    page.says("#.### / #.####: # %", 34.798 - 34.05, 1.5 * PITCH * sin(radians(60)), left(34.05))


def test_the_faces_on_the_page(page):
    page.says("#.## and #.## mm. An indicator", 19.95 + 14.3, 20.15 + 14.3)
    page.says(
        "34.25 + 0.20 − 34 = #.## mm on the drive side, and 34.45 + 0.10 − 34 = #.## mm",
        0.45,
        34.45 + 0.10 - 34,
    )
    page.says("with the seat tube #.## mm off", (0.55 - 0.45) / 2)
    page.says("0.20 × 500 / 38.1 = #.# mm", 0.20 * 500 / 38.1)
    page.says("common practice, no source): #.# mm", 0.05 * 500 / 38.1)
    page.says("22.60 + 14.30 + 0.16 − 36.50 = #.## mm", 22.60 + 14.30 + 0.16 - 36.50)


def test_the_drum_on_the_page(page):
    page.says(
        "With 19.05 and 14.3 mm it is #.## mm; a down tube of 31.8 mm needs #.## mm",
        depth(28.6, 38.1),
        depth(31.8, 38.1),
    )
    page.says("19.05 × 61 × π / 180 = #.## mm", pi * 38.1 * 61 / 360)
    page.says("would say #.##", sqrt(2 * 19.05**2 * (1 - cos(radians(61)))))
    reach = [19.05 * asin(size / 38.1) for size in (28.6, 31.8)]
    page.says("reaches #.## mm round the shell, the down tube #.## mm", *reach)
    page.says("together more than the #.## there are", pi * 38.1 * 61 / 360)
    assert sum(reach) > pi * 38.1 * 61 / 360
    page.says("20 × 63 × π / 180 = #.## mm", pi * 40 * 63 / 360)


def test_the_holes_on_the_page(page):
    away, seat = pi * 38.1 * 61 / 360, 19.05 * (pi / 2 - acos(14.3 / 19.05))
    page.says("(26.8 − 5) / 2 = #.# mm", (26.8 - 5) / 2)
    page.says("the seat tube's outside reaches #.## mm of that", seat)
    page.says(
        "its edge at #.##: #.# mm are left. One of 8 mm has #.# mm",
        away - 2.5,
        away - 2.5 - seat,
        away - 4 - seat,
    )
    page.says("to #.## mm from the seat tube's middle", away + 4)
    page.says("#.## − 4 − #.## = #.# mm", away + 4, seat, away - seat)


def test_the_closed_space_on_the_page(page):
    space = pi / 4 * 26.8**2 * 450 / 1000
    page.says("26.8² × 450 = # 850 mm³", int(space))
    assert round(space * 1000, -1) == pytest.approx(253_850)
    page.says("from # to # K", 20 + 273.15, 700 + 273.15)
    page.says("from #.## to #.# bar", 1.01325, 1.01325 * 973.15 / 293.15)
    page.says(r"\text{bar} = #.###", GAS * 10)
    one = steam(space, 1, 700)
    page.says("makes #.# bar, and with the air #.", one, one + 1.01325 * 973.15 / 293.15)
    area = pi / 4 * 26.8**2
    page.says("# mm², the steam alone pushes with # N", area, one / 10 * area)
    page.says(
        "300 = #.# cm³. 4.615 × 0.5 × # / 68.1 = # bar",
        pi / 4 * 17**2 * 0.3,
        923.15,
        steam(pi / 4 * 17**2 * 0.3, 0.5, 650),
    )
    air = 1.01325 * 973.15 / 293.15
    page.says("level line at #.# bar", air)
    page.says(
        "# bar at half a gram, # bar at one gram, # bar at two",
        *(air + steam(space, grams, 700) for grams in (0.5, 1, 2)),
    )


# slider and field


def test_the_slider_says_where_the_hole_stands():
    states = slider.slider(f"{SLUG}/hole").states
    away = pi * 38.1 * 61 / 360
    reach = {
        name: 19.05 * asin(size / 38.1) for name, size in (("seat tube", 26.8), ("down tube", 30.0))
    }
    for state, place in zip(states, range(-16, 37), strict=True):
        for name, centre in (("seat tube", 0.0), ("down tube", away)):
            found = re.search(rf"{name} ([\d.]+) mm of land", state.text)
            beside = abs(place - centre)
            if found:
                # on the line of the axes: at most what is left toward the oval's end
                assert float(found[1]) <= reach[name] - beside - 2.5 + 0.051
            elif f"{name}: no hole" in state.text:
                assert beside >= reach[name] + 2.5 - 1e-6
            else:
                assert reach[name] - 2.5 - 1e-6 < beside < reach[name] + 2.5
    assert "seat tube 10.9 mm" in states[16].text


def test_the_field_is_one_shell_round_at_full_size(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        x, y, width, height = map(
            float, re.search(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', svg).groups()
        )  # fmt: skip
        assert width == pytest.approx(pi * n["shell"], abs=0.001)
        assert (x, height) == (10, 68)
        zero = re.search(r'<line x1="50.000" y1="9.000" x2="50.000" y2="83.000"', svg)
        assert zero, y
        # right is up × outward: with the drive side (z) below it is −z × y = x, forward
        sides = {
            name: float(at)
            for at, name in re.findall(r'y="([\d.]+)" [^>]*>((?:non-)?drive side)<', svg)
        }
        assert sides["drive side"] > sides["non-drive side"]
        words = " ".join(re.findall(r">([^<]+)<", svg))
        assert f"{worked_again(n)['place']:.1f}" not in words
