"""butts.find on five hundred made-up traces: is it as sharp as the bound, and honest about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from coursekit import butts
from tests.test_butts import PLACES, clean

LEVELS = ("wall_a", "belly", "wall_b")
TRACES = 500


@dataclass
class Case:
    """A made-up tube and its noisy trace. Knots are NaN where there is no butt."""

    kind: str
    x: Any
    y: Any
    knots: Any
    levels: Any
    noise: float
    tilt: bool


def made_up(rng: np.random.Generator) -> Case:
    """Tubes of common practice: butts 50-80 and 100-150, tapers 30-60, walls 0.8-0.9 / 0.5-0.6."""
    kind = rng.choice(["plain", "butted at a", "butted at b", "double-butted", "external"])
    length = rng.uniform(560, 650)
    short, long = rng.uniform(50, 80), rng.uniform(100, 150)
    one, two = (short, long) if rng.random() < 0.5 else (long, short)
    tapers = rng.uniform(30, 60, 2)
    knots = np.array([one, one + tapers[0], length - two - tapers[1], length - two])
    levels = np.array([rng.uniform(0.8, 0.9), rng.uniform(0.5, 0.6), rng.uniform(0.8, 0.9)])
    if kind in ("plain", "butted at b"):
        knots[:2], levels[0] = np.nan, levels[1]
    if kind in ("plain", "butted at a"):
        knots[2:], levels[2] = np.nan, levels[1]
    x = np.arange(0.0, length, rng.uniform(2, 10))
    noise = rng.uniform(0.005, 0.02)
    y = clean(x, knots, levels) + rng.normal(0, noise, x.size)
    external = kind == "external"  # a dial on the outside: any zero, and a lean
    if external:
        y, levels = y + 13.7 + 0.002 * (x - x.mean()), levels + 13.7
    return Case("double-butted" if external else str(kind), x, y, knots, levels, noise, external)


def bound(case: Case) -> Any:
    """Cramér-Rao bound of each knot, mm, by numerical derivatives; knots and levels unknown."""
    there = np.isfinite(case.knots)
    free = [1, *([0] if there[0] else []), *([2] if there[2] else [])]
    columns = []
    for i in free:
        up = case.levels.copy()
        up[i] += 1.0
        if i == 1:
            up[~np.array([there[0], True, there[2]])] += 1.0
        columns.append(clean(case.x, case.knots, up) - clean(case.x, case.knots, case.levels))
    if case.tilt:
        columns.append(case.x)
    for i in np.flatnonzero(there):
        step = np.zeros(4)
        step[i] = 1e-5
        columns.append((clean(case.x, case.knots + step, case.levels) - clean(case.x, case.knots - step, case.levels)) / 2e-5)  # fmt: skip
    r = np.linalg.qr(np.stack(columns, axis=1), mode="r")
    back = np.linalg.inv(r)
    result = np.full(4, np.nan)
    result[there] = case.noise * np.linalg.norm(back, axis=1)[-there.sum() :]
    return result


@pytest.fixture(scope="module")
def traces():
    rng = np.random.default_rng(20)
    cases = [made_up(rng) for _ in range(TRACES)]
    return [(case, butts.find(case.x, case.y, tilt=case.tilt)) for case in cases]


def errors(traces):
    pick = [(c, [getattr(e, p) for p in PLACES], [getattr(e, p + "_uncertainty") for p in PLACES], bound(c)) for c, e in traces]  # fmt: skip
    return (np.array([k - c.knots for c, k, _, _ in pick]), np.array([u for *_, u, _ in pick]), np.array([b for *_, b in pick]))  # fmt: skip


class TestFiveHundredTraces:
    def test_every_kind_is_named(self, traces):
        assert [e.kind for _, e in traces] == [c.kind for c, _ in traces]
        assert sum(c.kind == "plain" for c, _ in traces) > 50

    @pytest.mark.parametrize("place", range(4))
    def test_rms_error_within_1_3_of_the_bound(self, traces, place):
        error, _, least = errors(traces)
        here = np.isfinite(least[:, place])
        error, least = error[here, place], least[here, place]
        assert here.sum() > 200
        assert np.sqrt(np.mean(error**2)) < 1.3 * np.sqrt(np.mean(least**2))
        assert np.sqrt(np.mean((error / least) ** 2)) < 1.3

    @pytest.mark.parametrize(("reach", "share", "slack"), [(1.0, 0.683, 0.035), (1.96, 0.95, 0.02)])
    def test_the_stated_uncertainty_covers_as_it_should(self, traces, reach, share, slack):
        error, stated, _ = errors(traces)
        ratio = np.abs(error / stated)[np.isfinite(error)]
        assert ratio.size > 1000
        assert np.mean(ratio < reach) == pytest.approx(share, abs=slack)

    def test_levels_and_their_uncertainty(self, traces):
        ratio = np.concatenate([
            (np.array([getattr(e, n) for n in LEVELS]) - c.levels)
            / [getattr(e, n + "_uncertainty") for n in LEVELS] for c, e in traces if not c.tilt])  # fmt: skip
        assert np.mean(np.abs(ratio) < 1.0) == pytest.approx(0.683, abs=0.05)
        assert np.sqrt(np.mean(ratio**2)) == pytest.approx(1.0, abs=0.08)

    def test_scatter_is_the_noise(self, traces):
        ratio = np.array([e.scatter / c.noise for c, e in traces])
        assert np.mean(ratio**2) == pytest.approx(1.0, abs=0.02)

    def test_a_plain_end_has_no_places(self, traces):
        for case, ends in traces:
            found = np.array([getattr(ends, p) for p in PLACES])
            assert (np.isfinite(found) == np.isfinite(case.knots)).all()
