"""The lesson on alignment checks: answers worked again with plain arithmetic, slips, readings, figures."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from itertools import pairwise
from math import atan, degrees, pi, sqrt
from statistics import fmean, linear_regression, stdev

import matplotlib as mpl
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.figures import alignment_checks as figures
from coursekit.sheets import worksheet
from coursekit.sheets.drawings import alignment_checks as field
from coursekit.tubes import Round
from tests.sheets import paper

from .helpers import all_right, as_typed, by_machine, marked

SLUG = "alignment-checks"
PLACES = [100, 200, 300, 400]
OUTSIDE, WALL, YIELD, MODULUS = 28.6, 0.9, 517.0, 205_000.0


@pytest.fixture(scope="module")
def students(exercise, key):
    """Students whose slips can be told apart."""
    drawn = (own_numbers.draw(exercise, key, b"tests of the lesson", f"b-{i}") for i in range(80))
    return [n for n in drawn if not own_numbers.fault(exercise, key, n)][:60]


@pytest.fixture(scope="module")
def readings_of(exercise, key, root):
    """Return the numbers of many students who all build the frame of the page."""
    own = worked_frame.facts(root)

    def drawn(secret, students):
        names = (f"b-{i}" for i in range(students))
        return [own_numbers.for_frame(exercise, key, secret, n, own).numbers for n in names]

    return drawn


def halves(n):
    return [(n[f"seat_up_{x}"] - n[f"seat_down_{x}"]) / 2 for x in PLACES]


def sums(n):
    return [(n[f"seat_up_{x}"] + n[f"seat_down_{x}"]) / 2 for x in PLACES]


def worked_again(n):
    """Every marked number but the pull, with the standard library alone."""
    slope, start = linear_regression(PLACES, halves(n))
    low, high = ((n[f"head_up_{e}"] - n[f"head_down_{e}"]) / 2 for e in ("low", "high"))
    twist = degrees(atan((high - low) / 100)) - degrees(atan(slope))
    guard = 1.6448536269514722 * 0.024
    size = abs(twist)
    share = 1 - n["to_seat"] / n["to_head"]
    return {
        "turned-over": "gauge",
        "halves": halves(n),
        "gauge": fmean(sums(n)),
        "line": [start, 100 * slope],
        "top": start + slope * n["to_top"],
        "top-u": 0.04 / sqrt(2) * sqrt(1 / 4 + (n["to_top"] - 250) ** 2 / 50_000),
        "twist": twist,
        "decide": "within" if size <= 0.2 - guard else "outside" if size >= 0.2 + guard else "undecided",
        "string": (n["gap_drive"] - n["gap_other"]) / 2 / share,
        "stop": "ash",
    }  # fmt: skip


# Answers


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            if isinstance(value, str):
                assert found[id] == value, id
            else:
                assert found[id] == pytest.approx(value, rel=1e-9, abs=1e-12), id


def test_the_twists_uncertainty_is_as_the_question_says(exercise):
    """Slopes from half differences of 0.04 mm: two places 100 mm apart, and four over 300 mm."""
    one = 0.04 / sqrt(2)
    head, seat = one * sqrt(2) / 100, one / sqrt(50_000)
    assert (
        f"uncertainty of {degrees(sqrt(head**2 + seat**2)):.3f}°"
        in exercise.question("decide").text
    )


def thin_ring_moment(curvature):
    """Moment of the ring by strips of its height, each with its own stress."""
    r, bore = OUTSIDE / 2, OUTSIDE / 2 - WALL

    def strip(y):
        wide = 2 * (sqrt(max(r * r - y * y, 0)) - sqrt(max(bore * bore - y * y, 0)))
        return 2 * min(MODULUS * curvature * y, YIELD) * y * wide

    knee = min(YIELD / MODULUS / curvature, r)
    edges = sorted({0.0, knee, bore, r})
    return sum(quad(strip, a, b, epsrel=1e-9)[0] for a, b in pairwise(edges))


def test_the_pull_leaves_the_tube_straight(exercise, key, students):
    """The load that travel needs, and what stays when it is let go, by strips and by slices."""
    stiffness = MODULUS * pi / 64 * (OUTSIDE**4 - (OUTSIDE - 2 * WALL) ** 4)
    yields = YIELD / MODULUS / (OUTSIDE / 2)
    bends = yields * np.concatenate([np.linspace(0.01, 1, 20), np.linspace(1.02, 12, 400)])
    moments = np.array([thin_ring_moment(b) for b in bends])

    def end(force, lever):
        """Travel and slope of the end under load."""
        s = (np.arange(4000) + 0.5) * lever / 4000  # from the end to the clamp
        curve = np.interp(force * s, moments, bends)
        return float((curve * s).sum() * lever / 4000), float(curve.sum() * lever / 4000)

    for n in students[:4]:
        answer = own_numbers.answers(exercise, key, n)
        pull, lean, lever = answer["pull"], answer["line"][1], n["lever"]
        assert pull * lean < 0
        most = moments[-1] / lever
        force = brentq(lambda f, a=lever, w=pull: end(f, a)[0] - abs(w), 10, most)
        left = end(force, lever)[1] - force * lever**2 / (2 * stiffness)
        assert left == pytest.approx(abs(lean) / 100, abs=4e-5)  # 0.0023 degrees


def test_practice_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        spring = 2 * YIELD * n["lever"] ** 2 / (3 * MODULUS * OUTSIDE)
        low, high = ((n[f"head_up_{e}"] - n[f"head_down_{e}"]) / 2 for e in ("low", "high"))
        want = {
            "practice-half": halves(n)[3], "practice-zero": sums(n)[3],
            "practice-lean": degrees(atan((high - low) / 100)),
            "practice-string": worked_again(n)["string"],
            "practice-spring": spring, "practice-pull": 1.2 + 1.28 * spring,
        }  # fmt: skip
        assert {id: found[id] for id in want} == pytest.approx(want)
        assert found["practice-zone"] == "half"


def test_the_tables_factor_gives_the_pull_within_the_tolerance(exercise, key, students, root):
    """Set over first yield, the table of the page, set plus factor times first yield: as a reader does."""
    page = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    table = page[page.index(":name: tab-m") :]
    rows = re.findall(r"^\| (\d\.\d\d) \| (\d\.\d\d) \|$", table, re.MULTILINE)[:8]
    shares, factors = ([float(v) for v in column] for column in zip(*rows, strict=True))
    for n in students:
        answer = own_numbers.answers(exercise, key, n)
        lean = round(answer["line"][1], 3)
        first = round(2 * YIELD * n["lever"] ** 2 / (3 * MODULUS * OUTSIDE), 1)
        stays = abs(lean) * n["lever"] / 100
        factor = round(float(np.interp(stays / first, shares, factors)), 2)
        pull = -np.sign(lean) * (stays + factor * first)
        assert pull == pytest.approx(answer["pull"], abs=exercise.question("pull").tolerance)


# Readings


def test_readings_are_a_leaning_tube_a_gauge_and_scatter(readings_of):
    """Half sums lie level, half differences on a line, both with the scatter of two readings."""
    about, level = [], []
    for n in readings_of(b"scatter", 600):
        slope, start = linear_regression(PLACES, halves(n))
        assert 0.15 < abs(100 * slope) < 0.36
        about += [h - start - slope * x for x, h in zip(PLACES, halves(n), strict=True)]
        tilt, zero = linear_regression(PLACES, sums(n))
        level += [s - zero - tilt * x for x, s in zip(PLACES, sums(n), strict=True)]
        assert abs(100 * tilt) < 0.06
    for left in (about, level):  # four points, two unknowns: half of the spread is left
        assert stdev(left) * sqrt(2) == pytest.approx(0.04 / sqrt(2), rel=0.06)


def test_both_sides_and_all_verdicts_come_up(exercise, key, readings_of):
    drawn = readings_of(b"verdicts", 300)
    verdicts = Counter(own_numbers.answers(exercise, key, n)["decide"] for n in drawn)
    assert set(verdicts) == {"within", "undecided", "outside"}
    assert min(verdicts.values()) > 40
    assert 90 < sum(linear_regression(PLACES, halves(n))[0] > 0 for n in drawn) < 210
    assert 90 < sum(fmean(sums(n)) > 0 for n in drawn) < 210


def test_readings_are_divisions_of_the_indicator(students):
    for n in students:
        for name, value in n.items():
            if name.startswith(("seat_", "head_")):
                assert value * 50 == pytest.approx(round(value * 50), abs=1e-9)


def test_raw_draws_are_mostly_sound(exercise, key):
    faults = [
        own_numbers.fault(exercise, key, own_numbers._case(exercise, key, b"raw", f"b-{i}", 0))
        for i in range(300)
    ]
    assert sum(not f for f in faults) > 0.45 * len(faults)
    assert Counter(f for f in faults if f).most_common(1)[0][1] < 0.15 * len(faults)


# Marks


@pytest.mark.parametrize("turn", range(4))
def test_slips_on_top_of_slips_are_named_or_carried(exercise, key, students, turn):
    for n in students[:10]:
        own, slipped = {}, {}
        for question in (q for q in exercise.graded if q.kind != "written"):
            slips = key.slips[question.id]
            if turn < len(slips) and question.method_marks is None:
                slipped[question.id] = slips[turn]
                own[question.id] = key.slip_value(slips[turn], question, n, own)
            else:
                own[question.id] = key.value(question, n, own)
        values = {id: as_typed(v) for id, v in own.items()}
        marks = marked(exercise, key, n, values)
        for id, slip in slipped.items():
            assert (marks[id].verdict, marks[id].slip) == ("slip", slip.name), (turn, marks[id])
        for question in exercise.graded:
            if question.method_marks is not None:
                found = marks[question.id]
                assert found.verdict in ("carried", "right"), (turn, found)
                assert found.marks >= question.method_marks


def test_whole_differences_are_one_mistake(exercise, key, students):
    """The line, top, twist and pull of a tube twice as far off earn the method's marks."""
    n = students[0]
    slope, start = linear_regression(PLACES, [2 * h for h in halves(n)])
    low, high = ((n[f"head_up_{e}"] - n[f"head_down_{e}"]) / 2 for e in ("low", "high"))
    own = {
        "halves": [2 * h for h in halves(n)],
        "line": [start, 100 * slope],
        "top": start + slope * n["to_top"],
        "twist": degrees(atan((high - low) / 100)) - degrees(atan(slope)),
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert (marks["halves"].slip, marks["halves"].marks) == ("full-difference", pytest.approx(0.9))
    for id in ("line", "top", "twist"):
        assert marks[id].verdict == "carried", marks[id]
        assert marks[id].marks == exercise.question(id).method_marks


def test_two_of_four_halves_earn_half(exercise, key, students):
    n = students[3]
    right = all_right(exercise, key, n)
    given = [*right["halves"][:2], 9.0, 9.0]
    mark = marked(exercise, key, n, right | {"halves": given})["halves"]
    assert (mark.verdict, mark.marks) == ("part", 1.5)


def test_radians_and_inches_earn_half(exercise, key, students):
    n = students[1]
    right = all_right(exercise, key, n)
    wrong = right | {"twist": right["twist"] * pi / 180, "top": right["top"] / 25.4}
    marks = marked(exercise, key, n, wrong)
    assert [marks[id].verdict for id in ("twist", "top")] == ["unit", "unit"]
    assert [marks[id].marks for id in ("twist", "top")] == [1.5, 1.5]


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    n = students[2]
    full = marked(exercise, key, n, all_right(exercise, key, n))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, n, {}).values()) == 0


