"""One demo class, run once through the real runner and gradebook, for the tests that read it."""

from __future__ import annotations

import pytest

from coursekit.classroom import demo, feedback, handout, marking
from coursekit.classroom.runner import Limits

SLUG = "miter-angles"
LIMITS = Limits(cell=2.0, notebook=30.0)


@pytest.fixture(scope="session")
def ran(root, tmp_path_factory):
    """The demo class's work, handed out, handed in, marked, with feedback."""
    folder = demo.open_demo(tmp_path_factory.mktemp("demo"))
    work = handout.assignment(folder, SLUG, root)
    handout.hand_out(work)
    demo.hand_in(work)
    marking.mark_class(work, limits=LIMITS)
    feedback.give_feedback(folder, SLUG)
    return work
