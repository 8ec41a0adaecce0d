"""Where a class's notebooks are run: in warm processes on this machine, or on a cluster.

A place to run takes tasks and yields each with its run as soon as it has ended, in any order. A
task is all that leaves this process for one notebook: its cells, its probes and the files beside
it. Keys, the class secret, marks and the gradebook stay here.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Protocol

import nbformat
from nbformat import NotebookNode

from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.running.extra_files import Files
from coursekit.classroom.running.runner import Limits, Run, Warm
from coursekit.classroom.running.warm_parent import WarmParent

AHEAD = 2  # tasks that wait for each process, so that none is idle and memory holds few


@dataclass(frozen=True)
class Task:
    """One notebook, the probes to read off it, and the `files` (name → content) beside it."""

    student: str
    notebook: NotebookNode
    probes: tuple[Probe, ...]
    files: Files


class RunPlace(Protocol):
    """A place where notebooks are run."""

    limits: Limits

    def start(self) -> None:
        """Get ready in the background while the caller does something else."""
        ...

    def runs(self, tasks: Iterable[Task]) -> Iterator[tuple[Task, Run]]:
        """Yield each task with its run, in the order in which they end."""
        ...


class Here:
    """A place on this machine, with `workers` warm processes, which are forks of `parent`.

    Each is made when it gets its first task, or earlier if `start` is called.
    """

    def __init__(
        self,
        limits: Limits | None = None,
        workers: int | None = None,
        *,
        isolate: bool = True,
        parent: WarmParent | None = None,
    ) -> None:
        self._isolate = isolate
        self._parent = parent or WarmParent()
        self.limits = limits or Limits()
        self.workers = workers or os.cpu_count() or 1
        self._pool = ThreadPoolExecutor(self.workers)
        self._own = threading.local()
        self._warms: list[Warm] = []

    def __enter__(self) -> Here:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(wait=True, cancel_futures=True)
        for warm in self._warms:
            warm.close()
        self._parent.close()

    def start(self) -> None:
        """Start the warm processes in the background while the caller does something else."""
        nothing: NotebookNode = nbformat.v4.new_notebook()
        for _ in range(self.workers):
            self._pool.submit(self._run, Task("", nothing, (), {}))

    def runs(self, tasks: Iterable[Task]) -> Iterator[tuple[Task, Run]]:
        """Yield each task with its run, in the order in which they end; few are open at a time."""
        waiting: dict[Future[Run], Task] = {}
        for task in tasks:
            waiting[self._pool.submit(self._run, task)] = task
            if len(waiting) > AHEAD * self.workers:
                yield from _ended(waiting)
        while waiting:
            yield from _ended(waiting)

    def _run(self, task: Task) -> Run:
        if not hasattr(self._own, "warm"):
            self._own.warm = Warm(self.limits, isolate=self._isolate, parent=self._parent)
            self._warms.append(self._own.warm)
        warm: Warm = self._own.warm
        return warm.run(task.notebook, task.probes, task.files)


def _ended(waiting: dict[Future[Run], Task]) -> Iterator[tuple[Task, Run]]:
    """Wait for a task to end, take all that have ended out of `waiting`, and yield them."""
    for future in wait(waiting, return_when=FIRST_COMPLETED).done:
        yield waiting.pop(future), future.result()