@pytest.mark.parametrize("lean", [0.0, 0.001, 5.0, -80.0])
def test_no_earlier_answer_breaks_the_pull(exercise, key, students, lean):
    n = students[4]
    value = key.value(exercise.question("pull"), n, {"line": (0.1, lean)})
    assert abs(value) < 25
    assert value * lean <= 0


def test_the_scaffold_completed_gives_the_line(exercise, students):
    """The two missing lines are those of the worked solution."""
    code = exercise.question("line").scaffold
    for n in students[:5]:
        mended = code.replace("[0, 0, 0, 0]", repr(halves(n)))
        mended = mended.replace("lean = None", "lean = 100 * above / below")
        mended = mended.replace("start = None", "start = mean_h - lean * mean_x / 100")
        made = {}
        exec(mended, made)
        assert made["line"] == pytest.approx(worked_again(n)["line"])
    blank = {}
    exec(code, blank)
    assert blank["line"] == [None, None]


# Figures


TUBE = Round(OUTSIDE, WALL)
FIGURES = {
    "datum": lambda: figures.datum(),
    "reversal": lambda: figures.reversal(0.66, 0.52),
    "fit": lambda: figures.fit(PLACES, [0.10, 0.30, 0.46, 0.66], 0.04, 560.0),
    "twist": lambda: figures.twist(0.105, 0.193),
    "guard_band": lambda: figures.guard_band(0.2, 0.03, [0.09, 0.21, 0.28]),
    "string": lambda: figures.string(31.0, 29.5, 386.6, 931.8),
    "springback": lambda: figures.springback(TUBE, 320.0, YIELD, MODULUS, 0.105),
}


