"""A class's own tolerance and marks: used everywhere, proved sound, never in the course's files."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from coursekit.classroom.answer_page import pages
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import out_of, scores
from coursekit.classroom.handout import assignments, worksheets
from coursekit.classroom.marking import by_hand, class_question, mark_class
from coursekit.classroom.register import class_questions
from coursekit.classroom.register.class_folder import ClassError, load
from coursekit.classroom.report import class_check, feedback, overview
from coursekit.cli import main

from . import small
from .conftest import LIMITS

EVERYBODY = [f"bench-0{i}" for i in range(1, 6)]


@pytest.fixture
def change(evening):
    """Return a function that changes a question of the class, as the command does."""

    def done(question, **terms):
        return class_question.change(
            load(evening.folder.path), "small", question, evening.root, **terms
        )

    return done


@pytest.fixture
def again(evening):
    """Return a function that opens the class anew."""
    return lambda: small.opened(evening.folder.path.parent)


def marked(work):
    """What marking again gives: student → question → marks in the gradebook."""
    mark_class.mark_class(work, limits=LIMITS)
    with reading(work.folder) as book:
        return scores(book, "small")


def words(work):
    return {
        s: place.word for s, place in overview.overview(work.folder).lessons[0].students.items()
    }


def test_a_wider_tolerance_is_this_class_s_alone_and_asks_for_marking_again(evening, change, again):
    numbers = {s: evening.numbers(s) for s in EVERYBODY}
    course = small.tree(evening.root)
    near = evening.numbers("bench-01")["side"] ** 2 + 1.4
    small.hand_in(evening, "bench-01", {"area": f"area = {near!r}"})
    assert marked(evening)["bench-01"]["area"] == 0
    (before, after) = (words(evening), change("area", tolerance="1.5"))
    assert (after.course.tolerance, after.here.tolerance, after.changed) == (1.0, 1.5, True)
    assert after.to_do == ("Work that is marked must be marked again: `coursekit mark small`.",)
    work = again()
    assert set(words(work).values()) == {"to mark again", "handed out"} != set(before.values())
    (told,) = [
        f.said for f in class_check.check(work.folder, work.root).findings if f.about == "stale"
    ]
    assert told.startswith("small: bench-01, bench-02, bench-03 and 1 more are not marked yet.")
    assert marked(work)["bench-01"]["area"] == 2
    assert "to mark again" not in words(work).values()
    assert not class_question.asked(again())[0].to_do
    # nobody's numbers have changed, and nothing of the course has
    assert {s: work.numbers(s) for s in EVERYBODY} == numbers
    assert small.tree(evening.root) == course
    back = class_question.as_in_course(load(work.folder.path), "small", "area", work.root)
    assert not back.changed
    assert back.to_do == after.to_do
    assert words(again())["bench-01"] == "to mark again"
    assert marked(again())["bench-01"]["area"] == 0
    assert "to mark again" not in words(again()).values()


def test_other_marks_are_everywhere_after_a_hand_out(evening, change, again):
    assert change("why", marks=3).to_do == (
        "The marks stand in what was handed out: run `coursekit hand-out small` again. Copies that "
        "students have already stay good.",
        "Work that is marked must be marked again: `coursekit mark small`.",
    )
    work = again()
    with pytest.raises(
        ClassError, match=r"the release must fit the exercise.*Run `coursekit hand-out"
    ):
        mark_class.mark_class(work, limits=LIMITS)
    assignments.hand_out(work)
    mark_class.mark_class(work, limits=LIMITS)
    with gradebook(work.folder) as book:  # nbgrader's own words
        assert book.find_graded_cell("why", "small", "small").max_score == 3
        assert book.find_submission("small", "bench-01").max_score == 9
    with reading(work.folder) as book:
        assert out_of(book, "small") == 9
    (bundle,) = work.folder.bundle("bench-01", "small").glob("*.ipynb")
    assert "## 4. why (3 marks)" in bundle.read_text(encoding="utf-8")
    assert [t.marks for t in worksheets.body(work.exercise).tasks] == [2, 3, 1, 3]
    assert [worksheets._row(work.exercise, work.key, q).marks for q in work.exercise.graded] == [
        2, 3, 1, 3
    ]  # fmt: skip
    pages.make(work, lesson=False)
    page = work.folder.bundle("bench-01", "small") / "small-bench-01.html"
    assert "3 marks" in page.read_text(encoding="utf-8")
    by_hand.give(work, "bench-01", "why", 3)
    (made, *_) = feedback.give_feedback(work.folder, "small", root=work.root)
    assert "9 of 9" in made.read_text(encoding="utf-8")


def test_more_marks_leave_the_method_its_share_and_the_machine_marks_by_them(
    evening, change, again
):
    change("double", marks=4.5)
    work = again()
    assert work.exercise.question("double").method_marks == 3  # 2 of 3 in the course
    assignments.hand_out(work)
    assert marked(work)["bench-02"]["double"] == 3  # carried on from a wrong area


# Each is refused for its reason, and nothing is changed. The side is 10 to 30 mm, the area its square.
UNSOUND = [
    ("area", {"tolerance": "6"}, "from a fifth to five times the course's, which allows 1 mm here"),
    ("area", {"tolerance": "0.1"}, "from a fifth to five times"),
    ("area", {"tolerance": "0"}, "a `unit` and a `tolerance` above 0"),
    ("area", {"tolerance": "nan"}, "`tolerance` must be a number from 0 up; got nan"),
    ("area", {"tolerance": "wide"}, "`tolerance` must be a number from 0 up; got 'wide'"),
    ("shape", {"tolerance": "1"}, "only numbers have a tolerance; got one for a question of kind"),
    ("area", {"marks": 0}, "marks must lie from 0.5 to 20 in steps of 0.5; got 0"),
    ("area", {"marks": 20.5}, "marks must lie from 0.5 to 20"),
    ("area", {"marks": 1.3}, "marks must lie from 0.5 to 20"),
    ("area", {"marks": float("nan")}, "marks must lie from 0.5 to 20"),
    ("shape", {"marks": 8}, "a sheet without work must earn at most"),
    ("aera", {"marks": 1}, "a question to change must be one of the lesson's; got 'aera'"),
]  # fmt: skip


@pytest.mark.parametrize("question, terms, said", UNSOUND)
def test_what_is_not_sound_is_refused_and_changes_nothing(evening, change, question, terms, said):
    before = small.tree(evening.folder.path)
    with pytest.raises(ValueError, match=said):
        change(question, **terms)
    after = small.tree(evening.folder.path)
    assert {k: v for k, v in after.items() if before.get(k) != v} == {}


TILT = """\
---
title: Tilt
numbers:
  lean: {say: lean, unit: deg, low: 1, high: 6, step: 0.5}
