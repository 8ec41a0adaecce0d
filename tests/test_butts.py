"""butts: what a trace tells, how well, and cuts that leave enough wall."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursekit import butts
from coursekit.tubes import Butted

PLACES = ("butt_a", "belly_start", "belly_end", "butt_b")


def clean(x, knots, levels):
    """Wall along the tube, by numpy's own interpolation."""
    a, m, b = levels
    there = np.isfinite(knots)
    return np.interp(x, np.asarray(knots)[there], np.array([a, m, m, b])[there]) if there.any() else np.full(x.size, m)  # fmt: skip


X = np.arange(0.0, 601.0, 7.0)
KNOTS = np.array([63.0, 104.0, 431.0, 487.0])
LEVELS_ = np.array([0.9, 0.55, 0.8])


def noisy(seed: int = 1, noise: float = 0.01):
    return clean(X, KNOTS, LEVELS_) + np.random.default_rng(seed).normal(0, noise, X.size)


def places(ends):
    return np.array([getattr(ends, p) for p in PLACES])


def test_a_clean_trace_gives_the_tube_back():
    ends = butts.find(X, clean(X, KNOTS, LEVELS_))
    assert places(ends) == pytest.approx(KNOTS, abs=1e-6)
    assert [ends.wall_a, ends.belly, ends.wall_b] == pytest.approx(LEVELS_, abs=1e-9)
    assert (ends.tilt, ends.scatter) == (0.0, pytest.approx(0.0, abs=1e-8))


def test_a_clean_leaning_trace_gives_tube_and_lean_back():
    ends = butts.find(X, clean(X, KNOTS, LEVELS_) + 0.003 * (X - X.mean()), tilt=True)
    assert places(ends) == pytest.approx(KNOTS, abs=1e-5)
    assert ends.tilt == pytest.approx(0.003, abs=1e-9)
    assert [ends.wall_a, ends.belly, ends.wall_b] == pytest.approx(LEVELS_, abs=1e-8)
    assert ends.middle == pytest.approx(X.mean())


@pytest.mark.parametrize("keep", [[True, False], [False, True]])
def test_one_butted_end(keep):
    there = np.repeat(keep, 2)
    levels = np.where([keep[0], True, keep[1]], LEVELS_, LEVELS_[1])
    ends = butts.find(X, clean(X, np.where(there, KNOTS, np.nan), levels))
    assert ends.kind == ("butted at a" if keep[0] else "butted at b")
    assert places(ends)[there] == pytest.approx(KNOTS[there], abs=1e-6)
    assert (ends.wall_b if keep[0] else ends.wall_a) == ends.belly


def test_a_plain_trace_reads_its_mean():
    y = 0.8 + np.random.default_rng(3).normal(0, 0.01, X.size)
    ends = butts.find(X, y)
    assert ends.kind == "plain"
    assert ends.belly == pytest.approx(y.mean())
    assert ends.belly_uncertainty == pytest.approx(y.std(ddof=1) / np.sqrt(X.size))
    assert ends.scatter == pytest.approx(y.std(ddof=1))


def test_order_of_the_readings_does_not_matter():
    mix = np.random.default_rng(4).permutation(X.size)
    assert butts.find(X[mix], noisy()[mix]) == butts.find(X, noisy())


def test_turning_the_tube_round_mirrors_the_places():
    one, two = butts.find(X, noisy()), butts.find(600.0 - X, noisy())
    assert places(two)[::-1] == pytest.approx(600.0 - places(one), abs=0.02)
    assert two.wall_a == pytest.approx(one.wall_b, abs=1e-4)
    assert two.butt_a_uncertainty == pytest.approx(one.butt_b_uncertainty, rel=0.02)


@given(shift=st.floats(-500, 500), lift=st.floats(-5, 5), scale=st.floats(0.3, 3.0))
@settings(max_examples=8, deadline=None)
def test_zero_and_scale_of_both_axes_carry_through(shift, lift, scale):
    plain, moved = butts.find(X, noisy()), butts.find(X * scale + shift, noisy() + lift)
    assert places(moved) == pytest.approx(places(plain) * scale + shift, abs=0.02 * scale)
    assert moved.belly == pytest.approx(plain.belly + lift, abs=1e-4)
    assert moved.butt_b_uncertainty == pytest.approx(scale * plain.butt_b_uncertainty, rel=0.02)


