"""The desk's jobs: what was ordered, how far each is, and the process that does them.

Jobs are done in the order in which they were ordered, one at a time, because a class has one
writer. Two windows see the same list. A job that is stopped, or broken off with the computer, has
kept whatever it had finished.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coursekit.desk.worker import AHEAD, note_of

KEPT = 40  # jobs that have ended, for the windows that show what came of them
OPEN = ("waiting", "at work")
_LOOK = 0.05  # seconds between two looks whether a quiet job has ended
WORKER = (sys.executable, "-m", "coursekit.desk.worker", AHEAD)


@dataclass
class Job:
    """One job: what it does in words, where it leads, and how far it is.

    `state` is one of `waiting`, `at work`, `done`, `stopped` and `failed`; `now` says what happened
    last, and `why` why it failed. `page` is the address that shows what came of it. A `quiet` job
    is shown nowhere: a page waits for it. One that is `seen` is no longer shown in the strip.
    """

    id: str
    task: str
    words: str
    page: str
    said: Mapping[str, Any]
    state: str = "waiting"
    now: str = ""
    done: int = 0
    of: int = 0
    why: str = ""
    result: dict[str, Any] | None = None
    began: float = 0.0
    ended: float = 0.0
    quiet: bool = False
    seen: bool = False


@dataclass
class Jobs:
    """The jobs of one class, and the worker that does them; `start` it within a running loop."""

    folder: Path
    root: Path
    jobs: dict[str, Job] = field(default_factory=dict)
    command: Sequence[str] = WORKER
    _worker: subprocess.Popen[str] | None = None
    _at_work: Job | None = None
    _listener: threading.Thread | None = None

    def start(self) -> None:
        """Start the worker, which loads what jobs need while nobody waits."""
        self._loop = asyncio.get_running_loop()
        self._begin()

    def _begin(self) -> None:
        self._worker = worker = subprocess.Popen(
            self.command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            start_new_session=True,  # so that Ctrl-C in the terminal ends the desk, not its job
        )
        self._listener = threading.Thread(target=self._listen, args=(worker,), daemon=True)
        self._listener.start()

    def _listen(self, worker: subprocess.Popen[str]) -> None:
        """Hand what the worker says to the loop; this runs in a thread of its own."""
        assert worker.stdout
        with worker:  # closes its pipes, and waits for its end
            for line in worker.stdout:
                self._in_loop(self._heard, json.loads(line))
        self._in_loop(self._gone, worker)

    def _in_loop(self, call: Callable[[Any], None], what: Any) -> None:
        with contextlib.suppress(RuntimeError):  # the loop has ended, and the desk with it
            self._loop.call_soon_threadsafe(call, what)

    def order(self, once: str, task: str, words: str, page: str, said: Mapping[str, Any]) -> Job:
        """Return the job that this posting (`once`) ordered; a post that comes twice orders one.

        `page` is the address that shows what came of it, without the job's id.
        """
        if once not in self.jobs:
            where = f"{page}{'&' if '?' in page else '?'}job={once}"
            self._take(Job(once, task, words, where, said))
        return self.jobs[once]

    async def come(self, once: str, task: str, said: Mapping[str, Any]) -> dict[str, Any] | None:
        """Return what a quiet job gives, or None if it failed; the same is done only once."""
        if once not in self.jobs or self.jobs[once].state in ("failed", "stopped"):
            self._take(Job(once, task, "", "", said, quiet=True))
        job = self.jobs[once]
        while job.state in OPEN:
            await asyncio.sleep(_LOOK)
        return job.result

    def _take(self, job: Job) -> None:
        self.jobs[job.id] = job
        self._forget_oldest()
        self._next()

    def open(self) -> list[Job]:
        """Return the jobs that are at work or wait for it."""
        return [job for job in self.jobs.values() if job.state in OPEN and not job.quiet]

    def recent(self) -> list[Job]:
        """Return what a window shows: open jobs, and the last that ended."""
        ended = [job for job in self.jobs.values() if job.ended and not job.quiet]
        last = sorted(ended, key=lambda job: -job.ended)[:1]
        return [*self.open(), *(job for job in last if not job.seen)]

    def stop(self, id: str) -> None:
        """Stop a job: take it off the list if it waits, end its process if it is at work."""
        job = self.jobs.get(id)
        if job is None or job.state not in OPEN:
            return
        self._end(job, "stopped")
        if job is self._at_work:
            self._at_work = None
            self._kill()
            self._begin()
        self._next()

    def close(self) -> None:
        """Let the worker go once the job at hand is done; nothing new is begun."""
        if self._worker and self._worker.stdin:
            with contextlib.suppress(OSError, ValueError):
                self._worker.stdin.close()

    def wait(self) -> None:
        """Wait until the worker has gone, after `close`."""
        if self._listener:
            self._listener.join()

    def broken_off(self) -> dict[str, Any] | None:
        """Return the job that a former run of the desk did not end, or None."""
        if self._at_work:
            return None
        try:
            return dict(json.loads(note_of(self.folder).read_text(encoding="utf-8")))
        except (OSError, ValueError):
            return None

    def forget_broken_off(self) -> None:
        """Take it off: it was done again, or is not wanted."""
        if not self._at_work:
            self._unnote()

    def _unnote(self) -> None:
        with contextlib.suppress(OSError):
            note_of(self.folder).unlink(missing_ok=True)

    def _next(self) -> None:
        """Give the worker the next job, if it has none."""
        waiting = [job for job in self.jobs.values() if job.state == "waiting"]
        if self._at_work or not waiting:
            return
        job = self._at_work = waiting[0]
        job.state, job.began = "at work", time.time()
        order = {
            "job": job.id,
            "task": job.task,
            "words": job.words,
            "quiet": job.quiet,
            "class": str(self.folder),
            "root": str(self.root),
            "said": dict(job.said),
        }
        assert self._worker and self._worker.stdin
        try:
            self._worker.stdin.write(json.dumps(order) + "\n")
            self._worker.stdin.flush()
        except OSError:
            pass  # it has ended; `_gone` comes next

    def _heard(self, said: dict[str, Any]) -> None:
        job = self.jobs.get(said["job"])
        if job is None or job is not self._at_work:
            return  # the last words of a job that was stopped
        if "result" in said:
            job.result = said["result"]
            self._end(job, "done")
        elif "failed" in said:
            job.why = said["failed"]
            self._end(job, "failed")
        else:
            job.now, job.done, job.of = said["now"], said["done"], said["of"]
            return
        self._at_work = None
        self._next()

    def _gone(self, worker: subprocess.Popen[str]) -> None:
        """Note that the worker ended; if a job was at hand, it failed."""
        if worker is not self._worker:
            return  # it was stopped, and another has begun
        if job := self._at_work:
            job.why = (
                "The program that does the work ended in the middle. What it had finished is kept. "
                "Start it again."
            )
            self._at_work = None
            self._end(job, "failed")
        if worker.returncode:
            self._begin()
            self._next()

    def _end(self, job: Job, state: str) -> None:
        job.state, job.ended = state, time.time()
        self._unnote()

    def _kill(self) -> None:
        """End the worker and whatever it started."""
        worker = self._worker
        if worker is None:
            return
        if sys.platform == "win32":
            worker.kill()
        else:
            import os

            with contextlib.suppress(ProcessLookupError):
                os.killpg(worker.pid, signal.SIGKILL)

    def _forget_oldest(self) -> None:
        ended = [id for id, job in self.jobs.items() if job.state not in OPEN]
        for id in ended[:-KEPT]:
            del self.jobs[id]