---

One.

## lean-back
marks: 2
unit: deg
tolerance: 0.25
given: [lean]

How far back?

## rise
marks: 2
unit: mm
tolerance: last digit 0.1

How high?

## both
marks: 2
unit: mm
tolerance: 0.3
entries: [one, two]

Both?
"""
TILT_KEY = """\
## lean-back
answer: lean / 4
slip twice: lean / 4 + 1.2
  You added.

As given.

## rise
answer: 3 * lean
slip none: 30 * lean
  No.

As given.

## both
answer: [lean / 4, -lean / 4]
slip off: [lean, lean]
  No.

As given.
"""


@pytest.fixture
def tilt(tmp_path):
    """Return a function that says why a question of another exercise is not sound if it is changed."""
    root = small.write(tmp_path / "course")
    (root / "exercises" / "tilt.md").write_text(TILT, encoding="utf-8")
    (root / "solutions" / "tilt.md").write_text(TILT_KEY, encoding="utf-8")
    from coursekit.classroom.bank import changed_question

    exercise = exercises.load("tilt", root)
    key = keys.load(exercise, root)
    cases = own_numbers.sound_cases(exercise, key)

    def fault(question, tolerance):
        here = {question: class_questions.Change(tolerance)}
        asked = class_questions.applied(exercise, here, root / "questions.toml")
        pair = exercise.question(question), asked.question(question)
        return changed_question.fault(asked, key, *pair, cases)

    return fault


def test_a_tolerance_hides_no_slip_no_sign_and_no_neighbour(tilt):
    assert tilt("lean-back", "0.24") == ""
    # the smallest answer is 0.25°, and in the course 0.25 takes its sign for the same already
    assert "slip 'twice' equals the right answer" in tilt("lean-back", "0.65")
    # rounding to 0.1 mm needs half of it
    assert tilt("rise", "0.05") == ""
    assert "must allow rounding to 0.1 mm, which the question asks for" in tilt("rise", "0.04")
    # of (0.25, -0.25) to (1.5, -1.5), 0.7 would take the neighbour's answer, zeros and another sign
    assert "a wrong sign or zero must not pass" in tilt("both", "0.7")
    assert tilt("both", "0.31") == ""


def test_a_neighbour_s_answer_must_not_pass(tmp_path, tilt):
    from coursekit.classroom.bank import changed_question

    root = tmp_path / "course"
    close = TILT.replace("low: 1, high: 6, step: 0.5", "low: 40, high: 41, step: 0.1")
    exercise = exercises.parse(close.replace("tolerance: last digit 0.1", "tolerance: 0.2"), "tilt")
    key = keys.load(exercise, root)
    cases = own_numbers.sound_cases(exercise, key)
    for tolerance, said in (("0.25", ""), ("0.9", "a neighbour's answer does not pass; with it")):
        here = {"rise": class_questions.Change(tolerance)}
        asked = class_questions.applied(exercise, here, root / "questions.toml")
        why = changed_question.fault(
            asked, key, exercise.question("rise"), asked.question("rise"), cases
        )
        assert (said in why) if said else not why


def test_marks_stay_above_what_a_person_gave(evening, change):
    by_hand.give(evening, "bench-01", "why", 2)
    with pytest.raises(
        ClassError, match=r"bench-01 has 2, and there would be 1.5. Take that score"
    ):
        change("why", marks=1.5)
    change("why", marks=2.5)


def test_a_course_that_changes_is_proved_again_with_the_class_s_own(evening, change, again):
    change("area", tolerance="1.5")
    again()
    public = small.PUBLIC.replace("tolerance: 1\n", "tolerance: 0.2\n", 1)
    small.write(evening.root, public)
    with pytest.raises(
        ClassError, match=r"question 'area': the tolerance must lie from.*--as-in-course"
    ):
        again()
    class_question.as_in_course(load(evening.folder.path), "small", "area", evening.root)
    assert again().exercise.question("area").tolerance == 0.2


def test_a_file_that_says_another_thing_is_told(evening, again):
    file = evening.folder.path / "questions.toml"
    for text, said in (
        ("[small.area]\ntolerence = 1\n", "got another thing"),
        ("[small]\narea = 3\n", "got another thing"),
        ("[small.aera]\nmarks = 3\n", "one of the lesson's; got 'aera' of small"),
        ("[small.area\n", "got another thing"),
        ("[small.area]\nmarks = true\n", "got another thing"),
    ):
        file.write_text(text, encoding="utf-8")
        with pytest.raises(ClassError, match=said):
            again()
    file.write_text("[small.area]\ntolerance = 1.5\nmarks = 2.5\n", encoding="utf-8")
    assert again().exercise.question("area").tolerance == 1.5


def test_the_command(evening, monkeypatch):
    monkeypatch.chdir(evening.root)

    def call(*words):
        on = ["class", "question", "small", *words, "--class", str(evening.folder.path)]
        done = CliRunner().invoke(main, on)
        return done.exit_code, done.output

    assert call("area") == (0, "area: 2 marks, tolerance 1 mm\n")
    again = "Work that is marked must be marked again: `coursekit mark small`.\n"
    assert call("area", "--tolerance", "1.2") == (
        0, f"area: 2 marks, tolerance 1.2 mm (in the course: 2 marks, tolerance 1 mm)\n{again}"
    )  # fmt: skip
    assert call("area", "--tolerance", "9")[0] == 1
    code, said = call("--json")
    found = {one["id"]: one for one in json.loads(said)["questions"]}
    assert (code, list(found)) == (0, ["area", "double", "shape", "why"])
    assert found["area"]["here"] == {"marks": 2, "tolerance": 1.2, "relative": False}
    assert found["area"]["changed"] is not found["double"]["changed"] is False
    # as it was before anything was marked by it
    assert call("area", "--as-in-course") == (0, "area: 2 marks, tolerance 1 mm\n")
    assert call("--marks", "3")[0] == 2
    assert call("area", "--marks", "3", "--as-in-course")[0] == 2
