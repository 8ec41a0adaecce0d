"""Marks by hand: what a person reads, and that a score is written as formgrader writes it."""

from __future__ import annotations

import inspect
import json
import shutil
import subprocess
import sys
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from coursekit.classroom.gradebook import due, late_work
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import late_penalties, questions
from coursekit.classroom.marking import by_hand, mark_class
from coursekit.classroom.register.class_folder import ClassError, load
from coursekit.classroom.register.class_toml import Late, when
from coursekit.classroom.report import feedback, overview
from coursekit.classroom.report.marks_table import in_short
from coursekit.cli import main

from . import small
from .conftest import LIMITS
from .test_upkeep import holder  # noqa: F401


def why(work):
    (found,) = by_hand.to_read(work)
    return found


def of(work, student):
    return next(one for one in why(work).answers if one.student == student)


def state(work, student):
    """The student's state in the overview."""
    return overview.overview(work.folder).lessons[0].students[student]


def test_all_that_was_written_stands_below_each_other(evening):
    found = why(evening)
    assert (found.id, found.marks, found.asked, found.expected) == (
        "why",
        2,
        "Say why.",
        "Because.",
    )
    notebook = json.loads(
        (evening.folder.submitted("bench-01", "small") / "small.ipynb").read_text()
    )
    (wrote,) = ["".join(c["source"]) for c in notebook["cells"] if c["id"] == "why"]
    said = {one.student: (one.text, one.waits, one.score) for one in found.answers}
    assert said == {
        "bench-01": (wrote, True, None), "bench-02": (wrote, True, None),
        "bench-03": (wrote, True, None), "bench-04": ("", False, None),
    }  # fmt: skip
    assert wrote
    assert found.waiting == 3
    assert [one.blank for one in found.answers] == [False, False, False, True]


def formgrader(work, student, score, comment):
    """Do in `work` what formgrader's own handlers do when somebody types a score and a comment."""
    from nbgrader.server_extensions.formgrader.apihandlers import CommentHandler, GradeHandler

    with gradebook(work.folder) as book:
        grade = book.find_grade("why", "small", "small", student)
        note = book.find_comment("why", "small", "small", student)

        def put(handler, id, **said):
            page = SimpleNamespace(
                gradebook=book, get_json_body=lambda: said, write=lambda text: None
            )
            inspect.unwrap(handler.put)(page, id)

        put(GradeHandler, grade.id, manual_score=score, extra_credit=grade.extra_credit)
        if comment is not None:
            put(CommentHandler, note.id, manual_comment=comment)


@pytest.mark.parametrize("score, comment", [(1.5, "Say which side."), (0.0, None), (2.0, "")])
def test_a_score_is_written_as_formgrader_writes_it(evening, tmp_path, score, comment):
    with gradebook(evening.folder) as book:
        book.find_grade("why", "small", "small", "bench-02").extra_credit = 0.25
        book.db.commit()
    shutil.copytree(tmp_path / "evening", tmp_path / "theirs" / "evening")
    theirs = small.opened(tmp_path / "theirs" / "evening")
    # formgrader sends the text of its box, and a box that was never filled sends nothing
    formgrader(theirs, "bench-02", score, comment or None)
    before = small.rows(evening)
    by_hand.give(evening, "bench-02", "why", score, comment, of(evening, "bench-02").seen)
    assert small.rows(evening) == small.rows(theirs) != before
    assert of(evening, "bench-02").score == score
    # a comment that is cleared becomes an empty text, and a score can be taken back
    formgrader(theirs, "bench-02", None, "" if comment else None)
    by_hand.give(evening, "bench-02", "why", None, "")
    assert small.rows(evening) == small.rows(theirs)
    assert of(evening, "bench-02").waits


def test_comments_that_were_given_come_back_the_most_used_first(evening):
    for student, said in (
        ("bench-01", "Which side?"),
        ("bench-02", "Good."),
        ("bench-03", "Good."),
    ):
        given = by_hand.give(evening, student, "why", 1, said)
        assert (given.score, given.comment, given.waits) == (1, said, False)
    found = why(evening)
    assert found.comments == ("Good.", "Which side?") == by_hand.given_comments(evening, "why")
    assert found.waiting == 0


