"""The lesson on miter angles: each number its page prints, and the answers worked again in space.

The answers are found without `coursekit.miters`: a line of the tube is walked in three dimensions until it
meets the other tube.
"""

from __future__ import annotations

import tomllib
from math import acos, asin, atan2, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from coursekit import miters, tubes
from coursekit.book import worked_frame
from coursekit.classroom.bank import own_numbers
from coursekit.figures import miter_angles as draw

SLUG = "miter-angles"
# the worked frame's numbers as the page prints them; `test_setup_of_the_page` holds them to its file
TUBE, HEAD, SHELL, ANGLE, WALL, LENGTH = 31.8, 36.0, 40.0, 59.4, 0.9, 627.1
SEAT, SEAT_ANGLE, STAY, STAY_ANGLE, BESIDE = 28.6, 58.9, 14.0, 49.7, 6.9
R1, R2, END = TUBE / 2, HEAD / 2, SHELL / 2
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


def included(one, other):
    """The sharp angle between two directions, degrees."""
    return degrees(acos(abs(np.dot(one, other)) / np.linalg.norm(one) / np.linalg.norm(other)))


def test_setup_of_the_page(page, root):
    """The tubes are the file's; angles and lengths are found again from its dimensions in the plane."""
    file = tomllib.loads((root / "course/worked-frame.toml").read_text(encoding="utf-8"))
    own, tubes = file["drawing"], file["tubes"]
    sizes = [
        tubes[name]["diameter"]
        for name in ("down_tube", "head_tube", "shell", "seat_tube", "seatstay")
    ]
    assert sizes == [TUBE, HEAD, SHELL, SEAT, STAY]
    assert tubes["down_tube"]["walls"][2] == WALL
    page.says("a down tube of #.# mm and a head tube of # mm that meet at #.#°, and a shell of # mm",
              TUBE, HEAD, ANGLE, SHELL)  # fmt: skip
    head, seat, drop = (
        radians(own["head_angle_deg"]),
        radians(own["seat_angle_deg"]),
        own["bb_drop"],
    )
    up, ahead = np.array([-cos(head), sin(head)]), np.array([sin(head), cos(head)])
    axle = np.array([sqrt(own["front_centre"] ** 2 - drop**2), drop])
    rise = sqrt(own["fork_length"] ** 2 - own["fork_offset"] ** 2) + own["lower_stack"]
    low = axle - own["fork_offset"] * ahead + rise * up
    edge = low + tubes["down_tube"]["above_head_bottom"] * up - R2 * ahead
    slope = atan2(edge[1], edge[0]) + asin(R1 / hypot(*edge))
    along = np.array([cos(slope), sin(slope)])
    lean = np.array([-cos(seat), sin(seat)])
    assert included(along, up) == pytest.approx(ANGLE, abs=0.05)
    assert included(along, lean) == pytest.approx(SEAT_ANGLE, abs=0.05)
    far, _ = np.linalg.solve(np.column_stack([along, -up]), low)
    assert far == pytest.approx(LENGTH, abs=0.05)
    stay = tubes["seatstay"]
    top = (own["seat_tube"] - stay["below_seat_top"]) * lean
    rear = np.array([-sqrt(own["chainstay"] ** 2 - drop**2), drop])
    start = np.array([*top, stay["apart_at_seat_tube"] / 2])
    way = np.array([*rear, stay["apart_at_axle"] / 2]) - start
    post = np.array([*lean, 0])
    assert included(way, post) == pytest.approx(STAY_ANGLE, abs=0.05)
    square = np.cross(way, post)
    assert abs(np.dot(start, square)) / np.linalg.norm(square) == pytest.approx(BESIDE, abs=0.05)


def test_corners_swing_and_saw(page):
    page.says("180° − 73° = #°", 180 - 73)
    page.says("90° − 59.4° = #.#°", miters.mill_setting_deg(ANGLE))
    page.says("swung #.# degrees from it, which leaves #.# degrees", 90 - ANGLE, ANGLE)
    page.says("90° − 33° = #°", miters.mill_setting_deg(33))
    page.says("1 3/8 in is #.# mm, and 1 7/16 in is #.# mm", 1.375 * 25.4, 1.4375 * 25.4)
    page.says("1 1/2 in is #.# mm by name", 1.5 * 25.4)


