"""The engine of `butts.find` against sums of its own definition, worked out the long way."""

from __future__ import annotations

import numpy as np
import pytest

from coursekit.butts import dial_trace

X = np.arange(0.0, 421.0, 7.0)


def walls(knots, levels, noise=0.008, seed=4):
    start, stop, begin, end = knots
    a, belly, b = levels
    plain = np.interp(X, [start, stop, begin, end], [a, belly, belly, b])
    return plain + np.random.default_rng(seed).normal(0, noise, X.size)


def ramp(start, stop, side):
    """Thick at the tube's end, thin beyond, straight between; for many places at once."""
    return np.interp(X, [start, stop], [1.0, 0.0] if side == "a" else [0.0, 1.0])


def by_long_sum(y, others, side, about, sd, count=81):
    """Mean and spread of (start, stop), each place weighed by its likelihood.

    Straight levels and the noise are summed out as in Bayes' text-book case (flat and 1/σ priors):
    det(AᵀA)^(−1/2) · SS^(−(n − k)/2), with A's columns the other levels and this ramp.
    """
    columns = np.stack([np.ones_like(X), *others], axis=1)
    grids = [np.linspace(c - 7 * s, c + 7 * s, count) for c, s in zip(about, sd, strict=True)]
    freedom = X.size - columns.shape[1] - 1 - 2 * len(others)
    full = np.array([
        [
            np.column_stack([columns, ramp(start, stop if start < stop else start + 1.0, side)])
            for stop in grids[1]
        ]
        for start in grids[0]
    ])  # fmt: skip
    q, r = np.linalg.qr(full)
    square = 2 * np.log(np.abs(np.diagonal(r, axis1=-2, axis2=-1))).sum(-1)
    left = y @ y - ((y @ q) ** 2).sum(-1)
    logs = -0.5 * square - 0.5 * freedom * np.log(left)
    logs[grids[0][:, None] >= grids[1]] = -np.inf
    weight = np.exp(logs - logs.max())
    weight /= weight.sum()
    means = [w @ g for w, g in zip((weight.sum(1), weight.sum(0)), grids, strict=True)]
    sds = [np.sqrt(w @ (g - m) ** 2) for w, g, m in zip((weight.sum(1), weight.sum(0)), grids, means, strict=True)]  # fmt: skip
    return [*means, *sds]


@pytest.mark.parametrize("tilt", [False, True])
def test_the_places_of_one_butt_are_the_long_sum_s(tilt):
    y = walls((80, 140, 500, 501), (0.9, 0.6, 0.6)) + tilt * 0.0002 * (X - X.mean())
    found = dial_trace.best(X, y, tilt)
    assert found.sides == ("a",)
    [places] = dial_trace.spread(found)
    if tilt:
        line = X - X.mean()
        # the tilt is one more straight level, and no tapers of another end are held
        wanted = _with_tilt(y, line, places)
    else:
        wanted = by_long_sum(y, [], "a", places[:2], places[2:])
    assert places[:2] == pytest.approx(wanted[:2], abs=0.005 * min(places[2:]))
    assert places[2:] == pytest.approx(wanted[2:], rel=0.005)


def _with_tilt(y, line, places):
    """The same sum after a tilt has been taken out of everything."""
    q, _ = np.linalg.qr(np.stack([np.ones_like(X), line], axis=1))

    def bare(v):
        return v - q @ (q.T @ v)

    rest, count = bare(y), 81
    grids = [np.linspace(c - 7 * s, c + 7 * s, count) for c, s in zip(places[:2], places[2:], strict=True)]  # fmt: skip
    own = np.array([[bare(ramp(a, b, "a")) for b in grids[1]] for a in grids[0]])
    length = np.sum(own**2, axis=-1)
    left = rest @ rest - (own @ rest) ** 2 / length
    weight = left ** (-0.5 * (X.size - 3)) / np.sqrt(length)
    weight /= weight.sum()
    sums = weight.sum(1), weight.sum(0)
    means = [w @ g for w, g in zip(sums, grids, strict=True)]
    return [*means, *(np.sqrt(w @ (g - m) ** 2) for w, g, m in zip(sums, grids, means, strict=True))]  # fmt: skip


@pytest.mark.parametrize("side", ["a", "b"])
def test_the_places_of_either_butt_of_two_are_the_long_sum_s(side):
    """The other end's taper stays where it was found and costs two more degrees of freedom."""
    y = walls((70, 120, 290, 350), (0.9, 0.6, 0.8))
    found = dial_trace.best(X, y, False)
    assert found.sides == ("a", "b")
    both = dict(zip("ab", dial_trace.spread(found), strict=True))
    held = dict(zip("ab", found.knots, strict=True))
    other = "ab"[side == "a"]
    places = both[side]
    wanted = by_long_sum(y, [ramp(*held[other], other)], side, places[:2], places[2:])
    assert places[:2] == pytest.approx(wanted[:2], abs=0.005 * min(places[2:]))
    assert places[2:] == pytest.approx(wanted[2:], rel=0.005)


@pytest.mark.parametrize("side", ["a", "b"])
def test_slopes_of_a_ramp_by_its_knots_are_its_differences(side):
    start, stop, h = 81.3, 139.1, 1e-4
    slopes = dial_trace._knot_slopes(X, start, stop, side)
    by_start = (dial_trace.ramp(X, start + h, stop, side) - dial_trace.ramp(X, start - h, stop, side)) / (2 * h)  # fmt: skip
    by_stop = (dial_trace.ramp(X, start, stop + h, side) - dial_trace.ramp(X, start, stop - h, side)) / (2 * h)  # fmt: skip
    np.testing.assert_allclose(slopes, np.stack([by_start, by_stop], axis=1), atol=1e-9)
    assert np.abs(slopes).max() > 0.01


@pytest.mark.parametrize("knots, good", [
    ([(80, 140)], True), ([(140, 80)], False), ([(80, 80.001)], False), ([(-1, 80)], False), ([(80, 421)], False),
    ([(0, 420)], True), ([(80, 140), (140, 200)], True), ([(80, 140), (139, 200)], False), ([], True),
    ([(80, 140), (300, 300.001)], False), ([(80, 140), (300, 430)], False),
])  # fmt: skip
def test_knots_lie_on_the_trace_in_order_with_room_between(knots, good):
    sides = ("a", "b")[: len(knots)]
    assert dial_trace._ordered(dial_trace.Trace(X, X, False, sides, tuple(knots))) is good
