"""What the desk's tests share."""

from __future__ import annotations

import pytest

from ..tools import need


@pytest.fixture(autouse=True)
def own_state(tmp_path, monkeypatch):
    """Keep what the desk remembers of one user out of another test, and out of the user's own."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture(scope="module")
def browser():
    """Chromium, for the pages' scripts and for what axe-core finds."""
    chromium = need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        flags = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        one = play.chromium.launch(executable_path=chromium, args=flags)
        yield one
        one.close()
