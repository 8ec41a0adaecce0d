"""Speed of one space frame of twenty members and of many, beside two general frame programs."""

import numpy as np
import pytest

from coursekit.statics import solve
from tests import statics_peers as peers

MANY, FEW = 1000, 20


def shaken(count):
    rng = np.random.default_rng(7)
    return {n: np.array(p, float) + rng.normal(0, 3, (count, 3)) for n, p in peers.JOINTS.items()}


@pytest.mark.benchmark(group="one frame of twenty members")
def test_one_frame(benchmark):
    s = benchmark(solve, peers.JOINTS, peers.members(), peers.HELD, peers.LOADS)
    assert s.moves["bb"][1] < 0


@pytest.mark.benchmark(group="one frame of twenty members")
def test_one_frame_calfem(benchmark):
    moved = benchmark(peers.by_calfem, peers.JOINTS, peers.members())
    assert moved[0, 1] < 0


@pytest.mark.benchmark(group="one frame of twenty members")
def test_one_frame_pynite(benchmark):
    model = benchmark(peers.by_pynite, peers.JOINTS, peers.members())
    assert model.nodes["bb"].DY["Combo 1"] < 0


@pytest.mark.benchmark(group="a thousand frames (peers: twenty)")
def test_thousand_frames(benchmark):
    s = benchmark(solve, shaken(MANY), peers.members(), peers.HELD, peers.LOADS)
    assert s.moves["bb"].shape == (MANY, 3)
    benchmark.extra_info["frames"] = MANY


@pytest.mark.benchmark(group="a thousand frames (peers: twenty)")
@pytest.mark.parametrize("peer", [peers.by_calfem, peers.by_pynite])
def test_twenty_frames_by_a_peer(benchmark, peer):
    joints, frame = shaken(FEW), peers.members()
    cases = [{n: p[i] for n, p in joints.items()} for i in range(FEW)]
    assert len(benchmark(lambda: [peer(case, frame) for case in cases])) == FEW
    benchmark.extra_info["frames"] = FEW
