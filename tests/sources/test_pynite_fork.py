"""PyNite (PyNiteFEA, a general frame program) and sympy.geometry as judges of the loads on a fork.

The fork stands in the frame's plane, x forward and y up, held where its crown race seat is; forces act on the axle,
on the tyre where it touches the road, and at the pads.
"""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp
from sympy import Line, Point

from coursekit import fork
from coursekit.statics import Member
from coursekit.tubes import Round
from tests import statics_peers as peers

TUBE = Round(24.0, 1.0)
FORKS = [(380.0, 45.0, 72.5), (395.0, 52.0, 71.0), (520.0, 46.0, 66.0), (370.0, 0.0, 90.0)]


def drawn(length, offset, head_angle_deg):
    """The crown race seat, from the axle at (0, 0), by lines: the axis passes the axle at the offset."""
    lean = sp.Float(np.radians(head_angle_deg), 30)
    axis = Point(-sp.cos(lean), sp.sin(lean))  # up and back
    foot = Point(0, 0) + Point(-sp.sin(lean), -sp.cos(lean)) * sp.Float(offset, 30)
    rise = sp.sqrt(sp.Float(length, 30) ** 2 - sp.Float(offset, 30) ** 2)
    seat = foot + axis * rise
    assert Line(foot, seat).distance(Point(0, 0)).evalf() == pytest.approx(offset)
    assert seat.distance(Point(0, 0)).evalf() == pytest.approx(length)
    return np.array([float(seat.x), float(seat.y), 0.0]), np.array([float(axis.x), float(axis.y), 0.0])  # fmt: skip


def held(at, loads, **nodes):
    """The bending with which the seat is held when loads act on a tree of members from it."""
    joints = {"seat": at, "axle": (0, 0, 0), **nodes}
    frame = {"blades": Member("seat", "axle", TUBE)}
    frame |= {name: Member("axle", name, TUBE) for name in nodes}
    model = peers.by_pynite(joints, frame, {"seat": "x y z turn_x turn_y turn_z"}, loads)
    return -model.nodes["seat"].RxnMZ["Combo 1"]


@pytest.mark.parametrize("given", FORKS)
def test_levers_of_the_axle(given):
    seat, axis = drawn(*given)
    assert fork.levers(*given) == pytest.approx((seat[1], -seat[0]), abs=1e-9)
    lower = seat - 40 * axis
    assert fork.levers(*given, below=40.0) == pytest.approx((lower[1], -lower[0]), abs=1e-9)


@pytest.mark.parametrize("given", FORKS)
@pytest.mark.parametrize(("forward", "up"), [(-500.0, 0.0), (0.0, 600.0), (300.0, 450.0)])
def test_bending_at_the_crown_race_seat(given, forward, up):
    judge = held(drawn(*given)[0], {"axle": (forward, up, 0, 0, 0, 0)})
    assert fork.axle_bending(*fork.levers(*given), forward, up) == pytest.approx(
        judge, rel=1e-7, abs=1e-6
    )


@pytest.mark.parametrize("given", FORKS)
@pytest.mark.parametrize(("brake", "weight"), [(500.0, 800.0), (300.0, 300.0)])
def test_bending_while_braking(given, brake, weight):
    """The road's push on a stiff spoke down to the tyre; wheel and blades are one piece."""
    loads = {"road": (-brake, weight, 0, 0, 0, 0)}
    judge = held(drawn(*given)[0], loads, road=(0, -340.0, 0))
    found = fork.braking_bending(*fork.levers(*given), 340.0, brake, weight)
    assert found == pytest.approx(judge, rel=1e-7)


@pytest.mark.parametrize("pads", [311.0, 70.0])
def test_drag_of_the_pads(pads):
    """A wheel on its axle, held from turning by a level push at the pads above it: the push is the drag."""
    joints = {"axle": (0, 0, 0), "pads": (0, pads, 0), "road": (0, -340.0, 0)}
    frame = {"up": Member("axle", "pads", TUBE), "down": Member("axle", "road", TUBE)}
    stopped = {"axle": "x y z turn_x turn_y", "pads": "x"}
    model = peers.by_pynite(joints, frame, stopped, {"road": (-400.0, 0, 0, 0, 0, 0)})
    drag = -model.nodes["pads"].RxnFX["Combo 1"]
    assert fork.pad_drag(400.0, 340.0, pads) == pytest.approx(drag, rel=1e-7)
    # what the docstring says of a rim brake: the axle is pushed back by brake and drag together
    axle = model.nodes["axle"].RxnFX["Combo 1"]
    assert axle == pytest.approx(400.0 + drag, rel=1e-7)
    if pads == 311.0:
        assert axle > 2 * 400.0


def test_stress_at_the_foot_of_the_steerer_and_in_the_blades():
    """σ = M·c/I, I from two circles: 500 N, level, on a fork of 380 with 45 at 72.5°."""
    height, ahead = fork.levers(380.0, 45.0, 72.5)
    moment = abs(fork.axle_bending(height, ahead, -500.0, 0.0))
    inertia = np.pi / 64 * (24.0**4 - 22.0**4)
    assert fork.blade_stress(moment, TUBE) == pytest.approx(moment / 2 * 12 / inertia)


def test_reach_of_a_caliper_and_room_by_points():
    """The distance of two points, exact; a fork of whole numbers: 3-4-5 triangles of 100."""
    made = fork.built(fork.Crown(0.0, 106.0, ahead=60.0), fork.BladeLine(380.0, 1.0, 0.0, 0.0), fork.Dropout(20.0, 100.0, 6.0))  # fmt: skip
    axle, bolt = Point(60, 400), Point(-240, 0)
    assert fork.brake_reach(made, 622.0, 0.0, -240.0) == pytest.approx(float(axle.distance(bolt)) - 311)  # fmt: skip
    edge = sp.Segment(Point(-255, 0), Point(-240, 0))
    assert fork.under_crown(made, 343.0, 0.0, 15.0, ahead=-247.5) == pytest.approx(float(edge.distance(axle)) - 343)  # fmt: skip
    assert float(edge.distance(axle)) == 500.0