def test_more_noise_is_less_certain_in_proportion():
    quiet, loud = butts.find(X, noisy(2, 0.002)), butts.find(X, noisy(2, 0.004))
    assert loud.butt_a_uncertainty == pytest.approx(2 * quiet.butt_a_uncertainty, rel=0.1)


def test_a_step_between_two_readings_is_known_to_about_their_spacing():
    y = np.where(X < 99.0, 0.9, 0.6) + np.random.default_rng(6).normal(0, 0.003, X.size)
    ends = butts.find(X, y)
    assert ends.kind == "butted at a"
    assert 91.0 <= ends.butt_a <= ends.belly_start <= 105.0
    assert 0.3 < ends.butt_a_uncertainty < 7.0


def test_a_bow_of_a_third_of_a_millimetre_is_not_taken_for_butts():
    bowed = 0.3 * ((X - 300.0) / 300.0) ** 2 + np.random.default_rng(7).normal(0, 0.003, X.size)
    with pytest.raises(ValueError, match="The trace must be flat, taper, flat"):
        butts.find(X, bowed)


def test_a_bow_shows_at_uneven_places_and_through_a_lean():
    x = np.sort(np.random.default_rng(8).uniform(0, 600, 90))
    bowed = 0.3 * ((x - 300.0) / 300.0) ** 2 + 0.02 * x
    with pytest.raises(ValueError, match="The trace must be flat, taper, flat"):
        butts.find(x, bowed, tilt=True)


def test_a_wall_that_waves_by_a_hundredth_is_borne_with():
    wavy = clean(X, KNOTS, LEVELS_) + 0.01 * np.sin(X / 25.0)
    assert places(butts.find(X, wavy)) == pytest.approx(KNOTS, abs=4.0)


# --- the cutting plan -------------------------------------------------------------------------

TUBE = Butted(28.6, (0.9, 0.6, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))


def holds(tube, from_a, from_b, keep_a, keep_b):
    """The definition: full end wall over the whole need, both joints, read off the cut tube."""
    left = tube.length - from_a - from_b
    x = from_a + np.array([0.0, keep_a, left - keep_b, left])
    wall = tube.wall_at(np.clip(x, 0.0, tube.length))
    return (np.abs(wall[:2] - tube.walls[0]) < 1e-12).all() and (np.abs(wall[2:] - tube.walls[2]) < 1e-12).all()  # fmt: skip


def test_the_window_is_every_cut_that_holds():
    cut = butts.plan(TUBE, 560.0, 62.0, 95.0)
    good = [a for a in range(41) if holds(TUBE, a, 40 - a, 62, 95)]
    assert (cut.least_from_a, cut.most_from_a) == (min(good), max(good)) == (5.0, 8.0)
    assert cut.slack == 3.0


def test_the_longer_butt_is_spent_first_at_either_end():
    cut = butts.plan(TUBE, 560.0, 40.0, 80.0)
    assert (cut.from_a, cut.from_b, cut.left_a, cut.left_b) == (0.0, 40.0, 70.0, 90.0)
    turned = butts.plan(Butted(28.6, TUBE.walls, TUBE.lengths[::-1]), 560.0, 80.0, 40.0)
    assert (turned.from_a, turned.from_b, turned.left_a, turned.left_b) == (40.0, 0.0, 90.0, 70.0)
    assert (cut.head_end, turned.head_end) == ("b", "a")


def test_an_even_tube_gives_its_thicker_end_to_the_head():
    even = Butted(28.6, (0.8, 0.6, 0.9), (100.0, 40.0, 320.0, 40.0, 100.0))
    assert butts.plan(even, 600.0, 50.0, 50.0).head_end == "b"
    assert (
        butts.plan(Butted(28.6, even.walls[::-1], even.lengths), 600.0, 50.0, 50.0).head_end == "a"
    )


