"""Every number that the page on heat and filler prints: of text and tables, its figures' words, its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed.
"""

from __future__ import annotations

import tomllib
from math import pi
from pathlib import Path

import pytest

from coursekit import brazing
from coursekit.materials import STEEL_4130

SLUG = "heat-and-filler"
WARMS = 88.0  # K a second, a wall of 1 mm under the figure's invented flame
PASTE, BORATE = "FB3-A", "FB3-D"
TUBES = tomllib.loads((Path(__file__).parents[2] / "course/worked-frame.toml").read_text("utf-8"))[
    "tubes"
]
SHELL, WALL = TUBES["shell"]["wall"], TUBES["seat_tube"]["walls"][0]
ROUND, SEAT = TUBES["shell"]["diameter"], TUBES["seat_tube"]["diameter"]


@pytest.fixture(scope="module")
def joint():
    return brazing.fillet(SEAT, ROUND, 90.0, 5.0)


def across(rod):
    return pi / 4 * rod**2


def hot(wall, seconds):
    return 20 + WARMS * seconds / wall


def melts(name):
    metal = brazing.filler(name)
    return (metal.solidus, metal.liquidus, *metal.working)


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("BAg-7", "56 % silver, with tin"),
        ("BAg-24", "50 % silver, with nickel"),
        ("BAg-5", "45 % silver"),
        ("RBCuZn-C", "low-fuming brass"),
        ("RBCuZn-D", "nickel silver (no silver in it)"),
    ],
    ids=str,
)
def test_the_table_of_fillers(page, name, what):
    page.says(f"| {name} | {what} | # | # | #–# |", *melts(name))
    parts = brazing.filler(name).parts
    if "silver" in what and "nickel silver" not in what:
        assert what.startswith(f"{parts['Ag']:g} %")
    else:
        assert "Ag" not in parts
    assert "Cd" not in parts


def test_what_melts_when(page):
    page.says("the filler melts above 450 °C and below the steel")
    assert min(melts(name)[0] for name in brazing.fillers) > 450
    page.says(r"\frac{\text{°F} - 32}{1.8}")
    page.says("take off 32, then divide by 1.8. A brass that is liquid at 1630 °F is liquid at # / 1.8 = # °C.",
              1630 - 32, brazing.celsius(1630))  # fmt: skip
    assert brazing.celsius(1630) == pytest.approx((1630 - 32) / 1.8)
    page.says('A packet says "liquidus 1205 °F".')
    page.says("(1205 − 32) / 1.8 = # °C: BAg-7.", brazing.celsius(1205))
    assert [n for n in brazing.fillers if abs(melts(n)[1] - brazing.celsius(1205)) < 1] == ["BAg-7"]


def test_the_words_of_the_thermometer(page):
    ranges = {
        name: (melts(name)[0], melts(name)[3])
        for name in ("BAg-7", "BAg-24", "BAg-5", "RBCuZn-C", "RBCuZn-D")
    }
    page.says("BAg-7 from # to # °C, BAg-24 from # to #, BAg-5 from # to #, RBCuZn-C from # to #, RBCuZn-D from # to #.",
              *(end for both in ranges.values() for end in both))  # fmt: skip
    paste, borate = brazing.flux(PASTE), brazing.flux(BORATE)
    page.says("fluoride paste from # to # °C, borate paste from # to #.",
              paste.low, paste.high, borate.low, borate.high)  # fmt: skip


def test_margins(page):
    paste, borate = brazing.flux(PASTE), brazing.flux(BORATE)
    silver = brazing.match("BAg-7", PASTE)
    page.says("Fluoride paste with BAg-7: # − # = # °C below, # − # = # °C above. It covers.",
              melts("BAg-7")[0], paste.low, silver.below,
              paste.high, melts("BAg-7")[3], silver.above)  # fmt: skip
    assert silver.covers
    brass = brazing.match("RBCuZn-C", PASTE)
    page.says("With brass the margin above is # − # = # °C: the paste is used up",
              paste.high, melts("RBCuZn-C")[3], brass.above)  # fmt: skip
    assert not brass.covers
    page.says("Borate paste (# to # °C) with BAg-7:", borate.low, borate.high)
    cold = brazing.match("BAg-7", BORATE)
    page.says("BAg-7: below # − # = # °C, so", melts("BAg-7")[0], borate.low, cold.below)
    nickel = brazing.match("RBCuZn-D", BORATE)
    page.says("RBCuZn-D: # below, # above, it covers.", nickel.below, nickel.above)
    assert nickel.covers and not cold.covers


