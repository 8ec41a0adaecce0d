"""A worker that is killed in the middle of any job loses nothing, and the job ordered again ends."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import time

import pytest

from coursekit.desk.jobs import WORKER, Jobs

from ..classroom import small

PATIENCE = 300.0
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGKILL"),
]
PAPER = {
    "kinds": ["worksheets", "blank", "key"], "lessons": ["small"], "students": [],
    "paper": "a4", "two_sided": False, "large": False, "write": True,
}  # fmt: skip
JOBS = {
    "paper": PAPER,
    "report": {"paper": "a4", "whole": True, "without_names": False},
    "sketch": {"lesson": "small", "cell": 0},
}


@pytest.fixture
def work(tmp_path):
    work = small.evening(tmp_path, 4)
    small.hand_in(work, "bench-01")
    return work


def kept(work):
    """Return what the class holds that a person or a student brought in."""
    return {
        name: data
        for name, data in small.tree(work.folder.path).items()
        if name.split("/")[0] in ("roster.csv", "class.toml", "secret", "submitted", "hand-out")
    }


def made(work):
    """Return the names of all that lies in the class, without what is only remembered."""
    names = small.tree(work.folder.path)
    return {name for name in names if not name.startswith((".made", ".undo"))}


@pytest.mark.parametrize("task", JOBS)
@pytest.mark.parametrize("after", [0.0, 0.3, 1.0, 2.0])
def test_killed_at_some_moment_it_ends_the_same_when_it_is_ordered_again(
    work, tmp_path_factory, task, after
):
    before = kept(work)
    other = small.evening(tmp_path_factory.mktemp("whole"), 4)
    small.hand_in(other, "bench-01")

    async def done(folder, kill):
        jobs = Jobs(folder, work.root, command=WORKER[:-1])
        jobs.start()
        try:
            if kill:
                one = jobs.order("first", task, "First", "/x", JOBS[task])
                await asyncio.sleep(after)
                if one.state == "at work":
                    os.killpg(jobs._worker.pid, signal.SIGKILL)
                await ended(one)
            again = jobs.order("again", task, "Again", "/x", JOBS[task])
            await ended(again)
            assert again.state == "done", again.why
        finally:
            jobs.close()
            await asyncio.to_thread(jobs.wait)

    asyncio.run(done(work.folder.path, True))
    asyncio.run(done(other.folder.path, False))
    assert kept(work) == before
    assert made(work) == made(other)


async def ended(job):
    late = time.monotonic() + PATIENCE
    while job.state in ("waiting", "at work"):
        assert time.monotonic() < late, job
        await asyncio.sleep(0.02)
