"""scipy.integrate.solve_ivp and .quad, scipy.optimize and scipy.spatial.transform.Rotation (SciPy, Virtanen
et al., Nature Methods 17 (2020) 261) as judges of the fork: a blade's axis as the solution of its differential
equation, bends found by search, readings of a fork turned about in space.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.linalg import null_space
from scipy.optimize import brentq, fsolve, minimize_scalar
from scipy.spatial.transform import Rotation

from coursekit import bending, fork, stays
from coursekit.tubes import Oval, Round

YIELD, MODULUS = 517.0, 205_000.0
BENDS = [(250.0, 200.0, 30.0, 20.0), (180.0, 320.0, 25.0, 0.0), (0.0, 500.0, 35.0, 45.0), (300.0, 90.0, 12.0, 30.0)]  # fmt: skip
CROWN, ENDS = fork.Crown(20.0, 62.0, 3.0, 1.5), fork.Dropout(22.0, 100.0, 6.0, ahead=2.0)


def axis(start, radius, angle_deg, tail, along):
    """(down, ahead, slope) of a blade: slope' = curvature, down' = cos slope, ahead' = sin slope."""
    arc = radius * np.radians(angle_deg)
    state, places, at = np.zeros(3), [0.0, start, start + arc, start + arc + tail], 0.0
    for low, high, kappa in zip(places[:-1], places[1:], (0.0, 1 / radius, 0.0), strict=True):
        stop = min(high, along)
        if stop > at:
            run = solve_ivp(lambda _, y, k=kappa: (np.cos(y[2]), np.sin(y[2]), k), (low, stop), state, rtol=1e-12, atol=1e-12)  # fmt: skip
            state, at = run.y[:, -1], stop
    return state


@pytest.mark.parametrize("given", BENDS)
@pytest.mark.parametrize("share", [0.2, 0.7, 0.9, 1.0])
def test_axis_of_a_bent_blade(given, share):
    bend = fork.BladeLine(*given)
    down, ahead, slope = axis(*given, share * bend.length)
    found = bend.at(share * bend.length)
    assert found == pytest.approx((down, ahead, np.degrees(slope)), abs=1e-8)
    line = stays.CentreLine((0, 0, 0), (0, -1, 0), bend.length, bend.marked(), (-1, 0, 0))
    point = line.at(share * bend.length).point
    assert (-point[1], point[0]) == pytest.approx((down, ahead), abs=1e-8)
    if share == 1.0:
        assert (bend.drop, bend.offset) == pytest.approx((down, ahead), abs=1e-8)
        assert bend.length - bend.start - bend.tail == pytest.approx(bend.arc)


@pytest.mark.parametrize("given", BENDS)
def test_length_of_a_bent_blade_is_that_of_its_curve(given):
    """∫ √(down'² + ahead'²) by differences of the curve itself: bending keeps the axis's length."""
    bend = fork.BladeLine(*given)
    places = np.linspace(0, bend.length, 200_001)
    down, ahead, _ = bend.at(places)
    assert np.hypot(np.diff(down), np.diff(ahead)).sum() == pytest.approx(bend.length, rel=1e-9)


@pytest.mark.parametrize("known", [("radius", "tail"), ("radius", "start"), ("start", "tail")])
@pytest.mark.parametrize(("reach", "beside"), [(0.0, 0.0), (22.0, 0.0), (25.0, 4.0), (18.0, -6.0)])
def test_bend_to_a_place_by_search(known, reach, beside):
    """fsolve finds the two numbers that are not known, on the curve of the differential equation."""
    values = {"start": 215.0, "radius": 210.0, "tail": 15.0}
    held = {name: values[name] for name in known}
    (free,) = set(values) - set(known)
    drop, offset = 372.0, 46.0

    def miss(x):
        one = {**held, free: x[0]}
        down, ahead, turn = axis(one["start"], one["radius"], x[1], one["tail"], 1e6)
        return (
            down + reach * np.cos(turn) - beside * np.sin(turn) - drop,
            ahead + reach * np.sin(turn) + beside * np.cos(turn) - offset,
        )

    judge = fsolve(miss, [values[free], 25.0], xtol=1e-10)
    found = fork.bend_to(drop, offset, reach=reach, beside=beside, **held)
    assert (getattr(found, free), found.angle_deg) == pytest.approx(tuple(judge), abs=1e-6)


