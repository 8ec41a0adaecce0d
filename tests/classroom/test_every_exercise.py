"""What holds for every exercise of the course: sound numbers, distinct slips, full and zero marks."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.register.class_folder import load
from coursekit.classroom.running.plain_value import plain

from .conftest import LIMITS

SLUGS = exercises.slugs(Path(__file__).resolve().parents[2])
SECRET = b"every exercise"
QUICK = ("butt-finding", "frame-drawing", "miter-angles", "tack-order")  # every kind of answer


@pytest.fixture(scope="module", params=SLUGS)
def exercise(root, request):
    public = exercises.load(request.param, root)
    return public, keys.load(public, root)


def values(found):
    return {id: plain(list(v) if isinstance(v, tuple) else v) for id, v in found.items()}


def draws(quick, many):
    """Run a test with a few students, and in the slow run with many."""
    return pytest.mark.parametrize("students", [quick, pytest.param(many, marks=pytest.mark.slow)])


@draws(50, 1000)
def test_draws_lie_in_their_ranges_and_differ(exercise, students):
    public, private = exercise
    ranges = {q.name: set(q.values) for q in public.quantities}
    seen = {name: set() for name in ranges}
    for i in range(
        students
    ):  # `python -m tests.lessons.draws 10000` draws more, and says how sound
        for name, value in own_numbers.draw(public, private, SECRET, f"student-{i}").items():
            seen[name].add(value)
    for name, drawn in seen.items():
        if public.quantity(name).fact:
            continue  # a number of the frame; test_own_frame holds it against the frame's own
        assert drawn <= ranges[name]
        assert len(drawn) > 1, f"{name} is the same for everybody"


def test_an_exercise_is_whole(exercise):
    public, private = exercise
    assert len([q for q in public.graded if q.kind != "written"]) >= 6
    assert len(public.practice) >= 6
    assert [q for q in public.graded if q.kind == "written"], "no question to reflect on"
    assert [q for q in public.graded if q.method_marks is not None], "no chain"
    assert public.bench, "no bench record"
    assert public.cautions, "no cautions"
    assert private.notes, "no notes for the instructor"


@draws(10, 200)
def test_every_slip_is_recognised(exercise, students):
    """A slip that is the right answer on somebody's frame earns the marks; such frames are few."""
    public, private = exercise
    told_apart = 0
    for i in range(students):
        numbers = own_numbers.draw(public, private, SECRET, f"student-{i}")
        right = own_numbers.answers(public, private, numbers)
        full = mark(public, private, numbers, values(right))
        assert all(m.verdict == "right" for m in full if m.verdict != "blank"), numbers
        if public.frames and own_numbers.fault(public, private, numbers):
            continue
        told_apart += 1
        for question in public.graded:
            for slip in private.slips.get(question.id, ()):
                wrong = private.slip_value(slip, question, numbers, right)
                marks = mark(public, private, numbers, values(right | {question.id: wrong}))
                found = next(m for m in marks if m.question == question.id)
                assert found.marks < found.out_of, (question.id, slip.name, numbers)
                assert (found.verdict, found.slip) == ("slip", slip.name), (
                    question.id,
                    found,
                    numbers,
                )
    assert told_apart > students / 2


@pytest.mark.parametrize(
    "slug", [s if s in QUICK else pytest.param(s, marks=pytest.mark.slow) for s in SLUGS]
)
def test_through_runner_and_gradebook(root, handed_out, tmp_path, slug):
    """Right scores full, blank scores nothing, a carried slip keeps the method's marks."""
    cases = {
        "bench-01": invented_class.right_cells,
        "bench-06": invented_class.CASES["bench-06"].write,
        "bench-07": invented_class.CASES["bench-07"].write,
    }
    shutil.copytree(handed_out(slug).folder.path, tmp_path / "class")
    folder = load(tmp_path / "class")
    work = assignments.assignment(folder, slug, root)
    import nbformat

    for student, write in cases.items():
        bundle = folder.bundle(student, slug) / f"{slug}.ipynb"
        notebook = invented_class.filled(nbformat.read(bundle, as_version=4), write(work, student))
        folder.submitted(student, slug).mkdir(parents=True)
        nbformat.write(notebook, folder.submitted(student, slug) / f"{slug}.ipynb")
    mark_class.mark_class(work, limits=LIMITS)
    with gradebook(folder) as book:
        got = {s: sum(marks.values()) for s, marks in scores(book, slug).items()}
    machine = sum(q.marks for q in work.exercise.graded if q.kind != "written")
    assert got["bench-01"] == pytest.approx(machine)
    assert got["bench-07"] == 0
    carried = mark_class.recorded(folder, "bench-06", slug).marks
    assert "carried" in {m.verdict for m in carried}
    assert 0 < got["bench-06"] < machine
