"""PyNite (PyNiteFEA, a general frame program) as judge of the bending in the lesson on butt orientation.

The frame that the lessons work through, under the lesson's own hit, tubes of one wall: bending at both ends and between.
"""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import skeleton
from coursekit.book import worked_frame
from coursekit.figures import _hit
from coursekit.tubes import Round
from tests import statics_peers as peers


@pytest.fixture(scope="module")
def solved():
    build = worked_frame.build()
    start = worked_frame.facts()["down_tube.shell.long_point"]
    made = _hit.hit(_hit.Rig(build.frame, build.tubes, start), Round(31.8, 0.9))
    members = made.solution.model.members
    assert {(m.modulus, m.shear_modulus) for m in members.values()} == {(peers.E, peers.G)}
    nodes = {name: np.asarray(at, float) for name, at in made.nodes.items()}
    loads = {"front_axle": (-_hit.FORCE, 0, 0, 0, 0, 0)}
    return made, peers.by_pynite(nodes, members, skeleton.HELD, loads)


@pytest.mark.parametrize("tube", ["down_tube", "top_tube"])
def test_bending_along_the_tubes_of_the_hit(solved, tube):
    made, judge = solved
    length, member = made.length(tube), judge.members[tube]
    assert member.L() == pytest.approx(length, rel=1e-9)
    from_head = np.array([0.0, 100.0, 0.3 * length, 0.66 * length, length])
    theirs = np.array([member.moment("Mz", length - x, "Combo 1") for x in from_head]) / 1000
    ours = made.bending(tube, from_head)
    assert ours[0] > 0 > ours[-1]
    assert ours * np.sign(theirs[0]) == pytest.approx(theirs, rel=1e-6, abs=1e-6)


def test_the_hit_reaches_the_ground(solved):
    """The rear axle holds what the kerb pushes; the bending at the fork's foot is force times lever."""
    made, judge = solved
    held = [judge.nodes[name].RxnFX["Combo 1"] for name in ("right_axle", "left_axle")]
    assert sum(held) == pytest.approx(_hit.FORCE, rel=1e-9)
    assert made.solution.reactions["right_axle"][0] == pytest.approx(held[0], rel=1e-6)
