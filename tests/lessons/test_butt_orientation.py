"""The lesson on butt orientation: answers found again by trying every cut on a tube made of wall readings.

Nothing here asks `coursekit.butts` or `coursekit.tubes`: a tube is a list of walls, one every quarter of a
millimetre, and a cut is good where both ends still read full wall over what their joints need.
"""

from __future__ import annotations

import re
from math import pi

import numpy as np
import pytest

from coursekit import miters
from coursekit.book import slider
from coursekit.classroom.bank import own_numbers
from coursekit.figures import butt_orientation as figures
from coursekit.sheets.drawings import butt_orientation as field

from .helpers import all_right, by_machine, marked

SLUG = "butt-orientation"
STEP = 0.25


@pytest.fixture(scope="module")
def students(exercise, key):
    return [
        own_numbers.draw(exercise, key, b"tests of the lesson", f"bench-{i}") for i in range(60)
    ]


# Walls, read every quarter of a millimetre from the head end


def walls(n):
    """The student's tube, long butt first."""
    long, short = n["long_butt"], n["short_butt"]
    edges = [0, long, long + n["long_taper"], n["tube_length"] - short - n["short_taper"]]
    edges += [n["tube_length"] - short, n["tube_length"]]
    thick, thin = n["butt_wall"], n["belly_wall"]
    x = np.arange(0, n["tube_length"] + STEP / 2, STEP)
    return np.interp(x, edges, [thick, thick, thin, thin, thick, thick])


def second_walls(n):
    """The second tube; its tapers are 20 mm, which no answer depends on."""
    butt, length = n["second_butt"], n["second_length"]
    x = np.arange(0, length + STEP / 2, STEP)
    edges = [0, butt, butt + 20, length - butt - 20, length - butt, length]
    return np.interp(x, edges, [0.9, 0.9, 0.6, 0.6, 0.9, 0.9])


def needs(n):
    """Depth of each cut and the margin behind it, head end first."""
    return [n[f"valley_{end}"] - n[f"ear_{end}"] + n["heat_margin"] for end in ("head", "shell")]


def finished(n):
    return n["centre_length"] - n["ear_head"] - n["ear_shell"]


def good_cuts(wall, length, head, shell):
    """Every cut at the head end, mm, that leaves full wall over both needs of a tube so long."""
    spare = round((len(wall) - 1) * STEP - length, 6)
    full = wall > wall.max() - 1e-9
    found = []
    for i in range(round(spare / STEP) + 1):
        end = i + round(length / STEP)
        near = full[i : i + round(head / STEP) + 1].all()
        far = full[end - round(shell / STEP) : end + 1].all()
        if near and far:
            found.append(i * STEP)
    return found


def gram(n, wall):
    """A millimetre of tube: two circles."""
    outside, bore = n["tube_diameter"] / 2, n["tube_diameter"] / 2 - wall
    return pi * (outside**2 - bore**2) * 7.85e-3


# Answers