def test_thick_and_thin(page):
    share = brazing.heat_share(SHELL, WALL, STEEL_4130)
    page.says("The shell of our frame has a wall of #.# mm, the seat tube that stands on it #.# mm. So the shell takes #.# times",
              SHELL, WALL, SHELL / WALL)  # fmt: skip
    assert share == pytest.approx(SHELL / (SHELL + WALL))
    page.says(r"\frac{#.#}{#.# + #.#} = #.###", SHELL, SHELL, WALL, share)
    page.says("More than three quarters of the heat belong to the shell.")
    assert 0.75 < share < 0.8
    page.says("The ratio of the two shares, #.### to #.###, is how many times as long the flame dwells: #.# times",
              share, 1 - share, SHELL / WALL)  # fmt: skip
    assert share / (1 - share) == pytest.approx(SHELL / WALL)
    assert abs(SHELL / WALL - 3.5) < 0.06  # "every other time one shell more"
    stay = TUBES["chainstay"]["wall"]
    page.says(
        "A dropout 6 mm thick is brazed into our chainstay, which has a wall of #.# mm.", stay
    )
    dropout = brazing.heat_share(6.0, stay, STEEL_4130)
    page.says("6 / #.# = #.###, which leaves #.### for the stay; #.### / #.### = #.# times as long.",
              6 + stay, dropout, 1 - dropout, dropout, 1 - dropout, 6 / stay)  # fmt: skip


def test_two_walls_under_one_flame(page):
    low, high = brazing.filler("RBCuZn-C").working
    page.says(
        "The wall of 0.9 mm passes the band where brass brazes after 10 seconds and shoots on."
    )
    assert 9 < (low - 20) * WALL / WARMS < (high - 20) * WALL / WARMS < 10
    page.says("The wall of #.# mm climbs less than a third as fast and is at # °C after 30 seconds.",
              SHELL, round(hot(SHELL, 30), -1))  # fmt: skip
    assert WALL / SHELL < 1 / 3
    page.says("The thin one passes through the band in half a second.")
    assert (high - low) * WALL / WARMS == pytest.approx(0.45, abs=0.005)


def test_a_fillet(page, joint):
    page.says(r"\text{leg}^2 \left(1 - \frac{\pi}{4}\right) = #.###\, \text{leg}^2", 1 - pi / 4)
    assert brazing.bead_area(1) == pytest.approx(1 - pi / 4)
    page.says("With a leg of 5 mm that is #.### mm².", brazing.bead_area(5))
    page.says("touches both faces 6 mm from the corner; the leg of 6 mm is marked.")
    page.says("Once round our seat tube a strip of paper along the corner measures # mm. So the fillet holds #.### × 94 = # mm³.",
              joint.line, brazing.bead_area(5), brazing.bead_area(5) * 94)  # fmt: skip
    rod = brazing.bead_area(5) * 94 / across(2)
    page.says(
        "A rod of 2 mm has π/4 × 2² = #.## mm² across; the fillet eats # mm of it.", across(2), rod
    )
    page.says("Lay out a quarter more for what goes astray, # mm", 1.25 * rod)
    page.says("The kit follows the corner round and gets # mm³ for our seat tube of #.# mm on the shell of # mm.",
              joint.volume, SEAT, ROUND)  # fmt: skip
    assert joint.volume < brazing.bead_area(5) * 94  # "on the safe side"


def test_twice_the_leg(page):
    page.says("Twice the leg is **four** times the rod")
    assert brazing.bead_area(8) == pytest.approx(4 * brazing.bead_area(4))
    rods = [brazing.fillet(SEAT, ROUND, 90.0, leg).rod_length(2.0) for leg in (4.0, 8.0)]
    page.says(
        "over its leg from 2 to 9 mm. At a leg of 4 mm # mm of rod, at 8 mm # mm, more than four times",
        *rods,
    )
    assert rods[1] > 4 * rods[0]
    page.says("Our seat tube, square on the shell, rod of 2 mm.")


def test_half_the_leg(page):
    page.says("a leg of 2.5 mm: what area, and what length of a 1.6 mm rod")
    small = brazing.bead_area(2.5)
    page.says("#.#### × #.## = #.## mm²; times 94 is # mm³; over π/4 × 1.6² = #.## mm²: # mm.",
              1 - pi / 4, 2.5**2, small, small * 94, across(1.6), small * 94 / across(1.6))  # fmt: skip


def test_the_frame_is_brazed_in_the_order_in_which_it_is_tacked(root, page):
    """Joint after joint as the lesson on tacking numbers them in its figure's words."""
    order = (
        "seat tube to shell",
        "top tube to seat tube",
        "down tube to shell",
        "down tube and top tube to the head tube",
        "the stays",
    )
    at = [
        page.text.index(words, page.text.index("A frame is brazed joint by joint"))
        for words in order
    ]
    assert at == sorted(at)
    tacks = " ".join((root / "course" / "tack-order.md").read_text("utf-8").split())
    numbered = (
        "1: seat tube into the shell",
        "2: top tube to the seat tube",
        "3: down tube to the shell",
        "the closing joints",
        "Stays come after",
    )
    where = [tacks.index(words, tacks.index("joints numbered")) for words in numbered]
    assert where == sorted(where)
