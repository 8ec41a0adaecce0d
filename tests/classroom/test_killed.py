"""A marking killed at any moment: the next one ends with the same gradebook and notebooks."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing

import nbformat
import pytest

from coursekit.classroom.gradebook.nbgrader_settings import note_course

from . import small

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")]

KILLS = 51
FILES = ("small.ipynb", "timestamp.txt", "marks.json")
STATES = (
    "handed in", "key mended", "handed in", "handed in again", "handed in", "key mended",
    "handed in", "handed in again", "no gradebook",
)  # fmt: skip


class Marker:
    """The process that marks in forks."""

    def __init__(self, log):
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.classroom.killable"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=log, text=True,
        )  # fmt: skip

    def start(self, path, last_call=0):
        words = ("go", path / "class", path / "course", last_call)
        print(*words, file=self._process.stdin, flush=True)
        return int(self._process.stdout.readline())

    def warm(self, path):
        print("warm", path / "class", path / "course", 0, file=self._process.stdin, flush=True)
        assert self._process.stdout.readline() == "warm\n"

    def ended(self):
        """How the marking ended, and how many calls it made."""
        code, calls = self._process.stdout.readline().split()
        return int(code), int(calls)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self._process.communicate()


def kept(path):
    """What must be the same in the end: the gradebook's rows, and all files of marked work."""
    return small.rows(small.opened(path)), small.tree(path / "class" / "autograded")


def put(saved, path):
    if path.exists():
        shutil.rmtree(path)
    shutil.copytree(saved, path)


@pytest.fixture(scope="module")
def states(tmp_path_factory):
    """Class folders at which a marking may start, by name."""
    base = tmp_path_factory.mktemp("killed")
    work = small.evening(base / "now", 4)
    for i, student in enumerate(s.id for s in work.folder.students):
        cells = {"area": "area = 4 * side"} if i % 2 else {"double": "double = 1 / 0"}
        small.hand_in(work, student, cells)
        (work.folder.submitted(student, "small") / "trace.csv").write_text("1,2\n" * i)
    shutil.copytree(base / "now", base / "handed in")
    with (base / "log").open("wb") as log, Marker(log) as marker:
        marker.start(base / "now")
        assert marker.ended()[0] == 0
    shutil.copytree(base / "now", base / "marked")
    put(base / "marked", base / "key mended")
    key = base / "key mended" / "course" / "solutions" / "small.py"
    key.write_text(key.read_text().replace("credit=0.25", "credit=0.5"))
    put(base / "marked", base / "handed in again")
    again = small.opened(base / "handed in again")
    for student in ("bench-01", "bench-04"):
        small.hand_in(again, student, {"why": "For another reason."}, "2026-02-04 10:00:00 UTC")
    put(base / "handed in", base / "no gradebook")
    (base / "no gradebook" / "class" / "gradebook.db").unlink()
    return base


def whole_but_unfinished(path):
    """Whatever the moment of the kill, nothing is half: the gradebook is sound, notebooks are read."""
    file = path / "class" / "gradebook.db"
    if file.is_file():
        with closing(sqlite3.connect(file)) as book:
            assert book.execute("pragma integrity_check").fetchone() == ("ok",)
    for notebook in (path / "class").glob("autograded/*/*/*.ipynb"):
        nbformat.validate(nbformat.read(notebook, as_version=4))


def test_killed_at_random_moments_the_next_run_ends_the_same(states, tmp_path):
    """Most kills fall before a call chosen at random, every tenth at a time chosen at random."""
    chance = random.Random(20260203)
    path, log_path = tmp_path / "class", tmp_path / "log"
    with log_path.open("wb") as log, Marker(log) as marker:

        def to_the_end():
            start = time.monotonic()
            marker.start(path)
            code, calls = marker.ended()
            assert code == 0, log_path.read_text()
            return calls, time.monotonic() - start

        put(states / "handed in", path)
        marker.warm(path)
        goal, calls, length = {}, {}, {}
        for state in sorted(set(STATES)):
            put(states / state, path)
            calls[state], length[state] = to_the_end()
            goal[state] = kept(path)
        killed, stages = 0, set()
        for attempt in range(2 * KILLS):
            if killed == KILLS:
                break
            state = STATES[attempt % len(STATES)]
            put(states / state, path)
            if attempt % 10 == 9:
                pid = marker.start(path)
                time.sleep(chance.uniform(0, length[state]))
                with contextlib.suppress(ProcessLookupError):
                    os.killpg(pid, signal.SIGKILL)
            else:
                marker.start(path, chance.randint(1, calls[state]))
            if marker.ended()[0] == -signal.SIGKILL:
                killed += 1
                whole_but_unfinished(path)
                made = [len(list((path / "class").glob(f"autograded/*/*/{n}"))) for n in FILES]
                stages.add((state, *made))
            to_the_end()
            assert kept(path) == goal[state], f"{state}, kill {attempt}"
            assert not list((path / "class" / "autograded").rglob("*.part"))
    assert killed == KILLS
    assert len(stages) >= 8  # the kills fell into many different stages of the work


def test_the_command_itself_killed_in_the_middle(states, tmp_path):
    """The real command with the real runner, killed when the first record is there."""
    for name in ("killed", "whole"):
        put(states / "handed in", tmp_path / name)
        work = small.opened(tmp_path / name)
        note_course(work.folder, tmp_path / name / "course")
    command = [sys.executable, "-m", "coursekit.cli", "mark", "small", "--quiet", "--class"]

    def start(name):
        return subprocess.Popen(
            [*command, str(tmp_path / name / "class")],
            cwd=tmp_path / name / "course", start_new_session=True,
            env={k: v for k, v in os.environ.items() if k != "COURSEKIT_ROOT"},
        )  # fmt: skip

    process = start("killed")
    records = tmp_path / "killed" / "class" / "autograded"
    deadline = time.monotonic() + 600
    while not list(records.glob("*/*/marks.json")) and time.monotonic() < deadline:
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL
    assert start("killed").wait() == 0
    assert start("whole").wait() == 0
    assert kept(tmp_path / "killed") == kept(tmp_path / "whole")