@pytest.mark.parametrize("score", [-0.5, 2.01, float("nan"), float("inf")])
def test_a_score_out_of_range_is_refused(evening, score):
    before = small.rows(evening)
    with pytest.raises(ClassError, match="a score must lie from 0 to 2, the question's marks; got"):
        by_hand.give(evening, "bench-01", "why", score)
    assert small.rows(evening) == before


@pytest.mark.parametrize(
    "student, question, said",
    [("bench-05", "why", "work must be marked before"), ("bench-09", "why", "must be on the roster"),
     ("bench-01", "whi", "one of the lesson's; got 'whi'. The written ones are why")],
)  # fmt: skip
def test_what_is_not_there_is_refused(evening, student, question, said):
    with pytest.raises(ClassError, match=said):
        by_hand.give(evening, student, question, 1)


def test_an_answer_that_changed_since_it_was_shown_is_refused(evening):
    seen = of(evening, "bench-01").seen
    small.hand_in(evening, "bench-01", {"why": "Another reason."})
    for _ in range(2):  # handed in anew, then marked
        before = small.rows(evening)
        with pytest.raises(ClassError, match="bench-01's was handed in or marked again since"):
            by_hand.give(evening, "bench-01", "why", 1, "", seen)
        assert small.rows(evening) == before
        mark_class.mark_class(evening, limits=LIMITS)
    assert of(evening, "bench-01").text == "Another reason."
    by_hand.give(evening, "bench-01", "why", 1, "", of(evening, "bench-01").seen)


def test_two_windows_lose_nothing(evening):
    one = two = of(evening, "bench-01").seen
    by_hand.give(evening, "bench-01", "why", 1, "Good.", one)
    with pytest.raises(ClassError, match="Read it again"):
        by_hand.give(evening, "bench-01", "why", 2, "Better.", two)
    assert (of(evening, "bench-01").score, of(evening, "bench-01").comment) == (1, "Good.")


def test_newer_work_is_told(evening):
    assert not of(evening, "bench-01").newer
    small.hand_in(evening, "bench-01", {"why": "Another reason."})
    assert of(evening, "bench-01").newer


def test_marking_again_keeps_the_score_and_new_work_asks_for_another_look(evening):
    by_hand.give(evening, "bench-01", "why", 1.5, "Good.")
    before = small.rows(evening)
    mark_class.mark_class(evening, limits=LIMITS)
    assert small.rows(evening) == before
    small.hand_in(evening, "bench-01", {"why": "Another reason."})
    mark_class.mark_class(evening, limits=LIMITS)
    one = of(evening, "bench-01")
    assert (one.score, one.comment, one.waits) == (1.5, "Good.", True)
    assert state(evening, "bench-01").word == "to read"
    by_hand.give(evening, "bench-01", "why", 1.5, None, one.seen)
    assert state(evening, "bench-01").word == "marked"


def test_a_score_waits_for_a_marking_that_is_at_work(evening, holder, monkeypatch):  # noqa: F811
    monkeypatch.setattr(by_hand, "WAIT", 0.05)
    before = small.rows(evening)
    with pytest.raises(ClassError, match="another is at work"):
        by_hand.give(evening, "bench-01", "why", 1)
    assert small.rows(evening) == before
    monkeypatch.setattr(by_hand, "WAIT", 600.0)
    holder.stdin.write("\n")
    holder.stdin.flush()
    by_hand.give(evening, "bench-01", "why", 1)
    assert of(evening, "bench-01").score == 1


def test_reading_needs_nothing_of_nbgrader(evening):
    code = (
        "import sys; from pathlib import Path; from coursekit.classroom.handout import assignments; "
        "from coursekit.classroom.marking import by_hand; "
        "from coursekit.classroom.register.class_folder import load; "
        "folder, root = map(Path, sys.argv[1:]); "
        "found = by_hand.to_read(assignments.assignment(load(folder), 'small', root)); "
        "print(len(found[0].answers), "
        "[m for m in ('nbgrader', 'sqlalchemy', 'typst', 'matplotlib', 'sympy') if m in sys.modules])"
    )
    words = [sys.executable, "-c", code, evening.folder.path, evening.root]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    assert done.stdout == "4 []\n"