def test_the_window_is_every_cut_that_leaves_full_wall(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        cuts = good_cuts(walls(n), finished(n), *needs(n))
        assert found["needs"] == pytest.approx(needs(n))
        assert found["lengths"] == pytest.approx([finished(n), n["tube_length"] - finished(n)])
        assert found["window"] == pytest.approx([cuts[0], cuts[-1]], abs=1e-9)
        clean = [a for a in cuts if n["tube_length"] - finished(n) - a >= 5 and a >= 5]
        assert found["trims"][0] == pytest.approx(clean[-1])
        assert sum(found["trims"]) == pytest.approx(found["lengths"][1])
        stop = good_cuts(walls(n), finished(n), max(needs(n)[0], n["boss_place"] + 15), needs(n)[1])
        assert found["boss"][0] == pytest.approx([a for a in stop if a >= 5][-1])
        assert found["boss"][1] == pytest.approx(found["lengths"][1] - found["boss"][0])


def test_each_end_can_spare_what_it_has_over_its_need(exercise, key, students):
    for n in students:
        full = walls(n) > n["butt_wall"] - 1e-9
        far = (np.argmin(full) - 1) * STEP, (np.argmin(full[::-1]) - 1) * STEP
        room = own_numbers.answers(exercise, key, n)["rooms"]
        assert room == pytest.approx([b - need for b, need in zip(far, needs(n), strict=True)])


def test_offcuts_and_bending(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        assert found["offcuts"] == pytest.approx(found["lengths"][1] * gram(n, n["butt_wall"]))
        slope = (n["moment_head"] + n["moment_shell"]) / n["centre_length"]
        assert found["moment-there"] == pytest.approx(n["moment_head"] - slope * n["long_butt"])


def test_the_second_tube_has_no_cut_and_the_answer_says_how_far_off_it_is(exercise, key, students):
    """That much more tube, or that much more butt at one end, and there is exactly one cut."""
    seen = set()
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        assert good_cuts(second_walls(n), finished(n), *needs(n)) == []
        seen.add(found["second-tube"])
        if found["second-tube"] == "longer-tube":
            assert n["second_length"] < finished(n)
            longer = second_walls(n | {"second_length": n["second_length"] + found["missing"]})
            assert good_cuts(longer, finished(n), *needs(n)) == [0.0]
        else:
            assert n["second_length"] > finished(n)
            head, shell = needs(n)
            wall = second_walls(n)
            wall[: round((n["second_butt"] + found["missing"]) / STEP) + 1] = 0.9
            assert len(good_cuts(wall, finished(n), head, shell)) == 1
    assert seen == {"longer-tube", "longer-butts"}


def test_practice_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found, (head, shell) = own_numbers.answers(exercise, key, n), needs(n)
        want = {
            "practice-need": head, "practice-finished": finished(n),
            "practice-off": n["tube_length"] - finished(n), "practice-room": n["short_butt"] - shell,
            "practice-left": n["long_butt"] - 20 - head + n["heat_margin"],
            "practice-moment": n["moment_head"] - (n["moment_head"] + n["moment_shell"]) / 4,
            "practice-gram": 10 * gram(n, n["butt_wall"]),
            "practice-equal": 2 * n["second_butt"] - 2 * shell,
        }  # fmt: skip
        assert {id: found[id] for id in want} == pytest.approx(want)


# Numbers and slips


def test_every_case_is_a_case(exercise, key, students):
    """The head end keeps the longer butt, the stop asks more than the joint, cuts come off both ends."""
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for cuts in (found["trims"], found["boss"]):
            assert min(cuts) >= 5 - 1e-9
        head, shell = found["trims"]
        assert n["long_butt"] - head > n["short_butt"] - shell
        assert n["boss_place"] + 15 > needs(n)[0]
        assert found["window"][0] > 0


def test_places_at_the_joints_are_those_of_tubes(students):
    """For each student there is a head tube and an angle whose cut they could have measured."""
    angles, tubes_ = np.arange(55.0, 68.1, 0.5), np.arange(34.0, 40.1, 1.0)
    for n in students[:12]:
        miss = []
        for into in tubes_:
            _, along = miters.saddle(n["tube_diameter"], into, angles)
            miss.append(
                np.hypot(along.min(-1) - n["ear_head"], along.max(-1) - n["valley_head"]).min()
            )
        assert min(miss) < 1.5
        r, big = n["tube_diameter"] / 2, n["valley_shell"]
        assert abs((big**2 - r**2) ** 0.5 - n["ear_shell"]) < 1.5


@pytest.mark.parametrize(
    ("change", "says"),
    [({"tube_length": 700.0}, "both ends"), ({"second_length": 600.0}, "second"),
     ({"boss_place": 20.0}, "cable stop"), ({"ear_head": 2.0}, "ears"),
     ({"short_butt": 140.0}, "longer")],
)  # fmt: skip
def test_a_case_that_is_none_is_refused(key, students, change, says):
    n = students[0]
    assert key.is_sound(n)
    assert not key.is_sound(n | change), says


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_a_drawing_length_taken_for_the_tube_is_one_mistake(exercise, key, students):
    """Finished length from axis to axis, everything after it right for that: only one answer is wrong."""
    for n in students[:12]:
        right = own_numbers.answers(exercise, key, n)
        excess = n["tube_length"] - n["centre_length"]
        head, shell = right["rooms"]
        low, high = max(0.0, excess - shell), min(excess, head)
        if high <= low:
            continue
        trim = min(excess - 5, high)
        own = {
            "lengths": [n["centre_length"], excess],
            "window": [low, high],
            "trims": [trim, excess - trim],
            "offcuts": excess * gram(n, n["butt_wall"]),
        }
        marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
        assert marks["lengths"].slip == "axis-to-axis"
        for id in ("window", "trims", "offcuts"):
            assert marks[id].verdict == "carried", (id, marks[id])
            assert marks[id].marks == exercise.question(id).method_marks


def test_a_saddle_forgotten_is_one_mistake(exercise, key, students):
    n = students[2]
    margin = n["heat_margin"]
    own = {"needs": [margin, margin], "rooms": [n["long_butt"] - margin, n["short_butt"] - margin]}
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert (marks["needs"].slip, marks["rooms"].verdict) == ("saddle-forgotten", "carried")


def test_centimetres_earn_half_and_a_swapped_pair_a_hint(exercise, key, students):
    n = students[1]
    right = all_right(exercise, key, n)
    wrong = right | {"missing": right["missing"] / 10, "needs": right["needs"][::-1]}
    marks = marked(exercise, key, n, wrong)
    assert (marks["missing"].verdict, marks["missing"].marks) == ("unit", 1.5)
    assert marks["needs"].slip == "ends-swapped"


def test_one_entry_right_earns_its_part(exercise, key, students):
    n = students[1]
    right = all_right(exercise, key, n)
    wrong = right | {"window": [right["window"][0], right["window"][1] + 3.0]}
    mark = marked(exercise, key, n, wrong)["window"]
    assert (mark.verdict, mark.marks) == ("part", 1.5)


# The lesson's own tube


FIGURES = {
    "parts": lambda: figures.parts(figures.OURS),
    "lever": lambda: figures.lever(figures.FINISHED),
    "bending": lambda: figures.bending(figures.FINISHED),
    "two_ways": lambda: figures.two_ways(figures.FINISHED, figures.TURNED),
    "need": lambda: figures.need(25.4, 31.8, 62.0, 28.0),
    "lengths": lambda: figures.lengths(figures.OURS, 585.0, (14.2, 9.6)),
    "window": lambda: figures.window(36.8, 60.8, 22.1),
    "empty": lambda: figures.empty(figures.EMPTY),
}


def texts(figure):
    """All words of a figure that show, with their boxes in pixels; of an arrow's words without the arrow."""
    from matplotlib.axis import Tick
    from matplotlib.text import Text

    figure.canvas.draw()
    drawn = {id(label) for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)
             for label in (t.label1 for t in axis._update_ticks() if axes.axison)}  # fmt: skip
    ticks = {id(w) for tick in figure.findobj(Tick) for w in (tick.label1, tick.label2)}
    words = [t for t in figure.findobj(Text) if t.get_visible() and t.get_text().strip()]
    shown = [t for t in words if id(t) not in ticks or id(t) in drawn]
    return [(t, Text.get_window_extent(t)) for t in shown]


@pytest.mark.parametrize("name", FIGURES)
def test_no_word_of_a_figure_is_cut_off_too_small_or_on_another(name):
    import matplotlib.pyplot as plt

    figure = FIGURES[name]()
    try:
        found = texts(figure)
        assert len(found) >= 4
        for text, box in found:
            assert figure.bbox.x0 <= box.x0 < box.x1 <= figure.bbox.x1, text.get_text()
            assert figure.bbox.y0 <= box.y0 < box.y1 <= figure.bbox.y1, text.get_text()
            assert text.get_fontsize() >= 10
        for i, (one, a) in enumerate(found):
            for other, b in found[:i]:
                apart = a.x1 <= b.x0 or b.x1 <= a.x0 or a.y1 <= b.y0 or b.y1 <= a.y0
                assert apart, (one.get_text(), other.get_text())
    finally:
        plt.close(figure)


def test_the_longer_butt_at_the_head_lowers_the_peak():
    """Both ways cut to one length: bending over section modulus peaks lower, and further from the head."""
    (x, long), (y, short) = (figures.worked(t) for t in (figures.FINISHED, figures.TURNED))
    assert long.max() / long[0] < 1.02 < 1.05 < short.max() / long[0]
    assert x[long.argmax()] > y[short.argmax()] + 15
    bending = figures.hit(figures.FINISHED).bending("down_tube", x[long.argmax()])[0]
    bore = 25.4 - 2 * 0.6
    modulus = pi * (25.4**4 - bore**4) / 32 / 25.4
    assert long.max() == pytest.approx(1000 * bending / modulus, rel=1e-9)


def test_the_lesson_works_other_numbers_than_the_students(exercise):
    for ours, name in ((598, "tube_length"), (104, "long_butt"), (55, "short_butt"), (585.5, "centre_length"),
                       (25.4, "tube_diameter"), (42, "long_taper"), (63, "boss_place")):  # fmt: skip
        assert ours not in exercise.quantity(name).values


# Sliders and field


def test_the_slider_of_cuts_says_what_is_missing():
    """Full wall read off 104 and 55 mm of butt, for every cut shown."""
    states = slider.slider(f"{SLUG}/trims").states
    assert len(states) == 38
    for state in states:
        head, shell = map(float, re.findall(r"end ([\d.]+) mm", state.text))
        assert head + shell == pytest.approx(36.8, abs=0.051)
        lack = {"shell": 32.9 - (55 - shell), "head": 78 - (104 - head)}
        for end, gone in lack.items():
            said = re.search(rf"([\d.]+) mm missing at the {end} end", state.text)
            assert (said is not None) == (gone > 0.001), state.text
            if said:
                assert float(said[1]) == pytest.approx(gone, abs=0.051)
        assert ("both ends have what they need" in state.text) == (max(lack.values()) <= 0.001)


def test_the_slider_of_lengths_opens_and_closes():
    open_at = []
    for state in slider.slider(f"{SLUG}/tube-length").states:
        length = float(re.search(r"Tube (\d+) mm", state.text)[1])
        excess = length - 561.2
        fits = 0 <= excess <= (104 - 43.2) + (55 - 32.9)
        assert ("window at the head end" in state.text) == fits
        if fits:
            open_at.append(length)
            low, high = map(float, re.search(r"end ([\d.]+) to ([\d.]+) mm", state.text).groups())
            assert low == pytest.approx(max(0, excess - 22.1), abs=0.051)
            assert high == pytest.approx(min(excess, 60.8), abs=0.051)
        else:
            missing = float(re.search(r"([\d.]+) mm of (tube|butt) missing", state.text)[1])
            assert missing == pytest.approx(-excess if excess < 0 else excess - 82.9, abs=0.051)
    assert (open_at[0], open_at[-1]) == (562.0, 642.0)


@pytest.mark.parametrize("name", ["trims", "tube-length"])
def test_the_sliders_are_light_and_stay_on_their_sheet(name):
    made = slider.slider(f"{SLUG}/{name}")
    assert len(slider.html(made, "x").encode()) < 60_000
    for state in (made.still, *(s.svg for s in made.states)):
        for d in re.findall(r' d="M([^"Z]+)', state):
            start, steps = d.split("l")
            number = r"-?(?:\d+\.?\d*|\.\d+)"
            flat = [float(v) for part in (start, steps) for v in re.findall(number, part)]
            x, y = np.cumsum(flat[0::2]), np.cumsum(flat[1::2])
            assert 0 <= x.min() <= x.max() <= made.width
            assert 0 <= y.min() <= y.max() <= made.height


def test_the_field_is_to_scale_and_shows_no_answer(exercise, key, students):
    for n in students[:10]:
        made = field.draw(n)
        boxes = re.findall(r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', made.svg)
        assert [float(w) for _, w in boxes] == pytest.approx([n["tube_length"] / 4] * 2, abs=0.001)
        left = float(boxes[0][0])
        assert left + n["tube_length"] / 4 < made.width
        x, y = np.array(
            [p.split(",") for p in re.search(r'points="([^"]+)"', made.svg)[1].split()], float
        ).T
        marks = (x[:6] - left) * 4
        butts = [0, n["short_butt"], n["short_butt"] + n["short_taper"], n["tube_length"] - n["long_butt"] - n["long_taper"],
                 n["tube_length"] - n["long_butt"], n["tube_length"]]  # fmt: skip
        assert marks == pytest.approx(butts, abs=0.005)
        assert abs(y[0] - y[-1]) == pytest.approx(6 * n["butt_wall"], abs=0.001)
        assert abs(y[2] - y[-1]) == pytest.approx(6 * n["belly_wall"], abs=0.001)
        shown = set(re.findall(r">([\d.]+)<", made.svg))
        given = {f"{v:g}" for v in n.values()} | {f"{100 * i}" for i in range(8)}
        belly = f"{n['tube_length'] - n['long_butt'] - n['short_butt'] - n['long_taper'] - n['short_taper']:g}"
        assert shown <= given | {belly}
