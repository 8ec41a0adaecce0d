"""Identities, limits and properties of `statics`; outside numbers are in tests/sources."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from coursekit import statics, tubes
from coursekit.statics import Member, MemberSection, solve

E, G = 205_000.0, 80_000.0
TUBE = tubes.Round(28.6, 0.9)
BUTTED = tubes.Butted(31.8, (0.9, 0.6, 0.8), (70, 40, 330, 50, 110))
END = {"a": (0.0, 0.0, 0.0), "b": (600.0, 0.0, 0.0)}


def tip(tube, load=(0, -200, 0), length=600.0, **more):
    ends = {"a": (0, 0, 0), "b": (length, 0, 0)}
    return solve(ends, {"m": Member("a", "b", tube, **more)}, {"a": "fixed"}, {"b": load})


def space_frame(shift=0.0, tube=TUBE):
    nodes = {
        "a": np.array((0.0, 0.0, 40.0)) + shift,
        "b": np.array((0.0, 30.0, -40.0)),
        "c": np.array((400.0, 20.0, 5.0)),
        "d": np.array((350.0, 420.0, -8.0)) - shift,
        "e": np.array((-30.0, 500.0, 0.0)),
    }
    pairs = ("ac", "bc", "cd", "de", "ea", "eb", "ec")
    return nodes, {p: Member(p[0], p[1], tube) for p in pairs}, {"a": "fixed", "b": "x y z"}


# --- one member ---------------------------------------------------------------------------------


def test_stress_round_a_bent_tube_is_a_cosine():
    s = tip(TUBE, (0, -200, 0))
    stress = s.stress("m", [0, 300], [0, 60, 180])
    peak = 200 * 600 / TUBE.modulus
    np.testing.assert_allclose(stress.axial[0], [peak, peak / 2, -peak], rtol=1e-9)
    np.testing.assert_allclose(stress.axial[1], stress.axial[0] / 2, rtol=1e-9)


def test_sideways_load_stretches_the_far_side():
    # pushed toward +z the tube's -z side (270°) is stretched at the wall
    stress = tip(TUBE, (0, 0, 100)).stress("m", 0, [90, 270]).axial[0]
    np.testing.assert_allclose(stress, np.array([-1, 1]) * 100 * 600 / TUBE.modulus, rtol=1e-9)


def test_pull_bending_and_torsion_add_up_to_von_mises():
    s = tip(TUBE, (5000, -120, 90, 30_000, 0, 0))
    sigma = 5000 / TUBE.area + np.hypot(120, 90) * 600 / TUBE.modulus
    tau = 30_000 * 14.3 / TUBE.torsion
    worst, where = s.worst("m")
    assert worst == pytest.approx(np.sqrt(sigma**2 + 3 * tau**2), rel=1e-12)
    assert where == 0.0
    around = s.stress("m", 0, np.linspace(0, 360, 3601)).von_mises.max()
    assert around == pytest.approx(worst, rel=1e-6)


def test_oval_bends_about_both_its_axes():
    """Depth stands along local y: a load along y bends about the width axis."""
    oval = tubes.Oval(30.0, 18.0, 0.9)
    s = tip(oval, (0, -100, 0))
    assert s.moves["b"][1] == pytest.approx(-100 * 600**3 / (3 * E * oval.inertia_width), rel=1e-9)
    assert s.stress("m", 0, 0).axial[0, 0] == pytest.approx(
        100 * 600 * 9 / oval.inertia_width, rel=1e-9
    )
    s = tip(oval, (0, 0, 100))
    assert s.moves["b"][2] == pytest.approx(100 * 600**3 / (3 * E * oval.inertia_depth), rel=1e-9)
    assert s.stress("m", 0, 270).axial[0, 0] == pytest.approx(
        100 * 600 * 15 / oval.inertia_depth, rel=1e-9
    )
    assert s.moves["b"][2] < -tip(oval, (0, -100, 0)).moves["b"][1]


def test_oval_twist_follows_bredt():
    """Area inside the mid-line from a polygon half a wall within the ellipse."""
    oval, turn = tubes.Oval(30.0, 18.0, 0.9), np.linspace(0, 2 * np.pi, 20_001)
    x, y = 15 * np.cos(turn), 9 * np.sin(turn)
    slope = np.hypot(x / 225, y / 81)
    x, y = x - 0.45 * x / 225 / slope, y - 0.45 * y / 81 / slope
    enclosed = np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2
    shear = tip(oval, (0, 0, 0, 1e4, 0, 0)).stress("m", 0, 0).shear[0, 0]
    assert shear == pytest.approx(1e4 / (2 * enclosed * 0.9), rel=1e-6)


def test_side_turns_the_section():
    s = tip(MemberSection(600, 5e4, 2e4, 100), (0, -10, 0), side=(0, 1, 0))
    assert s.moves["b"][1] == pytest.approx(-10 * 600**3 / (3 * E * 5e4), rel=1e-9)


def test_upright_member_has_y_pointing_back():
    s = solve(
        {"a": (0, 0, 0), "b": (0, 600, 0)},
        {"m": Member("a", "b", MemberSection(600, 5e4, 2e4, 100))},
        {"a": "fixed"},
        {"b": (-10, 0, 20)},
    )
    np.testing.assert_allclose(
        s.moves["b"],
        [-10 * 600**3 / (3 * E * 2e4), 0, 20 * 600**3 / (3 * E * 5e4)],
        rtol=1e-9,
        atol=1e-12,
    )
    assert s.section_forces("m", 0)[0, 1] == pytest.approx(10)


def test_pinned_strut_carries_pull_only():
    s = solve(
        {"a": (0, 0, 0), "b": (600, 0, 0)},
        {"m": Member("a", "b", TUBE, pinned=True)},
        {"a": "pinned", "b": "y z"},
        {"b": (1000, 0, 0)},
    )
    assert s.moves["b"][0] == pytest.approx(1000 * 600 / (E * TUBE.area), rel=1e-12)
    np.testing.assert_allclose(s.end_forces["m"][1], [1000, 0, 0, 0, 0, 0], atol=1e-9)


# --- Timoshenko's beam --------------------------------------------------------------------------


def test_shear_adds_pl_over_kga():
    # Cowper (1966), J. Appl. Mech. 33, thin round tube: k = 2(1 + v) / (4 + 3v)
    thin = tubes.Round(30.0, 0.001)
    bend = 200 * 120**3 / (3 * E * thin.inertia)
    poisson = E / (2 * G) - 1
    k = 2 * (1 + poisson) / (4 + 3 * poisson)
    moved = -tip(thin, length=120.0, shear=True).moves["b"][1]
    assert moved == pytest.approx(bend + 200 * 120 / (k * G * thin.area), rel=1e-6)
    assert -tip(thin, length=120.0).moves["b"][1] == pytest.approx(bend, rel=1e-9)


def test_shear_of_a_solid_bar():
    # Cowper (1966): solid circle k = 6(1 + v) / (7 + 6v)
    bar = tubes.Round(20.0, 10.0)
    poisson = E / (2 * G) - 1
    k = 6 * (1 + poisson) / (7 + 6 * poisson)
    expected = 200 * 60**3 / (3 * E * bar.inertia) + 200 * 60 / (k * G * bar.area)
    assert -tip(bar, length=60.0, shear=True).moves["b"][1] == pytest.approx(expected, rel=1e-9)


def test_shear_of_a_thick_tube():
    """Cowper (1966), hollow circle: k = 6(1+v)(1+m²)² / ((7+6v)(1+m²)² + (20+12v)m²), m = 0.5, v = 0.28125."""
    thick = tubes.Round(20.0, 5.0)
    lean = (
        -tip(thick, length=60.0, shear=True).moves["b"][1] + tip(thick, length=60.0).moves["b"][1]
    )
    assert lean == pytest.approx(200 * 60 / (0.618588 * G * thick.area), rel=1e-6)


def test_shear_areas_belong_to_their_own_axes():
    lean = MemberSection(600, 5e4, 2e4, 100, shear_y=250, shear_z=310)
    s = tip(lean, (0, 300, 200), shear=True)
    across = 300 * 600**3 / (3 * E * 2e4) + 300 * 600 / (G * 250)
    aside = 200 * 600**3 / (3 * E * 5e4) + 200 * 600 / (G * 310)
    np.testing.assert_allclose(s.moves["b"], [0, across, aside], rtol=1e-9)


def test_side_may_be_oblique_and_is_each_members_own():
    flat = MemberSection(600, 5e4, 2e4, 100)
    s = solve(
        {"a": (0, 0, 0), "b": (600, 0, 0), "c": (0, 0, 500)},
        {"1": Member("a", "b", flat, side=(3, 2, 2)), "2": Member("a", "c", flat, side=(0, -5, 1))},
        {"a": "fixed"},
        {"b": (0, -10, -10), "c": (0, 20, 0)},
    )
    np.testing.assert_allclose(s.moves["b"][1:], -10 * 600**3 / (3 * E * 5e4), rtol=1e-9)
    np.testing.assert_allclose(
        s.moves["c"], [0, 20 * 500**3 / (3 * E * 5e4), 0], rtol=1e-9, atol=1e-9
    )


def test_spread_load_on_a_beam_that_yields_in_shear():
    lean = MemberSection(600, 5e4, 2e4, 100, shear_y=250, shear_z=310)
    ends = {"m": Member("a", "b", lean, shear=True)}
    s = solve(END, ends, {"a": "fixed"}, {}, spread={"m": (0, 3, 2)})
    across = 3 * 600**4 / (8 * E * 2e4) + 3 * 600**2 / (2 * G * 250)
    aside = 2 * 600**4 / (8 * E * 5e4) + 2 * 600**2 / (2 * G * 310)
    np.testing.assert_allclose(s.moves["b"], [0, across, aside], rtol=1e-9)
    np.testing.assert_allclose(
        np.radians(s.turns_deg["b"][1:]),
        [-2 * 600**3 / (6 * E * 5e4), 3 * 600**3 / (6 * E * 2e4)],
        rtol=1e-9,
    )


# --- butted tubes -------------------------------------------------------------------------------


def test_butted_tube_against_quadrature():
    """∫ x² / EI along the tube, by an adaptive library rule."""
    back = lambda x: 600.0 - x  # noqa: E731
    inertia = lambda x: tubes.Round(31.8, float(BUTTED.wall_at(x))).inertia  # noqa: E731
    marks = np.cumsum(BUTTED.lengths)[:-1]
    bend = quad(
        lambda x: back(x) ** 2 / (E * inertia(x)), 0, 600, points=marks, epsabs=1e-14, epsrel=1e-12
    )[0]
    s = tip(BUTTED, (0, -200, 0))
    assert -s.moves["b"][1] == pytest.approx(200 * bend, rel=1e-10)
    pull = quad(
        lambda x: 1 / (E * tubes.Round(31.8, float(BUTTED.wall_at(x))).area), 0, 600, points=marks
    )[0]
    assert tip(BUTTED, (900, 0, 0)).moves["b"][0] == pytest.approx(900 * pull, rel=1e-10)
    twist = quad(lambda x: 1 / (G * 2 * inertia(x)), 0, 600, points=marks)[0]
    turned = np.radians(tip(BUTTED, (0, 0, 0, 5e3, 0, 0)).turns_deg["b"][0])
    assert turned == pytest.approx(5e3 * twist, rel=1e-10)


@pytest.mark.parametrize("shear", [False, True])
def test_butted_tube_is_the_limit_of_many_short_plain_ones(shear):
    count = 120
    marks = np.unique(np.concatenate([np.linspace(0, 600, count + 1), np.cumsum(BUTTED.lengths)]))
    nodes = {str(i): (x, 0, 0) for i, x in enumerate(marks)}
    walls = BUTTED.wall_at((marks[1:] + marks[:-1]) / 2)
    many = {
        f"m{i}": Member(str(i), str(i + 1), tubes.Round(31.8, float(w)), shear=shear)
        for i, w in enumerate(walls)
    }
    last, load = str(len(marks) - 1), (300, -200, 150, 4e3, 2e4, 1e4)
    # pieces 5 mm long with the wall of their middle: an error of the order of (5/50)² / 24 of the taper's effect
    fine = solve(nodes, many, {"0": "fixed"}, {last: load})
    one = tip(BUTTED, load, shear=shear)
    np.testing.assert_allclose(one.moves["b"], fine.moves[last], rtol=5e-5)
    np.testing.assert_allclose(one.turns_deg["b"], fine.turns_deg[last], rtol=5e-5)


def test_butted_tube_under_a_spread_load_held_at_both_ends():
    count = 120
    nodes = {str(i): (5.0 * i, 0, 0) for i in range(count + 1)}
    walls = BUTTED.wall_at(5 * np.arange(count) + 2.5)
    many = {
        str(i): Member(str(i), str(i + 1), tubes.Round(31.8, float(w))) for i, w in enumerate(walls)
    }
    ends = {"0": "fixed", str(count): "fixed"}
    fine = solve(nodes, many, ends, {}, spread=dict.fromkeys(many, (1.0, -2.0, 3.0)))
    one = solve(
        END,
        {"m": Member("a", "b", BUTTED)},
        {"a": "fixed", "b": "fixed"},
        {},
        spread={"m": (1.0, -2.0, 3.0)},
    )
    np.testing.assert_allclose(one.reactions["a"], fine.reactions["0"], rtol=5e-5, atol=1e-6)
    np.testing.assert_allclose(one.reactions["b"], fine.reactions[str(count)], rtol=5e-5, atol=1e-6)


def test_butted_tube_with_one_wall_is_a_plain_tube():
    same = tubes.Butted(28.6, (0.9, 0.9, 0.9), (60, 40, 300, 40, 100))
    load = (300, -200, 150, 4e3, 2e4, 1e4)
    np.testing.assert_allclose(tip(same, load).moves["b"], tip(TUBE, load).moves["b"], rtol=1e-12)


def test_place_of_a_butted_tube_in_its_member():
    """End a lies at start; by default the tube lies in the middle and its ends' walls go on."""
    longer = tubes.Butted(31.8, (0.9, 0.6, 0.8), (95, 40, 330, 50, 135))
    middle = tip(BUTTED, (0, -200, 0), length=650.0).moves["b"]
    np.testing.assert_allclose(
        middle, tip(longer, (0, -200, 0), length=650.0).moves["b"], rtol=1e-12
    )
    shifted = tip(BUTTED, (0, -200, 0), length=650.0, tube_from=0.0).moves["b"]
    other = tubes.Butted(31.8, (0.9, 0.6, 0.8), (70, 40, 330, 50, 160))
    np.testing.assert_allclose(
        shifted, tip(other, (0, -200, 0), length=650.0).moves["b"], rtol=1e-12
    )


