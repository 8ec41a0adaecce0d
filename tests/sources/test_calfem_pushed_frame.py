"""calfem-python (Lund University) and PyNiteFEA as judges of the frame in the lesson on strength.

The frame of all lessons with tubes of one wall, held and loaded as the lesson says: movements of every joint by calfem,
bending and push along the tubes by PyNite. A beam held at one end by calfem alone.
"""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import beams, skeleton
from coursekit.book import worked_frame
from coursekit.sheets import loaded
from coursekit.tubes import Round
from tests import statics_peers as peers

BUILD = worked_frame.build()
LOADS = loaded.loads(BUILD.frame)
PLAIN = {"top_tube": (Round(28.6, 0.8), 0.0), "down_tube": (Round(31.8, 0.9), 0.0)}
PLACES = np.array([0.0, 60.0, 190.8, 300.0, 500.0])


def six(load):
    return {name: np.r_[value, np.zeros(6 - len(value))] for name, value in load.items()}


@pytest.fixture(scope="module", params=LOADS)
def solved(request):
    made = loaded.under(BUILD, LOADS[request.param], PLAIN)
    nodes = {name: np.asarray(at, float) for name, at in made.nodes.items()}
    return made, nodes, six(LOADS[request.param])


def test_every_joint_moves_as_calfem_says(solved):
    made, nodes, load = solved
    theirs = peers.by_calfem(nodes, made.solution.model.members, skeleton.HELD, load)
    ours = np.array([np.r_[made.solution.moves[n], np.radians(made.solution.turns_deg[n])] for n in nodes])  # fmt: skip
    assert np.abs(ours).max() > 0.1
    np.testing.assert_allclose(ours, theirs, rtol=1e-6, atol=1e-8)


def test_bending_between_the_joints(solved):
    made, nodes, load = solved
    judge = peers.by_pynite(nodes, made.solution.model.members, skeleton.HELD, load)
    tube = judge.members["down_tube"]
    run = tube.L()
    theirs = np.array([tube.moment("Mz", run - x, "Combo 1") for x in PLACES]) / 1000
    ends = [tube.moment("Mz", x, "Combo 1") / 1000 for x in (run, 0.0)]
    assert beams.bending_at(ends[0], -ends[1], run, PLACES) == pytest.approx(theirs, abs=1e-6)
    pull, bending = made.inner("down_tube", PLACES)
    sign = np.sign(theirs[0]) * np.sign(bending[0])
    assert bending * sign == pytest.approx(theirs, rel=1e-6, abs=1e-6)
    assert np.abs(pull) == pytest.approx(abs(tube.axial(run / 2, "Combo 1")), rel=1e-6)


def test_sag_of_a_beam_held_at_one_end():
    tube = Round(28.6, 0.9)
    calfem = peers.calfem
    stiff = calfem.beam2e([0, 500], [0, 0], [peers.E, tube.area, tube.inertia])
    moved, _ = calfem.solveq(np.asarray(stiff), np.array([[0, 0, 0, 0, -60.0, 0]]).T, np.array([1, 2, 3]))  # fmt: skip
    assert beams.sag(60.0, 500.0, tube.inertia) == pytest.approx(-float(moved[4, 0]), rel=1e-9)
