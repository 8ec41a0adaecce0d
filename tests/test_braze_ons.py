"""Limits, symmetry, batches and refusals of `braze_ons`."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit import braze_ons
from coursekit.braze_ons import Bottle

LOW = Bottle(tube=31.8, stand=5.0, diameter=73.0, length=200.0, start=130.0)
HIGH = Bottle(tube=28.6, stand=5.0, diameter=73.0, length=200.0, start=190.0)


def test_a_level_edge_touches_the_crown_and_both_sides_are_alike():
    assert braze_ons.touch(31.8, 0) == 0
    assert braze_ons.touch(31.8, -45) == -braze_ons.touch(31.8, 45)
    assert braze_ons.touch(31.8, 90) == pytest.approx(np.pi * 31.8 / 4)


@given(st.floats(20, 60), st.floats(1, 5), st.floats(20, 160))
def test_a_longer_leg_marks_further_round_but_never_as_far_as_its_tangent_plane(d, wider, opening):
    reach = d / 2 / np.tan(np.radians(opening / 2))
    short, long = (braze_ons.edge_marks(d, reach * w, opening) for w in (1 + 1e-12, wider + 0.01))
    assert braze_ons.touch(d, 90 - opening / 2) == pytest.approx(short, rel=1e-6)
    assert short < long < d / 2 * (np.pi - np.radians(opening / 2))


@given(st.floats(20, 60), st.floats(0.1, 1), st.floats(0.5, 4))
def test_a_foot_that_fits_has_no_gap_and_the_sign_tells_which_is_thicker(tube, share, times):
    width = share * tube * min(times, 1)
    assert braze_ons.foot_gap(tube, width, tube) == pytest.approx(0, abs=1e-12)
    gap = braze_ons.foot_gap(tube, width, tube * times)
    assert gap * (times - 1) >= 0
    assert gap == pytest.approx(-braze_ons.foot_gap(tube * times, width, tube), abs=1e-12)


def test_a_flat_foot_is_a_very_large_hollow():
    assert braze_ons.foot_gap(28.6, 12.0) == pytest.approx(braze_ons.foot_gap(28.6, 12.0, 1e9))
    mixed = braze_ons.foot_gap(28.6, 12.0, np.array([np.inf, 28.6]))
    assert mixed == pytest.approx([float(braze_ons.foot_gap(28.6, 12.0)), 0.0])


@settings(max_examples=60, deadline=None)
@given(st.floats(20, 160), st.floats(60, 300), st.floats(60, 300))
def test_neither_bottle_comes_first(angle, one, other):
    a, b = (dataclasses.replace(x, start=s) for x, s in ((LOW, one), (HIGH, other)))
    there = braze_ons.bottle_gap(angle, a, b)
    assert there == pytest.approx(float(braze_ons.bottle_gap(angle, b, a)), abs=1e-9)


def test_bottles_move_apart_as_they_move_up():
    starts = np.arange(100.0, 400.0, 10.0)
    gaps = braze_ons.bottle_gap(60.0, LOW, dataclasses.replace(HIGH, start=starts))
    assert gaps.shape == (30,)
    assert np.all(np.diff(gaps) > -1e-9)
    assert np.all(np.diff(gaps)[3:] > 5)  # before that the shortest way out is sideways
    assert gaps[0] < 0 < gaps[-1]
    for start, gap in zip(starts, gaps, strict=True):
        one = braze_ons.bottle_gap(60.0, LOW, dataclasses.replace(HIGH, start=float(start)))
        assert one == pytest.approx(gap, abs=1e-12)


def test_thin_bottles_on_square_tubes_are_apart_from_corner_to_corner():
    thin = dataclasses.replace(LOW, diameter=1.0)
    assert braze_ons.bottle_gap(90.0, thin, thin) == pytest.approx(
        np.hypot(130 - 21.9, 130 - 21.9), abs=1e-9
    )


def test_corners_half_a_millimetre_apart_are_half_a_millimetre_apart():
    thin = dataclasses.replace(LOW, diameter=1.0, start=22.2)  # far side 21.9 mm from the axis
    other = dataclasses.replace(thin, start=22.3)
    assert braze_ons.bottle_gap(90.0, thin, other) == pytest.approx(np.hypot(0.3, 0.4), abs=1e-9)


@pytest.mark.parametrize("opening, leg", [(90.0, 25.0), (60.0, 50.0), (120.0, 18.0)])
def test_the_mark_lies_where_the_leg_s_edge_is_seen_from_the_middle(opening, leg):
    """By points: a circle laid into a V; the line from its middle to the edge of one leg."""
    radius, half = 20.0, np.radians(opening / 2)
    middle = np.array([0.0, radius / np.sin(half)])
    edge = leg * np.array([np.sin(half), np.cos(half)])
    toward = edge - middle
    turn = np.arctan2(toward[0], -toward[1])  # from the line down to the fold
    assert braze_ons.edge_marks(40.0, leg, opening) == pytest.approx(radius * turn, rel=1e-12)


def test_the_far_side_of_a_bottle_is_tube_stand_and_bottle():
    assert LOW.far_side == pytest.approx(15.9 + 5.0 + 73.0)
    assert braze_ons.BOSS_PITCH == 64.0  # common practice, no source


def test_nearly_parallel_tubes_and_nearly_shut_legs_are_no_mistake():
    assert np.isfinite(braze_ons.bottle_gap(0.5, LOW, HIGH))
    assert float(braze_ons.edge_marks(40.0, 5000.0, 0.5)) > 0


REFUSED = [
    (lambda: braze_ons.touch(31.8, -91), "The slope must lie between −90° and 90°; got -91°."),
    (lambda: braze_ons.touch(0.0, 45), "The diameter must be greater than 0; got 0 mm."),
    (lambda: braze_ons.edge_marks(31.8, 15.0), "The leg must reach the place where it touches; got 15 mm, and it touches 15.9 mm from the fold."),
    (lambda: braze_ons.edge_marks(31.8, 25.0, 180.0), "The legs' opening must lie between 0° and 180°; got 180°."),
    (lambda: braze_ons.edge_marks(31.8, 25.0, 0.0), "The legs' opening must lie between 0° and 180°; got 0°."),
    (lambda: braze_ons.bottle_gap(0.0, LOW, HIGH), "The angle between the tubes must lie between 0° and 180°; got 0°."),
    (lambda: braze_ons.hollow_depth(10.0, -1.0), "The width must be 0 or more; got -1 mm."),
    (lambda: braze_ons.foot_gap(28.6, 30.0), "The width must not be more than the diameter; got 30 mm on 28.6 mm."),
    (lambda: braze_ons.bottle_gap(180.0, LOW, HIGH), "The angle between the tubes must lie between 0° and 180°; got 180°."),
    (lambda: braze_ons.bottle_gap(60.0, LOW, dataclasses.replace(HIGH, diameter=0.0)), "The bottle's diameter must be greater than 0; got 0 mm."),
    (lambda: braze_ons.bottle_gap(60.0, LOW, dataclasses.replace(HIGH, stand=-1.0)), "The bottle's stand must be 0 or more; got -1 mm."),
]  # fmt: skip


@pytest.mark.parametrize(("call", "words"), REFUSED)
def test_refusals_name_the_rule_and_the_value(call, words):
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value).startswith(f"{words} ")  # a cure follows