def test_a_notebook_that_cannot_be_read_is_told_and_the_others_are_there(evening):
    (evening.folder.autograded("bench-02", "small") / "small.ipynb").write_text("{")
    found = {one.student: one.trouble for one in why(evening).answers}
    assert [s for s, trouble in found.items() if trouble] == ["bench-02"]


def test_once_all_is_read_nothing_says_that_something_waits(evening):
    with reading(evening.folder) as book:
        held = questions(book, "small")
    assert "1 for you to read" in in_short(evening, "bench-01", held["bench-01"])
    feedback.give_feedback(evening.folder, "small", root=evening.root)
    page = evening.folder.feedback("bench-01", "small") / "small.html"
    assert "Waits for your instructor." in page.read_text(encoding="utf-8")
    assert not state(evening, "bench-01").feedback_old
    for one in why(evening).answers:
        by_hand.give(evening, one.student, "why", 1, "Good.", one.seen)
    # the page that was made before is older than the marks, and everybody says so at once
    assert [state(evening, f"bench-0{i}").feedback_old for i in range(1, 6)] == [True] * 4 + [False]
    (told,) = overview.old_feedback(overview.overview(evening.folder).lessons)
    assert told == (
        "small: the feedback of bench-01, bench-02, bench-03 and 1 more is older than the marks. "
        "`coursekit feedback small`."
    )
    assert {state(evening, f"bench-0{i}").word for i in range(1, 5)} == {"marked"}
    with reading(evening.folder) as book:
        held = questions(book, "small")
    assert in_short(evening, "bench-01", held["bench-01"]) == "3 right, 1 marked by you"
    feedback.give_feedback(evening.folder, "small", root=evening.root)
    said = page.read_text(encoding="utf-8")
    assert "Waits for your instructor." not in said
    assert "Marked by your instructor." in said
    assert not overview.old_feedback(overview.overview(evening.folder).lessons)


def test_feedback_of_a_copied_class_is_not_called_old(evening, tmp_path):
    """A copy may give the record a newer date than the page; what counts is what stands in them."""
    feedback.give_feedback(evening.folder, "small", root=evening.root)
    for record in (evening.folder.path / "autograded").glob("*/*/marks.json"):
        record.touch()
    assert not overview.old_feedback(overview.overview(evening.folder).lessons)
    record = evening.folder.autograded("bench-02", "small") / "marks.json"
    record.write_text(record.read_text(encoding="utf-8").replace("You went round it.", "No."))
    assert [s.feedback_old for s in overview.overview(evening.folder).lessons[0].students.values()] == [
        False, True, False, False, False
    ]  # fmt: skip


# The work came on 3 February at 19:30; by the rule it loses 10 % of its marks for each day begun.


def lost(work):
    with reading(work.folder) as book:
        return late_penalties(book, "small")


def test_what_late_work_loses_follows_at_once(evening):
    late_work.set_rule(evening.folder, Late(10))
    assert lost(evening) == {}
    folder = due.set_due(load(evening.folder.path), "small", when("2026-02-03T18:00:00+00:00"))
    # work that is marked already loses its share of what the machine gave
    with reading(folder) as book:
        got = {
            s: sum(q.marks for q in held.values()) for s, held in questions(book, "small").items()
        }
    assert lost(evening) == {s: pytest.approx(m / 10) for s, m in got.items() if m}
    assert set(got.values()) == {6.0, 3.5, 4.0}
    # a mark by hand raises the marks, and so what is lost
    by_hand.give(small.opened(folder.path.parent), "bench-01", "why", 2)
    assert lost(evening)["bench-01"] == pytest.approx((got["bench-01"] + 2) / 10)
    # so does one in formgrader, once the feedback is made
    formgrader(evening, "bench-02", 1, "Yes.")
    assert lost(evening)["bench-02"] == pytest.approx(got["bench-02"] / 10)
    feedback.give_feedback(folder, "small", root=evening.root)
    assert lost(evening)["bench-02"] == pytest.approx((got["bench-02"] + 1) / 10)
    assert late_work.set_rule(folder, Late(20)) == {"small": [s for s, m in got.items() if m]}
    assert lost(evening)["bench-01"] == pytest.approx((got["bench-01"] + 2) / 5)
    due.set_due(folder, "small", when("2026-02-04T18:00:00+00:00"))
    assert lost(evening) == {}


