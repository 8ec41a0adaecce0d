"""Every number that the page on tube choice prints: of its text, its table, its figures' words, its try-its.

Each is asked of the kit, which tests of its own hold to sources; sums that the page writes out are written
out here too, so that both must agree with what is printed.
"""

from __future__ import annotations

import tomllib
from math import pi, sqrt

import numpy as np
import pytest

from coursekit import materials, tubes
from coursekit.book import worked_frame

SLUG = "tube-choice"
STEEL = tubes.STEEL_DENSITY / 1000  # g/mm³
ERRAND, WIDE, STAY = tubes.Round(25.4, 1.0), tubes.Round(38.1, 0.65), tubes.Round(22.2, 0.8)
THICK, BELLY, BUTT = (tubes.Round(31.8, wall) for wall in (0.75, 0.6, 0.9))
LONG = tubes.Butted(31.8, (0.9, 0.6, 0.9), (120, 40, 340, 40, 170))


def grams(tube, length):
    return tube.area * length * STEEL


def test_the_pages_tubes_are_those_of_the_worked_frame(page, root):
    file = tomllib.loads((root / "course/worked-frame.toml").read_text(encoding="utf-8"))["tubes"]
    down, stay = file["down_tube"], file["chainstay"]
    assert (LONG.diameter, LONG.walls, LONG.lengths) == (
        down["diameter"], tuple(down["walls"]), tuple(down["lengths"]),
    )  # fmt: skip
    assert (STAY.diameter, STAY.wall) == (stay["diameter"], stay["wall"])
    page.says(
        "the frame that these lessons build, #.# mm across, as it is bought", down["diameter"]
    )
    page.says(
        "A chainstay of our frame is #.# mm across, with a wall of #.# mm",
        stay["diameter"],
        stay["wall"],
    )


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
    page.says("A = π × #.# × 0.8 = #.# mm²; d = #.# mm; I = #.## × (22.2² + #.#²) / 16 = # mm⁴.",
              22.2 - 0.8, STAY.area, STAY.bore, STAY.area, STAY.bore, STAY.inertia)  # fmt: skip


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
    page.says("The wall of a butted tube along its 710 mm, drawn forty times too thick.")
    page.says(
        "a butt of 120 mm with a wall of 0.9, a taper of 40 mm, a belly of 340 mm with 0.6, a taper of 40 mm, and at the head end a butt of 170 mm with 0.9."
    )
    page.says("| butts | 120 + 170 | 0.9 | #.## | #.# |", BUTT.area, grams(BUTT, 290))
    page.says("| tapers | 40 + 40 | 0.75 | #.## | #.# |", THICK.area, grams(THICK, 80))
    page.says("| belly | 340 | 0.6 | #.## | #.# |", BELLY.area, grams(BELLY, 340))
    page.says("| together | # | | | #.# |", LONG.length, LONG.mass())
    by_pieces = grams(BUTT, 290) + grams(THICK, 80) + grams(BELLY, 340)
    assert LONG.mass() == pytest.approx(by_pieces, abs=0.05)  # "the mean wall good enough"
    page.says("A plain tube of 0.9 mm would have #.# g. Butting saves # g, a sixth.",
              grams(BUTT, 710), grams(BUTT, 710) - LONG.mass())  # fmt: skip
    assert 1 - LONG.mass() / grams(BUTT, 710) == pytest.approx(1 / 6, abs=0.01)


def test_the_small_program_of_the_page(page, root):
    text = (root / "course" / f"{SLUG}.md").read_text("utf-8")
    program = text[text.index("mass, slices = 0.0") : text.index('print(f"a taper')]
    space = {"pi": pi}
    exec(program, space)
    tapers = LONG.mass() - grams(BUTT, 290) - grams(BELLY, 340)
    assert 2 * space["mass"] == pytest.approx(tapers, abs=1e-4)
    assert "with its mean wall {0.00785 * pi * 31.05 * 0.75 * 40:.3f} g" in text
    assert grams(THICK, 40) == pytest.approx(0.00785 * pi * 31.05 * 0.75 * 40)


def test_longer_butts(page):
    longer = tubes.Butted(31.8, (0.9, 0.6, 0.9), (150, 40, 280, 40, 200))
    page.says("butts of 150 and 200 mm, 710 mm long as before.")
    page.says("Butts # mm: #.## × 350 × #.##### = #.# g. Tapers as before, #.# g. Belly # mm: #.# g. Together, added before rounding, #.# g, that is #.# g more.",
              150 + 200, BUTT.area, STEEL, grams(BUTT, 350), grams(THICK, 80),
              longer.length - 350 - 80, grams(BELLY, 280), longer.mass(), longer.mass() - LONG.mass())  # fmt: skip


def test_stress(page):
    page.says(r"W = \frac{I}{D/2}")
    page.says("60 000 / # = # MPa. On its butt with 0.9 mm: # MPa.",
              BELLY.modulus, 60_000 / BELLY.modulus, 60_000 / BUTT.modulus)  # fmt: skip
    page.says("on the belly of our down tube, with 0.6 mm:")
    page.says("a third less work")
    assert 1 - BELLY.modulus / BUTT.modulus == pytest.approx(1 / 3, abs=0.03)
    page.says(
        "Normalized 4130 tube begins to yield at # MPa or above", materials.STEEL_4130.yield_stress
    )
    page.says("40 N·m on our chainstay of 22.2 × 0.8 mm (I = # mm⁴).", STAY.inertia)
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
    space = {"tubes": tubes, "steel": STEEL, "ours": worked_frame.build(root).tubes}
    exec(cell, space)
    rows = {name: (float(plain), float(light)) for name, plain, light in space["rows"]}
    file = tomllib.loads((root / "course/worked-frame.toml").read_text(encoding="utf-8"))["tubes"]
    for name, masses in rows.items():
        own = file[name.replace(" ", "_")]
        plain = tubes.Round(own["diameter"], own["walls"][0])
        light = tubes.Butted(own["diameter"], tuple(own["walls"]), tuple(own["lengths"]))
        assert masses == pytest.approx((grams(plain, sum(own["lengths"])), light.mass())), name
    page.says("top tube # and # g, seat tube # and # g, down tube # and # g, all as long",
              *np.ravel(list(rows.values())))  # fmt: skip
    saved = {name: plain - light for name, (plain, light) in rows.items()}
    page.says(
        "The down tube saves # g, the most, and it works hardest at its ends. The top tube saves # g",
        saved["down tube"],
        saved["top tube"],
    )
    assert max(saved, key=saved.get) == "down tube"
    shares = {name: 1 - light / plain for name, (plain, light) in rows.items()}
    assert max(shares, key=shares.get) == "top tube"  # "the larger share of its own mass"
    page.says("butted tubes save a fifth of the mass here")
    assert sum(saved.values()) / sum(p for p, _ in rows.values()) == pytest.approx(0.2, abs=0.02)