def printed(axes):
    """The words of a figure that are drawn: labels, remarks, and numbers of an axis within its view."""
    yield from axes.texts
    if not axes.axison:
        return
    for axis in (axes.xaxis, axes.yaxis):
        yield axis.label
        low, high = sorted(axis.get_view_interval())
        for tick in axis.get_major_ticks():
            if low <= tick.get_loc() <= high:
                yield tick.label1


@pytest.mark.parametrize("name", FIGURES)
def test_no_words_of_a_figure_are_clipped_small_or_on_top_of_others(name):
    mpl.use("Agg")
    figure = FIGURES[name]()
    figure.canvas.draw()
    paint = figure.canvas.get_renderer()
    whole = figure.bbox
    words = [t for axes in figure.axes for t in printed(axes) if t.get_text().strip()]
    boxes = [(t.get_text(), mpl.text.Text.get_window_extent(t, paint)) for t in words]
    assert len(boxes) >= 5
    assert min(t.get_fontsize() for t in words) >= 10
    for said, b in boxes:
        assert b.x0 >= whole.x0 - 1 and b.x1 <= whole.x1 + 1, said
        assert b.y0 >= whole.y0 - 1 and b.y1 <= whole.y1 + 1, said
    for i, (said, b) in enumerate(boxes):
        for other, c in boxes[:i]:
            across = min(b.x1, c.x1) - max(b.x0, c.x0)
            upward = min(b.y1, c.y1) - max(b.y0, c.y0)
            assert min(across, upward) <= 1.0, (said, other)
    mpl.pyplot.close(figure)


