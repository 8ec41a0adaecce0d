"""Every number that the page on tube choice prints: of its text, its table, its figures' words, its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest

from coursekit import materials, tubes

SLUG = "tube-choice"
STEEL = tubes.STEEL_DENSITY / 1000  # g/mm³
ERRAND, WIDE, STAY = tubes.Round(25.4, 1.0), tubes.Round(38.1, 0.65), tubes.Round(22.2, 0.9)
THICK, BELLY, BUTT = (tubes.Round(25.4, wall) for wall in (0.75, 0.6, 0.9))
LONG = tubes.Butted(25.4, (0.9, 0.6, 0.9), (70, 50, 310, 50, 120))


def grams(tube, length):
    return tube.area * length * STEEL


def test_two_offcuts(page):
    page.says(
        "each 600 mm long. One is 25.4 mm across with a wall of 1 mm. The other is 38.1 mm across, and its wall is 0.65 mm."
    )
    page.says("the same, # g and # g. Now", grams(ERRAND, 600), grams(WIDE, 600))
    page.says("The other gives less than half as much.")
    assert ERRAND.inertia / WIDE.inertia < 0.5
    assert WIDE.inertia / ERRAND.inertia == pytest.approx(2.3, abs=0.05)


def test_area_and_mass(page):
    page.says("For the first offcut π × #.# × 1.0 = #.# mm².", 25.4 - 1.0, ERRAND.area)
    page.says("D, the outside diameter, is 25.4 mm; t, the wall, is 1 mm.")
    page.says("steel has #.## g in a cubic centimetre, #.##### g in a cubic millimetre. So 600 mm of that tube",
              tubes.STEEL_DENSITY, STEEL)  # fmt: skip
    page.says("#.# × 600 × #.##### = # g", ERRAND.area, STEEL, grams(ERRAND, 600))
    page.says("38.1 × 0.65 mm, 600 mm long. What is its area")
    page.says("π × #.## × 0.65 = #.# mm²; times 600 × #.##### is # g.",
              38.1 - 0.65, WIDE.area, STEEL, grams(WIDE, 600))  # fmt: skip
    assert ERRAND.area == pytest.approx(pi * 24.4) and WIDE.area == pytest.approx(pi * 37.45 * 0.65)


def test_bending(page):
    page.says(r"I = A\,\frac{D^2 + d^2}{16}")
    page.says("area times the sum of both diameters squared, over 16.")
    page.says("For the first offcut #.## × (25.4² + #.#²) / 16 = # mm⁴.",
              ERRAND.area, ERRAND.bore, ERRAND.inertia)  # fmt: skip
    assert ERRAND.area * (25.4**2 + 23.4**2) / 16 == pytest.approx(ERRAND.inertia)
    page.says("A chainstay is 22.2 × 0.9 mm.")
    page.says("A = π × #.# × 0.9 = #.# mm²; d = #.# mm; I = #.## × (22.2² + #.#²) / 16 = # mm⁴.",
              22.2 - 0.9, STAY.area, STAY.bore, STAY.area, STAY.bore, STAY.inertia)  # fmt: skip


def test_diameter_beats_wall(page):
    broad, thick = tubes.Round(38.1, 1.0), tubes.Round(25.4, 1.5)
    page.says("half as wide again: 38.1 × 1.0 instead of 25.4 × 1.0. It gets #.## times as heavy",
              broad.area / ERRAND.area)  # fmt: skip
    assert broad.diameter / ERRAND.diameter == pytest.approx(1.5)
    page.says("It gets #.# times as stiff.", broad.inertia / ERRAND.inertia)
    page.says("Half as much wall again, 25.4 × 1.5, costs the same grams and gives #.# times the stiffness.",
              thick.inertia / ERRAND.inertia)  # fmt: skip
    page.says(r"I \approx \pi r^3 t")
    # "near enough", and "the same grams" as the tube half as wide again
    assert pi * 12.2**3 * 1.0 == pytest.approx(ERRAND.inertia, rel=0.005)
    assert thick.area == pytest.approx(broad.area, rel=0.05)
    up, down = tubes.Round(31.8, 0.9), tubes.Round(28.6, 0.9)
    page.says("A 28.6 mm tube is replaced by a 31.8 mm tube with the same wall of 0.9 mm.")
    page.says("Use the middle diameters, #.# and #.#.", 2 * down.mid_radius, 2 * up.mid_radius)
    heavier, stiffer = up.area / down.area, up.inertia / down.inertia
    page.says("#.# / #.# = #.###: so much heavier. To the third power #.###: so much stiffer.",
              31.8 - 0.9, 28.6 - 0.9, heavier, stiffer)  # fmt: skip
    page.says(
        "For each gram #.### / #.### = #.##.", (30.9 / 27.7) ** 3, 30.9 / 27.7, stiffer / heavier
    )
    assert round(1.388 / 1.116, 2) == round(stiffer / heavier, 2)  # as a student types it


def test_the_words_of_the_figure_of_growth(page):
    broad = tubes.Round(42.0, 1.0)
    same = tubes.Round(42.0, (42 - sqrt(42**2 - 4 * ERRAND.area / pi)) / 2)
    assert same.area == pytest.approx(ERRAND.area)
    page.says(
        "the outside diameter from 20 to 42 mm, all passing 1 at 25.4 mm, a tube with a wall of 1 mm."
    )
    page.says("climbs most steeply, to #.# at 42 mm. Stiffness at the same mass climbs to #.#. Mass at the same wall climbs slowly and straight, to #.#.",
              broad.inertia / ERRAND.inertia, same.inertia / ERRAND.inertia, broad.area / ERRAND.area)  # fmt: skip
    page.says("The tube of 25.4 × 1.0 mm counts as 1.")


def test_a_butted_tube(page):
    page.says("The wall of a butted tube along its 600 mm, drawn forty times too thick.")
    page.says(
        "a butt of 70 mm with a wall of 0.9, a taper of 50 mm, a belly of 310 mm with 0.6, a taper of 50 mm, and at the head end a butt of 120 mm with 0.9."
    )
    page.says("| butts | 70 + 120 | 0.9 | #.## | #.# |", BUTT.area, grams(BUTT, 190))
    page.says("| tapers | 50 + 50 | 0.75 | #.## | #.# |", THICK.area, grams(THICK, 100))
    page.says("| belly | 310 | 0.6 | #.## | #.# |", BELLY.area, grams(BELLY, 310))
    page.says("| together | # | | | #.# |", LONG.length, LONG.mass())
    by_pieces = grams(BUTT, 190) + grams(THICK, 100) + grams(BELLY, 310)
    assert LONG.mass() == pytest.approx(by_pieces, abs=0.05)  # "the mean wall good enough"
    page.says("A plain tube of 0.9 mm would have #.# g. Butting saves # g, a fifth.",
              grams(BUTT, 600), grams(BUTT, 600) - LONG.mass())  # fmt: skip
    assert 1 - LONG.mass() / grams(BUTT, 600) == pytest.approx(1 / 5, abs=0.01)


def test_the_small_program_of_the_page(page, root):
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    program = text[text.index("mass, slices = 0.0") : text.index('print(f"a taper')]
    space = {"pi": pi}
    exec(program, space)
    tapers = LONG.mass() - grams(BUTT, 190) - grams(BELLY, 310)
    assert 2 * space["mass"] == pytest.approx(tapers, abs=1e-4)
    assert "with its mean wall {0.00785 * pi * 24.65 * 0.75 * 50:.3f} g" in text
    assert grams(THICK, 50) == pytest.approx(0.00785 * pi * 24.65 * 0.75 * 50)


def test_longer_butts(page):
    longer = tubes.Butted(25.4, (0.9, 0.6, 0.9), (100, 50, 250, 50, 150))
    page.says("butts of 100 and 150 mm, 600 mm long as before.")
    page.says("Butts # mm: #.## × 250 × #.##### = #.# g. Tapers as before, #.# g. Belly # mm: #.# g. Together, added before rounding, #.# g, that is #.# g more.",
              100 + 150, BUTT.area, STEEL, grams(BUTT, 250), grams(THICK, 100),
              longer.length - 250 - 100, grams(BELLY, 250), longer.mass(), longer.mass() - LONG.mass())  # fmt: skip


def test_stress(page):
    page.says(r"W = \frac{I}{D/2}")
    page.says("60 000 / # = # MPa. On its butt with 0.9 mm: # MPa.",
              BELLY.modulus, 60_000 / BELLY.modulus, 60_000 / BUTT.modulus)  # fmt: skip
    page.says("on the tube with 0.6 mm:")
    page.says("a third less work")
    assert 1 - BELLY.modulus / BUTT.modulus == pytest.approx(1 / 3, abs=0.03)
    page.says(
        "4130 steel begins to yield at # MPa or so, normalized", materials.STEEL_4130.yield_stress
    )
    page.says("40 N·m on a stay of 22.2 × 0.9 mm (I = # mm⁴).", STAY.inertia)
    page.says("W = # / #.# = # mm³. 40 N·m are 40 000 N·mm; over # that is # MPa.",
              STAY.inertia, 22.2 / 2, STAY.modulus, STAY.modulus, 40_000 / STAY.modulus)  # fmt: skip


def test_a_slit_tube(page):
    page.says(r"3\left(\frac{r}{t}\right)^2")
    page.says("For 25.4 × 1.0 that is 3 × #.#² = # times.",
              ERRAND.mid_radius, ERRAND.torsion / ERRAND.slit_torsion)  # fmt: skip
    assert ERRAND.torsion / ERRAND.slit_torsion == pytest.approx(3 * 12.2**2, rel=0.002)
    page.says("a whole tube of 38.1 × 0.65 mm than the same tube slit?")
    times = 3 * (WIDE.mid_radius / 0.65) ** 2
    page.says("Middle radius #.### mm; over 0.65 is #.#; squared, times three: # times.",
              WIDE.mid_radius, WIDE.mid_radius / 0.65, round(times, -1))  # fmt: skip
    assert WIDE.torsion / WIDE.slit_torsion == pytest.approx(2490, rel=0.002)


def test_walls_to_the_diameter(page):
    page.says("the diameter of a tube of 28.6 × 0.6 mm, and of 38.1 × 0.5 mm?")
    page.says("28.6 / 0.6 = #, still usual. 38.1 / 0.5 = #: leave", 28.6 / 0.6, 38.1 / 0.5)


def test_a_set(page, root):
    """The masses of the set's cell, as it stands on the page, and as written out here."""
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    cell = text[text.index("rows = []") : text.index("draw.set_masses(rows)")]
    space = {"tubes": tubes, "steel": STEEL}
    exec(cell, space)
    rows = {name: (float(plain), float(light)) for name, plain, light in space["rows"]}
    again = {
        "top tube": (25.4, (0.8, 0.5, 0.8), (60, 40, 290, 40, 100)),
        "seat tube": (28.6, (0.9, 0.6, 0.9), (60, 40, 280, 40, 100)),
        "down tube": (28.6, (0.9, 0.6, 0.9), (60, 40, 360, 40, 100)),
    }
    for name, tube in again.items():
        whole = grams(tubes.Round(tube[0], 0.9), sum(tube[2]))
        assert rows[name] == pytest.approx((whole, tubes.Butted(*tube).mass())), name
    stays = tubes.Butted(16, (0.8, 0.6, 0.8), (100, 50, 180, 30, 50))
    assert rows["seat stays"] == pytest.approx(
        (2 * grams(tubes.Round(16, 0.8), 410), 2 * stays.mass())
    )
    page.says("top tube # and # g, seat tube # and # g, down tube # and # g, the pair of seat stays # and # g.",
              *np.ravel(list(rows.values())))  # fmt: skip
    saved = {name: plain - light for name, (plain, light) in rows.items()}
    page.says(
        "The top tube saves # g, the most. The down tube saves # g",
        saved["top tube"],
        saved["down tube"],
    )
    page.says("The stays save # g", saved["seat stays"])
    assert max(saved, key=saved.get) == "top tube"
    page.says("butted tubes save a quarter of the mass")
    share = sum(saved.values()) / sum(plain for plain, _ in rows.values())
    assert 0.2 < share < 0.3
