"""The whole way, through the real runner and nbgrader's own gradebook."""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
import sys
from collections import Counter

import nbformat
import pytest

from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import RECORD, Student, open_class, write_text
from coursekit.classroom.report import feedback

from .conftest import LIMITS, SLUG


def got(work):
    with gradebook(work.folder) as book:
        return scores(book, SLUG)


def record(work, student):
    return {m.question: m for m in mark_class.recorded(work.folder, student, SLUG).marks}


def machine_marks(work):
    return {q.id: q.marks for q in work.exercise.graded if q.kind != "written"}


def test_an_untouched_release_scores_nothing(ran):
    assert set(got(ran)["bench-07"].values()) == {0.0}


def test_all_right_scores_full(ran):
    assert {k: v for k, v in got(ran)["bench-01"].items() if k != "gap"} == machine_marks(ran)
    assert record(ran, "bench-01")["gap"].verdict == "to-read"


@pytest.mark.parametrize("turn", [0, 1, 2, 3])
def test_every_slip_scores_less_than_full_and_names_itself(ran, turn):
    student = f"bench-{turn + 2:02d}"
    marks, named = got(ran)[student], record(ran, student)
    slipped = {q: s[turn] for q, s in ran.key.slips.items() if turn < len(s) and q in marks}
    assert slipped
    for question, slip in slipped.items():
        assert marks[question] < machine_marks(ran)[question]
        assert (named[question].verdict, named[question].slip) == ("slip", slip.name)
        assert named[question].hint == slip.hint


def test_every_slip_of_every_graded_question_is_among_the_demo(ran):
    graded = {q.id for q in ran.exercise.graded}
    assert max(len(s) for q, s in ran.key.slips.items() if q in graded) <= 4


def test_carry_forward_earns_the_method_marks(ran):
    named = record(ran, "bench-06")
    assert named["acute-side"].verdict == "slip"
    assert named["underside"].verdict == "carried"
    assert got(ran)["bench-06"]["underside"] == ran.exercise.question("underside").method_marks == 2


def test_wrong_unit_earns_half(ran):
    inches = {q.id for q in ran.exercise.graded if q.unit == "mm" and q.kind == "number"}
    for question in inches:
        assert got(ran)["bench-08"][question] == machine_marks(ran)[question] / 2
        assert record(ran, "bench-08")[question].verdict == "unit"


@pytest.mark.parametrize(
    ("student", "words"),
    [("bench-09", "NameError"), ("bench-10", "ran too long")],
)
def test_a_dead_cell_costs_its_own_marks_only(ran, student, words):
    marks, named = got(ran)[student], record(ran, student)
    assert marks["mill-setting"] == 0
    assert (named["mill-setting"].verdict, words in named["mill-setting"].reason) == (
        "stopped",
        True,
    )
    rest = {k: v for k, v in machine_marks(ran).items() if k != "mill-setting"}
    assert {k: marks[k] for k in rest} == rest


def test_a_broken_file_is_told_and_the_class_goes_on(ran):
    assert sum(got(ran)["bench-11"].values()) == 0
    reasons = {m.reason for m in record(ran, "bench-11").values()}
    assert "The file is not a notebook that can be read. Hand it in again." in reasons
    assert len(got(ran)) == 12


def test_values_written_by_hand_and_a_list_right_in_part(ran):
    named = record(ran, "bench-12")
    others = sum(q.kind != "written" for q in ran.exercise.graded) - 1
    assert Counter(m.verdict for m in named.values()) == {"right": others, "part": 1, "to-read": 1}
    assert got(ran)["bench-12"]["ordinates"] == pytest.approx(4 * 4 / 5)


def test_the_source_notebook_scores_full_as_its_own_solution(ran, tmp_path, root):
    folder = open_class(tmp_path / "one", [Student(assignments.INSTRUCTOR, "Instructor")])
    work = assignments.assignment(folder, SLUG, root)
    assignments.hand_out(work)
    source = folder.source(SLUG) / f"{SLUG}.ipynb"
    (folder.submitted(assignments.INSTRUCTOR, SLUG)).mkdir(parents=True)
    shutil.copy(source, folder.submitted(assignments.INSTRUCTOR, SLUG))
    mark_class.mark_class(work, limits=LIMITS)
    marks = got(work)[assignments.INSTRUCTOR]
    assert {k: v for k, v in marks.items() if k != "gap"} == machine_marks(work)


def tree(folder):
    return {
        p: p.stat().st_mtime_ns
        for p in folder.rglob("*")
        if p.is_file() and ".db" not in p.name and p.name != "lock"
    }


def test_marking_again_changes_nothing(ran):
    before, marks = tree(ran.folder.path), got(ran)
    told = []
    assignments.hand_out(ran)
    mark_class.mark_class(ran, limits=LIMITS, progress=lambda s, what: told.append(what))
    feedback.give_feedback(ran.folder, SLUG, lambda s, what: told.append(what))
    assert set(told) == {"unchanged"}
    assert tree(ran.folder.path) == before
    assert got(ran) == marks


@pytest.fixture
def copied(ran, tmp_path):
    """A copy of the class folder that a test may change."""
    shutil.copytree(ran.folder.path, tmp_path / "class")
    folder = open_class(tmp_path / "class", ran.folder.students)
    return assignments.Assignment(folder, ran.exercise, ran.key)


