"""Undo of the last steps: all of it comes back, whatever is killed, and nobody who was erased."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import sys
import zipfile
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import by_hand, mark_class
from coursekit.classroom.register import packing, undo
from coursekit.classroom.register.class_folder import ClassError, load, write_text
from coursekit.classroom.report import class_check
from coursekit.classroom.students import privacy, rename
from coursekit.cli import main

from . import small
from .conftest import LIMITS
from .killable import counted
from .test_upkeep import holder  # noqa: F401


def state(folder):
    """All that a class consists of: its folders, its files, and what its gradebook says."""
    root, not_ours = folder.path, (".undo", ".made/backups", ".made/lock", ".made/release")
    files = {k: v for k, v in small.tree(root).items() if not k.startswith(not_ours)}
    files = {k: v for k, v in files.items() if not k.endswith(".known.json")}
    folders = {p.relative_to(root).as_posix() for p in root.rglob("*") if p.is_dir()}
    if files.pop("gradebook.db", None):
        with closing(sqlite3.connect(folder.gradebook_file)) as book:
            files["gradebook"] = "\n".join(book.iterdump())
    return files, {f for f in folders if not f.startswith(not_ours)}


def mark_anew(work):
    """One step: other work is handed in and marked, which changes notebooks, records, gradebook."""
    small.hand_in(work, "bench-03")
    small.hand_in(work, "bench-05", {"shape": 'shape = "round"'})
    mark_class.mark_class(work, limits=LIMITS)


def test_a_step_is_undone_and_done_again(evening):
    before = state(evening.folder)
    assert undo.last(evening.folder) is None
    assert undo.keep_before(evening.folder, "mark small") == ""
    assert state(evening.folder) == before
    mark_anew(evening)
    after = state(evening.folder)
    assert after != before
    assert undo.last(evening.folder).words == "mark small"
    assert undo.undo(evening.folder).left == ()
    assert state(evening.folder) == before
    assert undo.last(evening.folder) is None
    assert undo.last(evening.folder, redo=True).words == "mark small"
    undo.undo(evening.folder, redo=True)
    assert state(evening.folder) == after
    undo.undo(evening.folder)
    assert state(evening.folder) == before
    # and the class goes on from there: the same work gives the same marks again
    mark_anew(evening)
    assert small.rows(evening)[0][0] == "bench-01"
    again = state(evening.folder)[0]
    assert {k for k in after[0] if again[k] != after[0][k]} <= {
        "gradebook"
    }  # its rows have ids of chance


def test_the_first_hand_out_of_a_class_can_be_undone(tmp_path):
    work = small.evening(tmp_path, 3)
    fresh = small.open_class(tmp_path / "fresh", work.folder.students, "Fresh")
    before = state(fresh)
    undo.keep_before(fresh, "hand-out small")
    assignments.hand_out(assignments.assignment(fresh, "small", work.root))
    assert state(fresh) != before
    undo.undo(fresh)
    now = state(fresh)
    assert now[0] == before[0]
    assert now[1] - before[1] == {".made"}


def steps(folder, count):
    """Do so many steps, each another title; return the state before each and after the last."""
    states = [state(folder)]
    for i in range(count):
        undo.keep_before(folder, f"step {i}")
        write_text(folder.path / "class.toml", f'title = "Evening {i}"\n')
        states.append(state(folder))
    return states


def test_three_steps_are_undone_one_after_the_other_and_done_again_in_order(evening):
    states = steps(evening.folder, 5)
    for i in (4, 3, 2):
        assert undo.last(evening.folder).words == f"step {i}"
        undo.undo(evening.folder)
        assert state(evening.folder) == states[i]
    with pytest.raises(ClassError, match="a step must be kept to be undone; none is"):
        undo.undo(evening.folder)
    for i in (2, 3):
        assert undo.last(evening.folder, redo=True).words == f"step {i}"
        undo.undo(evening.folder, redo=True)
        assert state(evening.folder) == states[i + 1]
    # another step: what was undone before it can't be done again
    undo.keep_before(evening.folder, "another")
    write_text(evening.folder.path / "class.toml", 'title = "Another"\n')
    with pytest.raises(ClassError, match="an undo must be the last thing done to be taken back"):
        undo.undo(evening.folder, redo=True)
    undo.undo(evening.folder)
    assert state(evening.folder) == states[4]


def test_what_no_state_holds_any_more_is_removed(evening):
    files = evening.folder.path / ".undo" / "files"
    steps(evening.folder, 9)
    undo.keep_before(evening.folder, "nothing")
    assert len(list((evening.folder.path / ".undo").glob("0*.json"))) == undo.KEPT
    titles = [
        p.read_bytes() for p in files.iterdir() if p.read_bytes().startswith(b'title = "Even')
    ]
    assert sorted(titles) == [f'title = "Evening {i}"\n'.encode() for i in (5, 6, 7, 8)]


def test_appended_readings_go_only_with_the_step_that_took_them_in(evening):
    path = evening.folder.path / "bench" / "small.csv"
    copy = evening.folder.made / "bench" / "small.csv"
    for place in (path, copy):
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text("one\n")

    def append(line):  # as the record is written: in place
        for place in (path, copy):
            with place.open("a") as file:
                file.write(line)

    def both():
        return [p.read_text() for p in (path, copy)]

    undo.keep_before(evening.folder, "bench take-in", records=True)
    append("two\n")
    undo.keep_before(evening.folder, "mark small")
    write_text(evening.folder.path / "class.toml", 'title = "Another"\n')
    append("three\n")  # typed on a phone meanwhile
    undo.undo(evening.folder)
    assert both() == ["one\ntwo\nthree\n"] * 2
    undo.undo(evening.folder)
    assert both() == ["one\n"] * 2
    undo.undo(evening.folder, redo=True)
    assert both() == ["one\ntwo\nthree\n"] * 2


def test_files_that_people_edit_in_place_come_back(evening):
    undo.keep_before(evening.folder, "class due")
    roster = evening.folder.path / "roster.csv"
    before = roster.read_text()
    with roster.open("r+") as file:
        file.write("ID")
    undo.undo(evening.folder)
    assert roster.read_text() == before


def test_what_another_program_wrote_into_in_place_stays_and_is_told(evening):
    notebook = evening.folder.submitted("bench-01", "small") / "small.ipynb"
    other = evening.folder.submitted("bench-02", "small") / "small.ipynb"
    before = other.read_text()
    undo.keep_before(evening.folder, "mark small")
    with notebook.open("a") as file:
        file.write("\n ")
    write_text(other, "{}")
    changed = notebook.read_text()
    assert undo.undo(evening.folder).left == ("submitted/bench-01/small/small.ipynb",)
    assert (notebook.read_text(), other.read_text()) == (changed, before)


def test_whoever_has_the_gradebook_open_sees_what_was_put_back(evening):
    undo.keep_before(evening.folder, "read small")
    with gradebook(evening.folder) as book:
        grade = book.find_grade("why", "small", "small", "bench-01")
        assert grade.manual_score is None
        book.db.commit()
        by_hand.give(evening, "bench-01", "why", 2)
        assert grade.manual_score == 2
        book.db.commit()
        undo.undo(evening.folder)
        assert grade.manual_score is None
        grade.manual_score = 1
        book.db.commit()
    (one,) = by_hand.to_read(evening)
    assert one.answers[0].score == 1


def test_a_gradebook_that_was_lost_or_damaged_comes_back(evening):
    before = state(evening.folder)
    for harm in (evening.folder.gradebook_file.unlink,
                 lambda: evening.folder.gradebook_file.write_bytes(b"not a database" * 999)):  # fmt: skip
        undo.keep_before(evening.folder, "a step")
        harm()
        try:
            undo.undo(evening.folder)
        except sqlite3.DatabaseError:
            pytest.fail("a damaged gradebook must not be in the way")
        assert state(evening.folder) == before


def test_links_and_folders_too_deep_are_left_alone(evening, tmp_path):
    place = evening.folder.submitted("bench-01", "small")
    (place / "link").symlink_to(tmp_path)
    deep = place
    for _ in range(45):
        deep = deep / "d"
    deep.mkdir(parents=True)
    (deep / "file").write_text("x")
    undo.keep_before(evening.folder, "mark small")
    before = state(evening.folder)
    shutil.rmtree(evening.folder.autograded("bench-01", "small"))
    undo.undo(evening.folder)
    assert state(evening.folder) == before
    assert (place / "link").is_symlink()
    assert (deep / "file").read_text() == "x"
    assert tmp_path.is_dir()


def test_a_step_that_changed_nothing_is_none(evening):
    states = steps(evening.folder, 1)
    undo.undo(evening.folder)
    for words in ("mark small", "class due nowhere"):
        undo.keep_before(evening.folder, words)
        mark_class.mark_class(evening, limits=LIMITS)  # nothing is new
        assert undo.last(evening.folder) is None
    # so what was undone before can still be done again
    assert undo.last(evening.folder, redo=True).words == "step 0"
    undo.undo(evening.folder, redo=True)
    assert state(evening.folder) == states[1]
    undo.keep_before(evening.folder, "mark small")
    assert undo.last(evening.folder).words == "step 0"
    undo.undo(evening.folder)
    assert state(evening.folder) == states[0]


# Killed at any moment


def killed(work, at):
    """Do `work` in a fork that kills itself at its call number `at`; return whether it was killed."""
    pid = os.fork()
    if pid == 0:
        code = 1
        try:
            counted(work, at)
            code = 0
        finally:
            os._exit(code)
    ended = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    assert ended in (0, -signal.SIGKILL)
    return ended != 0


def twin(place, other):
    """Make `other` a copy in which the files are those of `place`, by which kept ones are known.

    What is written in place is copied.
    """
    written = {"gradebook.db", "lock", "class.toml", "roster.csv"}

    def copy(source, target):
        if Path(source).name in written:
            return shutil.copy2(source, target)
        os.link(source, target)
        return target

    shutil.copytree(place, other, copy_function=copy)


def calls(work):
    """Return how many calls `work` makes, done in a fork, in which it changes the disk all the same."""
    reader, writer = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.write(writer, str(counted(work, 0)).encode())
        os._exit(0)
    os.close(writer)
    os.waitpid(pid, 0)
    found = int(os.read(reader, 20))
    os.close(reader)
    return found


def spread(count, tries):
    """Return places among `count` calls: all over, and closer together towards the end."""
    return sorted({round(count * (i / tries) ** 0.7) for i in range(1, tries + 1)})


@pytest.mark.parametrize("tries", [40, pytest.param(600, marks=pytest.mark.slow)])
def test_an_undo_that_is_killed_is_finished_by_the_next(evening, tmp_path, tries):
    before = state(evening.folder)
    undo.keep_before(evening.folder, "mark small")
    mark_anew(evening)
    after = state(evening.folder)
    ready = tmp_path / "ready"
    twin(evening.folder.path, ready)
    work = partial(undo.undo, evening.folder)
    count = calls(work)
    assert state(evening.folder) == before
    ends = set()
    for at in spread(count, tries):
        shutil.rmtree(evening.folder.path)
        twin(ready, evening.folder.path)
        assert state(evening.folder) == after
        was_killed = killed(work, at)
        if undo.is_unfinished(evening.folder.path):
            ends.add("unfinished")
            (found,) = [
                f for f in class_check.check(evening.folder, evening.root).findings if f.stops
            ]
            assert "an undo must be finished before anything else" in found.said
            assert "must be finished" in undo.keep_before(evening.folder, "another")
            undo.undo(evening.folder)
            assert state(evening.folder) == before
        elif state(evening.folder) == after:
            assert was_killed
            ends.add("not begun")
            undo.undo(evening.folder)
            assert state(evening.folder) == before
        else:
            ends.add("done")
            assert state(evening.folder) == before
        undo.undo(evening.folder, redo=True)
        assert state(evening.folder) == after
        assert not list(evening.folder.path.rglob(".*.part"))
    assert ends >= {"unfinished", "not begun"}


@pytest.mark.parametrize("tries", [25, pytest.param(400, marks=pytest.mark.slow)])
def test_a_keeping_that_is_killed_leaves_the_steps_before_it(evening, tries):
    states = steps(evening.folder, 3)
    saved = evening.folder.path.with_name("saved")
    twin(evening.folder.path / ".undo", saved)
    work = partial(undo.keep_before, evening.folder, "the fourth")
    count = calls(work)
    for at in spread(count, tries):
        shutil.rmtree(evening.folder.path / ".undo")
        twin(saved, evening.folder.path / ".undo")
        killed(work, at)
        assert state(evening.folder) == states[3]
        for i in (2, 1, 0):  # each step once, and the fourth has done nothing yet
            assert undo.last(evening.folder).words == f"step {i}"
            undo.undo(evening.folder)
            assert state(evening.folder) == states[i]
        assert undo.last(evening.folder) is None
        for i in (1, 2, 3):
            undo.undo(evening.folder, redo=True)
            assert state(evening.folder) == states[i]


# Nobody comes back


def test_nothing_of_an_erased_student_survives_and_no_undo_brings_it_back(evening):
    undo.keep_before(evening.folder, "mark small")
    mark_anew(evening)
    undo.keep_before(evening.folder, "feedback small")
    undo.undo(evening.folder)
    kept = [p for p in (evening.folder.path / ".undo").rglob("*") if p.is_file()]
    assert any(b"bench-02" in p.read_bytes() for p in kept)
    half = evening.folder.made / "backups" / ".gradebook-half.db.part"  # as a kill leaves it
    shutil.copy(evening.folder.gradebook_file, half)
    erased = privacy.erase(evening.folder, "bench-02")
    assert erased.left == ()
    assert not (evening.folder.path / ".undo").exists()
    for redo in (False, True):
        with pytest.raises(ClassError, match=r"undone; none is|taken back; none is"):
            undo.undo(load(evening.folder.path), redo=redo)


def test_an_old_id_comes_back_by_no_undo(evening):
    undo.keep_before(evening.folder, "mark small")
    changed = rename.rename(evening.folder, "bench-02", "bench-09")
    assert undo.last(changed) is None


def test_a_packed_class_holds_no_kept_steps(evening, tmp_path):
    undo.keep_before(evening.folder, "mark small")
    count = packing.pack(evening.folder, tmp_path / "class.zip")
    with zipfile.ZipFile(tmp_path / "class.zip") as packed:
        assert len(packed.namelist()) == count
        assert not [n for n in packed.namelist() if ".undo" in n]


# Where it can't be


def test_a_gradebook_on_a_server_says_so(evening):
    folder = replace(evening.folder, gradebook="postgresql://db/evening")
    said = "steps can be undone only where the gradebook lies in the class folder; this one is on a"
    assert said in undo.keep_before(folder, "mark small")
    with pytest.raises(ClassError, match=said):
        undo.undo(folder)
    assert not (folder.path / ".undo").exists()


def test_a_disk_without_hard_links_says_so(evening, monkeypatch):
    def no_link(*names):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_link)
    said = "only on a disk that lets a file have two names; this one does not"
    assert said in undo.keep_before(evening.folder, "mark small")
    with pytest.raises(ClassError, match=said):
        undo.undo(evening.folder)


def test_while_the_class_is_marked_nothing_is_kept_or_undone(evening, holder):  # noqa: F811
    assert "another is at work" in undo.keep_before(evening.folder, "mark small")
    with pytest.raises(ClassError, match="another is at work"):
        undo.undo(evening.folder)


def test_what_was_kept_and_is_lost_stops_the_undo_before_it_begins(evening):
    undo.keep_before(evening.folder, "mark small")
    mark_anew(evening)
    after = state(evening.folder)
    next((evening.folder.path / ".undo" / "files").glob("l*")).unlink()
    with pytest.raises(ClassError, match="what was kept must be there to be put back"):
        undo.undo(evening.folder)
    assert state(evening.folder) == after


# The command


def test_each_command_that_writes_can_be_undone(evening, monkeypatch):
    monkeypatch.chdir(evening.root)

    def call(*words):
        done = CliRunner().invoke(main, [*words, "--class", str(evening.folder.path)])
        return done.exit_code, done.output

    before = state(evening.folder)
    assert call("class", "undo", "--show") == (0, "There is nothing to undo.\n")
    assert call("class", "undo")[0] == 1
    assert call("class", "due", "small", "2999-02-03")[0] == 0
    due = state(evening.folder)
    assert call("feedback", "small")[0] == 0
    assert "It would undo: `feedback small` of " in call("class", "undo", "--show")[1]
    code, said = call("class", "undo")
    assert (code, said.startswith("Undone: `feedback small` of ")) == (0, True)
    assert state(evening.folder) == due
    code, said = call("class", "undo", "--json")
    assert (code, '"words": "class due small"' in said) == (0, True)
    assert state(evening.folder) == before
    code, said = call("class", "undo", "--redo")
    assert (code, said.startswith("Done again: `class due small` of ")) == (0, True)
    assert state(evening.folder) == due
    assert (
        call("class", "show")[0] == call("read", "small", "--json")[0] == 0
    )  # these write nothing
    assert undo.last(evening.folder, redo=True).words == "feedback small"


def test_commands_that_write_wait_for_an_undo_that_was_cut_short(evening, monkeypatch):
    monkeypatch.chdir(evening.root)
    undo.keep_before(evening.folder, "mark small")
    mark_anew(evening)
    monkeypatch.setattr(undo, "_restore", lambda *_: sys.exit())
    with pytest.raises(SystemExit):
        undo.undo(evening.folder)
    monkeypatch.undo()
    monkeypatch.chdir(evening.root)
    done = CliRunner().invoke(main, ["mark", "small", "--class", str(evening.folder.path)])
    assert done.exit_code == 1
    assert "an undo must be finished before anything else; it was cut short. Run" in done.output
