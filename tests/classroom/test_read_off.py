"""Plain answers are marked without running anything, exactly as a run would mark them."""

from __future__ import annotations

import _posixsubprocess
import copy
import json
import os
import shutil
import subprocess
from types import SimpleNamespace
from typing import Any

import nbformat
import pytest
from click.testing import CliRunner

from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.intake import first_look
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import load, write_text
from coursekit.classroom.report import feedback
from coursekit.classroom.running import plain_cells, runner
from coursekit.classroom.running.cage.layers import Layers, refusal
from coursekit.classroom.running.warm_parent import WarmParent
from coursekit.commands import marks as commands

from . import small
from .conftest import LIMITS

NOWHERE: Any = SimpleNamespace(limits=LIMITS)  # for what must not run
ALL = ("bench-01", "bench-02", "bench-03", "bench-04", "bench-05")


@pytest.fixture
def nothing_starts(monkeypatch):
    """No process may be started: any try raises, and is noted in the list, for a thread may keep it still."""
    tries: list[object] = []

    def refuse(*what, **__):
        tries.append(what)
        raise AssertionError("no process may be started here")

    for home, names in (
        (os, ("fork", "forkpty", "posix_spawn", "posix_spawnp", "system", "execv", "execve")),
        (_posixsubprocess, ("fork_exec",)),
        (subprocess, ("Popen", "_fork_exec")),
    ):
        for name in names:
            if hasattr(home, name):
                monkeypatch.setattr(home, name, refuse)
    return tries


@pytest.fixture
def no_cage(monkeypatch):
    """A machine that offers no cage."""

    def refuse(_):
        raise runner.NotIsolatedError(refusal(Layers.none()))

    monkeypatch.setattr(runner.Warm, "_started", refuse)


def hand_in_plainly(path):
    """Hand the small exercise out to a class of five below `path`; all hand in plain answers."""
    work = small.evening(path)
    small.hand_in(work, "bench-01")
    small.hand_in(work, "bench-02", {"area": "area = '1,5 mm'", "double": "double = 12, 5"})
    small.hand_in(
        work, "bench-03", {"area": "# from paper\n\narea = 132,5", "shape": "shape = 'ring'"}
    )
    small.hand_in(work, "bench-04", {"area": "area = 0,05", "why": ""})
    write_text(work.folder.submitted("bench-05", "small") / "small.ipynb", "{")


@pytest.fixture
def plain_class(once, tmp_path):
    """The class of `hand_in_plainly`: a copy of a test's own."""
    shutil.copytree(once("plain-evening", hand_in_plainly), tmp_path / "evening")
    note_course(load(tmp_path / "evening" / "class"), tmp_path / "evening" / "course")
    return small.opened(tmp_path / "evening")


@pytest.fixture(scope="module")
def caged():
    """A warm process in its cage."""
    parent = WarmParent(())
    warm = runner.Warm(LIMITS, parent=parent)
    yield warm
    warm.close()
    parent.close()


def told_by(work, **more):
    told: dict[str, str] = {}
    mark_class.mark_class(
        work, limits=LIMITS, progress=lambda s, what: told.update({s: what}), **more
    )
    return told


def pages(work):
    return [
        path.read_bytes() for path in feedback.give_feedback(work.folder, "small", None, work.root)
    ]


def test_a_class_of_plain_work_is_marked_from_beginning_to_end_without_a_process(
    plain_class, nothing_starts
):
    work = plain_class
    again = ["mark", "feedback", "marks"]
    for command in again + again:
        done = CliRunner().invoke(
            getattr(commands, command), ["small", "--class", str(work.folder.path)],
            env={"COURSEKIT_ROOT": str(work.root)},
        )  # fmt: skip
        assert done.exit_code == 0, done.output
    assert nothing_starts == []
    with gradebook(work.folder) as book:
        got = scores(book, "small")
    assert got["bench-01"] == {"area": 2, "double": 3, "shape": 1, "why": 0}
    assert sum(got["bench-05"].values()) == 0
    assert set(got) == set(ALL)
    assert len(pages(work)) == 5


def test_marking_by_itself_starts_none_either(plain_class, nothing_starts):
    assert told_by(plain_class) == dict.fromkeys(ALL, "marked")
    assert told_by(plain_class) == dict.fromkeys(ALL, "unchanged")
    assert nothing_starts == []


def test_one_cell_of_code_starts_a_process(plain_class, nothing_starts):
    small.hand_in(plain_class, "bench-02", {"area": "area = side**2"})
    with pytest.raises(AssertionError, match="no process may be started"):
        told_by(plain_class)
    assert nothing_starts


def test_it_is_what_a_run_gives_to_the_last_byte(plain_class, monkeypatch):
    assert set(told_by(plain_class).values()) == {"marked"}
    files, rows, shown = (
        small.tree(marked(plain_class)),
        small.rows(plain_class),
        pages(plain_class),
    )
    for student in ALL:
        record = plain_class.folder.autograded(student, "small") / "marks.json"
        record.unlink()
    runs = run_all(monkeypatch)
    assert set(told_by(plain_class).values()) == {"marked"}
    assert runs == list(ALL[:4])
    assert small.tree(marked(plain_class)) == files
    assert small.rows(plain_class) == rows
    assert pages(plain_class) == shown


