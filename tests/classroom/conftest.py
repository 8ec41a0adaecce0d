"""Classes that went once through the real runner and gradebook, for the tests that read them."""

from __future__ import annotations

import shutil

import pytest

from coursekit.classroom.answer_page import pages
from coursekit.classroom.bank.notebooks import TEXT_STUB
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import load
from coursekit.classroom.report import feedback
from coursekit.classroom.running.runner import Limits

from . import small

SLUG = "miter-angles"
LIMITS = Limits(cell=2.0, notebook=60.0)  # of processor time; only an endless loop takes it


@pytest.fixture(scope="session")
def ran(root, once, tmp_path_factory):
    """The demo class's work, handed out, handed in, marked, with feedback."""

    def run(path):
        folder = invented_class.open_demo(path)
        work = assignments.assignment(folder, SLUG, root)
        assignments.hand_out(work)
        invented_class.hand_in(work)
        mark_class.mark_class(work, limits=LIMITS)
        feedback.give_feedback(folder, SLUG)

    copy = tmp_path_factory.mktemp("demo") / "class"
    shutil.copytree(once("demo", run), copy)
    return assignments.assignment(load(copy), SLUG, root)


@pytest.fixture(scope="session")
def handed_out(root, once):
    """Return a function that gives the demo class's first seven with one lesson handed out, to read only."""

    def of(slug):
        def hand_out(path):
            work = assignments.assignment(invented_class.open_demo(path, 7), slug, root)
            assignments.hand_out(work)
            pages.make(work, lesson=True)

        return assignments.assignment(load(once(f"handed-out-{slug}", hand_out)), slug, root)

    return of


def mark_evening(path):
    """Hand the small exercise out to a class of five below `path`, hand work in, mark it."""
    work = small.evening(path)
    small.hand_in(work, "bench-01")
    small.hand_in(work, "bench-02", {"area": "area = 4 * side", "double": "double = 2 * area"})
    small.hand_in(work, "bench-03", {"area": "area = sid**2"})
    small.hand_in(work, "bench-04", {"why": TEXT_STUB, "area": "area = None"})
    mark_class.mark_class(work, limits=LIMITS)


@pytest.fixture
def evening(once, tmp_path):
    """The small exercise in a class of five, handed out, handed in and marked: a copy of a test's own."""
    shutil.copytree(once("evening", mark_evening), tmp_path / "evening")
    note_course(load(tmp_path / "evening" / "class"), tmp_path / "evening" / "course")
    return small.opened(tmp_path / "evening")