def test_the_springback_figure_lands_on_the_set():
    figure = FIGURES["springback"]()
    (dashed,) = [line for line in figure.axes[0].lines if line.get_linestyle() == "--"]
    x = dashed.get_xdata()
    assert x[1] == pytest.approx(np.tan(np.radians(0.105)) * 320)
    assert x[0] == pytest.approx(8.1, abs=0.05)
    mpl.pyplot.close(figure)


def test_the_slider_separates_tube_and_gauge():
    figure = slider.slider(f"{SLUG}/flip")
    assert len(slider.html(figure, "x").encode()) <= 60_000
    assert len(figure.states) == 27
    ends = [s.text for s in figure.states if "half the sum" in s.text]
    assert len(ends) == 3
    for text, (off, gauge) in zip(ends, [(1.0, 0.0), (0.0, 0.6), (1.0, 0.6)], strict=True):
        said = [float(v.replace("−", "-")) for v in re.findall(r"[+−]?\d\.\d\d", text)]
        assert said == pytest.approx([gauge + off, gauge - off, off, gauge])
    in_hand = [s for s in figure.states if "turned" in s.text]
    assert len(in_hand) == 21
    assert all("don" in s.svg and "reads" not in s.text.split(";")[1] for s in in_hand)


# The worksheet


def marks_on(svg):
    """Where circles and crosses stand, mm on paper, in order."""
    circles = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="1.6" fill="white"', svg)
    crosses = re.findall(
        r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)" stroke="black" stroke-width="0.6"/>',
        svg,
    )
    slanted = [[float(v) for v in c] for c in crosses]
    slanted = [((a + c) / 2, (b + d) / 2) for a, b, c, d in slanted if a != c and b != d]
    return [(float(x), float(y)) for x, y in circles], slanted[::2]


def test_the_field_is_to_scale(students):
    for n in students:
        made = field.draw(n)
        assert made.scale.startswith("25 : 1 across")
        circles, crosses = marks_on(made.svg)
        for way, spots in (("up", circles[:4]), ("down", crosses[:4])):
            for x, spot in zip(PLACES, spots, strict=True):
                want = 24 + x / 4, 100 - 25 * n[f"seat_{way}_{x}"]
                assert spot == pytest.approx(want, abs=0.006), (way, x)


def test_all_readings_lie_in_the_field(exercise):
    most = max(max(q.values) for q in exercise.quantities if q.name.startswith("seat_"))
    assert most <= field.REACH
    kinds = tomllib.loads(exercise.frames)
    longest = max(
        k["drawing"]["seat_tube"]["high"] for k in kinds.values() if "seat_tube" in k["drawing"]
    )
    assert 400 < longest < field.ENDS


def test_the_field_shows_no_answer(exercise, key, students):
    for n in students[:10]:
        texts = re.findall(r">([^<>]+)</text>", field.draw(n).svg)
        shown = {d for t in texts for d in re.findall(r"\d+\.?\d*", t)}
        scale = {f"{k / 2:g}" for k in range(6)} | {f"{x}" for x in range(0, 501, 100)}
        assert shown <= scale | {f"{n['to_top']:g}"}


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_four_pages_for_everybody(exercise, students, size):
    copies = [
        worksheets.copy(exercise, f"b-{i}", "A Student", n) for i, n in enumerate(students[:8])
    ]
    sheets = paper.pages(worksheet.pdf(worksheets.body(exercise), copies, size))
    assert len(sheets) == 4 * len(copies)
