"""Fixtures and settings that more than one folder of tests uses."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

from coursekit import light_start

# The tests start Python hundreds of times. Without its bytecode each start compiles everything again,
# so it is kept even where the environment says otherwise.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
os.environ["LC_ALL"] = "C.UTF-8"  # the names of days and months in English, whoever runs the tests
light_start.imports()  # as every command does, and before anything else is imported
light_start.one_thread()

# No deadline, because a busy machine must not turn a test red.
settings.register_profile("house", deadline=None)
# CI draws the same examples each time, so that a commit is judged by what is in it.
settings.register_profile("ci", deadline=None, derandomize=True, database=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "house"))

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """The course's own folder."""
    return ROOT


Once = Callable[[str, Callable[[Path], None]], Path]


@pytest.fixture(scope="session")
def once(tmp_path_factory: pytest.TempPathFactory) -> Once:
    """Return a function that fills a folder once in a run, whichever worker asks first, and returns it.

    The other workers wait until the folder is there, and read it. Whoever wants to change something
    in it takes a copy.
    """
    base = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        base = base.parent  # each worker has a folder of its own in the run's

    def filled(name: str, fill: Callable[[Path], None]) -> Path:
        folder, done = base / "once" / name, base / "once" / f"{name}.done"
        folder.parent.mkdir(exist_ok=True)
        with FileLock(f"{folder}.lock"):
            if not done.exists():
                shutil.rmtree(folder, ignore_errors=True)
                folder.mkdir()
                fill(folder)
                done.touch()
        return folder

    return filled