def test_worst_stress_of_a_butted_tube_may_lie_where_the_wall_is_thin():
    s = solve(END, {"m": Member("a", "b", BUTTED)}, {"a": "fixed"}, {"b": (0, 0, 0, 0, 0, 1e5)})
    worst, where = s.worst("m")
    thin = tubes.Round(31.8, 0.6)
    assert worst == pytest.approx(1e5 / thin.modulus, rel=1e-12)
    assert 110 - 1e-6 <= where <= 440 + 1e-6
    assert s.stress("m", 0, 0).axial[0, 0] == pytest.approx(
        -1e5 / tubes.Round(31.8, 0.9).modulus, rel=1e-12
    )


def test_worst_stress_between_the_ends_under_a_spread_load():
    s = solve(
        END,
        {"m": Member("a", "b", TUBE)},
        {"a": "x y z turn_x", "b": "x y z"},
        {},
        spread={"m": (0, -2, 0)},
    )
    worst, where = s.worst("m")
    assert worst == pytest.approx(2 * 600**2 / 8 / TUBE.modulus, rel=1e-9)
    assert where == pytest.approx(300)


def test_worst_stress_near_the_far_end():
    """w x (L − x) / 2 + M x / L is largest at L / 2 + M / (w L): here at 0.8 L, 0.32 w L²."""
    push, length = 2.0, 600.0
    s = solve(
        END,
        {"m": Member("a", "b", TUBE)},
        {"a": "x y z turn_x", "b": "y z"},
        {"b": (0, 0, 0, 0, 0, 0.3 * push * length**2)},
        spread={"m": (0, -push, 0)},
    )
    worst, where = s.worst("m")
    assert worst == pytest.approx(0.32 * push * length**2 / TUBE.modulus, rel=1e-9)
    assert where == pytest.approx(0.8 * length)


