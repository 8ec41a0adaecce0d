"""The lesson on butt finding: answers worked again by other means, slips, page, figures, slider, field."""

from __future__ import annotations

import re
import tomllib
from cmath import exp, phase
from math import atan, cos, degrees, hypot, pi, radians, sin, sqrt
from statistics import fmean

import matplotlib as mpl
import matplotlib.backends.backend_agg
import numpy as np
import pytest

from coursekit import butts
from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_frame, own_numbers
from coursekit.figures import butt_finding as figures
from coursekit.sheets.drawings import butt_finding as field

from .figure_words import troubles
from .helpers import all_right, by_machine, marked

SLUG = "butt-finding"
PLACES, MARKS = range(60, 240, 10), range(0, 360, 45)


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(30)]


def trace(n):
    return [n[f"wall_{x}"] for x in PLACES]


def dial(n):
    return [n[f"dial_{a}"] for a in MARKS]


def lines(x, stops, begins, butt, belly):
    if x <= stops:
        return butt
    return belly if x >= begins else butt + (x - stops) / (begins - stops) * (belly - butt)


def misfit(walls, stops, begins, levels):
    pairs = zip(PLACES, walls, strict=True)
    return sum((w - lines(x, stops, begins, *levels)) ** 2 for x, w in pairs)


def knots(walls, levels):
    """Walk downhill from a rough guess in whole millimetres until no neighbour is lower."""
    at = (115, 160)
    while True:
        near = [(at[0] + i, at[1] + j) for i in range(-6, 7) for j in range(-6, 7)]
        best = min(near, key=lambda k: misfit(walls, *k, levels))
        if misfit(walls, *best, levels) >= misfit(walls, *at, levels):
            return at
        at = best


def first_term(readings):
    """The first Fourier term of even marks as a complex number: along 0° and along 90°."""
    count = len(readings)
    return sum(r * exp(2j * pi * k / count) for k, r in enumerate(readings)) * 2 / count


def worked_again(n):
    walls = trace(n)
    levels = fmean(walls[:4]), fmean(walls[14:])
    stops, begins = knots(walls, levels)
    far = "double" if abs(n["wall_far"] - levels[0]) < abs(n["wall_far"] - levels[1]) else "single"
    outside = "outside" if n["outside_end"] - n["outside_middle"] > 0.3 else "inside"
    wave = first_term(dial(n))
    high = degrees(phase(wave)) % 360
    to_underside = 180 - high
    return {
        "dial-outside": "nothing",
        "levels": levels,
        "by-eye": (stops, begins),
        "fitted": (stops, begins),
        "scatter": sqrt(misfit(walls, stops, begins, levels) / 14),
        "steepness": 0.01 * (begins - stops) / (levels[0] - levels[1]),
        "what-tube": f"{far}-{outside}",
        "parts": (wave.real, wave.imag),
        "bow": abs(wave),
        "high-spot": high,
        "turn": to_underside,
    }


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            want = value if isinstance(value, str) else pytest.approx(value, rel=1e-9, abs=1e-9)
            assert found[id] == want, id


def test_practice_answers_are_those_worked_again(exercise, key, students):
    n = students[0] | {"wall_60": 0.905, "wall_70": 0.885, "wall_120": 0.815, "wall_140": 0.665}
    n |= {"wall_230": 0.605, "dial_0": 1.105, "dial_90": 0.805, "dial_180": 0.705, "dial_270": 1.005}  # fmt: skip
    found = own_numbers.answers(exercise, key, n)
    assert found["practice-flat"] == pytest.approx(0.895)
    assert found["practice-slope"] == pytest.approx(0.75)
    assert found["practice-stops"] == pytest.approx(108.0)
    assert found["practice-begins"] == pytest.approx(148.0)
    assert found["practice-bow"] == pytest.approx(sqrt(0.05))
    assert found["practice-high"] == pytest.approx(360 - degrees(atan(0.5)))


def test_the_fitted_places_are_near_those_of_all_seven_unknowns(exercise, key, students):
    """The whole millimetres with the levels held lie within 3 mm of the fit that frees everything."""
    for n in students:
        free = butts.find(np.array(PLACES), np.array(trace(n)))
        assert free.kind == "butted at a"
        found = own_numbers.answers(exercise, key, n)["fitted"]
        assert found == pytest.approx((free.butt_a, free.belly_start), abs=3.0)