def test_mass_removed_is_two_rings_of_steel():
    cut = butts.plan(TUBE, 560.0, 60.0, 80.0)
    assert cut.mass_removed == pytest.approx(np.pi * 27.7 * 0.9 * 40.0 * 7.85e-3, rel=1e-12)


def test_a_plain_end_may_be_cut_anywhere_its_wall_holds():
    single = Butted(28.6, (0.9, 0.6, 0.6), (150.0, 40.0, 410.0, 0.0, 0.0))
    cut = butts.plan(single, 500.0, 140.0, 40.0)
    assert (cut.from_a, cut.from_b, cut.left_a, cut.left_b) == (0.0, 100.0, 150.0, 0.0)
    assert (cut.most_from_a, cut.head_end) == (10.0, "a")


def test_an_end_without_a_need_may_lose_its_butt():
    cut = butts.plan(TUBE, 430.0, 0.0, 100.0)
    assert (cut.least_from_a, cut.most_from_a) == (140.0, 170.0)
    assert cut.left_a == 0.0


def test_a_plain_tube_has_full_wall_from_end_to_end():
    plain = Butted(28.6, (0.9, 0.9, 0.9), (0.0, 0.0, 600.0, 0.0, 0.0))
    cut = butts.plan(plain, 500.0, 60.0, 60.0)
    assert (cut.least_from_a, cut.most_from_a, cut.slack) == (0.0, 100.0, 100.0)


def test_full_wall_runs_on_through_parts_of_the_same_wall():
    plain = Butted(28.6, (0.9, 0.9, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))
    assert butts.plan(plain, 250.0, 60.0, 60.0).most_from_a == 350.0
    single = Butted(28.6, (0.6, 0.6, 0.9), (0.0, 0.0, 410.0, 40.0, 150.0))
    cut = butts.plan(single, 200.0, 100.0, 60.0)
    assert (cut.least_from_a, cut.most_from_a, cut.head_end) == (310.0, 310.0, "b")


def test_needs_that_just_fit_and_just_do_not():
    plain = Butted(28.6, (0.9, 0.9, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))
    assert butts.plan(plain, 120.0, 60.0, 60.0).slack == 480.0
    with pytest.raises(ValueError, match="The needs must fit in the finished length"):
        butts.plan(plain, 120.0, 60.0, 60.1)


def test_needs_that_do_not_fit_are_refused_for_either_end():
    plain = Butted(28.6, (0.9, 0.9, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))
    for needs in ((119.0, 2.0), (2.0, 119.0)):
        with pytest.raises(ValueError, match="The needs must fit in the finished length"):
            butts.plan(plain, 120.0, *needs)
        assert butts.plan(plain, 121.0, *needs).slack == 479.0


def test_full_wall_of_a_plain_tube_is_all_its_parts():
    plain = Butted(28.6, (0.9, 0.9, 0.9), (10.0, 20.0, 300.0, 30.0, 40.0))
    assert butts.plan(plain, 395.0, 394.0, 0.0).slack == 5.0
    assert butts.plan(plain, 395.0, 0.0, 394.0).slack == 5.0


def test_cuts_at_either_end_of_the_window_are_taken():
    thirds = Butted(28.6, (0.9, 0.6, 0.9), (70.1, 40.0, 320.3, 40.0, 130.7))
    window = butts.plan(thirds, 560.2, 62.3, 95.4)
    for cut in (window.least_from_a, window.most_from_a):
        assert butts.plan(thirds, 560.2, 62.3, 95.4, from_a=cut).from_a == cut
    for beyond in (window.least_from_a - 0.001, window.most_from_a + 0.001):
        with pytest.raises(ValueError, match="must lie within its window"):
            butts.plan(thirds, 560.2, 62.3, 95.4, from_a=beyond)


def test_my_own_cut_is_taken():
    cut = butts.plan(TUBE, 560.0, 60.0, 80.0, from_a=4.0)
    assert (cut.from_a, cut.from_b, cut.left_a, cut.left_b) == (4.0, 36.0, 66.0, 94.0)


def test_a_tube_of_just_the_length_is_not_cut():
    cut = butts.plan(TUBE, 600.0, 70.0, 130.0)
    assert (cut.from_a, cut.from_b, cut.slack, cut.mass_removed) == (0.0, 0.0, 0.0, 0.0)


