"""closure: walks that come back, gaps that point at their leg, checks that can be open."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import closure
from coursekit.pieces import Trimmed
from tests.sheets import builds

LENGTHS, WAYS = [627.0, 70.0, 550.5, 518.5], [48.1, 107.5, 183.9, 287.0]
angles = st.floats(0, 360)


@given(st.lists(st.tuples(st.floats(1, 900), angles), min_size=2, max_size=7))
def test_a_walk_closed_by_its_own_last_leg_misses_nothing(legs):
    x = sum(length * cos(radians(way)) for length, way in legs)
    y = sum(length * sin(radians(way)) for length, way in legs)
    back = (hypot(x, y), np.degrees(np.arctan2(-y, -x)))
    walk = closure.traverse(*zip(*legs, back, strict=True))
    assert walk.distance == pytest.approx(0, abs=1e-9)
    assert walk.perimeter == pytest.approx(sum(length for length, _ in legs) + back[0])


@given(st.integers(0, 3), st.sampled_from([-20.0, -10.0, 10.0, 20.0]))
def test_a_wrong_length_opens_the_gap_along_its_leg(leg, slip):
    right = closure.traverse(LENGTHS, WAYS)
    wrong = closure.traverse([v + slip * (i == leg) for i, v in enumerate(LENGTHS)], WAYS)
    moved = wrong.misclosure - right.misclosure
    along = np.array([cos(radians(WAYS[leg])), sin(radians(WAYS[leg]))])
    assert moved == pytest.approx(slip * along, abs=1e-9)


@given(st.integers(0, 3), st.floats(0.1, 2))
def test_a_wrong_direction_opens_it_square_to_its_leg(leg, turn):
    right = closure.traverse(LENGTHS, WAYS).misclosure
    turned = [v + turn * (i == leg) for i, v in enumerate(WAYS)]
    moved = closure.traverse(LENGTHS, turned).misclosure - right
    middle = radians(WAYS[leg] + turn / 2)
    assert moved @ [cos(middle), sin(middle)] == pytest.approx(0, abs=1e-9)
    assert np.hypot(*moved) == pytest.approx(2 * LENGTHS[leg] * sin(radians(turn / 2)))


def test_points_direction_and_the_leg_along_the_gap():
    walk = closure.traverse([300.0, 400.0, 510.0], [0.0, 90.0, 233.13010235415598])
    assert walk.points[2] == pytest.approx([300.0, 400.0])
    assert walk.misclosure == pytest.approx([-6.0, -8.0])
    assert walk.direction_deg == pytest.approx(233.13010235415598)
    assert walk.apart_deg == pytest.approx([53.13010235, 36.86989765, 0.0], abs=1e-6)


def test_a_batch_is_its_walks():
    longer = np.array([[0.0, 0, 0, 0], [0, 0, 10, 0], [12, 0, 0, 0]]) + LENGTHS
    batch = closure.traverse(longer, WAYS)
    for i, one in enumerate(longer):
        alone = closure.traverse(one, WAYS)
        assert batch.misclosure[i] == pytest.approx(alone.misclosure)
        assert batch.perimeter[i] == pytest.approx(alone.perimeter)
    assert list(np.argmin(batch.apart_deg, axis=-1)[1:]) == [2, 0]


@pytest.mark.parametrize(
    ("lengths", "ways", "says"),
    [
        ([1.0, 2.0], [0.0, 90.0], "must have three legs or more; got 2"),
        ([1.0, 2.0, 3.0], [0.0, 90.0], "must have a length and a direction"),
        ([1.0, -2.0, 3.0], [0.0, 90.0, 180.0], "length must be 0 or more; got -2"),
        ([1.0, float("nan"), 3.0], [0.0, 90.0, 180.0], "lengths must be finite"),
    ],
)
def test_refused_walks(lengths, ways, says):
    with pytest.raises(ValueError, match=says):
        closure.traverse(lengths, ways)


def test_allowance_is_the_root_mean_square_of_the_gap():
    """A right walk read 20,000 times with normal errors; the mean square is known to 1 %."""
    rng = np.random.default_rng(5)
    right = closure.traverse(LENGTHS, WAYS).misclosure
    long = LENGTHS + rng.normal(0, 0.5, (20_000, 4))
    ways = WAYS + rng.normal(0, 0.08, (20_000, 4))
    gaps = closure.traverse(long, ways).misclosure - right
    spread = sqrt(np.mean(np.sum(gaps**2, axis=1)))
    assert closure.allowance(LENGTHS, 0.5, 0.08) == pytest.approx(spread, rel=0.02)


def test_allowance_alone_and_refused():
    assert closure.allowance([100.0] * 9, 2.0, 0.0) == pytest.approx(6.0)
    assert closure.allowance([57.29577951308232] * 4, 0.0, 1.0) == pytest.approx(2.0)
    with pytest.raises(ValueError, match="direction uncertainty must be 0 or more"):
        closure.allowance([1.0], 0.5, -0.1)


def test_a_gap_forward_and_up_has_a_direction_below_a_right_angle():
    walk = closure.traverse([300.0, 400.0, 490.0], [0.0, 90.0, 233.13010235415598])
    assert walk.misclosure == pytest.approx([6.0, 8.0])
    assert walk.direction_deg == pytest.approx(53.13010235415598)
    with pytest.raises(ValueError, match=r"must have three legs or more; got 1\."):
        closure.traverse(3.0, 0.0)


# A frame


@pytest.fixture(scope="module")
def build():
    return builds.example()


def found(build, trimmed, word):
    made = closure.of_frame(build.frame, trimmed, build.bench.rail)
    return [check for check in made if word in check.say]


def test_the_example_closes(build):
    made = closure.of_frame(build.frame, build.trimmed, build.bench.rail)
    assert len(made) == 3 + 1 + 2 * 8 + 9
    assert [c.say for c in made if not c.closes] == []
    assert max(abs(c.difference) for c in made) < 1e-9


def changed(build, **piece):
    one = build.trimmed["top_tube"]
    return {
        **build.trimmed,
        "top_tube": Trimmed(replace(one.piece, **piece), one.bought, one.plan, one.tube),
    }


def test_a_longer_axis_opens_the_walk_and_both_edges_stay(build):
    longer = changed(build, length=build.pieces["top_tube"].length + 1.0)
    walk = found(build, longer, "walked round")[0]
    assert not walk.closes
    assert walk.one == pytest.approx(
        sin(radians(76.417)), abs=1e-3
    )  # a mm along, off the steering axis
    assert not found(build, longer, "top tube: its edge on the head tube")[0].closes
    assert found(build, longer, "top tube: its edge on the seat tube")[0].closes
    assert not found(build, longer, "top tube: both cuts")[0].closes
    assert found(build, longer, "wheelbase")[0].closes


def test_a_cut_that_is_off_is_seen_by_its_edge(build):
    piece = build.pieces["top_tube"]
    off = changed(build, a=replace(piece.a, along=piece.a.along + 0.5))
    edge = found(build, off, "its edge on the seat tube")[0]
    assert not edge.closes
    assert 0.3 < edge.one <= 0.5


def test_a_wrong_plan_is_seen_by_its_sum(build):
    one = build.trimmed["down_tube"]
    wrong = replace(one.plan, from_b=one.plan.from_b + 2.0)
    made = found(
        build, {**build.trimmed, "down_tube": replace(one, plan=wrong)}, "down tube: both cuts"
    )
    assert made[0].difference == pytest.approx(2.0)
    assert not made[0].closes


def test_the_walk_of_the_example_is_its_drawing(build):
    walk = closure.main_triangle(build.frame, build.pieces)
    axes = build.frame.tubes.axes
    assert walk.points[1] == pytest.approx(axes["down_tube"].end[:2])
    assert walk.points[2] == pytest.approx(axes["top_tube"].end[:2])
    assert walk.points[3] == pytest.approx(axes["top_tube"].start[:2])


def test_a_check_closes_up_to_what_is_allowed():
    assert closure.Check("tape", 100.0, 101.0, 1.0).closes
    assert not closure.Check("tape", 100.0, 101.01, 1.0).closes
    assert closure.Check("tape", 102.0, 101.0).difference == 1.0


def test_down_and_top_tube_alone_are_enough_to_walk(build):
    two = {name: build.trimmed[name] for name in ("down_tube", "top_tube")}
    [walk] = found(build, two, "main triangle")
    assert walk.closes
    assert found(build, {"top_tube": two["top_tube"]}, "main triangle") == []
