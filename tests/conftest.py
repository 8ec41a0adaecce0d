"""Fixtures that more than one folder of tests uses."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# A loaded machine must not turn a test red, so no deadline; the count is set for mutation runs.
settings.register_profile(
    "house", deadline=None, max_examples=int(os.environ.get("HYPOTHESIS_MAX_EXAMPLES", "100"))
)
settings.load_profile("house")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """The course's own folder."""
    return ROOT
