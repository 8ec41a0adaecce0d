"""Every number that the page on shop maths prints: of its text, its figures' words and its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed.
"""

from __future__ import annotations

import tomllib
from cmath import exp
from math import asin, atan, cos, degrees, hypot, isqrt, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from coursekit import miters, readings, uncertainty, units

SLUG = "shop-maths"
FOUR, THREE = [0.82, 0.90, 0.86, 0.94], [1.00, 1.06, 1.12]
u = readings.division_uncertainty


def sixty_fourths(length):
    return length / units.INCH * 64


def test_the_pages_frame_is_the_worked_frame(page, root):
    """Angle, stay and drop as its file has them; the down tube from the file's points in the plane."""
    file = tomllib.loads((root / "course/worked-frame.toml").read_text(encoding="utf-8"))
    own, tubes = file["drawing"], file["tubes"]
    page.says("a seat angle of #°", own["seat_angle_deg"])
    page.says("The chainstay of our frame is # mm long, and its rear end lies # mm higher",
              own["chainstay"], own["bb_drop"])  # fmt: skip
    turn, drop = radians(own["head_angle_deg"]), own["bb_drop"]
    up, square = complex(-cos(turn), sin(turn)), complex(sin(turn), cos(turn))
    axle = complex(sqrt(own["front_centre"] ** 2 - drop**2), drop)
    rise = sqrt(own["fork_length"] ** 2 - own["fork_offset"] ** 2) + own["lower_stack"]
    low = axle - own["fork_offset"] * square + rise * up
    edge = (
        low
        + tubes["down_tube"]["above_head_bottom"] * up
        - tubes["head_tube"]["diameter"] / 2 * square
    )
    along = edge / abs(edge) * exp(1j * asin(tubes["down_tube"]["diameter"] / 2 / abs(edge)))
    # from the origin along the tube to the head tube's axis: no part of what is left lies across it
    length = (low / up).imag / (along / up).imag
    page.says("But the tube is #.# mm long on the drawing", length)


def test_inches(page):
    page.says("An inch is #.# mm, exactly; it has been defined so since 1959. So an inch size times #.# gives",
              units.INCH, units.INCH)  # fmt: skip
    page.says(r"1\tfrac{1}{2}\ \text{in} = 1.5 \times 25.4 = #.#\ \text{mm}", units.mm("1 1/2 in"))
    page.says(
        "past 1 1/2 inch, the quarters with the longest strokes. Below, millimetres from 25 past 40."
    )
    page.says("A line across the tape at 1 1/2 inch meets the millimetre side a little beyond 38, at #.# mm.",
              units.mm("1 1/2 in"))  # fmt: skip
    page.says("Strokes are 1/16 in above and 1 mm below.")
    page.says("**#.# the wrong way round.**", units.INCH)
    page.says("What is 7/16 in, in millimetres? What is 50 mm, in inches?")
    page.says("7 / 16 = #.####; times 25.4 is #.## mm. And 50 / 25.4 = #.### in, a little less than two",
              units.mm("7/16 in") / units.INCH, units.mm("7/16 in"), 50 / units.INCH)  # fmt: skip
    assert units.mm("1.5 in") == pytest.approx(1.5 * 25.4) == pytest.approx(units.mm("1 1/2 in"))