def marked(work):
    return work.folder.path / "autograded"


def run_all(monkeypatch):
    """Let every notebook be run, plain or not; return the students whose was, in their order."""
    runs: list[str] = []
    run_task = mark_class._task

    def task(work, ready):
        runs.append(ready.submission.student)
        return run_task(work, ready)

    monkeypatch.setattr(mark_class, "_task", task)
    monkeypatch.setattr(plain_cells, "run_of", lambda *_: None)
    return runs


def test_without_a_cage_plain_work_is_marked_and_code_waits_with_the_reason(plain_class, no_cage):
    small.hand_in(plain_class, "bench-02", {"area": "area = side**2"})
    small.hand_in(plain_class, "bench-03", {"double": "double = 2 * area"})
    told = told_by(plain_class)
    why = (
        "left: The notebook holds code, and code is run in a cage alone; this machine offers none. "
        "`coursekit cage` says why, and what to do."
    )
    assert told == {
        "bench-01": "marked", "bench-02": why, "bench-03": why, "bench-04": "marked", "bench-05": "marked",
    }  # fmt: skip
    assert {s for s in ALL if mark_class.recorded(plain_class.folder, s, "small")} == {
        "bench-01", "bench-04", "bench-05",
    }  # fmt: skip


def test_without_a_cage_the_command_names_who_waits(plain_class, no_cage, monkeypatch):
    def refuse(_):
        raise runner.NotIsolatedError("Windows has no fork.")

    monkeypatch.setattr("coursekit.classroom.running.warm_parent.WarmParent.start", refuse)
    small.hand_in(plain_class, "bench-02", {"area": "area = side**2"})
    done = CliRunner().invoke(
        commands.mark, ["small", "--class", str(plain_class.folder.path), "--quiet"],
        env={"COURSEKIT_ROOT": str(plain_class.root)},
    )  # fmt: skip
    assert done.exit_code == 1
    assert done.output.startswith(
        "LEFT: bench-02 small. The notebook holds code, and code is run in"
    )
    assert len(done.output.splitlines()) == 1


# the first look


def test_the_first_look_tells_who_must_be_run(plain_class):
    assert first_look.new_work(plain_class.folder, ["small"]).to_run == set()
    small.hand_in(plain_class, "bench-02", {"area": "area = side**2"})
    new = first_look.new_work(plain_class.folder, ["small"])
    assert (new.slugs, new.to_run) == ({"small"}, {("bench-02", "small")})


def test_a_wrong_first_look_costs_time_alone(plain_class):
    small.hand_in(plain_class, "bench-02", {"area": "area = side**2"})
    new = first_look.new_work(plain_class.folder, ["small"])
    new.to_run = {("bench-01", "small"), ("bench-05", "small")}
    assert set(told_by(plain_class, new=new).values()) == {"marked"}
    with gradebook(plain_class.folder) as book:
        assert scores(book, "small")["bench-02"]["area"] == 2


# changed notebooks, all of which must be read as they run, or be run


def added(text):
    return nbformat.v4.new_code_cell(text)


def place_of(cells, id):
    return next(i for i, cell in enumerate(cells) if grade_id(cell) == id)


def insert(id, text):
    def change(cells):
        cells.insert(place_of(cells, id) + 1, added(text))

    return change


def merged(cells):
    shape = cells.pop(place_of(cells, "shape-answer"))
    cells[place_of(cells, "area-answer")].source += f"\n{shape.source}"


def into_a_locked_cell(cells):
    shape = cells.pop(place_of(cells, "shape-answer"))
    cells[place_of(cells, "own-numbers")].source += f"\n{shape.source}"


def answer_after_its_check(cells):
    cells.append(cells.pop(place_of(cells, "area-answer")))


def numbers_last(cells):
    cells.append(cells.pop(place_of(cells, "own-numbers")))


def twice(id):
    def change(cells):
        cells.insert(0, copy.deepcopy(cells[place_of(cells, id)]))

    return change


def tampered(cells):
    cells[place_of(cells, "area")].source = "area = 5"
    cells[place_of(cells, "own-numbers")].source = "1 / 0"


def gone(cells):
    del cells[place_of(cells, "own-numbers")], cells[place_of(cells, "area-answer")]


def other_kinds(cells):
    for cell in cells:
        cell.cell_type = "raw"


