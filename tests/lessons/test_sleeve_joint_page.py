"""Every number that the page on the sleeve joint prints: of its text, its figures' words and its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed. The sleeve, the tube and the post are those of the
frame that the lessons work through, read from its file.
"""

from __future__ import annotations

import re
import tomllib
from math import ceil, pi
from pathlib import Path

import numpy as np
import pytest

from coursekit import brazing, materials, sleeves

SLUG = "sleeve-joint"
ROOT = Path(__file__).resolve().parents[2]
FILE = tomllib.loads((ROOT / "course/worked-frame.toml").read_text("utf-8"))
TUBE, BORE, LAP, OUTSIDE = (FILE["sleeve"][part] for part in ("plug", "bore", "lap", "outside"))
GAP, WALL, POST = (
    (BORE - TUBE) / 2,
    FILE["tubes"]["seat_tube"]["walls"][2],
    FILE["post"]["diameter"],
)
CHROMOLY, STAINLESS = 14.6e-6, 18.6e-6  # per K, as the page gives them
WATER = 0.0728 / (998 * 9.81) * 1e6  # mm², surface tension over weight (from memory)
LOW, HIGH = brazing.filler("BAg-7").clearance


def test_the_joint_of_the_lesson(page, root):
    """The page takes the frame's numbers by their names, and draws what it takes."""
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    asked = set(re.findall(r"{fact}`([^`]+)`", text))
    assert asked == {"sleeve.plug", "sleeve.lap", "sleeve.outside", "sleeve.bore", "post.diameter", "seat_tube.wall_b"}  # fmt: skip
    for drawn in (
        'cut_open(tube, facts["seat_tube.wall_b"], gap, outside, lap, facts["post.diameter"])',
        "turning(36.0, outside, 0.6)",
        "hot(tube, gap, 26.2, 0.08)",
        "leaning(gap, lap)",
    ):
        assert f"draw.{drawn};" in text
    page.says("Between the two is a tenth of a millimetre, all round.")
    assert pytest.approx(0.1) == GAP
    page.says("level with its top, over a lap of # mm.", LAP)


def test_a_gap_that_draws(page):
    page.says("At a gap of 0.1 mm # mm, at 0.5 mm # mm.", 2 * WATER / 0.1, 2 * WATER / 0.5)
    page.says(
        "For silver with flux the published gap is #.## to #.## mm **on each side**. Our frame has #.# mm",
        LOW,
        HIGH,
        GAP,
    )
    page.says(
        r"\text{bore} = \text{tube} + 2 \times \text{gap} = #.# + #.# = #.#\ \text{mm}",
        TUBE,
        2 * GAP,
        BORE,
    )
    page.says("A tube measures 31.75 mm at its top. Between which two diameters may the bore of its sleeve lie, for #.## to #.## mm a side?",
              LOW, HIGH)  # fmt: skip
    page.says(
        "31.75 + #.## = #.## and 31.75 + #.## = #.## mm.",
        2 * 0.05,
        31.75 + 2 * 0.05,
        2 * 0.13,
        31.75 + 2 * 0.13,
    )
    assert pytest.approx(1 / 6, abs=0.02) == 2 * (HIGH - LOW)  # "a sixth of a millimetre"


def test_where_the_post_stands(page):
    page.says(r"#.# - 2 \times #.# = #.#\ \text{mm}", TUBE, WALL, TUBE - 2 * WALL)
    assert pytest.approx(TUBE - 2 * WALL) == POST  # "there is no room"
    page.says("with more than 0.3 mm it is loose")
    page.says(
        "A seat tube of 28.6 mm has a wall of 0.9 mm at its top. What is its bore, and does a post of 26.6 mm slide?"
    )
    page.says("28.6 − #.# = #.# mm: #.# mm of room", 2 * 0.9, 28.6 - 2 * 0.9, 28.6 - 2 * 0.9 - 26.6)