@given(finished=st.integers(420, 600), keep_a=st.integers(1, 70), keep_b=st.integers(1, 130))
def test_every_plan_holds_and_every_refusal_is_right(finished, keep_a, keep_b):
    excess = 600 - finished
    good = [a for a in range(excess + 1) if holds(TUBE, a, excess - a, keep_a, keep_b)]
    if not good:
        with pytest.raises(ValueError, match="mm missing at end a"):
            butts.plan(TUBE, finished, keep_a, keep_b)
        return
    cut = butts.plan(TUBE, finished, keep_a, keep_b)
    assert (cut.least_from_a, cut.most_from_a) == (good[0], good[-1])
    assert cut.from_a in good and cut.from_a + cut.from_b == excess
    assert cut.left_a >= keep_a and cut.left_b >= keep_b


@given(
    excess=st.integers(0, 60),
    room_a=st.integers(0, 80),
    room_b=st.integers(0, 80),
    wanted=st.integers(0, 60),
)
def test_reserve_is_kept_by_the_nearest_cut_that_keeps_it(excess, room_a, room_b, wanted):
    """Tried out cut by cut, every half millimetre, by the least that either end has in hand."""
    cuts = [c / 2 for c in range(2 * excess + 1) if c / 2 <= room_a and excess - c / 2 <= room_b]
    if not cuts:
        return
    wanted = min(max(wanted, cuts[0]), cuts[-1])
    worst = {c: min(room_a - c, room_b - excess + c, butts.RESERVE) for c in cuts}
    best = [c for c in cuts if worst[c] == max(worst.values())]
    found = butts.reserved(wanted, excess, room_a, room_b, butts.RESERVE)
    assert found == min(best, key=lambda c: abs(c - wanted))


def test_a_batch_equals_a_loop():
    lengths, needs = np.array([560.0, 570.0, 590.0]), np.array([50.0, 60.0, 66.0])
    many = butts.plan(TUBE, lengths, needs, 80.0)
    for i, (length, need) in enumerate(zip(lengths, needs, strict=True)):
        one = butts.plan(TUBE, length, need, 80.0)
        for name in one.__dataclass_fields__:
            assert np.broadcast_to(getattr(many, name), 3)[i] == getattr(one, name)


def test_a_need_is_depth_and_margin():
    assert butts.keep(np.array([10.0, 20.0]), 25.0).tolist() == [35.0, 45.0]
    assert butts.keep(10.0) == 40.0  # common practice: 25 to 30 past the joint


def test_a_dozen_readings_are_enough_and_one_fewer_are_not():
    x = np.linspace(0.0, 600.0, 12)
    wall = np.where(x < 200, 0.9, 0.6)
    assert butts.find(x, wall).kind == "butted at a"
    with pytest.raises(ValueError, match="at least 12 readings; got 11"):
        butts.find(x[:11], wall[:11])
    with pytest.raises(ValueError, match="must spread along the tube; got only 11 places"):
        butts.find([*x[:11], x[0]], [*wall[:11], wall[0]])


def test_a_level_is_as_certain_as_the_mean_of_its_readings():
    """A long and a short flat: the level of each is known to about the noise over √n (mean of n)."""
    x = np.arange(0.0, 1000.0, 1.0)
    knots = np.array([60.0, 80.0, 500.0, 520.0])
    wall = clean(x, knots, LEVELS_) + np.random.default_rng(3).normal(0, 0.01, x.size)
    ends = butts.find(x, wall)
    for level, count in ((ends.wall_a_uncertainty, 61), (ends.belly_uncertainty, 421), (ends.wall_b_uncertainty, 480)):  # fmt: skip
        assert level == pytest.approx(0.01 / np.sqrt(count), rel=0.15)


def test_of_even_ends_that_can_spare_the_same_end_a_is_cut():
    even = Butted(28.6, (0.9, 0.6, 0.9), (100.0, 40.0, 320.0, 40.0, 100.0))
    cut = butts.plan(even, 580.0, 60.0, 60.0)
    assert (cut.from_a, cut.from_b, cut.head_end) == (20.0, 0.0, "b")


