"""Round trips, limits and an outside judge (Monte Carlo) for `fixture`."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit import fixture
from coursekit.frame import draw

USUAL = {
    "seat_angle_deg": 73.0, "head_angle_deg": 72.0, "chainstay": 425.0, "bb_drop": 70.0,
    "rear_radius": 338.0, "front_radius": 342.0, "fork_length": 385.0, "fork_offset": 47.0,
    "lower_stack": 12.0, "head_tube": 145.0, "seat_tube": 540.0, "front_centre": 600.0,
}  # fmt: skip
ERRORS = {"rear_back": 0.3, "rear_up": 0.4, "seat_angle_deg": 0.1, "head_angle_deg": 0.1, "head_ahead": 0.5,
          "low_face": 0.6, "high_face": 0.2, "fork_length": 0.7, "fork_offset": 0.5}  # fmt: skip

dimension = st.fixed_dictionaries({
    "seat_angle_deg": st.floats(70, 76), "head_angle_deg": st.floats(68, 75), "chainstay": st.floats(400, 470),
    "bb_drop": st.floats(-10, 85), "rear_radius": st.floats(240, 370), "front_radius": st.floats(240, 370),
    "fork_length": st.floats(340, 460), "fork_offset": st.floats(20, 70), "lower_stack": st.floats(0, 20),
    "head_tube": st.floats(80, 220), "seat_tube": st.floats(400, 640), "front_centre": st.floats(620, 700),
})  # fmt: skip


@settings(max_examples=50, deadline=None)
@given(dimension, st.floats(0, 300))
def test_readings_lead_back_to_the_points(d, rail):
    """Laid out with rule and protractor from the readings, every point is where the drawing has it."""
    f = draw(**d)
    s = fixture.settings(f, rail)
    up = np.array([-np.cos(np.radians(s.head_angle_deg)), np.sin(np.radians(s.head_angle_deg))])
    front = np.array([up[1], -up[0]])
    crossing = np.array([s.head_ahead, -rail])
    np.testing.assert_allclose([-s.rear_back, s.rear_up], f.points["rear_axle"], atol=1e-9)
    np.testing.assert_allclose(crossing + s.low_face * up, f.points["head_low"], atol=1e-9)
    np.testing.assert_allclose(crossing + s.high_face * up, f.points["head_high"], atol=1e-9)
    np.testing.assert_allclose(crossing + s.axle_along * up, f.points["steer_foot"], atol=1e-9)
    np.testing.assert_allclose(
        crossing + s.axle_along * up + s.axle_ahead * front, f.points["front_axle"], atol=1e-9
    )
    assert s.square == pytest.approx(np.dot(crossing, front), abs=1e-9)
    assert s.seat_angle_deg == d["seat_angle_deg"]


@settings(max_examples=50, deadline=None)
@given(dimension, st.floats(0, 300))
def test_right_readings_build_the_drawing(d, rail):
    f = draw(**d)
    again = fixture.built(f, fixture.settings(f, rail), rail)
    for name, value in d.items():
        assert getattr(again, name) == pytest.approx(value, abs=1e-9), name


def by_points(f, s, rail):
    """The bicycle of some readings, stood on level ground by turning its points (no closed form)."""
    up = np.array([-np.cos(np.radians(s.head_angle_deg)), np.sin(np.radians(s.head_angle_deg))])
    front = np.array([up[1], -up[0]])
    crossing = np.array([s.head_ahead, -rail])
    crown = crossing + (s.low_face - f.lower_stack) * up
    foot = crown - np.sqrt(f.fork_length**2 - f.fork_offset**2) * up
    axle, rear = foot + f.fork_offset * front, np.array([-s.rear_back, s.rear_up])

    def turned(v, angle):
        return np.array(
            [
                v[0] * np.cos(angle) - v[1] * np.sin(angle),
                v[0] * np.sin(angle) + v[1] * np.cos(angle),
            ]
        )

    def uneven(angle):
        return (turned(axle, angle)[1] - f.front_radius) - (turned(rear, angle)[1] - f.rear_radius)

    low, high = -0.5, 0.5
    for _ in range(80):  # bisection
        middle = (low + high) / 2
        low, high = (middle, high) if uneven(middle) < 0 else (low, middle)
    axle, rear, foot, up = (turned(v, low) for v in (axle, rear, foot, up))
    level = rear[1] - f.rear_radius
    return {
        "wheelbase": axle[0] - rear[0],
        "bb_drop": rear[1],
        "head_angle_deg": np.degrees(np.arctan2(up[1], -up[0])),
        "trail": foot[0] + (level - foot[1]) / up[1] * up[0] - axle[0],
        "front_centre": np.hypot(*axle),
    }


@settings(max_examples=40, deadline=None)
@given(
    dimension,
    st.floats(0, 200),
    st.lists(st.floats(-8, 8), min_size=5, max_size=5),
    st.floats(-1.5, 1.5),
)
def test_wrong_readings_stand_on_level_ground(d, rail, off, lean):
    f = draw(**d)
    s = fixture.settings(f, rail)
    wrong = dataclasses.replace(
        s, rear_back=s.rear_back + off[0], rear_up=s.rear_up + off[1], head_ahead=s.head_ahead + off[2],
        low_face=s.low_face + off[3], high_face=s.high_face + off[4] + 20, head_angle_deg=s.head_angle_deg + lean,
    )  # fmt: skip
    stood = fixture.built(f, wrong, rail)
    for name, value in by_points(f, wrong, rail).items():
        assert getattr(stood, name) == pytest.approx(value, abs=1e-7), name
    assert stood.seat_angle_deg - f.seat_angle_deg == pytest.approx(
        stood.head_angle_deg - wrong.head_angle_deg, abs=1e-9
    )
    assert stood.head_tube == pytest.approx(wrong.high_face - wrong.low_face)


def test_front_end_too_low_steepens_both_angles():
    f = draw(**USUAL)
    s = fixture.settings(f)
    sunk = fixture.built(
        f, dataclasses.replace(s, low_face=s.low_face - 5, high_face=s.high_face - 5)
    )
    assert sunk.head_angle_deg == pytest.approx(
        72 - np.degrees(5 * np.sin(np.radians(72)) / f.wheelbase), abs=0.003
    )
    assert sunk.seat_angle_deg < 73


@pytest.mark.parametrize("of", ["wheelbase", "trail", "bb_height", "head_angle_deg", "reach"])
@pytest.mark.parametrize("rail", [0.0, 120.0])
def test_slopes_against_wrong_readings(of, rail):
    f = draw(**USUAL)
    s = fixture.settings(f, rail)
    slopes = fixture.error_budget(f, ERRORS, of, rail).slopes
    for name in fixture.SHAPING:
        up, down = (
            fixture.built(f, dataclasses.replace(s, **{name: getattr(s, name) + h}), rail)
            for h in (1e-3, -1e-3)
        )
        assert slopes[name] == pytest.approx(
            (getattr(up, of) - getattr(down, of)) / 2e-3, abs=1e-6
        ), name


@pytest.mark.parametrize("of", ["wheelbase", "trail", lambda g: g.toe_clearance(170, 90)])
def test_budget_against_monte_carlo(of):
    """JCGM 101:2008 (GUM Supplement 1): draw readings, build frames, take the spread."""
    rng, count, rail = np.random.default_rng(11), 200_000, 60.0
    f = draw(**USUAL)
    s = fixture.settings(f, rail)
    scatter = {n: getattr(s, n) + rng.normal(0, ERRORS[n], count) for n in fixture.SHAPING}
    budget = fixture.error_budget(f, {n: ERRORS[n] for n in fixture.SHAPING}, of, rail)
    many = fixture.built(f, dataclasses.replace(s, **scatter), rail)
    spread = np.std(getattr(many, of) if isinstance(of, str) else of(many), ddof=1)
    assert spread == pytest.approx(budget.total, rel=0.01)  # 4 standard errors of a spread: 0.6 %


def test_budget_adds_up():
    budget = fixture.error_budget(draw(**USUAL), {"rear_back": 0.3, "head_ahead": 0.4}, "wheelbase")
    # level scales: 1 mm is 1 mm, but for the pitch that unequal wheels do not change
    assert budget.parts["rear_back"] == pytest.approx(0.3, rel=1e-3)
    assert budget.total == pytest.approx(0.5, rel=1e-3)
    assert budget.worst == pytest.approx(0.7, rel=1e-3)
    assert budget.slopes["rear_back"] > 0


def test_seat_angle_shapes_no_wheel():
    budget = fixture.error_budget(draw(**USUAL), {"seat_angle_deg": 1.0, "high_face": 1.0}, "trail")
    assert budget.total == 0
    tops = fixture.error_budget(draw(**USUAL), {"high_face": 1.0}, "head_tube")
    assert tops.total == pytest.approx(1.0)


def test_fork_and_wheels_in_the_budget():
    f = draw(**USUAL)
    budget = fixture.error_budget(f, {"fork_offset": 1.0}, "trail")
    # a longer offset: less trail, and the front axle a little lower or higher turns the frame
    assert budget.slopes["fork_offset"] == pytest.approx(-1 / np.sin(np.radians(72)), abs=0.2)
    same = fixture.built(f, fixture.settings(f))
    other = fixture.built(dataclasses.replace(f, fork_offset=47.001), fixture.settings(f))
    assert budget.slopes["fork_offset"] == pytest.approx(
        (other.trail - same.trail) / 0.001, rel=1e-4
    )


def test_cone_tips():
    s = fixture.settings(draw(**USUAL))
    low, high = s.cone_tips(bore=34.0, cone_deg=60.0)
    assert low - s.low_face == pytest.approx(17 * np.sqrt(3))
    assert s.high_face - high == pytest.approx(17 * np.sqrt(3))


def test_batch_equals_loop():
    rest = {k: v for k, v in USUAL.items() if k != "bb_drop"}
    drops = np.array([60.0, 70.0, 80.0])
    many = fixture.settings(draw(**rest, bb_drop=drops), 50.0)
    budget = fixture.error_budget(draw(**rest, bb_drop=drops), ERRORS, "trail", 50.0)
    for i, drop in enumerate(drops):
        one = draw(**rest, bb_drop=float(drop))
        for field in dataclasses.fields(many):
            value = np.broadcast_to(getattr(many, field.name), 3)[i]
            assert value == pytest.approx(
                getattr(fixture.settings(one, 50.0), field.name), rel=1e-12
            ), field.name
        assert budget.total[i] == pytest.approx(
            fixture.error_budget(one, ERRORS, "trail", 50.0).total, rel=1e-12
        )


def test_a_slender_cone_reaches_far_into_the_tube():
    """Half the bore over the tangent of half the cone's angle, at either end."""
    s = fixture.settings(draw(**USUAL))
    inside = 0.1 / 2 / np.tan(np.radians(0.25))
    assert s.cone_tips(0.1, 0.5) == pytest.approx((s.low_face + inside, s.high_face - inside))
