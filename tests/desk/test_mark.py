"""The Mark page: what is new, marking it, what came of it; broken off, it ends the same."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from coursekit.classroom.demo.invented_class import right_cells
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register.one_piece import LEFT
from coursekit.desk.pages import mark
from coursekit.desk.worker import note_of

from ..classroom import small
from .desk_client import PATIENCE, Window, serving_desk

COUNT = 6
TICK = {"lesson.small": "on"}


@pytest.fixture
def work(tmp_path):
    """A class whose work is new: half of it must be run, some is late, one is not handed in."""
    work = small.evening(tmp_path, COUNT)
    for n, student in enumerate(s.id for s in work.folder.students):
        if n < COUNT - 1:
            double = right_cells(work, student)["double"]
            code = {"double": double.replace("double = ", "double = 0 + ")} if n % 2 else {}
            small.hand_in(work, student, {"area": "area = 1"} | code)
    return work


@pytest.fixture
def desk(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def marked(window, **ticks):
    """Return the page that shows what came of marking the small lesson."""
    status, headers, text = window.send("/mark", "/mark", **(ticks or TICK))
    assert status == 303, text
    return window.wait(headers["Location"])


def kept(path):
    """Return what marking leaves behind: the gradebook's rows, marked work and pages."""
    work = small.opened(path)
    return small.rows(work), *(
        small.tree(work.folder.path / folder) for folder in ("autograded", "feedback")
    )


def test_what_is_new_is_counted_and_what_is_marked_is_not(work):
    view = FormClass(work.folder, work.root)
    (one,) = mark.facts(view).new
    assert (one.title, one.new, one.marked) == ("Small", "5 new", 0)
    with serving_desk(work.folder.path, work.root) as desk:
        marked(Window(desk))
    small.hand_in(work, "bench-01", {"shape": 'shape = "round"'}, "2026-02-04 10:00:00 UTC\n")
    later = time.time() + 5
    os.utime(work.folder.submitted("bench-01", "small") / "small.ipynb", (later, later))
    (one,) = mark.facts(view).new
    assert (one.new, one.marked) == ("1 handed in again", 5)


def test_marking_shows_each_student_s_marks_and_makes_their_feedback(desk, work):
    window = Window(desk)
    assert "Small: <strong>5 new</strong>" in window.page("/mark")
    text = marked(window)
    table = text[text.index("came.small") :]
    for student in work.folder.students[:-1]:
        assert f'<th scope="row">{student.name}</th><td>marked</td>' in table
        assert (work.folder.feedback(student.id, "small") / "small.html").is_file()
    assert work.folder.students[-1].name not in table.partition("<form")[0]
    assert 'href="/read?lesson=small">5 answers to read' in table
    assert "There is no new work" in text
    again = marked(window)
    assert "Nothing has changed" in again
    assert "5 students with nothing new" in again


def test_a_late_deduction_is_named(work):
    file = work.folder.path / "class.toml"
    due = '[due]\nsmall = "2026-02-01T19:00:00+00:00"\n[late]\nper_day = 10\nmost = 50\n'
    file.write_text(file.read_text() + due)
    with serving_desk(work.folder.path, work.root) as desk:
        text = marked(Window(desk))
    assert re.search(r'<span class="marks">[\d.]+</span> <span class="soft">after [\d.]+ off', text)


def test_only_lessons_that_somebody_handed_in_are_marked(desk):
    window = Window(desk)
    for said in ({}, {"lesson.other": "on"}, {"lesson...": "on"}):
        status, _, text = window.send("/mark", "/mark", **said)
        assert status == 422
        assert "Tick at least one lesson." in text
    assert not desk.jobs.jobs


def test_work_that_was_left_is_named_with_the_reason(work, tmp_path):
    """It stands once for all whom it is about, and no mark is said of them."""
    result = {
        "lessons": [
            {
                "slug": "small",
                "out_of": 8.0,
                "rows": [
                    {"id": "bench-01", "what": ""},
                    {"id": "bench-02", "what": "unchanged", "marks": 8.0, "late": 0.0},
                ],
                "to_read": 0,
                "left": [{"why": "It holds code.", "students": ["bench-01", "bench-03"]}],
            }
        ]
    }
    (came,) = mark.came_of(FormClass(work.folder, work.root), result)
    one, two, three = (s.name for s in work.folder.students[:3])
    assert came.left == ((f"{one} and {three}", "It holds code."),)
    assert [row.name for row in (*came.changed, *came.same)] == [two]


