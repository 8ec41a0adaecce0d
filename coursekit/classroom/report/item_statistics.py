"""Classical item analysis: how hard a question is, and what its marks and their sum are worth.

Does a question tell good work from poor? How far can the sum of marks be trusted? `marks` is
always a table with a row for each student and a column for each question, without gaps. If nothing
can be said (with one student, or about a question that all answered alike), the answer is nan,
never a guess.

References
----------
Cronbach, L. J. (1951). Coefficient alpha and the internal structure of tests. Psychometrika 16,
297–334.
Feldt, L. S. (1965). The approximate sampling distribution of Kuder–Richardson reliability
coefficient twenty. Psychometrika 30, 357–370.
Spearman, C. (1910) and Brown, W. (1910). British Journal of Psychology 3, 271–295 and 296–322.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, isnan, lgamma, log, log1p, nan

import numpy as np
from numpy.typing import ArrayLike, NDArray

Table = NDArray[np.float64]


@dataclass(frozen=True)
class Alpha:
    """Cronbach's alpha, and the interval in which it lies with `level` certainty; nan for none."""

    value: float
    low: float
    high: float
    level: float = 0.95


def table(marks: ArrayLike) -> Table:
    """Return `marks` as a table of floats: a row for each student, a column for each question.

    Raises
    ------
    ValueError
        "Marks must be a table with a row a student and a column a question, all finite; got …"

    Examples
    --------
    >>> table([[1, 0], [1, 1]]).shape
    (2, 2)
    >>> table([1, 2])
    Traceback (most recent call last):
    ValueError: Marks must be a table with a row a student and a column a question, all finite; got
    shape (2,). Leave out questions that are not marked yet.
    """
    found = np.asarray(marks, dtype=np.float64)
    if found.ndim != 2 or 0 in found.shape or not np.isfinite(found).all():
        raise ValueError(
            "Marks must be a table with a row a student and a column a question, all finite; got "
            f"shape {found.shape}. Leave out questions that are not marked yet."
        )
    return found


def difficulty(marks: ArrayLike, out_of: ArrayLike) -> Table:
    """Return the mean share of its marks that each question earned, from 0 (nobody) to 1 (all).

    A high number means an easy question; "difficulty" is the field's own word for it.

    Examples
    --------
    >>> difficulty([[1, 0], [1, 2]], out_of=[1, 2]).tolist()
    [1.0, 0.5]
    """
    shares: Table = table(marks).mean(axis=0) / np.asarray(out_of, dtype=np.float64)
    return shares


def item_total(marks: ArrayLike) -> Table:
    """Return each question's correlation with the sum of all questions, itself among them.

    It flatters, because a question always agrees with itself: judge by `item_rest`.
    """
    scores = table(marks)
    total = scores.sum(axis=1)
    return np.array([_correlation(column, total) for column in scores.T])


def item_rest(marks: ArrayLike) -> Table:
    """Return each question's discrimination: its correlation with the sum of the *other* questions.

    It lies between −1 and 1. If it is below 0, those who did well elsewhere did badly here, so look
    at the question and its key again. It is nan if all students have the same marks for the
    question, or the same sum for the rest.

    Examples
    --------
    >>> item_rest([[0, 0, 0], [0, 1, 1], [1, 1, 1]]).round(3).tolist()
    [0.5, 0.866, 0.866]
    """
    scores = table(marks)
    total = scores.sum(axis=1)
    return np.array([_correlation(column, total - column) for column in scores.T])


def _correlation(one: Table, other: Table) -> float:
    a, b = one - one.mean(), other - other.mean()
    size = float(np.sqrt((a @ a) * (b @ b)))
    # differences of equal marks need not be exactly zero; anything this small counts as zero
    floor = 1e-12 * float(np.sqrt((one @ one) * (other @ other)))
    return float(a @ b) / size if size > floor else nan


