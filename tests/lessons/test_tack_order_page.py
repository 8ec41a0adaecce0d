"""Every number that the page on tack order prints of its own joint and of its try-its.

Pulls are complex numbers here, in plane real, across imaginary; `coursekit.tacks` is not asked. The frame's numbers
are read from its file.
"""

from __future__ import annotations

import re
import tomllib
from ast import literal_eval
from cmath import exp, phase
from itertools import permutations
from math import asin, atan, degrees, pi, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

SLUG = "tack-order"
FRAME = tomllib.loads((Path(__file__).parents[2] / "course/worked-frame.toml").read_text("utf-8"))
FIRST, HOLD, LENGTH = 3.0, FRAME["bench"]["tack_hold"], FRAME["drawing"]["seat_tube"]
PULLS = FIRST * HOLD ** np.arange(6)
CLOCK, PAIRS, NEIGHBOURS = (0, 90, 180, 270), (0, 180, 90, 270), (0, 270, 90, 180)


def tilt(*order, first=FIRST, hold=HOLD):
    return sum(first * hold**k * exp(1j * pi * a / 180) for k, a in enumerate(order))


def share(*order):
    return abs(tilt(*order, first=1.0))


def lean(offset, length):
    return degrees(atan(offset / length))


def down_tube():
    """Length of the worked frame's down tube from axis to axis, by complex numbers on its drawing."""
    drawing, tubes = FRAME["drawing"], FRAME["tubes"]
    up = exp(1j * pi * (1 - drawing["head_angle_deg"] / 180))  # along the steering axis
    axle = sqrt(drawing["front_centre"] ** 2 - drawing["bb_drop"] ** 2) + 1j * drawing["bb_drop"]
    foot = axle + 1j * up * drawing["fork_offset"]  # square to it, back from the front axle
    rise = sqrt(drawing["fork_length"] ** 2 - drawing["fork_offset"] ** 2) + drawing["lower_stack"]
    low = foot + rise * up
    edge = low + up * (
        tubes["down_tube"]["above_head_bottom"] + 1j * tubes["head_tube"]["diameter"] / 2
    )
    lies = phase(edge) + asin(
        tubes["down_tube"]["diameter"] / 2 / abs(edge)
    )  # its lower edge goes there
    return (low / up).imag / (exp(1j * lies) / up).imag


def test_tilt_and_offset(page):
    page.says("first, hold, length = #.#", FIRST)
    page.says("touches it at its top, # mm above the centre of the shell", LENGTH)
    page.says("The far end, # mm up, is # mm off", LENGTH, FIRST)
    page.says(r"\arctan\frac{#.##}{#} = #.##°", FIRST, LENGTH, lean(FIRST, LENGTH))
    page.says("On the # mm of our tube one degree is #.# mm, so #.##° is # mm",
              LENGTH, LENGTH * tan(pi / 180), lean(FIRST, LENGTH), FIRST)  # fmt: skip
    down = down_tube()
    page.says(
        "our down tube, #.# mm from the joint, and over our head tube, # mm",
        down,
        FRAME["drawing"]["head_tube"],
    )
    page.says("1.4 / 320 · 57.3 = #.##°. On the down tube 0.25 · #.# mm / 57.3 = #.# mm. On the head tube #.# mm",
              lean(1.4, 320), down, 1.4 / 320 * down, 1.4 / 320 * FRAME["drawing"]["head_tube"])  # fmt: skip
    page.says("1 mm at # mm is a tenth of a degree", LENGTH)
    assert f"{lean(1, LENGTH):.1f}" == "0.1"


def test_hold_and_fading_pulls(page):
    page.says(r"\frac{3.00 - 1.20}{3.00} = #.##", (3.0 - 1.2) / 3.0)
    page.says("#.##, #.##, #.##, #.##, #.## and #.## mm. Each is 0.6", *PULLS)
    page.says("(0.80 − 0.36) / 0.80 = 0.44 / 0.80 = #.##. Third pull: 0.44 · 0.55 = #.## mm",
              0.44 / 0.80, 0.44 * 0.55)  # fmt: skip


