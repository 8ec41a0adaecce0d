"""Every number that the page on the sleeve joint prints: of its text, its figures' words and its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed.
"""

from __future__ import annotations

import tomllib
from math import ceil, pi

import pytest

from coursekit import brazing, materials, sleeves
from coursekit.book import worked_frame

SLUG = "sleeve-joint"
WRITTEN = tomllib.loads((worked_frame.project.root() / worked_frame.FILE).read_text())
SLEEVE, TOP = WRITTEN["sleeve"], WRITTEN["tubes"]["seat_tube"]
BORE, TUBE, LAP, OUTSIDE = (SLEEVE[part] for part in ("bore", "plug", "lap", "outside"))
GAP, WALL, POST = (BORE - TUBE) / 2, TOP["walls"][2], WRITTEN["post"]["diameter"]
CHROMOLY, STAINLESS = 12.2e-6, 17.2e-6  # per K, both from 20 to 100 °C, as the page gives them
PLUG = (26.2, 26.04)  # the page's plug in its bore
WATER = 0.0728 / (998 * 9.81) * 1e6  # mm², surface tension over weight (from memory)
LOW, HIGH = brazing.filler("BAg-7").clearance


def test_the_joint_is_the_one_of_the_worked_frame(page):
    page.says("the wall is #.# mm. There a slot is sawn", WALL)
    page.says("the tube is #.# mm outside, the sleeve is bored to #.# mm, reaches # mm down and is #.# mm outside",
              TUBE, BORE, LAP, OUTSIDE)  # fmt: skip
    page.says("That slide is a tenth of a millimetre on each side.")
    assert pytest.approx(0.1) == GAP
    assert TOP["diameter"] == TUBE  # it goes over the tube
    page.says("reaches a lap of # mm down", LAP)


def test_the_cells_draw_the_joint_of_the_text(root):
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    for drawn in (
        'cut_open(bore, gap, lap, facts["sleeve.outside"], facts["seat_tube.wall_b"])',
        "boring(24.0, bore, 0.5)",
        "hot(bore, gap)",
        "leaning(gap, lap)",
    ):
        assert f"draw.{drawn};" in text


def test_a_gap_that_draws(page):
    page.says("At a gap of 0.1 mm # mm, at 0.5 mm # mm.", 2 * WATER / 0.1, 2 * WATER / 0.5)
    page.says(
        "For silver with flux the published gap is #.## to #.## mm **on each side**.", LOW, HIGH
    )
    page.says(
        r"\text{bore} = \text{tube} + 2 \times \text{gap} = 28.6 + #.# = #.#\ \text{mm}",
        2 * GAP,
        BORE,
    )
    page.says("A tube measures 29.40 mm at its top. Between which two diameters may the sleeve's bore lie, for #.## to #.## mm a side?",
              LOW, HIGH)  # fmt: skip
    page.says(
        "29.40 + #.## = #.## and 29.40 + #.## = #.## mm.",
        2 * 0.05,
        29.4 + 2 * 0.05,
        2 * 0.13,
        29.4 + 2 * 0.13,
    )
    assert pytest.approx(1 / 6, abs=0.02) == 2 * (HIGH - LOW)  # "a sixth of a millimetre"


def test_from_bar_to_sleeve(page):
    radius = (BORE - 24) / 2
    page.says(
        "each cut of 0.5 mm adds **# mm** to the diameter. Leave 0.1 mm on the radius", 2 * 0.5
    )
    page.says("From 24 to #.# mm the radius gains #.# mm. Less the last 0.1 mm, #.# mm are left for rough cuts of 0.5 mm at most: #.#, so five; and the last one makes six.",
              BORE, radius, radius - 0.1, (radius - 0.1) / 0.5)  # fmt: skip
    assert ceil((radius - 0.1) / 0.5) + 1 == 6
    rough = [24 + i * (BORE - 24 - 0.2) / 5 for i in range(1, 6)]  # "five equal rough cuts"
    page.says("from a drilled hole of 24.00 mm through #.##, #.##, #.##, #.## and #.## mm to #.## mm after six cuts.",
              *rough, BORE)  # fmt: skip


def test_a_wider_hole(page):
    radius = (BORE - 25) / 2
    page.says("From a hole of 25 mm to #.# mm, cuts of 0.4 mm at most, 0.1 mm for the last.", BORE)
    page.says("(#.# − 25) / 2 = #.# mm altogether. Less 0.1 is #.#; over 0.4 is #.#, so five rough cuts and the last: six.",
              BORE, radius, radius - 0.1, (radius - 0.1) / 0.4)  # fmt: skip
    assert ceil((radius - 0.1) / 0.4) + 1 == 6


