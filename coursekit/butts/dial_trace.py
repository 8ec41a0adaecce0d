"""Fit a flat–slope–flat–slope–flat line to a noisy trace: the engine of `butts.find`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.fitting import descend

SIDES = {"plain": (), "butted at a": ("a",), "butted at b": ("b",), "double-butted": ("a", "b")}
_COARSE = 36  # places tried for each knot in the first scan
_BINS = 72  # readings that the first scan sees, with neighbours averaged
_GAIN = 1e-8  # share of the misfit that a last step must win: some 1e-4 of a knot's uncertainty
_FINE = 33  # places of each knot over which the spread is summed
_TINY = 1e-14  # mm²: no dial shows less, so fitting it gains nothing
_BUTT_COST = 8.0  # plain unknowns that one butt counts for: a step and two searched knots


@dataclass(frozen=True)
class Trace:
    """A trace and one description of it: which ends are butted, and where the knots lie.

    Attributes
    ----------
    x, y : array, (readings,)
        Positions and readings, mm.
    tilt : bool
        Whether the trace may lean as a whole.
    sides : tuple of str
        The butted ends, "a" or "b".
    knots : tuple of (float, float)
        Where each taper starts and stops along the tube, mm.
    misfit : float
        Sum of the squares that the description leaves, mm².
    """

    x: Any
    y: Any
    tilt: bool
    sides: tuple[str, ...] = ()
    knots: tuple[tuple[float, float], ...] = ()  # (start, stop) of each taper, along the tube
    misfit: float = np.inf

    @property
    def score(self) -> float:
        """Bayes' information criterion; less is better (Schwarz 1978)."""
        n = self.x.size
        cost = 1 + self.tilt + _BUTT_COST * len(self.sides)
        return float(n * np.log(max(self.misfit / n, _TINY)) + cost * np.log(n))

    @property
    def scatter(self) -> float:
        """Standard deviation of one reading about the fit, in the readings' unit."""
        unknowns = 1 + self.tilt + 3 * len(self.sides)
        return float(np.sqrt(self.misfit / (self.x.size - unknowns)))


def ramp(x: Any, start: Any, stop: Any, side: str) -> Any:
    """Return the share of a butt's step: 1 in the butt, 0 in the belly, straight in the taper.

    Parameters
    ----------
    x : float or array
        Positions along the tube, mm.
    start, stop : float or array
        Where the taper starts and stops along the tube, mm.
    side : str
        The end that the butt is at, "a" or "b".

    Returns
    -------
    float or array
        0 to 1.
    """
    share = np.clip((x - start) / (stop - start), 0.0, 1.0)
    return 1.0 - share if side == "a" else share


def columns(trace: Trace, skip: str = "") -> Any:
    """Return the columns that the levels are fitted by: belly, tilt if any, one step for each butt.

    Parameters
    ----------
    trace : Trace
        The trace and its knots.
    skip : str
        An end whose step is left out, "a" or "b".

    Returns
    -------
    array, (readings, unknowns)
        The matrix of the linear fit.
    """
    flat = [np.ones_like(trace.x)] + [trace.x - trace.x.mean()] * trace.tilt
    steps = [ramp(trace.x, *knots, side) for side, knots in _pairs(trace) if side != skip]
    return np.column_stack(flat + steps)


def best(x: Any, y: Any, tilt: bool) -> Trace:
    """Return the description of a trace that the readings bear out, its knots by least squares.

    Parameters
    ----------
    x, y : array, (readings,)
        Positions, rising, and readings, mm.
    tilt : bool
        Whether the trace may lean as a whole.

    Returns
    -------
    Trace
        The one with the least score.
    """
    return min((_fit(x, y, tilt, sides) for sides in SIDES.values()), key=lambda t: t.score)


def spread(trace: Trace) -> tuple[tuple[float, float, float, float], ...]:
    """Return the mean and the spread of all the places that the readings allow for each knot.

    The readings allow a place in proportion to its likelihood, with levels and noise summed out and
    all places equally likely beforehand.

    Parameters
    ----------
    trace : Trace
        The trace and its knots.

    Returns
    -------
    tuple of (start, stop, u(start), u(stop))
        For each taper, mm.
    """
    return tuple(_spread(trace, side, knots) for side, knots in _pairs(trace))


