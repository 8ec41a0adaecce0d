"""The lesson on braze-ons: answers worked again by points and by search, slips, slider, field, printed page.

No domain module of the kit is asked, but where a test says so. A point across a tube is x + iy, crown up;
a point of the frame's plane is along the down tube + i up from it.
"""

from __future__ import annotations

import cmath
import re
import tomllib
from itertools import permutations, product
from math import asin, atan, cos, degrees, pi, radians, sin, sqrt

import matplotlib as mpl
import numpy as np
import pytest
from scipy.optimize import brentq

from coursekit import braze_ons
from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_numbers
from coursekit.figures import braze_ons as figures
from coursekit.sheets.drawings import braze_ons as field
from tests.conftest import ROOT

from .helpers import all_right, by_machine, marked

SLUG = "braze-ons"
FILE = tomllib.loads((ROOT / "course" / "worked-frame.toml").read_text(encoding="utf-8"))
DRAWN, TUBES = FILE["drawing"], FILE["tubes"]
DOWN, SEAT, SHELL = (TUBES[part]["diameter"] for part in ("down_tube", "seat_tube", "shell"))
R = DOWN / 2
FACTS = worked_frame.facts()
BETWEEN = round(FACTS["down_tube.seat_tube.angle_deg"], 1)


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def edge_mark(diameter, leg):
    """From the crown to what the edge of an angle section points to: the edge as a point, its direction."""
    fold = 1j * diameter / 2 * sqrt(2)
    edge = fold + leg * cmath.rect(1, -pi / 4)
    return diameter / 2 * (pi / 2 - cmath.phase(edge))


def sunk(diameter, width):
    """How deep a chord of `width` lies below the crown: the height where the circle is that wide."""
    half = brentq(
        lambda turn: diameter * sin(turn) - width, 0, asin(min(1, width / diameter)) + 1e-3
    )
    return diameter / 2 * (1 - cos(half))


def corners(tube, stand, bottle, start, way, out):
    near, far = tube / 2 + stand, tube / 2 + stand + bottle
    return [x * way + y * out for x, y in product((start, start + 200.0), (near, far))]


def between(n):
    """Least distance of the two boxes' edges, by many points on them."""
    turn = cmath.rect(1, radians(n["between_deg"]))
    low = corners(n["down_tube"], n["stand"], n["bottle"], n["dt_boss"] - n["below"], 1, 1j)
    high = corners(n["seat_tube"], n["stand"], n["bottle"], n["st_boss"] - n["below"], turn, -1j * turn)  # fmt: skip
    share = np.linspace(0, 1, 20_001)
    side = low[1] + share * (low[3] - low[1])  # far side of the down tube's bottle
    corner = min(high, key=lambda p: p.imag)
    return float(np.abs(side - corner).min()), corner.imag - low[1].imag


def worked_again(n):
    """Every answer but the order."""
    tube = n["down_tube"]
    first = n["dt_boss"] - n["shell"] / 2
    flat = sunk(tube, n["base"])
    step = np.linspace(n["guide_first"], n["guide_last"], 4)
    return {
        "turned": "right",
        "touch": tube * pi / 8,
        "edges": 2 * edge_mark(tube, n["leg"]),
        "leaning": tube * pi * n["lean_deg"] / 360,
        "places": (first, first + 64),
        "flat-base": flat,
        "hollowed": sunk(n["hollow"], n["base"]) - flat,
        "share": 100 / (1 + n["belly_wall"] / n["flange"]),
        "far-side": (tube + 2 * n["stand"] + 2 * n["bottle"]) / 2,
        "bottle-room": between(n)[1],
        "guides": tuple(step),
    }


# Answers


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-9, abs=1e-9)
            assert found[id] == want, id


def test_the_corner_asked_for_is_the_one_that_comes_nearest(students):
    for n in students:
        near, taught = between(n)
        if taught > 0:
            assert near == pytest.approx(taught, abs=0.01)