def test_three_lines(page):
    page.says(
        "*r* = #.# mm, *R* = #.# mm and θ = 59.4° (cos θ = #.####, sin θ = #.####)", R1, R2, C, S
    )
    for row, phi in (("obtuse line (upper side), φ = 0° | (18.0 − 15.9 · 0.5090) / 0.8607", 0),
                     ("flank, φ = 90° | √(18.0² − 15.9²) / 0.8607", 90),
                     ("acute line (underside), φ = 180° | (18.0 + 15.9 · 0.5090) / 0.8607", 180)):  # fmt: skip
        page.says(f"| {row} | #.# mm |", walked(R1, R2, ANGLE, phi))
    page.says("cos 70° = #.####, sin 70° = #.####", cos(radians(70)), sin(radians(70)))
    page.says("- obtuse line: (15 − 12 · 0.3420) / 0.9397 = #.# mm", walked(12, 15, 70, 0))
    page.says("- flank: √(225 − 144) / 0.9397 = # / 0.9397 = #.# mm", 9, walked(12, 15, 70, 90))
    page.says("- acute line: (15 + 12 · 0.3420) / 0.9397 = #.# mm", walked(12, 15, 70, 180))


def test_template(page):
    page.says("π · 31.8 = #.# mm. A quarter of that, #.# mm", pi * TUBE, pi * TUBE / 4)
    page.says("π · 22.2 = #.# mm. The quarter is #.# mm, the half #.# mm",
              pi * 22.2, pi * 22.2 / 4, pi * 22.2 / 2)  # fmt: skip
    page.says("stands at #.# mm on the underside, falls through #.# at 45 degrees to #.# on the drive side, is "
              "#.# at 135 and #.# on the upper side", *(walked(R1, R2, ANGLE, 180 - line)
                                                        for line in (0, 45, 90, 135, 180)))  # fmt: skip


def test_inside_edge(page):
    back = [walked(R1 - WALL, R2, ANGLE, p) - walked(R1, R2, ANGLE, p) for p in (0, 90, 180)]
    page.says("15.9 − 0.9 = #.# mm", R1 - WALL)
    page.says("#.# mm on the obtuse side, #.# mm at the ears", *back[:2])
    assert back[2] == pytest.approx(-back[0])
    bore = miters.cut(tubes.Round(TUBE, WALL), miters.Joint(HEAD, ANGLE)).bore
    assert bore[90] == pytest.approx(walked(R1 - WALL, R2, ANGLE, 90), abs=1e-9)


def test_two_ends(page):
    top, under = (walked(R1, R2, ANGLE, p) for p in (0, 180))
    ears = sqrt(END**2 - R1**2)
    page.says(r"\sqrt{20.0^2 - 15.9^2} = #.#\ \text{mm}", ears)
    page.says("627.1 − #.# − #.# = #.# mm long", under, ears, LENGTH - under - ears)
    page.says("627.1 − #.# − #.# = #.# mm, so the upper side would be #.# mm longer",
              top, ears, LENGTH - top - ears, under - top)  # fmt: skip
    whole = miters.two_ended(
        TUBE, LENGTH, miters.Joint(HEAD, ANGLE), miters.Joint(SHELL, 90, turned_deg=90)
    )
    assert (whole.side(0), whole.side(180)) == pytest.approx(
        (LENGTH - top - ears, LENGTH - under - ears)
    )
    assert whole.phase_deg == pytest.approx(90)


def test_the_finished_length(page):
    """From long point to long point, found by a general minimum; ear to ear is shorter."""
    nearest = minimize_scalar(lambda p: walked(R1, R2, ANGLE, p), bounds=(0, 90), method="bounded")
    shell = sqrt(END**2 - R1**2)
    page.says("√(18.0² − 15.9²) = #.# mm, while the ear is #.# mm away", nearest.fun,
              walked(R1, R2, ANGLE, 90))  # fmt: skip
    page.says(
        r"627.1 - #.# - #.# = #.#\ \text{mm}", nearest.fun, shell, LENGTH - nearest.fun - shell
    )
    page.says("627.1 − #.# − #.# = #.# mm: a tube sawn to that", walked(R1, R2, ANGLE, 90), shell,
              LENGTH - walked(R1, R2, ANGLE, 90) - shell)  # fmt: skip
    assert worked_frame.facts()["down_tube.finished"] == pytest.approx(
        LENGTH - nearest.fun - shell, abs=0.05
    )


def test_one_degree(page):
    page.says(r"\frac{1°}{57.3°} \cdot 627.1\ \text{mm} = #.#\ \text{mm}", LENGTH * tan(radians(1)))
    page.says("#.# mm long. A dashed line shows where its axis points when the cut is wrong by one degree, "
              "drawn ten times too large. At the far end the two are #.# mm apart",
              LENGTH, LENGTH * tan(radians(1)))  # fmt: skip
    page.says("0.5 / 57.3 · 540 = #.# mm", 540 * tan(radians(0.5)))


