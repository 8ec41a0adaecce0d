"""alignment and coldset: reversal, lines, twist, decisions, pulls."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import alignment, bending, coldset, pulls
from coursekit.tubes import Round
from coursekit.uncertainty import coverage_factor

X = np.array([20.0, 120.0, 220.0, 320.0, 420.0])
BENT = np.array([0.02, -0.03, 0.01, 0.02, -0.02])
small = st.floats(-2.0, 2.0)
VALUES = ("offset", "angle_deg", "gauge_zero", "gauge_tilt_deg")


def heights(offset, slope, zero, tilt, bend=BENT):
    """What the gauge shows: its own reading plus the tube one way up, less it the other."""
    own, gauge = offset + slope * X + bend, zero + tilt * X
    return gauge + own, gauge - own


@given(small, st.floats(-0.02, 0.02), st.floats(-80, 80), st.floats(-0.01, 0.01))
def test_reversal_separates_tube_from_gauge(offset, slope, zero, tilt):
    found = alignment.line(X, *heights(offset, slope, zero, tilt, 0))
    assert found.offset == pytest.approx(offset, abs=1e-9)
    assert found.angle_deg == pytest.approx(np.degrees(np.arctan(slope)), abs=1e-9)
    assert found.gauge_zero == pytest.approx(zero, abs=1e-9)
    assert found.gauge_tilt_deg == pytest.approx(np.degrees(np.arctan(tilt)), abs=1e-9)


@given(small, st.floats(-0.02, 0.02), st.floats(-80, 80))
def test_turning_the_frame_over_changes_the_tubes_sign_alone(offset, slope, zero):
    a, b = heights(offset, slope, zero, 0.001)
    one, two = alignment.line(X, a, b), alignment.line(X, b, a)
    assert [two.offset, two.angle_deg] == [-one.offset, -one.angle_deg]
    assert [two.gauge_zero, two.gauge_tilt_deg] == [one.gauge_zero, one.gauge_tilt_deg]
    assert two.offset_uncertainty == one.offset_uncertainty


def test_offset_is_half_the_difference():
    found = alignment.line(X, np.full(5, 50.8), np.full(5, 49.6))
    assert (found.offset, found.gauge_zero) == (pytest.approx(0.6), pytest.approx(50.2))


def test_uncertainty_by_the_handbook_sums():
    found = alignment.line(X, *heights(0.3, 0.002, 50.0, 0.0))
    centred = np.sum((X - X.mean()) ** 2)
    assert found.freedom == 3
    assert found.offset_uncertainty == pytest.approx(found.scatter * np.sqrt(1 / 5 + X.mean() ** 2 / centred))  # fmt: skip
    slope = np.tan(np.radians(found.angle_deg))
    expected = np.degrees(found.scatter / np.sqrt(centred) / (1 + slope**2))
    assert found.angle_deg_uncertainty == pytest.approx(expected)
    assert found.gauge_zero_uncertainty == pytest.approx(0.0, abs=1e-9)
    assert found.offset_uncertainty_at(X.mean()) == pytest.approx(found.scatter / np.sqrt(5))
    assert found.offset_at(X.mean()) == pytest.approx(0.3 + 0.002 * X.mean() + BENT.mean())
    assert found.offset_uncertainty_at(0.0) == pytest.approx(found.offset_uncertainty)


def test_given_noise_is_halved_over_both_faces():
    found = alignment.line(X, *heights(0.3, 0.002, 50.0, 0.0), noise=0.02)
    assert found.offset_uncertainty_at(X.mean()) == pytest.approx(0.02 / np.sqrt(10))
    assert found.gauge_zero_uncertainty == pytest.approx(found.offset_uncertainty)
    assert found.gauge_tilt_deg_uncertainty == pytest.approx(found.angle_deg_uncertainty, rel=1e-4)
    assert found.freedom == np.inf
    assert alignment.line(X[:2], [50.0, 51.0], [50.0, 49.0], noise=0.02).offset == pytest.approx(
        -0.2
    )


def test_the_stated_uncertainties_cover_as_they_should():
    rng = np.random.default_rng(5)
    a, b = heights(0.3, 0.002, 50.0, 0.001, 0)
    found = alignment.line(X, a + rng.normal(0, 0.03, (4000, 5)), b + rng.normal(0, 0.03, (4000, 5)))  # fmt: skip
    truth = [0.3, np.degrees(np.arctan(0.002)), 50.0, np.degrees(np.arctan(0.001))]
    for name, true in zip(VALUES, truth, strict=True):
        ratio = np.abs(getattr(found, name) - true) / getattr(found, name + "_uncertainty")
        assert np.mean(ratio < coverage_factor(0.95, 3)) == pytest.approx(0.95, abs=0.012)
        assert np.mean(ratio < coverage_factor(0.683, 3)) == pytest.approx(0.683, abs=0.025)
    assert np.mean(found.scatter**2) == pytest.approx(0.03**2 / 2, rel=0.05)


def test_a_batch_equals_a_loop():
    rng = np.random.default_rng(6)
    a, b = rng.normal(50, 0.3, (2, 3, 5)), rng.normal(50, 0.3, (2, 3, 5))
    many = alignment.line(X, a, b)
    for i in np.ndindex(2, 3):
        one = alignment.line(X, a[i], b[i])
        for name in (*VALUES, *(v + "_uncertainty" for v in VALUES), "scatter"):
            assert getattr(many, name)[i] == pytest.approx(getattr(one, name), rel=1e-9)
        assert many.offset_uncertainty_at(300.0)[i] == pytest.approx(one.offset_uncertainty_at(300.0))  # fmt: skip


def test_twist_is_the_difference_of_the_leans():
    head = alignment.line(X, *heights(0.1, 0.01, 50.0, 0.0))
    seat = alignment.line(X, *heights(0.4, 0.004, 50.0, 0.0, BENT[::-1]))
    twist = alignment.twist_deg(head, seat)
    assert twist == head.angle_deg - seat.angle_deg == -alignment.twist_deg(seat, head)
    assert twist == pytest.approx(np.degrees(0.006), abs=0.02)


def test_a_lean_of_the_whole_frame_is_no_twist():
    lean = [alignment.line(X, *heights(o, s + 0.003, 50.0, 0.0, 0)) for o, s in ((0.1, 0.001), (0.2, 0.0))]  # fmt: skip
    flat = [alignment.line(X, *heights(o, s, 50.0, 0.0, 0)) for o, s in ((0.1, 0.001), (0.2, 0.0))]
    assert alignment.twist_deg(*lean) == pytest.approx(alignment.twist_deg(*flat), abs=2e-6)


def test_a_degree_over_a_length():
    assert alignment.over_length(1.0, 573.0) == pytest.approx(10.0, abs=0.002)
    assert alignment.over_length([45.0, -45.0], [10.0, 20.0]) == pytest.approx([10.0, -20.0])


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(0.33, "within"), (0.34, "undecided"), (0.66, "undecided"), (0.67, "outside"), (-0.33, "within"), (-0.67, "outside")],
)  # fmt: skip
def test_decisions_about_a_guard_band(value, verdict):
    found = alignment.decide(value, 0.1, 0.5)  # one-sided 95 %: 1.645 standard uncertainties
    assert found.verdict == verdict
    assert found.guard == pytest.approx(0.1645, abs=5e-5)
    assert (found.accept_to, found.reject_from) == (pytest.approx(0.5 - found.guard), pytest.approx(0.5 + found.guard))  # fmt: skip


def test_at_the_inner_edge_the_limit_is_kept_with_the_confidence():
    edge = alignment.decide(0.0, 0.05, 0.5, 0.9).accept_to
    assert alignment.decide(edge, 0.05, 0.5, 0.9).probability == pytest.approx(0.9, abs=1e-9)
    assert alignment.decide(0.5, 0.05, 0.5).probability == pytest.approx(0.5, abs=1e-9)
    assert alignment.decide(0.0, 0.05, 0.5).probability == pytest.approx(1.0)
    assert alignment.decide(0.0, 0.5, 0.5).probability == pytest.approx(0.6827, abs=5e-5)


def test_few_readings_widen_the_guard_band():
    assert alignment.decide(0.3, 0.1, 0.5, freedom=3).verdict == "undecided"
    assert alignment.decide(0.3, 0.1, 0.5).verdict == "within"


def test_a_batch_of_decisions_equals_a_loop():
    many = alignment.decide(np.array([0.1, -0.5, 0.9]), np.array([0.1, 0.1, 0.2]), 0.5)
    ones = [alignment.decide(v, u, 0.5) for v, u in ((0.1, 0.1), (-0.5, 0.1), (0.9, 0.2))]
    assert many.verdict.tolist() == [o.verdict for o in ones]
    assert many.probability == pytest.approx([o.probability for o in ones])


# --- cold setting -------------------------------------------------------------------------------

TUBE = Round(28.6, 0.9)
STEEL = (517.0, 205_000.0)


@given(st.floats(0.01, 0.6))
def test_pull_against_the_error_past_straight_by_the_springback(error):
    right = alignment.cold_set(error, TUBE, 450.0, *STEEL)
    left = alignment.cold_set(-error, TUBE, 450.0, *STEEL)
    assert right.pull_deg < 0 < left.pull_deg
    assert right.overbend_deg == pytest.approx(error + right.pull_deg)
    assert [left.pull_deg, left.force, left.deflection, left.overbend_deg] == [-right.pull_deg, -right.force, -right.deflection, -right.overbend_deg]  # fmt: skip
    assert 1 < right.moment_ratio < TUBE.plastic_modulus / TUBE.modulus
    assert right.curvature_ratio > 1
    assert right.strain == pytest.approx(right.curvature_ratio * 517.0 / 205_000.0)
    assert right.strain_share == pytest.approx(right.strain / (0.9 / 57.2))
    assert abs(right.force) * 450.0 == pytest.approx(right.moment_ratio * 517.0 * TUBE.modulus)


def test_the_same_pull_as_the_cantilever():
    pull = alignment.cold_set(0.5, TUBE, 450.0, *STEEL)
    same = pulls.cantilever_for_set(0.5, 450.0, TUBE, *STEEL)
    assert (-pull.deflection, -pull.force) == (same.deflection, same.force)


def test_a_cold_sets_ratios_by_their_definitions():
    tube, length = Round(28.6, 0.9), 450.0
    pull = alignment.cold_set(0.4, tube, length, 517.0, 205_000.0)
    moment = abs(pull.force) * length
    assert pull.moment_ratio == pytest.approx(moment / (517.0 * tube.modulus))
    kappa = pull.curvature_ratio * 517.0 / (205_000.0 * 14.3)
    assert bending.moment(kappa, tube, 517.0, 205_000.0) == pytest.approx(moment)
    assert pull.strain == pytest.approx(kappa * 14.3)
    assert pull.strain_share == pytest.approx(kappa * 14.3 * 2 * 28.6 / 0.9)  # of t / (2 D)


def test_a_tiny_error_still_needs_a_pull_to_yield():
    pull = alignment.cold_set(1e-6, TUBE, 450.0, *STEEL)
    elastic = np.degrees(bending.yield_curvature(TUBE, *STEEL) * 450.0 / 2)
    assert -pull.pull_deg == pytest.approx(elastic, rel=0.02)


def test_a_batch_of_pulls_equals_a_loop():
    errors = np.array([0.2, -0.4])
    many = alignment.cold_set(errors, TUBE, 450.0, *STEEL)
    for i, error in enumerate(errors):
        one = alignment.cold_set(float(error), TUBE, 450.0, *STEEL)
        for name in one.__dataclass_fields__:
            assert getattr(many, name)[i] == pytest.approx(getattr(one, name), rel=1e-12)


def test_strain_limit_is_half_wall_over_diameter():
    limits = alignment.strain_limit(Round(np.array([28.6, 31.8]), 0.6))
    assert limits == pytest.approx([0.6 / 57.2, 0.6 / 63.6])


@pytest.mark.parametrize(
    ("errors", "expected"),
    [
        ([0.6], ""),
        ([0.6, 0.3], ""),
        ([0.6, 0.6], ""),
        ([0.05], "Within the limit: leave it."),
        ([0.6, -0.1], "Within the limit: leave it."),
        ([0.6, -0.2], "Gone past straight: do not bend back and forth."),
        ([-0.6, 0.2], "Gone past straight: do not bend back and forth."),
        ([0.6, 0.7], "Worse than before: find out what moves."),
        ([-0.6, -0.7], "Worse than before: find out what moves."),
        ([0.6, 0.5, 0.4], ""),
        ([0.6, 0.5, 0.4, 0.3], "3 pulls: find out why it does not stay."),
    ],
)
def test_stop_rules(errors, expected):
    assert coldset.stop_reason(errors, 0.1) == expected
