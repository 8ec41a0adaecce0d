"""One tube as a beam: limits, symmetry, refusals, and the same by `statics`."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import beams
from coursekit.statics import Member, solve
from coursekit.tubes import Round

TUBE = Round(28.6, 0.9)


@given(st.floats(1, 200), st.floats(100, 900))
def test_statics_says_the_same(force, length):
    joints = {"vice": (0, 0, 0), "tip": (length, 0, 0)}
    s = solve(joints, {"m": Member("vice", "tip", TUBE)}, {"vice": "fixed"}, {"tip": (0, -force, 0)})  # fmt: skip
    assert beams.sag(force, length, TUBE.inertia) == pytest.approx(-s.moves["tip"][1], rel=1e-9)
    assert beams.edge_stress(0, force * length, TUBE) == pytest.approx(float(s.worst("m")[0]))


def test_twice_as_long_sinks_eight_times():
    assert beams.sag(60, 1000, 7520) == pytest.approx(8 * beams.sag(60, 500, 7520))
    assert beams.sag(60, 500, 7520, 70_000) > beams.sag(60, 500, 7520)


def test_bending_has_its_ends_and_a_straight_line():
    at = np.array([0.0, 314.0, 628.0])
    assert beams.bending_at(101.8, 47.2, 628.0, at) == pytest.approx([101.8, (101.8 - 47.2) / 2, -47.2])  # fmt: skip


def test_signs_make_no_odds_to_the_edge():
    assert beams.edge_stress(-400, 9e4, TUBE) == beams.edge_stress(400, -9e4, TUBE)
    assert beams.edge_stress(400, 0, TUBE) == pytest.approx(400 / TUBE.area)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: beams.sag(60, 0, 7520), "The length must be greater than 0; got 0 mm."),
        (lambda: beams.sag("six", 500, 7520), "The force must be a finite number in N; got 'six'."),
        (lambda: beams.sag(60, 500, 0), "The second moment of area must be greater than 0; got 0 mm⁴."),
        (lambda: beams.sag(60, 500, 7520, 0), "The modulus must be greater than 0; got 0 MPa."),
        (lambda: beams.bending_at(90, 46, 585, 600), "The place must lie on the tube; got 600 mm of 585 mm."),
        (lambda: beams.bending_at(90, 46, 585, -1), "The place must lie on the tube; got -1 mm of 585 mm."),
        (lambda: beams.edge_stress(float("nan"), 0, TUBE), "The force must be a finite number in N; got nan."),
        (lambda: beams.fall(0, 180), "The mass must be greater than 0; got 0 kg."),
        (lambda: beams.fall(22.5, 0), "The height must be greater than 0; got 0 mm."),
    ],
)  # fmt: skip
def test_refused(call, said):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value).startswith(f"{said} ")  # a cure follows
