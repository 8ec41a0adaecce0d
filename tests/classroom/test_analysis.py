"""The item analysis of the demo class, read from its gradebook and records."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner

from coursekit import cli
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import Student, open_class
from coursekit.classroom.report import item_analysis
from tests.sources.test_cronbach_alpha import hoyt

from .conftest import SLUG


@pytest.fixture(scope="session")
def found(ran):
    return item_analysis.analyse(ran)


@pytest.fixture(scope="session")
def got(ran):
    with gradebook(ran.folder) as book:
        return scores(book, SLUG)


def test_difficulty_is_the_mean_share_of_the_gradebook(ran, found, got):
    for item in found.items:
        if item.question != "gap":
            mean = np.mean([marks[item.question] for marks in got.values()])
            assert item.difficulty == pytest.approx(mean / item.out_of)
            assert item.marked == 12


def test_discrimination_is_numpys_correlation_with_the_rest(found, got):
    sure = [i.question for i in found.items if i.question != "gap"]
    marks = np.array([[m[q] for q in sure] for m in got.values()])
    for column, item in enumerate(i for i in found.items if i.question != "gap"):
        rest = np.delete(marks, column, axis=1).sum(axis=1)
        r = np.corrcoef(marks[:, column], rest)[0, 1]
        assert item.discrimination == pytest.approx(r, abs=1e-9)


def test_alpha_is_that_of_an_analysis_of_variance(found, got):
    sure = [i.question for i in found.items if i.question != "gap"]
    alpha = found.alpha
    expected = hoyt([[m[q] for q in sure] for m in got.values()])
    assert (alpha.value, alpha.low, alpha.high) == pytest.approx(expected, rel=1e-8)


def test_a_question_that_waits_for_a_person_is_left_out(found):
    (gap,) = (i for i in found.items if i.question == "gap")
    assert found.waiting == ("gap",)
    # two handed in nothing to read: the blank one and the broken file
    assert (gap.marked, gap.difficulty) == (2, 0.0)
    assert np.isnan(gap.discrimination)


def test_slips_are_counted_with_their_hints(ran, found):
    counted = Counter()
    for student in ran.folder.students:
        for mark in mark_class.recorded(ran.folder, student.id, SLUG).marks:
            counted[mark.question, mark.slip] += bool(mark.slip)
    for item in found.items:
        assert [s.students for s in item.slips] == sorted(
            (s.students for s in item.slips), reverse=True
        )
        for slip in item.slips:
            assert slip.students == counted[item.question, slip.name] > 0
            assert slip.hint in {s.hint for s in ran.key.slips[item.question]}


def test_who_needs_help(found, got, ran):
    total = sum(q.marks for q in ran.exercise.graded if q.kind != "written")
    low = {s for s, marks in got.items() if sum(marks.values()) < total / 2}
    assert {need.student for need in found.needs} == low
    assert list(found.needs) == sorted(found.needs, key=lambda n: (n.share, n.student))
    why = {need.student: need.why for need in found.needs}
    assert why["bench-07"].startswith("nothing to mark: ")
    assert why["bench-11"] == (
        "nothing to mark: The file is not a notebook that can be read. Hand it in again."
    )
    (need,) = (need for need in found.needs if need.student == "bench-02")
    lost = {q.id: q.marks - got["bench-02"][q.id] for q in ran.exercise.graded if q.kind != "written"}  # fmt: skip
    assert [lost[q] for q in need.lost] == sorted(lost.values(), reverse=True)[:3]
    assert need.words() == f"most lost at {', '.join(need.lost)}"
    titles = {q.id: q.title for q in ran.exercise.graded}
    assert found.titles == titles
    first, second, third = (titles[q] for q in need.lost)
    assert need.words(titles) == f"most lost at “{first}”, “{second}”, “{third}”"
    assert replace(need, blank=1, lost=("gap",)).words() == "1 blank; most lost at gap"
    assert item_analysis.analyse(ran, 0.0).needs == ()


def test_a_mark_given_by_a_person_counts(ran, tmp_path):
    import shutil

    shutil.copytree(ran.folder.path, tmp_path / "class")
    folder = open_class(tmp_path / "class", ran.folder.students)
    work = assignments.Assignment(folder, ran.exercise, ran.key)
    with gradebook(folder) as book:
        for student in ran.folder.students:
            book.find_grade("gap", SLUG, SLUG, student.id).manual_score = 1.5
        book.db.commit()
    found = item_analysis.analyse(work)
    (gap,) = (i for i in found.items if i.question == "gap")
    assert (gap.marked, gap.difficulty, found.waiting) == (12, 0.75, ())


def test_nobody_and_one_student(ran, tmp_path):
    folder = open_class(tmp_path / "class", [Student("bench-01", ""), Student("bench-02", "")])
    work = assignments.Assignment(folder, ran.exercise, ran.key)
    nobody = item_analysis.analyse(work)
    assert (nobody.handed_in, nobody.missing) == (0, ("bench-01", "bench-02"))
    assignments.hand_out(work)
    import shutil

    shutil.copytree(folder.bundle("bench-01", SLUG), folder.submitted("bench-01", SLUG))
    mark_class.mark_class(work)
    one = item_analysis.analyse(work)
    assert (one.handed_in, one.missing) == (1, ("bench-02",))
    assert np.isnan(one.alpha.value)
    assert {i.difficulty for i in one.items} == {0.0}
    assert all(np.isnan(i.discrimination) for i in one.items)
    for found in (nobody, one):
        assert "NaN" not in json.dumps(found.as_json())


def run(ran, root, monkeypatch, *more):
    monkeypatch.chdir(root)
    done = CliRunner().invoke(
        cli.main, ["items", SLUG, "--class", str(ran.folder.path), *more], env={"COLUMNS": "120"}
    )
    assert done.exit_code == 0, done.output
    return done.output


def test_the_command_shows_tables(ran, root, monkeypatch, found):
    text = run(ran, root, monkeypatch)
    for words in (
        "Handed in: 12. Missing: nobody.",
        "Waiting for you",
        "Setting the mill",
        "Bench 7",
    ):
        assert words in text
    assert f"can be trusted: {found.alpha.value:.2f} of 1 (Cronbach's alpha" in text


def test_the_command_writes_json(ran, root, monkeypatch, found):
    assert json.loads(run(ran, root, monkeypatch, "--json")) == found.as_json()