def in_space(crown, bend, ends):
    """The axle of the drive side, from vectors: the plane leans out until it meets the axle's width."""

    def axle(splay):
        out = Rotation.from_rotvec([np.radians(splay), 0, 0])  # about ahead: down turns to the side
        lean = Rotation.from_rotvec([0, 0, -np.radians(crown.angle_deg)])
        down, ahead, turn = axis(bend.start, bend.radius, bend.angle_deg, bend.tail, 1e6)
        down, ahead = (
            down + ends.reach * np.cos(turn) - ends.ahead * np.sin(turn),
            ahead + ends.reach * np.sin(turn) + ends.ahead * np.cos(turn),
        )
        flat = lean.apply([ahead, down, 0.0])
        return out.apply(flat) + np.array([crown.ahead, crown.below, crown.spread / 2])

    splay = brentq(lambda s: axle(s)[2] - ends.apart / 2, -30, 30, xtol=1e-12)
    return axle(splay), splay


@pytest.mark.parametrize("given", BENDS)
def test_axle_of_a_built_fork(given):
    bend = fork.BladeLine(*given)
    made = fork.built(CROWN, bend, ENDS)
    (ahead, down, side), splay = in_space(CROWN, bend, ENDS)
    assert made.points["axle"] == pytest.approx((ahead, down, side), abs=1e-7)
    assert made.splay_deg == pytest.approx(splay, abs=1e-8)
    assert made.fork_length == pytest.approx(np.hypot(ahead, down), abs=1e-7)
    assert made.fork_offset == pytest.approx(ahead, abs=1e-7)


@pytest.mark.parametrize("bent", [{"radius": 200.0, "tail": 10.0}, {"radius": 260.0, "start": 190.0}, {"start": 230.0, "tail": 0.0}])  # fmt: skip
def test_a_raked_fork_has_its_axle_where_the_drawing_wants_it(bent):
    made = fork.raked(381.0, 47.0, CROWN, ENDS, **bent)
    (ahead, down, side), _ = in_space(CROWN, made.bend, ENDS)
    assert (np.hypot(ahead, down), ahead, side) == pytest.approx((381.0, 47.0, 53.0), abs=1e-7)


@pytest.mark.parametrize("beside", [0.0, 7.0, -3.0])
def test_a_straight_fork_has_its_axle_where_the_drawing_wants_it(beside):
    ends = fork.Dropout(24.0, 100.0, 5.0, ahead=beside)
    made = fork.straight(395.0, 50.0, fork.Crown(25.0, 66.0, 2.0), ends)
    (ahead, down, _), _ = in_space(made.crown, made.bend, ends)
    assert (np.hypot(ahead, down), ahead) == pytest.approx((395.0, 50.0), abs=1e-7)


@pytest.mark.parametrize("given", BENDS)
def test_lean_of_the_tip(given):
    """The slope at the end of the curve, turned with its socket."""
    made = fork.built(CROWN, fork.BladeLine(*given), ENDS)
    slope = axis(*given, 1e6)[2]
    assert made.tip_deg == pytest.approx(np.degrees(slope) + CROWN.angle_deg, abs=1e-8)


def test_plates_parallel_to_the_wheel_move_the_axle_by_a_few_hundredths():
    """What the package leaves out: the plate swung back upright at the tip, about the direction ahead."""
    made = fork.raked(380.0, 45.0, CROWN, ENDS, radius=200.0, tail=15.0)
    tip, axle = np.array(made.points["tip"]), np.array(made.points["axle"])
    back = Rotation.from_rotvec([-np.radians(made.splay_deg), 0, 0]).apply(axle - tip)
    assert back[2] == pytest.approx(0, abs=1e-9)
    moved = tip[:2] + back[:2]
    assert np.abs(moved - axle[:2]) == pytest.approx([0, 0.04], abs=0.02)