def test_one_place_off_the_member_is_enough_to_refuse():
    s = tip(TUBE, (0, -200, 0))
    for places in ([0.0, 601.0], [-1.0, 300.0]):
        with pytest.raises(ValueError, match="must lie on it"):
            s.section_forces("m", places)


def test_load_on_a_support_goes_into_the_support():
    s = solve(
        END, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, {"a": (30, -200, 10), "b": (0, -50, 0)}
    )
    assert s.reactions["a"] == pytest.approx([-30, 250, -10, 0, 0, 50 * 600])


@pytest.mark.parametrize(
    "thing",
    [MemberSection(1, 1, 1, 1), Member("a", "b", TUBE), statics.Stress(1, 1), tip(TUBE, (0, 1, 0))],
)
def test_what_goes_in_and_comes_out_is_not_changed_by_accident(thing):
    with pytest.raises(AttributeError):
        setattr(thing, next(iter(vars(thing))), 0)


@pytest.mark.parametrize("tube", [TUBE, BUTTED], ids=["plain", "butted"])
def test_pull_spread_along_a_bar(tube):
    """Free at its end it grows by ∫ q (L − x) / E A dx; held at both, the ends share the pull."""
    x = np.linspace(0, 600, 60_001)
    area = tubes.Round(tube.diameter, tube.wall_at(x) if tube is BUTTED else tube.wall).area
    along = np.trapezoid(np.broadcast_to(3.0 * (600 - x) / (E * area), x.shape), x)
    bar = {"m": Member("a", "b", tube)}
    free = solve(END, bar, {"a": "fixed"}, {}, spread={"m": (3.0, 0, 0)})
    assert free.moves["b"][0] == pytest.approx(along, rel=1e-7)
    held = solve(END, bar, {"a": "fixed", "b": "fixed"}, {}, spread={"m": (3.0, 0, 0)})
    give = np.trapezoid(np.broadcast_to(1 / (E * area), x.shape), x)
    assert held.reactions["b"][0] == pytest.approx(-along / give, rel=1e-7)
    assert held.reactions["a"][0] + held.reactions["b"][0] == pytest.approx(-1800)


