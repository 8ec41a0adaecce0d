"""The lesson on setting a fixture: answers worked again with complex numbers, slips, slider, field, printed page.

A point of the side view is x + iy here; a turn is a product, a length an absolute value. No domain module
of the kit is asked, but where a test says so.
"""

from __future__ import annotations

import cmath
import re
import tomllib
from itertools import permutations
from math import degrees, pi, radians, sqrt, tan
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from scipy.optimize import brentq

from coursekit.book import slider, worked_frame
from coursekit.classroom.bank import own_numbers
from coursekit.figures import fixture_setting as figures
from coursekit.sheets.drawings import fixture_setting as field

from .helpers import all_right, by_machine, marked

SLUG = "fixture-setting"
FRAME = tomllib.loads((Path(__file__).parents[2] / "course/worked-frame.toml").read_text("utf-8"))
HEAD, STAY, DROP, FRONT, FORK, OFFSET, STACK, TUBE = (
    FRAME["drawing"][name]
    for name in (
        "head_angle_deg", "chainstay", "bb_drop", "front_centre", "fork_length", "fork_offset",
        "lower_stack", "head_tube",
    )
)  # fmt: skip
TUBES, RAIL, CONE = FRAME["tubes"], FRAME["bench"]["rail"], FRAME["bench"]["cone_deg"]
BORE = TUBES["head_tube"]["diameter"] - 2 * TUBES["head_tube"]["wall"]


@pytest.fixture(scope="module")
def students(exercise, key):
    return [own_numbers.draw(exercise, key, b"tests", f"bench-{i:04d}") for i in range(40)]


def up(n):
    """Unit step up the steering axis."""
    return cmath.rect(1, pi - radians(n["head_angle_deg"]))


def points(n):
    """Front axle, foot and swing point."""
    axle = complex(abs(complex(n["front_centre"], 0)), 0)
    axle = complex(sqrt(axle.real**2 - n["bb_drop"] ** 2), n["bb_drop"])
    foot = axle + n["fork_offset"] * 1j * up(n)  # a quarter turn from up is backward
    # down the axis until the height is that of the rail, found by search
    way = brentq(lambda d: (foot - d * up(n)).imag + n["rail"], 0, 1000, xtol=1e-12)
    return axle, foot, foot - way * up(n)


def back(n):
    """Level way to the rear axle: the circle of the chainstay at the height of the drop."""
    return brentq(lambda x: abs(complex(x, n["bb_drop"])) - n["chainstay"], 0, 600, xtol=1e-12)


def low_face(n):
    axle, _, swing = points(n)
    crown = brentq(
        lambda d: abs(swing + d * up(n) - axle) - n["fork_length"], 250, 1200, xtol=1e-12
    )
    return crown + n["lower_stack"]


def worked_again(n):
    """Every answer but the order."""
    axle, foot, swing = points(n)
    deep = brentq(lambda d: d * tan(radians(n["cone_deg"] / 2)) - n["bore"] / 2, 0, 200, xtol=1e-12)
    turned = swing + (axle - swing) * cmath.rect(1, radians(n["lean_deg"]))
    near = (foot.conjugate() * 1j * up(n)).real  # of the post from the axis, along its normal
    parts = np.array([n["u_scale"], n["u_scale"], (n["bb_drop"] + n["rail"]) * n["u_lean"] / 57.3])
    return {
        "rail-lower": "head",
        "rear-back": back(n),
        "foot": (foot.real, foot.imag),
        "ahead": swing.real,
        "low-face": low_face(n),
        "tips": (low_face(n) + deep, low_face(n) + n["head_tube"] - deep),
        "square-check": abs(near),
        "swung": axle.real - turned.real,
        "stood": degrees((n["slid"] * up(n)).imag / (axle.real + back(n))),
        "likely": (float(np.linalg.norm(parts)), float(parts.sum())),
        "wedge": degrees(n["feeler"] / n["tube"]),
    }


LOOSE = {"swung": 0.01}  # the lesson's sum is of the first order; here the arm is really turned


# Answers


