"""Every number that the page on the sleeve joint prints: of its text, its figures' words and its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed.
"""

from __future__ import annotations

from math import ceil, pi

import pytest

from coursekit import brazing, materials, sleeves

SLUG = "sleeve-joint"
BORE, GAP, LAP = 26.2, 0.08, 30.0
PLUG = BORE - 2 * GAP
CHROMOLY, STAINLESS = 14.6e-6, 17.2e-6  # per K, as the page gives them
WATER = 0.0728 / (998 * 9.81) * 1e6  # mm², surface tension over weight (from memory)
LOW, HIGH = brazing.filler("BAg-7").clearance


def test_the_joint_of_the_lesson(page):
    page.says("That sigh is eight hundredths of a millimetre.")  # GAP
    page.says("a seat tube with a bore of #.# mm, a sleeve that stands # mm in the upper tube and # mm in the lower one.",
              BORE, LAP, LAP)  # fmt: skip
    page.says("A sleeve inside reaches a lap of # mm into each.", LAP)


def test_the_cells_draw_the_joint_of_the_text(root):
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    assert f"bore, gap, lap = {BORE}, {GAP}, {LAP}\nplug = bore - 2 * gap\n" in text
    for drawn in (
        "cut_open(bore, gap, lap, 0.9, 2.0)",
        "turning(31.0, plug, 0.5)",
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
        r"\text{plug} = \text{bore} - 2 \times \text{gap} = 26.2 - #.## = #.##\ \text{mm}",
        2 * GAP,
        PLUG,
    )
    page.says("A bore measures 29.40 mm. Between which two diameters may the plug lie, for #.## to #.## mm a side?",
              LOW, HIGH)  # fmt: skip
    page.says(
        "29.40 − #.## = #.## and 29.40 − #.## = #.## mm.",
        2 * 0.13,
        29.4 - 2 * 0.13,
        2 * 0.05,
        29.4 - 2 * 0.05,
    )
    assert pytest.approx(1 / 6, abs=0.02) == 2 * (HIGH - LOW)  # "a sixth of a millimetre"


def test_from_bar_to_sleeve(page):
    done = sleeves.passes(31.0, PLUG, 0.5)
    radius = (31 - PLUG) / 2
    page.says("thick 4130 bar or tube, 31 mm here.")
    page.says(
        "each cut of 0.5 mm takes **# mm** off the diameter. Leave 0.1 mm on the radius", 2 * 0.5
    )
    page.says("From 31 to #.## mm the radius loses #.## mm. Less the last 0.1 mm, #.## mm are left for rough cuts of 0.5 mm at most: #.#, so five; and the last one makes six.",
              PLUG, radius, radius - 0.1, (radius - 0.1) / 0.5)  # fmt: skip
    assert len(done) == ceil((radius - 0.1) / 0.5) + 1 == 6
    page.says(
        "from a bar of 31.00 mm through #.##, #.##, #.##, #.## and #.## mm to #.## mm after six cuts.",
        *done,
    )
    assert done[4] == pytest.approx(PLUG + 0.2) and done[5] == pytest.approx(PLUG)
    rough = [31.0 - i * (31 - PLUG - 0.2) / 5 for i in range(1, 6)]
    assert done[:5] == pytest.approx(rough)  # "five equal rough cuts"


def test_a_thinner_bar(page):
    page.says("From 28 mm bar to #.## mm, cuts of 0.4 mm at most, 0.1 mm for the last.", PLUG)
    page.says("(28 − #.##) / 2 = #.## mm altogether. Less 0.1 is #.##; over 0.4 is #.#, so three rough cuts and the last: four.",
              PLUG, (28 - PLUG) / 2, (28 - PLUG) / 2 - 0.1, ((28 - PLUG) / 2 - 0.1) / 0.4)  # fmt: skip
    assert len(sleeves.passes(28.0, PLUG, 0.4)) == 4


def test_long_enough(page):
    page.says("**three times the thinner wall**, here #.# mm.", sleeves.lap(0.9, 2.0))
    page.says("Thirty millimetres is eleven times the rule.")
    assert LAP / sleeves.lap(0.9, 2.0) == pytest.approx(11, abs=0.5)
    page.says("A tube with a wall of 0.6 mm on a sleeve of 2.5 mm.")
    page.says("3 × 0.6 = #.# mm.", sleeves.lap(0.6, 2.5))
    page.says("Lap of three times the thinner wall, filler half as much again")
    assert (sleeves.LAP_TIMES, sleeves.ALLOWANCE) == (3, 1.5)


