"""A class as a whole: each attack and mishap is tried alone and must come to what it says."""

from __future__ import annotations

import shutil

import pytest

from tests.classroom import small
from tests.tools import lack

from .class_attacks import ATTACKS, LACKS, Night
from .intake_attacks import tried

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    path = tmp_path_factory.mktemp("made")
    small.evening(path, 4)
    return path


@pytest.mark.parametrize("one", [pytest.param(a, id=f"{a.point}: {a.name}") for a in ATTACKS])
def test_an_attack_comes_to_nothing(one, made, tmp_path, monkeypatch):
    monkeypatch.setenv("COURSEKIT_ROOT", "")  # the attack sets it, and this puts it back
    shutil.copytree(made, tmp_path / "e")
    got = tried(one, tmp_path / "e", Night)
    if got.startswith(LACKS):
        lack(f"this machine can't try it: {one.name}")
    assert got == one.expected


def test_there_are_attacks_of_every_point():
    points = {a.point for a in ATTACKS}
    assert points == {
        "secret", "rights", "disk", "clock", "whole", "capitals", "crowd", "memory", "cage", "paths",
        "notebook", "settings", "left over",
    }  # fmt: skip
    assert len({a.name for a in ATTACKS}) == len(ATTACKS) > 60
