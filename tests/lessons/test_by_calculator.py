"""Each core exercise solved from its page alone with a pocket calculator: rounded on the way, still right.

Sines and cosines have four digits, what is written down has the digits that the exercise asks for, and the
next sum goes on from what was written down.
"""

from __future__ import annotations

from math import asin, atan, cos, degrees, hypot, radians, sin, sqrt, tan

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.running.plain_value import plain

STUDENTS = 300


def of(function, angle):
    return round(function(radians(angle)), 4)


def mm(value):
    return round(value, 1)


def fine(value):
    return round(value, 3)


def frame_drawing(n):
    """Follow the page on the frame drawing, step by step."""
    s, c, drop = of(sin, n["head_angle_deg"]), of(cos, n["head_angle_deg"]), n["bb_drop"]
    rear = (-mm(sqrt(n["chainstay"] ** 2 - drop**2)), drop)
    top = (
        -mm(n["seat_tube"] * of(cos, n["seat_angle_deg"])),
        mm(n["seat_tube"] * of(sin, n["seat_angle_deg"])),
    )
    front = (mm(sqrt(n["front_centre"] ** 2 - drop**2)), drop)
    foot = (mm(front[0] - n["fork_offset"] * s), mm(drop - n["fork_offset"] * c))
    rise = mm(sqrt(n["fork_length"] ** 2 - n["fork_offset"] ** 2))

    def up(start, way):
        return mm(start[0] - way * c), mm(start[1] + way * s)

    crown = up(foot, rise)
    low, high = up(crown, n["lower_stack"]), up(crown, n["lower_stack"] + n["head_tube"])
    half = n["head_diameter"] / 2
    edge = mm(low[0] - n["bead_room"] * c - half * s), mm(low[1] + n["bead_room"] * s - half * c)
    tilted = asin(n["down_tube_diameter"] / 2 / mm(hypot(*edge)))
    slope = mm(degrees(atan(edge[1] / edge[0]))) + mm(degrees(tilted))
    new = mm(front[0] + n["more_stack"] / of(tan, n["head_angle_deg"]) + n["more_reach"])
    trails = [
        (n["wheel_radius"] * of(cos, a) - n["fork_offset"]) / of(sin, a)
        for a in (n["head_angle_deg"] + more for more in (-1, 0, 1))
    ]
    return {
        "rear": [rear, top], "front-axle": [front], "wheelbase": mm(front[0] - rear[0]),
        "fork": [foot, crown], "head-tube-ends": [low, high],
        "top-tube-level": mm(high[0] + high[1] / of(tan, n["seat_angle_deg"])),
        "down-tube": mm(180 - n["head_angle_deg"] - slope), "trail": mm(trails[1]),
        "pedal-gap": n["front_centre"] - n["crank"] - n["wheel_radius"], "steeper": "less-same",
        "other-givens": [mm(n["head_tube"] + n["more_stack"] / s), mm(sqrt(new**2 + drop**2))],
        "trail-table": [mm(t) for t in trails],
    }  # fmt: skip


def miter_angles(n):
    """Follow the page on miter angles."""
    r, R, end = n["tube_diameter"] / 2, n["head_diameter"] / 2, n["shell_diameter"] / 2
    s, c = of(sin, n["angle_deg"]), of(cos, n["angle_deg"])

    def z(phi):
        return mm((sqrt(R**2 - (r * of(sin, phi)) ** 2) - r * of(cos, phi) * c) / s)

    shell = mm(sqrt(end**2 - r**2))
    return {
        "mill-setting": 90 - n["angle_deg"], "cutter": n["head_diameter"],
        "wrap-length": mm(3.14 * n["tube_diameter"]),
        "obtuse-side": z(0), "acute-side": z(180), "flank": z(90), "shell-end": shell,
        "underside": mm(n["centre_length"] - z(180) - shell), "phase": "quarter",
        "one-degree": mm(n["centre_length"] / 57.3), "ordinates": [z(p) for p in (0, 45, 90, 135, 180)],
    }  # fmt: skip


