"""Readings at the bench: what one is worth, and what several of one thing are worth together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import require
from coursekit.scalars import above_zero, bare, finite

__all__ = ["Mean", "division_uncertainty", "mean_of"]


def division_uncertainty(division: ArrayLike) -> Any:
    """Return the standard uncertainty of one reading that was rounded to a division.

    The true value may lie anywhere within half a division to either side, and no place there is
    likelier than another, so the uncertainty is half a division over √3.

    Parameters
    ----------
    division : float or array
        The step between two readings that you can tell apart, greater than 0.

    Returns
    -------
    float or array
        In the unit of the division.

    Raises
    ------
    ValueError
        "The division must be greater than 0; got 0. …"

    References
    ----------
    JCGM 100:2008 (GUM), 4.3.7 and F.2.2.1.

    Examples
    --------
    >>> round(division_uncertainty(0.5), 4)
    0.1443
    >>> division_uncertainty(0.0)
    Traceback (most recent call last):
    ValueError: The division must be greater than 0; got 0. Give the finest step you read.
    """
    division = above_zero("division", division, "Give the finest step you read.")
    return bare(division / np.sqrt(12.0))


@dataclass(frozen=True)
class Mean:
    """What several readings of one thing say together.

    Attributes
    ----------
    value : float
        Their mean.
    scatter : float
        Standard deviation of a single reading.
    uncertainty : float
        Standard uncertainty of the mean.
    count : int
        How many readings there were.
    """

    value: float
    scatter: float
    uncertainty: float
    count: int


def mean_of(readings: ArrayLike) -> Mean:
    """Return the mean of repeated readings, with its standard uncertainty.

    The scatter of a single reading comes from the readings themselves (n − 1). The mean of n
    readings is known √n times better than one of them.

    Parameters
    ----------
    readings : array, (n,)
        Two readings or more of the same thing, in one unit.

    Returns
    -------
    Mean
        In the unit of the readings.

    Raises
    ------
    ValueError
        "The readings must be two or more; got 1. …"

    References
    ----------
    JCGM 100:2008 (GUM), eq. (3) to (5).

    Examples
    --------
    >>> found = mean_of([1.0, 2.0, 3.0])
    >>> found.value, found.scatter, round(found.uncertainty, 6), found.count
    (2.0, 1.0, 0.57735, 3)
    >>> mean_of([0.2])
    Traceback (most recent call last):
    ValueError: The readings must be two or more; got 1. Measure again.
    """
    values = finite("readings", readings).ravel()
    require(
        values.size > 1,
        "The readings must be two or more; got {count}. Measure again.",
        count=values.size,
    )
    mean = values.mean()
    scatter = np.sqrt(np.sum((values - mean) ** 2) / (values.size - 1))
    return Mean(float(mean), float(scatter), float(scatter / np.sqrt(values.size)), values.size)