def test_from_bar_to_sleeve(page):
    done = sleeves.passes(36.0, OUTSIDE, 0.6)
    radius = (36 - OUTSIDE) / 2
    page.says("turned from thick 4130 bar, 36 mm here.")
    page.says(
        "each cut of 0.5 mm takes **# mm** off the diameter. Leave 0.1 mm on the radius", 2 * 0.5
    )
    page.says("From 36 to #.# mm the radius loses #.# mm. Less the last 0.1 mm, #.# mm are left for rough cuts of 0.6 mm at most: #.#, so four; and the last one makes five.",
              OUTSIDE, radius, radius - 0.1, (radius - 0.1) / 0.6)  # fmt: skip
    assert len(done) == ceil((radius - 0.1) / 0.6) + 1 == 5
    page.says(
        "from a bar of 36.00 mm through #.##, #.##, #.## and #.## mm to #.## mm after five cuts.",
        *done,
    )
    assert np.diff([36.0, *done[:4]]) == pytest.approx(-1)  # "four equal rough cuts"
    page.says("Drill through, 25 mm here")
    page.says("From 25 to #.# mm the slide moves half of what the diameter gains: #.# mm.",
              BORE, (BORE - 25) / 2)  # fmt: skip


def test_a_thinner_bar(page):
    page.says("From 34 mm bar to #.# mm, cuts of 0.4 mm at most, 0.1 mm for the last.", OUTSIDE)
    page.says("(34 − #.#) / 2 = #.# mm altogether. Less 0.1 is #.#; over 0.4 is #.#, so three rough cuts and the last: four.",
              OUTSIDE, (34 - OUTSIDE) / 2, (34 - OUTSIDE) / 2 - 0.1, ((34 - OUTSIDE) / 2 - 0.1) / 0.4)  # fmt: skip
    assert len(sleeves.passes(34.0, OUTSIDE, 0.4)) == 4


def test_long_enough(page):
    wall = (OUTSIDE - BORE) / 2
    page.says("The sleeve's wall is (#.# − #.#) / 2 = #.# mm and the tube's #.# mm, so the least lap is #.# mm.",
              OUTSIDE, BORE, wall, WALL, sleeves.lap(WALL, wall))  # fmt: skip
    page.says("a sleeve is 20 to 30 mm long (common practice, no source). Ours, # mm, is nearly ten times the rule.",
              LAP)  # fmt: skip
    assert 9 < LAP / sleeves.lap(WALL, wall) < 10
    page.says("A tube with a wall of 0.6 mm in a sleeve of 2.5 mm.")
    page.says("3 × 0.6 = #.# mm.", sleeves.lap(0.6, 2.5))
    page.says("Lap of three times the thinner wall, filler half as much again")
    assert (sleeves.LAP_TIMES, sleeves.ALLOWANCE) == (3, 1.5)


def test_when_it_gets_hot(page):
    """Both means are up to the same temperature, and neither comes from elsewhere than the tables."""
    grows = dict(materials.STEEL_4130.expansion)[600.0]
    assert grows == pytest.approx(CHROMOLY)
    of_304 = materials.STAINLESS_304.expansion
    assert np.interp(600, *zip(*of_304, strict=True)) == pytest.approx(STAINLESS, abs=0.05e-6)
    page.says("A tube of #.# mm that is 680 K hotter, with #.# millionths for each kelvin, is #.## mm thicker.",
              TUBE, 1e6 * grows, TUBE * grows * 680)  # fmt: skip
    page.says("The gap stays #.## mm.", sleeves.gap(BORE, TUBE, CHROMOLY, CHROMOLY, 680))
    page.says("From the room up to # °C 4130 grows by #.# millionths for each kelvin, and stainless by #.# (between #.# up to # °C and #.# up to # °C).",
              600, 1e6 * grows, 1e6 * STAINLESS, 1e6 * of_304[-2][1], of_304[-2][0], 1e6 * of_304[-1][1], of_304[-1][0])  # fmt: skip
    page.says(
        r"\tfrac12 \left[ B\,(1 + \alpha_B\, \Delta T) - P\,(1 + \alpha_P\, \Delta T) \right]"
    )
    over = sleeves.gap(BORE, TUBE, STAINLESS, CHROMOLY, 680)
    by_hand = (BORE * (1 + STAINLESS * 680) - TUBE * (1 + CHROMOLY * 680)) / 2
    assert over == pytest.approx(by_hand)
    page.says("opens the gap from #.## to #.### mm: it is wider than what draws.", GAP, over)
    assert over > HIGH
    inside = sleeves.gap(26.2, 26.04, CHROMOLY, STAINLESS, 680)
    page.says("A stainless plug of 26.04 mm in a bore of 26.2 mm of 4130 has #.## mm a side, cold. Hot it has #.### mm, less than the #.## mm that lets silver in.",
              (26.2 - 26.04) / 2, inside, LOW)  # fmt: skip
    assert inside < 0.05 < LOW
    page.says("up to 700 K. With tube and sleeve of 4130 it stays at #.## mm. With a sleeve of stainless steel it rises in a straight line to #.### mm. With a plug of stainless steel in a tube of 4130 it falls from #.## mm to #.### mm. A band from #.## to #.## mm marks",
              sleeves.gap(BORE, TUBE, CHROMOLY, CHROMOLY, 700), sleeves.gap(BORE, TUBE, STAINLESS, CHROMOLY, 700),
              0.08, sleeves.gap(26.2, 26.04, CHROMOLY, STAINLESS, 700), LOW, HIGH)  # fmt: skip


