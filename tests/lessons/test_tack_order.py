"""The lesson on tack order: answers worked again in complex numbers, slips, marks of an order, figures."""

from __future__ import annotations

import re
from cmath import exp
from itertools import permutations
from math import atan, degrees, pi, radians, tan
from statistics import fmean

import pytest

from coursekit.book import slider
from coursekit.classroom.bank import own_numbers
from coursekit.figures import tack_order as draw
from coursekit.sheets.drawings import tack_order as field

from .helpers import all_right, as_typed, by_machine, marked

SLUG = "tack-order"
FOUR, SIX = ("0°", "90°", "180°", "270°"), ("0°", "60°", "120°", "180°", "240°", "300°")
CLASS = [(2.10, 0.86), (2.46, 0.90), (1.78, 0.74), (2.30, 0.84), (1.94, 0.70)]


def drawn(exercise, key, count):
    for i in range(count):
        yield own_numbers.draw(exercise, key, b"tests of the lesson", f"bench-{i:04d}")


@pytest.fixture(scope="module")
def students(exercise, key):
    return list(drawn(exercise, key, 40))


def hold_of(n):
    return 1 - n["after_two"] / n["after_one"]


def tilt(labels, first, hold):
    """The tilt as a complex number, in plane real, across imaginary."""
    turns = [pi * float(label.rstrip("°")) / 180 for label in labels]
    return sum(first * hold**k * exp(1j * turn) for k, turn in enumerate(turns))


def worked_again(n):
    """Every answer but the orders, without the kit's own modules."""
    hold, first = hold_of(n), degrees(atan(n["after_one"] / n["tube_length"]))
    clock, best = tilt(FOUR, first, hold), tilt(("0°", "180°", "90°", "270°"), first, hold)
    pairs = [*CLASS, (n["after_one"], n["after_two"])]
    return {
        "toward": "non-drive",
        "which-first": "plane",
        "first-tilt": first,
        "hold": hold,
        "pulls": [first, first * hold, first * hold**2, first * hold**3],
        "clock": [clock.real, clock.imag],
        "left": abs(best),
        "tip": n["tube_length"] * tan(radians(abs(best))),
        "class-hold": sum(a * (a - b) for a, b in pairs) / sum(a * a for a, _ in pairs),
    }


# Answers


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            if isinstance(value, str):
                assert found[id] == value
            else:
                assert found[id] == pytest.approx(value, rel=1e-9), id


def test_practice_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found, hold, a = own_numbers.answers(exercise, key, n), hold_of(n), n["after_one"]
        across = (tilt(("0°", "180°", "90°", "270°"), a, hold)).imag
        want = {
            "practice-tilt": degrees(atan(a / n["seat_tube"])), "practice-hold": hold,
            "practice-third": a * hold * hold, "practice-across": across,
            "practice-square": abs(a + 1j * a * hold), "practice-place": a / n["seat_tube"] * 200,
        }  # fmt: skip
        assert {id: found[id] for id in want} == pytest.approx(want)


def test_the_best_orders_are_best_of_all(exercise, key, students):
    for n in students[:6]:
        found = own_numbers.answers(exercise, key, n)
        for id, places in (("order-four", FOUR), ("order-six", SIX)):
            least = min(abs(tilt(o, 1.0, hold_of(n))) for o in permutations(places))
            assert abs(tilt(found[id], 1.0, hold_of(n))) == pytest.approx(least, rel=1e-9)


# Numbers and slips


def test_every_hold_is_one_that_a_tack_has(exercise, key):
    for n in drawn(exercise, key, 60):
        assert 0.52 <= hold_of(n) <= 0.72


def test_a_hold_out_of_range_is_refused(key):
    assert not key.is_sound({"after_one": 2.0, "after_two": 1.0, "tube_length": 400.0})
    assert not key.is_sound({"after_one": 2.6, "after_two": 0.5, "tube_length": 400.0})


@pytest.mark.parametrize("turn", range(4))
def test_slips_on_top_of_slips_are_named_too(exercise, key, students, turn):
    for n in students[:10]:
        own, slipped = {}, {}
        for question in (q for q in exercise.graded if q.kind != "written"):
            slips = key.slips[question.id]
            if turn < len(slips):
                slipped[question.id] = slips[turn]
                own[question.id] = key.slip_value(slips[turn], question, n, own)
            else:
                own[question.id] = key.value(question, n, own)
        values = {id: as_typed(v) for id, v in own.items()}
        marks = marked(exercise, key, n, values)
        for id, slip in slipped.items():
            assert (marks[id].verdict, marks[id].slip) == ("slip", slip.name), (turn, marks[id])


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    n = students[0]
    full = marked(exercise, key, n, all_right(exercise, key, n))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, n, {}).values()) == 0


# Units, signs, chains


