"""Cronbach's alpha and its interval, by two worked examples in print and by analysis of variance.

K. L. Wuensch, "The Kuder-Richardson 20", East Carolina University, core.ecu.edu/wuenschk/StatHelp/KR20.txt
(read): ten students, ten questions marked 0 or 1, the share p and the variance p·q of each question, the
variance of the sums 5.84; variances over n, as printed.
The documentation of pingouin, a general library for statistics (repository raphaelvallat/pingouin, commit
14994d6, src/pingouin/reliability.py; read): 15 × 10 ratings, alpha 0.5917188485995826, 95 % interval 0.195
to 0.840, which its authors checked against the R package psych.
C. Hoyt, "Test reliability estimated by analysis of variance", Psychometrika 6 (1941) 153 (from memory), is
the judge of random tables: alpha is 1 less the mean square of what is left over that of the persons.
Interval: L. S. Feldt, D. J. Woodruff and F. A. Salih, Applied Psychological Measurement 11 (1987) 93,
formulas 6 and 7 (as the manual of the R package cocron quotes them), with scipy's F distribution.
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


QUIZ = np.array(
    [
        [int(digit) for digit in row]
        for row in [
            "1111110110",
            "1011011101",
            "1111011001",
            "0010001000",
            "0000010010",
            "1110111111",
            "1101110111",
            "1111111101",
            "0101111101",
            "1101101110",
        ]
    ]
)
SHARES = (0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6)
VARIANCES = (0.21, 0.21, 0.24, 0.21, 0.24, 0.16, 0.21, 0.21, 0.25, 0.24)


def test_ten_students_and_ten_questions():
    """KR-20: 10/9 times (1 − Σ p·q / 5.84)."""
    assert item_statistics.difficulty(QUIZ, np.ones(10)) == pytest.approx(SHARES, abs=1e-12)
    printed = 10 / 9 * (1 - sum(VARIANCES) / 5.84)
    assert item_statistics.alpha(QUIZ).value == pytest.approx(printed, abs=1e-12)


def hoyt(marks, level=0.95):
    """Alpha, low and high by Hoyt's analysis of variance: persons, questions, and what is left."""
    marks = np.asarray(marks, dtype=float)
    n, k = marks.shape
    persons = marks.mean(axis=1, keepdims=True)
    rest = marks - persons - marks.mean(axis=0) + marks.mean()
    freedoms = n - 1, (n - 1) * (k - 1)
    ratio = (rest**2).sum() / freedoms[1] / (k * persons.var(ddof=1))
    low, high = (1 - ratio * stats.f.ppf(p, *freedoms) for p in ((1 + level) / 2, (1 - level) / 2))
    return 1 - ratio, low, high


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
    random = np.random.default_rng(n * k)
    marks = random.normal(size=(n, 1)) + random.normal(scale=1.5, size=(n, k))
    found = item_statistics.alpha(marks, level)
    assert (found.value, found.low, found.high) == pytest.approx(hoyt(marks, level), rel=1e-8)


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
