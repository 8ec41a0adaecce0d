"""Fixtures of a lesson's tests; the module that asks names its lesson as `SLUG`."""

from __future__ import annotations

import pytest

from coursekit.classroom.bank import exercises, keys

from .printed import Printed


@pytest.fixture(scope="module")
def exercise(root, request):
    """The public half of the lesson's exercise."""
    return exercises.load(request.module.SLUG, root)


@pytest.fixture(scope="module")
def key(root, exercise):
    """The private half: answers, slips, hints."""
    return keys.load(exercise, root)


@pytest.fixture(scope="module")
def page(root, request):
    """The lesson's page as printed."""
    return Printed.of(root, request.module.SLUG)