def test_answers_are_those_worked_again(exercise, key, students):
    for n in students:
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            if isinstance(value, str):
                assert found[id] == value
            else:
                assert found[id] == pytest.approx(value, rel=1e-9, abs=LOOSE.get(id, 1e-9)), id


def test_a_head_tube_too_high_tips_the_bicycle_by_what_is_taught(exercise, key, students):
    """Both wheels put on level ground by turning, not by the lesson's quotient: the same to 0.001°."""
    for n in students[:10]:
        axle, _, _ = points(n)
        rear, lifted = complex(-back(n), n["bb_drop"]), axle + n["slid"] * up(n)
        turn = -cmath.phase(lifted - rear)
        taught = own_numbers.answers(exercise, key, n)["stood"]
        assert taught == pytest.approx(degrees(-turn), abs=0.001)


def test_practice_answers_are_those_worked_again(exercise, key):
    n = {
        "head_angle_deg": 66.0, "chainstay": 470.0, "bb_drop": 55.0, "front_centre": 660.0, "fork_length": 430.0,
        "fork_offset": 60.0, "lower_stack": 12.0, "head_tube": 220.0, "rail": 150.0, "bore": 36.2, "cone_deg": 70.0,
        "lean_deg": 0.8, "slid": 2.0, "u_scale": 0.6, "u_lean": 0.25, "tube": 25.4, "feeler": 0.45,
    }  # fmt: skip
    found, again = own_numbers.answers(exercise, key, n), worked_again(n)
    assert found["practice-back"] == pytest.approx(again["rear-back"])
    assert found["practice-foot"] == pytest.approx(again["foot"][0])
    assert found["practice-wedge"] == pytest.approx(again["wedge"])
    assert found["practice-tip"] == pytest.approx(again["tips"][0] - again["low-face"])
    assert found["practice-swing"] == pytest.approx(200 * 0.8 * pi / 180)
    assert found["practice-sum"] == pytest.approx(sqrt(0.72 + (210 * 0.25 / 57.3) ** 2))
    assert found["practice-rail"] == pytest.approx(540 + 190 * tan(radians(24)))


def test_all_right_is_full_and_nothing_is_nothing(exercise, key, students):
    full = marked(exercise, key, students[0], all_right(exercise, key, students[0]))
    assert sum(m.marks for m in full.values()) == by_machine(exercise)
    assert sum(m.marks for m in marked(exercise, key, students[0], {}).values()) == 0


def test_one_early_mistake_is_made_once(exercise, key, students):
    """The offset laid level: foot, arm, face, cones and check all follow, and only the foot is marked down."""
    n = students[1]
    axle, _, _ = points(n)
    foot, angle = axle - n["fork_offset"], radians(n["head_angle_deg"])
    height = foot.imag + n["rail"]
    low = (
        height / np.sin(angle)
        + sqrt(n["fork_length"] ** 2 - n["fork_offset"] ** 2)
        + n["lower_stack"]
    )
    deep = n["bore"] / 2 / tan(radians(n["cone_deg"] / 2))
    own = {
        "foot": [foot.real, foot.imag],
        "ahead": foot.real + height / tan(angle),
        "low-face": low,
        "tips": [low + deep, low + n["head_tube"] - deep],
        "square-check": foot.real * np.sin(angle) + foot.imag * np.cos(angle),
        "rear-back": n["chainstay"],
        "stood": degrees(n["slid"] * np.sin(angle) / (n["chainstay"] + axle.real)),
    }
    marks = marked(exercise, key, n, all_right(exercise, key, n) | own)
    assert marks["foot"].slip == "offset-laid-level"
    assert marks["rear-back"].slip == "chainstay-laid-level"
    for id in ("ahead", "low-face", "tips", "square-check"):
        assert marks[id].verdict == "carried", (id, marks[id])
    assert marks["stood"].verdict in ("carried", "right")


def test_the_order_is_full_in_one_way_and_less_for_each_pair(exercise, key, students):
    question = exercise.question("sequence")
    best = ("set scales", "square check", "dry fit", "feel gaps", "tack")
    shares = {o: key.share(question, students[0], o)[0] for o in permutations(question.entries)}
    assert [o for o, share in shares.items() if share == 1] == [best]
    assert shares[best[::-1]] == 0
    swapped = ("square check", "set scales", *best[2:])
    assert shares[swapped] == pytest.approx(0.8)


