"""Every number that the page on the frame drawing prints of its own frame and of its try-its."""

from __future__ import annotations

from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest

from coursekit import frame as kit
from coursekit.book.sliders import frame_drawing as figure
from coursekit.buildable import pedal_to_tyre
from coursekit.figures import frame_drawing as draw

SLUG = "frame-drawing"
S, C = sin(radians(69)), cos(radians(69))


@pytest.fixture(scope="module")
def frame():
    return draw.example()


@pytest.fixture(scope="module")
def rider(frame):
    """The same frame, driven by what the rider touches."""
    return {k: v for k, v in draw.REST.items() if k != "head_tube"} | {
        "reach": frame.reach, "stack": frame.stack,
    }  # fmt: skip


def test_the_slider_shows_the_lessons_frame(frame):
    held = {k: v for k, v in draw.REST.items() if k not in ("head_tube", "head_angle_deg")}
    assert {k: figure.RIDER[k] for k in held} == held
    assert [figure.RIDER[k] for k in ("reach", "stack")] == pytest.approx(
        [frame.reach, frame.stack], abs=0.05
    )


def test_points(page, frame):
    for letter, name in (("A", "rear_axle"), ("T", "seat_top"), ("F", "front_axle"), ("S", "steer_foot"),
                         ("C", "crown"), ("L", "head_low"), ("H", "head_high")):  # fmt: skip
        page.says(f"{letter} = (#.#, #.#)**", *frame.points[name])
    x, y = frame.points["seat_top"]
    page.says("Which of the eight points can lie at (#, #), and which at", x, y)
    page.says("and which at (#, #)?", *frame.points["front_axle"])
    page.says("What do you find at (0, #)?", -frame.bb_height)
    page.says(r"\sqrt{400^2 - 60^2} = #.#\ \text{mm}", sqrt(400**2 - 60**2))
    page.says("60 − 320 = #. The bottom bracket stands # mm", 60 - 320, frame.bb_height)
    page.says("430 · cos 71° = #.# mm behind B and 430 · sin 71° = #.# mm above", -x, y)


def test_axles_of_the_other_rear(page):
    run, front = sqrt(470**2 - 45**2), sqrt(650**2 - 45**2)
    page.says("√(470² − 45²) = #.# mm behind, 45 mm up: (#.#, 45.0). The slope costs only #.# mm",
              run, -run, 470 - run)  # fmt: skip
    page.says("√(650² − 45²) = #.#, so F = (#.#, 45.0). The wheelbase is #.# + #.# = #.# mm.",
              front, front, front, run, front + run)  # fmt: skip
    page.says("you get #.#.", round(front, 1) + round(run, 1))


def test_wheelbase(page, frame):
    page.says(r"\sqrt{565^2 - 60^2} = #.#\ \text{mm}", frame.points["front_axle"][0])
    page.says("561.8 − (−395.5) = **#.# mm**", frame.wheelbase)
    assert 7 < 400 + 565 - frame.wheelbase < 8
    page.says("would give #, nearly 8 mm", 400 + 565)


