"""Fixtures that more than one folder of tests uses."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """The course's own folder."""
    return ROOT
