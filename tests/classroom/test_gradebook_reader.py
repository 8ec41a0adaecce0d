"""What is read from a gradebook by SQL is what nbgrader's own code reads from it."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from datetime import datetime, timedelta

import pytest
from nbgrader.utils import parse_utc

from coursekit.classroom.gradebook import due, opener, read_only, reader
from coursekit.classroom.gradebook.stamp_file import time_of
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import ClassError, load, write_text
from coursekit.classroom.running.limits import Limits

from . import small

LATE = "2026-02-05 21:00:00 UTC\n"


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """A class with late work, marks and comments by hand, extra credit, a blank and a wait."""
    work = small.evening(tmp_path_factory.mktemp("reader"), 6)
    settings = work.folder.path / "class.toml"
    write_text(settings, settings.read_text() + "\n[late]\nper_day = 10\n")
    due.set_due(work.folder, "small", datetime.fromisoformat("2026-02-04T12:00:00+00:00"))
    work = small.opened(work.folder.path.parent)
    small.hand_in(work, "bench-01")
    small.hand_in(work, "bench-02", stamp=LATE)
    small.hand_in(work, "bench-03", {"area": "area = 1.0"}, stamp=LATE)
    small.hand_in(work, "bench-04", {"shape": "shape = None"})
    small.hand_in(work, "bench-05", stamp="")
    mark_class.mark_class(work, limits=Limits(), workers=1)
    with opener.gradebook(work.folder) as book:
        by_hand(book)
    return work


def by_hand(book):
    """What an instructor may do in formgrader: marks, half marks, extra credit, comments."""

    def grade(question, student):
        return book.find_grade(question, "small", "small", student)

    grade("area", "bench-01").manual_score = 0.5
    grade("area", "bench-02").extra_credit = 0.75
    grade("why", "bench-02").manual_score = 0.0
    grade("why", "bench-02").needs_manual_grade = False
    grade("why", "bench-03").extra_credit = 1.0  # extra credit without a mark counts nothing
    grade("why", "bench-04").manual_score = 1.5
    grade("why", "bench-04").needs_manual_grade = False
    grade("why", "bench-04").extra_credit = 0.25
    cell = book.find_comment("why", "small", "small", "bench-04")
    cell.manual_comment = "Well said."
    book.db.commit()


def theirs(book):
    """The submissions with their one notebook, as nbgrader's own objects."""
    found = book.assignment_submissions("small")
    return {s.student.id: (s, s.notebooks[0]) for s in found}


@pytest.fixture(params=["light", "nbgrader's own"])
def read(request, marked):
    """Both kinds of book that the reader takes."""
    way = read_only.reading if request.param == "light" else opener.gradebook
    with way(marked.folder) as book:
        yield book


@pytest.fixture
def own(marked):
    with opener.gradebook(marked.folder) as book:
        yield book


def test_scores_are_nbgraders(read, own):
    wanted = {s: {g.name: g.score for g in n.grades} for s, (_, n) in theirs(own).items()}
    assert reader.scores(read, "small") == wanted
    assert wanted["bench-02"]["area"] == wanted["bench-04"]["area"] + 0.75
    assert wanted["bench-03"]["why"] == 0


def test_the_total_is_nbgraders_less_its_late_penalty(read, own):
    for student, (submission, _) in theirs(own).items():
        held = reader.standing(read, "small", student)
        assert held.total == submission.score - submission.late_submission_penalty
        assert held.late_penalty == submission.late_submission_penalty
        assert sum(q.out_of for q in held.questions.values()) == submission.max_score


def test_late_penalties_are_nbgraders(read, own):
    wanted = {s: sub.late_submission_penalty for s, (sub, _) in theirs(own).items()}
    assert reader.late_penalties(read, "small") == {s: p for s, p in wanted.items() if p}
    assert {s for s, p in wanted.items() if p} == {"bench-02", "bench-03"}


def test_each_questions_facts_are_nbgraders(read, own):
    wanted = {
        s: {
            g.name: (g.auto_score, g.manual_score, g.extra_credit or 0.0, g.max_score,
                     g.needs_manual_grade)
            for g in n.grades
        }
        for s, (_, n) in theirs(own).items()
    }  # fmt: skip
    found = reader.questions(read, "small")
    assert {
        s: {q: (h.auto, h.manual, h.extra, h.out_of, h.waits) for q, h in held.items()}
        for s, held in found.items()
    } == wanted
    assert reader.machine_scores(read, "small") == {
        s: {q: facts[0] for q, facts in held.items()} for s, held in wanted.items()
    }
    assert reader.sure_scores(read, "small")["bench-01"]["area"] == 0.5
    assert reader.sure_scores(read, "small")["bench-04"]["why"] == 1.5  # without the extra


def test_who_waits_is_who_needs_manual_grading_by_nbgrader(read, own):
    wanted = {s for s, (_, n) in theirs(own).items() if n.needs_manual_grade}
    assert reader.waiting(read, "small") == wanted == {"bench-01", "bench-03", "bench-05"}
    assert wanted == {s for s, held in reader.standings(read, "small").items() if held.waits}


def test_comments_times_and_marks_in_all_are_nbgraders(read, own):
    found = reader.standings(read, "small")
    for student, (submission, notebook) in theirs(own).items():
        comments = {c.name: c.comment for c in notebook.comments if c.comment}
        assert (found[student].comments, found[student].came) == (comments, submission.timestamp)
    assert found["bench-04"].comments["why"] == "Well said."
    assert found["bench-05"].came is None
    assert reader.out_of(read, "small") == own.find_assignment("small").max_score
    assert reader.due_times(read) == {"small": own.find_assignment("small").duedate}


