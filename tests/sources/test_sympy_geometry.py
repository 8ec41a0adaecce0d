"""sympy.geometry (Meurer et al., SymPy, PeerJ Comput. Sci. 3 (2017) e103) as judge of what is a matter
of points, lines and planes: dropouts and string, the fixture's scales, outlines, joints of tubes.
"""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp
from sympy import Line, Line3D, Plane, Point, Point3D, Polygon, Segment

from coursekit import alignment, dropouts, fixture, miters
from coursekit.frame import Chainstay, DownTube, Seatstay, TopTube, draw
from coursekit.sections import Outline

FRAME = draw(
    seat_angle_deg=73.0, head_angle_deg=72.0, chainstay=425.0, bb_drop=72.0, wheel_radius=340.0, fork_length=385.0,
    fork_offset=47.0, lower_stack=12.0, head_tube=145.0, seat_tube=600.0, front_centre=600.0,
)  # fmt: skip


def at(*xy):
    """A point with the numbers as they are, not as rationals."""
    return Point(*(sp.Float(float(v), 30) for v in xy))


def test_centre_of_the_dropouts():
    right, left = Point(0, sp.Rational("65.6")), Point(0, -sp.Rational("64.4"))
    found = dropouts.centre(65.6, 64.4)
    assert found.spacing == pytest.approx(float(right.distance(left)))
    assert found.off_centre == pytest.approx(float(right.midpoint(left).y))


@pytest.mark.parametrize("gaps", [(3.5, 3.0, 3.1, 3.4), (2.0, 4.5, 3.25, 3.25), (3.0, 3.0, 6.0, 0.0)])  # fmt: skip
def test_angle_between_the_faces(gaps):
    """One cup's rim lies in a plane; the other plane goes through three of the four gaps."""
    top, bottom, front, rear = map(sp.nsimplify, gaps)
    middle = (top + bottom) / 2
    lift = middle - (front + rear) / 2  # the fourth place is where the plane goes, not the reading
    points = [Point3D(0, 25, top), Point3D(0, -25, bottom), Point3D(25, 0, front + lift)]
    plane, flat = Plane(*points), Plane(Point3D(0, 0, 0), normal_vector=(0, 0, 1))
    angle = sp.acos(sp.Abs(sp.cos(plane.angle_between(flat))))
    found = dropouts.faces(*gaps, 50.0)
    assert found.angle_deg == pytest.approx(float(sp.deg(angle)), abs=1e-9)


@pytest.mark.parametrize("off", [0.0, 1.5, -2.25])
def test_string_from_dropout_to_head_tube(off):
    half, to_seat, to_head = 65 + sp.nsimplify(off), 400, 900
    gaps = []
    for edge in (half, 130 - half):  # drive side, other side
        string = Line(Point(0, edge), Point(to_head, 18))
        (crossing,) = string.intersection(Line(Point(to_seat, 0), Point(to_seat, 1)))
        gaps.append(float(crossing.y - sp.Rational("14.3")))
    assert dropouts.string_gap(130.0, 28.6, 36.0, 400.0, 900.0, off) == pytest.approx(gaps[0])
    assert dropouts.string_test(*gaps, 400.0, 900.0).off_centre == pytest.approx(off, abs=1e-12)


@pytest.mark.parametrize("rail", [0.0, 150.0])
def test_scales_of_the_fixture(rail):
    p, s = FRAME.points, fixture.settings(FRAME, rail)
    axis, level = Line(at(*p["head_low"]), at(*p["head_high"])), Line(at(0, -rail), at(1, -rail))
    (crossing,) = axis.intersection(level)
    foot = axis.projection(at(*p["front_axle"]))
    assert float(crossing.x) == pytest.approx(s.head_ahead)
    assert float(crossing.distance(at(*p["head_low"]))) == pytest.approx(s.low_face)
    assert float(crossing.distance(at(*p["head_high"]))) == pytest.approx(s.high_face)
    assert float(axis.distance(at(0, 0))) == pytest.approx(s.square)
    assert float(axis.distance(at(*p["front_axle"]))) == pytest.approx(s.axle_ahead)
    along = (foot - crossing).dot(axis.direction.unit)
    assert float(along) == pytest.approx(s.axle_along)
    assert p["rear_axle"] == pytest.approx((-s.rear_back, s.rear_up))


