"""`statics` against two general frame programs on frames with no closed form."""

import numpy as np
import pytest

from coursekit.statics import MemberSection, solve
from tests import statics_peers as peers


@pytest.mark.parametrize(
    "tube", [None, MemberSection(120.0, 9e3, 2.5e4, 1.7e4)], ids=["round", "flat"]
)
@pytest.mark.parametrize("seed", range(4))
def test_space_frame_against_both(tube, seed):
    rng = np.random.default_rng(seed)
    joints = {n: np.add(p, rng.normal(0, 8, 3)) for n, p in peers.JOINTS.items()}
    loads = {n: rng.normal(0, 800, 6) * (1, 1, 1, 30, 30, 30) for n in ("bb", "high", "mid")}
    frame = peers.members(tube)
    s = solve(joints, frame, peers.HELD, loads)
    ours = np.array([[*s.moves[n], *np.radians(s.turns_deg[n])] for n in joints])
    np.testing.assert_allclose(
        ours, peers.by_calfem(joints, frame, loads=loads), rtol=1e-6, atol=1e-9
    )
    model = peers.by_pynite(joints, frame, loads=loads)
    for i, name in enumerate(joints):
        node = model.nodes[name]
        theirs = [getattr(node, w)["Combo 1"] for w in ("DX", "DY", "DZ", "RX", "RY", "RZ")]
        np.testing.assert_allclose(ours[i], theirs, rtol=1e-6, atol=1e-9)
    for name in peers.HELD:
        node = model.nodes[name]
        theirs = [getattr(node, f"Rxn{w}")["Combo 1"] for w in ("FX", "FY", "FZ", "MX", "MY", "MZ")]
        np.testing.assert_allclose(s.reactions[name], theirs, rtol=1e-6, atol=1e-3)
    for name in frame:
        theirs = np.ravel(model.members[name].f("Combo 1")).reshape(2, 6)
        np.testing.assert_allclose(s.end_forces[name], theirs, rtol=1e-6, atol=1e-2)