# Slider, figures, field


def test_the_slider_says_where_the_axle_comes_to_stand():
    states = slider.slider(f"{SLUG}/arm").states
    assert len(states) == 41
    axle, swing = complex(AHEAD, DROP), complex(SWING, -RAIL)
    for state, lean in zip(states, np.linspace(-2, 2, 41), strict=True):
        turned = swing + (axle - swing) * cmath.rect(1, radians(lean))
        told = re.search(r"axle ([\d.]+) mm (back|ahead)", state.text)
        if abs(lean) < 1e-9:
            assert told is None
            continue
        assert float(told[1]) == pytest.approx(abs(turned.real - axle.real), abs=0.0501)
        assert told[2] == ("back" if lean > 0 else "ahead")
        wheelbase = abs(turned - complex(-BACK, DROP))
        assert float(re.search(r"wheelbase ([\d.]+)", state.text)[1]) == pytest.approx(wheelbase, abs=0.0501)  # fmt: skip


def test_the_figures_letters_stand_apart():
    mpl.use("Agg")
    frame = worked_frame.build().frame
    made = (
        figures.whole(frame, RAIL), figures.to_rail(frame, RAIL), figures.up_the_arm(frame, RAIL),
        figures.cones(BORE, CONE, TUBE), figures.square(frame, RAIL), figures.parts(frame, RAIL),
        figures.wedge(TUBES["down_tube"]["diameter"]),
    )  # fmt: skip
    for figure in made:
        figure.canvas.draw()
        boxes = [
            t.get_window_extent() for t in figure.axes[0].texts if t.get_text() and t.get_visible()
        ]
        frame_box = figure.bbox
        for i, box in enumerate(boxes):
            assert frame_box.x0 - 1 <= box.x0 and box.x1 <= frame_box.x1 + 1
            assert not any(box.overlaps(other) for other in boxes[i + 1 :])
    mpl.pyplot.close("all")


def test_the_field_is_to_scale_and_tells_no_setting(students):
    for n in students[:8]:
        drawn = field.draw(n)
        _, foot, swing = points(n)
        dots = [
            complex(float(x), -float(y))
            for x, y in re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="0.8"', drawn.svg)
        ]
        post, rear, axle, own_foot, own_swing = dots
        assert 10 * abs(own_swing - post) == pytest.approx(abs(swing), abs=0.02)
        assert 10 * (own_foot - post) == pytest.approx(foot, abs=0.02)
        assert 10 * abs(rear - post) == pytest.approx(n["chainstay"], abs=0.02)
        assert 10 * abs(axle - post) == pytest.approx(n["front_centre"], abs=0.02)
        assert not re.search(r">[^<]*\d{3}[^<]*<", drawn.svg)


# What the page prints


S, C, T = np.sin(radians(HEAD)), np.cos(radians(HEAD)), tan(radians(HEAD))
BACK, AHEAD = sqrt(STAY**2 - DROP**2), sqrt(FRONT**2 - DROP**2)
X, Y = AHEAD - OFFSET * S, DROP - OFFSET * C
SWING, RISE = X + (Y + RAIL) / T, sqrt(FORK**2 - OFFSET**2)
LOW = (Y + RAIL) / S + RISE + STACK


def test_the_page_prints_the_frame(page):
    page.says("head angle #.#°, chainstay # mm, drop # mm, front centre # mm, fork # mm with an offset of # mm, lower bearing"
              " # mm, head tube # mm. Our rail lies # mm below", HEAD, STAY, DROP, FRONT, FORK, OFFSET, STACK, TUBE, RAIL)  # fmt: skip
    page.says("**up** by the drop, # mm", DROP)
    page.says("3. The lower bearing: # mm", STACK)
    page.says("# mm below the post instead of # mm", 240, RAIL)
    page.says("Our top tube is #.# mm thick", TUBES["top_tube"]["diameter"])
    page.says("cones of # degrees. The bore is #.#.", CONE, BORE)