def test_the_nearest_sixty_fourth(page):
    page.says("a caliper says #.# mm, and the shelf is sorted in inches. Divide by #.#, then",
              44.6, units.INCH)  # fmt: skip
    page.says("44.6 / 25.4 × 64 = #.#. The nearest whole number is #, and 112/64 = 1 48/64 = 1 3/4 in.",
              sixty_fourths(44.6), sixty_fourths(44.6))  # fmt: skip
    assert units.fraction(44.6) == "1 3/4 in"
    assert 112 / 64 == 1 + 48 / 64 == pytest.approx(units.mm("1 3/4 in") / units.INCH)
    one = units.mm("1/64 in")
    page.says("One sixty-fourth is #.### mm, so the nearest one is never further off than #.# mm.",
              one, one / 2)  # fmt: skip
    page.says("A tube measures #.# mm. Which inch size", 22.3)
    page.says("22.3 / 25.4 × 64 = #.#, nearest #. 56/64 = 7/8 in, which is #.### mm.",
              sixty_fourths(22.3), sixty_fourths(22.3), units.mm("7/8 in"))  # fmt: skip
    assert units.fraction(22.3) == "7/8 in" and 56 / 64 == 7 / 8
    assert units.mm("7/8 in") == pytest.approx(22.225, abs=1e-9)  # all its digits


def test_gauges(page):
    page.says("20 BWG is #.### in, #.### mm; 20 SWG is #.### in, #.### mm. 22 is #.### in in both.",
              units.BWG[20], units.mm("20 BWG"), units.SWG[20], units.mm("20 SWG"), units.BWG[22])  # fmt: skip
    assert units.BWG[22] == units.SWG[22]
    more = units.mm("20 SWG") - units.mm("20 BWG")
    page.says("Is #.### mm worth a thought? On a wall of 0.9 mm it is # %.", more, 100 * more / 0.9)
    page.says("For a tube of 1 in × 22 BWG:")
    page.says(r"25.4 - 2 \times #.### = #.##\ \text{mm}",
              units.mm("22 BWG"), units.mm("1 in") - 2 * units.mm("22 BWG"))  # fmt: skip
    page.says("A tube of 1 in is marked 18. What is its bore by BWG (#.### in) and by SWG (#.### in)?",
              units.BWG[18], units.SWG[18])  # fmt: skip
    page.says("BWG: 25.4 − 2 × #.### = #.## mm. SWG: 25.4 − 2 × #.### = #.## mm.",
              units.mm("18 BWG"), 25.4 - 2 * units.mm("18 BWG"),
              units.mm("18 SWG"), 25.4 - 2 * units.mm("18 SWG"))  # fmt: skip


def test_the_words_of_the_figure_of_gauges(page):
    thicker = {
        g: round(1000 * (units.mm(f"{g} BWG") - units.mm(f"{g} SWG"))) for g in range(16, 25)
    }
    page.says("Bars for gauge numbers 16 to 24")
    page.says("16, 18 and 23 plus #; 17 and 19 plus #; 20 minus #; 21, 22 and 24 zero.",
              thicker[16], thicker[17], -thicker[20])  # fmt: skip
    assert thicker[16] == thicker[18] == thicker[23] and thicker[17] == thicker[19]
    assert thicker[21] == thicker[22] == thicker[24] == 0
    page.says("from #.## mm at 16 to #.## mm at 24", units.mm("16 BWG"), units.mm("24 BWG"))
    page.says("The difference changes its sign at 20")
    assert [g for g, more in thicker.items() if more < 0] == [20]


def test_a_rise_over_300(page):
    page.says(r"\text{rise} = 300 \cdot \tan(\text{angle})")
    page.says("a seat angle of #°. Its tangent is #.###, so the line rises 300 × #.### = #.# mm.",
              73, tan(radians(73)), tan(radians(73)), units.rise(73))  # fmt: skip
    page.says("An angle is a rise over 300 mm")
    page.says("but with two lengths: 300 mm along the base")
    page.says("Set out your seat line by its rise over 300 mm.")
    page.says("A base of 300 mm and an upright line")
    page.says("72 degrees rises #.# mm, 73 degrees #.# mm, 74 degrees #.# mm",
              *(units.rise(a) for a in (72, 73, 74)))  # fmt: skip
    low, high = units.rise(73) - units.rise(72), units.rise(74) - units.rise(73)
    page.says("One degree of a seat line is # to # mm of rise.", low, high)
    page.says(
        "**tan 45 must be #.** If it says #.##, it is set to radians", tan(radians(45)), tan(45)
    )
    page.says("tan 45 is #. - **Degrees times millimetres.**", tan(radians(45)))
    page.says("angle = arctan(rise / 300)")
    page.says("at 60° rise over 300 mm? A line rises 1020 mm over 300: what is its angle?")
    page.says("300 × tan 60° = 300 × #.### = #.# mm. And arctan(1020 / 300) = arctan #.# = #.#°.",
              tan(radians(60)), units.rise(60), 1020 / 300, degrees(atan(1020 / 300)))  # fmt: skip


