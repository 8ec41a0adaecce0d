"""The examples in the docstrings of the package say what is true.

Each module is imported in its own test, so that collecting the tests imports none of them.
"""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest

from tests.conftest import ROOT

FLAGS = doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in (ROOT / "coursekit").rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    found = doctest.testmod(import_module(name.removesuffix(".__init__")), optionflags=FLAGS)
    assert found.attempted, f"{name} shows >>> but doctest finds no example in it"
    assert not found.failed
