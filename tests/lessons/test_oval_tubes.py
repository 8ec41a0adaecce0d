"""The lesson on oval tubes: answers worked again by other means, slips, page, figures, slider, field."""

from __future__ import annotations

import re
import tomllib
from math import hypot, pi, sqrt
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from coursekit import ovals
from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_numbers
from coursekit.figures import oval_tubes as figures
from coursekit.sheets.drawings import oval_tubes as field

from .figure_words import troubles
from .helpers import all_right, by_machine, marked

SLUG = "oval-tubes"
Y = 517.0  # MPa, least yield of thin 4130 tube, from memory: MIL-T-6736B
FRAME = tomllib.loads((Path(__file__).parents[2] / "course/worked-frame.toml").read_text("utf-8"))
TUBES = FRAME["tubes"]
E = 205_000.0


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(30)]


def once_round(deep, wide):
    """Length of an ellipse with these full axes, by steps along it."""
    turn = np.linspace(0, 2 * np.pi, 20001)
    x, y = wide / 2 * np.cos(turn), deep / 2 * np.sin(turn)
    return float(np.hypot(np.diff(x), np.diff(y)).sum())


def depth(diameter, wall, wide):
    goal = pi * (diameter - wall)
    return brentq(lambda d: once_round(d - wall, wide - wall) - goal, diameter - 1, 2 * diameter)


def stiffness(wide, deep, wall):
    """∫ y² dA of an equal wall inside an ellipse, in strips along the outside: y = depth/2 · sin."""
    a, b = wide / 2, deep / 2

    def strip(turn):
        length = hypot(a * np.sin(turn), b * np.cos(turn))
        lean, bend = a * np.sin(turn) / length, a * b / length**3
        y = b * np.sin(turn)
        return quad(lambda s: (y - s * lean) ** 2 * (1 - s * bend), 0, wall)[0] * length

    return 4 * quad(strip, 0, pi / 2)[0]


def worked_again(n):
    wide, r = n["into"] - n["shoulder"] - n["shoulder"], n["diameter"] / 2 - n["wall"] / 2
    deep = depth(n["diameter"], n["wall"], wide)
    spring = 1.8 * n["yield_stress"] * r * r / E / n["wall"]
    outer, inner = n["diameter"] / 2, n["diameter"] / 2 - n["wall"]
    whole = pi / 4 * (outer**4 - inner**4)
    shares = [stiffness(*sizes, n["wall"]) / whole * 100 for sizes in ((wide, deep), (deep, wide))]
    return {
        "why": "ledge",
        "width": wide,
        "middle": 2 * pi * r,
        "oval": (deep, 2 * n["diameter"] - wide - deep),
        "spring": spring,
        "press": wide - spring,
        "force": n["yield_stress"] * n["wall"] ** 2 / r * n["pad"],
        "stiffness": tuple(shares),
        "ear": n["into"] / 2 - sqrt((n["into"] / 2) ** 2 - (wide / 2) ** 2),
        "first": "squeeze",
    }


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-6, abs=1e-5)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {"diameter": 25.4, "wall": 0.6, "into": 27.0, "shoulder": 3.25, "yield_stress": 420.0}
    n |= {"pad": 84.0}
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for ours, theirs in (
        ("width", "width"), ("middle", "middle"), ("spring", "spring"), ("press", "press"), ("force", "force"), ("ear", "ear"),
    ):  # fmt: skip
        assert found[f"practice-{ours}"] == pytest.approx(again[theirs]), ours
    assert depth(25.4, 0.6, 22.4) < 25.4 + 3  # practice-length: less


