"""Fillets round a joint, heat and its share."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import brazing, materials, miters
from coursekit.brazing import corner


@pytest.mark.parametrize("opening", [20.0, 60.0, 90.0, 120.0, 150.0, 170.0])
def test_bead_by_counting_squares(opening):
    """Area and moment of the region between the two faces and the arc, by fine strips."""
    half = np.radians(opening) / 2
    radius, centre = np.tan(half), 1 / np.cos(half)
    # strips along the face's distance from the bisector: x from the corner along the bisector
    y = (np.arange(200_000) + 0.5) / 200_000 * np.sin(half)
    near = y / np.tan(half)
    far = centre - np.sqrt(radius**2 - y**2)
    dy = np.sin(half) / 200_000
    area, moment = corner.bead(np.radians(opening))
    assert area == pytest.approx(2 * np.sum(far - near) * dy, rel=1e-6)
    assert moment == pytest.approx(np.sum(far**2 - near**2) * dy, rel=1e-6)


def test_bead_series_meets_the_closed_form():
    """Both sides of the change-over (x = 0.01) against 40 digits."""
    import mpmath

    with mpmath.workdps(40):
        for x in (1e-4, 0.0099, 0.0101):
            X = mpmath.mpf(x)
            cot, sin = mpmath.cot(X), mpmath.sin(X)
            area = cot * (1 - X * cot)
            # kite less sector, centroids from the corner along the bisector
            kite, sector = cot, cot**2 * X
            moment = kite * (sin + 1 / sin) / 3 - sector * (1 / sin - 2 * cot * sin / (3 * X))
            found = corner.bead(np.pi - 2 * x)
            assert float(found[0]) == pytest.approx(float(area), rel=1e-6)
            assert float(found[1]) == pytest.approx(float(moment), rel=2e-4)


def test_bead_scales_with_the_square_of_the_leg():
    assert brazing.bead_area(8.0, 70.0) == pytest.approx(4 * brazing.bead_area(4.0, 70.0))
    assert brazing.bead_area(np.array([6.0]), np.array([90.0, 180.0])) == pytest.approx(
        [7.7257, 0], abs=1e-4
    )


@pytest.mark.parametrize(
    ("d", "D", "angle", "offset"),
    [(28.6, 36.0, 60.0, 0.0), (22.2, 40.0, 84.0, 6.0), (28.6, 31.8, 75.0, -1.0)],
)
def test_corner_by_differences_in_space(d, D, angle, offset):
    """Opening and bend from finite differences of the curve and cross products of the normals."""
    opening, bend, ds = corner.corner(d, D, angle, offset)
    n = corner.STEPS
    r, theta = d / 2, np.radians(angle)
    phi = (np.arange(n) + 0.5) * 2 * np.pi / n
    along = miters.Joint(D, angle, offset).along(r * np.cos(phi), r * np.sin(phi))
    curve = np.array([r * np.cos(phi), r * np.sin(phi) + offset, along]).T
    arm = np.array([np.sin(theta), 0.0, -np.cos(theta)])
    n1 = np.array([np.cos(phi), np.sin(phi), 0 * phi]).T
    n2 = curve - (curve @ arm)[:, None] * arm
    n2 /= np.linalg.norm(n2, axis=1)[:, None]
    assert np.cos(np.pi - opening) == pytest.approx(np.sum(n1 * n2, axis=1), abs=1e-9)
    h = 2 * np.pi / n
    first = (np.roll(curve, -1, 0) - np.roll(curve, 1, 0)) / (2 * h)
    second = (np.roll(curve, -1, 0) - 2 * curve + np.roll(curve, 1, 0)) / h**2
    speed = np.linalg.norm(first, axis=1)
    assert ds == pytest.approx(speed * h, rel=1e-4)
    tangent = first / speed[:, None]
    kappa = (second - np.sum(second * tangent, axis=1)[:, None] * tangent) / (speed**2)[:, None]
    bisector = n1 + n2
    bisector /= np.linalg.norm(bisector, axis=1)[:, None]
    assert bend == pytest.approx(-np.sum(kappa * bisector, axis=1), abs=1e-4)


@given(st.floats(10.0, 40.0), st.floats(0.0, 20.0), st.floats(30.0, 150.0), st.floats(-1.0, 1.0))
def test_line_is_the_joint_line(diameter, more, angle, share):
    offset = share * more / 2
    bead = brazing.fillet(diameter, diameter + more, angle, 5.0, offset)
    assert bead.line == pytest.approx(
        miters.joint_line(diameter, diameter + more, angle, offset), rel=2e-4
    )
    assert bead.volume > 0
    other = brazing.fillet(diameter, diameter + more, 180 - angle, 5.0, -offset)
    assert bead.volume == pytest.approx(other.volume, rel=1e-6)


def test_small_bead_is_area_times_line():
    """As the leg shrinks, only the bead's area along the corner counts."""
    opening, _, ds = corner.corner(28.6, 36.0, 60.0, 0.0)
    flat = np.sum(brazing.bead_area(1e-4, np.degrees(opening)) * ds)
    assert brazing.fillet(28.6, 36.0, 60.0, 1e-4).volume == pytest.approx(flat, rel=1e-4)