def test_the_page_prints_the_scales(page):
    page.says(r"\sqrt{#^2 - #^2} = #.#", STAY, DROP, BACK)
    longer = sqrt((STAY + 20) ** 2 - DROP**2)
    page.says("√(#² − #²) = #.# mm. Up stays # mm. So 20 mm more chainstay are #.# mm",
              STAY + 20, DROP, longer, DROP, longer - BACK)  # fmt: skip
    page.says("the front axle, (#.#, #.#)", AHEAD, DROP)
    page.says("a short line of #, square to the steering axis, leads back and down to the foot. From the foot the axis runs"
              " #.# down to the swing point on the rail. Upright that is #.#, level #.#. The angle at the swing point is #.#",
              OFFSET, (Y + RAIL) / S, Y + RAIL, (Y + RAIL) / T, HEAD)  # fmt: skip
    page.says(r"x &= #.# - # \cdot \sin #.#° = #.#", AHEAD, OFFSET, HEAD, X)
    page.says(r"y &= #.# - # \cdot \cos #.#° = #.#", DROP, OFFSET, HEAD, Y)
    page.says(
        "The foot is #.# mm above the post, the rail # mm below it: #.# mm in all",
        Y,
        RAIL,
        Y + RAIL,
    )
    page.says(r"&= #.# + \frac{#.#}{\tan #.#°} = #.#", X, Y + RAIL, HEAD, SWING)
    page.says("#.# + #.# / tan #.#° = #.# mm", X, Y + 40, HEAD, X + (Y + 40) / T)
    page.says(
        "#.# upright, which is #.# / sin #.#° = #.# mm", Y + RAIL, Y + RAIL, HEAD, (Y + RAIL) / S
    )
    page.says("√(#² − #²) = #.# mm", FORK, OFFSET, RISE)
    page.says(
        "**#.# mm** to the lower face, and with the head tube's # mm **#.# mm**",
        LOW,
        TUBE,
        LOW + TUBE,
    )
    page.says("#.# to the foot of the front axle, #.# on to the crown race seat, # of lower bearing to the lower face at #.#,"
              " # of head tube to the upper face at #.#. The fork of # runs",
              (Y + RAIL) / S, RISE, STACK, LOW, TUBE, LOW + TUBE, FORK)  # fmt: skip
    longer = sqrt((FORK + 15) ** 2 - OFFSET**2)
    page.says("another fork: # mm", FORK + 15)
    page.says("√(#² − #²) = #.# mm instead of #.#: all above moves up by #.# mm, to #.# mm",
              FORK + 15, OFFSET, longer, RISE, longer - RISE, LOW + longer - RISE)  # fmt: skip


def test_the_page_prints_cones_and_checks(page):
    deep = BORE / 2 / tan(radians(CONE / 2))
    page.says(r"\frac{#.#}{2 \tan #°} = #.#", BORE, CONE / 2, deep)
    page.says(
        "#.# + #.# = #.# and #.# − #.# = #.# mm",
        LOW,
        deep,
        LOW + deep,
        LOW + TUBE,
        deep,
        LOW + TUBE - deep,
    )
    page.says("stops the cone #.## mm earlier", 0.2 / tan(radians(CONE / 2)))
    page.says("#.# / tan 45° = #.# mm. And 0.2 / tan 45° = #.# mm", BORE / 2, BORE / 2, 0.2)
    page.says("A line of #.# goes from the post", X * S + Y * C)
    page.says(
        r"&= #.# \cdot \sin #.#° + #.# \cdot \cos #.#° \\ &= #.#", X, HEAD, Y, HEAD, X * S + Y * C
    )
    page.says(
        "#.# · sin #.#° − # · cos #.#°, again #.# mm", SWING, HEAD, RAIL, HEAD, SWING * S - RAIL * C
    )
    page.says("#.# + #.# = #.# mm", BACK, AHEAD, BACK + AHEAD)
    page.says("An arm stands at #.# mm instead of #.#", X + Y / T, SWING)
    page.says("#.# mm short along the rail; square to the axis #.# · sin #.#° = #.# mm",
              RAIL / T, RAIL / T, HEAD, RAIL / T * S)  # fmt: skip