def test_a_squeeze_too_small_or_too_large_is_refused(key, students):
    n = students[0] | {"diameter": 28.6}
    assert key.is_sound(n | {"into": 28.6, "shoulder": 3.0})
    assert not key.is_sound(n | {"into": 34.9, "shoulder": 3.0})
    assert not key.is_sound(n | {"into": 25.4, "shoulder": 3.0})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_the_hand_formulas_of_the_page_are_right(exercise, key, students):
    """Ramanujan's depth and the ellipse less an ellipse, as a student works them, earn full marks."""
    for n in students:
        again = worked_again(n)
        wide, t = again["width"], n["wall"]

        def length(d, b=(wide - t) / 2, t=t):
            a = (d - t) / 2
            return pi * (3 * (a + b) - sqrt((3 * a + b) * (a + 3 * b)))

        goal = pi * (n["diameter"] - t)
        d = brentq(lambda d, f=length, g=goal: f(d) - g, n["diameter"], 2 * n["diameter"])
        tube = n["diameter"] ** 4 - (n["diameter"] - 2 * t) ** 4
        sizes = ((wide, d), (d, wide))
        rough = [100 * (w * h**3 - (w - 2 * t) * (h - 2 * t) ** 3) / tube for w, h in sizes]
        own = {"oval": [d, 2 * n["diameter"] - wide - d], "stiffness": rough}
        marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
        assert marks["oval"].verdict == marks["stiffness"].verdict == "right"


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = next(s for s in students if s["diameter"] - s["into"] + s["shoulder"] > 2)
    wide = n["into"] - n["shoulder"]
    deep = depth(n["diameter"], n["wall"], wide)
    outer, inner = n["diameter"] / 2, n["diameter"] / 2 - n["wall"]
    whole = pi / 4 * (outer**4 - inner**4)
    own = {
        "width": wide,
        "oval": [deep, 2 * n["diameter"] - wide - deep],
        "press": wide - worked_again(n)["spring"],
        "stiffness": [stiffness(wide, deep, n["wall"]) / whole * 100, stiffness(deep, wide, n["wall"]) / whole * 100],
        "ear": n["into"] / 2 - sqrt((n["into"] / 2) ** 2 - (wide / 2) ** 2),
    }  # fmt: skip
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["width"].slip == "one-shoulder"
    for id in ("oval", "press", "stiffness", "ear"):
        assert marks[id].verdict == "carried", (id, marks[id])


@pytest.mark.parametrize("wide", [0.0, -5.0, 0.5, 500.0])
def test_no_earlier_answer_breaks_the_rest(exercise, key, students, wide):
    for n in students[:3]:
        earlier = {"width": wide, "oval": (wide, 0.0), "spring": 1e6}
        for id in ("oval", "press", "stiffness", "ear"):
            assert np.isfinite(key.value(exercise.question(id), n, earlier)).all()


def test_the_scaffold_completed_gives_the_depth_and_untouched_gives_nothing(exercise, students):
    code = exercise.question("oval").scaffold
    line = "around = pi * (3 * (a + b) - sqrt((3 * a + b) * (a + 3 * b)))"
    for n in students[:4]:
        made = dict(n) | {"pi": pi, "sqrt": sqrt, "width": worked_again(n)["width"]}
        exec(code.replace("around = None", line), made)
        assert made["oval"] == pytest.approx(worked_again(n)["oval"], abs=0.006)
    blank = dict(students[0]) | {"pi": pi, "sqrt": sqrt, "width": None}
    exec(code, blank)
    assert blank["oval"] == [None, None]


# The page


D, T, INTO = (
    TUBES["top_tube"]["diameter"],
    TUBES["top_tube"]["walls"][0],
    TUBES["seat_tube"]["diameter"],
)
WIDE, R = INTO - 6, (D - T) / 2
OURS = figures.Squeeze(D, T, INTO)


def ramanujan(deep, wide):
    a, b = (deep - T) / 2, (wide - T) / 2
    return pi * (3 * (a + b) - sqrt((3 * a + b) * (a + 3 * b)))


