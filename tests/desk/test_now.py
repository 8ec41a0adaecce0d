"""The first page: what waits, in sentences, and how each student stands with each lesson."""

from __future__ import annotations

import os
import sqlite3
from datetime import datetime

import pytest

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook import due
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_toml import when
from coursekit.classroom.report.overview import LessonState, StudentState, overview
from coursekit.desk.pages import now

from ..classroom import small
from ..classroom.conftest import LIMITS
from .desk_client import Window, serving_desk

BEFORE, AFTER = datetime(2026, 2, 2, 12), datetime(2026, 2, 7, 12)


@pytest.fixture
def work(tmp_path):
    """A class of five: 1 and 2 marked, their sentence to read; 3 handed in; 4 and 5 owe it."""
    work = small.evening(tmp_path)
    due.set_due(work.folder, "small", when("2026-02-04T18:00:00+00:00"))
    work = small.opened(tmp_path)
    for student in ("bench-01", "bench-02"):
        small.hand_in(work, student)
    mark_class.mark_class(work, limits=LIMITS)
    small.hand_in(work, "bench-03", stamp="2026-02-05 19:30:00 UTC\n")
    return work


def shown(work, at=AFTER):
    return now.facts(FormClass(work.folder, work.root), at)


def sentences(facts):
    return [" ".join([one.all.words, *(part.words for part in one.each)]) for one in facts.waits]


def test_what_waits_is_said_by_kind_with_a_count_for_each_lesson(work):
    assert sentences(shown(work)) == [
        "1 to mark: Small 1",
        "2 answers to read: Small 2",
        "2 owe Small",
    ]
    assert [one.all.page for one in shown(work).waits] == [
        "/mark?lesson=small", "/read?lesson=small", "/report",
    ]  # fmt: skip


def test_before_the_day_nobody_owes_anything_and_the_day_is_named(work):
    *_, last = sentences(shown(work, BEFORE))
    assert last == "Next evening: Wed 4 Feb 2026, Small"
    assert not [one for one in sentences(shown(work, BEFORE)) if "owe" in one]


def test_each_cell_has_a_word_and_a_number(work):
    rows = dict(shown(work).rows)
    cells = {name: (place.number, place.word, place.kind) for name, (place,) in rows.items()}
    assert cells["Bench 1"] == ("6", "1 to read", "waits")
    assert cells["Bench 3"] == ("", "to mark, late", "waits")
    assert cells["Bench 4"] == ("2 days", "owes", "owes")
    assert rows["Bench 1"][0].page == "/work?student=bench-01&lesson=small"


def test_sentences_are_counted_not_students_and_one_that_was_read_no_longer(work):
    with gradebook(work.folder) as book:
        grade = book.find_grade("why", "small", "small", "bench-01")
        grade.manual_score, grade.needs_manual_grade = 1.5, False
        book.db.commit()
    assert "1 answer to read: Small 1" in sentences(shown(work))
    assert dict(shown(work).rows)["Bench 1"][0].number == "7.5"


def test_newer_work_is_to_mark_again(work):
    record = work.folder.autograded("bench-01", "small") / "marks.json"
    small.hand_in(work, "bench-01", {"area": "1.0"})
    notebook = work.folder.submitted("bench-01", "small") / "small.ipynb"
    os.utime(notebook, (record.stat().st_mtime + 5,) * 2)
    assert sentences(shown(work))[0] == "2 to mark: Small 2"


def test_a_class_to_which_nothing_was_given_waits_for_nothing(tmp_path):
    work = small.evening(tmp_path, 2)
    facts = shown(work)
    assert (facts.waits, facts.to_come) == ((), ())
    assert {place.word for _, (place,) in facts.rows} == {"handed out"}


def test_a_lesson_that_nobody_has_yet_stands_below_the_class(work):
    due.set_due(work.folder, "later", when("2026-03-04T18:00:00+00:00"))
    facts = shown(small.opened(work.folder.path.parent))
    assert [one.title for one in facts.lessons] == ["Small"]
    assert facts.to_come == ("later, Wed 4 Mar 2026",)


def test_of_many_lessons_a_sentence_names_the_newest_and_counts_the_rest(work):
    state = StudentState(taken_in=True, marked=True, waits=True, to_read=2)
    lessons = tuple(LessonState(f"l{n}", 8, None, {"a": state}) for n in range(8))
    titles = {f"l{n}": f"Lesson {n}" for n in range(8)}
    (found,) = now._waits(work.folder, lessons, titles, AFTER)
    assert found.all.words == "16 answers to read:"
    assert [part.words for part in found.each] == [
        "Lesson 7 2", "Lesson 6 2", "Lesson 5 2", "Lesson 4 2", "Lesson 3 2", "3 older lessons 6",
    ]  # fmt: skip


def test_work_that_cannot_be_read_is_said_in_words(work):
    loop = work.folder.submitted("bench-05", "small")
    loop.parent.mkdir(parents=True)
    loop.symlink_to(loop)
    with sqlite3.connect(work.folder.gradebook_file) as book:
        one = "SELECT grade.id FROM grade JOIN submitted_notebook ON grade.notebook_id = submitted_notebook.id "
        one += "JOIN submitted_assignment a ON submitted_notebook.assignment_id = a.id WHERE student_id = 'bench-01' LIMIT 1"
        book.execute(f"UPDATE grade SET auto_score = 'many' WHERE id = ({one})")
    facts = shown(work)
    (said,) = facts.troubles
    assert said.startswith("Bench 1, Small: It could not be handled (TypeError")
    rows = dict(facts.rows)
    assert (rows["Bench 1"][0].word, rows["Bench 5"][0].word) == ("can’t be read", "owes")


def test_the_gradebook_is_read_again_after_it_was_written(work):
    """The overview keeps what it read; SQLite's own count of commits says when that is old."""
    before = overview(work.folder, AFTER).lessons[0].students["bench-02"]
    with gradebook(work.folder) as book:
        grade = book.find_grade("why", "small", "small", "bench-02")
        grade.manual_score, grade.needs_manual_grade = 0.5, False
        book.db.commit()
    after = overview(work.folder, AFTER).lessons[0].students["bench-02"]
    assert (before.to_read, after.to_read) == (1, 0)
    assert after.marks == before.marks + 0.5


def test_what_students_typed_is_text_on_the_page(work):
    roster = work.folder.path / "roster.csv"
    roster.write_text(roster.read_text().replace("Bench 1", "<b>Ann</b>"))
    with serving_desk(work.folder.path, work.root) as desk:
        text = Window(desk).page("/")
    assert "&lt;b&gt;Ann&lt;/b&gt;" in text
    assert "<b>Ann" not in text