def test_the_longer_butt_goes_to_the_head_though_the_other_is_thicker():
    thick_b = Butted(28.6, (0.8, 0.6, 0.9), (130.0, 40.0, 320.0, 40.0, 70.0))
    assert butts.plan(thick_b, 600.0, 60.0, 60.0).head_end == "a"
    thick_a = Butted(28.6, (0.9, 0.6, 0.8), (70.0, 40.0, 320.0, 40.0, 130.0))
    assert butts.plan(thick_a, 600.0, 60.0, 60.0).head_end == "b"


def test_an_uncut_plain_end_has_no_butt_left():
    single = Butted(28.6, (0.9, 0.6, 0.6), (150.0, 40.0, 410.0, 0.0, 0.0))
    cut = butts.plan(single, 600.0, 140.0, 40.0)
    assert (cut.from_b, cut.left_b, cut.left_a) == (0.0, 0.0, 150.0)


@pytest.mark.parametrize("lean", [-0.003, 0.002])
def test_a_lean_either_way_is_taken_out(lean):
    ends = butts.find(X, clean(X, KNOTS, LEVELS_) + lean * (X - X.mean()), tilt=True)
    assert ends.kind == "double-butted" and ends.tilt == pytest.approx(lean, abs=1e-9)
    assert places(ends) == pytest.approx(KNOTS, abs=1e-5)


def test_the_scatter_of_a_leaning_plain_tube_is_that_of_a_straight_line():
    """Against numpy's own polynomial fit: squares over readings less two unknowns."""
    wall = 0.7 + 0.0004 * X + np.random.default_rng(5).normal(0, 0.01, X.size)
    ends = butts.find(X, wall, tilt=True)
    squares = np.sum((wall - np.polyval(np.polyfit(X, wall, 1), X)) ** 2)
    assert ends.kind == "plain"
    assert ends.scatter == pytest.approx(np.sqrt(squares / (X.size - 2)), rel=1e-9)


def test_a_thin_end_reads_as_a_butt_at_the_other():
    turned = clean(X, np.array([np.nan, np.nan, 80.0, 120.0]), np.array([0.6, 0.6, 0.9]))
    ends = butts.find(X, turned)
    assert (ends.kind, ends.wall_a) == ("butted at b", ends.belly)
    assert [ends.belly_end, ends.butt_b] == pytest.approx([80.0, 120.0], abs=1e-6)


# --- the window by itself ---------------------------------------------------------------------


@given(excess=st.integers(-60, 90), room_a=st.integers(-30, 90), room_b=st.integers(-30, 90))
def test_the_window_holds_every_cut_that_both_ends_can_bear(excess, room_a, room_b):
    good = [a for a in range(excess + 1) if a <= room_a and excess - a <= room_b]
    least, most = butts.window(excess, room_a, room_b)
    assert (least <= most) == bool(good)
    if good:
        assert (least, most) == (good[0], good[-1])


@given(excess=st.integers(-60, 90), room_a=st.integers(0, 90), room_b=st.integers(0, 90))
def test_an_empty_window_says_what_is_missing(excess, room_a, room_b):
    """That much more tube, or that much more butt, opens it to a single cut."""
    least, most = butts.window(excess, room_a, room_b)
    missing = least - most
    if missing <= 0:
        return
    if excess < 0:
        assert butts.window(excess + missing, room_a, room_b) == (0.0, 0.0)
    else:
        least, most = butts.window(excess, room_a + missing, room_b)
        assert least == most


def test_windows_of_many_tubes_are_those_of_each():
    excess, room = np.array([40.0, 80.0, -7.0]), np.array([10.0, 20.0, 30.0])
    least, most = butts.window(excess, room, 50.0)
    ones = [butts.window(e, r, 50.0) for e, r in zip(excess, room, strict=True)]
    assert list(zip(least, most, strict=True)) == ones


def test_a_window_of_words_is_refused():
    with pytest.raises(ValueError, match="The excess must be a finite number in mm; got 'much'"):
        butts.window("much", 10.0, 20.0)
    with pytest.raises(ValueError, match="The room at end b must be a finite number in mm"):
        butts.window(40.0, 10.0, None)
