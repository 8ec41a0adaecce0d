"""Cronbach's alpha and its interval.

Source: pingouin, a general-purpose library for statistics (repository raphaelvallat/pingouin, commit
14994d6): the 15 × 10 ratings and the expected value 0.5917188485995826 with the 95 % interval 0.195 to
0.840 stand in src/pingouin/reliability.py, whose authors checked them against the R package psych.
The library itself is the judge of random tables; scipy is that of the F distribution.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from coursekit.classroom.report import item_statistics

L = np.array(
    [
        [int(digit) for digit in row]
        for row in [
            "3241451432",
            "5463512555",
            "7355643365",
            "2433222663",
            "6565444675",
            "1234252352",
            "4353521243",
            "2443722465",
            "6555165232",
            "5464353172",
            "4352532341",
            "4232534234",
            "5562332445",
            "6554221465",
            "4355313234",
        ]
    ]
)


def test_the_published_value_and_interval():
    found = item_statistics.alpha(L)
    assert found.value == pytest.approx(0.5917188485995826, abs=1e-12)
    assert (found.low, found.high) == pytest.approx((0.195, 0.840), abs=0.0005)


def test_the_table_itself_by_its_corners():
    assert L.shape == (15, 10)
    assert (L[0, 0], L[0, -1], L[-1, 0], L[-1, -1], L.min(), L.max()) == (3, 2, 4, 4, 1, 7)


@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
@pytest.mark.parametrize(("n", "k"), [(2, 2), (5, 3), (12, 12), (30, 11), (300, 6)])
def test_random_tables(n, k, level):
    import pandas
    from pingouin import cronbach_alpha

    random = np.random.default_rng(n * k)
    marks = random.normal(size=(n, 1)) + random.normal(scale=1.5, size=(n, k))
    found = item_statistics.alpha(marks, level)
    value, (low, high) = cronbach_alpha(pandas.DataFrame(marks), ci=level)
    assert found.value == pytest.approx(value, abs=1e-9)
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.00051)  # it rounds to 0.001


@settings(deadline=None, max_examples=300)
@given(st.floats(1e-4, 1 - 1e-4), st.integers(1, 400), st.integers(1, 4000))
def test_f_quantile(p, d1, d2):
    assert item_statistics.f_quantile(p, d1, d2) == pytest.approx(stats.f.ppf(p, d1, d2), rel=1e-8)


@settings(deadline=None, max_examples=300)
@given(st.floats(0, 1), st.floats(0.5, 2000), st.floats(0.5, 2000))
def test_incomplete_beta(x, a, b):
    assert item_statistics.beta_share(x, a, b) == pytest.approx(
        special.betainc(a, b, x), rel=1e-8, abs=1e-13
    )
