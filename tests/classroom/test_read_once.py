"""Marking goes by the release that hand-out made, and reads each submission once."""

from __future__ import annotations

import pytest

from coursekit.classroom.handout import assignments, release
from coursekit.classroom.intake import first_look, safe_reading, submission
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import ClassError

from . import small
from .conftest import LIMITS


@pytest.fixture
def reads(monkeypatch):
    """The paths that were read of what was handed in, in order."""
    seen = []

    def read(path, most):
        seen.append(path)
        return safe_reading.read_regular(path, most)

    monkeypatch.setattr(submission, "read_regular", read)
    return seen


def test_new_work_is_read_once_from_the_first_look_to_the_record(evening, reads):
    place = small.hand_in(evening, "bench-05")
    (place / "trace.csv").write_text("1,2\n")
    new = first_look.new_work(evening.folder, ["small"])
    assert new.slugs == {"small"}
    told = {}
    mark_class.mark_class(
        evening, limits=LIMITS, new=new, progress=lambda s, what: told.update({s: what})
    )
    assert told["bench-05"] == "marked"
    mine = [p for p in reads if place in p.parents]
    assert sorted(p.name for p in mine) == ["small.ipynb", "timestamp.txt", "trace.csv"]
    assert len(reads) == len(set(reads))


def test_work_that_came_after_the_first_look_is_the_work_that_is_marked(evening):
    small.hand_in(evening, "bench-05", {"area": "area = 1"})
    new = first_look.new_work(evening.folder, ["small"])
    small.hand_in(evening, "bench-05")
    marked = mark_class.mark_class(evening, limits=LIMITS, new=new)
    assert {m.question: m.marks for m in marked[-1].marks}["area"] == 2


def test_more_than_memory_should_hold_is_looked_at_and_read_again(evening, monkeypatch):
    small.hand_in(evening, "bench-05", {"area": "import sympy\narea = side**2"})
    new = first_look.NewWork(_room=10)
    one = submission.Submission.read(evening.folder, "bench-05", "small")
    assert not new.keep(one)
    assert new.take(evening.folder, "bench-05", "small") == one
    monkeypatch.setattr(first_look, "NewWork", lambda: new)
    assert first_look.new_work(evening.folder, ["small"]).libraries == {"sympy"}
    assert new.to_run == {("bench-05", "small")}


def test_marking_makes_no_release(evening, monkeypatch):
    path = evening.folder.release("small") / "small.ipynb"
    before = path.stat().st_mtime_ns, small.tree(evening.folder.path / "source")
    key = evening.root / "solutions" / "small.py"
    key.write_text(key.read_text().replace("credit=0.25", "credit=0.75"))
    monkeypatch.setattr(release, "_generate", None)  # nbgrader is not asked
    mark_class.mark_class(assignments.assignment(evening.folder, "small", evening.root))
    assert before == (path.stat().st_mtime_ns, small.tree(evening.folder.path / "source"))


def test_work_that_was_never_handed_out_is_told_with_the_cure(evening):
    (evening.folder.release("small") / "small.ipynb").unlink()
    with pytest.raises(ClassError) as caught:
        mark_class.mark_class(evening, limits=LIMITS)
    assert str(caught.value) == (
        "small: an exercise must be handed out first; it is not. Run `coursekit hand-out small`."
    )


@pytest.mark.parametrize(
    ("old", "new", "cell"),
    [
        ("marks: 3\n", "marks: 4\n", "double"),
        ("## area", "## surface", "surface-text"),
        ("numbers:\n", "numbers:\n  edge: {say: an edge, unit: mm, from: [1, 2]}\n", "own-numbers"),
        ("kind: written\n", "options: {round: a, square: b}\n", "why-answer"),
    ],
)
def test_a_release_that_no_longer_fits_is_told_with_the_cure(evening, old, new, cell):
    path = evening.root / "exercises" / "small.md"
    text = path.read_text()
    assert text.count(old) == 1
    path.write_text(text.replace(old, new))
    changed = assignments.exercises.load("small", evening.root)
    with pytest.raises(ClassError) as caught:
        release.read(evening.folder, changed)
    assert str(caught.value).endswith(
        f"must fit the exercise as it is now; got another cell '{cell}'. "
        "Run `coursekit hand-out small`."
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("What is its area?", "What is the area of it?"),
        ("tolerance: 1\ngiven", "tolerance: 2\ngiven"),
    ],
)
def test_a_text_or_a_tolerance_may_change_after_hand_out(evening, old, new):
    path = evening.root / "exercises" / "small.md"
    text = path.read_text()
    assert text.count(old) == 1
    path.write_text(text.replace(old, new))
    changed = assignments.exercises.load("small", evening.root)
    assert release.read(evening.folder, changed).text