def test_a_corner_beyond_the_other_bottles_end_is_refused(key, students):
    assert key.is_sound(students[0])
    assert not key.is_sound(students[0] | {"dt_boss": students[0]["dt_boss"] + 200})


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {
        "down_tube": 33.3, "seat_tube": 29.8, "shell": 41.0, "leg": 28.0, "lean_deg": 1.2, "dt_boss": 200.0, "st_boss": 280.0,
        "below": 85.0, "between_deg": 60.0, "stand": 7.0, "bottle": 68.0, "base": 8.0, "hollow": 25.4, "flange": 3.5,
        "belly_wall": 0.8, "guide_first": 110.0, "guide_last": 474.0,
    }  # fmt: skip
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (
        ("lean", "leaning"),
        ("base", "flat-base"),
        ("share", "share"),
        ("far", "far-side"),
    ):
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs]), ours
    assert found["practice-edges"] == pytest.approx(again["edges"] / 2)
    assert found["practice-place"] == pytest.approx(again["places"][1])
    assert found["practice-third"] == pytest.approx(292.0)


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    r = n["down_tube"] / 2
    flat = 2 * r - sqrt(4 * r * r - (n["base"] / 2) ** 2)
    own = {
        "touch": r * pi / 2,
        "edges": 2 * (r * pi / 2 + r * atan((n["leg"] - r) / r)),
        "flat-base": flat,
        "hollowed": sunk(n["hollow"], n["base"]) - flat,
        "far-side": n["stand"] + n["bottle"],
        "bottle-room": worked_again(n)["bottle-room"] + r,
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    for id, slip in (
        ("touch", "touch-with-diameter"),
        ("flat-base", "tube-as-radius"),
        ("far-side", "from-the-surface"),
    ):
        assert marks[id].slip == slip
    for id in ("edges", "hollowed", "bottle-room"):
        assert marks[id].verdict == "carried", (id, marks[id])


def test_the_order_is_full_in_one_way_and_less_for_each_pair(exercise, key, students):
    question = exercise.question("sequence")
    best = ("crown line", "mark places", "drill", "dry fit", "braze")
    shares = {o: key.share(question, students[0], o)[0] for o in permutations(question.entries)}
    assert [o for o, share in shares.items() if share == 1] == [best]
    assert shares[best[::-1]] == 0
    assert shares[(best[1], best[0], *best[2:])] == pytest.approx(0.8)


# Slider, figures, field


def test_the_slider_says_how_near_the_bottles_come():
    states = slider.slider(f"{SLUG}/bottles").states
    assert len(states) == 41
    for state, start in zip(states, np.arange(155.0, 236.0, 2.0), strict=True):
        corner = start * sin(radians(BETWEEN)) - 92.3 * cos(radians(BETWEEN))
        told = float(re.search(r"([\d.]+) mm(?: apart|$)", state.text)[1])
        if "apart" in state.text:
            assert told == pytest.approx(corner - 93.9, abs=0.0501)
        else:  # out by the shorter of two ways: up, or back from the other bottle's upper inner corner
            back = 92.3 - (155 * sin(radians(BETWEEN)) - 93.9 * cos(radians(BETWEEN)))
            assert told == pytest.approx(min(93.9 - corner, back), abs=0.0501)


def test_the_figures_letters_stand_apart():
    mpl.use("Agg")
    low = braze_ons.Bottle(DOWN, stand=5.0, diameter=73.0, length=200.0, start=155.0)
    high = braze_ons.Bottle(SEAT, stand=5.0, diameter=73.0, length=200.0, start=195.0)
    made = (
        figures.touching(DOWN),
        figures.section(DOWN, 25.0),
        figures.places(240.0, SHELL, DOWN, (0.9, 0.6), (56.3, 96.3)),
        figures.bases(DOWN),
        figures.bottles(low, high, BETWEEN),
        figures.guides(SEAT),
    )
    for figure in made:
        figure.canvas.draw()
        boxes = [t.get_window_extent() for t in figure.axes[0].texts if t.get_text()]
        for i, box in enumerate(boxes):
            assert figure.bbox.x0 - 1 <= box.x0 and box.x1 <= figure.bbox.x1 + 1
            assert not any(box.overlaps(other) for other in boxes[i + 1 :])
    mpl.pyplot.close("all")


def test_the_field_is_to_scale_and_tells_no_size(students):
    for n in students[:8]:
        drawn = field.draw(n)
        boxes = [
            [complex(*map(float, p.split(","))) for p in way.split()]
            for way in re.findall(r'<polyline points="([^"]+)" stroke-width="0.5"', drawn.svg)
        ]
        origin = complex(16, 122)
        low, high = ([(p - origin).conjugate() * 3 for p in box] for box in boxes)
        nearest = min(high, key=lambda p: p.imag)
        assert nearest.imag - max(p.imag for p in low) == pytest.approx(
            worked_again(n)["bottle-room"], abs=0.01
        )
        assert min(p.real for p in low) == pytest.approx(n["dt_boss"] - n["below"], abs=0.01)
        assert not re.search(r">[^<]*\d{2}[^<]*<", drawn.svg)
        for x, y in re.findall(
            r"([\d.-]+),([\d.-]+)", " ".join(re.findall(r'points="([^"]+)"', drawn.svg))
        ):
            assert 0 <= float(x) <= drawn.width and 0 <= float(y) <= drawn.height


# What the page prints


def test_the_frame_is_the_one_of_all_lessons(page):
    """Tubes as the file has them; the angle between them from the drawing, by plain trigonometry."""
    page.says(
        "down tube #.# mm, seat tube #.# mm, shell # mm, and #.#° between",
        DOWN,
        SEAT,
        SHELL,
        BETWEEN,
    )
    page.says("From axis to axis the down tube is #.# mm", FACTS["down_tube.axis"])
    page.says("The shell's faces are # mm apart", TUBES["shell"]["faced"])
    wall, belly, _ = TUBES["down_tube"]["walls"]
    page.says("A centre punch dents a belly of #.# mm", belly)
    page.says("on the butt, #.# mm thick", wall)
    # the lower edge of the head tube's axis, then the down tube's edge that far above it
    lean, front = (
        pi - radians(DRAWN["head_angle_deg"]),
        sqrt(DRAWN["front_centre"] ** 2 - DRAWN["bb_drop"] ** 2),
    )
    up, ahead = cmath.rect(1, lean), cmath.rect(1, lean - pi / 2)
    axle = complex(front, DRAWN["bb_drop"])
    rise = sqrt(DRAWN["fork_length"] ** 2 - DRAWN["fork_offset"] ** 2) + DRAWN["lower_stack"]
    edge = (
        axle - DRAWN["fork_offset"] * ahead + (rise + TUBES["down_tube"]["above_head_bottom"]) * up
    )
    edge -= TUBES["head_tube"]["diameter"] / 2 * ahead
    way = degrees(cmath.phase(edge) + asin(R / abs(edge)))
    assert 180 - DRAWN["seat_angle_deg"] - way == pytest.approx(BETWEEN, abs=0.051)


def test_the_page_prints_tangents(page):
    page.says(r"15.9 \cdot 0.785 = #.#", DOWN * pi / 8)
    page.says("Straight across it is only #.# mm", R * sqrt(0.5))
    page.says("15.9 · 30 / 57.3 = #.# mm", R * pi / 6)
    page.says("its line is #.## mm further", R * pi / 180)
    page.says("15.9 · 1 / 57.3 = #.## mm", R * pi / 180)
    page.says("by #.# mm at its end", 200 * pi / 180)
    lean = degrees(0.6 / TUBES["shell"]["faced"])
    page.says("0.6 / 68 · 57.3 = #.##°. On the down tube 15.9 · 0.51 / 57.3 = #.## mm; at the end of a 200 mm rod #.# mm",
              lean, R * radians(lean), 200 * radians(lean))  # fmt: skip
    page.says("so it goes on by #.# mm", 25 - R)
    second = degrees(atan((25 - R) / R))
    page.says(r"45° + #.#° \\ &= #.#°", second, 45 + second)
    page.says("15.9 · 74.8 / 57.3 = #.# mm from the crown, and the two are **#.# mm**", edge_mark(DOWN, 25),
              2 * edge_mark(DOWN, 25))  # fmt: skip


def test_the_page_prints_places_and_bases(page):
    page.says(r"\frac{40}{2} &= #", 240 - SHELL / 2)
    page.says(r"220 + 64 &= #", 240 - SHELL / 2 + 64)
    page.says("which is # on a rule", 240 - SHELL / 2)
    long = round(FACTS["down_tube.axis"], 1)
    page.says("At 627.1 − 240 = #.# and #.# mm", long - 240, long - 240 - 64)
    page.says("15.9^2 - 6^2} = #.##", sunk(DOWN, 12))
    page.says("for 25.4 mm it is #.## mm deep, our tube fills #.## mm of that, and #.## mm", sunk(25.4, 12),
              sunk(DOWN, 12), sunk(25.4, 12) - sunk(DOWN, 12))  # fmt: skip
    page.says("√(14.3² − 6²) = #.## mm; the hollow has #.##. So #.## mm", sunk(SEAT, 12), sunk(DOWN, 12),
              sunk(SEAT, 12) - sunk(DOWN, 12))  # fmt: skip


def test_the_page_prints_bottles_heat_and_guides(page):
    page.says(r"15.9 + 5 + 73 &= #.#\ \text{mm} \\ 14.3 + 5 + 73 &= #.#", R + 78, SEAT / 2 + 78)
    up, back = sin(radians(BETWEEN)), cos(radians(BETWEEN))
    corner = 195 * up - 92.3 * back
    page.says(r"\sin #.#° - 92.3 \cdot \cos #.#° &= #.#\ \text{mm} \\ 119.3 - 93.9 &= #.#",
              BETWEEN, BETWEEN, corner, corner - 93.9)  # fmt: skip
    page.says("lower inner corner is #.# above", corner - 93.9)
    page.says("25.4 − 10 = #.# mm to spare", corner - 93.9 - 10)
    page.says("costs sin #.#° = #.###: 15.4 / 0.856 = #.# mm. So the boss may go down to # mm",
              BETWEEN, up, (corner - 103.9) / up, 280 - (corner - 103.9) / up)  # fmt: skip
    belly = TUBES["down_tube"]["walls"][1]
    page.says(r"\frac{2.5}{2.5 + #.#} = #.##", belly, 2.5 / (2.5 + belly))
    page.says("2.5 / 3.4 = #.##", 2.5 / 3.4)
    page.says("some # K less", round((1630 - 1205) / 1.8, -1))  # liquidus of RBCuZn-C and BAg-7, °F
    page.says("√3 · 0.5 = #.## mm", sqrt(3) * 0.5)
    page.says("300 / 4 = # mm: 70, #, #, # and 370", 75, 145, 220, 295)
