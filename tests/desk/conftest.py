"""What the desk's tests share."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def own_state(tmp_path, monkeypatch):
    """Keep what the desk remembers of one user out of another test, and out of the user's own."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
