"""The lesson on the frame drawing: answers found again by turning complex numbers and by measuring.

Nothing here asks `coursekit.frame`: points are complex numbers, x + iy, and lengths, slopes and right
angles are measured on them.
"""

from __future__ import annotations

import cmath
import re
import tomllib
from collections import Counter
from math import degrees, radians

import pytest

from coursekit.book import slider
from coursekit.classroom.bank import exercises, keys, own_frame, own_numbers
from coursekit.classroom.bank.closeness import pairs
from coursekit.classroom.handout import worksheets
from coursekit.sheets import worksheet
from coursekit.sheets.drawings import frame_drawing as sheet
from tests.sheets import paper

from .helpers import marked

SECRET = b"frame drawing"


@pytest.fixture(scope="module")
def lesson(root):
    public = exercises.load("frame-drawing", root)
    return public, keys.load(public, root)


def draws(lesson, count):
    for i in range(count):
        numbers = own_numbers.draw(*lesson, SECRET, f"student-{i}")
        yield numbers, own_numbers.answers(*lesson, numbers)


def points(flat):
    return [complex(x, y) for x, y in pairs(flat)]


def slope(z):
    return degrees(cmath.phase(z))


def square(a, b):
    """Cosine of the angle between two directions."""
    return (a * b.conjugate()).real / abs(a) / abs(b)


def test_answers_measure_what_was_given(lesson):
    """On 500 students' drawings every given length and angle is measured back on the points."""
    for n, found in draws(lesson, 500):
        rear, seat = points(found["rear"])
        (front,) = points(found["front-axle"])
        foot, crown = points(found["fork"])
        low, high = points(found["head-tube-ends"])
        back = 180 - n["head_angle_deg"]
        assert abs(rear) == pytest.approx(n["chainstay"], abs=1e-9)
        assert rear.imag == front.imag == pytest.approx(n["bb_drop"], abs=1e-9)
        assert rear.real < 0 < front.real
        assert abs(front) == pytest.approx(n["front_centre"], abs=1e-9)
        assert abs(seat) == pytest.approx(n["seat_tube"], abs=1e-9)
        assert slope(seat) == pytest.approx(180 - n["seat_angle_deg"], abs=1e-9)
        assert found["wheelbase"] == pytest.approx(front.real - rear.real, abs=1e-9)
        assert abs(front - foot) == pytest.approx(n["fork_offset"], abs=1e-9)
        assert foot.real < front.real
        assert square(front - foot, crown - foot) == pytest.approx(0, abs=1e-9)
        assert abs(crown - front) == pytest.approx(n["fork_length"], abs=1e-9)
        for end in (crown, low, high):
            assert slope(end - foot) == pytest.approx(back, abs=1e-9)
        assert abs(low - crown) == pytest.approx(n["lower_stack"], abs=1e-9)
        assert abs(high - low) == pytest.approx(n["head_tube"], abs=1e-9)
        seat_axis = seat * high.imag / seat.imag
        assert found["top-tube-level"] == pytest.approx(high.real - seat_axis.real, abs=1e-9)


def test_down_tube_keeps_its_room(lesson):
    """The lower edge, half a tube below the axis, passes the point on the head tube's rear."""
    for n, found in draws(lesson, 200):
        low, high = points(found["head-tube-ends"])
        up = (high - low) / abs(high - low)
        edge = low + n["bead_room"] * up + n["head_diameter"] / 2 * up * 1j
        turn = cmath.rect(1, radians(180 - n["head_angle_deg"] - found["down-tube"]))
        below = (edge / turn).imag  # of the edge, seen along the axis from the bottom bracket
        assert below == pytest.approx(-n["down_tube_diameter"] / 2, abs=1e-9)


def test_trail_is_where_the_axis_meets_the_ground(lesson):
    for n, found in draws(lesson, 200):
        (front,) = points(found["front-axle"])
        for answer, angle in zip(
            (found["trail"], *found["trail-table"]),
            (0, -1, 0, 1),
            strict=True,
        ):
            up = cmath.rect(1, radians(180 - n["head_angle_deg"] - angle))
            foot = front + n["fork_offset"] * up * 1j
            ground = front.imag - n["wheel_radius"]
            meets = foot + (ground - foot.imag) / up.imag * up
            assert answer == pytest.approx(meets.real - front.real, abs=1e-9)


def test_the_rider_gets_what_was_asked(lesson):
    """Walk from the new front axle up the new head tube: its top is higher and further forward."""
    for n, found in draws(lesson, 200):
        tube, centre = found["other-givens"]
        (front,), (foot, crown) = points(found["front-axle"]), points(found["fork"])
        _, high = points(found["head-tube-ends"])
        new = complex((centre**2 - n["bb_drop"] ** 2) ** 0.5, n["bb_drop"])
        up = (crown - foot) / abs(crown - foot)
        top = crown + (new - front) + (n["lower_stack"] + tube) * up
        assert top - high == pytest.approx(complex(n["more_reach"], n["more_stack"]), abs=1e-9)
        gap = abs(front) - n["crank"] - n["wheel_radius"]
        assert found["pedal-gap"] == pytest.approx(gap, abs=1e-9)


