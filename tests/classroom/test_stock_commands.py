"""nbgrader's own commands in the class folder: the same runner, the same gradebook, the same pages."""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
import textwrap

import pytest

from coursekit.classroom.gradebook.nbgrader_settings import course_root, late_rule, note_course
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import ClassError, write_text
from coursekit.classroom.report import feedback
from coursekit.classroom.running import places

from . import small
from .conftest import LIMITS

LATE = """
from nbgrader.plugins import BasePlugin


class MarkAnHour(BasePlugin):
    def late_submission_penalty(self, student_id, score, total_seconds_late):
        return total_seconds_late / 3600
"""


def nbgrader(work, *words, check=True):
    environment = {k: v for k, v in os.environ.items() if k != "COURSEKIT_ROOT"}
    done = subprocess.run(
        [sys.executable, "-m", "nbgrader", *words],
        cwd=work.folder.path, capture_output=True, text=True, timeout=1800, env=environment,
    )  # fmt: skip
    assert not check or done.returncode == 0, done.stderr
    return done


def with_late_rule(work, module):
    """Name a late-penalty plug-in in the class's settings, and a due date that some work missed."""
    write_text(work.folder.path / f"{module}.py", LATE)
    settings = work.folder.path / "nbgrader_config.py"
    text = settings.read_text() + f'c.AssignLatePenalties.plugin_class = "{module}.MarkAnHour"\n'
    settings.write_text(text)
    with gradebook(work.folder) as book:
        book.update_or_create_assignment("small", duedate="2026-02-03 18:00:00 UTC")


def penalties(work):
    return {row[0]: row[2] for row in small.rows(work) if len(row) == 3 and row[1][0] == "2"}


def test_autograde_and_mark_give_the_same_gradebook_and_notebooks(evening, tmp_path):
    evening.folder.gradebook_file.chmod(0o600)
    with_late_rule(evening, "late_both")
    small.hand_in(evening, "bench-05", {"area": "while True: pass"}, stamp="")
    write_text(evening.folder.submitted("bench-05", "small") / "trace.csv", "1,2\n")
    (evening.folder.submitted("bench-05", "small") / "key").symlink_to(
        evening.folder.path / "secret"
    )
    write_text(evening.folder.submitted("bench-01", "small") / "small.ipynb", '{"cells": [')
    with gradebook(evening.folder) as book:
        grade = book.find_grade("why", "small", "small", "bench-02")
        grade.manual_score, grade.extra_credit, grade.needs_manual_grade = 1.5, 1.0, False
        book.find_comment("why", "small", "small", "bench-02").manual_comment = "Well said."
        book.db.commit()
    settings = evening.folder.path / "nbgrader_config.py"
    settings.write_text(settings.read_text() + "c.RunAndMark.seconds = 2.0\n")
    shutil.rmtree(evening.folder.path / "autograded")
    shutil.copytree(evening.folder.path.parent, tmp_path / "stock", symlinks=True)
    stock = small.opened(tmp_path / "stock")
    note_course(stock.folder, tmp_path / "stock" / "course")

    limits = mark_class.Limits(cell=2.0, notebook=12.0)
    mark_class.mark_class(evening, limits=limits)
    nbgrader(stock, "autograde", "small", "--force")

    assert small.rows(stock) == small.rows(evening)
    assert small.tree(stock.folder.path / "autograded") == small.tree(
        evening.folder.path / "autograded"
    )
    # and what they agree on is what it should be
    got = {row[:2]: row[2:] for row in small.rows(evening) if len(row) == 6}
    assert got["bench-02", "why"] == (None, 1.5, 1.0, True)
    assert got["bench-05", "area"] == (0.0, None, None, False)
    assert got["bench-05", "double"] == (3.0, None, None, False)
    assert {v[0] for k, v in got.items() if k[0] == "bench-01"} == {0.0}
    # 1.5 hours late; never more than the score, which is 0 for the broken file
    assert penalties(evening) == {"bench-01": 0, "bench-02": 1.5, "bench-03": 1.5, "bench-04": 1.5}

    # after the stock command, the kit's own finds nothing left to do
    told = {}
    mark_class.mark_class(stock, limits=limits, progress=lambda s, what: told.update({s: what}))
    assert set(told.values()) == {"unchanged"}

    # the same feedback pages both ways
    feedback.give_feedback(evening.folder, "small")
    nbgrader(stock, "generate_feedback", "small", "--force")
    ours = small.tree(evening.folder.path / "feedback")
    theirs = small.tree(stock.folder.path / "feedback")
    assert {k: v for k, v in theirs.items() if k.endswith((".html", ".js"))} == ours
    assert {k.split("/")[-1] for k in theirs.keys() - ours.keys()} <= {"timestamp.txt", "trace.csv"}
    for text in theirs.values():
        assert evening.folder.secret.hex().encode() not in text


def test_autograde_of_a_class_moved_from_its_course_says_how(evening, tmp_path):
    shutil.move(evening.folder.path, tmp_path / "moved")
    (tmp_path / "moved" / ".made" / "course").unlink()
    environment = {k: v for k, v in os.environ.items() if k != "COURSEKIT_ROOT"}
    done = subprocess.run(
        [sys.executable, "-m", "nbgrader", "autograde", "small", "--force", "--student=bench-01"],
        cwd=tmp_path / "moved", capture_output=True, text=True, timeout=1800, env=environment,
    )  # fmt: skip
    assert done.returncode == 1
    assert "the class must know the course it is taught from" in done.stderr


