"""Every number that the page on the frame drawing prints of its own frame and of its try-its."""

from __future__ import annotations

import tomllib
from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest

from coursekit import frame as kit
from coursekit.book import worked_frame
from coursekit.buildable import pedal_to_tyre
from coursekit.figures import frame_drawing as draw

SLUG = "frame-drawing"
S, C = sin(radians(72.5)), cos(radians(72.5))


@pytest.fixture(scope="module")
def tables(root):
    """The worked frame's file as it stands."""
    return tomllib.loads((root / worked_frame.FILE).read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def rest(tables):
    return {k: v for k, v in tables["drawing"].items() if k != "front_centre"}


@pytest.fixture(scope="module")
def frame(tables):
    return kit.draw(**tables["drawing"])


@pytest.fixture(scope="module")
def rider(rest, frame):
    """The same frame, driven by what the rider touches."""
    return {k: v for k, v in rest.items() if k != "head_tube"} | {
        "reach": frame.reach, "stack": frame.stack,
    }  # fmt: skip


def test_the_pages_frame_is_the_worked_frame(page, tables, rest):
    """Its dimensions as the page prints them, by name or in a sum, are those of the file."""
    own, tubes = tables["drawing"], tables["tubes"]
    assert sorted(draw.GIVEN) == sorted(rest)
    page.says("on wheels of # mm radius", own["wheel_radius"])
    page.says(
        "# mm long in a straight line. It rises by the drop, # mm", own["chainstay"], own["bb_drop"]
    )
    page.says("from B to the front axle F: # mm", own["front_centre"])
    page.says("the lower bearing, here # mm: the lower stack. After it come # mm of head tube",
              own["lower_stack"], own["head_tube"])  # fmt: skip
    page.says("Here that is # mm, measured up the rear of the head tube. The head tube is # mm thick, the "
              "down tube #.# mm", tubes["down_tube"]["above_head_bottom"], tubes["head_tube"]["diameter"],
              tubes["down_tube"]["diameter"])  # fmt: skip
    page.says(r"\sqrt{#^2 - #^2} = 377.3", own["fork_length"], own["fork_offset"])
    page.says("# · cos #° = 163.7 mm behind B", own["seat_tube"], own["seat_angle_deg"])
    page.says("180 − #.# − 48.1", own["head_angle_deg"])
    page.says("595 - # - 340", tables["bench"]["crank"])


def test_points(page, frame):
    for letter, name in (("A", "rear_axle"), ("T", "seat_top"), ("F", "front_axle"), ("S", "steer_foot"),
                         ("C", "crown"), ("L", "head_low"), ("H", "head_high")):  # fmt: skip
        page.says(f"{letter} = (#.#, #.#)**", *frame.points[name])
    x, y = frame.points["seat_top"]
    page.says("Which of the eight points can lie at (#, #), and which at", x, y)
    page.says("and which at (#, #)?", *frame.points["front_axle"])
    page.says("What do you find at (0, #)?", -frame.bb_height)
    page.says(r"\sqrt{425^2 - 70^2} = #.#\ \text{mm}", sqrt(425**2 - 70**2))
    page.says("70 − 340 = #. The bottom bracket stands # mm", 70 - 340, frame.bb_height)
    page.says("560 · cos 73° = #.# mm behind B and 560 · sin 73° = #.# mm above", -x, y)


def test_axles_of_the_other_rear(page):
    run, front = sqrt(470**2 - 45**2), sqrt(650**2 - 45**2)
    page.says("√(470² − 45²) = #.# mm behind, 45 mm up: (#.#, 45.0). The slope costs only #.# mm",
              run, -run, 470 - run)  # fmt: skip
    page.says("√(650² − 45²) = #.#, so F = (#.#, 45.0). The wheelbase is #.# + #.# = #.# mm.",
              front, front, front, run, front + run)  # fmt: skip
    page.says("you get #.#.", round(front, 1) + round(run, 1))


def test_wheelbase(page, frame):
    page.says(r"\sqrt{595^2 - 70^2} = #.#\ \text{mm}", frame.points["front_axle"][0])
    page.says("590.9 − (−419.2) = **#.# mm**", frame.wheelbase)
    assert 9.5 < 425 + 595 - frame.wheelbase < 10
    page.says("would give #, nearly 10 mm", 425 + 595)


def test_fork(page):
    rise = sqrt(380**2 - 45**2)
    page.says("back: 45 · #.#### = #.# mm - down: 45 · #.#### = #.# mm", S, 45 * S, C, 45 * C)
    page.says(r"\sqrt{380^2 - 45^2} = #.#\ \text{mm}", rise)
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
    page.says("| 12 mm | #.# | #.# |", 12 * C, 12 * S)
    page.says("| 12 + 145 = 157 mm | #.# | #.# |", 157 * C, 157 * S)
    page.says("#.# is the {term}`reach`, #.# the", frame.reach, frame.stack)
    page.says("#.# / tan 73° = #.# mm. So it is #.# + #.# = **#.# mm**", frame.stack,
              frame.stack / tan(radians(73)), frame.reach, frame.stack / tan(radians(73)),
              frame.top_tube_level)  # fmt: skip


def test_room_for_the_bead(page, frame):
    built = frame.place(
        top_tube=kit.TopTube(25.4, below_head_top=10, below_seat_top=10),
        down_tube=kit.DownTube(31.8, above_head_bottom=12),
        head_tube=36,
    )
    included = float(built.joints["down_tube-head_tube"].angle_deg)
    x0, y0 = frame.points["head_low"]
    x, y = x0 - 12 * C - 18 * S, y0 + 12 * S - 18 * C
    far, slope = hypot(x, y), degrees(atan2(y, x))
    half = degrees(asin(15.9 / far))
    page.says("*x* = #.# − 12 · #.#### − 18 · #.#### = #.#, *y* = #.# + 12 · #.#### − 18 · #.#### = #.#.",
              x0, C, S, x, y0, S, C, y)  # fmt: skip
    page.says("√(#.#² + #.#²) = #.# mm; the slope has the tangent #.# / #.#, which is #.#°",
              x, y, far, y, x, slope)  # fmt: skip
    page.says("sine = 15.9 / #.#, #.#°. It lies above, so add it: the down tube slopes #.#°",
              far, half, slope + half)  # fmt: skip
    page.says("180 − 72.5 − #.# = **#.#°**", slope + half, included)
    page.says("180 − 72.5 − #.# = #.#°: #.#° wrong", slope, 180 - 72.5 - slope, half)
    page.says("The included angle of #.#° goes straight into", included)
    assert 180 - 72.5 - slope - half == pytest.approx(included, abs=1e-9)


def test_trail_and_toes(page, frame, rest):
    page.says("(340 · #.#### − 45) / #.#### = #.# / #.#### = **#.# mm**",
              C, S, frame.mechanical_trail, S, frame.trail)  # fmt: skip
    page.says("meets the ground #.# ahead of the contact; that is the trail", frame.trail)
    page.says("the contact is #.# from it, the mechanical trail", frame.mechanical_trail)
    page.says(r"595 - 170 - 340 = #\ \text{mm}", frame.toe_clearance(170, 0))
    page.says("our frame, with # in side view, has # by the rule", frame.toe_clearance(170, 0),
              pedal_to_tyre(frame, 170, 150))  # fmt: skip
    page.says("asks for # mm or more", kit.TOE_CLEARANCE_US)
    page.says("89 + 170 + 340 = # mm. Or cranks of # mm", 89 + 170 + 340, 595 - 340 - 89)
    assert kit.draw(front_centre=599, **rest).toe_clearance(170, 0) == pytest.approx(89)
    assert frame.toe_clearance(166, 0) == pytest.approx(89)


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
    slack = kit.draw(**{**rider, "head_angle_deg": 70.5})
    gap, more = frame.toe_clearance(170, 0), slack.toe_clearance(170, 0)
    page.says("The gap grows by # mm, from # to #. Trail grows too, from # to #.# mm",
              more - gap, gap, more, frame.trail, slack.trail)  # fmt: skip
    gained = kit.draw(**rider).sensitivity(lambda f: f.toe_clearance(170, 0), "fork_offset")
    assert gained > 0  # more offset opens the gap a little more
    assert 2.5 < -frame.sensitivity("trail", "head_angle_deg") / 2 < 3.5  # half a degree, 3 mm


def test_three_sets_of_givens(page, frame, rest, rider):
    along = sqrt(380**2 - 45**2) + 12 + 145
    page.says("377.3 + 12 + 145 = #.# mm along the axis. That runs #.# · #.#### = #.# mm forward; "
              "the offset adds #.# mm. So F is at #.# + #.# + #.# = #.#, as it was",
              along, along, C, along * C, 45 * S, frame.reach, along * C, 45 * S,
              frame.reach + along * C + 45 * S)  # fmt: skip
    for given in ("wheelbase", "top_tube_level", "reach"):
        one = kit.draw(**{given: getattr(frame, given)}, **rest)
        assert one.front_centre == pytest.approx(595, abs=1e-6)
    higher = kit.draw(**{**rider, "stack": frame.stack + 12})
    axle, back = higher.points["front_axle"][0], 12 / tan(radians(72.5))
    page.says("145 + 12 / #.#### = #.# mm. The top would come back by 12 / tan 72.5° = #.# mm, so the "
              "axle moves forward by #.# mm to #.#, and the front centre grows to √(#.#² + 70²) = #.# mm",
              S, higher.head_tube, back, back, axle, axle, higher.front_centre)  # fmt: skip


def test_checks_mistakes_and_bench(page, frame):
    (ax, ay), (hx, hy) = frame.points["rear_axle"], frame.points["head_high"]
    page.says("√((#.# + #.#)² + (#.# − 70)²) = #.# mm", hx, -ax, hy, hypot(hx - ax, hy - ay))
    page.says("stand # mm high instead of #", 340 + 70, frame.bb_height)
    page.says("On this frame the difference is #.# mm", 380 - sqrt(380**2 - 45**2))
    page.says("half a degree over 530 mm is #.# mm", 530 * radians(0.5))
    page.says("ends # mm **above** B and right in *x*. The drop was # mm", 2 * 70, 70)


def test_the_walk_closes(frame):
    lines = draw.steps(frame).splitlines()
    assert len(lines) == 8
    assert lines[-1].split() == ["sum:", "forward", "0.0", "up", "0.0"]
    assert np.allclose(
        np.sum([[float(v) for v in line.split()[3::2]] for line in lines[:-1]], axis=0),
        0,
        atol=0.15,
    )