def test_shoulders(page):
    for thin, more in ((28.6, "#.#"), (31.8, "#.#"), (34.9, "#.##")):
        page.says(f"(36 − {thin})/2 = {more} mm", (36 - thin) / 2)
    page.says("a 31.8 mm tube leaves a shoulder of #.# mm a side, the corner opens # degrees",
              (HEAD - TUBE) / 2, 90 + degrees(acos(sqrt(1 - (TUBE / HEAD) ** 2))))  # fmt: skip
    page.says("a 35 mm tube leaves #.# mm, the corner opens # degrees",
              (HEAD - 35) / 2, 90 + degrees(acos(sqrt(1 - (35 / HEAD) ** 2))))  # fmt: skip


def test_beside_the_middle(page):
    toward, other = (walked(STAY / 2, SEAT / 2, STAY_ANGLE, p, offset=BESIDE) for p in (90, 270))
    page.says("*r* = #, *R* = #.#, *e* = #.# mm, and the stay meets the seat tube at #.#° (sine #.####)",
              STAY / 2, SEAT / 2, BESIDE, STAY_ANGLE, sin(radians(STAY_ANGLE)))  # fmt: skip
    page.says("√(14.3² − 13.9²) / 0.7627 = #.# mm", toward)
    page.says(
        "√(14.3² − 0.1²) / 0.7627 = #.# mm. And *e* may be 14.3 − 7 = #.# mm", other, 14.3 - 7
    )
    _, stay = miters.saddle(STAY, SEAT, STAY_ANGLE, offset=BESIDE)
    assert (stay[90], stay[270]) == pytest.approx((toward, other), abs=1e-9)


def test_two_tubes_at_once(page):
    s, c = sin(radians(SEAT_ANGLE)), cos(radians(SEAT_ANGLE))
    acute = walked(R1, SEAT / 2, SEAT_ANGLE, 180)
    page.says("Our seat tube of #.# mm stands at #.#° to the down tube", SEAT, SEAT_ANGLE)
    page.says("(14.3 + 15.9 · #.####) / #.#### = #.# mm and the shell for #.# mm",
              c, s, acute, sqrt(END**2 - R1**2))  # fmt: skip
    page.says("On the flanks the shell asks for #.# mm", END)
    page.says("(15 + 15 · #.####) / #.#### = #.# mm",
              cos(radians(65)), sin(radians(65)), walked(15, 15, 65, 180))  # fmt: skip
    page.says("√(400 − 225) = #.# mm. The seat tube rules, by # mm",
              sqrt(175), walked(15, 15, 65, 180) - sqrt(175))  # fmt: skip
    joints = [
        miters.Joint(SHELL, 90, turned_deg=90),
        miters.Joint(SEAT, SEAT_ANGLE, turned_deg=180),
    ]
    touches = miters.cluster(TUBE, joints, end="b").touches
    assert touches[[0, 90, 180, 270]].tolist() == [1, 0, 0, 0]
    assert 45 < np.argmin(touches[:180]) < 55  # "about fifty degrees"


def test_bench_and_mistakes(page):
    cut = [walked(R1, R2, ANGLE, p) for p in range(181)]
    page.says("For the lesson's tube it is #.# mm", max(cut) - min(cut))
    page.says("sin 60° is #.##. If yours says #.##", sin(radians(60)), sin(60))


def test_the_figures_lines_are_those_of_the_contract():
    """0° underside, 90° drive side, 180° upper side, 270° non-drive side, and round again."""
    said = {
        k: v.split("\n", 1)[1].replace("-\n", "").replace("\n", " ") for k, v in draw.LINES.items()
    }
    assert said == {0: "underside", 90: "drive side", 180: "upper side", 270: "non-drive side",
                    360: "underside"}  # fmt: skip
    _, along = miters.saddle(TUBE, HEAD, ANGLE)
    assert draw._from_below(along)[[0, 180, 360]] == pytest.approx(along[[180, 0, 180]])


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
        "underside": n["centre_length"] - at[180] - end,
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
    """Least reach round the tube: on the flanks at the head, on upper side and underside at the shell."""
    n = own_numbers.draw(exercise, key, b"walked", "student-0")
    r, R, shell = n["tube_diameter"] / 2, n["head_diameter"] / 2, n["shell_diameter"] / 2
    head = [z(r, R, n["angle_deg"], p) for p in range(360)]
    top_is_90 = [z(r, shell, 90, p + 90) for p in range(360)]
    assert abs(int(np.argmin(head[:180])) - 90) < 45
    assert int(np.argmin(top_is_90)) in (0, 180)
