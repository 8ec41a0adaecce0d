"""Cut ends against a mesh boolean.

Source: manifold3d, a general-purpose library for solids made of triangles; cylinders of 720 facets.
Tolerances follow from the facets: a chord of 0.5° lies r(1 − cos 0.25°) < 2e-4 mm inside its arc.
"""

import manifold3d as m3
import numpy as np
import pytest

from coursekit import miters, tubes
from coursekit.classroom.bank import exercises, keys, own_numbers
from tests.sheets import builds

FACETS = 720


def _bar(radius, low, high):
    return m3.Manifold.cylinder(high - low, radius, radius, FACETS).translate((0, 0, low))


def _cut_branch(r, R, angle_deg, offset, turned_deg=0.0):
    """A solid branch up the z-axis, 0 to 100, less the main bar whose arm lies on its x side."""
    main = _bar(R, -300, 300).translate((0, -offset, 0)).rotate((0, 180 - angle_deg, 0))
    return _bar(r, 0, 100) - main.rotate((0, 0, turned_deg))


CASES = [(14.3, 15.9, 90, 0), (14.3, 15.9, 60, 0), (11.1, 20.0, 80, 6.0), (8.0, 19.0, 50, -7.0)]


@pytest.mark.parametrize(("r", "R", "angle", "offset"), CASES)
def test_volume_left(r, R, angle, offset):
    nodes, weights = np.polynomial.legendre.leggauss(40)
    radii = r * (nodes + 1) / 2
    _, along = miters.saddle(2 * radii, 2 * R, angle, offset, stations=721)
    left = np.sum((100 - along[:, :-1].mean(axis=1)) * 2 * np.pi * radii * weights * r / 2)
    assert left == pytest.approx(_cut_branch(r, R, angle, offset).volume(), rel=1e-4)


@pytest.mark.parametrize(("r", "R", "angle", "offset"), CASES)
@pytest.mark.parametrize("turned", [0.0, 130.0])
def test_edge(r, R, angle, offset, turned):
    """Every corner of the cut mesh that lies on the branch's outside lies on the curve."""
    corners = np.array(_cut_branch(r, R, angle, offset, turned).to_mesh().vert_properties)[:, :3]
    on_edge = (np.hypot(corners[:, 0], corners[:, 1]) > r * (1 - 2e-5)) & (corners[:, 2] < 99)
    x, y, z = corners[on_edge].T
    assert len(z) > FACETS
    joint = miters.Joint(2 * R, angle, offset, turned)
    assert z == pytest.approx(joint.along(x, y), abs=2e-3)


def test_oval_end_on_an_oval():
    """Oval bar 30 × 20 turned 25° into an oval 44 × 36 that shows its depth."""
    tube, target = tubes.Oval(30.0, 20.0, 0.9), tubes.Oval(44.0, 36.0, 0.9)
    bar = m3.Manifold.cylinder(100, 1, 1, FACETS).scale((15, 10, 1)).rotate((0, 0, 25))
    # arm along z, its outline's x (towards the branch) carries the depth; tilt the arm afterwards
    main = m3.Manifold.cylinder(600, 1, 1, FACETS).translate((0, 0, -300)).scale((18, 22, 1))
    left = bar - main.rotate((0, 180 - 70, 0))
    corners = np.array(left.to_mesh().vert_properties)[:, :3]
    joint = miters.Joint(target.section(90), 70.0)
    one = miters.cut(tube.section(25), joint, stations=721)
    x, y = tube.section(25).point(one.around_deg)
    form = (corners[:, 0] * np.cos(np.radians(25)) + corners[:, 1] * np.sin(np.radians(25))) / 15
    across = (corners[:, 1] * np.cos(np.radians(25)) - corners[:, 0] * np.sin(np.radians(25))) / 10
    on_edge = (np.hypot(form, across) > 1 - 2e-5) & (corners[:, 2] < 99)
    assert on_edge.sum() > FACETS
    edge = corners[on_edge]
    assert edge[:, 2] == pytest.approx(joint.along(edge[:, 0], edge[:, 1]), abs=2e-3)
    polar = np.degrees(np.arctan2(edge[:, 1], edge[:, 0])) % 360
    assert edge[:, 2] == pytest.approx(np.interp(polar, one.around_deg, one.along), abs=5e-3)
    assert np.hypot(x, y).max() == pytest.approx(15.0, abs=1e-3)


@pytest.mark.parametrize("student", range(4))
def test_the_key_of_the_lesson_on_ovals_gives_the_depth_of_a_cut_oval_end(root, student):
    exercise = exercises.load("oval-tubes", root)
    key = keys.load(exercise, root)
    n = own_numbers.draw(exercise, key, b"mesh", f"bench-{student:02d}")
    right = own_numbers.answers(exercise, key, n)
    half_wide, half_deep = right["width"] / 2, right["oval"][0] / 2
    bar = m3.Manifold.cylinder(100, 1, 1, FACETS).scale((half_deep, half_wide, 1))
    left = bar - _bar(n["into"] / 2, -300, 300).rotate((0, 90, 0))
    x, y, z = np.array(left.to_mesh().vert_properties)[:, :3].T
    on_edge = (np.hypot(x / half_deep, y / half_wide) > 1 - 2e-5) & (z < 99)
    assert on_edge.sum() > FACETS
    assert np.ptp(z[on_edge]) == pytest.approx(right["ear"], abs=2e-3)


