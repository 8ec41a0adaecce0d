"""ISO 5775, bicycle tyres and rims, as encyclopaedia articles quote it, and a list of measured roll-outs.

Article: 32-597 as the example; sizes 622, 559, 406; section height mostly the width, 2.5 mm more below 28 mm; outside
diameter is the rim's and twice the height. Roll-outs as a public list of cycle computers' settings has them, mm.
The bead seats beyond the four are from memory.
"""

import math

import pytest

from coursekit import fork

# width, bead seat, listed roll-out
LISTED = [(23, 622, 2096), (25, 622, 2105), (28, 622, 2136), (32, 622, 2155), (35, 622, 2168)]
# width, bead seat, diameter and circumference by bead seat and twice the width, worked by hand
BY_HAND = [
    (38, 559, 635, 1994.9), (50, 559, 659, 2070.3), (47, 406, 500, 1570.8), (37, 590, 664, 2086.0),
    (40, 622, 702, 2205.4), (47, 622, 716, 2249.4), (28, 622, 678, 2130.0), (35, 622, 692, 2174.0),
]  # fmt: skip


def test_the_articles_example_and_sizes():
    assert fork.tyre_size("32-597") == fork.TyreSize(32.0, 597)
    assert {406, 559, 597, 622} <= set(fork.BEAD_SEATS)
    assert tuple(sorted(set(fork.BEAD_SEATS))) == fork.BEAD_SEATS


@pytest.mark.parametrize(("width", "seat", "across", "round_it"), BY_HAND)
def test_size_by_bead_seat_and_width(width, seat, across, round_it):
    radius = fork.wheel_radius(fork.tyre_size(f"{width}-{seat}"))
    assert 2 * radius == across
    assert 2 * math.pi * radius == pytest.approx(round_it, abs=0.05)


@pytest.mark.parametrize(("width", "seat", "rolls"), LISTED)
def test_listed_roll_outs_lie_within_the_doubt(width, seat, rolls):
    """Within 7 mm of circumference, as the docstring says, and within the share of doubt."""
    radius = fork.wheel_radius(fork.TyreSize(width, seat))
    assert abs(2 * math.pi * radius - rolls) < 7
    assert abs(fork.rolling_radius(rolls) - radius) < fork.RADIUS_DOUBT * radius


def test_the_articles_rule_for_narrow_tyres_fits_worse():
    for width, seat, rolls in LISTED[:2]:
        size = fork.TyreSize(width, seat)
        by_rule = fork.wheel_radius(size, height=width + 2.5)
        assert 2 * math.pi * by_rule - rolls > 15
    assert 2 * math.pi * fork.wheel_radius(fork.TyreSize(25, 622), 27.5) == pytest.approx(2127, abs=0.5)  # fmt: skip