def test_radians_and_inches_earn_half(exercise, key, students):
    n = students[1]
    right = all_right(exercise, key, n)
    wrong = right | {"first-tilt": radians(right["first-tilt"]), "tip": right["tip"] / 25.4}
    marks = marked(exercise, key, n, wrong)
    assert [marks[id].verdict for id in ("first-tilt", "tip")] == ["unit", "unit"]
    assert [marks[id].marks for id in ("first-tilt", "tip")] == [1.0, 1.0]


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[2]
    first, hold = degrees(atan(n["after_one"] / n["tube_length"])), 1 - hold_of(n)  # left over
    own = {
        "first-tilt": first,
        "hold": hold,
        "pulls": [first * hold**k for k in range(4)],
        "clock": [first * (1 - hold**2), first * hold * (1 - hold**2)],
        "order-four": ["90°", "270°", "0°", "180°"],
        "left": first * (1 - hold) * (1 + hold**4) ** 0.5,
    }
    own["tip"] = n["tube_length"] * tan(radians(own["left"]))
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["hold"].slip == "left-over"
    assert marks["order-four"].verdict == "right"
    for id in ("pulls", "clock", "left", "tip"):
        assert marks[id].verdict == "carried", (id, marks[id])
        assert marks[id].marks == exercise.question(id).method_marks


# Orders


def test_an_order_is_marked_by_what_it_leaves(exercise, key, students):
    for id, places in (("order-four", FOUR), ("order-six", SIX)):
        n = students[3]
        sizes = {o: abs(tilt(o, 1.0, hold_of(n))) for o in permutations(places)}
        least, most = min(sizes.values()), max(sizes.values())
        for order in list(sizes)[:: 1 if id == "order-four" else 17]:
            share, said = key.share(exercise.question(id), n, order)
            assert share == pytest.approx((most - sizes[order]) / (most - least), abs=1e-9)
            assert f"{sizes[order]:.2f} of the first tack's pull" in said


def test_eight_orders_of_four_are_full(exercise, key, students):
    question = exercise.question("order-four")
    full = [o for o in permutations(FOUR) if key.share(question, students[4], o)[0] >= 1]
    assert len(full) == 8
    assert all((float(o[0][:-1]) - float(o[1][:-1])) % 360 == 180 for o in full)


def test_spread_pairs_of_six_earn_nine_tenths(exercise, key, students):
    order = ("0°", "180°", "240°", "60°", "120°", "300°")
    for n in students:
        assert 0.9 < key.share(exercise.question("order-six"), n, order)[0] < 1


# Figures and field


@pytest.mark.parametrize(("name", "count"), [("orders", 24), ("one-by-one", 20)])
def test_the_sliders_say_what_is_left(name, count):
    states = slider.slider(f"{SLUG}/{name}").states
    assert len(states) == count
    for state in states:
        labels = re.search(r"((?:\d+°–?){4})", state.text)[1].split("–")
        words = ("no tack", "one tack", "two tacks", "three tacks")
        done = next((k for k, w in enumerate(words) if w in state.text), 4)
        left = tilt(labels[:done], 3.0, 0.6) + 0j  # the gauge of the page, the hold of its frame
        said = [float(v.replace("−", "-")) for v in re.findall(r"[+−]?\d+\.\d\d", state.text)]
        assert said == pytest.approx([abs(left), left.real, left.imag], abs=0.00501)


def test_figure_and_slider_lean_to_the_rear_and_to_the_drive_side():
    """0° rear to the right of the ring, 90° drive side above it; front and drive side are right in the views."""
    places = {t.get_text(): t.get_position() for t in draw.ring().axes[0].texts}
    for words, way in (
        ("0°\nrear", 1),
        ("90°, drive side", 1j),
        ("180°\nfront", -1),
        ("270°, non-drive side", -1j),
    ):
        at = complex(*places[words]) / way
        assert at.real > 10 * abs(at.imag)
    drawn = {s.text.split("; left")[0]: s.svg for s in slider.slider(f"{SLUG}/one-by-one").states}

    def leans(order):
        """How far the second edge of both tubes, foot to top, goes to the right."""
        edges = re.findall(r"M[-.\d]+ [-.\d]+l(-?[.\d]+)[ -]", drawn[order])[-2:]
        return [float(right) for right in edges]

    side, behind = leans("0°–180°–90°–270°, one tack")
    assert side < -5 and behind == 0
    side, behind = leans("90°–270°–0°–180°, one tack")
    assert side == 0 and behind > 5


def test_all_orders_are_there_from_least_to_most():
    texts = [s.text for s in slider.slider(f"{SLUG}/orders").states]
    plans = {re.search(r"((?:\d+°–?){4})", t)[1] for t in texts}
    left = [float(re.search(r"left (\d\.\d\d)", t)[1]) for t in texts]
    assert len(plans) == 24
    assert left == sorted(left)
    assert [round(fmean(left[i : i + 8]), 2) for i in (0, 8, 16)] == [1.28, 2.24, 2.46]


def test_the_field_is_to_scale_and_shows_no_answer(students):
    for n in students[:5]:
        drawing = field.draw(n)
        x, y = field.ORIGIN
        tip = re.search(r'<path d="M([\d.]+) ([\d.]+)l', drawing.svg)
        assert float(tip[1]) - x == pytest.approx(40 * n["after_one"], abs=0.006)
        assert float(tip[2]) == y
        shown = set(re.findall(r">([^<]*\d[^<]*)<", drawing.svg))
        assert not any(f"{n['after_two']:g}" in text for text in shown)
        right_edge = max(float(v) for v in re.findall(r'x2="([\d.]+)"', drawing.svg))
        assert float(tip[1]) < right_edge <= drawing.width
