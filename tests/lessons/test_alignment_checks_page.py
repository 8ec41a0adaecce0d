"""Every number that the page on alignment checks prints of its own frame and of its try-its.

Lines are `statistics.linear_regression`'s here and uncertainties are written out; of the kit only the
factors of its table and the exact pull are asked, which other tests hold against integration.
"""

from __future__ import annotations

import cmath
import re
import tomllib
from math import atan, degrees, hypot, pi, sqrt
from statistics import NormalDist, fmean, linear_regression

import pytest

from coursekit import alignment
from coursekit.tubes import Round
from tests.conftest import ROOT

SLUG = "alignment-checks"
PLACES = [100, 200, 300, 400]
UP, DOWN = [0.62, 0.80, 1.00, 1.18], [0.42, 0.20, 0.08, -0.14]
HALF = 0.04 / sqrt(2)
SLOPE, START = linear_regression(PLACES, [0.10, 0.30, 0.46, 0.66])
FILE = tomllib.loads((ROOT / "course" / "worked-frame.toml").read_text(encoding="utf-8"))
DRAWN, TUBES = FILE["drawing"], FILE["tubes"]
LONG = DRAWN["seat_tube"]
TOP = START + LONG * SLOPE


def known(x, half=HALF, count=4, squares=50_000.0, middle=250.0):
    return half * sqrt(1 / count + (x - middle) ** 2 / squares)


def string_ways():
    """From the rear axle to the seat and head tubes' axes along a string to the head tube's middle.

    Shell at 0, forward and up, mm; where two straight lines cross.
    """
    d = DRAWN
    axle = complex(-sqrt(d["chainstay"] ** 2 - d["bb_drop"] ** 2), d["bb_drop"])
    front = complex(sqrt(d["front_centre"] ** 2 - d["bb_drop"] ** 2), d["bb_drop"])
    up = cmath.rect(1, pi - d["head_angle_deg"] * pi / 180)
    rise = sqrt(d["fork_length"] ** 2 - d["fork_offset"] ** 2) + d["lower_stack"]
    foot = front + d["fork_offset"] * up * 1j  # the axle stands that far ahead of the axis
    way = foot + (rise + d["head_tube"] / 2) * up - axle
    seat = cmath.rect(1, pi - d["seat_angle_deg"] * pi / 180)
    share = (axle.conjugate() * seat).imag / -(way.conjugate() * seat).imag
    return share * abs(way), abs(way)


def first_yield(lever):
    return 2 * 517 * lever**2 / (3 * 205_000 * 28.6)


def test_the_book_and_the_hair(page):
    page.says("half of 24 − 16 is #.", (24 - 16) / 2)
    face = TUBES["shell"]["diameter"]
    page.says("The shell stands on a face # mm across. A hair of #.## mm", face, 0.07)
    page.says("lift the top of the seat tube, # mm away", LONG)
    page.says("0.07 · 560 / 40 = #.# mm", 0.07 * LONG / face)


def test_turned_over(page):
    halves = [(a - b) / 2 for a, b in zip(UP, DOWN, strict=True)]
    sums = [(a + b) / 2 for a, b in zip(UP, DOWN, strict=True)]
    page.says("| drive side up | #.## | #.## | #.## | #.## |", *UP)
    page.says("| drive side down | #.## | #.## | #.## | −#.## |", *DOWN[:3], -DOWN[3])
    page.says("| tube (half difference) | #.## | #.## | #.## | #.## |", *halves)
    page.says("| gauge (half sum) | #.## | #.## | #.## | #.## |", *sums)
    page.says("(1.18 + 0.14) / 2 = +#.## mm for the tube, and (1.18 − 0.14) / 2 = +#.## mm",
              halves[3], sums[3])  # fmt: skip
    page.says("(−0.30 − 0.50) / 2 = −#.## mm", (0.30 + 0.50) / 2)
    page.says("(−0.30 + 0.50) / 2 = +#.## mm", (-0.30 + 0.50) / 2)


def test_the_line(page):
    above = -150 * 0.10 - 50 * 0.30 + 50 * 0.46 + 150 * 0.66
    page.says("150 · 0.66 = #, below it 50 000. The slope is #.#####, that is **#.### mm over", above,
              above / 50_000, 100 * SLOPE)  # fmt: skip
    page.says("0.38 − 2.5 · 0.184 = **−#.## mm**", -START)
    page.says("At the top, # mm up, it is at −0.08 + 5.6 · 0.184 = **#.## mm**", LONG, TOP)
    page.says("a mean of #.## mm", fmean([0.10, 0.30, 0.46, 0.66]))
    page.says("0.184 / 100, times 57.3, is #.###°", degrees(atan(SLOPE)))
    page.says("our head tube, # mm long", DRAWN["head_tube"])
    assert 3.7 < LONG / DRAWN["head_tube"] < 4  # "nearly four times the angle"
    slope, start = linear_regression([100, 200, 300], [0.20, 0.30, 0.55])
    page.says("= #, below 20 000: #.### mm over 100 mm", -100 * 0.20 + 100 * 0.55, 100 * slope)
    page.says("0.35 − 0.35 = 0 mm, and at 400 mm #.## mm", start + 400 * slope)
    assert start == pytest.approx(0, abs=1e-12)