def test_the_page_prints_width_and_middle(page):
    page.says("#.# mm in diameter, #.# mm of wall, yield 517 MPa, the least that the specification asks of thin 4130 tube. It is to be joined to the seat tube,"
              " which has #.# mm too", D, T, INTO)  # fmt: skip
    page.says("&= #.# - 6 = #.#\\ \\text{mm}", INTO, WIDE)
    page.says("as an upright oval, #.# mm wide", WIDE)
    page.says("31.8 − 6 = #.# mm: #.# mm less than round", 31.8 - 6, D - 25.8)
    page.says("(#.# - #.#) = #.##\\ \\text{mm}", D, T, pi * (D - T))
    page.says("Round it is #.# mm wide. As an oval it is #.# wide and #.# deep. The dashed line is #.# mm long in both",
              D, WIDE, depth(D, T, WIDE), pi * (D - T))  # fmt: skip
    down, wall = TUBES["down_tube"]["diameter"], TUBES["down_tube"]["walls"][0]
    page.says("Our down tube is #.# mm thick and has #.# mm of wall at the shell", down, wall)
    page.says(
        "π · #.# = #.# mm; π · #.# = #.# mm", down - wall, pi * (down - wall), down, pi * down
    )


def test_the_page_prints_the_depth(page):
    goal = pi * (D - T)
    page.says("#.# + 6 = #.# mm", D, D + 6)
    for deep, said in ((34.6, "too long"), (33.6, "too short")):
        length = ramanujan(deep, WIDE)
        page.says(f"| {deep} | #.## | #.## | #.## | #.## {said} |", (deep - T) / 2, (WIDE - T) / 2, length, abs(length - goal))  # fmt: skip
    page.says(
        "| 34.0 | #.## | #.## | #.## | as good as there |",
        (34 - T) / 2,
        (WIDE - T) / 2,
        ramanujan(34.0, WIDE),
    )
    true = depth(D, T, WIDE)
    page.says("rising to #.#. The curve of the true depth leaves it slowly and stays below: at #.# wide it is #.# deep, at 18 wide #.#",
              2 * D - 18, WIDE, true, depth(D, T, 18.0))  # fmt: skip
    page.says("give it: **#.# mm**. That is #.# mm less", true, D + 6 - true)
    page.says("= 2907, root #.###; π · #.### = #.## mm. Circle: #.## mm", sqrt(2907),
              81 - sqrt(2907), pi * (81 - sqrt(2907)), 2 * pi * 13.5)  # fmt: skip
    assert (45 + 12) * (15 + 36) == 2907


def test_the_page_prints_springback_and_force(page):
    hand, line = 1.8 * Y * R**2 / (E * T), Y * T**2 / R
    page.says("#.## mm. The ring gives way", R)
    page.says("1.8 · 517 · #.##² / (205 000 · #.#) = **#.## mm**", R, T, hand)
    page.says("So a squeeze of less than #.# mm leaves nothing", hand)
    page.says("#.# - #.## = #.##\\ \\text{mm}", WIDE, hand, WIDE - hand)
    stop = float(ovals.squeeze_to(D, T, WIDE, Y, E))
    deep_spring = WIDE - stop
    page.says("pads 60 mm long. Straight up to # newtons at #.# mm, where the tube gives way; then slowly falling to about # newtons"
              " at #.# mm. From there, dashed, straight down to # mm when the pads let go. The last #.# mm",
              line * 60, hand, round(line * 60 * (D - T) / (depth(D, T, stop) - T), -1), D - stop, D - WIDE, deep_spring)  # fmt: skip
    page.says("change of shape, says #.## mm", deep_spring)
    page.says("find it #.# mm too wide", deep_spring - hand)
    page.says("#.## · 300 / 517 = #.## mm", hand, hand * 300 / Y)
    page.says("517 · #.## / #.## = #.# N. Pads 60 mm long: **# N**, the weight of # kg",
              T**2, R, line, line * 60, line * 60 / 9.81)  # fmt: skip
    page.says("The wall is 1.0 mm instead of #.# mm, the radius #.## mm", T, (D - 1) / 2)
    page.says(
        "517 · 1.00 / #.## · 60 = # N: more than half as much again",
        (D - 1) / 2,
        Y / ((D - 1) / 2) * 60,
    )
    assert 1.5 < 1 / ((D - 1) / 2) / (T**2 / R) < 1.6


