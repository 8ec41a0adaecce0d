"""The desk's jobs: one at a time, in order; stopped, broken off or failed, nothing hangs."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import time
from pathlib import Path

import pytest

from coursekit.desk.jobs import Jobs
from coursekit.desk.tasks import task
from coursekit.desk.worker import note_of

from ..classroom import small

WORKER = (sys.executable, str(Path(__file__).parent / "made_up_worker.py"))
PATIENCE = 120.0


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2]))
    return small.evening(tmp_path, 2)


def with_jobs(work, story):
    """Run `story` with jobs of made-up work, and let the worker go at the end."""

    async def main():
        jobs = Jobs(work.folder.path, work.root, command=WORKER)
        jobs.start()
        try:
            await story(jobs)
        finally:
            for job in jobs.open():
                jobs.stop(job.id)
            jobs.close()
            await asyncio.to_thread(jobs.wait)

    asyncio.run(main())


def order(jobs, name, until, **said):
    said |= {"name": name, "until": str(until)}
    return jobs.order(f"id-{name}", "made_up", f"Doing {name}", "/page", said)


async def come(wanted):
    """Wait until `wanted` is true."""
    late = time.monotonic() + PATIENCE
    while not wanted():
        assert time.monotonic() < late
        await asyncio.sleep(0.01)


def test_jobs_are_done_in_order_and_one_at_a_time(shop, tmp_path):
    go = tmp_path / "go"

    async def story(jobs):
        one, two = order(jobs, "one", go), order(jobs, "two", go)
        await come(lambda: one.now == "has begun")
        assert (one.state, one.done, one.of) == ("at work", 1, 3)
        assert (two.state, two.page) == ("waiting", "/page?job=id-two")
        assert not (shop.folder.path / "began-two").exists()
        assert jobs.open() == [one, two]
        go.touch()
        await come(lambda: two.state == "done")
        assert (one.state, one.result, two.result) == ("done", {"name": "one"}, {"name": "two"})
        assert jobs.recent() == [two]

    with_jobs(shop, story)


def test_a_post_that_comes_twice_orders_one_job(shop, tmp_path):
    async def story(jobs):
        assert order(jobs, "one", tmp_path) is order(jobs, "one", tmp_path)
        assert len(jobs.jobs) == 1
        await come(lambda: not jobs.open())

    with_jobs(shop, story)


def test_a_job_that_is_stopped_ends_and_the_next_begins(shop, tmp_path):
    never, now = tmp_path / "never", tmp_path

    async def story(jobs):
        one, two, three = (
            order(jobs, "one", never),
            order(jobs, "two", never),
            order(jobs, "x", now),
        )
        await come(lambda: one.now)
        former = jobs._worker
        jobs.stop("id-two")
        jobs.stop("id-one")
        jobs._heard({"job": "id-one", "result": {}})
        assert (one.state, two.state) == ("stopped", "stopped")
        await come(lambda: three.state == "done")
        assert not (shop.folder.path / "began-two").exists()
        assert one.state == "stopped", "its last words are not heard"
        await come(lambda: former.poll() is not None)
        assert jobs.broken_off() is None

    with_jobs(shop, story)


@pytest.mark.parametrize(
    ("ends", "why"),
    [
        ("dies", "ended in the middle"),
        ("refuses", "The tube must be cut; got no tube. Cut it."),
        ("breaks", "Something in the kit failed: KeyError"),
    ],
)
def test_a_job_that_fails_says_why_and_the_next_begins(shop, tmp_path, ends, why):
    async def story(jobs):
        one, two = order(jobs, "one", tmp_path, ends=ends), order(jobs, "two", tmp_path)
        await come(lambda: two.state == "done")
        assert one.state == "failed"
        assert why in one.why

    with_jobs(shop, story)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGKILL")
def test_a_worker_that_is_killed_by_the_system_is_replaced(shop, tmp_path):
    async def story(jobs):
        one = order(jobs, "one", tmp_path / "never")
        await come(lambda: one.now)
        os.killpg(jobs._worker.pid, signal.SIGKILL)
        await come(lambda: one.state == "failed")
        two = order(jobs, "two", tmp_path)
        await come(lambda: two.state == "done")

    with_jobs(shop, story)


def test_a_job_goes_on_when_the_desk_ends_and_a_broken_one_is_told_of(shop, tmp_path):
    go = tmp_path / "go"

    async def story(jobs):
        one = order(jobs, "one", go)
        await come(lambda: one.now)
        assert jobs.broken_off() is None, "it is at work in this run of the desk"
        again = Jobs(shop.folder.path, shop.root)
        assert again.broken_off()["words"] == "Doing one"
        jobs.close()
        go.touch()
        await asyncio.to_thread(jobs.wait)
        assert again.broken_off() is None, "it was done to its end"
        assert not note_of(shop.folder.path).exists()

    with_jobs(shop, story)


def test_only_the_desk_s_own_jobs_are_run():
    for name in ("os", "../mark", "mark.run", "", "Mark", "__init__x"):
        with pytest.raises(ValueError, match="must be one of the desk's"):
            task(name)
