"""CALFEM, a finite element toolbox: manual, Lund University, draft of January 2026.

exs_beam1 (simply supported beam), exs_bar2 (plane truss), exs_beam2 (plane frame). Units as
printed are m, N and Pa; here mm, N, MPa. Tolerance: half the last printed digit.
"""

import numpy as np
import pytest

from coursekit.statics import Member, MemberSection, solve


def section(area, inertia):
    return MemberSection(area, inertia, inertia, 1.0)


def test_exs_beam1():
    beam = section(1e4, 2510e4)  # I = 2510e-8 m⁴; the area plays no part
    s = solve(
        {"a": (0, 0, 0), "load": (3000, 0, 0), "b": (9000, 0, 0)},
        {"1": Member("a", "load", beam, 210e3), "2": Member("load", "b", beam, 210e3)},
        {"a": "x y", "b": "y"},
        {"load": (0, -10_000, 0)},
        plane=True,
    )
    assert s.moves["load"][1] / 1000 == pytest.approx(-0.0228, abs=0.00005)
    turns = [np.radians(s.turns_deg[j][2]) for j in ("a", "load", "b")]
    np.testing.assert_allclose(turns, [-0.0095, -0.0038, 0.0076], atol=0.00005)
    assert s.reactions["a"][1] == pytest.approx(6666.7, abs=0.05)
    assert s.reactions["b"][1] == pytest.approx(3333.3, abs=0.05)
    moment = s.section_forces("1", [0, 3000])[:, 5] / 1000
    np.testing.assert_allclose(moment, [0, 20_000], atol=0.05)  # printed 20000.
    # recomputed with more digits from the closed form v = -P a² b² / 3 E I L
    assert s.moves["load"][1] == pytest.approx(-22.766, abs=0.0005)


def test_exs_bar2():
    s = solve(
        {"1": (0, 0, 0), "2": (0, 1200, 0), "3": (1600, 0, 0), "4": (1600, 1200, 0)},
        {
            "bar 1": Member("1", "3", section(600, 1), 200e3, pinned=True),
            "bar 2": Member("3", "4", section(300, 1), 200e3, pinned=True),
            "bar 3": Member("2", "3", section(1000, 1), 200e3, pinned=True),
        },
        {"1": "x y", "2": "x y", "4": "x y"},
        {"3": (0, -80_000, 0)},
        plane=True,
    )
    pulls = [s.section_forces(f"bar {i}", 0)[0, 0] for i in (1, 2, 3)]
    np.testing.assert_allclose(pulls, [-29844.5596, 57616.5803, 37305.6995], atol=0.00005)
    np.testing.assert_allclose(s.moves["3"][:2] / 1000, [-0.0004, -0.0012], atol=0.00005)
    assert s.moves["3"][1] == pytest.approx(-1.15, abs=0.005)
    np.testing.assert_allclose(s.reactions["1"][:2], [29844.5596, 0], atol=0.00005)
    np.testing.assert_allclose(s.reactions["2"][:2], [-29844.5596, 22383.4197], atol=0.00005)
    np.testing.assert_allclose(s.reactions["4"][:2], [0, 57616.5803], atol=0.00005)


def test_exs_beam2():
    column, beam = section(2e3, 1.6e7), section(6e3, 5.4e7)
    s = solve(
        {
            "base 1": (0, 0, 0),
            "top 1": (0, 4000, 0),
            "top 2": (6000, 4000, 0),
            "base 2": (6000, 0, 0),
        },
        {
            "left": Member("top 1", "base 1", column, 200e3),
            "right": Member("top 2", "base 2", column, 200e3),
            "beam": Member("top 1", "top 2", beam, 200e3),
        },
        {"base 1": "fixed", "base 2": "x y"},
        {"top 1": (2000, 0, 0)},
        spread={"beam": (0, -10, 0)},
        plane=True,
    )
    np.testing.assert_allclose(s.moves["top 1"][:2] / 1000, [0.0075, -0.0003], atol=0.00005)
    np.testing.assert_allclose(s.moves["top 2"][:2] / 1000, [0.0075, -0.0003], atol=0.00005)
    turns = [np.radians(s.turns_deg[j][2]) for j in ("top 1", "top 2", "base 2")]
    np.testing.assert_allclose(turns, [-0.0054, 0.0047, -0.0052], atol=0.00005)
    np.testing.assert_allclose(s.reactions["base 1"][:2], [1.9268e3, 2.8741e4], atol=0.5)
    np.testing.assert_allclose(s.reactions["base 2"][:2], [-3.9268e3, 3.1259e4], atol=0.5)
    pull = [s.section_forces(m, 0)[0, 0] for m in ("left", "right", "beam")]
    printed = [-28740.878321063385, -31259.121678936615, -3926.760115937226]
    np.testing.assert_allclose(pull, printed, rtol=1e-9)
    moment = [s.section_forces(m, 0)[0, 5] / 1000 for m in ("left", "right", "beam")]
    assert abs(moment[0]) == pytest.approx(8152.31039012879, rel=1e-9)
    assert abs(moment[1]) == pytest.approx(15707.040463748464, rel=1e-9)
    assert moment[2] == pytest.approx(-8152.310390128787, rel=1e-9)
    assert s.section_forces("beam", 0)[0, 1] == pytest.approx(-28740.878, abs=0.0005)


def test_exs_beam2_bending_along_the_beam():
    """33.07 kN·m in the middle, between −8.15 and the right corner's −15.71 (printed forces)."""
    column, beam = section(2e3, 1.6e7), section(6e3, 5.4e7)
    s = solve(
        {"a": (0, 0, 0), "b": (0, 4000, 0), "c": (6000, 4000, 0), "d": (6000, 0, 0)},
        {
            "left": Member("b", "a", column, 200e3),
            "right": Member("c", "d", column, 200e3),
            "beam": Member("b", "c", beam, 200e3),
        },
        {"a": "fixed", "d": "x y"},
        {"b": (2000, 0, 0)},
        spread={"beam": (0, -10, 0)},
        plane=True,
    )
    moment = s.section_forces("beam", [0, 3000, 6000])[:, 5] / 1e6
    np.testing.assert_allclose(moment, [-8.152, 33.07, -15.707], atol=0.005)
    # the column carries no load between its ends: a straight line, as the lesson on butts says
    x = np.linspace(0, 4000, 5)
    along = s.section_forces("right", x)[:, 5]
    np.testing.assert_allclose(along, along[0] * (1 - x / 4000), atol=1e-3)