def test_arrows_of_two_orders(page):
    clock, pairs = tilt(*CLOCK), tilt(*PAIRS)
    page.says(
        "in plane: #.## to the rear, #.## to the front; left +#.## mm",
        PULLS[0],
        PULLS[2],
        clock.real,
    )
    page.says("across: #.## to the drive side, #.## to the non-drive side; left +#.## mm",
              PULLS[1], PULLS[3], clock.imag)  # fmt: skip
    page.says("√(#.##² + #.##²) = #.## mm", clock.real, clock.imag, abs(clock))
    page.says("would come to #.## mm", PULLS[:4].sum())
    page.says(
        "in plane: #.## to the rear, #.## to the front; left +#.## mm",
        PULLS[0],
        PULLS[1],
        pairs.real,
    )
    page.says(
        "across: #.## and #.## against each other; left +#.## mm", PULLS[2], PULLS[3], pairs.imag
    )
    page.says("√(#.##² + #.##²) = #.## mm", pairs.real, pairs.imag, abs(pairs))
    page.says("end at #.## mm in plane and #.## mm across, #.## mm from the start",
              clock.real, clock.imag, abs(clock))  # fmt: skip
    page.says(
        "the end is at #.## and #.## mm, #.## mm from the start", pairs.real, pairs.imag, abs(pairs)
    )


def test_three_tacks(page):
    left = tilt(0, 120, 240, first=2.0, hold=0.5)
    page.says("In plane: 2.00 − #.## − #.## = #.## mm. Across: #.## − #.## = #.## mm. Size √(#.##² + #.##²) = #.## mm",
              0.5, 0.25, left.real, sqrt(0.75), 0.5 * sqrt(0.75), left.imag, left.real, left.imag, abs(left))  # fmt: skip
    for order in permutations((0, 120, 240)):
        assert abs(tilt(*order, first=2.0, hold=0.5)) == pytest.approx(abs(left))


def test_three_families(page):
    page.says("leave #.### of the first pull", share(*PAIRS))
    page.says("like 0–90–180–270, leaves #.###", share(*CLOCK))
    page.says("like 0–270–90–180, leaves #.###: nearly twice", share(*NEIGHBOURS))
    page.says("At a hold of 0.6 they stand at #.##, #.## and #.##",
              share(*NEIGHBOURS), share(*CLOCK), share(*PAIRS))  # fmt: skip
    families = {round(share(*o), 9) for o in permutations(CLOCK)}
    assert len(families) == 3
    own = tilt(90, 0, 270, 180)
    page.says("In plane 1.80 − 0.65 = +#.## mm, across 3.00 − 1.08 = +#.## mm; size #.## mm",
              own.real, own.imag, abs(own))  # fmt: skip


def test_which_pair(page):
    page.says("in its own direction, #.## mm. The second pair leaves *q*² times that, #.## mm",
              FIRST * (1 - HOLD), FIRST * (1 - HOLD) * HOLD**2)  # fmt: skip


def test_six_and_eight_tacks(page):
    six = range(0, 360, 60)
    spread, best = share(0, 180, 240, 60, 120, 300), min(share(*o) for o in permutations(six))
    page.says("Round the clock leaves #.###", share(*six))
    page.says("0–180–60–240–120–300, leave #.###; pairs spread round leave #.###.",
              share(0, 180, 60, 240, 120, 300), spread)  # fmt: skip
    page.says("A search through all 720 finds #.###", best)
    assert FIRST * (spread - best) == pytest.approx(0.25, abs=0.005)  # "a quarter of a millimetre"
    page.says("#.### for 0–180–135–315–225–45–270–90, and #.### for round the clock",
              share(0, 180, 135, 315, 225, 45, 270, 90), share(*range(0, 360, 45)))  # fmt: skip


def test_the_class(page):
    """The slope and its uncertainty by sums, Student's factor by scipy."""
    record = literal_eval(re.search(r"record = (\[.*?\) ,? ?\]|\[.*?\), \])", page.text)[1])
    x = np.array([a for a, _ in record])
    y = x - [b for _, b in record]
    slope = x @ y / (x @ x)
    scatter = sqrt(((y - slope * x) ** 2).sum() / (len(x) - 1))
    spread, sure = scatter / sqrt(x @ x), stats.t.ppf(0.975, len(x) - 1)
    page.says("#.## / #.## = #.##", x @ y, x @ x, slope)
    page.says("The points scatter by #.## mm about the line", scatter)
    page.says("a standard uncertainty of #.##: in 95 of 100 such classes the true one lies within #.##",
              spread, sure * spread)  # fmt: skip
    page.says("the second pull can easily be #.# mm off the line", sure * scatter)
    page.says(":::{dropdown} Solution #.##, half of the others'. Its second pull, #.## mm, lies #.# mm below",
              (3.0 - 2.1) / 3.0, 3.0 - 2.1, slope * 3.0 - 0.9)  # fmt: skip
    assert slope * 3.0 - 0.9 > 10 * scatter