def test_the_bore_for_the_post(page):
    own = TUBE - 2 * WALL
    page.says("28.6 − 2 × 0.7 = #.# mm, and our post is #.# mm", own, POST)
    reamed = POST + 0.06
    page.says("0.06 mm wider than the post (common practice, no source): #.## mm, and the wall left round the post is (28.6 − #.##) / 2 = #.## mm",
              reamed, reamed, (TUBE - reamed) / 2)  # fmt: skip
    page.says("The post wants #.## mm, and the tube has #.# mm already. It stays as it is, with its wall of #.# mm",
              27 + 0.06, own, WALL)  # fmt: skip


def test_long_enough(page):
    own = (OUTSIDE - BORE) / 2
    page.says(
        "(31.8 − 28.8) / 2 = #.# mm and the tube's is #.# mm, so that is #.# mm",
        own,
        WALL,
        sleeves.lap(WALL, own),
    )
    page.says("Twenty millimetres is nearly ten times the rule.")
    assert 9 < LAP / sleeves.lap(WALL, own) < 10
    page.says("A tube with a wall of 0.6 mm on a sleeve of 2.5 mm.")
    page.says("3 × 0.6 = #.# mm.", sleeves.lap(0.6, 2.5))
    page.says("Lap of three times the thinner wall, filler half as much again")
    assert (sleeves.LAP_TIMES, sleeves.ALLOWANCE) == (3, 1.5)


def test_when_it_gets_hot(page):
    grows = dict(materials.STEEL_4130.expansion)
    page.says(
        "#.# millionths between 20 and 100 °C, and #.# between 20 and 600 °C",
        1e6 * grows[100.0],
        1e6 * grows[600.0],
    )
    page.says(
        "with #.# millionths for each kelvin, is #.## mm larger",
        1e6 * grows[600.0],
        BORE * grows[600.0] * 680,
    )
    page.says("The gap stays #.## mm.", sleeves.gap(BORE, TUBE, grows[600.0], grows[600.0], 680))
    # both metals over one range
    other = dict(materials.STAINLESS_304.expansion)
    assert (grows[100.0], other[100.0]) == (CHROMOLY, STAINLESS)
    page.says(
        "Between 20 and 100 °C stainless grows by #.# millionths, and 4130 by #.#.",
        1e6 * STAINLESS,
        1e6 * CHROMOLY,
    )
    page.says(
        r"\tfrac12 \left[ B\,(1 + \alpha_B\, \Delta T) - P\,(1 + \alpha_P\, \Delta T) \right]"
    )
    outside = (BORE * (1 + STAINLESS * 680) - TUBE * (1 + CHROMOLY * 680)) / 2
    inside = (PLUG[0] * (1 + CHROMOLY * 680) - PLUG[1] * (1 + STAINLESS * 680)) / 2
    page.says("A **stainless sleeve** over our tube: #.### mm, too wide for silver. A **stainless plug** of #.## mm in a bore of #.## mm, #.## mm a side when cold: #.### mm, too narrow",
              outside, PLUG[1], PLUG[0], (PLUG[0] - PLUG[1]) / 2, inside)  # fmt: skip
    assert inside < LOW < HIGH < outside
    page.says("With a sleeve of 4130 it stays at #.## mm. With a sleeve of stainless steel it rises in a straight line to #.### mm. With a plug of stainless steel in 4130 it falls from #.## to #.### mm. A band from #.## to #.## mm marks",
              sleeves.gap(BORE, TUBE, CHROMOLY, CHROMOLY, 700), sleeves.gap(BORE, TUBE, STAINLESS, CHROMOLY, 700),
              0.08, sleeves.gap(*PLUG, CHROMOLY, STAINLESS, 700), LOW, HIGH)  # fmt: skip


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
    page.says("Plug 27.90 mm, gap 0.05 mm, lap 20 mm.")
    page.says("π × #.## × 0.05 × 20 = # mm³; supply # mm³.",
              27.9 + 0.05, sleeves.filler(27.9, 0.05, 20.0, 1.0), sleeves.filler(27.9, 0.05, 20.0))  # fmt: skip


def test_when_the_sleeve_leans(page):
    page.says("On the left at the top and on the right at the bottom the gap is #.# mm.", 2 * GAP)
    page.says(
        "touch on the left at the bottom, and the lap is # mm. How wide is the gap on the left 6 mm above",
        LAP,
    )
    page.says(
        "It opens from 0 to #.# mm over # mm: at 6 mm #.## mm, just enough.",
        2 * GAP,
        LAP,
        2 * GAP * 6 / LAP,
    )
    assert LOW < 2 * GAP * 6 / LAP < LOW + 0.01


def test_tacks_and_a_hot_sleeve(page):
    page.says("three small ones, 120° apart")
    page.says("two tacks, at 0° (the rear) and 180° (the front), and brazes round.")
    page.says("Across, toward the drive side (90°) or the non-drive side (270°)")
    grows = dict(materials.STEEL_4130.expansion)[100.0]
    page.says("A hot sleeve is wide: 100 K are #.## mm.", BORE * grows * 100)
