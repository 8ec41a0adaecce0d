"""Standard uncertainty of a sum, and how wide to make an interval or a guard band."""

from __future__ import annotations

from functools import lru_cache
from math import erf, inf, isinf
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import require
from coursekit.scalars import bare, finite

__all__ = [
    "combined",
    "coverage_factor",
    "share_below",
]

_MANY = 100_000  # degrees of freedom beyond which the normal distribution stands for Student's


def combined(*parts: ArrayLike) -> Any:
    """Return the standard uncertainty of a sum of independent parts: their root sum square.

    Parameters
    ----------
    *parts : float or array
        Standard uncertainty that each part brings to the sum, 0 or more, all in one unit.

    Returns
    -------
    float or array
        In the unit of the parts.

    Raises
    ------
    ValueError
        "The uncertainty must be 0 or more; got -1. Check the sign."

    References
    ----------
    JCGM 100:2008 (GUM), eq. (11a).

    Examples
    --------
    >>> combined(0.3, 0.4)
    0.5
    >>> combined(0.3, -0.4)
    Traceback (most recent call last):
    ValueError: The uncertainty must be 0 or more; got -0.4. Check the sign.
    """
    total: Any = 0.0
    for part in parts:
        total = np.hypot(total, _part(part))
    return bare(total)


def share_below(t: ArrayLike, freedom: float = inf) -> Any:
    """Return the share of Student's distribution that lies below `t`.

    Parameters
    ----------
    t : float or array
        Error over its standard uncertainty.
    freedom : float
        Degrees of freedom, 1 or more, cut down to a whole number; infinity gives the normal
        distribution.

    Returns
    -------
    float or array
        0 to 1.

    Raises
    ------
    ValueError
        "The degrees of freedom must be 1 or more; got 0.5. Take more readings."

    References
    ----------
    Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 26.7.3, 26.7.4 (finite series);
    JCGM 100:2008 (GUM), G.3 and G.4.1 (rounding the freedom down).

    Examples
    --------
    >>> round(share_below(1.0, 1), 12)
    0.75
    >>> share_below(1.0, 0.5)
    Traceback (most recent call last):
    ValueError: The degrees of freedom must be 1 or more; got 0.5. Take more readings.
    """
    require(
        freedom >= 1,
        "The degrees of freedom must be 1 or more; got {freedom}. Take more readings.",
        freedom=freedom,
    )
    t = np.asarray(t, dtype=float)
    if isinf(freedom) or freedom > _MANY:
        return bare(0.5 + 0.5 * np.vectorize(erf)(t / np.sqrt(2)))
    return bare(np.clip(0.5 + 0.5 * _middle(t, int(freedom)), 0.0, 1.0))


def coverage_factor(confidence: float = 0.95, freedom: float = inf, sides: int = 2) -> float:
    """Return how many standard uncertainties an interval must reach.

    Parameters
    ----------
    confidence : float
        Share of cases to cover, between 0.5 and 1.
    freedom : float
        Degrees of freedom, 1 or more, cut down to a whole number.
    sides : int
        2 for an interval about the result, 1 for a limit that can be passed on one side only.

    Returns
    -------
    float
        A plain number.

    Raises
    ------
    ValueError
        "The confidence must lie between 0.5 and 1; got 95. Write 0.95 for 95 %."

    References
    ----------
    JCGM 100:2008 (GUM), G.3 and Table G.2.

    Examples
    --------
    >>> round(coverage_factor(0.95, 10), 2)
    2.23
    >>> coverage_factor(95)
    Traceback (most recent call last):
    ValueError: The confidence must lie between 0.5 and 1; got 95. Write 0.95 for 95 %.
    """
    require(
        0.5 < confidence < 1,
        "The confidence must lie between 0.5 and 1; got {confidence}. Write 0.95 for 95 %.",
        confidence=confidence,
    )
    require(
        sides in (1, 2),
        "The sides must be 1 or 2; got {sides}. An interval has 2, a single limit 1.",
        sides=sides,
    )
    return _factor(confidence if sides == 1 else (1 + confidence) / 2, freedom)


@lru_cache(maxsize=1024)
def _factor(wanted: float, freedom: float) -> float:
    """The t below which the share `wanted` lies, by halving."""
    low, high = 0.0, 1.0
    while share_below(high, freedom) < wanted:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if share_below(middle, freedom) < wanted else (low, middle)
    return (low + high) / 2


def _middle(t: Any, freedom: int) -> Any:
    """The share of Student's distribution between -|t| and |t|, with the sign of t."""
    angle = np.arctan(t / np.sqrt(freedom))
    odd = freedom % 2
    steps = np.arange(1, freedom // 2)
    ratios = 2 * steps / (2 * steps + 1) if odd else (2 * steps - 1) / (2 * steps)
    terms = np.concatenate([[1.0], np.cumprod(ratios)]) if freedom > 1 else np.zeros(1)
    powers = np.cos(angle)[..., None] ** (2 * np.arange(terms.size) + odd)
    series = np.sin(angle) * np.sum(terms * powers, axis=-1)
    return 2 / np.pi * (angle + series) if odd else series


def _part(part: ArrayLike) -> Any:
    value = finite("uncertainty", part)
    require(
        value >= 0, "The uncertainty must be 0 or more; got {value}. Check the sign.", value=value
    )
    return value