def alpha(marks: ArrayLike, level: float = 0.95) -> Alpha:
    """Return Cronbach's alpha of the sum of marks with Feldt's interval.

    alpha = k/(k−1) · (1 − Σ item variance / variance of the sum), all variances with n − 1. For
    marks of 0 and 1 this is KR-20. It is nan for one student, one question or equal sums.

    Raises
    ------
    ValueError
        "The level must lie between 0 and 1; got …"

    Examples
    --------
    >>> alpha([[0, 0], [1, 1], [1, 1]]).value
    1.0
    >>> alpha([[0, 0], [1, 1]], level=95)
    Traceback (most recent call last):
    ValueError: The level must lie between 0 and 1; got 95. Write 95 % as 0.95.
    """
    if not 0 < level < 1:
        raise ValueError(f"The level must lie between 0 and 1; got {level:g}. Write 95 % as 0.95.")
    scores = table(marks)
    n, k = scores.shape
    if n < 2 or k < 2 or np.ptp(scores.sum(axis=1)) <= 1e-12 * np.abs(scores).max():
        return Alpha(nan, nan, nan, level)
    spread = scores.var(axis=0, ddof=1).sum() / scores.sum(axis=1).var(ddof=1)
    value = float(k / (k - 1) * (1 - spread))
    tail, d1, d2 = (1 - level) / 2, n - 1, (n - 1) * (k - 1)
    low = 1 - (1 - value) * f_quantile(1 - tail, d1, d2)
    high = 1 - (1 - value) * f_quantile(tail, d1, d2)
    return Alpha(value, low, high, level)


def lengthened(reliability: float, factor: float) -> float:
    """Return the reliability of a test made `factor` times as long (Spearman–Brown).

    Examples
    --------
    >>> round(lengthened(0.6, 2), 12)
    0.75
    """
    return factor * reliability / (1 + (factor - 1) * reliability)


def factor_needed(reliability: float, wanted: float) -> float:
    """Return how many times as long a test must be to reach `wanted` (Spearman–Brown).

    Raises
    ------
    ValueError
        "Both reliabilities must lie between 0 and 1; got …"

    Examples
    --------
    >>> round(factor_needed(0.5, 0.8), 12)
    4.0
    >>> factor_needed(-0.1, 0.8)
    Traceback (most recent call last):
    ValueError: Both reliabilities must lie between 0 and 1; got -0.1 and 0.8. No length mends that.
    """
    if not (0 < reliability < 1 and 0 < wanted < 1):
        raise ValueError(
            f"Both reliabilities must lie between 0 and 1; got {reliability:g} and {wanted:g}. No "
            "length mends that."
        )
    return wanted * (1 - reliability) / (reliability * (1 - wanted))


def f_quantile(p: float, d1: float, d2: float) -> float:
    """Return the value below which a share `p` of the F distribution lies, with freedoms d1 and d2.

    It is found by halving on the incomplete beta function, to the last digits of a float.

    Examples
    --------
    >>> round(f_quantile(0.95, 3, 10), 4)
    3.7083
    """
    if not 0 < p < 1 or isnan(p):
        return 0.0 if p == 0 else inf if p == 1 else nan
    low, high = 0.0, 1.0
    while low < (middle := (low + high) / 2) < high:
        if beta_share(middle, d1 / 2, d2 / 2) < p:
            low = middle
        else:
            high = middle
    return d2 * middle / (d1 * (1 - middle)) if middle < 1 else inf


def beta_share(x: float, a: float, b: float) -> float:
    """Return the regularized incomplete beta function I_x(a, b), x from 0 to 1.

    References
    ----------
    Abramowitz & Stegun 1964: 26.5.8, the continued fraction; 26.5.2, the mirror.
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):  # the fraction converges slowly here, but fast in the mirror
        return 1 - beta_share(1 - x, b, a)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a
    return front / _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    """Return 1 + c₁/(1 + c₂/(1 + …)) of A&S 26.5.8, by Lentz's method from the front."""
    tiny = 1e-300
    value, upper, lower = 1.0, 1.0, 0.0
    for step in range(1, 10_000):
        m = step // 2
        if step % 2:
            c = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            c = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        lower = 1 / ((1 + c * lower) or tiny)
        upper = (1 + c / upper) or tiny
        value *= upper * lower
        if abs(upper * lower - 1) < 1e-15:
            break
    return value
