"""Thin ring pressed on a diameter, elastic and plastic.

Sources: Timoshenko, S., Strength of Materials, part I, art. 80 (0.149 and 0.137 P·R³/(E·I)); Young
& Budynas (2002), Roark's Formulas for Stress and Strain, 7th ed., Table 9.2 case 1, both from
memory, recomputed by 720 beam elements: 0.148776 and 0.136618. Repeated here with elements of
our own, on a round and on an oval ring.
"""

import numpy as np
import pytest

from coursekit import ovals, statics
from coursekit.classroom.bank import exercises, keys, own_numbers


def ring_of_beams(half_load_axis, half_other_axis, count=720, EI=1.0):
    """(shortening, widening) of an elliptic ring under unit loads, by plane beam elements.

    Axial stiffness is set so high that only bending counts. One half is enough: the two loaded
    points stay on the axis of the load and do not turn.
    """
    t = np.linspace(-np.pi / 2, np.pi / 2, count // 2 + 1)
    x, y = half_other_axis * np.cos(t), half_load_axis * np.sin(t)
    size = 3 * len(t)
    K = np.zeros((size, size))
    for i in range(len(t) - 1):
        dx, dy = x[i + 1] - x[i], y[i + 1] - y[i]
        L = np.hypot(dx, dy)
        c, s = dx / L, dy / L
        EA = 1e8 * EI / half_load_axis**2
        k = np.zeros((6, 6))
        k[np.ix_([0, 3], [0, 3])] = EA / L * np.array([[1, -1], [-1, 1]])
        k[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = EI / L**3 * np.array(
            [[12, 6 * L, -12, 6 * L], [6 * L, 4 * L * L, -6 * L, 2 * L * L],
             [-12, -6 * L, 12, -6 * L], [6 * L, 2 * L * L, -6 * L, 4 * L * L]]
        )  # fmt: skip
        turn = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
        T = np.block([[turn, np.zeros((3, 3))], [np.zeros((3, 3)), turn]])
        at = slice(3 * i, 3 * i + 6)
        K[at, at] += T.T @ k @ T
    load = np.zeros(size)
    load[-2] = -0.5  # half of the load on each half of the ring
    held = [0, 1, 2, size - 3, size - 1]
    free = np.setdiff1d(np.arange(size), held)
    u = np.zeros(size)
    u[free] = np.linalg.solve(K[np.ix_(free, free)], load[free])
    return -u[-2], 2 * u[3 * (count // 4)]


def test_printed_coefficients():
    """R = 1, E·I = 1: wall t with E = 12/t³."""
    wall = 0.01
    shorter, wider = ovals.ring(2 + wall, wall, 12 / wall**3)
    assert shorter == pytest.approx(0.149, abs=5e-4)
    assert wider == pytest.approx(0.137, abs=5e-4)
    assert shorter == pytest.approx(0.14878, abs=5e-6)
    assert wider == pytest.approx(0.13662, abs=5e-6)


def test_ring_of_beam_elements():
    wall = 0.01
    shorter, wider = ring_of_beams(1.0, 1.0)
    assert ovals.ring(2 + wall, wall, 12 / wall**3) == pytest.approx((shorter, wider), rel=1e-4)
    assert (shorter, wider) == pytest.approx((0.148776, 0.136618), abs=2e-6)


def test_load_counts():
    assert ovals.ring(28.6, 0.9, 205e3, 7.0) == pytest.approx(
        tuple(7 * v for v in ovals.ring(28.6, 0.9, 205e3))
    )


@pytest.mark.parametrize("pressed", [28.6, 27.0, 24.0, 20.0])
def test_springback_of_an_oval_ring_of_beam_elements(pressed):
    """Unload the hinge load 4·Mp/(half the other axis) from an elastic ring of the pressed shape."""
    diameter, wall, sigma, E = 28.6, 0.9, 517.0, 205e3
    other = (ovals.depth_for(diameter, wall, pressed) - wall) / 2
    load = 4 * (sigma * wall**2 / 4) / other
    shorter, _ = ring_of_beams((pressed - wall) / 2, other, EI=E * wall**3 / 12)
    assert ovals.springback(diameter, wall, pressed, sigma, E) == pytest.approx(
        load * shorter, rel=2e-4
    )


def test_hinge_load_from_the_ring_in_bending():
    """Moment PR/π under the load and PR(1/2 − 1/π) at the side even out at PR/4 = Mp each."""
    R, Mp = 13.85, 517 * 0.81 / 4
    load = ovals.hinge_load(28.6, 0.9, 517.0)
    assert (1 / np.pi + (0.5 - 1 / np.pi)) * load * R / 2 == pytest.approx(Mp)


def test_hand_formula():
    """About 1.8·σy·R²/(E·t)."""
    assert ovals.round_springback(28.6, 0.9, 517.0, 205e3) == pytest.approx(
        1.7854 * 517 * 13.85**2 / (205e3 * 0.9), rel=1e-4
    )


@pytest.mark.parametrize("pressed", [28.6, 25.0])
def test_ring_by_the_space_frame(pressed):
    """The same elastic part by this package's own frame sums: a strip 1 mm wide, 120 chords.

    Chords of 3° and the pull in them leave a few parts in a thousand.
    """
    diameter, wall, E, load = 28.6, 0.9, 205e3, 1.0
    along, other = (pressed - wall) / 2, (ovals.depth_for(diameter, wall, pressed) - wall) / 2
    t = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    nodes = {f"{i}": (other * np.sin(a), along * np.cos(a), 0.0) for i, a in enumerate(t)}
    strip = statics.MemberSection(area=wall, inertia_y=1.0, inertia_z=wall**3 / 12, torsion=1.0)
    ring = {
        f"{i}": statics.Member(f"{i}", f"{(i + 1) % 120}", strip, E, 8e4, side=(0, 0, 1))
        for i in range(120)
    }
    held = {"60": "fixed", "0": "x turn_z"}
    found = statics.solve(nodes, ring, held, {"0": (0, -load, 0)}, plane=True)
    shorter = -found.moves["0"][1]
    if pressed == diameter:
        assert shorter == pytest.approx(ovals.ring(diameter, wall, E, load)[0], rel=5e-3)
    hinge = 517.0 * wall**2 / other
    back = ovals.springback(diameter, wall, pressed, 517.0, E)
    assert shorter * hinge == pytest.approx(back, rel=5e-3)


@pytest.mark.parametrize("student", range(8))
def test_the_key_of_the_lesson_on_ovals_springs_back_as_the_printed_number_says(root, student):
    """0.149·P·R³/(E·I) under P = σ·t²/R; the lesson's 1.8 is 12 × 0.149 to two digits."""
    exercise = exercises.load("oval-tubes", root)
    key = keys.load(exercise, root)
    n = own_numbers.draw(exercise, key, b"ring", f"bench-{student:02d}")
    right = own_numbers.answers(exercise, key, n)
    radius = (n["diameter"] - n["wall"]) / 2
    load = n["yield_stress"] * n["wall"] ** 2 / radius
    shortening = 0.149 * load * radius**3 / (205_000 * n["wall"] ** 3 / 12)
    assert right["spring"] == pytest.approx(
        shortening, rel=0.05 / 1.8
    )  # half the last digit of 1.8
    assert right["force"] == pytest.approx(load * n["pad"], rel=1e-12)
