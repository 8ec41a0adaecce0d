"""The lesson on miter angles: each number its page prints, and the answers worked again in space.

The answers are found without `coursekit.miters`: a line of the tube is walked in three dimensions until it
meets the other tube.
"""

from __future__ import annotations

from math import acos, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy.optimize import brentq

from coursekit import miters, tubes
from coursekit.book.sliders import miter_angles as figure
from coursekit.classroom.bank import own_numbers

SLUG = "miter-angles"
TUBE, HEAD, SHELL, ANGLE, WALL, LENGTH = 25.4, 31.8, 38.1, 62.0, 0.9, 585.0
S, C = sin(radians(ANGLE)), cos(radians(ANGLE))


def walked(r, R, angle_deg, phi_deg, offset=0.0):
    """Distance along the tube to where its line at φ leaves the other tube, whose axis is upright."""
    lean, phi = radians(angle_deg), radians(phi_deg)
    axis = np.array([-sin(lean), 0.0, -cos(lean)])
    start = r * cos(phi) * np.array([-cos(lean), 0.0, sin(lean)]) + [0, r * sin(phi) + offset, 0]

    def outside(t):
        x, y, _ = start + t * axis
        return hypot(x, y) - R

    return brentq(outside, -start[0] / axis[0], 400, xtol=1e-12)


def z(r, R, angle_deg, phi_deg):
    s, c = sin(radians(angle_deg)), cos(radians(angle_deg))
    return (sqrt(R**2 - (r * sin(radians(phi_deg))) ** 2) - r * cos(radians(phi_deg)) * c) / s


# What the page prints


def test_setup_of_the_page(page):
    values = "#.#, #.#, #.#, #.#, #.#, #.#"
    page.says(f"tube, head, shell, angle, wall, centre_length = {values}",
              TUBE, HEAD, SHELL, ANGLE, WALL, LENGTH)  # fmt: skip
    assert (figure.TUBE, figure.INTO) == (TUBE, HEAD)


def test_corners_swing_and_saw(page):
    page.says("180° − 73° = #°", 180 - 73)
    page.says("90° − 62° = #°", miters.mill_setting_deg(ANGLE))
    page.says("90° − 33° = #°", miters.mill_setting_deg(33))
    page.says("1 1/4 in is #.## mm", 1.25 * 25.4)
    page.says("1 1/2 in is #.# mm by name", 1.5 * 25.4)


def test_three_lines(page):
    r, R = TUBE / 2, HEAD / 2
    page.says("*r* = #.# mm, *R* = #.# mm and θ = 62° (cos θ = #.####, sin θ = #.####)", r, R, C, S)
    for row, phi in (("obtuse side, 0° | (15.9 − 12.7 · 0.4695) / 0.8829", 0),
                     ("flank, 90° | √(15.9² − 12.7²) / 0.8829", 90),
                     ("acute side, 180° | (15.9 + 12.7 · 0.4695) / 0.8829", 180)):  # fmt: skip
        page.says(f"| {row} | #.# mm |", walked(r, R, ANGLE, phi))
    page.says("cos 70° = #.####, sin 70° = #.####", cos(radians(70)), sin(radians(70)))
    page.says("- 0°: (15 − 12 · 0.3420) / 0.9397 = #.# mm", walked(12, 15, 70, 0))
    page.says("- 90°: √(225 − 144) / 0.9397 = # / 0.9397 = #.# mm", 9, walked(12, 15, 70, 90))
    page.says("- 180°: (15 + 12 · 0.3420) / 0.9397 = #.# mm", walked(12, 15, 70, 180))


def test_template(page):
    page.says("π · 25.4 = #.# mm", pi * TUBE)
    page.says("π · 22.2 = #.# mm. The quarter is #.# mm, the half #.# mm",
              pi * 22.2, pi * 22.2 / 4, pi * 22.2 / 2)  # fmt: skip
    page.says("stands at #.# mm at 0 degrees, dips to #.# at 45 and #.# at 90, rises through #.# at "
              "135 to #.# at 180", *(walked(12.7, 15.9, ANGLE, p) for p in (0, 45, 90, 135, 180)))  # fmt: skip


def test_inside_edge(page):
    back = [walked(11.8, 15.9, ANGLE, p) - walked(12.7, 15.9, ANGLE, p) for p in (0, 90, 180)]
    page.says("12.7 − 0.9 = #.# mm", TUBE / 2 - WALL)
    page.says("#.# mm on the obtuse side, #.# mm at the ears", *back[:2])
    assert back[2] == pytest.approx(-back[0])
    bore = miters.cut(tubes.Round(TUBE, WALL), miters.Joint(HEAD, ANGLE)).bore
    assert bore[90] == pytest.approx(walked(11.8, 15.9, ANGLE, 90), abs=1e-9)


def test_two_ends(page):
    top, under = (walked(12.7, 15.9, ANGLE, p) for p in (0, 180))
    ears = sqrt(19.05**2 - 12.7**2)
    page.says(r"\sqrt{19.05^2 - 12.7^2} = #.#\ \text{mm}", ears)
    page.says("585 − #.# − #.# = #.# mm long", top, ears, LENGTH - top - ears)
    page.says("585 − #.# − #.# = #.# mm, so the upper side is #.# mm longer",
              under, ears, LENGTH - under - ears, under - top)  # fmt: skip
    whole = miters.two_ended(
        TUBE, LENGTH, miters.Joint(HEAD, ANGLE), miters.Joint(SHELL, 90, turned_deg=90)
    )
    assert (whole.side(0), whole.side(180)) == pytest.approx(
        (LENGTH - top - ears, LENGTH - under - ears)
    )
    assert whole.phase_deg == pytest.approx(90)