def levels(trace: Trace) -> tuple[Any, Any]:
    """Return the levels of a trace and the covariance of all its unknowns.

    Parameters
    ----------
    trace : Trace
        The trace and its knots.

    Returns
    -------
    found : array
        The belly, the tilt if any and the step of each butt, mm.
    covariance : array
        Of the levels and then of (start, stop) of each taper, straightened at the fit.
    """
    found = np.linalg.lstsq(columns(trace), trace.y, rcond=None)[0]
    back = np.linalg.pinv(_model(trace, found)[1])
    return found, trace.scatter**2 * back @ back.T


def _pairs(trace: Trace) -> zip[tuple[str, tuple[float, float]]]:
    return zip(trace.sides, trace.knots, strict=True)


def _fit(x: Any, y: Any, tilt: bool, sides: tuple[str, ...]) -> Trace:
    """The least-squares knots for the given butted ends: a coarse scan, then downhill."""
    coarse = _binned(x, y, tilt)
    knots = {"b": (float(x.mean()), float(x[-1]))} if len(sides) > 1 else {}
    for _ in range(3 if len(sides) > 1 else 1):
        for side in sides:
            others = {s: k for s, k in knots.items() if s != side}
            known = Trace(coarse.x, coarse.y, tilt, tuple(others), tuple(others.values()))
            knots[side] = _scan(known, side)
    start = Trace(x, y, tilt, sides, tuple(knots[s] for s in sides))
    return _polished(start)


def _binned(x: Any, y: Any, tilt: bool) -> Trace:
    count = min(_BINS, x.size)
    edges = np.arange(count) * x.size // count
    members = np.diff(edges, append=x.size)
    binned_x, binned_y = (np.add.reduceat(v, edges) / members for v in (x, y))
    return Trace(binned_x, binned_y, tilt)


def _scan(known: Trace, side: str) -> tuple[float, float]:
    places = np.linspace(known.x[0], known.x[-1], _COARSE)
    i, j = np.triu_indices(_COARSE, k=1)
    low, high = _room(known, side)
    room = (places[i] >= low) & (places[j] <= high)
    start, stop = places[i[room]], places[j[room]]
    left, _ = _profile(known, side, start, stop)
    top = int(np.argmin(left))
    return float(start[top]), float(stop[top])


def _profile(known: Trace, side: str, start: Any, stop: Any) -> tuple[Any, Any]:
    """Misfit (sum of squares) and length of the step's own column, for many pairs (start, stop)."""
    q, _ = np.linalg.qr(columns(known, skip=side))
    own = ramp(known.x, start[:, None], stop[:, None], side)
    own = own - (own @ q) @ q.T
    rest = known.y - q @ (q.T @ known.y)
    length = np.linalg.norm(own, axis=1)
    safe = np.where(length > 1e-9, length, np.inf)
    step = np.maximum(own @ rest / safe, 0.0)  # a butt is thicker than the belly
    return np.maximum(rest @ rest - step**2, 0.0), safe


def _polished(trace: Trace) -> Trace:
    """The same description with its knots moved downhill to the least misfit."""
    if not _ordered(trace):
        return trace
    matrix = columns(trace)
    levels = np.linalg.lstsq(matrix, trace.y, rcond=None)[0]
    start = np.concatenate([levels, np.ravel(trace.knots)])
    unknowns, residuals, _ = descend(lambda p: _model(_moved(trace, p), p), trace.y, start, _GAIN)
    steps = unknowns[1 + trace.tilt : matrix.shape[1]]
    misfit = float(residuals @ residuals) if (steps > 0).all() else np.inf
    return _moved(trace, unknowns, misfit)


def _moved(trace: Trace, unknowns: Any, misfit: float = np.inf) -> Trace:
    knots = unknowns[1 + trace.tilt + len(trace.sides) :].reshape(-1, 2)
    pairs = tuple((float(a), float(b)) for a, b in knots)
    return Trace(trace.x, trace.y, trace.tilt, trace.sides, pairs, misfit)