def test_when_it_gets_hot(page):
    grows = dict(materials.STEEL_4130.expansion)[600.0]  # the last temperature of the table
    page.says("A bore of 26.2 mm that is 680 K hotter, with #.# millionths for each kelvin, is #.## mm larger.",
              1e6 * grows, BORE * grows * 680)  # fmt: skip
    assert grows == pytest.approx(CHROMOLY)
    same = sleeves.gap(BORE, PLUG, CHROMOLY, CHROMOLY, 680)
    page.says("The gap stays #.## mm.", same)
    ((_, other),) = materials.STAINLESS_304.expansion
    page.says("Stainless grows by #.# millionths.", 1e6 * other)
    assert other == pytest.approx(STAINLESS)
    hot = sleeves.gap(BORE, PLUG, CHROMOLY, STAINLESS, 680)
    page.says(
        r"\tfrac12 \left[ B\,(1 + \alpha_B\, \Delta T) - P\,(1 + \alpha_P\, \Delta T) \right]"
    )
    by_hand = (BORE * (1 + CHROMOLY * 680) - PLUG * (1 + STAINLESS * 680)) / 2
    assert hot == pytest.approx(by_hand)
    page.says("Here #.### mm: nearly the lower end of what draws.", hot)
    assert LOW < hot < LOW + 0.01
    page.says("up to 700 K. With a plug of 4130 it stays at #.## mm. With a plug of stainless steel it falls in a straight line to #.### mm. A band from #.## to #.## mm marks",
              sleeves.gap(BORE, PLUG, CHROMOLY, CHROMOLY, 700), sleeves.gap(BORE, PLUG, CHROMOLY, STAINLESS, 700),
              LOW, HIGH)  # fmt: skip


def test_a_smaller_gap(page):
    page.says("Bore 28.00, plug 27.90 mm, of 4130 and stainless as above, 600 K hotter.")
    bore, plug = 28.0 * CHROMOLY * 600, 27.9 * STAINLESS * 600
    page.says("28.00 × #.##### = #.####; 27.90 × #.##### = #.####. Gap (#.## + #.#### − #.####) / 2 = #.### mm: too tight",
              CHROMOLY * 600, bore, STAINLESS * 600, plug, 28.0 - 27.9, bore, plug,
              sleeves.gap(28.0, 27.9, CHROMOLY, STAINLESS, 600))  # fmt: skip
    assert sleeves.gap(28.0, 27.9, CHROMOLY, STAINLESS, 600) < LOW


def test_how_much_filler(page):
    bare, supplied = sleeves.filler(PLUG, GAP, LAP, 1.0), sleeves.filler(PLUG, GAP, LAP)
    across = pi / 4 * 1.2**2
    page.says("π × #.## × #.## × # = # mm³ in the upper tube.", PLUG + GAP, GAP, LAP, bare)
    page.says("supplies **half as much again**")
    page.says("for what stays behind: # mm³. A rod of 1.2 mm has #.## mm² across, so lay out # mm.",
              supplied, across, supplied / across)  # fmt: skip
    assert supplied == pytest.approx(1.5 * pi * 26.12 * 0.08 * 30)
    page.says("Plug 27.90 mm, gap 0.05 mm, lap 20 mm.")
    page.says("π × #.## × 0.05 × 20 = # mm³; supply # mm³.",
              27.9 + 0.05, sleeves.filler(27.9, 0.05, 20.0, 1.0), sleeves.filler(27.9, 0.05, 20.0))  # fmt: skip


def test_when_the_plug_leans(page):
    page.says("On the left at the top and on the right at the bottom the gap is #.## mm.", 2 * GAP)
    page.says(
        "touches on the left at the bottom, and the lap is # mm. How wide is the gap on the left 10 mm above",
        LAP,
    )
    page.says("It opens from 0 to #.## mm over # mm: at 10 mm #.### mm, just enough.",
              2 * GAP, LAP, 2 * GAP * 10 / LAP)  # fmt: skip
    assert LOW < 2 * GAP * 10 / LAP < LOW + 0.01


def test_tacks_and_a_hot_sleeve(page):
    page.says("three small ones, 120° apart")
    page.says("two tacks, at 0° and 180°, and brazes round.")
    page.says("Across, toward 90° or 270°")
    grows = dict(materials.STEEL_4130.expansion)[100.0]
    page.says("A hot sleeve is thick: 100 K are #.## mm.", PLUG * grows * 100)
