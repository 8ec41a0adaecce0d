"""numpy.fft.rfft and numpy.linalg.lstsq (NumPy, Harris et al., Nature 585 (2020) 357) as judges
of the bow: on even marks it is the first term of the discrete Fourier transform.
"""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import fitting, runout
from coursekit.classroom.bank import exercises, keys, own_numbers


@pytest.mark.parametrize("marks", [4, 5, 8, 12, 36])
def test_even_marks_give_the_first_fourier_term(marks):
    dial = np.random.default_rng(marks).normal(0.3, 0.1, marks)
    first = np.fft.rfft(dial)[:2] / marks
    found = runout.bow(np.arange(marks) * 360 / marks, dial)
    assert found.amount == pytest.approx(2 * abs(first[1]), rel=1e-12)
    assert found.high_deg == pytest.approx(np.degrees(-np.angle(first[1])) % 360, abs=1e-9)
    assert found.mean == pytest.approx(first[0].real, rel=1e-12)


@pytest.mark.parametrize("harmonics", [1, 2])
def test_uneven_marks_give_lstsq(harmonics):
    rng = np.random.default_rng(7)
    angles, dial = np.sort(rng.uniform(0, 360, 11)), rng.normal(0, 0.2, 11)
    a = np.radians(angles)
    matrix = np.stack([np.ones(11)] + [f(k * a) for k in range(1, harmonics + 1) for f in (np.cos, np.sin)], axis=1)  # fmt: skip
    judge = np.linalg.lstsq(matrix, dial, rcond=None)[0]
    found = runout.bow(angles, dial, harmonics=harmonics)
    assert found.amount == pytest.approx(np.hypot(judge[1], judge[2]), rel=1e-10)
    assert found.high_deg == pytest.approx(np.degrees(np.arctan2(judge[2], judge[1])) % 360, abs=1e-9)  # fmt: skip


def test_linear_is_lstsq_on_a_hard_polynomial():
    x = np.linspace(1000.0, 1001.0, 40)
    matrix, y = np.vander(x - 1000.4, 7), np.cos(5 * (x - 1000))
    judge, squares, *_ = np.linalg.lstsq(matrix, y, rcond=None)
    fit = fitting.linear(matrix, y)
    assert fit.values == pytest.approx(judge, rel=1e-8)
    assert fit.scatter == pytest.approx(np.sqrt(squares[0] / 33), rel=1e-9)


@pytest.mark.parametrize("student", range(12))
def test_the_key_of_the_lesson_on_butt_finding_gives_the_first_fourier_term(root, student):
    exercise = exercises.load("butt-finding", root)
    key = keys.load(exercise, root)
    numbers = own_numbers.draw(exercise, key, b"numpy", f"bench-{student:02d}")
    first = np.fft.rfft([numbers[f"dial_{mark}"] for mark in range(0, 360, 45)])[1] / 4
    right = own_numbers.answers(exercise, key, numbers)
    assert right["parts"] == pytest.approx((first.real, -first.imag), abs=1e-12)
    assert right["bow"] == pytest.approx(abs(first), rel=1e-12)
    assert right["high-spot"] == pytest.approx(np.degrees(np.angle(first.conj())) % 360, abs=1e-9)
