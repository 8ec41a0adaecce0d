"""scipy.optimize.least_squares, .linprog and scipy.stats (SciPy, Virtanen et al., Nature Methods
17 (2020) 261) as judges of the fits, the cutting window, bottles in a frame and Student's distribution.
"""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from scipy import optimize, stats

from coursekit import alignment, braze_ons, butts, fitting, miters, tacks, uncertainty
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.tubes import Butted


@pytest.mark.parametrize(
    ("diameter", "into", "angle"),
    [(25.4, 31.8, 62.0), (28.6, 36.0, 90.0), (31.8, 36.0, 118.0), (12.0, 31.8, 40.0)],
)
def test_long_point_is_where_two_cylinders_come_nearest(diameter, into, angle):
    """A line of the cut tube, carried on into the other cylinder, by vectors: where does it enter?

    scipy.optimize.minimize_scalar looks for the line that goes in farthest.
    """
    way = np.array(
        [np.cos(np.radians(angle)), 0.0, np.sin(np.radians(angle))]
    )  # the other axis is x
    obtuse = np.array([np.sin(np.radians(angle)), 0.0, -np.cos(np.radians(angle))])

    def enters(line_deg):
        out = np.cos(np.radians(line_deg)) * obtuse + np.sin(np.radians(line_deg)) * np.array(
            [0, 1, 0]
        )
        place = diameter / 2 * out
        a, b = way[1:] @ way[1:], 2 * way[1:] @ place[1:]
        c = place[1:] @ place[1:] - (into / 2) ** 2
        return (-b + np.sqrt(b * b - 4 * a * c)) / (2 * a)

    judge = min(
        (optimize.minimize_scalar(enters, bounds=(low, low + 60), method="bounded", options={"xatol": 1e-9})
         for low in (0, 60, 120)), key=lambda found: found.fun)  # fmt: skip
    assert miters.long_point(diameter, into, angle)[1] == pytest.approx(judge.fun, abs=1e-6)


def straight_covariance(result):
    """Covariance of a scipy least-squares solution, the noise from its residuals."""
    freedom = result.fun.size - result.x.size
    return np.linalg.inv(result.jac.T @ result.jac) * 2 * result.cost / freedom


@pytest.mark.parametrize("seed", range(4))
def test_nonlinear_fit(seed):
    rng = np.random.default_rng(seed)
    x = np.linspace(0, 3, 25)
    y = 2.0 * np.exp(-1.3 * x) + 0.4 + rng.normal(0, 0.02, x.size)

    def model(p):
        e = np.exp(-p[1] * x)
        return p[0] * e + p[2], np.stack([e, -p[0] * x * e, np.ones_like(x)], axis=1)

    ours = fitting.nonlinear(model, y, [1.0, 1.0, 0.0])
    judge = optimize.least_squares(lambda p: model(p)[0] - y, [1.0, 1.0, 0.0], lambda p: model(p)[1], xtol=1e-14, ftol=1e-14, gtol=1e-14)  # fmt: skip
    assert ours.values == pytest.approx(judge.x, rel=1e-6)
    assert ours.covariance == pytest.approx(straight_covariance(judge), rel=1e-5)


@pytest.mark.parametrize(("noise", "share"), [(1e-4, 0.02), (0.01, 0.6)])
@pytest.mark.parametrize("seed", range(5))
def test_butts_stand_where_least_squares_puts_them(seed, noise, share):
    # `find` gives the mean of the allowed places: the least-squares place up to a share of its
    # uncertainty that goes to nothing with the noise.
    rng = np.random.default_rng(seed)
    x = np.arange(0.0, 600.0, 5.0)
    truth = np.array([64.0, 111.0, 422.5, 473.0])  # between readings

    def trace(p):
        return np.interp(x, p[:4], p[[4, 5, 5, 6]])

    y = trace(np.array([*truth, 0.9, 0.55, 0.8])) + rng.normal(0, noise, x.size)
    judge = optimize.least_squares(lambda p: trace(p) - y, [*truth, 0.9, 0.55, 0.8], x_scale=[10] * 4 + [0.1] * 3, xtol=1e-14, ftol=1e-14, gtol=1e-14)  # fmt: skip
    ends = butts.find(x, y)
    spread = np.sqrt(np.diag(straight_covariance(judge)))
    found = np.array([ends.butt_a, ends.belly_start, ends.belly_end, ends.butt_b])
    stated = np.array([getattr(ends, n + "_uncertainty") for n in ("butt_a", "belly_start", "belly_end", "butt_b")])  # fmt: skip
    assert (np.abs(found - judge.x[:4]) < share * spread[:4]).all()
    assert stated == pytest.approx(spread[:4], rel=0.15 if noise < 0.001 else 0.5)
    levels = np.array([ends.wall_a, ends.belly, ends.wall_b])
    assert (np.abs(levels - judge.x[4:]) < share * spread[4:]).all()


