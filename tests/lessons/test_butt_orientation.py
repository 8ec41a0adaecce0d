"""The lesson on butt orientation: answers found again by trying every cut on a tube made of wall readings.

Nothing here asks `coursekit.butts` or `coursekit.tubes`: a tube is a list of walls, one every tenth of a
millimetre, and a cut is good where both ends still read full wall over what their joints need.
"""

from __future__ import annotations

import re
from math import pi

import numpy as np
import pytest

from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_frame, own_numbers
from coursekit.figures import butt_orientation as figures
from coursekit.figures._hit import Rig, hit
from coursekit.sheets.drawings import butt_orientation as field
from coursekit.tubes import Butted

from .helpers import all_right, by_machine, marked

SLUG = "butt-orientation"
STEP = 0.1
RESERVE = 5.0  # in hand at each butt; common practice, no source


@pytest.fixture(scope="module")
def students(exercise, key):
    return [
        own_numbers.draw(exercise, key, b"tests of the lesson", f"bench-{i}") for i in range(60)
    ]


# Walls, read every tenth of a millimetre from the head end


def walls(n):
    """The student's tube, long butt first."""
    long, short = n["long_butt"], n["short_butt"]
    edges = [0, long, long + n["long_taper"], n["tube_length"] - short - n["short_taper"]]
    edges += [n["tube_length"] - short, n["tube_length"]]
    thick, thin = n["butt_wall"], n["belly_wall"]
    assert n["head_wall"] == thick
    x = np.arange(0, n["tube_length"] + STEP / 2, STEP)
    return np.interp(x, edges, [thick, thick, thin, thin, thick, thick])


def second_walls(n):
    """The second tube; its tapers are 20 mm, which no answer depends on."""
    butt, length = n["second_butt"], n["second_length"]
    x = np.arange(0, length + STEP / 2, STEP)
    edges = [0, butt, butt + 20, length - butt - 20, length - butt, length]
    return np.interp(x, edges, [0.9, 0.9, 0.6, 0.6, 0.9, 0.9])


def needs(n):
    """Depth of each cut and the margin behind it, shell end first."""
    return [n[f"short_{end}"] - n[f"long_{end}"] + n["heat_margin"] for end in ("shell", "head")]


def finished(n):
    return n["centre_length"] - n["long_head"] - n["long_shell"]


def good_cuts(wall, length, shell, head):
    """Every cut at the head end, mm, that leaves full wall over both needs of a tube so long."""
    spare = round((len(wall) - 1) * STEP - length, 6)
    thin = np.r_[0, np.cumsum(wall < wall.max() - 1e-9)]  # thin places before each reading
    found = []
    for i in range(round(spare / STEP) + 1):
        end = i + round(length / STEP)
        near = thin[i + round(head / STEP) + 1] - thin[i]
        far = thin[end + 1] - thin[end - round(shell / STEP)]
        if near == far == 0:
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
        excess = n["tube_length"] - finished(n)
        assert found["needs"] == pytest.approx(needs(n))
        assert found["lengths"] == pytest.approx([finished(n), excess])
        assert found["window"] == pytest.approx([cuts[0], cuts[-1]], abs=1e-6)
        shell, head = needs(n)
        kept = good_cuts(walls(n), finished(n), shell + RESERVE, head + RESERVE)
        assert found["trims"] == pytest.approx([excess - kept[0], kept[0]], abs=1e-6)
        stop = good_cuts(walls(n), finished(n), shell, max(head, n["boss_place"] + 15))
        assert found["boss"] == pytest.approx([stop[0], stop[-1]], abs=1e-6)


def test_a_tight_tube_shares_what_it_has_in_hand(exercise, key, students):
    """With less than two reserves over, both ends keep the same: half of it."""
    for n in students[:12]:
        spare = n["long_butt"] + n["short_butt"] - sum(needs(n))
        tight = n | {"tube_length": finished(n) + spare - 4.0}
        shell, head = own_numbers.answers(exercise, key, tight)["trims"]
        assert shell + head == pytest.approx(spare - 4.0)
        left = n["short_butt"] - shell, n["long_butt"] - head
        assert np.subtract(left, needs(n)) == pytest.approx([2.0, 2.0])