def test_fork(page):
    rise = sqrt(360**2 - 60**2)
    page.says("back: 60 · #.#### = #.# mm - down: 60 · #.#### = #.# mm", S, 60 * S, C, 60 * C)
    page.says(r"\sqrt{360^2 - 60^2} = #.#\ \text{mm}", rise)
    page.says(
        "#.# · #.#### = #.# back, #.# · #.#### = #.# up", rise, C, rise * C, rise, S, rise * S
    )
    s, c, rise = sin(radians(68)), cos(radians(68)), sqrt(440**2 - 65**2)
    other = kit.draw(seat_angle_deg=70, head_angle_deg=68, chainstay=470, bb_drop=45, wheel_radius=320,
                     fork_length=440, fork_offset=65, lower_stack=18, head_tube=200, seat_tube=450,
                     front_centre=650)  # fmt: skip
    page.says("head angle 68° (sine #.####, cosine #.####)", s, c)
    page.says("S: 65 · #.#### = #.# back, 65 · #.#### = #.# down: (#.#, #.#).",
              s, 65 * s, c, 65 * c, *other.points["steer_foot"])  # fmt: skip
    page.says("√(440² − 65²) = #.# mm", rise)
    page.says("C: #.# · #.#### = #.# back, #.# · #.#### = #.# up: (#.#, #.#).",
              rise, c, rise * c, rise, s, rise * s, *other.points["crown"])  # fmt: skip
    page.says("From C = (#.#, #.#), head angle 68°", *other.points["crown"])
    page.says("L: 18 · #.#### = #.# back, 18 · #.#### = #.# up: (#.#, #.#).",
              c, 18 * c, s, 18 * s, *other.points["head_low"])  # fmt: skip
    page.says("218 mm from C, so #.# back and #.# up: (#.#, #.#)",
              218 * c, 218 * s, *other.points["head_high"])  # fmt: skip
    page.says("(320 · #.#### − 65) / #.#### = #.# mm. Wrongly: 320 / tan 68° − 65 = #.# mm.",
              c, s, other.trail, 320 / tan(radians(68)) - 65)  # fmt: skip


def test_head_tube_and_top_tube(page, frame):
    page.says("back, · #.#### | up, · #.####", C, S)
    page.says("| 18 mm | #.# | #.# |", 18 * C, 18 * S)
    page.says("| 18 + 95 = 113 mm | #.# | #.# |", 113 * C, 113 * S)
    page.says("#.# is the {term}`reach`, #.# the", frame.reach, frame.stack)
    page.says("#.# / tan 71° = #.# mm. So it is #.# + #.# = **#.# mm**", frame.stack,
              frame.stack / tan(radians(71)), frame.reach, frame.stack / tan(radians(71)),
              frame.top_tube_level)  # fmt: skip


def test_room_for_the_bead(page, frame):
    built = frame.place(
        top_tube=kit.TopTube(25.4, below_head_top=10, below_seat_top=10),
        down_tube=kit.DownTube(30, above_head_bottom=16),
        head_tube=34,
    )
    included = float(built.joints["down_tube-head_tube"].angle_deg)
    x0, y0 = frame.points["head_low"]
    x, y = x0 - 16 * C - 17 * S, y0 + 16 * S - 17 * C
    far, slope = hypot(x, y), degrees(atan2(y, x))
    half = degrees(asin(15 / far))
    page.says("*x* = #.# − 16 · #.#### − 17 · #.#### = #.#, *y* = #.# + 16 · #.#### − 17 · #.#### = #.#.",
              x0, C, S, x, y0, S, C, y)  # fmt: skip
    page.says("√(#.#² + #.#²) = #.# mm; the slope has the tangent #.# / #.#, which is #.#°",
              x, y, far, y, x, slope)  # fmt: skip
    page.says("sine = 15 / #.#, #.#°. It lies above, so add it: the down tube slopes #.#°",
              far, half, slope + half)  # fmt: skip
    page.says("180 − 69 − #.# = **#.#°**", slope + half, included)
    page.says("180 − 69 − #.# = #.#°: #.#° wrong", slope, 180 - 69 - slope, half)
    page.says("The included angle of #.#° goes straight into", included)
    assert 180 - 69 - slope - half == pytest.approx(included, abs=1e-9)