def test_right_triangles(page):
    leg = sqrt(425**2 - 70**2)
    page.says(r"\sqrt{425^2 - 70^2} = #.#\ \text{mm}", leg)
    page.says("The chainstay, 425 mm, runs down")
    page.says(
        "The level leg above it is #.# mm, the upright leg at the right is the drop, 70 mm.", leg
    )
    page.says("The level leg is only #.# mm shorter than the stay", 425 - leg)
    page.says("A plank of 500 mm leans on a wall and reaches 300 mm high.")
    page.says(
        "√(500² − 300²) = √# = # mm: sides 3, 4 and 5", 500**2 - 300**2, isqrt(500**2 - 300**2)
    )
    assert hypot(3, 4) == 5 and 3 + 4 + 5 == 12  # "a string in twelve parts"


def test_far_away(page):
    miss = miters.far_end(627.1, 0.5)
    page.says("But the tube is #.# mm long on the drawing", 627.1)
    page.says(
        r"\approx \frac{\delta}{57.3}\, L = \frac{0.5}{57.3} \times 627.1 = #.#\ \text{mm}", miss
    )
    assert miss == pytest.approx(0.5 / 57.3 * 627.1, abs=0.01)
    page.says("degrees divided by #.#, times the length. (#.# is the number of degrees in a radian, 180 / π.",
              180 / pi, 180 / pi)  # fmt: skip
    assert tan(radians(0.5)) == pytest.approx(radians(0.5), abs=5e-6)  # "the same to five digits"
    page.says("**a degree is # mm on 573 mm**", miters.far_end(573, 1))
    assert miters.far_end(573, 1) == pytest.approx(10, abs=0.005)
    assert miters.far_end(31.8, 0.5) == pytest.approx(0.25, abs=0.03)  # "a quarter of a millimetre"
    page.says("A tube 627.1 mm long on an upright tube")
    page.says("its far end is #.# mm higher", 627.1 * tan(radians(0.5)))
    page.says("Half a degree at the miter, #.# mm at the far end", miss)
    page.says(
        "if the far end may miss by 1 mm, the angle may be off by 57.3 / 627.1 = #.##°",
        57.3 / 627.1,
    )
    assert miters.far_end(627.1, 57.3 / 627.1) == pytest.approx(1, abs=0.001)
    page.says("A tube is 480 mm long, and its miter is 0.2° off.")
    page.says("may the miter be for 0.5 mm?")
    page.says("0.2 / 57.3 × 480 = #.# mm. And 0.5 / 480 × 57.3 = #.##°.",
              miters.far_end(480, 0.2), degrees(atan(0.5 / 480)))  # fmt: skip
    page.says("Divide by #.# first", 180 / pi)


def test_what_the_bench_can_hold(page):
    page.says("A rule with half millimetres can't tell 30.4 from 30.6.")
    assert round(2 * 30.4) == round(2 * 30.6) == 2 * 30.5  # the nearest stroke of both
    page.says(r"\frac{\text{half a division}}{\sqrt 3} = #.## \times \text{division}", u(1))
    assert u(1) == pytest.approx(0.5 / sqrt(3))
    page.says("For the rule #.## mm, for a caliper with 0.05 mm divisions #.### mm, for a protractor with half degrees #.##°, which is #.# mm on our down tube.",
              u(0.5), u(0.05), u(0.5), miters.far_end(627.1, u(0.5)))  # fmt: skip
    page.says("*#.## mm* for a bore is honest", units.mm("1 in") - 2 * units.mm("22 BWG"))
    page.says("A tape has strokes at 1 mm.")
    page.says("0.29 × 1 = #.## mm. For the difference read on: √(#.##² + #.##²) = #.## mm.",
              u(1), u(1), u(1), uncertainty.combined(u(1), u(1)))  # fmt: skip


