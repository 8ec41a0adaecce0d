"""sympy.geometry (Meurer et al., SymPy, PeerJ Comput. Sci. 3 (2017) e103) as judge of what is a matter
of points, lines and planes: dropouts and string, tangents of a tube, the fixture's scales, outlines, joints of tubes.
"""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp
from sympy import Circle, Line, Line3D, Plane, Point, Point3D, Polygon

from coursekit import alignment, braze_ons, brazing, coldset, dropouts, fixture, miters, skeleton
from coursekit.frame import Chainstay, DownTube, Seatstay, TopTube, draw
from coursekit.materials import STEEL_4130
from coursekit.tubes import Round

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


def test_cones_stop_where_they_are_as_wide_as_the_bore():
    s = fixture.settings(FRAME)
    flank = Line(Point(0, 0), Point(1, sp.tan(sp.rad(30))))  # half of 60°, the tip in the origin
    (edge,) = flank.intersection(Line(Point(0, 16), Point(1, 16)))
    low, high = s.cone_tips(bore=32.0, cone_deg=60.0)
    assert low - s.low_face == pytest.approx(float(edge.x))
    assert s.high_face - high == pytest.approx(float(edge.x))


def test_dimensions_read_off_the_drawing():
    p = FRAME.points
    top, axle = at(*p["head_high"]), at(*p["rear_axle"])
    ground = Line(at(0, p["rear_axle"][1] - 340), slope=0)
    seat = Line(at(0, 0), at(*p["seat_top"]))
    (level,) = seat.intersection(Line(top, slope=0))
    assert (FRAME.stack, FRAME.reach) == pytest.approx((float(top.y), float(top.x)))
    assert FRAME.top_tube_level == pytest.approx(float(top.distance(level)))
    assert FRAME.bb_height == pytest.approx(float(ground.distance(at(0, 0))))
    assert float(axle.distance(at(*p["front_axle"]))) == pytest.approx(FRAME.wheelbase)
    (hit,) = ground.intersection(Line(at(*p["head_low"]), at(*p["head_high"])))
    assert p["trail_point"] == pytest.approx((float(hit.x), float(hit.y)))
    assert FRAME.trail == pytest.approx(float(hit.x) - p["front_contact"][0])


def test_shares_of_heat_are_shares_of_mass():
    """One metal takes heat by its volume: two square plates of 10 mm as prisms."""
    plate = Polygon((0, 0), (10, 0), (10, 10), (0, 10)).area
    first, second = plate * sp.Rational("3.6"), plate * sp.Rational("0.9")
    share = brazing.heat_share(3.6, 0.9, STEEL_4130)
    assert share == pytest.approx(float(first / (first + second)))


def test_wrinkle_limit_by_the_curve_of_the_belly():
    """The rule's t/(2·D) (API RP 1111, from memory): the strain of a bend of radius R is r/R."""
    bend = sp.solve(sp.Rational("14.3") / sp.Symbol("R") - sp.Rational("0.9") / sp.Rational("57.2"))
    assert coldset.strain_limit(Round(28.6, 0.9)) == pytest.approx(float(14.3 / bend[0]))


def moment(force, place):
    """Moment of a force at a place about the origin, by sympy's own cross product."""
    return sp.Matrix(place).cross(sp.Matrix(force))


def test_weight_behind_the_seat_tube():
    p = FRAME.points["seat_top"]
    up = Line(at(0, 0), at(*p)).direction.unit
    tip = at(*p) + up * 250
    behind = tip - at(70, 0)
    turned = moment((0, -1200, 0), (behind.x - p[0], behind.y - p[1], 0))
    found = skeleton.seat_load(FRAME, 1200.0)["seat_top"]
    assert found == pytest.approx([0, -1200, 0, *map(float, turned)])