def test_the_frame_that_wrong_readings_make():
    """Head arm 4 mm too far ahead: points by sympy in the fixture; wheelbase is theirs whatever the pitch."""
    s = fixture.settings(FRAME)
    wrong = fixture.Settings(**{**vars(s), "head_ahead": s.head_ahead + 4.0})
    made = fixture.built(FRAME, wrong)
    axle, rear = at(FRAME.points["front_axle"][0] + 4, FRAME.points["front_axle"][1]), at(*FRAME.points["rear_axle"])  # fmt: skip
    assert made.wheelbase == pytest.approx(float(axle.distance(rear)))
    assert made.front_centre == pytest.approx(float(axle.distance(at(0, 0))))


def test_angles_and_offsets_of_placed_tubes():
    tubes = FRAME.place(
        top_tube=TopTube(28.6, 14.0, slope_deg=2.0), down_tube=DownTube(31.8, 11.0, above_shell=4.0),
        chainstay=Chainstay(22.2, 46.0, 126.0), seatstay=Seatstay(16.0, 30.0, 126.0, 42.0),
    )  # fmt: skip
    shell = Line3D(Point3D(0, 0, 0), Point3D(0, 0, 1))
    for joint in tubes.joints.values():
        cut, into = (
            shell if n not in tubes.tubes.axes else Line3D(*(Point3D(*map(sp.Float, np.ravel(v))) for v in (tubes.tubes.axes[n].start, tubes.tubes.axes[n].end)))
            for n in (joint.cut, joint.into))  # fmt: skip
        angle = float(sp.deg(cut.smallest_angle_between(into)))
        assert joint.angle_deg == pytest.approx(angle, abs=1e-6)
        u, v = (np.array(line.direction.unit, float) for line in (cut, into))
        across, apart = np.cross(u, v), np.array(into.p1 - cut.p1, float)
        assert joint.offset == pytest.approx(abs(apart @ across) / np.linalg.norm(across), abs=1e-6)


def test_outline_of_straight_sides():
    corners = [(12, -3), (9, 8), (-4, 10), (-11, 1), (-2, -9)]
    outline, polygon = Outline(*np.array(corners, float).T), Polygon(*corners)
    assert float(outline.arc([360.0])[0]) == pytest.approx(float(polygon.perimeter))
    for around in (0.0, 33.0, 120.0, 215.0, 300.0):
        ray = Segment(Point(0, 0), Point(40 * sp.cos(sp.rad(around)).evalf(30), 40 * sp.sin(sp.rad(around)).evalf(30)))  # fmt: skip
        (hit,) = polygon.intersection(ray)
        assert np.array(outline.point(np.array([around]))).ravel() == pytest.approx([float(hit.x), float(hit.y)])  # fmt: skip
    for y in (-5, 0, 6):
        right = max(p.x for p in polygon.intersection(Line(Point(0, y), Point(1, y))))
        assert float(outline.height(float(y))) == pytest.approx(float(right))


@pytest.mark.parametrize("angle", [90, 60, 38, 115])
def test_swing_of_the_mill(angle):
    """The tube leans from the line square to the other tube by the swing."""
    tube, other = (
        Line(Point(0, 0), Point(sp.cos(sp.rad(a)), sp.sin(sp.rad(a)))) for a in (angle, 0)
    )
    square = other.perpendicular_line(Point(0, 0))
    swing = float(sp.deg(tube.smallest_angle_between(square)))
    assert abs(miters.mill_setting_deg(angle)) == pytest.approx(swing)
    assert np.sign(miters.mill_setting_deg(angle)) == np.sign(90 - angle)


def test_lean_over_a_length():
    lean = Line(Point(0, 0), slope=sp.tan(sp.rad(sp.Rational("0.5"))))
    (end,) = lean.intersection(Line(Point(150, 0), Point(150, 1)))
    assert alignment.over_length(0.5, 150.0) == pytest.approx(float(end.y))