def test_trail_and_toes(page, frame):
    page.says("(320 · #.#### − 60) / #.#### = #.# / #.#### = **#.# mm**",
              C, S, frame.mechanical_trail, S, frame.trail)  # fmt: skip
    page.says("meets the ground #.# ahead of the contact; that is the trail", frame.trail)
    page.says("the contact is #.# from it, the mechanical trail", frame.mechanical_trail)
    page.says(r"565 - 165 - 320 = #\ \text{mm}", frame.toe_clearance(165, 0))
    page.says("our frame, with # in side view, has # by the rule", frame.toe_clearance(165, 0),
              pedal_to_tyre(frame, 165, 150))  # fmt: skip
    page.says("asks for # mm or more", kit.TOE_CLEARANCE_US)
    page.says("89 + 165 + 320 = # mm. Or cranks of # mm", 89 + 165 + 320, 565 - 320 - 89)
    assert kit.draw(front_centre=574, **draw.REST).toe_clearance(165, 0) == pytest.approx(89)
    assert frame.toe_clearance(156, 0) == pytest.approx(89)


def test_what_moves(page, frame, rider):
    tables = {"front centre held": frame, "reach and stack held": kit.draw(**rider)}
    rows = {"1° head angle": "head_angle_deg", "1 mm offset": "fork_offset", "1 mm drop": "bb_drop"}
    for held, one in tables.items():
        said = f"*{held}* | | | |"
        values = []
        for row, name in rows.items():
            said += f" | {row} | +#.# | +#.# | +#.# |"
            values += [one.sensitivity(of, name) for of in ("trail", "wheelbase", "reach")]
        page.says(said, *values)
    slack = kit.draw(**{**rider, "head_angle_deg": 67})
    gap, more = frame.toe_clearance(165, 0), slack.toe_clearance(165, 0)
    page.says("The gap grows by # mm, from # to #. Trail grows too, from # to #.# mm",
              more - gap, gap, more, frame.trail, slack.trail)  # fmt: skip
    gained = kit.draw(**rider).sensitivity(lambda f: f.toe_clearance(165, 0), "fork_offset")
    assert gained > 0  # more offset opens the gap a little more
    assert 2.5 < -frame.sensitivity("trail", "head_angle_deg") / 2 < 3.5  # half a degree, 3 mm


def test_three_sets_of_givens(page, frame, rider):
    along = sqrt(360**2 - 60**2) + 18 + 95
    page.says("355.0 + 18 + 95 = #.# mm along the axis. That runs #.# · #.#### = #.# mm forward; "
              "the offset adds #.# mm. So F is at #.# + #.# + #.# = #.#, as it was",
              along, along, C, along * C, 60 * S, frame.reach, along * C, 60 * S,
              frame.reach + along * C + 60 * S)  # fmt: skip
    for given in ("wheelbase", "top_tube_level", "reach"):
        one = kit.draw(**{given: getattr(frame, given)}, **draw.REST)
        assert one.front_centre == pytest.approx(565, abs=1e-6)
    higher = kit.draw(**{**rider, "stack": frame.stack + 12})
    axle, back = higher.points["front_axle"][0], 12 / tan(radians(69))
    page.says("95 + 12 / #.#### = #.# mm. The top would come back by 12 / tan 69° = #.# mm, so the "
              "axle moves forward by #.# mm to #.#, and the front centre grows to √(#.#² + 60²) = #.# mm",
              S, higher.head_tube, back, back, axle, axle, higher.front_centre)  # fmt: skip


def test_checks_mistakes_and_bench(page, frame):
    (ax, ay), (hx, hy) = frame.points["rear_axle"], frame.points["head_high"]
    page.says("√((#.# + #.#)² + (#.# − 60)²) = #.# mm", hx, -ax, hy, hypot(hx - ax, hy - ay))
    page.says("stand # mm high instead of #", 320 + 60, frame.bb_height)
    page.says("Here that would be # mm", 360 - sqrt(360**2 - 60**2))
    page.says("half a degree over 470 mm is # mm", 470 * radians(0.5))


def test_the_walk_closes(frame):
    lines = draw.steps(frame).splitlines()
    assert len(lines) == 8
    assert lines[-1].split() == ["sum:", "forward", "0.0", "up", "0.0"]
    assert np.allclose(
        np.sum([[float(v) for v in line.split()[3::2]] for line in lines[:-1]], axis=0),
        0,
        atol=0.15,
    )
