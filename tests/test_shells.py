"""Threads of a shell and cuts of its faces."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit import shells


def test_no_thread_is_left_in_a_bore_as_wide_as_the_thread():
    assert shells.engaged(34.798, 1.0583, 34.798) == 0


def test_the_basic_bore_leaves_five_sixths():
    bore = shells.minor(34.798, 1.0583)
    assert shells.engaged(34.798, 1.0583, bore) == pytest.approx(100 * 5 / 6)


def test_arrays_broadcast():
    left = shells.engaged(34.798, 1.0583, np.array([33.65, 33.9]))
    assert left.shape == (2,) and left[0] > left[1]
    cut = shells.facing((np.array([34.2, 34.3]), 34.2), (0.1, 0.1), 68.0)
    assert cut.first == pytest.approx([0.3, 0.4])
    assert cut.second == pytest.approx(0.3)


@given(
    st.floats(34.0, 36.0), st.floats(34.0, 36.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0)
)  # fmt: skip
def test_faces_end_at_half_the_width_and_nothing_comes_off_below(a, b, swing_a, swing_b):
    cut = shells.facing((a, b), (swing_a, swing_b), 68.0)
    assert a + swing_a - cut.first == pytest.approx(34.0)
    assert b + swing_b - cut.second == pytest.approx(34.0)
    assert cut.first >= swing_a - 1e-12 and cut.second >= swing_b - 1e-12


def test_half_a_millimetre_of_bore_is_a_bore():
    """Basic profile of ISO 68-1: the bore is 2 · 5/8 · √3/2 of the pitch less than the major diameter."""
    assert float(shells.minor(5.0, 4.15)) == pytest.approx(5.0 - 4.15 * 5 / 8 * 3**0.5, abs=1e-3)
    assert float(shells.minor(5.0, 4.15)) < 0.51