def test_every_drawn_frame_is_taken_as_it_is(lesson):
    """No frame is refused; where the drop is small, laying a length level can't be told from right."""
    public, private = lesson
    near = Counter()
    for i in range(100):
        drawn = own_numbers.for_frame(public, private, SECRET, f"student-{i}")
        assert drawn.instead == ""
        near[own_numbers.fault(public, private, drawn.numbers)] += 1
    assert all("level' equals the right answer" in why for why in near if why), near
    assert near[""] > 60


def test_what_a_question_finds_is_the_number_of_the_frame(lesson, root):
    """The answers are those that later lessons print, to what a student is given of them."""
    public, private = lesson
    for i in range(20):
        known = own_frame.facts(public.frames, SECRET, f"student-{i}")
        numbers = own_numbers.draw(public, private, SECRET, f"student-{i}")
        found = own_numbers.answers(public, private, numbers)
        asked = {q.id: q.finds for q in public.questions if q.finds}
        assert set(asked) == {"wheelbase", "top-tube-level", "down-tube", "trail"}
        for id, name in asked.items():
            assert found[id] == pytest.approx(known[name], abs=1e-6), id


def test_tyres_turn(lesson):
    """No student gets a wheel nearer to seat tube or down tube than 16 CFR 1512.11(b) allows, 1.6 mm."""
    for n, found in draws(lesson, 200):
        rear, seat = points(found["rear"])
        (front,) = points(found["front-axle"])
        turn = cmath.rect(1, radians(180 - n["head_angle_deg"] - found["down-tube"]))
        to_down_tube = -(front / turn).imag - n["down_tube_diameter"] / 2
        to_seat_tube = abs((rear / seat * abs(seat)).imag) - 14.3
        assert min(to_down_tube, to_seat_tube) - n["wheel_radius"] >= 1.6 - 1e-9


@pytest.mark.parametrize(
    ("question", "factor", "verdict"),
    [("wheelbase", 0.1, "unit"), ("trail", 1 / 25.4, "unit"), ("down-tube", 0.0174533, "unit"),
     ("wheelbase", -1, "sign"), ("rear", 0.1, "unit")],
)  # fmt: skip
def test_wrong_units_and_signs_are_named(lesson, question, factor, verdict):
    public, private = lesson
    numbers, right = next(draws(lesson, 1))
    value = right[question]
    wrong = [factor * v for v in value] if isinstance(value, tuple) else factor * value
    named = marked(public, private, numbers, {**right, question: wrong})
    assert named[question].verdict == verdict
    assert named[question].marks < named[question].out_of


def test_a_chain_goes_on_from_the_students_own_points(lesson):
    """The front axle is laid level by mistake; everything after it follows and earns its marks."""
    public, private = lesson
    numbers, right = next(draws(lesson, 1))
    own = {**right, "front-axle": (numbers["front_centre"], numbers["bb_drop"])}
    for id in (
        "wheelbase",
        "fork",
        "head-tube-ends",
        "top-tube-level",
        "down-tube",
        "other-givens",
    ):
        own[id] = private.value(public.question(id), numbers, own)
        assert own[id] != right[id]
    named = marked(public, private, numbers, own)
    assert (named["front-axle"].verdict, named["front-axle"].slip) == (
        "slip", "front-centre-laid-level",
    )  # fmt: skip
    for id in (
        "wheelbase",
        "fork",
        "head-tube-ends",
        "top-tube-level",
        "down-tube",
        "other-givens",
    ):
        assert named[id].verdict in ("carried", "right"), id
        assert named[id].marks >= public.question(id).method_marks


def test_a_point_half_a_millimetre_off_counts_and_one_off_does_not(lesson):
    public, private = lesson
    numbers, right = next(draws(lesson, 1))
    x, y = right["front-axle"]
    for off, verdict in ((0.35, "right"), (0.36, "wrong")):  # in x and in y: 0.495 and 0.509
        own = {**right, "front-axle": (x - off, y - off)}
        assert marked(public, private, numbers, own)["front-axle"].verdict == verdict


# The worksheet


