"""Fixtures and settings that more than one folder of tests uses."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

from coursekit.commands import skip_imports

# The tests start Python hundreds of times. Without its bytecode each start compiles everything again,
# so it is kept even where the environment says otherwise.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
skip_imports.imports()  # as every command does, and before anything else is imported

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