def test_one_degree(page):
    page.says(r"\frac{1°}{57.3°} \cdot 585\ \text{mm} = #.#\ \text{mm}", LENGTH * tan(radians(1)))
    page.says("wrong by one degree, drawn ten times too large. At the far end the two are #.# mm apart",
              LENGTH * tan(radians(1)))  # fmt: skip
    page.says("0.5 / 57.3 · 540 = #.# mm", 540 * tan(radians(0.5)))


def test_shoulders(page):
    for thin, more in ((28.6, "#.#"), (31.8, "#.#"), (34.9, "#.##")):
        page.says(f"(36 − {thin})/2 = {more} mm", (36 - thin) / 2)
    page.says("a 25.4 mm tube leaves a shoulder of #.# mm a side, the corner opens # degrees",
              (HEAD - TUBE) / 2, 90 + degrees(acos(sqrt(1 - (TUBE / HEAD) ** 2))))  # fmt: skip
    page.says("a 31 mm tube leaves #.# mm, the corner opens # degrees",
              (HEAD - 31) / 2, 90 + degrees(acos(sqrt(1 - (31 / HEAD) ** 2))))  # fmt: skip


def test_beside_the_middle(page):
    toward, other = (walked(9.5, 19.05, 90, p, offset=6.0) for p in (90, 270))
    page.says("√(19.05² − 15.5²) = #.# mm", toward)
    page.says("√(19.05² − 3.5²) = #.# mm. And *e* may be 19.05 − 9.5 = #.## mm", other, 19.05 - 9.5)
    _, stay = miters.saddle(19.0, SHELL, 90, offset=6.0)
    assert (stay[90], stay[270]) == pytest.approx((toward, other), abs=1e-9)


def test_two_tubes_at_once(page):
    page.says("(14.3 + 12.7 · 0.5) / #.### = #.# mm and the shell for #.# mm",
              sin(radians(60)), walked(12.7, 14.3, 60, 180), sqrt(19.05**2 - 12.7**2))  # fmt: skip
    page.says("On the flanks the shell asks for #.# mm", SHELL / 2)
    page.says("(15 + 15 · #.####) / #.#### = #.# mm",
              cos(radians(65)), sin(radians(65)), walked(15, 15, 65, 180))  # fmt: skip
    page.says("√(400 − 225) = #.# mm. The seat tube rules, by # mm",
              sqrt(175), walked(15, 15, 65, 180) - sqrt(175))  # fmt: skip
    joints = [miters.Joint(SHELL, 90, turned_deg=90), miters.Joint(28.6, 60, turned_deg=180)]
    touches = miters.cluster(TUBE, joints, end="b").touches
    assert touches[[0, 90, 180, 270]].tolist() == [1, 0, 0, 0]
    assert 45 < np.argmin(touches[:180]) < 55  # "about fifty degrees"


def test_bench_and_mistakes(page):
    cut = [walked(12.7, 15.9, ANGLE, p) for p in range(181)]
    page.says("For the lesson's tube it is #.# mm", max(cut) - min(cut))
    page.says("sin 62° is #.##. If yours says #.##", S, sin(62))


# The exercise


def worked_again(n):
    """Every answer but the choice, by walking in space or by plane trigonometry."""
    r, R, shell = n["tube_diameter"] / 2, n["head_diameter"] / 2, n["shell_diameter"] / 2
    at = {p: walked(r, R, n["angle_deg"], p) for p in (0, 45, 90, 135, 180)}
    end = walked(r, shell, 90, 90)
    return {
        "mill-setting": degrees(acos(sin(radians(n["angle_deg"])))),
        "cutter": 2 * R, "wrap-length": 2 * pi * r,
        "obtuse-side": at[0], "acute-side": at[180], "flank": at[90], "shell-end": end,
        "upper-side": n["centre_length"] - at[0] - end,
        "one-degree": n["centre_length"] * tan(radians(1)),
        "ordinates": tuple(at.values()),
    }  # fmt: skip


def test_answers_are_those_walked_in_space(exercise, key):
    for i in range(60):
        n = own_numbers.draw(exercise, key, b"walked", f"student-{i}")
        found = own_numbers.answers(exercise, key, n)
        for id, value in worked_again(n).items():
            assert found[id] == pytest.approx(value, abs=1e-9), (id, n)
        assert found["phase"] == "quarter"


def test_the_ears_stand_a_quarter_turn_apart(exercise, key):
    """Least reach round the tube: on the flanks at the head, on top and underside at the shell."""
    n = own_numbers.draw(exercise, key, b"walked", "student-0")
    r, R, shell = n["tube_diameter"] / 2, n["head_diameter"] / 2, n["shell_diameter"] / 2
    head = [z(r, R, n["angle_deg"], p) for p in range(360)]
    top_is_90 = [z(r, shell, 90, p + 90) for p in range(360)]
    assert abs(int(np.argmin(head[:180])) - 90) < 45
    assert int(np.argmin(top_is_90)) in (0, 180)