def test_what_fails_for_one_student_is_said_and_the_rest_is_marked(desk, work):
    in_the_way = work.folder.autograded("bench-02", "small")
    in_the_way.parent.mkdir(parents=True)
    in_the_way.write_text("")
    text = marked(Window(desk))
    name = work.folder.students[1].name
    assert f"Not done for {name}." in text
    assert LEFT not in text
    assert f'<th scope="row">{work.folder.students[2].name}</th><td>marked</td>' in text


# broken off


@pytest.fixture
def goal(work, tmp_path):
    """What an uninterrupted marking of the same class leaves behind."""
    shutil.copytree(tmp_path / "class", tmp_path / "other" / "class")
    shutil.copytree(tmp_path / "course", tmp_path / "other" / "course")
    other = small.opened(tmp_path / "other")
    with serving_desk(other.folder.path, other.root) as desk:
        marked(Window(desk))
    return kept(tmp_path / "other")


def begun(desk, window):
    """Order the marking, and return its job when some of it is done but not all."""
    status, headers, _ = window.send("/mark", "/mark", **TICK)
    assert status == 303
    job = desk.jobs.jobs[re.search(r"job=(.+)", headers["Location"])[1]]
    late = time.monotonic() + PATIENCE
    while job.done < 2:
        assert job.state in ("waiting", "at work"), job
        assert time.monotonic() < late, job
        time.sleep(0.002)
    return job


def test_stopped_in_the_middle_it_goes_on_and_ends_the_same(work, tmp_path, goal):
    with serving_desk(work.folder.path, work.root) as desk:
        window = Window(desk)
        job = begun(desk, window)
        window.send("/mark", "/jobs/stop", job=job.id)
        assert job.state == "stopped"
        assert kept(tmp_path) != goal
        marked(window)
    assert kept(tmp_path) == goal


@pytest.mark.skipif(os.name != "posix", reason="needs signals")
def test_with_the_worker_killed_it_goes_on_and_ends_the_same(work, tmp_path, goal):
    with serving_desk(work.folder.path, work.root) as desk:
        window = Window(desk)
        job = begun(desk, window)
        os.kill(desk.jobs._worker.pid, signal.SIGKILL)
        text = window.wait(job.page)
        assert "failed. The program that does the work ended in the middle." in text
        assert kept(tmp_path) != goal
        marked(window)
    assert kept(tmp_path) == goal


needs_proc = pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="needs /proc")


@needs_proc
def test_with_the_desk_killed_the_marking_at_hand_is_done_to_its_end(work, tmp_path, goal):
    desk = DeskProcess(work, tmp_path)
    desk.mark_until_some_is_kept()
    desk.kill()
    wait_until(lambda: not note_of(work.folder.path).exists())
    assert kept(tmp_path) == goal


@needs_proc
def test_with_the_desk_and_its_worker_killed_it_goes_on_and_ends_the_same(work, tmp_path, goal):
    """So it is with an empty battery."""
    desk = DeskProcess(work, tmp_path)
    desk.mark_until_some_is_kept()
    desk.kill(with_worker=True)
    assert kept(tmp_path) != goal
    with serving_desk(work.folder.path, work.root) as again:
        window = Window(again)
        assert "“Marking Small” was broken off." in window.page("/")
        marked(window)
        assert "was broken off" not in window.page("/")
    assert kept(tmp_path) == goal


def wait_until(true):
    late = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < late
        time.sleep(0.005)


class DeskProcess:
    """`coursekit desk` in a process of its own, which can be killed, with its worker or alone."""

    def __init__(self, work, tmp_path):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        self.work, self.log = work, tmp_path / "log"
        with self.log.open("w") as log:
            self.process = subprocess.Popen(
                [
                    *(sys.executable, "-m", "coursekit.cli", "desk", "--no-window"),
                    *("--class", str(work.folder.path), "--port", str(port)),
                ],
                env={**os.environ, "COURSEKIT_ROOT": str(work.root)},
                stdout=log,
                stderr=log,
            )
        wait_until(lambda: self.process.poll() is not None or "key=" in self.log.read_text())
        key = re.search(r"key=(\S+)", self.log.read_text())[1]
        self.address = SimpleNamespace(port=port, key=key, windows=[])

    def mark_until_some_is_kept(self):
        status, _, _ = Window(self.address).send("/mark", "/mark", **TICK)
        assert status == 303
        place = self.work.folder.path / "autograded"
        wait_until(lambda: len(list(place.glob("*/small/marks.json"))) >= 2)

    def kill(self, with_worker=False):
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        workers = [int(pid) for pid in children.read_text().split()]
        assert len(workers) == 1
        self.process.kill()
        if with_worker:
            os.killpg(workers[0], signal.SIGKILL)
        self.process.wait()
        self.address.windows[0].close()
