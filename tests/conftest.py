"""Fixtures that more than one folder of tests uses."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import Phase, settings

# A loaded machine must not turn a test red, so no deadline. `tests/mutate.py` asks for the other
# profile: few examples, always the same, and no search for the simplest one that fails.
settings.register_profile("house", deadline=None)
settings.register_profile(
    "mutation",
    deadline=None,
    max_examples=20,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    report_multiple_bugs=False,
)
# CI draws the same examples each time, so that a commit is judged by what is in it.
settings.register_profile("ci", deadline=None, derandomize=True, database=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "house"))

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """The course's own folder."""
    return ROOT
