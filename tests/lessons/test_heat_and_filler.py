"""The lesson on heat and filler: answers worked again by other means, slips, order, slider, field."""

from __future__ import annotations

import re
import tomllib
from math import pi
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad

from coursekit.book import slider
from coursekit.classroom.bank import own_numbers
from coursekit.sheets.drawings import heat_and_filler as field

from .helpers import all_right, by_machine, marked

SLUG = "heat-and-filler"
TUBES = tomllib.loads((Path(__file__).parents[2] / "course/worked-frame.toml").read_text("utf-8"))[
    "tubes"
]
SHELL, TUBE = TUBES["shell"]["wall"], TUBES["seat_tube"]["walls"][0]
STEPS = ("clean", "flux", "tack", "heat", "feed", "cool", "soak")


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def under_the_arc(leg):
    """Area between both faces and the circle that touches them, by quadrature."""
    return quad(lambda x: leg - (leg**2 - (leg - x) ** 2) ** 0.5, 0, leg)[0]


def worked_again(n):
    """Every answer but the order, without the kit's own modules. Water freezes at 32 and boils at 212 °F."""
    celsius = {
        name: 100 * (n[name] - 32) / (212 - 32) for name in ("packet_f", "solidus_f", "top_f")
    }
    bead = under_the_arc(n["leg"])
    below, above = celsius["solidus_f"] - 565, 870 - celsius["top_f"]
    return {
        "packet": celsius["packet_f"],
        "share": 100 / (1 + n["tube_wall"] / n["shell_wall"]),
        "dwell": n["shell_wall"] / n["tube_wall"],
        "bead": bead,
        "volume": bead * n["line"],
        "rods": 5 * bead * n["line"] / (pi * n["rod"] ** 2),
        "margins": (below, above),
        "covers": "bottom" if below < 0 else "top" if above < 0 else "both",
        "black": "stop",
    }


def test_answers_are_those_worked_again(exercise, key, students):
    seen = set()
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        seen.add(found["covers"])
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-6)
            assert found[id] == want, id
    assert seen == {"both", "top"}  # no filler of the ranges melts below the paste


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {
        "packet_f": 1900.0,
        "shell_wall": 5.0,
        "tube_wall": 1.1,
        "leg": 7.5,
        "line": 80.0,
        "rod": 3.0,
    }
    n |= {"solidus_f": 1200.0, "top_f": 1500.0}
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    for id in ("packet", "share", "dwell", "bead", "volume"):
        assert found[f"practice-{id}"] == pytest.approx(again[id]), id
    assert found["practice-rod"] == pytest.approx(again["rods"] / 1.25)


def test_every_margin_is_clear(exercise, key):
    for i in range(60):
        n = own_numbers.draw(exercise, key, b"sound", f"bench-{i:04d}")
        assert min(abs(v) for v in worked_again(n)["margins"]) >= 8


def test_the_strip_of_paper_lies_along_the_student_s_corner(exercise, key):
    """The corner's length by steps along it, within the 2 mm that a strip may be off."""
    for i in range(40):
        n = own_numbers.draw(exercise, key, b"strips", f"bench-{i:04d}")
        turn = np.linspace(0, 2 * pi, 4001)
        x, y = n["tube"] / 2 * np.cos(turn), n["tube"] / 2 * np.sin(turn)
        points = np.array([x, y, np.sqrt((n["shell"] / 2) ** 2 - y**2)])
        round_it = np.linalg.norm(np.diff(points), axis=0).sum()
        assert abs(n["line"] - round_it) <= 2.5


def test_a_range_below_the_solidus_is_refused(key, students):
    assert not key.is_sound(students[0] | {"top_f": students[0]["solidus_f"] - 10})


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    flat = n["leg"] ** 2 / 2
    own = {"bead": flat, "volume": flat * n["line"]}
    own["rods"] = 1.25 * own["volume"] / (pi / 4 * n["rod"] ** 2)
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["bead"].slip == "triangle"
    assert [marks[id].verdict for id in ("volume", "rods")] == ["carried", "carried"]


def test_an_order_is_marked_by_its_pairs(exercise, key, students):
    question = exercise.question("order")
    assert set(question.entries) == set(STEPS) and question.entries != STEPS
    assert key.share(question, students[0], STEPS)[0] == 1
    assert key.share(question, students[0], STEPS[::-1])[0] == 0
    swapped = ("flux", "clean", *STEPS[2:])
    assert key.share(question, students[0], swapped)[0] == pytest.approx(1 - 2 / 21)


def test_the_slider_says_what_the_shares_give():
    states = slider.slider(f"{SLUG}/share").states
    assert len(states) >= 20
    right = 0
    for state in states:
        percent, *shown = (int(v) for v in re.findall(r"\d+", state.text))
        whole = (SHELL + TUBE) / 100
        shell = 20 + 910 * percent * whole / SHELL
        tube = 20 + 910 * (100 - percent) * whole / TUBE
        for told, want in zip(shown, (shell, tube), strict=True):
            assert told == (1400 if want > 1400 else pytest.approx(want, abs=0.51))
        right += state.text.count("right") == 2
    assert right == 1  # 77 of a hundred alone brings both into the band


def test_the_field_is_to_scale(students):
    for n in students[:5]:
        svg = field.draw(n).svg
        shell, tube = re.findall(
            r'<rect x="[\d.]+" y="[\d.]+" width="([\d.]+)" height="([\d.]+)" fill="#', svg
        )
        assert float(shell[1]) == pytest.approx(4 * n["shell_wall"], abs=0.002)
        assert float(tube[0]) == pytest.approx(4 * n["tube_wall"], abs=0.002)
        x, _ = field.CORNER
        marks = [float(v) for v in re.findall(r'<line x1="([\d.]+)"', svg)]
        assert any(abs(m - x - 4 * n["leg"]) < 0.002 for m in marks)