def test_every_point_has_a_box_for_x_and_one_for_y(lesson):
    """Two heavy boxes a point, large enough to write in, beside those of numbers and lists."""
    public, _ = lesson
    numbers, _ = next(draws(lesson, 1))
    copy = worksheets.copy(public, "bench-01", "bench-01", numbers)
    sheets = paper.pages(worksheet.pdf(worksheets.body(public), [copy]))
    heavy = [b for on in sheets for b in paper.boxes(on) if b[0] > 6 and b[2] > 0.35]
    entries = {kind: sum(len(q.entries) for q in public.graded if q.kind == kind)
               for kind in ("points", "numbers")}  # fmt: skip
    numbers_alone = sum(q.kind == "number" for q in public.graded)
    assert entries["points"] == 7
    assert len(heavy) == 2 * entries["points"] + entries["numbers"] + numbers_alone
    assert min(w for w, _, _ in heavy) >= 30
    assert min(h for _, h, _ in heavy) >= 12


def test_the_answer_key_shows_points_as_pairs(lesson):
    public, _ = lesson
    question = public.question("rear")
    assert worksheets.shown(question, (-1.25, 2.0, 3.0, -4.0)) == "(−1.25; 2), (3; −4)"


def test_the_drawing_on_the_worksheet_is_to_scale(lesson):
    """Circles give the axles; on paper they are a tenth of the wheelbase apart, a twelfth of a long one."""
    scales = set()
    for numbers, found in draws(lesson, 50):
        made = sheet.draw(numbers)
        by = float(made.scale.removeprefix("1 : "))
        scales.add(by)
        number = r'(-?[\d.]+)"'
        wheels = re.findall(rf'<circle cx="{number} cy="{number} r="{number}', made.svg)[:2]
        (x1, y1, r1), (x2, y2, r2) = ([float(v) for v in w] for w in wheels)
        assert x2 - x1 == pytest.approx(found["wheelbase"] / by, abs=0.002)
        assert y1 == y2
        assert r1 == r2 == pytest.approx(numbers["wheel_radius"] / by, abs=0.001)
        assert min(x1 - r1, made.width - x2 - r2) > -0.01
        fits = found["wheelbase"] + 2 * numbers["wheel_radius"] <= 1800
        assert by == (10 if fits else 12)
        assert f"100 mm on paper, {100 * by:g} mm of the frame" in made.svg
    assert scales == {10, 12}


def test_the_drawing_prints_no_answer(lesson):
    numbers, _ = next(draws(lesson, 1))
    texts = re.findall(r">([^<>]+)</text>", sheet.draw(numbers).svg)
    assert len(texts) >= 10
    assert {d for t in texts for d in re.findall(r"\d+", t)} <= {"0", "100", "1000", "1200"}


# The slider


def test_slider_says_what_the_formula_gives(root):
    """Trail and gap at every angle, by hand: H stays where the worked frame has it."""
    own = tomllib.loads((root / "course/worked-frame.toml").read_text())
    given, crank = own["drawing"], own["bench"]["crank"]
    radius, length, offset = (given[n] for n in ("wheel_radius", "fork_length", "fork_offset"))
    drop, chainstay = given["bb_drop"], given["chainstay"]
    up = cmath.rect(1, radians(180 - given["head_angle_deg"]))
    top = complex((given["front_centre"] ** 2 - drop**2) ** 0.5, drop) + offset * 1j * up
    top += ((length**2 - offset**2) ** 0.5 + given["lower_stack"] + given["head_tube"]) * up
    figure = slider.slider("frame-drawing/head-angle")
    assert len(slider.html(figure, "x").encode()) <= 200_000
    for state in figure.states:
        angle, trail, gap, wheelbase = map(float, re.findall(r"\d+\.?\d*", state.text))
        up = cmath.rect(1, radians(180 - angle))
        rise = (length**2 - offset**2) ** 0.5
        assert trail == pytest.approx((radius * -up.real - offset) / up.imag, abs=0.051)
        # down the axis from H until the foot stands at the axle's height less the offset's share
        foot_y = drop - offset * -up.real
        along = (top.imag - foot_y) / up.imag
        assert along > rise
        front = top - along * up - offset * 1j * up
        assert front.imag == pytest.approx(drop, abs=1e-9)
        assert gap == pytest.approx(abs(front) - crank - radius, abs=0.51)
        assert wheelbase == pytest.approx(front.real + (chainstay**2 - drop**2) ** 0.5, abs=0.51)
    assert figure.states[figure.default].text.startswith(
        f"Head angle {given['head_angle_deg']:.2f}°"
    )


def test_a_harmless_short_cut_counts_as_right(lesson):
    """Adding the move straight to the front centre stays inside the tolerance, as the key says."""
    public, _ = lesson
    allowed = public.question("other-givens").tolerance
    for n, found in draws(lesson, 500):
        (front,) = points(found["front-axle"])
        _, centre = found["other-givens"]
        new = (centre**2 - n["bb_drop"] ** 2) ** 0.5
        assert abs(abs(front) + new - front.real - centre) < allowed