def _model(trace: Trace, unknowns: Any) -> tuple[Any, Any]:
    """Prediction and derivatives; the prediction is nan where the knots are out of order."""
    if not _ordered(trace):
        return np.full(trace.x.size, np.nan), None
    matrix = columns(trace)
    count = matrix.shape[1]
    steps = unknowns[1 + trace.tilt : count]
    slopes = [
        step * _knot_slopes(trace.x, *knots, side)
        for step, (side, knots) in zip(steps, _pairs(trace), strict=True)
    ]
    return matrix @ unknowns[:count], np.concatenate([matrix, *slopes], axis=1)


def _ordered(trace: Trace) -> bool:
    flat = np.ravel(trace.knots)
    least = 1e-3 * (trace.x[-1] - trace.x[0]) / trace.x.size
    gaps = np.diff(flat)[::2] if flat.size else np.array([np.inf])
    inside = flat.size == 0 or (flat[0] >= trace.x[0] and flat[-1] <= trace.x[-1])
    return bool(inside and (gaps > least).all() and (np.diff(flat) >= 0).all())


def _knot_slopes(x: Any, start: float, stop: float, side: str) -> Any:
    inside = (x > start) & (x < stop)
    share = (x - start) / (stop - start)
    sign = 1.0 if side == "a" else -1.0
    both = np.column_stack([1 - share, share]) * sign / (stop - start)
    return np.where(inside[:, None], both, 0.0)


def _spread(
    trace: Trace, side: str, knots: tuple[float, float]
) -> tuple[float, float, float, float]:
    place = trace.sides.index(side)
    first = 1 + trace.tilt + len(trace.sides) + 2 * place
    one = np.sqrt(np.diagonal(levels(trace)[1])[first : first + 2])
    reach = np.where(one > 0, 6 * one, 2.0 * np.diff(trace.x).max())
    centre = np.array(knots)
    for _ in range(8):
        grid = centre[:, None] + reach[:, None] * np.linspace(-1, 1, _FINE)
        weight = _weights(trace, side, *grid)
        margins = weight.sum(axis=1), weight.sum(axis=0)
        mean = np.array([m @ g for m, g in zip(margins, grid, strict=True)])
        sd = np.sqrt([m @ (g - c) ** 2 for m, g, c in zip(margins, grid, mean, strict=True)])
        wide = np.array([max(m[0], m[-1]) > 1e-6 for m in margins])
        coarse = sd < 2.0 * (grid[:, 1] - grid[:, 0])
        if not (wide | coarse).any():
            break
        reach = np.where(
            wide, 1.7 * reach, np.where(coarse, np.maximum(6 * sd, 0.25 * reach), reach)
        )
        centre = mean
    return float(mean[0]), float(mean[1]), float(sd[0]), float(sd[1])


def _weights(trace: Trace, side: str, starts: Any, stops: Any) -> Any:
    """How far the readings allow each pair (start, stop); all of them add up to 1."""
    start, stop = (v.ravel() for v in np.meshgrid(starts, stops, indexing="ij"))
    low, high = _room(trace, side)
    good = (start >= low) & (stop <= high) & (stop > start)
    left, length = _profile(trace, side, start, np.where(good, stop, start + 1.0))
    freedom = trace.x.size - columns(trace).shape[1] - 2 * (len(trace.sides) - 1)
    least = max(float(left[good].min()), 1e-300)
    log = np.where(
        good, -0.5 * freedom * np.log(np.maximum(left, least) / least) - np.log(length), -np.inf
    )
    weight = np.exp(log - log.max())
    return (weight / weight.sum()).reshape(starts.size, stops.size)


def _room(trace: Trace, side: str) -> tuple[float, float]:
    """Between which places the taper at this end may lie: on the trace, clear of the other one."""
    others = dict(_pairs(trace))
    low, high = float(trace.x[0]), float(trace.x[-1])
    if side == "a" and "b" in others:
        high = others["b"][0]
    if side == "b" and "a" in others:
        low = others["a"][1]
    return low, high
