"""Item analysis: identities, limits, and what cannot be said."""

from __future__ import annotations

from math import inf, isnan, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit.classroom.report import item_statistics

tables = st.integers(3, 12).flatmap(
    lambda n: st.integers(2, 6).flatmap(
        lambda k: st.lists(
            st.lists(st.integers(0, 4), min_size=k, max_size=k), min_size=n, max_size=n
        )
    )
)


def test_equal_questions_are_perfectly_reliable():
    column = np.array([[0.0], [1.0], [3.0], [4.0]])
    found = item_statistics.alpha(np.repeat(column, 4, axis=1))
    assert (found.value, found.low, found.high) == pytest.approx((1, 1, 1))
    assert item_statistics.item_rest(np.repeat(column, 4, axis=1)) == pytest.approx([1] * 4)


def test_opposed_questions_have_a_negative_alpha():
    assert item_statistics.alpha([[0, 2], [1, 0], [3, 1]]).value == pytest.approx(-6 / 7)


@settings(deadline=None)
@given(tables, st.floats(0.5, 3), st.floats(-2, 2))
def test_scale_and_shift_of_all_marks_change_nothing(marks, scale, shift):
    one, other = (
        item_statistics.alpha(marks),
        item_statistics.alpha(np.array(marks) * scale + shift),
    )
    assert (one.value, one.low) == pytest.approx((other.value, other.low), nan_ok=True, abs=1e-9)
    rest = item_statistics.item_rest(np.array(marks) * scale + shift)
    assert item_statistics.item_rest(marks) == pytest.approx(rest, nan_ok=True, abs=1e-9)


@settings(deadline=None)
@given(tables)
def test_alpha_by_the_mean_of_the_covariances(marks):
    # the same by another road: k²·mean covariance / variance of the sum
    covariance = np.cov(np.array(marks, float), rowvar=False)
    k, total = len(covariance), covariance.sum()
    found = item_statistics.alpha(marks)
    if total < 1e-9:
        assert isnan(found.value)
    else:
        mean = (total - np.trace(covariance)) / (k * (k - 1))
        assert found.value == pytest.approx(k * k * mean / total, abs=1e-9)
        assert found.low <= found.value <= found.high


def test_a_surer_interval_is_wider_and_more_students_make_it_narrower():
    random = np.random.default_rng(3)
    marks = random.normal(size=(20, 1)) + random.normal(size=(20, 5))
    wide, narrow = item_statistics.alpha(marks, 0.99), item_statistics.alpha(marks, 0.9)
    assert wide.low < narrow.low < narrow.value < narrow.high < wide.high
    often = item_statistics.alpha(np.tile(marks, (10, 1)))
    assert often.high - often.low < (narrow.high - narrow.low) / 2


@pytest.mark.parametrize(
    "marks",
    [[[1, 0, 1]], [[1], [0]], [[1, 1], [1, 1]], [[0, 1], [1, 0]]],
    ids=["one student", "one question", "all alike", "equal sums"],
)
def test_alpha_that_cannot_be_said_is_nan(marks):
    found = item_statistics.alpha(marks)
    assert all(isnan(v) for v in (found.value, found.low, found.high))


def test_a_question_that_all_got_alike_has_no_discrimination():
    found = item_statistics.item_rest([[0.1, 0, 1], [0.1, 1, 1], [0.1, 1, 3]])
    assert isnan(found[0])
    assert found[1:] == pytest.approx([0.5, 0.5])


def test_a_rest_that_is_alike_says_nothing():
    assert np.isnan(item_statistics.item_rest([[0, 1, 1], [1, 1, 1]])).tolist() == [
        True,
        True,
        True,
    ]


def test_lengthening_there_and_back():
    assert item_statistics.lengthened(
        0.5, item_statistics.factor_needed(0.5, 0.8)
    ) == pytest.approx(0.8)
    assert item_statistics.lengthened(0.7, 1) == pytest.approx(0.7)


@pytest.mark.parametrize("bad", [[[1, nan]], [], [[]], [[1, inf]], 3.0])
def test_a_table_with_gaps_is_refused(bad):
    with pytest.raises(ValueError, match="Marks must be a table with a row a student"):
        item_statistics.alpha(bad)


@pytest.mark.parametrize(("p", "quantile"), [(0, 0.0), (1, inf)])
def test_the_ends_of_the_f_distribution(p, quantile):
    assert item_statistics.f_quantile(p, 3, 4) == quantile
    assert isnan(item_statistics.f_quantile(nan, 3, 4))
    assert item_statistics.f_quantile(0.5, 7, 7) == pytest.approx(1)  # symmetry
    assert item_statistics.f_quantile(0.1, 3, 8) == pytest.approx(
        1 / item_statistics.f_quantile(0.9, 8, 3)
    )