def test_how_well(page):
    page.says("√(0.04² + 0.04²) = #.### mm. Half of it is #.### mm", hypot(0.04, 0.04), HALF)
    page.says("In the middle #.### mm; at the top", known(250))
    page.says(
        "# mm from the middle, 0.028 · √(1/4 + 310² / 50 000) = #.### mm", LONG - 250, known(LONG)
    )
    page.says("**#.## ± #.## mm**", TOP, known(LONG))
    page.says("about twice that, #.## to #.## mm", TOP - 2 * known(LONG), TOP + 2 * known(LONG))
    off = [h - START - SLOPE * x for x, h in zip(PLACES, [0.10, 0.30, 0.46, 0.66], strict=True)]
    page.says("Ours #.## mm. That fits #.### mm", max(map(abs, off)), HALF)
    page.says("*S* = 4 · 150² = 90 000: 0.028 · √(1/4 + 310² / 90 000) = #.### mm against #.### mm",
              known(LONG, squares=90_000), known(LONG))  # fmt: skip


def test_twist(page):
    head, seat = degrees(atan(0.27 / 80)), degrees(atan(SLOPE))
    page.says("0.27 / 80, times 57.3, which is #.###°", head)
    page.says("is 0.193 − 0.105 = **#.###°**", head - seat)
    one, other = degrees(HALF * sqrt(2) / 80), degrees(HALF / sqrt(50_000))
    page.says("0.028 · √2 / 80, times 57.3, is #.###°", one)
    page.says("adds #.###°. By the right triangle #.###°", other, hypot(one, other))
    page.says("−0.10 − 0.12 = −#.##°", 0.10 + 0.12)
    page.says("−0.12 + 0.10 = −#.##°", 0.12 - 0.10)


def test_guard_bands(page):
    k = NormalDist().inv_cdf(0.95)
    page.says("Its half width is #.### standard uncertainties", k)
    page.says(r"1.645 \cdot 0.03 = #.##°", k * 0.03)
    page.says("Up to #.##° within, from #.##° outside", 0.2 - k * 0.03, 0.2 + k * 0.03)
    page.says("0.50 + 1.645 · #.### = #.## mm. It is outside", known(LONG), 0.5 + k * known(LONG))
    assert 0.5 + k * known(LONG) < TOP
    page.says("1.645 · 0.05 = #.##°. Within only up to #.##°", k * 0.05, 0.2 - k * 0.05)
    assert 0.2 - k * 0.05 < 0.14 < 0.2 + k * 0.05
    page.says("the guard band, #.## to #.## mm", 0.5 - k * 0.04, 0.5 + k * 0.04)


def test_dropouts_and_string(page):
    page.says("Together #.# mm, the spacing", 65.8 + 64.6)
    page.says("difference, #.# mm toward the drive side", (65.8 - 64.6) / 2)
    page.says("0.4 / 50, times 57.3, is #.##°", degrees(atan((3.4 - 3.0) / 50)))
    seat, head = string_ways()
    page.says("#.# mm to the seat tube and #.# mm to the head tube", seat, head)
    page.says("between the two runs of string, # from the axle, the head tube #", seat, head)
    share = 1 - seat / head
    page.says(
        "(31.0 − 29.5) / 2 = #.## mm, the share is 1 − #.# / #.# = #.###", 0.75, seat, head, share
    )
    page.says("0.75 / 0.585 = **#.# mm** off", 0.75 / share)
    page.says("makes that ± #.# mm", 0.25 / sqrt(2) / share)
    other = 1 - 420 / 945
    page.says("Half the difference −#.## mm, share 1 − 420 / 945 = #.###: −#.## mm",
              0.25, other, 0.25 / other)  # fmt: skip


def test_the_pull(page, root):
    first, stays = first_yield(320), 3.2 * 0.184
    page.says("100 mm is #.## mm at the lever", stays)
    page.says("2 · 517 · 320² / (3 · 205 000 · 28.6) = **#.# mm**", first)
    page.says("0.59 / 6.0 = #.###, *m* = 1.26, pull = 0.59 + 1.26 · #.## = **#.# mm**",
              stays / first, first, 0.59 + 1.26 * first)  # fmt: skip
    steel = Round(28.6, 0.9), 320.0, 517.0, 205_000.0
    made = alignment.cold_set(degrees(atan(SLOPE)), *steel)
    page.says("model gives #.# mm", -made.deflection)
    assert 1000 < -made.force < 1200  # "over 1000 N"
    page.says("Set 0.184 · 3.5 = #.## mm. First yield 2 · 517 · 350² / (3 · 205 000 · 28.6) = #.# mm. Ratio #.##",
              0.184 * 3.5, first_yield(350), 0.184 * 3.5 / first_yield(350))  # fmt: skip
    page.says("0.64 + 1.25 · 7.2 = #.# mm", 0.64 + 1.25 * 7.2)


def test_the_table_of_factors(root):
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    rows = re.findall(
        r"^\| (\d\.\d\d) \| (\d\.\d\d) \|$", text[text.index("tab-m") :], re.MULTILINE
    )
    assert len(rows) == 8
    for share, factor in rows:
        lean = degrees(atan(float(share) * first_yield(320) / 320))
        made = alignment.cold_set(lean, Round(28.6, 0.9), 320.0, 517.0, 205_000.0)
        assert made.moment_ratio == pytest.approx(float(factor), abs=0.005)