def records(rng, first, hold, noise, count=12):
    for _ in range(count):
        order = rng.permutation([0, 60, 120, 180, 240, 300])[: rng.integers(1, 7)]
        phase = np.radians(order)
        pulls = first * hold ** np.arange(order.size)
        tilt = [pulls @ np.cos(phase), pulls @ np.sin(phase)]
        yield order, np.array(tilt) + rng.normal(0, noise, 2)


@pytest.mark.parametrize("seed", range(5))
def test_tack_model_fit(seed):
    data = list(records(np.random.default_rng(seed), 0.5, 0.6, 0.03))

    def misfit(p):
        return np.concatenate([[p[0] * p[1] ** np.arange(len(o)) @ f(np.radians(o)) - t for f, t in zip((np.cos, np.sin), tilt, strict=True)] for o, tilt in data])  # fmt: skip

    judge = optimize.least_squares(misfit, [0.5, 0.6], xtol=1e-14, ftol=1e-14, gtol=1e-14)
    ours, covariance = tacks.fit(data), straight_covariance(judge)
    assert [ours.first, ours.hold] == pytest.approx(judge.x, abs=1e-6)
    one = np.sqrt(np.diag(covariance))
    assert [ours.first_uncertainty, ours.hold_uncertainty] == pytest.approx(one, rel=1e-4)
    assert ours.correlation == pytest.approx(covariance[0, 1] / one.prod(), abs=1e-4)
    assert ours.scatter == pytest.approx(np.sqrt(2 * judge.cost / 22), rel=1e-6)


@pytest.mark.parametrize(("finished", "keep_a", "keep_b"), [(560, 60, 80), (575, 41, 120), (598, 69, 129), (475, 10, 61)])  # fmt: skip
def test_cutting_window_is_the_linear_programme(finished, keep_a, keep_b):
    tube = Butted(28.6, (0.9, 0.6, 0.8), (70.0, 40.0, 320.0, 40.0, 130.0))
    cut = butts.plan(tube, finished, keep_a, keep_b)
    bounds = [(0, 70 - keep_a), (0, 130 - keep_b)]
    ends = [optimize.linprog([sign, 0], A_eq=[[1, 1]], b_eq=[600 - finished], bounds=bounds).x[0] for sign in (1, -1)]  # fmt: skip
    assert [cut.least_from_a, cut.most_from_a] == pytest.approx(ends, abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_reserve_is_two_linear_programmes(seed):
    """First the most that both ends can keep, up to the reserve; then the cut nearest to the one wanted."""
    rng = np.random.default_rng(seed)
    excess, room_a, room_b = rng.uniform(0, 90), rng.uniform(0, 60), rng.uniform(0, 60)
    least, most = butts.window(excess, room_a, room_b)
    if least > most:
        return
    wanted = rng.uniform(least, most)
    inside = {"A_ub": [[1, 1], [-1, 1]], "b_ub": [room_a, room_b - excess]}  # cut at a, kept
    kept = optimize.linprog([0, -1], **inside, bounds=[(0, excess), (0, 5.0)]).x[1]
    sides = [[1, -1], [-1, -1]], [wanted, -wanted]  # cut at a, how far it lies from the one wanted
    near = optimize.linprog(
        [0, 1],
        A_ub=[*sides[0], [1, 0], [-1, 0]],
        b_ub=[*sides[1], room_a - kept + 1e-12, room_b - excess - kept + 1e-12],
        bounds=[(0, excess), (0, None)],
    ).x[0]
    assert butts.reserved(wanted, excess, room_a, room_b, 5.0) == pytest.approx(near, abs=1e-8)


@pytest.mark.parametrize("seed", range(40))
def test_the_window_and_what_is_missing_are_linear_programmes(seed):
    """Least and most cut where there are any; else the least metal to add, of tube or of butt."""
    rng = np.random.default_rng(seed)
    excess, room_a, room_b = rng.uniform(-40, 90), rng.uniform(-10, 60), rng.uniform(-10, 60)
    least, most = butts.window(excess, room_a, room_b)
    limits = {"A_ub": [[1, 0], [0, 1]], "b_ub": [room_a, room_b], "bounds": [(0, None)] * 2}
    ends = [optimize.linprog([sign, 0], A_eq=[[1, 1]], b_eq=[excess], **limits) for sign in (1, -1)]
    assert (least <= most) == ends[0].success
    if ends[0].success:
        assert [least, most] == pytest.approx([e.x[0] for e in ends], abs=1e-9)
        return
    if min(room_a, room_b) < 0 and excess < 0:
        return  # two faults at once: the window names the greater
    # cuts a, b; added tube; added butt at a, at b
    added = optimize.linprog(
        [0, 0, 1, 1, 1], A_ub=[[1, 0, 0, -1, 0], [0, 1, 0, 0, -1]], b_ub=[room_a, room_b],
        A_eq=[[1, 1, -1, 0, 0]], b_eq=[excess], bounds=[(0, None)] * 5,
    )  # fmt: skip
    assert least - most == pytest.approx(added.fun, abs=1e-9)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 10, 17, 60, 501, 5000])