def test_every_kind_of_tube_comes_up(exercise, key):
    kinds = set()
    for i in range(60):
        n = own_numbers.draw(exercise, key, b"sound", f"bench-{i:04d}")
        kinds.add(own_numbers.answers(exercise, key, n)["what-tube"])
    assert kinds == set(exercise.question("what-tube").options)


def test_a_high_spot_on_a_mark_and_a_reading_off_the_flat_are_refused(key, students):
    n = students[0]
    assert key.is_sound(n)
    on_a_mark = {f"dial_{a}": round(1 + 0.3 * cos(radians(a - 90)), 2) for a in MARKS}
    assert not key.is_sound(n | on_a_mark)
    late = {f"wall_{x}": round(lines(x, 140, 199, 0.9, 0.6), 2) for x in PLACES}
    assert not key.is_sound(n | late)


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    n = students[1]
    walls, wave = trace(n), first_term(dial(n)) / 2
    levels = fmean(walls[:9]), fmean(walls[9:])
    tried = [(s, b) for s in range(90, 151) for b in range(s + 20, 201)]
    stops, begins = min(tried, key=lambda k: misfit(walls, *k, levels))
    high = degrees(phase(wave)) % 360
    own = {
        "levels": list(levels),
        "fitted": [stops, begins],
        "scatter": sqrt(misfit(walls, stops, begins, levels) / 14),
        "steepness": 0.01 * (begins - stops) / (levels[0] - levels[1]),
        "parts": [wave.real, wave.imag],
        "bow": abs(wave),
        "high-spot": high,
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert (marks["levels"].slip, marks["parts"].slip) == ("halves-of-the-trace", "divided-by-eight")  # fmt: skip
    for id in ("scatter", "bow"):
        assert marks[id].verdict == "carried", marks[id]
    for id in ("fitted", "steepness"):  # wrong flats may move the bends by less than is allowed
        assert marks[id].verdict in ("carried", "right"), marks[id]
    assert marks["high-spot"].verdict == marks["turn"].verdict == "right"


@pytest.mark.parametrize("levels", [(0.6, 0.6), (0.0, 0.0), (0.6, 0.9), (-5.0, 1e6)])
@pytest.mark.parametrize("fitted", [(110, 110), (150, 90), (0, 1e7)])
def test_no_earlier_answer_breaks_the_rest(exercise, key, students, levels, fitted):
    earlier = {"levels": levels, "fitted": fitted, "parts": (0.0, 0.0), "high-spot": 1e6}
    for id in ("fitted", "scatter", "steepness", "bow", "high-spot", "turn"):
        value = key.value(exercise.question(id), students[0], earlier)
        assert np.isfinite(value).all(), id


def test_the_scaffold_completed_gives_the_places_and_untouched_gives_nothing(exercise, students):
    code = exercise.question("fitted").scaffold
    for n in students[:3]:
        again = worked_again(n)
        mended = code.replace("total = None", "total = sum(miss**2 for miss in misses)")
        made = {"given": n, "levels": list(again["levels"])}
        exec(mended, made)
        assert tuple(made["fitted"]) == again["fitted"]
        assert sqrt(made["least"] / 14) == pytest.approx(again["scatter"])
    blank = {"given": students[0], "levels": None}
    exec(code, blank)
    assert blank["fitted"] == [None, None]


# The frame


def test_the_trace_is_that_of_the_students_down_tube(exercise, key, root):
    """Levels, butt and taper lie within a few readings' scatter of what the frame's tube was sold as."""
    text = own_frame.kinds(root)
    for i in range(60):
        tube = own_frame.draw(text, b"tests", f"bench-{i:04d}").tubes["down_tube"]
        drawn = own_numbers.for_frame(exercise, key, b"tests", f"bench-{i:04d}")
        assert drawn.instead == "" and drawn.numbers["tube_diameter"] == tube.diameter
        found = worked_again(drawn.numbers)
        assert found["levels"] == pytest.approx(tube.walls[:2], abs=0.035)
        assert found["fitted"][0] == pytest.approx(tube.lengths[0], abs=8)
        assert found["fitted"][1] == pytest.approx(sum(tube.lengths[:2]), abs=12)
        assert drawn.numbers["outside_middle"] == pytest.approx(tube.diameter, abs=0.06)


def test_a_frame_whose_butt_is_elsewhere_gets_a_case(exercise, key, root):
    own = worked_frame.facts() | {"down_tube.butt_a": 40.0, "down_tube.wall_a": 1.2}
    drawn = own_numbers.for_frame(exercise, key, b"tests", "bench-0001", own)
    assert drawn.instead == "the key refuses the case"


def test_the_label_on_the_page_is_that_of_the_worked_frame(page):
    tube = tomllib.loads((worked_frame.project.root() / worked_frame.FILE).read_text())["tubes"][
        "down_tube"
    ]
    page.says("butt # mm and taper # mm at end *a*, walls #.# mm and #.# mm",
              tube["lengths"][0], tube["lengths"][1], *tube["walls"][:2])  # fmt: skip
    levels = fmean(WALLS[:4]), fmean(WALLS[14:])
    assert levels == pytest.approx(tube["walls"][:2], abs=0.01)
    stops, begins = knots(WALLS, levels)
    # "right to a millimetre or two"
    assert (stops, begins) == pytest.approx((tube["lengths"][0], sum(tube["lengths"][:2])), abs=2)


# The page's own tube


WALLS = [0.91, 0.91, 0.90, 0.90, 0.90, 0.91, 0.90, 0.83, 0.75, 0.68, 0.61, 0.60, 0.61, 0.60, 0.60, 0.61, 0.59, 0.60]  # fmt: skip
DIAL = [0.75, 0.74, 0.83, 1.08, 1.29, 1.31, 1.10, 0.87]


def test_the_page_prints_the_trace_and_its_flats(page):
    for part in (WALLS[:9], WALLS[9:]):
        page.says("| wall, mm |" + " #.## |" * 9, *part)
    page.says("/ 4 = **#.### mm** - belly", fmean(WALLS[:4]))
    page.says("(0.60 + 0.61 + 0.59 + 0.60) / 4 = **#.### mm**", fmean(WALLS[14:]))
    page.says("(0.81 + 0.80 + 0.80 + 0.79) / 4 = #.### mm", fmean([0.81, 0.80, 0.80, 0.79]))
    page.says("0.90 − 0.02 = #.## mm", 0.90 - (0.52 - 0.50))


def test_the_page_prints_the_bends_by_eye(page):
    fall = (0.83 - 0.68) / 20
    page.says("#.#### for each millimetre", fall)
    page.says("= 130 - #.# \\\\ &= #.#\\ \\text{mm}", 0.075 / fall, 130 - (0.905 - 0.83) / fall)
    page.says("150 + 0.08 / 0.0075 = #.# mm", 150 + 0.08 / fall)
    other = (0.74 - 0.62) / 20
    page.says("90 − 0.06 / 0.006 = # mm; 110 + 0.12 / 0.006 = # mm", 90 - 0.06 / other, 110 + 0.12 / other)  # fmt: skip


def test_the_page_prints_the_bends_by_least_squares(page):
    levels = fmean(WALLS[:4]), fmean(WALLS[14:])
    stops, begins = knots(WALLS, levels)
    least = misfit(WALLS, stops, begins, levels)
    page.says("#.## thousandths of a mm², stands at **# mm and # mm**", 1000 * least, stops, begins)
    page.says("\\frac{#.######}{14}} = #.####\\ \\text{mm}", least, sqrt(least / 14))
    page.says("falls by #.### mm over # mm", levels[0] - levels[1], begins - stops)
    page.says("= #.#\\ \\text{mm}", 0.01 * (begins - stops) / (levels[0] - levels[1]))
    page.says("0.01 · 30 / 0.4 = #.## mm", 0.01 * 30 / (0.9 - 0.5))
    page.says("Squares: # against # ten-thousandths", 1e4 * (0.01**2 + 0.01**2), 1e4 * (0.02**2 + 0.03**2 + 0.01**2))  # fmt: skip
    free = butts.find(np.array(PLACES), np.array(WALLS))
    for known in (free.butt_a_uncertainty, free.belly_start_uncertainty):
        assert 1.0 < known < 1.3  # "a little more than 1 mm"


def test_the_page_prints_the_bow(page):
    page.says("| dial, mm |" + " #.## |" * 8, *DIAL)
    page.says("Half of highest less lowest is #.### mm", (max(DIAL) - min(DIAL)) / 2)
    wave = first_term(DIAL)
    page.says("−#.### / 4 = −#.### mm; along 90°: −#.### / 4 = −#.### mm",
              *(v for part in (-wave.real, -wave.imag) for v in (4 * part, part)))  # fmt: skip
    high = degrees(phase(wave)) % 360
    page.says("= **#.### mm**", abs(wave))
    page.says("0.525 / 1.092 is the tangent of #.#°", degrees(atan(0.525 / 1.092)))
    page.says("beyond 180°: **#.#°**", high)
    page.says("180 − 205.7 = −#.#°: **#° clockwise**", high - 180, high - 180)
    page.says("Bow #.### mm. The angle is #.#° below 0°, that is #.#°", hypot(0.2, 0.1),
              degrees(atan(0.5)), 360 - degrees(atan(0.5)))  # fmt: skip


@pytest.mark.parametrize("name", ["gauge", "by_eye", "bowl", "kinds", "rollers", "wave", "plane"])
def test_no_words_of_a_figure_are_clipped_small_or_on_top_of_others(name):
    mpl.use("Agg")
    figure = getattr(figures, name)()
    assert troubles(figure) == []
    mpl.pyplot.close(figure)


def test_the_look_at_words_finds_what_is_wrong():
    figure = mpl.figure.Figure(figsize=(3, 2))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.axis("off")
    for x, said, size in (
        (0.5, "one", 12),
        (0.5, "two", 12),
        (0.2, "small", 9),
        (1.0, "cut off", 12),
    ):
        axes.text(x, 0.5, said, fontsize=size, ha="center")
    figure.set_canvas(mpl.backends.backend_agg.FigureCanvasAgg(figure))
    assert troubles(figure) == ["small: small", "on top: two and one", "clipped: cut off"]


def test_the_figures_draw_the_page_s_tube():
    assert figures.WALLS.tolist() == WALLS
    assert figures.DIAL.tolist() == DIAL
    levels = fmean(WALLS[:4]), fmean(WALLS[14:])
    for stops, begins in ((119, 161), (105, 170), (125, 145)):
        assert figures.total(stops, begins) == pytest.approx(misfit(WALLS, stops, begins, levels))


def test_the_slider_says_the_sum_of_squares():
    levels = fmean(WALLS[:4]), fmean(WALLS[14:])
    states = slider.slider(f"{SLUG}/bend").states
    for state in states:
        stops, squares = (float(v) for v in re.findall(r"\d+\.?\d*", state.text)[:2])
        assert squares == pytest.approx(1000 * misfit(WALLS, stops, 161, levels), abs=0.051)
    sums = [float(re.findall(r"squares (\d+\.\d)", s.text)[0]) for s in states]
    assert min(range(len(sums)), key=sums.__getitem__) + 99 in range(118, 121)


def crosses(svg):
    """Middles of the upright crosses, mm on paper."""
    found = re.findall(
        r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="\2" stroke="black" stroke-width="0.5"/>', svg
    )  # fmt: skip
    return [((float(a) + float(c)) / 2, float(b)) for a, b, c in found]


def test_the_field_is_to_scale(students):
    for n in students:
        spots = crosses(field.draw(n).svg)
        for x, spot in zip(PLACES, spots[:18], strict=True):
            assert spot == pytest.approx((20 + 0.8 * (x - 50), 122 - 200 * (n[f"wall_{x}"] - 0.44)), abs=0.011)  # fmt: skip
        for a, spot in zip(MARKS, spots[18:26], strict=True):
            assert spot == pytest.approx((20 + 0.3 * a, 182 - 25 * (n[f"dial_{a}"] - 0.2)), abs=0.011)  # fmt: skip


def test_all_readings_lie_in_the_field(exercise):
    for q in exercise.quantities:
        if q.name.startswith("dial"):
            assert min(q.values) >= field.LEAST and max(q.values) <= field.MOST + 1e-9
        elif re.match(r"wall_\d", q.name):
            assert min(q.values) >= field.LOW and max(q.values) <= field.HIGH + 1e-9


def test_the_field_shows_no_answer(students):
    texts = {tuple(re.findall(r">([^<>]+)</text>", field.draw(n).svg)) for n in students}
    assert len(texts) == 1  # words and scales alone, the same for everybody


def test_marks_run_against_the_clock_on_the_field_and_in_the_figure():
    svg = field.draw({f"wall_{x}": 0.6 for x in PLACES} | {f"dial_{a}": 1.0 for a in MARKS}).svg
    at = {t: (float(x), float(y)) for x, y, t in re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>(\d+)</text>', svg)}  # fmt: skip
    x, y, radius = field.RING
    for mark in (45, 135, 225, 315):  # these are not numbers of an axis
        want = x - (radius + 4) * sin(radians(mark)), y - (radius + 4) * cos(radians(mark)) + 1.2
        assert at[str(mark)] == pytest.approx(want, abs=0.011)