# ---- spring-back ----------------------------------------------------------------------------------


def set_of(kappa, tube):
    """κ − M/EI of a ring, σ·y summed through its wall and round it; clipped at the yield stress."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    half, wall = tube.diameter / 2, tube.wall
    r, step = half - wall / 2 + wall / 2 * nodes, weights * wall / 2
    phi = np.linspace(0, np.pi / 2, 2001)
    y = r[:, None] * np.sin(phi)
    force = np.clip(MODULUS * kappa * y, -YIELD, YIELD) * y * r[:, None]
    moment = 4 * np.trapezoid((step[:, None] * force).sum(0), phi)
    inertia = np.pi / 64 * ((2 * half) ** 4 - (2 * half - 2 * wall) ** 4)
    return kappa - moment / (MODULUS * inertia)


@pytest.mark.parametrize(("diameter", "wall"), [(16.0, 1.0), (20.0, 0.9), (12.0, 1.5)])
@pytest.mark.parametrize("radius", [150.0, 260.0])
def test_former_for_a_radius_by_search(diameter, wall, radius):
    tube = Round(diameter, wall)
    kappa = brentq(lambda k: set_of(k, tube) - 1 / radius, 1 / radius, 2 / radius, xtol=1e-15)
    found = fork.former_radius(radius, tube, YIELD, MODULUS)
    assert found == pytest.approx(1 / kappa - diameter / 2, abs=1e-3)


BLADE = fork.tapered(380.0, top=24.0, tip=12.0, straight=200.0, wall=0.9, tip_wall=1.3)


@pytest.mark.parametrize(("radius", "start", "end"), [(180.0, 240.0, 360.0), (250.0, 150.0, 380.0)])  # fmt: skip
def test_what_a_former_leaves_in_a_tapered_blade(radius, start, end):
    """The blade's own differential equation, with sizes by numpy's interpolation."""

    def section(x):
        return Round(*(float(np.interp(x, [0, 200, 380], v)) for v in ([24, 24, 12], [0.9, 0.9, 1.3])))  # fmt: skip

    def slopes(x, y):
        tube = section(x)
        kappa = 1 / (radius + tube.diameter / 2)
        return np.cos(y[2]), np.sin(y[2]), set_of(kappa, tube), kappa

    state = np.array([start, 0.0, 0.0, 0.0])
    for low, high in ((start, max(start, 200.0)), (max(start, 200.0), end)):
        if high > low:
            state = solve_ivp(slopes, (low, high), state, rtol=1e-8, atol=1e-10).y[:, -1]
    down, ahead, turn, held = state
    found = fork.wrapped(BLADE, radius, start, end, YIELD, MODULUS)
    tail = 380.0 - end
    assert found.angle_deg == pytest.approx(np.degrees(turn), abs=1e-4)
    assert found.held_deg == pytest.approx(np.degrees(held), abs=1e-6)
    assert found.springback_deg == pytest.approx(np.degrees(held - turn), abs=1e-4)
    assert found.offset == pytest.approx(ahead + tail * np.sin(turn), abs=1e-3)
    assert found.drop == pytest.approx(down + tail * np.cos(turn), abs=1e-3)
    thick = section(start).diameter
    assert found.strain == pytest.approx(thick / 2 / (radius + thick / 2))


@pytest.mark.parametrize("offset", [20.0, 44.0])
def test_where_to_stop_on_the_former_by_search(offset):
    def miss(end):
        return fork.wrapped(BLADE, 180.0, 230.0, end, YIELD, MODULUS).offset - offset

    found = fork.wrap_for(BLADE, offset, 180.0, 230.0, YIELD, MODULUS)
    assert found.end == pytest.approx(brentq(miss, 231.0, 379.0, xtol=1e-10), abs=1e-6)


# ---- the wheel in a fork whose blades differ ------------------------------------------------------


@pytest.mark.parametrize("longer", [1.0, -2.5])
@pytest.mark.parametrize("end", ["tip", "top"])
def test_wheel_between_blades_that_differ(longer, end):
    """The axle's two ends in space; the rim's highest and foremost points by search on its circle."""
    made = fork.raked(380.0, 45.0, CROWN, ENDS, radius=200.0, tail=15.0)
    at = made.blade_length - 1e-3 if end == "tip" else 1e-3
    way = np.subtract(made.place(at + 5e-4), made.place(at - 5e-4)) / 1e-3
    drive = np.array(made.points["axle"])
    other = drive * [1, 1, -1]
    drive = drive + longer * way
    middle, axle = (drive + other) / 2, (drive - other) / np.linalg.norm(drive - other)
    one, two = null_space(axle[None, :]).T

    def on_rim(t):
        return 311.0 * (np.cos(t) * one + np.sin(t) * two)

    def extreme(toward):
        best = min((minimize_scalar(lambda t: -on_rim(t) @ toward, bounds=(a, a + 2.2), method="bounded", options={"xatol": 1e-12})
                    for a in (0, 2.1, 4.2)), key=lambda r: r.fun)  # fmt: skip
        return on_rim(best.x)[2]

    found = fork.uneven(made, longer, 311.0, end)
    assert found.at_crown == pytest.approx(extreme(np.array([0, -1.0, 0])), abs=1e-4)
    assert found.at_front == pytest.approx(extreme(np.array([1.0, 0, 0])), abs=1e-4)
    moved = middle - [45.0, made.axle_drop, 0]
    assert (found.axle_ahead, found.axle_down) == pytest.approx(tuple(moved[:2]), abs=1e-6)
    assert found.lean_deg == pytest.approx(np.degrees(np.arctan2(axle[1], axle[2])), abs=1e-5)
    assert found.turn_deg == pytest.approx(np.degrees(np.arctan2(-axle[0], axle[2])), abs=1e-5)


# ---- the plate ------------------------------------------------------------------------------------

# a crooked fork, (ahead, down, side): ends of a dummy axle 106 apart
DRIVE, OTHER = np.array([45.9, 377.8, 53.6]), np.array([44.7, 377.1, -52.4])


def lying(turn_deg, slope_deg, level, place):
    """Height above the plate of a place of the fork, its steerer in V-blocks that slope a little.

    The steerer runs along the plate's x; turned by 0° the fork lies on its back, ahead pointing up.
    """
    ahead, down, side = place
    point = Rotation.from_euler("x", turn_deg, degrees=True).apply([down, side, ahead])
    return level + Rotation.from_euler("y", slope_deg, degrees=True).apply(point)[2]


@pytest.mark.parametrize("slope", [0.0, 0.3])
@pytest.mark.parametrize("level", [80.0, 120.0])
def test_axle_read_with_the_rake_up_and_down(slope, level):
    back = [lying(0, slope, level, p) for p in (DRIVE, OTHER)]
    front = [lying(180, slope, level, p) for p in (DRIVE, OTHER)]
    found = fork.rake(tuple(back), tuple(front), 106.0)
    assert found.offset == pytest.approx((45.9 + 44.7) / 2, abs=1e-3)
    across = Rotation.align_vectors([[53.6 + 52.4, 0, 45.9 - 44.7]], [[1, 0, 0]])[0]
    turn = across.as_rotvec(degrees=True)
    assert abs(found.turn_deg) == pytest.approx(np.linalg.norm(turn), abs=1e-4)
    assert found.turn_deg < 0  # the drive end is ahead: the wheel points to the other side


def test_dropouts_read_on_either_side():
    """Turned so that the drive side points up, then down; a tip of 0.6 mm off to the drive side."""
    for slope in (0.0, -0.4):
        up = [lying(90, slope, 90.0, p) for p in (DRIVE, OTHER)]
        down = [lying(-90, slope, 90.0, p) for p in (DRIVE, OTHER)]
        up, down = (down, up) if up[0] < up[1] else (up, down)
        found = fork.sideways(tuple(up), tuple(down))
        assert found.off_centre == pytest.approx(0.6, abs=1e-3)
        assert found.spacing == pytest.approx(106.0, abs=5e-3)


def test_axle_that_is_not_square_to_the_steerer():
    turn = Rotation.align_vectors([[106.0, 377.8 - 377.1, 0]], [[1, 0, 0]])[0].as_rotvec(degrees=True)  # fmt: skip
    found = fork.lean(377.8, 377.1, 106.0)
    assert found.lean_deg == pytest.approx(np.linalg.norm(turn), abs=1e-9)


def test_spread_of_the_plates_values():
    """A hundred thousand readings with scatter, drawn by numpy: standard deviations within 1 %."""
    rng = np.random.default_rng(19)
    noisy = [h + rng.normal(0, 0.1, 100_000) for h in (145.2, 144.8, 55.0, 55.4)]
    found = fork.rake((noisy[0], noisy[1]), (noisy[2], noisy[3]), 100.0, noise=0.1)
    assert found.offset.std() == pytest.approx(found.offset_uncertainty, rel=0.01)
    assert found.turn_deg.std() == pytest.approx(found.turn_deg_uncertainty.mean(), rel=0.01)
    side = fork.sideways((noisy[0], noisy[2]), (noisy[3] - 40, noisy[1] - 40), noise=0.1)
    assert side.off_centre.std() == pytest.approx(side.off_centre_uncertainty, rel=0.01)
    assert side.spacing.std() == pytest.approx(side.spacing_uncertainty, rel=0.01)
    lean = fork.lean(noisy[0], noisy[1], 106.0, noise=0.1)
    assert lean.lean_deg.std() == pytest.approx(lean.lean_deg_uncertainty.mean(), rel=0.01)


def test_line_through_the_difference_of_two_blades():
    """numpy.polyfit with its covariance."""
    rng = np.random.default_rng(7)
    place = np.array([0.0, 60.0, 120.0, 180.0, 240.0])
    drive, other = (50 + 0.002 * place + rng.normal(0, 0.05, 5) for _ in range(2))
    (slope, start), cov = np.polyfit(place, drive - other, 1, cov="unscaled")
    found = fork.pair(place, drive, other, noise=0.05)
    assert (found.ahead, np.tan(np.radians(found.angle_deg))) == pytest.approx((start, slope))
    one = 0.05 * np.sqrt(2) * np.sqrt(np.diag(cov))
    assert found.ahead_uncertainty == pytest.approx(one[1])
    assert found.angle_deg_uncertainty == pytest.approx(np.degrees(one[0]), rel=1e-4)


@pytest.mark.parametrize("given", BENDS)
@pytest.mark.parametrize("share", [0.1, 0.7, 0.95])
def test_upper_side_of_a_raked_blade(given, share):
    """A tube of one size is swept by a ball: the highest ball over each place, by search."""
    bend = fork.BladeLine(*given)
    blade = fork.tapered(bend.length, top=18.0, tip=18.0, straight=0.0, wall=0.9)
    at = share * (bend.drop - 9 * np.sin(np.radians(bend.angle_deg)))
    places = np.linspace(0, bend.length, 20_001)
    down, ahead, _ = bend.at(places)
    inside = np.abs(at - down) < 9
    highest = (ahead[inside] + np.sqrt(81 - (at - down[inside]) ** 2)).max()
    assert fork.heights(bend, blade, at, level=40.0) == pytest.approx(40 + highest, abs=1e-5)


def test_upper_side_of_a_tapered_blade():
    """The same with balls that shrink; a cone's side leans by half its taper, worth 0.005 mm here."""
    bend = fork.BladeLine(200.0, 260.0, 30.0, 20.0)
    blade = fork.tapered(400.0, 24.0, 12.0, 200.0, 0.9).cut(bend.length)
    places = np.linspace(0, bend.length, 20_001)
    down, ahead, _ = bend.at(places)
    half = np.interp(places, [0, bend.length - 200, bend.length], [12, 12, 6])
    for at in (150.0, 260.0, 330.0):
        inside = np.abs(at - down) < half
        highest = (ahead[inside] + np.sqrt(half[inside] ** 2 - (at - down[inside]) ** 2)).max()
        assert fork.heights(bend, blade, at, level=40.0) == pytest.approx(40 + highest, abs=6e-3)