def test_spread_load_sideways_on_a_beam_that_yields_in_shear():
    up, side = (
        solve(END, {"m": Member("a", "b", TUBE, shear=True)}, {"a": "fixed", "b": "fixed"}, {}, spread={"m": q})
        for q in ((0, 2.0, 0), (0, 0, 2.0))
    )  # fmt: skip
    assert side.section_forces("m", [0, 300])[:, [2, 4]] == pytest.approx(
        up.section_forces("m", [0, 300])[:, [1, 5]] * [1, -1]
    )


def test_wall_of_a_butted_tube_that_begins_later():
    s = tip(BUTTED, (0, -200, 0), length=700.0, tube_from=80.0)
    for x in (80.0 + 90.0, 80.0 + 300.0, 80.0 + 560.0):
        here = tubes.Round(31.8, float(BUTTED.wall_at(x - 80.0)))
        assert s.stress("m", x, 0).axial[0, 0] == pytest.approx(200 * (700 - x) / here.modulus)


def test_settling_sideways_is_in_millimetres():
    s = solve(END, {"m": Member("a", "b", TUBE)}, {"a": "fixed", "b": {"z": 1.5}}, {})
    assert s.moves["b"][2] == 1.5


def test_plane_frame_does_not_see_loads_across_its_plane():
    s = solve(END, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, {"b": (0, -50, 70, 900, 800, 0)}, plane=True)  # fmt: skip
    assert s.moves["b"][2] == 0
    assert s.turns_deg["b"][:2] == pytest.approx([0, 0])
    bar = solve(END, {"m": Member("a", "b", TUBE, pinned=True)}, {"a": "x y", "b": "y"}, {"b": (0, 0, 70)}, plane=True)  # fmt: skip
    assert bar.moves["b"] == pytest.approx([0, 0, 0])


