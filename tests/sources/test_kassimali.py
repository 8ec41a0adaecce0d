"""Kassimali, Structural Analysis, 3rd ed. (2005), Example 13.14: beam whose supports settle.

Units kips and inches. Input and answers as quoted in the tests of PyNite. The book's reactions
are small differences of large rounded moments (1e3 kip·ft), hence 0.2 kip. Clapeyron's equation of three
moments, solved here, is the exact judge.
"""

import numpy as np
import pytest

from coursekit.statics import Member, MemberSection, solve


def three_moments():
    """Reactions by Clapeyron's equation: sagging moments at B and C first, then each span's shears."""
    w, span, stiff, y = 2 / 12, 240.0, 29_000 * 7800.0, np.array([0, -5 / 8, -1.5, -0.75])
    bend = [y[i - 1] - 2 * y[i] + y[i + 1] for i in (1, 2)]
    right = [-w * span**2 / 2 + 6 * stiff / span**2 * b for b in bend]
    m = [0, *np.linalg.solve([[4, 1], [1, 4]], right), 0]
    left_shear = [w * span / 2 + (m[i + 1] - m[i]) / span for i in range(3)]
    right_shear = [w * span - v for v in left_shear]
    return dict(zip("ABCD", np.add([*left_shear, 0], [0, *right_shear]), strict=True))


def test_example_13_14():
    beam = MemberSection(area=20, inertia_y=1000, inertia_z=7800, torsion=8800)
    s = solve(
        {n: (240 * i, 0, 0) for i, n in enumerate("ABCD")},
        {a + b: Member(a, b, beam, 29_000, 11_200) for a, b in ("AB", "BC", "CD")},
        {
            "A": "x y z turn_x",
            "B": {"y": -5 / 8, "z": 0.0},
            "C": {"y": -1.5, "z": 0.0},
            "D": {"y": -0.75, "z": 0.0},
        },
        {},
        spread=dict.fromkeys(("AB", "BC", "CD"), (0, -2 / 12, 0)),
    )
    printed = {"A": -1.098, "B": 122.373, "C": -61.451, "D": 60.176}
    for name, kips in printed.items():
        assert s.reactions[name][1] == pytest.approx(kips, abs=0.2)
        assert s.reactions[name][1] == pytest.approx(three_moments()[name], rel=1e-9)