def tack_order(n):
    """Follow the page on tack order, with 57.3 for the arc tangent as its words say."""
    one, two = n["after_one"], n["after_two"]
    tilt, hold = fine(one / n["tube_length"] * 57.3), fine((one - two) / one)
    pulls = [fine(tilt * hold**k) for k in range(4)]
    left = fine(hypot(pulls[0] - pulls[1], pulls[2] - pulls[3]))
    pairs = [(2.10, 0.86), (2.46, 0.90), (1.78, 0.74), (2.30, 0.84), (1.94, 0.70), (one, two)]
    return {
        "toward": "non-drive", "first-tilt": tilt, "hold": hold, "pulls": pulls,
        "clock": [fine(pulls[0] - pulls[2]), fine(pulls[1] - pulls[3])],
        "order-four": ["0°", "180°", "90°", "270°"], "left": left,
        "tip": round(n["tube_length"] * left / 57.3, 2), "which-first": "plane",
        "class-hold": fine(sum(a * (a - b) for a, b in pairs) / sum(a * a for a, _ in pairs)),
        "order-six": ["0°", "180°", "240°", "60°", "120°", "300°"],
    }  # fmt: skip


FACTOR = ((0.02, 1.17), (0.04, 1.20), (0.06, 1.23), (0.08, 1.24), (0.10, 1.26), (0.12, 1.27),
          (0.14, 1.27), (0.16, 1.28))  # fmt: skip


def alignment_checks(n):
    """Follow the page on alignment checks, with 57.3 for the arc tangent and the nearest row of its table."""
    places = (100, 200, 300, 400)
    up, down = ([n[f"seat_{way}_{x}"] for x in places] for way in ("up", "down"))
    halves = [fine((a - b) / 2) for a, b in zip(up, down, strict=True)]
    mean = fine(sum(halves) / 4)
    lean = fine(sum((x - 250) * h for x, h in zip(places, halves, strict=True)) / 500)
    start = fine(mean - 2.5 * lean)
    low, high = (fine((n[f"head_up_{e}"] - n[f"head_down_{e}"]) / 2) for e in ("low", "high"))
    twist = fine((high - low) / 100 * 57.3 - lean / 100 * 57.3)
    size, guard = abs(twist), fine(1.645 * 0.024)
    verdict = "within" if size <= 0.2 - guard else "outside" if size >= 0.2 + guard else "undecided"
    first, stays = (
        mm(2 * 517 * n["lever"] ** 2 / (3 * 205_000 * 28.6)),
        abs(lean) * n["lever"] / 100,
    )
    factor = min(FACTOR, key=lambda row: abs(row[0] - stays / first))[1]
    pull = mm(stays + factor * first)
    return {
        "turned-over": "gauge", "halves": halves,
        "gauge": fine(sum((a + b) / 2 for a, b in zip(up, down, strict=True)) / 4),
        "line": [start, lean], "top": fine(start + lean * n["to_top"] / 100),
        "top-u": fine(0.028 * sqrt(1 / 4 + (n["to_top"] - 250) ** 2 / 50_000)), "twist": twist, "decide": verdict,
        "string": fine((n["gap_drive"] - n["gap_other"]) / 2 / (1 - fine(n["to_seat"] / n["to_head"]))),
        "pull": -pull if lean > 0 else pull, "stop": "ash",
    }  # fmt: skip


@pytest.mark.parametrize("solve", [frame_drawing, miter_angles, tack_order, alignment_checks])
def test_a_calculator_is_enough(root, solve):
    public = exercises.load(solve.__name__.replace("_", "-"), root)
    private = keys.load(public, root)
    for i in range(STUDENTS):
        n = own_numbers.draw(public, private, b"by calculator", f"student-{i}")
        values = {id: plain(v) for id, v in solve(n).items()}
        solved = [m for m in mark(public, private, n, values) if m.question in values]
        assert len(solved) == len(values)
        for m in solved:
            if m.question == "order-six":  # pairs spread round: the page's own advice
                assert m.marks >= 0.9 * m.out_of
            else:
                assert m.marks == m.out_of, (m, n, solve(n)[m.question])