def test_two_frames_at_once_and_all_that_is_asked_of_them():
    ends = {"a": (0, 0, 0), "b": np.array([(600.0, 0, 0), (450.0, 30, 10)])}
    loads = {"b": (10, -200, 30)}
    both = solve(
        ends, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, loads, spread={"m": (0, -1, 0)}
    )
    for i in range(2):
        one = solve({"a": (0, 0, 0), "b": ends["b"][i]}, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, loads, spread={"m": (0, -1, 0)})  # fmt: skip
        assert both.section_forces("m", [0, 200])[i] == pytest.approx(
            one.section_forces("m", [0, 200])
        )
        assert both.stress("m", 100, [0, 45]).axial[i] == pytest.approx(one.stress("m", 100, [0, 45]).axial)  # fmt: skip
        assert both.worst("m")[0][i] == pytest.approx(one.worst("m")[0])


def test_section_all_of_whose_values_differ_from_frame_to_frame():
    values = np.array([(600.0, 5e4, 2e4, 1e3, 400.0, 300.0), (500.0, 4e4, 3e4, 2e3, 350.0, 280.0)])
    steel = np.array([E, 0.9 * E]), np.array([80_000.0, 70_000.0])

    def at(area, iy, iz, torsion, shear_y, shear_z, modulus, shear_modulus):
        own = MemberSection(area, iy, iz, torsion, shear_y=shear_y, shear_z=shear_z)
        return solve(END, {"m": Member("a", "b", own, modulus, shear_modulus, shear=True)}, {"a": "fixed"}, {"b": (50, -200, 30, 900, 0, 0)})  # fmt: skip

    both = at(*values.T, *steel)
    for i in range(2):
        one = at(*values[i], steel[0][i], steel[1][i])
        assert both.moves["b"][i] == pytest.approx(one.moves["b"], rel=1e-9)
        assert both.turns_deg["b"][i] == pytest.approx(one.turns_deg["b"], rel=1e-9)


def test_the_member_without_a_length_is_named():
    nodes = {"a": (0, 0, 0), "b": (600, 0, 0), "c": (600, 0, 0), "d": (600.5, 0, 0)}
    members = {"long": Member("a", "b", TUBE), "short": Member("b", "d", TUBE), "none": Member("b", "c", TUBE)}  # fmt: skip
    with pytest.raises(ValueError, match="got 0 mm for 'none'"):
        solve(nodes, members, {"a": "fixed"}, {})
    once = {"a": (0, 0, 0), "b": np.array([(600.0, 0, 0), (0, 0, 0)])}
    with pytest.raises(ValueError, match="got 0 mm for 'm'"):
        solve(once, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, {})


def test_one_bad_number_is_enough_to_refuse():
    with pytest.raises(ValueError, match="position of joint 'b' must be 3 finite"):
        solve(
            {"a": (0, 0, 0), "b": (np.nan, 0, 0)}, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, {}
        )
    half = MemberSection(600.0, 5e4, 2e4, 100.0, shear_y=300.0)
    with pytest.raises(ValueError, match="must have shear_y and shear_z"):
        solve(END, {"m": Member("a", "b", half, shear=True)}, {"a": "fixed"}, {})
    bar = {"m": Member("a", "b", TUBE, pinned=True)}
    with pytest.raises(ValueError, match="A moment must act on a joint with a stiff member"):
        solve(END, bar, {"a": "x y z", "b": "y z"}, {"b": (0, 0, 0, 5, 0, 0)})
    lengths = {"a": (0, 0, 0), "b": np.array([(600.0, 0, 0), (500.0, 0, 0)])}
    with pytest.raises(ValueError, match="must lie within its member; got 50 mm"):
        solve(lengths, {"m": Member("a", "b", BUTTED)}, {"a": "fixed"}, {})


def test_side_of_one_member_beside_one_without():
    flat = MemberSection(120.0, 9e3, 2.5e4, 1.7e4)
    nodes = {"a": (0, 0, 0), "b": (600, 0, 0), "c": (0, 50, 0), "d": (600, 50, 0)}
    turned, plain = Member("a", "b", flat, side=(0, 1, 0)), Member("c", "d", flat)
    s = solve(nodes, {"t": turned, "p": plain}, {"a": "fixed", "c": "fixed"}, {"b": (0, -10, 0), "d": (0, -10, 0)})  # fmt: skip
    assert s.moves["b"][1] == pytest.approx(-10 * 600**3 / (3 * E * 9e3))
    assert s.moves["d"][1] == pytest.approx(-10 * 600**3 / (3 * E * 2.5e4))


# --- frames -------------------------------------------------------------------------------------


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(-1000, 1000), min_size=12, max_size=12))
def test_reactions_balance_the_loads(numbers):
    nodes, members, supports = space_frame()
    loads = {"d": numbers[:6], "e": numbers[6:]}
    s = solve(nodes, members, supports, loads)
    held = sum(s.reactions[n][:3] for n in supports)
    np.testing.assert_allclose(held, -np.add(numbers[:3], numbers[6:9]), atol=1e-6)
    turn = sum(s.reactions[n][3:] + np.cross(nodes[n], s.reactions[n][:3]) for n in supports)
    given_turn = sum(np.add(v[3:], np.cross(nodes[n], v[:3])) for n, v in loads.items())
    np.testing.assert_allclose(turn, -given_turn, atol=1e-3)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 5), st.integers(0, 5))