def test_the_course_is_found_by_name_then_above_then_by_note(evening, tmp_path, monkeypatch):
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    noted = course_root(evening.folder)
    assert noted == evening.root.resolve()
    above = tmp_path / "above"
    small.write(above)
    shutil.copytree(evening.folder.path, above / "build" / "class")
    from coursekit.classroom.register.class_folder import load

    assert course_root(load(above / "build" / "class")) == above.resolve()
    monkeypatch.setenv("COURSEKIT_ROOT", str(evening.root))
    assert course_root(load(above / "build" / "class")) == evening.root.resolve()


def test_a_changed_due_date_or_extension_changes_the_penalty_and_nothing_else(evening, monkeypatch):
    from datetime import timedelta

    from .test_marked_again import refuse_to_run

    monkeypatch.setattr(places.Here, "_run", refuse_to_run)
    with_late_rule(evening, "late_date")
    told = {}
    mark_class.mark_class(evening, limits=LIMITS, progress=lambda s, what: told.update({s: what}))
    assert set(told.values()) == {"late penalty set"}
    assert penalties(evening) == dict.fromkeys(told, 1.5)
    with gradebook(evening.folder) as book:
        submission = book.find_submission("small", "bench-02")
        submission.extension = timedelta(hours=1)
        book.db.commit()
    mark_class.mark_class(evening, limits=LIMITS)
    assert penalties(evening) == {**dict.fromkeys(told, 1.5), "bench-02": 0.5}
    with gradebook(evening.folder) as book:
        book.update_or_create_assignment("small", duedate=None)
    mark_class.mark_class(evening, limits=LIMITS)
    assert penalties(evening) == dict.fromkeys(told)


def test_without_a_plug_in_nbgraders_own_rule_holds(evening):
    settings = evening.folder.path / "nbgrader_config.py"
    settings.write_text(settings.read_text() + 'c.LateSubmissionPlugin.penalty_method = "zero"\n')
    with gradebook(evening.folder) as book:
        book.update_or_create_assignment("small", duedate="2026-02-03 18:00:00 UTC")
    mark_class.mark_class(evening, limits=LIMITS)
    assert penalties(evening) == {
        "bench-01": 6.0, "bench-02": 3.5, "bench-03": 4.0, "bench-04": 4.0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('c.AssignLatePenalties.plugin_class = "nowhere.Rule"', "must name a class that nbgrader can load"),
        ("c.AssignLatePenalties.plugin_class = unknown", "the settings must run; got NameError"),
    ],
)  # fmt: skip
def test_settings_that_do_not_run_are_told(evening, line, message):
    settings = evening.folder.path / "nbgrader_config.py"
    settings.write_text(settings.read_text() + line + "\n")
    with pytest.raises(ClassError, match=message):
        late_rule(evening.folder)


def test_a_plug_in_that_fails_is_told(evening):
    with_late_rule(evening, "late_fails")
    write_text(
        evening.folder.path / "late_fails.py", LATE.replace("total_seconds_late / 3600", "1 / 0")
    )
    with pytest.raises(ClassError, match="The late-penalty plug-in MarkAnHour must give a number"):
        mark_class.mark_class(evening, limits=LIMITS)


def test_settings_of_an_instructor_stay(evening):
    from coursekit.classroom.register.class_folder import open_class

    settings = evening.folder.path / "nbgrader_config.py"
    settings.write_text(settings.read_text() + "c.CourseDirectory.course_id = 'evening'\n")
    open_class(evening.folder.path, evening.folder.students)
    assert settings.read_text().endswith("c.CourseDirectory.course_id = 'evening'\n")
    settings.write_text(
        "# Made by coursekit: do not edit. It makes this folder an nbgrader course.\n"
    )
    open_class(evening.folder.path, evening.folder.students)
    assert "configure(get_config(), __file__)" in settings.read_text()


def test_export_counts_penalty_and_extra_credit(evening):
    with_late_rule(evening, "late_export")
    with gradebook(evening.folder) as book:
        book.find_grade("area", "small", "small", "bench-02").extra_credit = 1.0
        book.db.commit()
    mark_class.mark_class(evening, limits=LIMITS)
    nbgrader(evening, "export", "--to", "grades.csv")
    with (evening.folder.path / "grades.csv").open(newline="") as file:
        rows = {row["student_id"]: row for row in csv.DictReader(file)}
    assert float(rows["bench-02"]["score"]) == 0.5 + 2 + 1 + 1.0 - 1.5
    assert float(rows["bench-02"]["late_submission_penalty"]) == 1.5


def test_without_the_kits_settings_autograde_gives_nothing(evening):
    (evening.folder.path / "nbgrader_config.py").write_text(
        textwrap.dedent(
            """
            c = get_config()
            c.CourseDirectory.ignore = ["numbers.json"]
            """
        )
    )
    nbgrader(evening, "autograde", "small", "--force", "--student=bench-01")
    with gradebook(evening.folder) as book:
        grades = book.find_submission("small", "bench-01").notebooks[0].grades
        assert {g.auto_score for g in grades if g.name != "why"} == {0.0}