def test_the_page_prints_errors(page):
    base, lever = BACK + AHEAD, DROP + RAIL
    page.says("stands # + # = # mm above it", DROP, RAIL, lever)
    page.says(r"# \cdot \frac{0.3}{57.3} = #.##", lever, lever * 0.3 / 57.3)
    page.says("by sin #.#° for each millimetre: #.## mm", HEAD, S)
    page.says("by #.## / #.#, times 57.3, which is #.###°", S, base, S / base * 57.3)
    page.says("# · 0.3 / 57.3 = #.## mm", DROP + 240, (DROP + 240) * 0.3 / 57.3)
    third = lever * 0.1 / 57.3
    page.says("# · 0.1 / 57.3 = #.## mm", lever, third)
    page.says(r"\sqrt{0.3^2 + 0.3^2 + #.##^2} = #.##", third, sqrt(0.18 + third**2))
    page.says("the plain sum, #.## mm", 0.6 + third)
    page.says("arm's angle #.##. Together as root sum square #.##, as worst case #.##",
              third, sqrt(0.18 + third**2), 0.6 + third)  # fmt: skip
    page.says("√(0.1² + 0.1² + #.##²) = #.## mm. Protractor: √(0.3² + 0.3² + #.##²) = #.## mm",
              third, sqrt(0.02 + third**2), third / 2, sqrt(0.18 + third**2 / 4))  # fmt: skip
    tube, other = TUBES["down_tube"]["diameter"], TUBES["top_tube"]["diameter"]
    page.says(r"\frac{0.25}{#.#} \cdot 57.3 = #.##°", tube, 0.25 / tube * 57.3)
    page.says(
        "would be #.# mm at the other end of our down tube, 627.1 mm away", 0.25 / tube * 627.1
    )
    page.says("0.15 / #.# · 57.3 = #.##°", other, 0.15 / other * 57.3)
    page.says("At the other end #.##°", 0.3 / other * 57.3)


def bicycle(rear_back=BACK, rear_up=DROP, ahead=SWING, angle=HEAD, low=LOW):
    """Wheelbase and trail of what these settings make, stood on level ground by turning points."""
    step = cmath.rect(1, pi - radians(angle))
    swing, rear = complex(ahead, -RAIL), complex(-rear_back, rear_up)
    foot = swing + (low - STACK - RISE) * step
    axle = foot - OFFSET * 1j * step
    turn = -cmath.phase(axle - rear)
    axle, foot, step = ((p - rear) * cmath.rect(1, turn) for p in (axle, foot, step + rear))
    meets = foot - (foot.imag + FRAME["drawing"]["wheel_radius"]) / step.imag * step
    return np.array([axle.real, meets.real - axle.real])


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ("rear axle 1 mm too far back", {"rear_back": BACK + 1}),
        ("rear axle 1 mm too far up", {"rear_up": DROP + 1}),
        ("head arm 1 mm too far ahead", {"ahead": SWING + 1}),
        ("head arm 0.1° too flat", {"angle": HEAD - 0.1}),
        ("head tube 1 mm too high on the arm", {"low": LOW + 1}),
    ],
)
def test_the_table_of_the_page_by_turning_points(root, said, wrong):
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    row = next(line for line in text.splitlines() if line.startswith(f"| {said} |"))
    told = [float(v.replace("−", "-")) for v in re.findall(r"([+−]?\d+\.\d\d) mm", row)]
    assert told == pytest.approx(list(bicycle(**wrong) - bicycle()), abs=0.0075)


def test_the_sliders_words_are_what_a_degree_does():
    """The axle by its lever, trail by the bicycle that is put together by turning points."""
    moved = abs(bicycle(angle=HEAD - 1) - bicycle())
    told = slider.slider(f"{SLUG}/arm").alt
    assert f"{radians(1) * (DROP + RAIL):.1f} millimetres for a degree" in told
    assert f"about {moved[1]:.0f} millimetres" in told
