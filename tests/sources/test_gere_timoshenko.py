"""Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), closed forms (from memory).

Appendix G, Tables G-1 and G-2 (beams), ch. 3 (torsion). Numbers for the tubes are worked out from
the closed forms on a calculator; tolerance half the last digit written.
"""

import pytest

from coursekit import tubes
from coursekit.statics import Member, MemberSection, solve

TUBE = tubes.Round(28.6, 0.9)  # I = 7519.69 mm⁴
END = {"a": (0, 0, 0), "b": (500, 0, 0)}


def test_cantilever_with_a_load_at_its_tip():
    s = solve(END, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, {"b": (0, -200, 0)})
    assert s.moves["b"][1] == pytest.approx(-5.4059, abs=0.00005)
    assert s.worst("m")[0] == pytest.approx(190.17, abs=0.005)


@pytest.mark.parametrize(("hold", "middle"), [("pinned turn_x", 1.4596), ("fixed", 0.36490)])
def test_beam_with_a_load_at_its_middle(hold, middle):
    hold = "x y z turn_x" if "turn" in hold else hold
    s = solve(
        {"a": (0, 0, 0), "mid": (300, 0, 0), "b": (600, 0, 0)},
        {"1": Member("a", "mid", TUBE), "2": Member("mid", "b", TUBE)},
        {"a": hold, "b": hold},
        {"mid": (0, -500, 0)},
    )
    assert -s.moves["mid"][1] == pytest.approx(middle, abs=0.00005)


def test_twisted_tube():
    s = solve(
        {"a": (0, 0, 0), "b": (600, 0, 0)},
        {"m": Member("a", "b", TUBE)},
        {"a": "fixed"},
        {"b": (0, 0, 0, 20_000, 0, 0)},
    )
    assert s.turns_deg["b"][0] == pytest.approx(0.57146, abs=0.000005)
    stress = s.stress("m", 300, 0)
    assert stress.shear[0, 0] == pytest.approx(19.017, abs=0.0005)
    assert stress.von_mises[0, 0] == pytest.approx(19.017 * 3**0.5, abs=0.001)


def test_shaft_held_at_both_ends():
    # L = 168 in, torques 5 at 36 in and 10 at 132 in: T_a = Σ T b / L
    bar = MemberSection(20, 100, 150, 250)
    s = solve(
        {"a": (0, 0, 0), "1": (36, 0, 0), "2": (132, 0, 0), "b": (168, 0, 0)},
        {p + q: Member(p, q, bar, 29_000, 11_400) for p, q in ("a1", "12", "2b")},
        {"a": "fixed", "b": "fixed"},
        {"1": (0, 0, 0, 5, 0, 0), "2": (0, 0, 0, 10, 0, 0)},
    )
    assert -s.reactions["a"][3] == pytest.approx(6.071, abs=0.0005)
    assert -s.reactions["b"][3] == pytest.approx(8.929, abs=0.0005)


@pytest.mark.parametrize(("hold", "factor"), [("fixed", 1 / 384), ("x y z turn_x", 5 / 384)])
def test_beam_under_a_spread_load(hold, factor):
    s = solve(
        {"a": (0, 0, 0), "mid": (300, 0, 0), "b": (600, 0, 0)},
        {"1": Member("a", "mid", TUBE), "2": Member("mid", "b", TUBE)},
        {"a": hold, "b": hold},
        {},
        spread={"1": (0, 0, 2.0), "2": (0, 0, 2.0)},
    )
    assert s.moves["mid"][2] == pytest.approx(
        factor * 2 * 600**4 / (205e3 * TUBE.inertia), rel=1e-9
    )
    middle = 2 * 600**2 * (1 / 24 if hold == "fixed" else 1 / 8)
    assert abs(s.section_forces("1", 300)[0, 4]) == pytest.approx(middle, rel=1e-9)
