"""dropouts: centred, parallel, and the string, against plane geometry done the long way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import dropouts


@given(st.floats(100, 150), st.floats(-5, 5))
def test_centre_gives_back_where_the_faces_are(spacing, off):
    found = dropouts.centre(spacing / 2 + off, spacing / 2 - off, 0.1)
    assert found.spacing == pytest.approx(spacing)
    assert found.off_centre == pytest.approx(off, abs=1e-12)
    assert found.spacing_uncertainty == pytest.approx(0.1 * np.sqrt(2))
    assert found.off_centre_uncertainty == pytest.approx(0.1 / np.sqrt(2))


@given(st.floats(-3, 3), st.floats(-3, 3))
def test_faces_against_the_normals_of_two_planes(upright, level):
    # face one is the plane z = 0; face two z = gap + y·tan(upright) + x·tan(level)
    tall, wide = np.tan(np.radians([upright, level]))
    gap, half = 20.0, 25.0
    found = dropouts.faces(gap + tall * half, gap - tall * half, gap + wide * half, gap - wide * half, 50.0)  # fmt: skip
    normal = np.array([-wide, -tall, 1.0]) / np.sqrt(1 + wide**2 + tall**2)
    assert found.upright_deg == pytest.approx(upright, abs=1e-9)
    assert found.level_deg == pytest.approx(level, abs=1e-9)
    assert np.cos(np.radians(found.angle_deg)) == pytest.approx(normal[2], abs=1e-12)


def test_uncertainty_of_an_angle_between_faces():
    found = dropouts.faces(3.5, 3.0, 3.0, 3.0, 50.0, 0.02)
    assert found.upright_deg_uncertainty == pytest.approx(np.degrees(0.02 * np.sqrt(2) / 50 / (1 + 0.01**2)))  # fmt: skip
    assert found.level_deg_uncertainty == pytest.approx(np.degrees(0.02 * np.sqrt(2) / 50))
    assert found.angle_deg_uncertainty == found.upright_deg_uncertainty


def lines_gap(spacing, off, seat, head, s, h):
    """Gap on the drive side by meeting two lines: the string and the seat tube's station."""
    axle, front = np.array([0.0, spacing / 2 + off]), np.array([h, head / 2])
    way = front - axle
    return axle[1] + way[1] * (s / way[0]) - seat / 2


@given(st.floats(110, 150), st.floats(-5, 5), st.floats(380, 450), st.floats(850, 1000))
def test_string_test_gives_back_the_offset(spacing, off, s, h):
    gaps = [dropouts.string_gap(spacing, 28.6, 36.0, s, h, way * off) for way in (1, -1)]
    assert gaps[0] == pytest.approx(lines_gap(spacing, off, 28.6, 36.0, s, h))
    assert dropouts.string_test(*gaps, s, h).off_centre == pytest.approx(off, abs=1e-9)


def test_the_string_leaves_the_head_tube_at_its_full_half_diameter_to_within_1_percent():
    # exact: the tangent from the dropout to the circle of the head tube
    s, h, head, spacing = 400.0, 950.0, 18.0, 130.0

    def exact(off):
        y = spacing / 2 + off
        angle = np.arctan2(-y, h) + np.arcsin(head / np.hypot(h, y))
        return y + s * np.tan(angle) - 14.3

    seen = dropouts.string_test(exact(2.0), exact(-2.0), s, h).off_centre
    assert seen == pytest.approx(2.0, rel=0.01)


def test_string_uncertainty_and_batch():
    one = dropouts.string_test(30.0, 29.0, 400.0, 900.0, 0.2)
    assert one.off_centre_uncertainty == pytest.approx(0.2 * np.sqrt(2) / (2 * (1 - 400 / 900)))
    many = dropouts.string_test(np.array([30.0, 31.0]), 29.0, 400.0, 900.0, 0.2)
    assert many.off_centre == pytest.approx([one.off_centre, 2 * one.off_centre])
    assert dropouts.centre(np.array([65.0, 66.0]), 65.0).off_centre.tolist() == [0.0, 0.5]
    assert dropouts.faces(np.array([3.0, 4.0]), 3.0, 3.0, 3.0, 50.0).upright_deg[0] == 0.0
