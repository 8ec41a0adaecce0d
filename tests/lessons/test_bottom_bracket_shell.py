"""The lesson on the bottom-bracket shell: answers worked again by other means, slips, printed numbers, slider, field."""

from __future__ import annotations

import re
import tomllib
from math import acos, asin, cos, pi, radians, sin, sqrt

import pytest

from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_frame, own_numbers
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
        "cuts": (far[0] - n["faced"] / 2, far[1] - n["faced"] / 2),
        "lean": n["height"] * n["drive_swing"] / n["shell"],
        "verdict": "narrow"
        if width < n["faced"] - 0.3001
        else "wide"
        if width > n["faced"] + 0.3001
        else "within",
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
        "shell": 37, "faced": 73, "seat_tube": 26, "seat_wall": 1.1, "between": 54.5, "turns": 5.5, "bore": 33.95, "drive_side": 23.95,
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
        assert min(near) > n["faced"] / 2


def test_the_shell_is_the_one_of_the_students_frame(exercise, key, root):
    """Road or trail: bought wider than faced, and the faces stand as far out as it was bought."""
    text, widths = own_frame.kinds(root), set()
    for i in range(60):
        tubes = own_frame.draw(text, b"tests", f"bench-{i:04d}").tubes
        drawn = own_numbers.for_frame(exercise, key, b"tests", f"bench-{i:04d}")
        n = drawn.numbers
        assert drawn.instead == "" and n["shell"] == tubes["shell"].diameter
        assert (n["seat_tube"], n["seat_wall"]) == (
            tubes["seat_tube"].diameter,
            tubes["seat_tube"].walls[0],
        )
        middle = worked_again(n)["middle"]
        over = sum(middle) + n["drive_swing"] + n["other_swing"]
        assert over == pytest.approx(tubes["shell"].length, abs=0.06)
        widths.add(n["faced"])
    assert widths == {68, 73}


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
        "cuts": [
            n["drive_side"] + n["drive_swing"] - n["faced"] / 2,
            n["other_side"] + n["other_swing"] - n["faced"] / 2,
        ],
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

WRITTEN = tomllib.loads((worked_frame.project.root() / worked_frame.FILE).read_text())
SHELL, SEAT, DOWN = (
    WRITTEN["tubes"][name]["diameter"] for name in ("shell", "seat_tube", "down_tube")
)
WALL, R = WRITTEN["tubes"]["seat_tube"]["walls"][0], SHELL / 2
BORE = SEAT - 2 * WALL
BETWEEN = round(worked_frame.facts()["down_tube.seat_tube.angle_deg"], 1)
AWAY = pi * SHELL * BETWEEN / 360
CUT = 546  # mm; its length less the depth of its cut, by the drum below


def test_the_shell_on_the_page_is_the_one_of_the_worked_frame(page):
    shell = WRITTEN["tubes"]["shell"]
    page.says("# mm outside, bored to #.# mm, # mm wide as bought, # mm when it is finished",
              SHELL, SHELL - 2 * shell["wall"], shell["length"], shell["faced"])  # fmt: skip
    page.says("A finished width of # mm is # on each side", shell["faced"], shell["faced"] / 2)
    page.says("68 mm wide between its faces")
    assert shell["faced"] == 68
    page.says("The angle between them is #.#°", BETWEEN)
    page.says("a bore of #.# mm, # mm long as cut", BORE, CUT)
    assert (
        round(WRITTEN["drawing"]["seat_tube"] - R + depth(SEAT, SHELL)) == CUT
    )  # from the long points
    assert 33.6 <= SHELL - 2 * shell["wall"] <= 33.9  # "ours is in between"
    assert pytest.approx(shell["length"]) == 34.25 + 0.20 + 34.45 + 0.10


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
    page.says("0.20 × 560 / 40 = #.# mm", 0.20 * WRITTEN["drawing"]["seat_tube"] / SHELL)
    page.says("common practice, no source): #.# mm", 0.05 * 560 / 40)
    page.says("22.60 + 14.30 + 0.16 − 36.50 = #.## mm", 22.60 + 14.30 + 0.16 - 36.50)


def test_the_drum_on_the_page(page):
    page.says("With # and 14.3 mm it is #.## mm; a down tube of #.# mm needs #.## mm",
              R, depth(SEAT, SHELL), DOWN, depth(DOWN, SHELL))  # fmt: skip
    page.says("# × #.# × π / 180 = #.## mm", R, BETWEEN, AWAY)
    page.says("would say #.##", sqrt(2 * R**2 * (1 - cos(radians(BETWEEN)))))
    reach = [R * asin(size / SHELL) for size in (SEAT, DOWN)]
    page.says("reaches #.## mm round the shell, the down tube #.## mm", *reach)
    page.says("together more than the #.## there are", AWAY)
    assert sum(reach) > AWAY
    page.says("Round the shell it is #.# mm from", AWAY)
    page.says("19.05 × 63 × π / 180 = #.## mm", pi * 38.1 * 63 / 360)


def test_the_holes_on_the_page(page):
    seat = R * (pi / 2 - acos(SEAT / SHELL))
    page.says("(26.8 − 5) / 2 = #.# mm", (BORE - 5) / 2)
    page.says("the seat tube's outside reaches #.## mm of that", seat)
    page.says(
        "its edge at #.##: #.# mm are left. One of 8 mm has #.# mm",
        AWAY - 2.5,
        AWAY - 2.5 - seat,
        AWAY - 4 - seat,
    )
    page.says("to #.## mm from the seat tube's middle", AWAY + 4)
    page.says("#.## − 4 − #.## = #.# mm", AWAY + 4, seat, AWAY - seat)


def test_the_closed_space_on_the_page(page):
    space = pi / 4 * BORE**2 * CUT / 1000
    page.says("26.8² × 546 = # 000 mm³", round(space))
    assert space == pytest.approx(308, abs=0.05)
    page.says("from # to # K", 20 + 273.15, 700 + 273.15)
    page.says("from #.## to #.# bar", 1.01325, 1.01325 * 973.15 / 293.15)
    page.says(r"\text{bar} = #.###", GAS * 10)
    one = steam(space, 1, 700)
    page.says("in 308 cm³ makes #.# bar, and with the air #.", one, one + 1.01325 * 973.15 / 293.15)
    area = pi / 4 * 26.8**2
    page.says(
        "# mm², the steam alone pushes with # N, as if a man of # kg",
        area,
        one / 10 * area,
        one / 10 * area / 9.81,
    )
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
    away = AWAY
    reach = {
        name: R * asin(size / SHELL) for name, size in (("seat tube", 26.8), ("down tube", 30.0))
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
        assert (x, height) == (10, n["faced"])
        zero = re.search(
            rf'<line x1="50.000" y1="9.000" x2="50.000" y2="{15 + n["faced"]:.3f}"', svg
        )
        assert zero, y
        # right is up × outward: with the drive side (z) below it is −z × y = x, forward
        sides = {
            name: float(at)
            for at, name in re.findall(r'y="([\d.]+)" [^>]*>((?:non-)?drive side)<', svg)
        }
        assert sides["drive side"] > sides["non-drive side"]
        words = " ".join(re.findall(r">([^<]+)<", svg))
        assert f"{worked_again(n)['place']:.1f}" not in words