# ---- brakes, sections -----------------------------------------------------------------------------


def test_boss_by_search_along_the_blade():
    made = fork.raked(395.0, 48.0, CROWN, ENDS, radius=230.0, tail=10.0)
    axle = np.array(made.points["axle"][:2])

    def miss(along):
        return np.linalg.norm(np.array(made.place(along)[:2]) - axle) - (311.0 - 27.0)

    along, far = fork.boss_place(made, 622.0)
    assert far == 284.0
    assert along == pytest.approx(brentq(miss, 0, made.blade_length, xtol=1e-12), abs=1e-9)


@pytest.mark.parametrize(("wide", "deep"), [(20.0, 28.0), (24.0, 24.0), (16.0, 29.0)])
def test_stress_of_an_oval_blade(wide, deep):
    """I = ∫ x² dA of the outer ellipse's wall, by strips square to it, and σ = M·c / I with M halved."""

    def strip(s):
        a, b = deep / 2, wide / 2

        def round_it(t):
            speed = np.hypot(a * np.sin(t), b * np.cos(t))
            x = a * np.cos(t) - s * b * np.cos(t) / speed
            return x * x * (speed - s * a * b / speed**2)

        return quad(round_it, 0, 2 * np.pi)[0]

    inertia = quad(strip, 0, 0.9)[0]
    section = Round(wide, 0.9) if wide == deep else Oval(wide, deep, 0.9)
    found = fork.blade_stress(-150_000.0, section)
    assert found == pytest.approx(75_000 * deep / 2 / inertia, rel=1e-8)


