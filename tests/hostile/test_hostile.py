"""Attacks that students could hand in, each judged on its own; the rest of the class is marked."""

from __future__ import annotations

from pathlib import Path

import pytest

from . import attacks, files
from .conftest import (
    BREAKERS,
    CANARY,
    FILERS,
    FIRST,
    FORGERS,
    HONEST,
    SLEEP,
    SLUG,
    TRIERS,
)

pytestmark = pytest.mark.slow


def by_name(table):
    return [pytest.param(student, id=name) for student, name in table.items()]


@pytest.mark.parametrize("student", by_name(FORGERS))
def test_no_mark_is_forged(marked, student):
    assert sum(marked.scores[student].values()) == 0
    assert "LOOT" not in marked.printed(student)


def test_a_changed_value_was_changed(marked):
    """The thread of the late forger did get its way with the variable, after it had been read."""
    (student,) = [s for s, name in FORGERS.items() if name == "changed later by a thread"]
    assert "AssertionError" not in marked.printed(student)
    assert marked.mark(student).given == "1e+09°"


@pytest.mark.parametrize("student", by_name(TRIERS))
def test_every_try_is_refused_and_the_marks_stay(marked, student):
    printed = marked.printed(student)
    assert "REFUSED" in printed
    assert "LOOT" not in printed
    assert CANARY not in printed
    marks = {k: v for k, v in marked.scores[student].items() if k != "gap"}
    assert marks == marked.machine_marks()


@pytest.mark.parametrize("student", by_name(BREAKERS))
def test_a_breaker_loses_its_own_cell_only(marked, student):
    assert marked.scores[student][FIRST] == 0
    found = marked.mark(student)
    assert found.verdict == "stopped"
    assert attacks.BREAK[BREAKERS[student]].says in found.reason
    rest = {k: v for k, v in marked.machine_marks().items() if k != FIRST}
    assert {k: marked.scores[student][k] for k in rest} == rest


@pytest.mark.parametrize("student", by_name(FILERS))
def test_a_bad_file_is_told_and_nothing_else_happens(marked, student):
    reason = files.FILES[FILERS[student]][1]
    marks = {k: v for k, v in marked.scores[student].items() if k != "gap"}
    if reason:
        assert sum(marks.values()) == 0
        assert marked.mark(student).reason == reason
    else:
        assert marks == marked.machine_marks()


@pytest.mark.parametrize("student", HONEST)
def test_the_rest_of_the_class_is_marked(marked, student):
    marks = {k: v for k, v in marked.scores[student].items() if k != "gap"}
    assert marks == marked.machine_marks()


def test_nothing_of_the_class_was_changed(marked):
    assert marked.before
    for path, data in marked.before.items():
        assert path.read_bytes() == data, path
    submitted = marked.work.folder.path / "submitted"
    assert {p.name for p in submitted.iterdir()} == {s.id for s in marked.work.folder.students}


def test_nothing_was_written_elsewhere(marked):
    places = ("/tmp", "/var/tmp", "/dev/shm", "/", "/etc", "/usr", "/run")
    assert [p for p in places if (Path(p) / "forged-by-bench").exists()] == []
    assert sorted(p.name for p in (marked.folder / "home").iterdir()) == ["canary.txt"]
    assert list((marked.folder / "tmp").iterdir()) == []


def test_no_address_was_reached(marked):
    assert marked.heard == []


def test_no_process_is_left(marked):
    left = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                words = (entry / "cmdline").read_bytes()
            except OSError:
                continue
            if SLEEP.encode() in words or str(marked.folder).encode() in words:
                left.append(words)
    assert left == []


def test_no_path_of_the_class_is_shown_to_a_student(marked):
    """What a notebook shows of its surroundings is the scratch folder, the same for everyone."""
    for student in BREAKERS:
        assert str(marked.work.folder.path) not in marked.printed(student)
        assert SLUG not in marked.printed(student)