def test_errors_together(page):
    together = uncertainty.combined
    page.says("#.# mm, #.# mm and #.# mm, as they usually do. Together #.# mm?",
              1.2, 0.9, 0.8, 1.2 + 0.9 + 0.8)  # fmt: skip
    page.says(r"\sqrt{1.2^2 + 0.9^2 + 0.8^2} = #.#\ \text{mm}", together(1.2, 0.9, 0.8))
    assert hypot(1.2, 0.9, 0.8) == pytest.approx(1.7, abs=1e-12)  # all its digits
    page.says("Full lines at plus and minus #.# mm, the root sum square, enclose",
              together(1.2, 0.9, 0.8))  # fmt: skip
    page.says("Dashed lines at plus and minus #.# mm, the plain sum", 1.2 + 0.9 + 0.8)
    page.says(
        "the misses of 4000 tubes made up by chance, highest at zero and thin beyond 4 mm to either side"
    )
    page.says("Halve the largest, 1.2 to #.#, and #.# becomes #.##. Halve the smallest, and it becomes #.##.",
              1.2 / 2, together(1.2, 0.9, 0.8), together(0.6, 0.9, 0.8), together(1.2, 0.9, 0.4))  # fmt: skip
    page.says("Two errors of 0.6 mm and 0.8 mm. Together?")
    page.says("√(#.## + #.##) = #.# mm. Always the same way: #.# mm",
              0.6**2, 0.8**2, together(0.6, 0.8), 0.6 + 0.8)  # fmt: skip


def test_a_heap_of_tubes(page):
    page.says("Four thousand tubes, each with three chance errors. Two in three lie within")
    share = np.mean(np.abs(np.random.default_rng(5).normal(0, 1.7, 100_000)) < 1.7)
    assert share == pytest.approx(2 / 3, abs=0.02)


def test_readings(page):
    found = readings.mean_of(FOUR)
    off = [x - found.value for x in FOUR]
    page.says("the same spot: #.##, #.##, #.##, #.## mm.", *FOUR)
    page.says("The mean is #.##. How well is it known?", found.value)
    page.says("Differences from the mean: #.##, #.##, #.##, #.##. Squared and added: #.####.",
              *off, sum(d * d for d in off))  # fmt: skip
    page.says("Over one **less** than their number, #, and the root: #.### mm.",
              len(FOUR) - 1, found.scatter)  # fmt: skip
    page.says(
        "Over the root of their number, √4 = #: #.### mm.", sqrt(len(FOUR)), found.uncertainty
    )
    assert sqrt(sum(d * d for d in off) / 3) == pytest.approx(found.scatter)
    page.says("Four dots at #.##, #.##, #.## and #.## mm. Below them the mean, #.##, drawn twice",
              *sorted(FOUR), found.value)  # fmt: skip
    page.says(
        "once with a bar of plus and minus #.### mm, the scatter of one reading", found.scatter
    )
    page.says("half as long, plus and minus #.### mm, for the mean", found.uncertainty)
    three = readings.mean_of(THREE)
    page.says("Three readings: #.##, #.##, #.## mm. Mean", *THREE)
    page.says("Mean #.##. Squares #.#### + # + #.#### = #.####; over # and rooted #.## mm. Over √3: #.### mm.",
              three.value, 0.06**2, 0, 0.06**2, 2 * 0.06**2, 2, three.scatter, three.uncertainty)  # fmt: skip
    assert three.value == pytest.approx(1.06) and three.scatter == pytest.approx(0.06)
