"""Weight of steel pipe per foot.

Sources: A.S.A. pipe schedule sheet (older factor 10.68), lb/ft; ASME B36.10M, W = 10.69 (D − t) t
lb/ft with inches and 0.02466 (D − t) t kg/m with mm (from memory).
Tolerance: 0.15 % between the two factors; 0.2 % for the formula.
"""

import pytest

from coursekit.tubes import Round


def pounds_per_foot(D, t):
    return Round(25.4 * D, 25.4 * t).grams_per_metre() * 0.3048 / 453.59237


@pytest.mark.parametrize(
    ("D", "t", "printed"),
    [(1.315, 0.133, 1.679), (2.375, 0.154, 3.653), (3.5, 0.216, 7.576), (4.5, 0.237, 10.79)],
)
def test_schedule_40(D, t, printed):
    assert pounds_per_foot(D, t) == pytest.approx(printed, rel=0.0015)


@pytest.mark.parametrize(("D", "t"), [(1.125, 0.035), (2.375, 0.154)])
def test_formula_in_inches(D, t):
    assert pounds_per_foot(D, t) == pytest.approx(10.69 * (D - t) * t, rel=0.002)


def test_formula_in_millimetres():
    assert Round(28.6, 0.9).grams_per_metre() / 1000 == pytest.approx(
        0.02466 * 27.7 * 0.9, rel=0.002
    )
