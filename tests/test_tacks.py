"""tacks: the pull of an order, the best order against every order, the fit's honesty."""

from __future__ import annotations

from cmath import exp
from itertools import permutations
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import tacks

angles = st.lists(st.floats(0, 360), min_size=1, max_size=8)
holds = st.floats(0.0, 1.0)


def by_hand(order, first, hold):
    """The pull in complex numbers, one tack after the other."""
    total = sum(first * hold**k * exp(1j * pi * a / 180) for k, a in enumerate(order))
    return [total.real, total.imag]


def ring(count):
    return [360.0 * k / count for k in range(count)]


@given(angles, st.floats(0, 3), holds)
def test_pull_is_the_sum_of_vectors(order, first, hold):
    assert tacks.pull(order, first, hold) == pytest.approx(by_hand(order, first, hold), abs=1e-9)


@given(angles, st.floats(-360, 360), holds)
def test_turning_every_tack_turns_the_tilt(order, turn, hold):
    plain, turned = tacks.pull(order, 1.0, hold), tacks.pull(np.add(order, turn), 1.0, hold)
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    assert turned == pytest.approx(np.array([[c, -s], [s, c]]) @ plain, abs=1e-9)


@given(angles, holds)
def test_mirrored_tacks_mirror_the_tilt(order, hold):
    mirrored = tacks.pull(np.negative(order), 1.0, hold)
    assert mirrored == pytest.approx(tacks.pull(order, 1.0, hold) * [1, -1], abs=1e-12)


def test_opposite_pairs_leave_half_of_round_the_clock():
    # (1 - h)·√(1 + h⁴) against (1 - h²)·√(1 + h²) for 0-270-90-180 ... by hand at h = 0.6
    pairs = np.hypot(*tacks.pull([0, 180, 90, 270]))
    assert pairs == pytest.approx(0.4 * np.sqrt(1 + 0.6**4))
    assert np.hypot(*tacks.pull([0, 270, 90, 180])) == pytest.approx(
        np.hypot(1 - 0.216, 0.6 - 0.36)
    )


def test_pull_is_toward_the_first_tack():
    assert tacks.pull([90], 0.5).tolist() == pytest.approx([0.0, 0.5])
    assert tacks.pull([0, 180])[0] > 0


def test_after_each_ends_in_the_pull():
    order = [0, 120, 240, 60]
    steps = tacks.after_each(order, 0.4, 0.7)
    assert steps.shape == (4, 2)
    assert (tacks.after_each(order)[-1] == tacks.pull(order)).all()
    for k in range(4):
        assert steps[k] == pytest.approx(by_hand(order[: k + 1], 0.4, 0.7), abs=1e-12)


def test_a_batch_equals_a_loop():
    orders = np.array([[0, 180, 90, 270], [0, 90, 180, 270], [0, 270, 90, 180]])
    firsts, holds_ = np.array([0.3, 0.4, 0.5]), np.array([0.5, 0.6, 0.7])
    many = tacks.pull(orders, firsts, holds_)
    for i in range(3):
        assert many[i] == pytest.approx(tacks.pull(orders[i], firsts[i], holds_[i]))
    assert tacks.pull(orders[0], firsts, 0.6).shape == (3, 2)


@pytest.mark.parametrize("hold", [0.2, 0.6, 0.9])
@pytest.mark.parametrize("places", [ring(4), ring(6), ring(8), [0, 100, 190, 250, 300]])
def test_best_is_the_least_over_every_order(places, hold):
    found = tacks.best(places, 0.5, hold)
    least = min(np.hypot(*by_hand(order, 0.5, hold)) for order in permutations(places))
    assert found.size == pytest.approx(least, abs=1e-9)
    assert sorted(found.angles_deg) == sorted(places)
    assert found.tilt == pytest.approx(by_hand(found.angles_deg, 0.5, hold), abs=1e-12)