def test_students_distribution(freedom):
    t = np.array([-40.0, -3.0, -0.2, 0.0, 0.7, 2.5, 9.0])
    assert uncertainty.share_below(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), abs=1e-13)
    assert uncertainty.coverage_factor(0.9, freedom) == pytest.approx(stats.t.ppf(0.95, freedom), rel=1e-10)  # fmt: skip
    assert uncertainty.coverage_factor(0.9, freedom, sides=1) == pytest.approx(stats.t.ppf(0.9, freedom), rel=1e-10)  # fmt: skip


def test_normal_distribution():
    t = np.linspace(-6, 6, 25)
    assert uncertainty.share_below(t) == pytest.approx(stats.norm.cdf(t), abs=1e-15)
    assert uncertainty.share_below(2.0, 200_000) == pytest.approx(stats.t.cdf(2.0, 200_000), abs=1e-5)  # fmt: skip


@pytest.mark.parametrize("freedom", [4, 30, inf])
def test_probability_of_keeping_a_limit(freedom):
    judge = stats.norm if freedom == inf else stats.t(freedom)
    value = np.array([-0.9, -0.4, 0.0, 0.45, 0.5, 0.8])
    found = alignment.decide(value, 0.15, 0.5, 0.9, freedom)
    expected = judge.cdf((0.5 - value) / 0.15) - judge.cdf((-0.5 - value) / 0.15)
    assert found.probability == pytest.approx(expected, abs=1e-13)
    assert found.guard == pytest.approx(0.15 * judge.ppf(0.9), rel=1e-10)


@pytest.mark.parametrize("student", range(12))
def test_the_key_of_the_lesson_on_butt_finding_puts_the_bends_where_least_squares_does(
    root, student
):
    """Levels held at the means of the flats; the key tries whole millimetres, scipy goes downhill."""
    exercise = exercises.load("butt-finding", root)
    key = keys.load(exercise, root)
    numbers = own_numbers.draw(exercise, key, b"scipy", f"bench-{student:02d}")
    x = np.arange(60.0, 240.0, 10.0)
    walls = np.array([numbers[f"wall_{place:g}"] for place in x])
    butt, belly = walls[:4].mean(), walls[14:].mean()

    def misses(bends):
        return np.interp(x, bends, [butt, belly]) - walls

    starts = [(s, b) for s in (106.0, 113.0, 120.0) for b in (150.0, 162.0, 174.0)]
    tried = [optimize.least_squares(misses, s, x_scale=10, diff_step=1e-6) for s in starts]
    judge = min(tried, key=lambda t: t.cost)
    right = own_numbers.answers(exercise, key, numbers)
    assert right["fitted"] == pytest.approx(judge.x, abs=1.0)
    # the whole millimetres cost next to nothing beside the least that can be had
    assert np.sqrt(2 * judge.cost / 14) <= right["scatter"] + 1e-12
    assert right["scatter"] == pytest.approx(np.sqrt(2 * judge.cost / 14), rel=0.05)


@pytest.mark.parametrize("angle", [52.0, 60.0, 75.0])
@pytest.mark.parametrize("starts", [(120.0, 130.0), (130.0, 190.0), (150.0, 260.0), (260.0, 150.0)])
def test_bottles_are_parted_by_the_widest_strip(angle, starts):
    """Apart: the least distance of two points, one of each, by SLSQP. Overlapping: the strip by search."""
    one, other = (
        braze_ons.Bottle(tube=t, stand=5.0, diameter=73.0, length=200.0, start=s)
        for t, s in zip((31.8, 28.6), starts, strict=True)
    )
    turn = np.radians(angle)
    along, up = np.array([np.cos(turn), np.sin(turn)]), np.array([np.sin(turn), -np.cos(turn)])

    def between(p):
        a = np.array([p[0], p[1]])
        return p[2] * along + p[3] * up - a

    sides = [(b.start, b.start + b.length) for b in (one, other)]
    across = [(b.far_side - b.diameter, b.far_side) for b in (one, other)]
    bounds = [sides[0], across[0], sides[1], across[1]]
    near = optimize.minimize(
        lambda p: between(p) @ between(p), [np.mean(b) for b in bounds], bounds=bounds, method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 500},
    )  # fmt: skip
    corners = [
        np.array([[x, y] for x in sides[0] for y in across[0]]),
        np.array([x * along + y * up for x in sides[1] for y in across[1]]),
    ]

    def strip(way):
        u = np.array([np.cos(way), np.sin(way)])
        return -((corners[1] @ u).min() - (corners[0] @ u).max())

    starts_at = min(np.linspace(-np.pi, np.pi, 721), key=strip)
    widest = optimize.minimize_scalar(
        strip, bounds=(starts_at - 0.02, starts_at + 0.02), method="bounded", options={"xatol": 1e-12}
    )  # fmt: skip
    found = float(braze_ons.bottle_gap(angle, one, other))
    assert found == pytest.approx(-widest.fun, abs=1e-5)
    if found > 0:
        assert found == pytest.approx(np.sqrt(near.fun), abs=1e-4)
    else:
        assert near.fun == pytest.approx(0, abs=1e-8)