def test_work_handed_in_anew_without_a_time_is_no_longer_late(evening):
    late_work.set_rule(evening.folder, Late(10))
    due.set_due(load(evening.folder.path), "small", when("2026-02-03T18:00:00+00:00"))
    work = small.opened(evening.folder.path.parent)
    small.hand_in(work, "bench-01", {"area": "area = side * side"}, stamp="")
    (work.folder.submitted("bench-01", "small") / "timestamp.txt").unlink()
    mark_class.mark_class(work, limits=LIMITS)
    assert set(lost(work)) == {"bench-02", "bench-03", "bench-04"}


@pytest.fixture
def read(evening, monkeypatch):
    """The command, as a user types it in the course's folder."""
    monkeypatch.chdir(evening.root)

    def call(*words, typed=None):
        done = CliRunner().invoke(
            main, ["read", "small", "--class", str(evening.folder.path), *words], input=typed
        )
        return done.exit_code, done.output

    return call


def test_the_command_shows_each_answer_and_takes_scores(evening, read):
    feedback.give_feedback(evening.folder, "small", root=evening.root)
    code, said = read("--no-names", typed="3\n½\nWhich side?\n\n2\n1\n")
    assert code == 0
    assert "A score must lie from 0 to 2; got 3." in said
    assert "Expected:\nBecause." in said
    assert "--- 1 of 3\n" in said
    assert "bench-01" not in said.partition("the feedback of")[0]
    scores = {one.student: (one.score, one.comment) for one in why(evening).answers}
    assert scores == {
        "bench-01": (0.5, "Which side?"), "bench-02": (None, ""), "bench-03": (2, "Which side?"),
        "bench-04": (None, ""),
    }  # fmt: skip
    assert "small: the feedback of bench-01, bench-03 is older than the marks." in said
    assert read(typed="q\n")[0] == 0
    assert of(evening, "bench-02").score is None


def test_the_command_gives_one_score_and_lists_all(evening, read):
    assert read("--give", "bench-02", "why", "1½", "--comment", "Good.") == (0, "")
    code, said = read("--json")
    (found,) = json.loads(said)["questions"]
    one = found["answers"][1]
    assert (code, one["student"], one["score"], one["comment"]) == (0, "bench-02", 1.5, "Good.")
    assert found["comments"] == ["Good."]
    assert read("--give", "bench-02", "why", "none") == (0, "")
    assert of(evening, "bench-02").score is None
    code, said = read("--give", "bench-02", "why", "11/2")
    assert (code, "A score must be a number like 1, 1.5 or ½; got '11/2'." in said) == (1, True)
    assert read("--comment", "x")[0] == 2
    for student in ("bench-01", "bench-02", "bench-03"):
        read("--give", student, "why", "1")
    assert read() == (0, "Nothing of small waits for you to read it.\n")
    feedback.give_feedback(evening.folder, "small", root=evening.root)
    read("--give", "bench-02", "why", "2")
    marks = CliRunner().invoke(main, ["marks", "small", "--class", str(evening.folder.path)])
    assert "small: the feedback of bench-02 is older than the marks." in marks.output


def test_what_a_student_wrote_can_do_nothing_to_the_terminal(evening, read):
    small.hand_in(evening, "bench-01", {"why": "\x1b[2Jgone\x07"})
    mark_class.mark_class(evening, limits=LIMITS)
    _, said = read(typed="q\n")
    assert "gone" in said
    assert "\x1b" not in said
    assert "\x07" not in said