@pytest.mark.parametrize("across", [0.2, 3.0])
def test_best_with_a_weight_across(across):
    places = ring(6)
    found = tacks.best(places, 1.0, 0.6, across)
    sizes = [np.hypot(p[0], across * p[1]) for p in (by_hand(o, 1.0, 0.6) for o in permutations(places))]  # fmt: skip
    assert found.size == pytest.approx(min(sizes), abs=1e-12)
    assert np.hypot(found.tilt[0], across * found.tilt[1]) == pytest.approx(found.size)


def test_of_equal_orders_the_one_nearest_the_given():
    assert tacks.best(ring(4)).angles_deg == (0.0, 180.0, 90.0, 270.0)
    assert tacks.best([90, 0, 180, 270]).angles_deg == (90.0, 270.0, 0.0, 180.0)
    assert tacks.best([45.0]).angles_deg == (45.0,)


def test_tip_offset_is_length_times_tangent():
    assert tacks.tip_offset(1.0, 573.0) == pytest.approx(10.0, abs=0.002)


def made(rng, first, hold, noise, count=12):
    for _ in range(count):
        order = rng.permutation(ring(6))[: rng.integers(1, 7)]
        yield order, np.array(by_hand(order, first, hold)) + rng.normal(0, noise, 2)


def test_clean_records_give_the_model_back():
    found = tacks.fit(made(np.random.default_rng(1), 0.4, 0.55, 0.0))
    assert [found.first, found.hold] == pytest.approx([0.4, 0.55], abs=1e-9)
    assert found.scatter == pytest.approx(0.0, abs=1e-9)
    assert found.freedom == 22


def test_the_stated_uncertainties_cover_as_they_should():
    rng = np.random.default_rng(2)
    fits = [tacks.fit(made(rng, 0.4, 0.6, 0.02)) for _ in range(300)]
    for name, truth in (("first", 0.4), ("hold", 0.6)):
        ratio = [abs(getattr(f, name) - truth) / getattr(f, name + "_uncertainty") for f in fits]
        assert np.mean(np.array(ratio) < 2.07) == pytest.approx(0.95, abs=0.035)  # t of 22
        assert np.sqrt(np.mean(np.square(ratio))) == pytest.approx(1.05, abs=0.12)


def test_unread_components_are_left_out():
    data = list(made(np.random.default_rng(3), 0.4, 0.6, 0.02))
    blind = [(order, (np.nan, tilt[1])) for order, tilt in data]
    assert tacks.fit(blind).freedom == 10
    assert tacks.fit(blind).hold == pytest.approx(0.6, abs=0.15)


@pytest.mark.parametrize("tilt", [(np.inf, 0.1), (0.1, -np.inf)])
def test_a_tilt_without_bound_is_refused(tilt):
    with pytest.raises(ValueError, match="must be two numbers"):
        tacks.fit([([0, 90], (0.3, 0.1)), ([0, 180], tilt)])


def test_records_turned_together_give_the_same_model():
    data = list(made(np.random.default_rng(4), 0.4, 0.6, 0.02))
    turned = [(np.add(order, 90), (-tilt[1], tilt[0])) for order, tilt in data]
    one, two = tacks.fit(data), tacks.fit(turned)
    assert [two.first, two.hold] == pytest.approx([one.first, one.hold], abs=1e-7)


def test_given_noise_sets_the_uncertainty():
    data = list(made(np.random.default_rng(5), 0.4, 0.6, 0.02))
    free, known = tacks.fit(data), tacks.fit(data, noise=0.05)
    assert known.hold_uncertainty / free.hold_uncertainty == pytest.approx(0.05 / free.scatter)
    assert known.freedom == np.inf
    assert known.correlation == pytest.approx(free.correlation)


def test_as_many_tacks_as_can_be_tried_are_tried(monkeypatch):
    monkeypatch.setattr(tacks, "MOST", 4)
    assert len(tacks.best([0, 90, 180, 270]).angles_deg) == 4
    with pytest.raises(ValueError, match="must hold at most 4 tacks; got 5"):
        tacks.best([0, 72, 144, 216, 288])
