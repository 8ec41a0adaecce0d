"""Least squares by QR, and what the fit leaves uncertain: the engine under every fitted line.

There are no normal equations here, because squaring a matrix throws away half of the digits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import require
from coursekit.scalars import above_zero, finite

__all__ = ["Fitted", "linear", "nonlinear"]

_RANK = 1e-10  # share of a column that must be its own; with less, its unknown is not fixed
_TINY = 1e-300  # taken as the length of a column of zeros, so that it can be divided by
_TRIALS = 40  # dampings tried before a step is given up


@dataclass(frozen=True)
class Fitted:
    """The unknowns that a least-squares fit found, in the order of the matrix's columns.

    Attributes
    ----------
    values : array, (…, unknowns)
        The unknowns.
    covariance : array, (…, unknowns, unknowns)
        Their covariance.
    residuals : array, (…, readings)
        Reading minus fit.
    scatter : float or array
        Standard deviation of one reading about the fit.
    freedom : float
        Readings less unknowns, or infinity where the noise was given.
    """

    values: Any
    covariance: Any
    residuals: Any
    scatter: Any
    freedom: float

    @property
    def uncertainty(self) -> Any:
        """Standard uncertainty of each unknown, in its own unit."""
        return np.sqrt(np.diagonal(self.covariance, axis1=-2, axis2=-1))

    @property
    def correlation(self) -> Any:
        """Correlation matrix of the unknowns, each entry -1 to 1."""
        one = self.uncertainty
        return self.covariance / (one[..., :, None] * one[..., None, :])


def linear(matrix: ArrayLike, readings: ArrayLike, noise: ArrayLike | None = None) -> Fitted:
    """Return the least-squares solution of `matrix` · unknowns = `readings`, with its covariance.

    Parameters
    ----------
    matrix : array, (…, readings, unknowns)
        What one unit of each unknown adds to each reading.
    readings : array, (…, readings)
        A leading axis holds many fits at once.
    noise : float or array, optional
        Known standard uncertainty of one reading, greater than 0. Left out, it is taken from the
        scatter about the fit.

    Returns
    -------
    Fitted
        The unknowns and what is uncertain about them.

    Raises
    ------
    ValueError
        "The readings must outnumber the unknowns; got 2 for 2. …"; "The readings must fix every
        unknown; got places that do not tell them apart. …"

    References
    ----------
    JCGM 100:2008 (GUM), Annex H.3 (line and covariance); Golub & Van Loan, Matrix Computations
    (2013), sec. 5.3 (least squares by QR).

    Examples
    --------
    >>> fit = linear([[1, 0], [1, 1], [1, 2]], [1.0, 2.0, 4.0])
    >>> [round(float(v), 4) for v in (*fit.values, fit.scatter)]
    [0.8333, 1.5, 0.4082]
    >>> linear([[1, 5], [1, 5], [1, 5]], [1.0, 2.0, 4.0])
    Traceback (most recent call last):
    ValueError: The readings must fix every unknown; got places that do not tell them apart. Take
    readings further apart.
    """
    design = finite("matrix", matrix)
    y = finite("readings", readings)
    count, unknowns = design.shape[-2:]
    _check_count(count, unknowns, noise)
    q, back = _triangle(design)
    part = np.einsum("...nk,...n->...k", q, y)
    values = np.einsum("...jk,...k->...j", back, part)
    residuals = y - np.einsum("...nk,...k->...n", design, values)
    return _fitted(values, back, residuals, noise)


def nonlinear(
    model: Callable[[Any], tuple[Any, Any]],
    readings: ArrayLike,
    start: ArrayLike,
    noise: ArrayLike | None = None,
) -> Fitted:
    """Return the least-squares unknowns of a curved model, by damped Gauss–Newton from `start`.

    Parameters
    ----------
    model : callable
        Takes the unknowns and returns the prediction, (readings,), and its derivatives,
        (readings, unknowns). The prediction is not finite where it has no meaning.
    readings : array, (readings,)
        What was read.
    start : array, (unknowns,)
        A guess near the answer.
    noise : float or array, optional
        As for `linear`.

    Returns
    -------
    Fitted
        The covariance is that of the straightened model at the answer.

    Raises
    ------
    ValueError
        "The model must predict every reading; got 4 for 3. …"; otherwise as `linear`.

    References
    ----------
    Nocedal & Wright, Numerical Optimization (2006), sec. 10.3 (Gauss–Newton, Levenberg–Marquardt by
    QR of the augmented matrix).

    Examples
    --------
    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> def decay(p):
    ...     return p[0] * p[1] ** x, np.stack([p[1] ** x, p[0] * x * p[1] ** (x - 1)], axis=1)
    >>> fit = nonlinear(decay, [8.0, 4.0, 2.0, 1.0], [5.0, 0.7])
    >>> [round(float(v), 6) for v in fit.values]
    [8.0, 0.5]
    >>> nonlinear(decay, [8.0, 4.0, 2.0], [5.0, 0.7])
    Traceback (most recent call last):
    ValueError: The model must predict every reading; got 4 for 3. Give it the same places.
    """
    y = finite("readings", readings)
    unknowns = finite("start", start)
    predicted = model(unknowns)[0].size
    require(
        predicted == y.size,
        "The model must predict every reading; got {predicted} for {count}. Give it the same "
        "places.",
        predicted=predicted,
        count=y.size,
    )
    _check_count(y.size, unknowns.size, noise)
    unknowns, residuals, slopes = descend(model, y, unknowns)
    _, back = _triangle(slopes)
    return _fitted(unknowns, back, residuals, noise)


def descend(
    model: Callable[[Any], tuple[Any, Any]], y: Any, unknowns: Any, gain: float = 1e-15
) -> tuple[Any, ...]:
    """Walk downhill from a guess, each step a damped linear fit.

    The walk ends when a step lessens the misfit by no more than `gain` of it, or when no step
    helps.

    Parameters
    ----------
    model : callable
        As for `nonlinear`.
    y : array, (readings,)
        The readings.
    unknowns : array, (unknowns,)
        Where the walk starts.
    gain : float
        Share of the misfit that a step must win for the walk to go on.

    Returns
    -------
    unknowns : array, (unknowns,)
        Where the walk ends.
    residuals : array, (readings,)
        Reading minus prediction there.
    derivatives : array, (readings, unknowns)
        Of the prediction there.
    """
    prediction, slopes = model(unknowns)
    residuals, damping = y - prediction, 1e-6
    for _ in range(200):
        for _ in range(_TRIALS):
            step = _damped(slopes, residuals, damping)
            prediction, trial = model(unknowns + step)
            left = y - prediction
            if left @ left <= residuals @ residuals:  # False where it is nan
                break
            damping *= 8
        else:
            return unknowns, residuals, slopes
        won = residuals @ residuals - left @ left
        unknowns, residuals, slopes = unknowns + step, left, trial
        damping = max(damping / 16, 1e-12)
        if won <= gain * (left @ left):
            break
    return unknowns, residuals, slopes


def _damped(slopes: Any, residuals: Any, damping: float) -> Any:
    """The step that least squares asks for, held back in proportion to `damping`."""
    length = np.maximum(np.linalg.norm(slopes, axis=0), _TINY)
    q, r = np.linalg.qr(np.vstack([slopes / length, np.sqrt(damping) * np.eye(length.size)]))
    return np.linalg.solve(r, q[: residuals.size].T @ residuals) / length


def _check_count(count: int, unknowns: int, noise: Any) -> None:
    enough = count > unknowns if noise is None else count >= unknowns
    cure = "Take more readings or give the noise of one." if noise is None else "Take more."
    require(
        enough,
        "The readings must {rule} the unknowns; got {count} for {unknowns}. {cure}",
        rule="outnumber" if noise is None else "be at least as many as",
        count=count,
        unknowns=unknowns,
        cure=cure,
    )


def _triangle(design: Any) -> tuple[Any, Any]:
    """Q of the matrix and the inverse of its R, after giving all columns the same length."""
    length = np.maximum(np.linalg.norm(design, axis=-2, keepdims=True), _TINY)
    q, r = np.linalg.qr(design / length)
    own = np.abs(np.diagonal(r, axis1=-2, axis2=-1))
    if not (own > _RANK).all():
        raise ValueError(
            "The readings must fix every unknown; got places that do not tell them apart. "
            "Take readings further apart."
        )
    return q, np.linalg.inv(r) / np.swapaxes(length, -1, -2)


def _fitted(values: Any, back: Any, residuals: Any, noise: Any) -> Fitted:
    spare = residuals.shape[-1] - values.shape[-1]
    squares = np.sum(residuals**2, axis=-1)
    scatter = np.sqrt(squares / spare) if spare > 0 else np.full(squares.shape, np.nan)[()]
    one = scatter if noise is None else above_zero("noise", noise)
    cofactor = np.einsum("...ij,...kj->...ik", back, back)
    covariance = np.asarray(one)[..., None, None] ** 2 * cofactor
    return Fitted(values, covariance, residuals, scatter, spare if noise is None else np.inf)
