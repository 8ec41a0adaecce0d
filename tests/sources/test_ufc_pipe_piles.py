"""Steel pipe piles.

Source: US Army Corps of Engineers EI 02C097 (UFC 3-220-01A), Table B-1, p. B-3. Inches, lb/ft.
Tolerance: half the last printed digit, and 0.5 % of I and S, given to three figures from a wall
rounded before.
"""

import pytest

from coursekit import units
from coursekit.tubes import Round


@pytest.mark.parametrize(
    ("D", "t", "area", "weight", "inertia", "modulus", "gyration"),
    [(12, 0.134, 5.00, 16.98, 87.9, 14.7, 4.20), (12.75, 0.109, 4.33, 14.72, 86.5, 13.6, 4.47)],
)
def test_pile(D, t, area, weight, inertia, modulus, gyration):
    pile = Round(D, t)
    assert pile.area == pytest.approx(area, abs=0.006)
    assert pile.inertia == pytest.approx(inertia, rel=0.005)
    assert pile.modulus == pytest.approx(modulus, rel=0.005)
    assert (pile.inertia / pile.area) ** 0.5 == pytest.approx(gyration, abs=0.005)
    grams = Round(units.mm(f"{D} in"), units.mm(f"{t} in")).grams_per_metre()
    assert grams * 0.3048 / 453.59237 == pytest.approx(weight, rel=0.003)