def test_force_on_the_pedal_and_the_chain_that_holds_it():
    """All forces about the bottom bracket: pedal and rod there, the rod's other end at the axle."""
    c, s = sp.cos(sp.rad(45)), sp.sin(sp.rad(45))
    pedal = (sp.Integer(0), -1000 * sp.cos(sp.rad(7.5)), 1000 * sp.sin(sp.rad(7.5)))
    place = (170 * c, -170 * s, 145)
    pull = sp.Symbol("pull")
    balance = (moment(pedal, place) + moment((-pull, 0, 0), (0, 80, 0)))[
        2
    ]  # nothing turns the axle
    (rod,) = sp.solve(balance, pull)
    turned = moment(pedal, place) + moment((-rod, 0, 0), (0, 80, 0))
    found = skeleton.pedal(1000.0, crank=170.0, out=145.0, tie=80.0)
    expected = [-rod, pedal[1], pedal[2], *turned]
    assert found["bb"] == pytest.approx([float(v) for v in expected], abs=1e-6)
    both = found["right_axle"] + found["left_axle"]
    assert both == pytest.approx([float(rod), 0, 0])


def test_hit_and_skeleton_stand_in_balance():
    """Forces and moments of loads and reactions, summed by sympy, come to nothing."""
    tubes = FRAME.place(
        top_tube=TopTube(28.6, 14.0, slope_deg=2.0), down_tube=DownTube(31.8, 11.0),
        chainstay=Chainstay(22.2, 46.0, 126.0), seatstay=Seatstay(16.0, 30.0, 126.0, 42.0),
    )  # fmt: skip
    bones = skeleton.skeleton(tubes, dict.fromkeys(skeleton.TUBES, Round(28.6, 0.9)))
    loads = skeleton.front_hit(-600.0)
    assert loads["front_axle"] == pytest.approx([-600, 0, 0])
    solved = bones.under(loads)
    at_joints = [
        (loads["front_axle"], "front_axle"),
        *((r, n) for n, r in solved.reactions.items()),
    ]
    force, turned = sp.zeros(3, 1), sp.zeros(3, 1)
    for load, name in at_joints:
        six = np.pad(load, (0, 6 - len(load)))
        force += sp.Matrix(six[:3])
        turned += moment(six[:3], bones.nodes[name]) + sp.Matrix(six[3:])
    assert [float(v) for v in force] == pytest.approx([0, 0, 0], abs=1e-6)
    assert [float(v) for v in turned] == pytest.approx([0, 0, 0], abs=1e-3)


# --- small parts on a tube ----------------------------------------------------------------------

TUBE = Circle(Point(0, 0), sp.Rational("15.9"))


def round_from_crown(point):
    """mm round the tube from its crown (0, r), the right side positive."""
    return 15.9 * float(sp.atan2(point.x, point.y))


@pytest.mark.parametrize("slope", [10, 30, 45, 60])
def test_a_tilted_edge_touches_where_the_tangent_does(slope):
    way = sp.rad(slope)
    above = Point(0, TUBE.radius / sp.cos(way))  # where such an edge passes over the crown
    edge = Line(above, above + Point(sp.cos(way), -sp.sin(way)))
    assert float(edge.distance(TUBE.center)) == pytest.approx(15.9)
    touched = round_from_crown(edge.projection(TUBE.center))
    assert braze_ons.touch(31.8, slope) == pytest.approx(touched)


@pytest.mark.parametrize(("opening", "leg"), [(90, 20), (90, 30), (60, 40), (120, 25)])
def test_edges_of_an_angle_section_on_a_tube(opening, leg):
    half = sp.rad(opening) / 2
    fold = Point(0, TUBE.radius / sp.sin(half))
    edge = fold + leg * Point(sp.sin(half), -sp.cos(half))
    assert float(Line(fold, edge).distance(TUBE.center)) == pytest.approx(15.9)
    mark = round_from_crown(edge)
    assert braze_ons.edge_marks(31.8, leg, opening) == pytest.approx(mark)


@pytest.mark.parametrize(("hollow", "sign"), [(25.4, -1), (44.4, 1)])
def test_gap_under_a_hollowed_foot(hollow, sign):
    """Foot 12 mm wide: both arcs laid through one chord, the way between them read on its middle line."""
    half, depths = sp.Integer(6), []
    for d in ("31.8", str(hollow)):
        circle = Circle(Point(0, 0), sp.Rational(d) / 2)
        upper = max(circle.intersection(Line(Point(half, 0), Point(half, 1))), key=lambda p: p.y)
        depths.append(float(circle.radius - upper.y))
    assert depths[0] == pytest.approx(float(braze_ons.hollow_depth(31.8, 12)))
    gap = float(braze_ons.foot_gap(31.8, 12, hollow))
    assert gap == pytest.approx(depths[0] - depths[1])
    assert np.sign(gap) == sign