def test_the_cuts_are_those_of_the_cut_list(exercise, key, root):
    """On every drawn frame, to what rounding the given numbers to 0.1 mm leaves."""
    text = own_frame.kinds(root)
    for i in range(60):
        build = own_frame.draw(text, b"tests of the lesson", f"bench-{i}")
        n = own_numbers.draw(exercise, key, b"tests of the lesson", f"bench-{i}")
        trimmed = build.trimmed["down_tube"]
        found = own_numbers.answers(exercise, key, n)
        assert found["trims"] == pytest.approx((trimmed.plan.from_a, trimmed.plan.from_b), abs=0.3)
        assert found["lengths"][0] == pytest.approx(trimmed.tube.length, abs=0.16)


def test_each_end_can_spare_what_it_has_over_its_need(exercise, key, students):
    for n in students:
        full = walls(n) > n["butt_wall"] - 1e-9
        far = (np.argmin(full[::-1]) - 1) * STEP, (np.argmin(full) - 1) * STEP
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
            wall = second_walls(n)
            wall[: round((n["second_butt"] + found["missing"]) / STEP) + 1] = 0.9
            assert len(good_cuts(wall, finished(n), *needs(n))) == 1
    assert seen == {"longer-tube", "longer-butts"}


def test_practice_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found, (shell, head) = own_numbers.answers(exercise, key, n), needs(n)
        want = {
            "practice-need": head, "practice-finished": finished(n),
            "practice-off": n["tube_length"] - finished(n), "practice-room": n["short_butt"] - shell,
            "practice-left": n["long_butt"] - 20 - head + n["heat_margin"],
            "practice-moment": n["moment_head"] - (n["moment_head"] + n["moment_shell"]) / 4,
            "practice-gram": 10 * gram(n, n["butt_wall"]),
            "practice-equal": 2 * n["short_butt"] - 2 * shell,
        }  # fmt: skip
        assert {id: found[id] for id in want} == pytest.approx(want)


# Numbers and slips


def test_every_case_is_a_case(exercise, key, students):
    """The head end keeps the longer butt, the stop asks more than the joint, the window is open."""
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        assert min(found["trims"]) >= 0
        shell, head = found["trims"]
        assert n["long_butt"] - head > n["short_butt"] - shell
        assert n["boss_place"] + 15 > needs(n)[1]
        assert found["boss"][0] == found["window"][0] <= found["boss"][1] <= found["window"][1]


def test_the_tube_is_the_one_of_the_students_frame(exercise, key, root):
    text = own_frame.kinds(root)
    for i in range(300):
        drawn = own_numbers.for_frame(exercise, key, b"tests of the lesson", f"bench-{i}")
        assert drawn.instead == ""
        if i < 20:
            tube = own_frame.draw(text, b"tests of the lesson", f"bench-{i}").tubes["down_tube"]
            n = drawn.numbers
            assert tube.lengths[0] == n["short_butt"] and tube.lengths[4] == n["long_butt"]
            assert tube.diameter == n["tube_diameter"] and tube.walls[1] == n["belly_wall"]