CHANGES = {  # change → whether it can be read without being run
    "nothing": (lambda cells: None, True),
    "an empty cell": (insert("area", "\n"), True),
    "a cell of comments": (insert("area", "# side * side"), True),
    "a calculation beside": (insert("area", "15 * 15"), False),
    "the variable set in another cell": (insert("area-text", "area = 3"), False),
    "the variable set later": (insert("area-answer", "area = 3"), False),
    "the variable deleted": (insert("area-answer", "del area"), False),
    "two answers in one cell": (merged, False),
    "an answer in a locked cell": (into_a_locked_cell, True),
    "an answer below its check": (answer_after_its_check, True),
    "own numbers last": (numbers_last, True),
    "an answer twice": (twice("area-answer"), False),
    "own numbers twice": (twice("own-numbers"), False),
    "locked cells changed": (tampered, True),
    "cells gone": (gone, True),
    "no cells": (lambda cells: cells.clear(), True),
    "raw cells": (other_kinds, True),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_changed_notebook_is_read_as_it_runs_or_is_run(plain_class, caged, monkeypatch, name):
    work, (change, is_read) = plain_class, CHANGES[name]
    path = work.folder.submitted("bench-01", "small") / "small.ipynb"
    notebook = nbformat.read(path, as_version=4)
    change(notebook.cells)
    path.write_text(json.dumps(notebook))
    flagged = first_look.new_work(work.folder, ["small"]).to_run
    assert not (is_read and flagged)
    release = mark_class.released(work).notebook
    handed = Submission.read(work.folder, "bench-01", "small")
    read = mark_class._plain_run(work, release, mark_class._made_ready(release, handed))
    assert (read is not None) == is_read
    first = mark_class.mark_one(work, release, handed, caged)
    runs = run_all(monkeypatch)
    assert first == mark_class.mark_one(work, release, handed, caged)
    assert runs == ["bench-01"]


def test_a_release_with_other_locked_code_is_run(plain_class):
    release = copy.deepcopy(mark_class.released(plain_class).notebook)
    handed = Submission.read(plain_class.folder, "bench-01", "small")
    for id in ("own-numbers", "double"):
        changed = copy.deepcopy(release)
        changed.cells[place_of(changed.cells, id)].source += "\narea = 3"
        ready = mark_class._made_ready(changed, handed)
        assert mark_class._plain_run(plain_class, changed, ready) is None


# a decimal comma

SPACED = "Python reads 132, 25 as two numbers, and one was asked. If the comma was meant for the decimals, write a point: 132.25."
TWO_WAYS = "“{}” can be read in two ways. Write one point or comma for the decimals and nothing between the thousands, like 1234.5."


@pytest.mark.parametrize(
    ("cell", "given", "reason"),
    [
        ("area = 132,25", "132.25 mm", ""),
        ("area = 132,25  # mm", "132.25 mm", ""),
        ("# worked: 11,5 * 11,5 = 132,25\narea = 132,25", "132.25 mm", ""),
        ("area = 132,09", "132.09 mm", ""),  # for Python no number begins with a zero
        ("area = -0,5", "−0.5 mm", ""),  # for Python the sign is lost
        ("area = −0,5", "−0.5 mm", ""),
        ("area = ,5", "0.5 mm", ""),
        ("area = 132,25,1", "", TWO_WAYS.format("132,25,1")),
        ("area = 1.132,25", "", TWO_WAYS.format("1.132,25")),
        ("area = 132, 25", "", SPACED),
        ("area = [132, 25]", "", SPACED),
        ("area = (132,25)", "", SPACED),
        ("area = 132 , 25", "", SPACED),
        ("area = 132, -25", "", "One number was asked, not a list. Take the one you mean, like value[0]."),
        ("area = 1, 2, 3", "", "One number was asked, not a list. Take the one you mean, like value[0]."),
        ("area = 132, 25.5", "", "One number was asked, not a list. Take the one you mean, like value[0]."),
        ("area = 132,", "132 mm", ""),
    ],
)  # fmt: skip
def test_a_decimal_comma_is_understood_or_named_run_or_not(
    plain_class, caged, monkeypatch, cell, given, reason
):
    small.hand_in(plain_class, "bench-01", {"area": cell})
    release = mark_class.released(plain_class).notebook
    handed = Submission.read(plain_class.folder, "bench-01", "small")
    one, notebook = mark_class.mark_one(plain_class, release, handed, NOWHERE)
    runs = run_all(monkeypatch)
    assert (one, notebook) == mark_class.mark_one(plain_class, release, handed, caged)
    assert runs == ["bench-01"]
    area = one.marks[0]
    assert (area.given, area.reason if reason else "") == (given, reason)
    assert area.verdict == "unreadable" if reason else area.verdict != "unreadable"


def test_code_elsewhere_that_changes_the_value_counts(plain_class):
    """What other code made of the pair is the student's answer, not what the comma may have meant."""
    handed = small.hand_in(plain_class, "bench-01", {"area": "area = 132,25"})
    notebook = nbformat.read(handed / "small.ipynb", as_version=4)
    insert("area-answer", "area = area[0] + 7")(notebook.cells)
    nbformat.write(notebook, handed / "small.ipynb")
    told_by(plain_class)
    one = mark_class.recorded(plain_class.folder, "bench-01", "small")
    assert one.marks[0].given == "139 mm"
