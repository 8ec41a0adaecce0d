"""Programs of the system that some tests need."""

from __future__ import annotations

import os
import shutil

import pytest

REQUIRED = bool(os.environ.get("CI") or os.environ.get("COURSEKIT_REQUIRE_TOOLS"))


def need(tool: str) -> str:
    """Return the path of `tool`; without it the test is skipped, or fails where all must be there."""
    path = shutil.which(tool)
    if path is None:
        lack(f"{tool} is not installed")
    assert path
    return path


def lack(what: str) -> None:
    """Skip the test for want of `what`, or fail it where nothing may be missing."""
    if REQUIRED:
        pytest.fail(f"No test may be skipped here, but {what}.")
    pytest.skip(what)