def test_reciprocity(way_d, way_e):
    """Maxwell-Betti: what a unit load at d does at e, the same load at e does at d."""
    nodes, members, supports = space_frame()
    at_d, at_e = np.eye(6)[way_d], np.eye(6)[way_e]
    move = lambda s, n: np.concatenate([s.moves[n], np.radians(s.turns_deg[n])])  # noqa: E731
    one = move(solve(nodes, members, supports, {"d": at_d}), "e")[way_e]
    two = move(solve(nodes, members, supports, {"e": at_e}), "d")[way_d]
    assert one == pytest.approx(two, rel=1e-9, abs=1e-18)


def test_batch_equals_loop():
    count = 70
    rng = np.random.default_rng(3)
    shift = rng.normal(0, 5, (count, 3))
    wall = rng.uniform(0.5, 1.2, count)
    nodes, members, supports = space_frame(shift, tubes.Round(28.6, wall))
    load = rng.normal(0, 300, (count, 6))
    force = rng.normal(0, 1, count)
    supports = {**supports, "b": {"x": 0.0, "y": force, "z": 0.0}}
    many = solve(nodes, members, supports, {"d": load}, spread={"cd": (0, -1, 0)})
    worst = many.worst("cd")[0]
    for i in (0, 31, 32, 69):
        alone = space_frame(shift[i], tubes.Round(28.6, wall[i]))
        held = {**supports, "b": {"x": 0.0, "y": force[i], "z": 0.0}}
        s = solve(alone[0], alone[1], held, {"d": load[i]}, spread={"cd": (0, -1, 0)})
        np.testing.assert_allclose(many.moves["d"][i], s.moves["d"], rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(
            many.end_forces["ec"][i], s.end_forces["ec"], rtol=1e-7, atol=1e-6
        )
        np.testing.assert_allclose(many.reactions["a"][i], s.reactions["a"], rtol=1e-7, atol=1e-5)
        assert worst[i] == pytest.approx(float(s.worst("cd")[0]), rel=1e-9)


@pytest.mark.parametrize("wall", [np.linspace(0.5, 1.2, 40), np.array([0.6])])
def test_batch_of_walls_alone(wall):
    nodes, members, supports = space_frame(tube=tubes.Round(28.6, wall))
    many = solve(nodes, members, supports, {"d": (100, -200, 50)})
    for i in {0, len(wall) - 1}:
        nodes, members, supports = space_frame(tube=tubes.Round(28.6, float(wall[i])))
        one = solve(nodes, members, supports, {"d": (100, -200, 50)})
        np.testing.assert_allclose(many.moves["d"][i], one.moves["d"], rtol=1e-9)
        assert many.worst("cd")[0][i] == pytest.approx(float(one.worst("cd")[0]), rel=1e-9)


def test_batch_of_butted_frames():
    rise = np.linspace(-60, 0, 35)
    ends = {"a": (0, 0, 0), "b": np.stack([600 + 0 * rise, rise, 0 * rise], -1)}
    many = solve(
        ends, {"m": Member("a", "b", BUTTED, shear=True)}, {"a": "fixed"}, {"b": (30, -200, 10)}
    )
    for i in (0, 33, 34):
        one = solve(
            {"a": (0, 0, 0), "b": ends["b"][i]},
            {"m": Member("a", "b", BUTTED, shear=True)},
            {"a": "fixed"},
            {"b": (30, -200, 10)},
        )
        np.testing.assert_allclose(many.moves["b"][i], one.moves["b"], rtol=1e-9)
        for ours, alone in zip(many.worst("m"), one.worst("m"), strict=True):
            assert ours[i] == pytest.approx(float(alone), rel=1e-9)


def test_load_cases_share_one_frame_and_keep_their_shape():
    nodes, members, supports = space_frame()
    cases = np.random.default_rng(1).normal(0, 100, (3, 40, 3))
    many = solve(nodes, members, supports, {"d": cases})
    assert many.moves["e"].shape == (3, 40, 3)
    assert many.end_forces["cd"].shape == (3, 40, 2, 6)
    assert many.stress("cd", [0, 10], [0, 90, 180]).von_mises.shape == (3, 40, 2, 3)
    one = solve(nodes, members, supports, {"d": cases[2, 7]})
    np.testing.assert_allclose(many.moves["e"][2, 7], one.moves["e"], rtol=1e-9)
    np.testing.assert_allclose(many.worst("cd")[0][2, 7], one.worst("cd")[0], rtol=1e-9)
    for_one = [solve(nodes, members, supports, {"d": push}).moves["e"] for push in np.eye(3)]
    np.testing.assert_allclose(many.moves["e"], cases @ np.array(for_one), rtol=1e-9, atol=1e-12)


def test_turning_the_whole_frame_turns_its_movement():
    nodes, members, supports = space_frame()
    q, _ = np.linalg.qr(np.random.default_rng(5).normal(size=(3, 3)))
    q *= np.sign(np.linalg.det(q))
    load = np.array([100.0, -200.0, 50.0])
    supports = {"a": "fixed", "b": "fixed"}
    here = solve(nodes, members, supports, {"d": load})
    there = solve({n: q @ p for n, p in nodes.items()}, members, supports, {"d": q @ load})
    np.testing.assert_allclose(there.moves["d"], q @ here.moves["d"], rtol=1e-9)
    assert there.worst("cd")[0] == pytest.approx(float(here.worst("cd")[0]), rel=1e-9)


def test_mirrored_frame_moves_mirrored():
    nodes, members, supports = space_frame()
    flip = np.array([1, 1, -1])
    here = solve(nodes, members, supports, {"d": (100, -200, 50)})
    there = solve(
        {n: p * flip for n, p in nodes.items()}, members, supports, {"d": (100, -200, -50)}
    )
    np.testing.assert_allclose(there.moves["e"], here.moves["e"] * flip, rtol=1e-9)
    np.testing.assert_allclose(there.turns_deg["e"], here.turns_deg["e"] * -flip, rtol=1e-9)


def test_inner_forces_run_from_end_to_end():
    nodes, members, supports = space_frame()
    s = solve(nodes, members, supports, {"d": (100, -200, 50)}, spread={"cd": (0.3, -0.2, 0.1)})
    length = np.linalg.norm(nodes["d"] - nodes["c"])
    inner = s.section_forces("cd", [0, length])
    np.testing.assert_allclose(inner[0], -s.end_forces["cd"][0], atol=1e-9)
    np.testing.assert_allclose(inner[1], s.end_forces["cd"][1], atol=1e-6)


def test_support_that_settles_turns_a_free_frame_without_stress():
    s = solve(
        END, {"m": Member("a", "b", TUBE)}, {"a": "x y z turn_x", "b": {"y": -6.0, "z": 0.0}}, {}
    )
    np.testing.assert_allclose(s.end_forces["m"], 0, atol=1e-6)
    assert s.turns_deg["a"][2] == pytest.approx(-np.degrees(0.01), rel=1e-9)


def test_turn_forced_on_a_support_is_in_degrees():
    s = solve(END, {"m": Member("a", "b", TUBE)}, {"a": "fixed", "b": {"turn_x_deg": 2.0}}, {})
    assert s.turns_deg["b"][0] == pytest.approx(2.0)
    assert s.reactions["b"][3] == pytest.approx(G * TUBE.torsion * np.radians(2) / 600, rel=1e-9)


def test_plane_frame_stays_in_its_plane():
    s = solve(END, {"m": Member("a", "b", TUBE)}, {"a": "fixed"}, {"b": (5, -10, 70)}, plane=True)
    assert s.moves["b"][2] == 0
    assert s.moves["b"][1] == pytest.approx(-10 * 600**3 / (3 * E * TUBE.inertia), rel=1e-9)


# --- mechanisms ---------------------------------------------------------------------------------


def test_square_of_pinned_bars_is_a_mechanism():
    square = {"a": (0, 0, 0), "b": (100, 0, 0), "c": (100, 100, 0), "d": (0, 100, 0)}
    bars = {p: Member(p[0], p[1], TUBE, pinned=True) for p in ("ab", "bc", "cd", "da")}
    with pytest.raises(statics.MechanismError, match=r"joint '[cd]' moves freely along x"):
        solve(square, bars, {"a": "x y", "b": "y"}, {"c": (0, -10, 0)}, plane=True)
    braced = {**bars, "ac": Member("a", "c", TUBE, pinned=True)}
    s = solve(square, braced, {"a": "x y", "b": "y"}, {"c": (10, 0, 0)}, plane=True)
    assert s.moves["c"][0] > 0


def test_mechanism_is_found_whatever_the_load():
    """No load at all, and a load that does not push the loose way."""
    for loads in ({}, {"b": (50, 0, 0)}):
        with pytest.raises(
            statics.MechanismError, match="joint 'b' moves freely along y, 1 such motion in all"
        ):
            solve(END, {"m": Member("a", "b", TUBE)}, {"a": "x y z turn_x turn_y"}, loads)


def test_mechanism_is_found_among_many_load_cases():
    """Cases that do not push the loose way, on a frame whose looseness rounding hides from the solver."""
    slope = np.radians(33.0)
    ends = {"a": (1.1, 2.3, 0.7), "b": (1.1 + 571 * np.cos(slope), 2.3 + 571 * np.sin(slope), 0.7)}
    along = np.outer([1.0, 2.0, 3.0], [np.cos(slope), np.sin(slope), 0])
    with pytest.raises(statics.MechanismError, match="'b' moves freely along"):
        solve(ends, {"m": Member("a", "b", TUBE)}, {"a": "x y z turn_x turn_y"}, {"b": along})


def test_frame_on_nothing_has_six_loose_motions():
    with pytest.raises(statics.MechanismError, match="6 such motions in all"):
        solve(END, {"m": Member("a", "b", TUBE)}, {}, {})


def test_oblique_mechanism_names_its_direction():
    nodes = {"a": (0, 0, 0), "b": (100, 100, 0)}
    bar = {"m": Member("a", "b", TUBE, pinned=True)}
    with pytest.raises(
        statics.MechanismError,
        match=r"'b' moves freely along \(0\.71, -0\.71, 0\.00\)|'b' moves freely along \(-0\.71, 0\.71, 0\.00\)",
    ):
        solve(nodes, bar, {"a": "x y"}, {}, plane=True)


def test_direction_of_a_mechanism_is_square_to_its_bar():
    nodes = {"a": (0, 0, 0), "b": (200, 100, 0)}  # (1, −2) / √5 is square to it
    bar = {"m": Member("a", "b", TUBE, pinned=True)}
    with pytest.raises(statics.MechanismError, match=r"along \(-0\.45, 0\.89, 0\.00\)"):
        solve(nodes, bar, {"a": "x y"}, {}, plane=True)


def test_mechanism_in_the_second_of_two_frames():
    nodes = {"a": (0, 0, 0), "b": [(300.0, 50.0, 0.0), (300.0, 0.0, 0.0)], "c": (600, 0, 0)}
    bars = {"ab": Member("a", "b", TUBE, pinned=True), "bc": Member("b", "c", TUBE, pinned=True)}
    with pytest.raises(statics.MechanismError, match=r"\(frame 1 of the batch\)"):
        solve(nodes, bars, {"a": "x y", "c": "x y"}, {"b": (0, -10, 0)}, plane=True)


def test_mechanism_in_a_batch_names_the_frame():
    across = np.tile([300.0, 50.0, 0.0], (50, 1))
    across[41] = (300.0, 0.0, 0.0)  # three pins in line
    nodes = {"a": (0, 0, 0), "b": across, "c": (600, 0, 0)}
    bars = {"ab": Member("a", "b", TUBE, pinned=True), "bc": Member("b", "c", TUBE, pinned=True)}
    with pytest.raises(
        statics.MechanismError, match=r"'b' moves freely along y \(frame 41 of the batch\)"
    ):
        solve(nodes, bars, {"a": "x y", "c": "x y"}, {"b": (0, -10, 0)}, plane=True)


def test_flat_but_sound_frame_is_no_mechanism():
    """A very slender chain is soft, not loose."""
    nodes = {str(i): (100.0 * i, 0, 0) for i in range(51)}
    chain = {str(i): Member(str(i), str(i + 1), tubes.Round(5.0, 0.5)) for i in range(50)}
    s = solve(nodes, chain, {"0": "fixed"}, {"50": (0, -0.01, 0)})
    assert -s.moves["50"][1] == pytest.approx(
        0.01 * 5000**3 / (3 * E * tubes.Round(5.0, 0.5).inertia), rel=1e-5
    )


def test_sizes_on_two_leading_axes_are_a_frame_each():
    """A cantilever for each of two lengths of rows and three diameters: P L³ / 3 E I."""
    across = np.array([[25.4, 28.6, 31.8], [34.9, 38.1, 40.0]])
    tube = tubes.Round(across, np.array([[0.9], [1.2]]))
    tip = solve(
        {"wall": (0, 0, 0), "tip": (400, 0, 0)},
        {"arm": Member("wall", "tip", tube)},
        {"wall": "fixed"},
        {"tip": (0, -100, 0)},
    ).moves["tip"]
    inertia = np.pi / 64 * (across**4 - (across - 2 * np.array([[0.9], [1.2]])) ** 4)
    assert tip.shape == (2, 3, 3)
    assert tip[..., 1] == pytest.approx(-100 * 400**3 / (3 * 205_000 * inertia), rel=1e-9)


def test_a_stiff_arm_on_a_pinned_rod_shares_the_load_by_stiffness():
    """The rod under the arm's tip takes no bending: P / (3 E I / L³ + E A / h) sinks the tip."""
    arm, rod = tubes.Round(28.6, 0.9), tubes.Round(16.0, 0.7)
    joints = {"wall": (0, 0, 0), "tip": (400, 0, 0), "floor": (400, -300, 0)}
    members = {
        "arm": Member("wall", "tip", arm),
        "rod": Member("floor", "tip", rod, pinned=True),
    }
    held = {"wall": "fixed", "floor": "pinned"}
    found = solve(joints, members, held, {"tip": (0, -5000, 0)}, plane=True)
    stiff = 205_000 * (3 * arm.inertia / 400**3 + rod.area / 300)
    assert found.moves["tip"][1] == pytest.approx(-5000 / stiff, rel=1e-9)
    with pytest.raises(ValueError, match="A moment must act on a joint with a stiff member; got one on 'floor'"):  # fmt: skip
        solve(joints, members, held, {"floor": (0, 0, 0, 0, 0, 900)})


@pytest.mark.parametrize("frames", [2, 3])
def test_frames_solved_one_by_one_in_blocks_are_those_of_one_block(frames, monkeypatch):
    """Every array of a batch has its leading axis cut, in a batch of two as well."""
    nodes, members, supports = space_frame()
    nodes["d"] = nodes["d"] + np.arange(frames)[:, None] * (20.0, -15.0, 4.0)
    loads = {"d": np.arange(1, frames + 1)[:, None] * (100.0, -300.0, 40.0)}
    spread = {"cd": np.arange(1, frames + 1)[:, None] * (0.0, -0.3, 0.1)}
    whole = solve(nodes, members, supports, loads, spread=spread)
    monkeypatch.setattr(statics.system, "CHUNK", 1)
    parted = solve(nodes, members, supports, loads, spread=spread)
    for joint in nodes:
        assert parted.moves[joint] == pytest.approx(whole.moves[joint], rel=1e-9, abs=1e-12)
    assert parted.end_forces["cd"] == pytest.approx(whole.end_forces["cd"], rel=1e-9, abs=1e-6)