def test_what_the_gradebook_knows_is_what_was_released(read, marked):
    import nbformat

    release = nbformat.read(marked.folder.release("small") / "small.ipynb", as_version=4)
    assert reader.knows(read, "small", release)
    assert not reader.knows(read, "other")
    release.cells[-1].metadata["nbgrader"]["points"] += 1
    assert not reader.knows(read, "small", release)
    release.cells.pop()
    assert not reader.knows(read, "small", release)


def test_nobody_is_there_who_handed_nothing_in(read):
    assert reader.standing(read, "small", "bench-06") is None
    assert "bench-06" not in reader.questions(read, "small")
    assert reader.scores(read, "other") == {} and reader.out_of(read, "other") == 0


# A gradebook that is not there, is locked, is none, or was being written when its writer was killed


@pytest.fixture
def evening(tmp_path):
    return small.evening(tmp_path, 2)


def test_reading_makes_no_gradebook(evening):
    evening.folder.gradebook_file.unlink()
    with read_only.reading(evening.folder) as book:
        assert not reader.knows(book, "small")
        assert reader.due_times(book) == {}
    assert not evening.folder.gradebook_file.exists()


def test_an_empty_file_reads_like_a_gradebook_that_is_not_made(evening):
    evening.folder.gradebook_file.write_bytes(b"")
    with read_only.reading(evening.folder) as book:
        assert reader.scores(book, "small") == {}


def test_nothing_can_be_written(evening):
    with (
        pytest.raises(ClassError, match="readonly database"),
        read_only.reading(evening.folder) as book,
    ):
        book.rows("DELETE FROM grade")


def test_a_gradebook_that_is_none_is_told(evening):
    evening.folder.gradebook_file.write_bytes(b"not a database, not at all, but long enough" * 99)
    with (
        pytest.raises(ClassError, match="the gradebook must open; the database says: file is not"),
        read_only.reading(evening.folder),
    ):
        pass


KILLED = """
import os, sqlite3, sys
book = sqlite3.connect(sys.argv[1], isolation_level=None)
book.execute("PRAGMA cache_size = 1")
book.execute("PRAGMA cache_spill = 1")
book.execute("BEGIN")
book.execute("UPDATE assignment SET name = 'half'")
for i in range(2000):
    book.execute("INSERT INTO course (id) VALUES (?)", (f"{i:0900d}",))
os._exit(9)
"""


def test_a_commit_cut_short_is_undone_before_it_is_read(evening):
    path = evening.folder.gradebook_file
    subprocess.run([sys.executable, "-c", KILLED, str(path)], check=False)
    journal = path.with_name("gradebook.db-journal")
    assert journal.stat().st_size > 0  # hot: the file itself holds half of a commit
    with read_only.reading(evening.folder) as book:
        assert set(reader.due_times(book)) == {"small"}


def test_a_writer_is_waited_for(evening, monkeypatch):
    monkeypatch.setattr(read_only, "_WAIT", 0.05)
    writer = sqlite3.connect(evening.folder.gradebook_file, isolation_level=None)
    writer.execute("BEGIN EXCLUSIVE")
    with (
        pytest.raises(ClassError, match="the database says: database is locked"),
        read_only.reading(evening.folder),
    ):
        pass
    writer.execute("ROLLBACK")
    writer.close()
    with read_only.reading(evening.folder) as book:
        assert reader.knows(book, "small")


# What the commands import


@pytest.mark.parametrize(
    "command",
    [["class", "show"], ["class", "due"], ["class", "due", "small", "2026-02-04T12:00:00Z", "--past"],
     ["remind"], ["marks", "small"], ["marks", "small", "--json"], ["items", "small"]],
    ids=" ".join,
)  # fmt: skip
def test_reading_commands_import_neither_nbgrader_nor_sqlalchemy(marked, command):
    asked = (
        "import sys; from coursekit.commands.root import main\n"
        "main(sys.argv[1:], standalone_mode=False)\n"
        "assert not {'nbgrader.api', 'nbgrader.utils', 'sqlalchemy'} & set(sys.modules), 'imported'"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked, *command, "--class", str(marked.folder.path)],
        cwd=marked.root,
        env=dict(os.environ),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_a_due_time_that_the_gradebook_has_already_is_not_written_again(marked, monkeypatch):
    monkeypatch.setattr(opener, "gradebook", None)
    moment = load(marked.folder.path).due["small"]
    due.set_due(marked.folder, "small", moment)
    due.follow(load(marked.folder.path), "small")
    settings = marked.folder.path / "class.toml"
    before = settings.read_text()
    with pytest.raises(TypeError):  # this one is to be written
        due.set_due(marked.folder, "small", moment + timedelta(hours=1))
    write_text(settings, before)


# The time that handed-in work carries


@pytest.mark.parametrize(
    "text",
    ["2026-02-03 19:30:00 UTC", "2026-02-03 19:30:00.123456 UTC", "2026-02-03 19:30:00.5 UTC",
     "2026-02-03T19:30:00Z", "2026-02-03T19:30:00+02:00", "2026-02-03 19:30:00 CET",
     "2026-02-03 19:30:00", "3 Feb 2026 19:30", "2026-02-03", "2026-02-03 19:30:00 7200",
     "2026-02-31 19:30:00 UTC", "no time", "2026-13-01 00:00:00 UTC"],
)  # fmt: skip
def test_a_time_is_read_as_nbgrader_reads_it(text):
    try:
        wanted = parse_utc(text)
    except Exception:
        wanted = None
    assert time_of(f" {text}\n") == wanted


def test_a_zone_in_digits_after_a_space_is_a_zone_and_not_seconds():
    assert time_of("2026-02-03 19:30:00 +0200") == datetime(2026, 2, 3, 17, 30)
    assert time_of("2026-02-03 19:30:00 -03:30") == datetime(2026, 2, 3, 23, 0)