def test_cluster_of_shell_and_seat_tube():
    """Down tube 31.8 against a shell of 40 square to it and a seat tube of 28.6 at 62°."""
    shell = _bar(20, -300, 300).rotate((0, 90, 0)).rotate((0, 0, 90))
    seat = _bar(14.3, -300, 300).rotate((0, 180 - 62, 0))
    corners = np.array((_bar(15.9, 0, 100) - shell - seat).to_mesh().vert_properties)[:, :3]
    on_edge = (np.hypot(corners[:, 0], corners[:, 1]) > 15.9 * (1 - 2e-5)) & (corners[:, 2] < 99)
    x, y, z = corners[on_edge].T
    # the piece cut loose between the two cylinders, if any, lies below the envelope: keep the top
    both = miters.cluster(
        31.8, [miters.Joint(40.0, 90.0, turned_deg=90.0), miters.Joint(28.6, 62.0)], stations=14401
    )
    polar = np.degrees(np.arctan2(y, x)) % 360
    envelope = np.interp(polar, both.around_deg, both.along)
    assert len(z) > FACETS
    top = z > envelope - 0.05
    assert z[top] == pytest.approx(envelope[top], abs=5e-3)
    assert top.mean() > 0.5
    assert len(np.unique(np.round(polar[top]))) > 350


def test_bore_edge():
    """The bore of a 28.6 × 0.9 tube meets a head tube of 36 where a bar of 26.8 does."""
    one = miters.cut(tubes.Round(28.6, 0.9), miters.Joint(36.0, 60.0), stations=721)
    corners = np.array(_cut_branch(13.4, 18.0, 60, 0).to_mesh().vert_properties)[:, :3]
    on_edge = (np.hypot(corners[:, 0], corners[:, 1]) > 13.4 * (1 - 2e-5)) & (corners[:, 2] < 99)
    x, y, z = corners[on_edge].T
    polar = np.degrees(np.arctan2(y, x)) % 360
    assert z == pytest.approx(np.interp(polar, one.around_deg, one.bore), abs=5e-3)


def _main(R, angle_deg, offset):
    """The bar that is met, about the branch's axis up z, its arm in the obtuse corner on +x."""
    return _bar(R, -300, 300).translate((0, -offset, 0)).rotate((0, 180 - angle_deg, 0))


def test_both_ends_of_one_tube():
    """Tube from a (z = 0) to b (z = 300); end b's bar is turned over, then to its own line."""
    end_a = miters.Joint(36.0, 60.0, offset=1.5, turned_deg=40.0)
    end_b = miters.Joint(40.0, 80.0, offset=-2.0, turned_deg=130.0)
    low = _main(18.0, 60, 1.5).rotate((0, 0, 40))
    high = _main(20.0, 80, -2.0).rotate((180, 0, 0)).rotate((0, 0, 130)).translate((0, 0, 300))
    left = _bar(14.3, 0, 300) - low - high
    corners = np.array(left.to_mesh().vert_properties)[:, :3]
    x, y, z = corners[np.hypot(corners[:, 0], corners[:, 1]) > 14.3 * (1 - 2e-5)].T
    line = np.degrees(np.arctan2(y, x))
    tube = miters.two_ended(28.6, 300.0, end_a, end_b)
    at_a = z < 150
    assert at_a.sum() > FACETS / 2
    assert (~at_a).sum() > FACETS / 2
    assert z[at_a] == pytest.approx(end_a.along(x[at_a], y[at_a]), abs=2e-3)
    assert z[~at_a] == pytest.approx(300 - end_b.along(x[~at_a], y[~at_a], "b"), abs=2e-3)
    low_edge = end_a.along(*(14.3 * f(np.radians(line[~at_a])) for f in (np.cos, np.sin)))
    assert tube.side(line[~at_a]) == pytest.approx(z[~at_a] - low_edge, abs=5e-3)
    assert tube.phase_deg == 90.0


# A whole frame, cut in its place: every tube's axis from its joint list, none of the kit's saddles


def _in_place(line, radius, before=0.0, after=0.0):
    """A bar along a placed axis, lengthened at both ends."""
    way = np.asarray(line.direction, float)
    side = np.cross(way, [0.3, 0.5, 0.81])
    side /= np.linalg.norm(side)
    start = np.asarray(line.start, float) - before * way
    matrix = np.column_stack([side, np.cross(way, side), way, start])
    return _bar(radius, 0, float(line.length) + before + after).transform(matrix)


@pytest.mark.parametrize(
    "name", ["top_tube", "down_tube", "seat_tube", "right_chainstay", "left_seatstay"]
)
def test_every_tube_of_the_example_frame(name):
    """Length of the piece, and the underside's, against the solid that is left of a bar in the frame.

    The bar runs from crossing to crossing of the axes, where all of it lies inside of the tube it meets.
    """
    build = builds.example()
    axes, piece = build.frame.tubes.axes, build.pieces[name]
    line, met = axes[name], [j for j in build.frame.joints.values() if j.cut == name]
    short = {"b": float(build.short.get(name.split("_")[-1], 0.0))}
    left = _in_place(line, piece.diameter / 2, 0.0, -short["b"])
    for joint in met:
        other = axes[joint.into]
        left -= _in_place(other, float(other.diameter) / 2, 200.0, 200.0)
    corners = np.array(left.to_mesh().vert_properties)[:, :3] - piece.start
    along = corners @ piece.direction
    off = np.linalg.norm(
        corners - along[:, None] * piece.direction, axis=1
    ) > piece.diameter / 2 * (1 - 2e-5)
    assert np.ptp(along[off]) == pytest.approx(piece.finished, abs=5e-3)
    # the line nearest the underside, from its lowest to its highest corner
    out = corners - along[:, None] * piece.direction
    turn = np.degrees(np.arctan2(out @ piece.ninety, out @ piece.zero))
    near = off & (np.abs(turn) < 0.3)
    assert np.ptp(along[near]) == pytest.approx(
        np.interp(0.0, piece.around_deg, piece.lengths), abs=0.05
    )