def test_bending_is_that_of_bending():
    """`former_radius` asks `bending` alone, and a tube that only just yields goes back."""
    tube = Round(24.0, 0.9)
    first = 1 / bending.yield_curvature(tube, YIELD, MODULUS)
    assert first == pytest.approx(MODULUS * 12 / YIELD)
    blade = fork.tapered(380.0, 24.0, 24.0, 0.0, 0.9)
    found = fork.wrapped(blade, first * 1.001 - 12, 100.0, 300.0, YIELD, MODULUS)
    assert (found.angle_deg, found.offset) == (0.0, 0.0)


@pytest.mark.parametrize(("from_top", "from_tip"), [(0.0, 0.0), (30.0, 0.0), (50.0, 12.0), (210.0, 5.0)])  # fmt: skip
def test_sizes_along_a_blade(from_top, from_tip):
    """numpy's interpolation, on the whole blade and on what is left of it."""
    knots, wides, deeps, walls = [0.0, 120.0, 200.0, 400.0], [20, 20, 24, 12], [28, 28, 24, 12], [0.9, 0.9, 1.0, 1.3]  # fmt: skip
    whole = fork.Blade(tuple(knots), tuple(wides), tuple(walls), tuple(deeps))
    left = whole.cut(400.0 - from_top - from_tip, from_tip)
    x = np.linspace(0, left.length, 37)
    for blade, at in ((whole, from_top + x), (left, x)):
        wide, deep, wall = (np.interp(from_top + x, knots, v) for v in (wides, deeps, walls))
        assert blade.depth_at(at) == pytest.approx(deep, abs=1e-9)
        assert blade.width_at(at) == pytest.approx(wide, abs=1e-9)
        assert blade.wall_at(at) == pytest.approx(wall, abs=1e-9)
        for one, other in zip(blade.taper.sizes(at), (wide, deep), strict=True):
            assert one == pytest.approx(other, abs=1e-9)
        for k in (0, 9, 20, 36):
            section = blade.section_at(at[k])
            assert section.wall == pytest.approx(wall[k])
            size = (section.diameter,) if isinstance(section, Round) else (section.width, section.depth)  # fmt: skip
            assert size == pytest.approx((wide[k], deep[k])[: len(size)])