def test_the_figure_and_the_key_take_the_page_s_expansions(root):
    """Three places write the two numbers down; a question may not have others than the page."""
    figure = (root / "coursekit/figures/sleeve_joint.py").read_text("utf-8")
    assert f"= {1e6 * CHROMOLY:g}e-6, {1e6 * STAINLESS:.1f}e-6" in figure
    assert f"= {1e6 * CHROMOLY:g}e-6, {1e6 * STAINLESS:.1f}e-6" in (root / f"solutions/{SLUG}.py").read_text("utf-8")  # fmt: skip
    asked = (root / f"exercises/{SLUG}.md").read_text("utf-8")
    assert asked.count("14.6 millionths") == asked.count("18.6 millionths") == 2


def test_a_smaller_gap(page):
    page.says("A stainless plug of 27.90 mm in a bore of 28.00 mm of 4130, 600 K hotter.")
    bore, plug = 28.0 * CHROMOLY * 600, 27.9 * STAINLESS * 600
    page.says("28.00 × #.##### = #.####; 27.90 × #.##### = #.####. Gap (#.## + #.#### − #.####) / 2 = #.### mm: too tight",
              CHROMOLY * 600, bore, STAINLESS * 600, plug, 28.0 - 27.9, bore, plug,
              sleeves.gap(28.0, 27.9, CHROMOLY, STAINLESS, 600))  # fmt: skip
    assert sleeves.gap(28.0, 27.9, CHROMOLY, STAINLESS, 600) < LOW


def test_how_much_filler(page):
    bare, supplied = sleeves.filler(TUBE, GAP, LAP, 1.0), sleeves.filler(TUBE, GAP, LAP)
    across = pi / 4 * 1.2**2
    page.says("π × #.# × #.# × # = # mm³.", TUBE + GAP, GAP, LAP, bare)
    page.says("supplies **half as much again**")
    page.says("for what stays behind: # mm³. A rod of 1.2 mm has #.## mm² across, so lay out # mm.",
              supplied, across, supplied / across)  # fmt: skip
    assert supplied == pytest.approx(1.5 * pi * 28.7 * 0.1 * 20)
    page.says("Tube 27.90 mm, gap 0.05 mm, lap 20 mm.")
    page.says("π × #.## × 0.05 × 20 = # mm³; supply # mm³.",
              27.9 + 0.05, sleeves.filler(27.9, 0.05, 20.0, 1.0), sleeves.filler(27.9, 0.05, 20.0))  # fmt: skip


def test_when_the_sleeve_leans(page):
    page.says("On the left at the bottom and on the right at the top the gap is #.# mm.", 2 * GAP)
    page.says(
        "touches on the left at the bottom, and the lap is # mm. How wide is the gap on the left 8 mm above",
        LAP,
    )
    page.says("It opens from 0 to #.# mm over # mm: at 8 mm #.## mm, which draws well.",
              2 * GAP, LAP, 2 * GAP * 8 / LAP)  # fmt: skip
    assert LOW < 2 * GAP * 8 / LAP < HIGH


def test_tacks_and_a_hot_sleeve(page):
    page.says("three small ones, 120° apart")
    page.says("two tacks, at the rear (0°) and at the front (180°), and brazes round.")
    page.says("Across, to the drive side (90°) or the non-drive side (270°)")
    grows = dict(materials.STEEL_4130.expansion)[100.0]
    page.says("A hot sleeve is wide: 100 K are #.## mm.", BORE * grows * 100)