@pytest.mark.parametrize(
    ("change", "says"),
    [({"tube_length": 900.0}, "both ends"), ({"tube_length": 500.0}, "too short"),
     ({"short_butt": 30.0}, "shell"), ({"belly_wall": 0.9}, "plain"), ({"long_taper": 0.0}, "taper"),
     ({"short_butt": 240.0}, "longer")],
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
        shell, head = right["rooms"]
        low, high = max(0.0, excess - shell), min(excess, head)
        off = min(excess, max(0.0, shell - RESERVE))
        trims = [off, excess - off]
        own = {
            "lengths": [n["centre_length"], excess],
            "window": [low, high],
            "trims": trims,
            "offcuts": excess * gram(n, n["butt_wall"]),
            "boss": [low, min(excess, n["long_butt"] - n["boss_place"] - 15)],
        }
        marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
        assert marks["lengths"].slip == "axis-to-axis"
        for id in ("window", "offcuts"):
            assert marks[id].verdict == "carried", (id, marks[id])
            assert marks[id].marks == exercise.question(id).method_marks
        for id in ("trims", "boss"):  # the room at the shell may rule both times
            assert marks[id].verdict in ("carried", "right"), (id, marks[id])


def test_a_saddle_forgotten_is_one_mistake(exercise, key, students):
    n = students[2]
    margin = n["heat_margin"]
    own = {"needs": [margin, margin], "rooms": [n["short_butt"] - margin, n["long_butt"] - margin]}
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


OURS = worked_frame.build()
RIG = Rig(OURS.frame, OURS.tubes, worked_frame.facts()["down_tube.shell.long_point"])
BOUGHT, FINISHED = OURS.tubes["down_tube"], OURS.trimmed["down_tube"].tube
TURNED = Butted(BOUGHT.diameter, BOUGHT.walls, BOUGHT.lengths[::-1]).cut(35.4, 68.1)
MADE = hit(RIG, FINISHED)
EMPTY = (
    ("595 long,\n120 + 170", -11.5, 118.1, 75.8),
    ("650 long,\n40 + 150", 43.5, 98.1, -4.2),
    ("690 long,\n70 + 90", 83.5, 38.1, 25.8),
)
FIGURES = {
    "parts": lambda: figures.parts(BOUGHT),
    "lever": lambda: figures.lever(MADE),
    "bending": lambda: figures.bending(MADE),
    "two_ways": lambda: figures.two_ways((MADE, FINISHED), (hit(RIG, TURNED), TURNED)),
    "need": lambda: figures.need(31.8, 36.0, 59.36, 30.0),
    "lengths": lambda: figures.lengths(BOUGHT, 627.09, 606.52, (12.13, 8.44)),
    "window": lambda: figures.window(103.5, 118.1, 75.8),
    "empty": lambda: figures.empty(EMPTY),
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
    turned = hit(RIG, TURNED)
    (x, long), (y, short) = figures.worked(MADE, FINISHED), figures.worked(turned, TURNED)
    assert long.max() == long[0] < 0.93 * short.max()
    behind = x > 30  # behind the joint itself
    peak = x[behind][long[behind & (x > 150)].argmax() + (behind & (x <= 150)).sum()]
    assert peak > y[short.argmax()] + 60
    bending = turned.bending("down_tube", y[short.argmax()])[0]
    bore = 31.8 - 2 * 0.6
    modulus = pi * (31.8**4 - bore**4) / 32 / 31.8
    assert short.max() == pytest.approx(1000 * bending / modulus, rel=1e-9)


# Sliders and field


def test_the_slider_of_cuts_says_what_is_missing():
    """Full wall read off 170 and 120 mm of butt, for every cut shown."""
    states = slider.slider(f"{SLUG}/trims").states
    assert len(states) == 38
    for state in states:
        head, shell = map(float, re.findall(r"end ([\d.]+) mm", state.text))
        assert head + shell == pytest.approx(103.5, abs=0.051)
        lack = {"shell": 44.2 - (120 - shell), "head": 100 - (170 - head)}
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
        excess = length - 606.524
        fits = 0 <= excess <= (170 - 51.9) + (120 - 44.2)
        assert ("window at the head end" in state.text) == fits
        if fits:
            open_at.append(length)
            low, high = map(float, re.search(r"end ([\d.]+) to ([\d.]+) mm", state.text).groups())
            assert low == pytest.approx(max(0, excess - 75.8), abs=0.051)
            assert high == pytest.approx(min(excess, 118.1), abs=0.051)
        else:
            missing = float(re.search(r"([\d.]+) mm of (tube|butt) missing", state.text)[1])
            assert missing == pytest.approx(-excess if excess < 0 else excess - 193.9, abs=0.051)
    assert (open_at[0], open_at[-1]) == (614.0, 798.0)


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
        assert [float(w) for _, w in boxes] == pytest.approx([n["tube_length"] / 5] * 2, abs=0.001)
        left = float(boxes[0][0])
        assert left + n["tube_length"] / 5 < made.width
        x, y = np.array(
            [p.split(",") for p in re.search(r'points="([^"]+)"', made.svg)[1].split()], float
        ).T
        marks = (x[:6] - left) * 5
        butts = [0, n["short_butt"], n["short_butt"] + n["short_taper"], n["tube_length"] - n["long_butt"] - n["long_taper"],
                 n["tube_length"] - n["long_butt"], n["tube_length"]]  # fmt: skip
        assert marks == pytest.approx(butts, abs=0.005)
        assert abs(y[0] - y[-1]) == pytest.approx(6 * n["butt_wall"], abs=0.001)
        assert abs(y[2] - y[-1]) == pytest.approx(6 * n["belly_wall"], abs=0.001)
        shown = set(re.findall(r">([\d.]+)<", made.svg))
        given = {f"{v:g}" for v in n.values()} | {f"{100 * i}" for i in range(9)}
        belly = f"{n['tube_length'] - n['long_butt'] - n['short_butt'] - n['long_taper'] - n['short_taper']:g}"
        assert shown <= given | {belly}