def test_a_mark_given_by_a_person_stays(copied):
    with gradebook(copied.folder) as book:
        book.find_grade("gap", SLUG, SLUG, "bench-01").manual_score = 1.5
        book.find_grade("cutter", SLUG, SLUG, "bench-02").manual_score = 0.5
        book.db.commit()
    for student in ("bench-01", "bench-02"):
        (copied.folder.autograded(student, SLUG) / RECORD).unlink()
    told = {}
    mark_class.mark_class(copied, limits=LIMITS, progress=lambda s, what: told.update({s: what}))
    assert {s for s, what in told.items() if what == "marked"} == {"bench-01", "bench-02"}
    assert got(copied)["bench-01"]["gap"] == 1.5
    assert got(copied)["bench-02"]["cutter"] == 0.5
    with gradebook(copied.folder) as book:
        assert book.find_grade("cutter", SLUG, SLUG, "bench-02").needs_manual_grade


def test_interrupted_marking_goes_on(copied):
    before = got(copied)
    shutil.rmtree(copied.folder.path / "autograded")
    (copied.folder.path / "gradebook.db").unlink()
    shutil.rmtree(copied.folder.path / ".made")

    class StopHere(Exception):  # noqa: N818
        pass

    def stop_at_the_third(student, what, seen=[]):  # noqa: B006
        seen.append(student)
        if len(seen) == 3:
            raise StopHere

    with pytest.raises(StopHere):
        mark_class.mark_class(copied, limits=LIMITS, progress=stop_at_the_third)
    assert 0 < len(got(copied)) < 12
    mark_class.mark_class(copied, limits=LIMITS)
    assert got(copied) == before


def test_work_handed_in_again_is_marked_again(copied):
    path = copied.folder.submitted("bench-07", SLUG) / f"{SLUG}.ipynb"
    notebook = nbformat.read(path, as_version=4)
    cells = invented_class.right_cells(copied, "bench-07")
    write_text(path, nbformat.writes(invented_class.filled(notebook, cells)))
    mark_class.mark_class(copied, limits=LIMITS)
    assert sum(got(copied)["bench-07"].values()) == sum(machine_marks(copied).values())


def test_numbers_come_from_the_roster_not_from_the_notebook(copied):
    """A student who hands in another's notebook is marked on the student's own numbers."""
    theirs = copied.folder.submitted("bench-01", SLUG)
    mine = copied.folder.submitted("bench-07", SLUG)
    shutil.copy(theirs / f"{SLUG}.ipynb", mine / f"{SLUG}.ipynb")
    shutil.copy(copied.folder.bundle("bench-01", SLUG) / "numbers.json", mine)
    mark_class.mark_class(copied, limits=LIMITS)
    assert sum(got(copied)["bench-07"].values()) < sum(machine_marks(copied).values()) / 2


def test_late_work_is_late_in_the_gradebook(copied):
    from datetime import datetime

    write_text(
        copied.folder.submitted("bench-01", SLUG) / "timestamp.txt", "2026-02-10 12:00:00 UTC\n"
    )
    with gradebook(copied.folder) as book:
        book.update_or_create_assignment(SLUG, duedate="2026-02-09 12:00:00 UTC")
    mark_class.mark_class(copied, limits=LIMITS)
    with gradebook(copied.folder) as book:
        late = book.find_submission(SLUG, "bench-01")
        assert late.timestamp == datetime(2026, 2, 10, 12)
        assert late.total_seconds_late == 86400


def run_nbgrader(folder, *words):
    command = [sys.executable, "-m", "nbgrader", *words]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=1800)
    assert done.returncode == 0, done.stderr
    return done


def test_nbgrader_export_reads_the_gradebook(copied):
    run_nbgrader(copied.folder.path, "export", "--to", "grades.csv")
    with (copied.folder.path / "grades.csv").open(newline="") as file:
        rows = {row["student_id"]: row for row in csv.DictReader(file)}
    marks = got(copied)
    assert {s: float(row["score"]) for s, row in rows.items()} == pytest.approx(
        {s: sum(m.values()) for s, m in marks.items()}
    )
    assert {float(row["max_score"]) for row in rows.values()} == {copied.exercise.marks}


def test_nbgraders_own_views_read_the_gradebook(ran):
    from nbgrader.apps import NbGraderAPI

    from coursekit.classroom.gradebook.nbgrader_settings import nbgrader_config

    api = NbGraderAPI(config=nbgrader_config(ran.folder))
    rows = {row["student"]: row for row in api.get_submissions(SLUG)}
    assert {row["autograded"] for row in rows.values()} == {True}
    assert rows["bench-01"]["score"] == sum(machine_marks(ran).values())
    assert rows["bench-01"]["needs_manual_grade"] is True
    assert rows["bench-07"]["needs_manual_grade"] is False
    assert len(api.get_notebook_submissions(SLUG, SLUG)) == 12


def test_marked_notebook_is_valid_and_shows_each_mark(ran):
    for student in ran.folder.students:
        path = ran.folder.autograded(student.id, SLUG) / f"{SLUG}.ipynb"
        notebook = nbformat.read(path, as_version=4)
        nbformat.validate(notebook)
        shown = {c.id: c.outputs for c in notebook.cells if c.id in machine_marks(ran)}
        for question, outputs in shown.items():
            (output,) = outputs
            assert float(output["data"]["text/plain"]) == got(ran)[student.id][question]


def test_feedback_shows_marks_and_hints_and_none_of_the_key(ran):
    page = (ran.folder.feedback("bench-02", SLUG) / f"{SLUG}.html").read_text(encoding="utf-8")
    assert "You set the angle of the joint itself." in page
    assert "BEGIN HIDDEN" not in page
    assert "coursekit/classroom" not in page
    assert str(ran.folder.path) not in page


def test_marks_record_is_readable_text(ran):
    path = ran.folder.autograded("bench-08", SLUG) / RECORD
    marks = json.loads(path.read_text(encoding="utf-8"))["marks"]
    assert "Right in inches, but mm were asked." in [m["reason"] for m in marks]