def test_the_page_prints_stiffness_and_saddle(page):
    deep = depth(D, T, WIDE)
    whole = pi / 64 * (D**4 - (D - 2 * T) ** 4)
    plane, across = stiffness(WIDE, deep, T) / whole, stiffness(deep, WIDE, T) / whole
    page.says("Ours gets # % stiffer in the plane and # % softer across", 100 * plane - 100, 100 - 100 * across)  # fmt: skip
    inside = pi / 4 * (WIDE - T) * (deep - T)  # Bredt: 4·area²·t over the middle line
    twist = 4 * inside**2 * T / (pi * (D - T)) / (2 * whole)
    page.says("In torsion it loses an eighth.")
    assert twist == pytest.approx(7 / 8, abs=0.005)
    page.says(
        "Oval in the plane of the frame # per cent. Oval across the frame # per cent",
        100 * plane,
        100 * across,
    )
    half = INTO / 2
    page.says(
        "#.# − √(#.#² − #.#²) = **#.## mm**",
        half,
        half,
        WIDE / 2,
        half - sqrt(half**2 - (WIDE / 2) ** 2),
    )
    page.says("falls from #.# mm to zero in two sharp points. The oval one swings softly between #.# and #.# mm",
              half, half, sqrt(half**2 - (WIDE / 2) ** 2))  # fmt: skip
    page.says("= 15.9 − #.## = #.## mm", sqrt(15.9**2 - 12.9**2), 15.9 - sqrt(15.9**2 - 12.9**2))


@pytest.mark.parametrize(
    "name", ["shoulders", "middle_line", "deeper", "letting_go", "stiffness", "ends"]
)
def test_no_words_of_a_figure_are_clipped_small_or_on_top_of_others(name):
    mpl.use("Agg")
    figure = getattr(figures, name)(OURS)
    assert troubles(figure) == []
    mpl.pyplot.close(figure)


def test_the_figures_draw_the_page_s_tube():
    assert figures.of(worked_frame.facts()) == OURS
    plane, across = figures.shares(OURS)
    assert (round(plane), round(across)) == (128, 68)
    first, pressed, back = figures.travel(OURS)
    assert first == pytest.approx(12 * (pi / 4 - 2 / pi) * Y * R**2 / (E * T))
    assert pressed - back == pytest.approx(D - WIDE)
    around, along = figures.edge(OURS)
    half = INTO / 2
    assert along.max() - along.min() == pytest.approx(half - sqrt(half**2 - (WIDE / 2) ** 2))
    assert around[-1] == pytest.approx(pi * D, rel=0.005)  # the paper strip fits both


def test_the_slider_says_what_stays():
    for state in slider.slider(f"{SLUG}/squeeze").states:
        pads, wide, deep = (float(v) for v in re.findall(r"\d+\.\d", state.text))
        assert pads <= wide <= D
        assert deep == pytest.approx(depth(D, T, wide), abs=0.12)  # to a tenth, as is the width
        if pads >= D - 1.0:
            assert wide == D
        if pads <= D - 1.3:
            assert 1.0 <= wide - pads <= 1.5


def test_the_field_is_to_scale(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        edges = [float(x) for x in re.findall(r'<line x1="([\d.]+)"[^>]*stroke-width="0.7"/>', svg)]
        assert edges[1] - edges[0] == pytest.approx(2 * n["into"], abs=0.011)
        assert float(re.findall(r'r="([\d.]+)"', svg)[0]) == pytest.approx(n["diameter"], abs=0.001)


def test_the_field_has_room_for_every_oval_and_shows_no_answer(students):
    for n in students:
        assert worked_again(n)["oval"][0] < field.TALL
        assert n["into"] / 2 * field.SCALE < field.TALL
    texts = {tuple(re.findall(r">([^<>]+)</text>", field.draw(n).svg)) for n in students}
    assert len(texts) == 1
