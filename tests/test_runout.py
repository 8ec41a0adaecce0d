"""runout: one wave a turn, its high side and what is left uncertain."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import runout
from coursekit.uncertainty import coverage_factor

MARKS = np.arange(8) * 45.0


def wave(angles, amount, high, mean=5.0):
    return mean + amount * np.cos(np.radians(np.asarray(angles) - high))


@given(st.floats(0.01, 3.0), st.floats(0, 359.9), st.floats(-20, 20))
def test_a_clean_wave_is_found(amount, high, mean):
    found = runout.bow([0, 50, 130, 200, 310], wave([0, 50, 130, 200, 310], amount, high, mean))
    assert found.amount == pytest.approx(amount, rel=1e-9)
    assert found.mean == pytest.approx(mean, abs=1e-9)
    assert np.cos(np.radians(found.high_deg - high)) == pytest.approx(1.0, abs=1e-12)


@given(st.floats(-720, 720))
def test_turning_the_zero_mark_turns_the_high_side(turn):
    dial = wave(MARKS, 0.3, 100.0) + np.array([0.02, -0.01, 0.0, 0.01, -0.02, 0.01, 0.0, -0.01])
    one, two = runout.bow(MARKS, dial), runout.bow(MARKS + turn, dial)
    assert two.amount == pytest.approx(one.amount, rel=1e-9)
    assert (two.high_deg - one.high_deg - turn + 180) % 360 == pytest.approx(180, abs=1e-7)
    assert two.amount_uncertainty == pytest.approx(one.amount_uncertainty, rel=1e-7)
    assert 0 <= two.high_deg < 360


def test_a_high_side_on_the_zero_mark_is_0_and_not_360():
    assert runout.bow(MARKS, wave(MARKS, 0.3, 0.0)).high_deg == pytest.approx(0.0, abs=1e-9)
    assert runout.bow(MARKS, wave(MARKS, 0.3, -1.0)).high_deg == pytest.approx(359.0)


def test_seen_from_the_other_end_it_is_mirrored():
    dial = wave(MARKS, 0.3, 100.0)
    assert runout.bow(-MARKS, dial).high_deg == pytest.approx(260.0)


def test_half_the_total_reading():
    dial = wave(np.arange(0, 360, 1.0), 0.25, 77.0)
    assert runout.bow(np.arange(0, 360, 1.0), dial).amount == pytest.approx(np.ptp(dial) / 2)


def test_uncertainty_on_even_marks_by_hand():
    found = runout.bow(MARKS, wave(MARKS, 0.3, 30.0), noise=0.02)
    assert found.amount_uncertainty == pytest.approx(0.02 * np.sqrt(2 / 8))
    assert found.high_deg_uncertainty == pytest.approx(np.degrees(0.02 * np.sqrt(2 / 8) / 0.3))
    assert found.mean_uncertainty == pytest.approx(0.02 / np.sqrt(8))
    assert found.freedom == np.inf


def test_uncertainty_on_uneven_marks_differs_along_and_across():
    angles = np.array([-20, -10, 0, 10, 20, 180.0])
    found = runout.bow(angles, wave(angles, 1.0, 0.0), noise=0.01)
    a = np.radians(angles)
    matrix = np.stack([np.ones(6), np.cos(a), np.sin(a)], axis=1)
    covariance = 1e-4 * np.linalg.inv(matrix.T @ matrix)
    assert found.amount_uncertainty == pytest.approx(np.sqrt(covariance[1, 1]))
    assert found.high_deg_uncertainty == pytest.approx(np.degrees(np.sqrt(covariance[2, 2])))
    turned = runout.bow(angles + 40, wave(angles, 1.0, 0.0), noise=0.01)
    assert turned.amount_uncertainty == pytest.approx(found.amount_uncertainty)
    assert turned.high_deg_uncertainty == pytest.approx(found.high_deg_uncertainty)


def test_the_stated_uncertainties_cover_as_they_should():
    rng = np.random.default_rng(8)
    found = runout.bow(MARKS, wave(MARKS, 0.4, 200.0) + rng.normal(0, 0.02, (4000, 8)))
    for name, truth in (("amount", 0.4), ("high_deg", 200.0), ("mean", 5.0)):
        ratio = np.abs(getattr(found, name) - truth) / getattr(found, name + "_uncertainty")
        assert np.mean(ratio < coverage_factor(0.95, 5)) == pytest.approx(0.95, abs=0.012)
    assert found.freedom == 5
    assert np.mean(found.scatter**2) == pytest.approx(0.02**2, rel=0.05)


def test_a_round_straight_tube_has_no_direction():
    found = runout.bow(MARKS, np.full(8, 3.0), noise=0.01)
    assert found.amount == pytest.approx(0.0, abs=1e-14)
    assert found.high_deg_uncertainty == pytest.approx(180 / np.sqrt(3))


def test_ovality_is_kept_apart():
    uneven = np.array([0, 30, 100, 140, 190, 250, 300.0])
    oval = 0.2 * np.cos(np.radians(2 * uneven - 50))
    assert runout.bow(MARKS, wave(MARKS, 0.3, 40.0) + 0.2 * np.cos(np.radians(2 * MARKS - 50))).amount == pytest.approx(0.3)  # fmt: skip
    assert runout.bow(uneven, wave(uneven, 0.3, 40.0) + oval, harmonics=2).amount == pytest.approx(0.3)  # fmt: skip
    assert runout.bow(uneven, wave(uneven, 0.3, 40.0) + oval).amount != pytest.approx(0.3, abs=0.01)


@pytest.mark.parametrize(
    ("to", "turn"), [(0, 160), (200, 0), (270, 70), (20, 180), (19, 179), (21, -179)]
)
def test_turning_the_high_side_into_the_plane(to, turn):
    found = runout.bow(MARKS, wave(MARKS, 0.3, 200.0))
    assert found.turn_deg(to) == pytest.approx(turn, abs=1e-6) or turn == 180


def test_a_batch_equals_a_loop():
    dials = np.random.default_rng(9).normal(0, 0.1, (2, 3, 8))
    many = runout.bow(MARKS, dials)
    for i in np.ndindex(2, 3):
        one = runout.bow(MARKS, dials[i])
        for name in one.__dataclass_fields__:
            assert np.broadcast_to(getattr(many, name), (2, 3))[i] == pytest.approx(getattr(one, name))  # fmt: skip
