"""Item analysis of ten learners on five questions.

Source: the matrix is printed in the help page of `itemAnalysis` of the R package CTT (CRAN mirror
cran/CTT, man/itemAnalysis.Rd, commit 0693501), the Spearman–Brown examples in man/spearman.brown.Rd
of the same. The results below were derived from the matrix by hand as fractions: the sum of item
variances p·q and the variance of the sums, both with n − 1. Tolerance half the last printed digit.
"""

import numpy as np
import pytest

from coursekit.classroom.report import item_statistics

C = np.array(
    [
        [int(digit) for digit in row]
        for row in [
            "00000",
            "00000",
            "00001",
            "00011",
            "00111",
            "01111",
            "11111",
            "10111",
            "00011",
            "01111",
        ]
    ]
)


def test_difficulty():
    assert item_statistics.difficulty(C, [1] * 5) == pytest.approx(
        [0.2, 0.3, 0.5, 0.7, 0.8], abs=1e-12
    )


def test_alpha_is_kr20():
    assert item_statistics.alpha(C).value == pytest.approx(31 / 38, abs=1e-12)
    assert item_statistics.alpha(C).value == pytest.approx(0.8157894737, abs=0.5e-10)


def test_not_the_trap_of_mixed_variances():
    # population p·q over the sample variance of the sums gives 0.85921, which is wrong
    p = C.mean(axis=0)
    mixed = 5 / 4 * (1 - (p * (1 - p)).sum() / C.sum(axis=1).var(ddof=1))
    assert mixed == pytest.approx(0.85921, abs=0.5e-5)
    assert item_statistics.alpha(C).value < mixed - 0.04


def test_uncorrected_item_total_correlation():
    assert item_statistics.item_total(C) == pytest.approx(
        [0.59235, 0.71094, 0.88852, 0.84020, 0.74044], abs=0.5e-5
    )


def test_discrimination_takes_the_question_out_of_the_sum():
    rest = C.sum(axis=1, keepdims=True) - C
    by_numpy = [np.corrcoef(C[:, i], rest[:, i])[0, 1] for i in range(5)]
    assert item_statistics.item_rest(C) == pytest.approx(by_numpy, abs=1e-12)
    assert (item_statistics.item_rest(C) < item_statistics.item_total(C)).all()


def test_spearman_brown():
    assert item_statistics.lengthened(0.6, 2) == pytest.approx(0.75, abs=1e-12)
    assert item_statistics.factor_needed(0.5, 0.8) == pytest.approx(4, abs=1e-12)
