"""Standard uncertainty carried through a sum, and how wide to make an interval or a guard band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import erf, inf, isinf
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import require
from coursekit.scalars import above_zero, bare, finite

__all__ = [
    "Propagated",
    "combined",
    "coverage_factor",
    "effective_freedom",
    "propagate",
    "share_below",
]

_MANY = 100_000  # degrees of freedom beyond which Student's curve is taken as the normal one


def combined(*parts: ArrayLike) -> Any:
    """The standard uncertainty of a sum of independent parts, in their unit: root sum square.

    Parameters: `parts`, the standard uncertainty each part brings to the sum, 0 or more.

    Raises ValueError: "The uncertainty must be 0 or more; got -1. Check the sign."

    References: JCGM 100:2008 (GUM), eq. (11a).

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


@dataclass(frozen=True)
class Propagated:
    """Results of a measurement model: `values`, `covariance`, `sensitivity` (results × inputs)."""

    values: Any
    covariance: Any
    sensitivity: Any

    @property
    def uncertainty(self) -> Any:
        """Standard uncertainty of each result, in its own unit."""
        return np.sqrt(np.diagonal(self.covariance))

    @property
    def correlation(self) -> Any:
        """Correlation matrix of the results, each entry -1 to 1."""
        return self.covariance / np.outer(self.uncertainty, self.uncertainty)


def propagate(
    model: Callable[..., Any],
    values: Sequence[float],
    uncertainties: Sequence[float],
    correlation: ArrayLike | None = None,
) -> Propagated:
    """The results of `model(*values)` with the uncertainty that its inputs bring to them.

    First order: each result is taken as straight over one standard uncertainty of each input, so
    a result that bends there (a hypotenuse near zero) comes out wrong.

    Parameters: `model`, takes the inputs one by one, returns a number or a sequence of numbers;
    `values`, the inputs; `uncertainties`, their standard uncertainties, each greater than 0;
    `correlation`, matrix of the inputs' correlations, or None for independent inputs.

    Raises ValueError: "The inputs must each have one uncertainty; got 3 for 2. Give both lists
    the same length."; "The correlation must be a matrix of -1 to 1 with 1 on its diagonal; …"

    References: JCGM 100:2008 (GUM), eq. (13) and 5.1.3 note 2 (sensitivities by small steps).

    >>> result = propagate(lambda rise, run: rise / run, [30.0, 300.0], [0.3, 1.0])
    >>> round(float(result.uncertainty[0]), 8)
    0.00105409
    >>> propagate(lambda rise, run: rise / run, [30.0, 300.0], [0.3])
    Traceback (most recent call last):
    ValueError: The inputs must each have one uncertainty; got 1 for 2. Give both lists the same
    length.
    """
    x = finite("inputs", values)
    u = above_zero("uncertainties", uncertainties)
    require(
        x.size == u.size,
        "The inputs must each have one uncertainty; got {u} for {x}. Give both lists the same"
        " length.",
        u=u.size,
        x=x.size,
    )
    links = np.eye(x.size) if correlation is None else _links(correlation, x.size)
    slopes = np.column_stack([_slope(model, x, u, i) for i in range(x.size)])
    spread = slopes * u
    return Propagated(_call(model, x), spread @ links @ spread.T, slopes)


def effective_freedom(parts: ArrayLike, freedoms: ArrayLike) -> float:
    """The degrees of freedom of a combined uncertainty (Welch–Satterthwaite), not rounded.

    Parameters: `parts`, what each input brings to the result's standard uncertainty, same unit;
    `freedoms`, the degrees of freedom of each, greater than 0; infinity where it is known.

    Raises ValueError: "The parts must not all be 0; got 0. Give the uncertainty of each part."

    References: JCGM 100:2008 (GUM), eq. (G.2b).

    >>> effective_freedom([3.0, 3.0], [4, 4])
    8.0
    >>> effective_freedom([0.0, 0.0], [4, 4])
    Traceback (most recent call last):
    ValueError: The parts must not all be 0; got 0. Give the uncertainty of each part.
    """
    squares = np.asarray(_part(parts)) ** 2
    freedoms = np.asarray(freedoms, dtype=float)
    require(
        freedoms > 0,
        "The degrees of freedom must be greater than 0; got {freedom}. Take readings less "
        "unknowns.",
        freedom=freedoms,
    )
    require(
        squares.sum() > 0,
        "The parts must not all be 0; got 0. Give the uncertainty of each part.",
    )
    below = float(np.sum(squares**2 / freedoms))
    return inf if below == 0 else float(squares.sum()) ** 2 / below


def share_below(t: ArrayLike, freedom: float = inf) -> Any:
    """The share, 0 to 1, of Student's distribution that lies below `t`.

    Parameters: `t`, error over its standard uncertainty; `freedom`, degrees of freedom, 1 or
    more, cut down to a whole number; infinity gives the normal distribution.

    Raises ValueError: "The degrees of freedom must be 1 or more; got 0.5. Take more readings."

    References: Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 26.7.3, 26.7.4
    (finite series); JCGM 100:2008 (GUM), G.3 and G.4.1 (rounding the freedom down).

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
    """How many standard uncertainties an interval must reach, a plain number.

    Parameters: `confidence`, share of cases to cover, between 0.5 and 1; `freedom`, degrees of
    freedom, 1 or more, cut down to a whole number; `sides`, 2 for an interval about the result,
    1 for a limit that may be passed on one side only.

    Raises ValueError: "The confidence must lie between 0.5 and 1; got 95. Write 0.95 for 95 %."

    References: JCGM 100:2008 (GUM), G.3 and Table G.2.

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


def _links(correlation: ArrayLike, size: int) -> Any:
    links = finite("correlation", correlation)
    fits = links.shape == (size, size) and np.allclose(np.diagonal(links), 1.0)
    if not fits or np.abs(links).max() > 1 or not np.allclose(links, links.T):
        raise ValueError(
            "The correlation must be a matrix of -1 to 1, the same across its diagonal of 1; "
            f"got {links.tolist()}. Give one row and column for each input."
        )
    return links


def _call(model: Callable[..., Any], x: Any) -> Any:
    return np.atleast_1d(np.asarray(model(*x.tolist()), dtype=float))


def _slope(model: Callable[..., Any], x: Any, u: Any, i: int) -> Any:
    """Change of the results per unit of input i: two central steps, the curvature taken out."""
    wide, narrow = (
        (_call(model, x + h) - _call(model, x - h)) / (2 * h[i])
        for h in (np.eye(x.size)[i] * u[i] * share for share in (1 / 8, 1 / 16))
    )
    return (4 * narrow - wide) / 3