def test_opening_at_the_corners():
    """In the frame's plane the corner opens by 180° − θ on one side and θ on the other."""
    opening, _, _ = corner.corner(28.6, 36.0, 60.0, 0.0)
    assert np.degrees(opening[[0, corner.STEPS // 2]]) == pytest.approx([120, 60], abs=0.1)


def test_equal_tubes_leave_no_shoulder():
    opening, _, _ = corner.corner(28.6, 28.6, 90.0, 0.0)
    assert np.degrees(opening.max()) > 179.8
    wide = brazing.fillet(28.6, 36.0, 90.0, 6.0)
    assert wide.volume > brazing.fillet(28.6, 28.6, 90.0, 6.0).volume


def test_fillets_broadcast():
    many = brazing.fillet(28.6, np.array([36.0, 38.1]), np.array([[60.0], [75.0]]), 6.0)
    assert many.volume.shape == (2, 2)
    assert many.volume[1, 1] == pytest.approx(
        brazing.fillet(28.6, 38.1, 75.0, 6.0).volume, rel=1e-12
    )


def test_heat_share():
    steel = materials.STEEL_4130
    assert brazing.heat_share(1.0, 1.0, steel) == 0.5
    assert brazing.heat_share(0.9, 3.6, steel) == pytest.approx(0.2)
    light = materials.Metal("light", "made up", density=steel.density / 2, heat=steel.heat)
    assert brazing.heat_share(1.0, 2.0, steel, light) == pytest.approx(0.5)
    cool = materials.Metal("cool", "made up", density=steel.density, heat=steel.heat / 3)
    assert brazing.heat_share(1.0, 3.0, steel, cool) == pytest.approx(0.5)


@pytest.mark.parametrize(("f", "c"), [(32, 0), (212, 100), (-40, -40)])
def test_celsius(f, c):
    assert brazing.celsius(f) == pytest.approx(c)


def test_a_flux_that_just_reaches_covers():
    low, high = brazing.filler("BAg-7").solidus, brazing.filler("BAg-7").working[1]
    assert brazing.match("BAg-7", brazing.Flux("made up", "paste", low, high)).covers
    assert not brazing.match("BAg-7", brazing.Flux("made up", "paste", low + 1, high)).covers
    assert not brazing.match("BAg-7", brazing.Flux("made up", "paste", low, high - 1)).covers


def test_half_known_metals_are_refused():
    for metal in (
        materials.Metal("a", "made up", heat=0.5),
        materials.Metal("b", "made up", density=8.0),
    ):
        with pytest.raises(ValueError, match="a density and a specific heat"):
            brazing.heat_share(1.0, 1.0, metal)


def test_an_opening_of_less_than_a_degree_can_be_filled():
    """Two faces all but shut: kite less sector by plane trigonometry, for a leg of 6 mm."""
    half = np.radians(0.25)
    radius = 6.0 * np.tan(half)
    kite, sector = 6.0 * radius, (np.pi / 2 - half) * radius**2
    assert float(brazing.bead_area(6.0, 0.5)) == pytest.approx(kite - sector, rel=1e-9)
