"""Runs a class's notebooks on the workers of a Dask scheduler; all else stays on this machine.

One text goes out for each notebook, with its cells, its probes and the files beside it. One text
comes back, with outputs and plain values. Keys, the class secret, marks and the gradebook are read
and written only by the process that asks. Each worker runs student code as this machine would, in a
caged fork of a warm process of its own. A worker that is lost costs only time, because its
notebooks are given to another; a notebook that takes several workers down is run on this machine.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

import nbformat

from coursekit import __version__
from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.running.extra_files import packed, unpacked
from coursekit.classroom.running.places import AHEAD, Here, Task
from coursekit.classroom.running.runner import Limits, Run, RunnerError, Warm
from coursekit.classroom.running.warm_parent import WarmParent

CONNECT = 10.0  # seconds in which a scheduler must answer
PATIENCE = 30.0  # seconds after which it is checked whether any worker is left


class DaskCluster:
    """The workers of the Dask scheduler at `address`, like `tcp://192.168.1.20:8786`.

    Raises ClassError if the package is missing, if nobody answers, or if a worker has another
    version of this kit.
    """

    def __init__(self, address: str, limits: Limits | None = None) -> None:
        self.limits = limits or Limits()
        self._client = _connected(address)
        self._address = address
        self._home = Here(self.limits, 1)
        self._refuse_other_versions()

    def __enter__(self) -> DaskCluster:
        return self

    def __exit__(self, *_: object) -> None:
        self._home.__exit__()
        try:
            self._client.run(_close_there)
        finally:
            self._client.close()

    def start(self) -> None:
        """Do nothing: the workers run already, and each gets ready with its first notebook."""

    def runs(self, tasks: Iterable[Task]) -> Iterator[tuple[Task, Run]]:
        """Yield each task with its run, in the order in which they end; few are out at a time."""
        out: dict[Any, Task] = {}
        for task in tasks:
            future = self._client.submit(run_there, as_text(task, self.limits), pure=False)
            out[future] = task
            if len(out) > AHEAD * max(sum(self._client.nthreads().values()), 1):
                yield from self._ended(out)
        while out:
            yield from self._ended(out)

    def _ended(self, out: dict[Any, Task]) -> Iterator[tuple[Task, Run]]:
        """Wait for a task to end, take all that have ended out of `out`, and yield them."""
        for future in self._some(list(out)):
            task = out.pop(future)
            if future.status == "finished":
                yield task, run_of(future.result())
            else:  # it took several workers down
                yield from self._home.runs([task])

    def _some(self, futures: list[Any]) -> Any:
        from distributed import wait

        while True:
            try:
                with self._client.as_current():
                    return wait(futures, timeout=PATIENCE, return_when="FIRST_COMPLETED").done
            except TimeoutError:
                if not self._client.nthreads():
                    raise RunnerError(
                        f"The scheduler at {self._address} must have a worker; the last one is "
                        "gone. Start workers again and run this again: what is marked stays marked."
                    ) from None

    def _refuse_other_versions(self) -> None:
        found = self._client.run(version_there)
        if not found:
            raise ClassError(
                f"The scheduler at {self._address} must have a worker; it has none. Start one "
                f"there with `dask worker {self._address}`."
            )
        for worker, version in sorted(found.items()):
            if version != __version__:
                raise ClassError(
                    f"A worker must have this kit's version {__version__}; the one at {worker} has "
                    f"{version}. Install the same there."
                )


def _connected(address: str) -> Any:
    try:
        from distributed import Client
    except ModuleNotFoundError:
        raise ClassError(
            "Marking on other machines must have the package distributed; it is not installed. Run "
            "`pip install 'coursekit[scale]'`."
        ) from None
    try:
        return Client(address, timeout=CONNECT, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        raise ClassError(
            f"A Dask scheduler must answer at {address}; got {type(error).__name__}: {error}. "
            "Start one with `dask scheduler`, and mind address and port."
        ) from None


def as_text(task: Task, limits: Limits) -> str:
    """Return everything that a worker needs, as JSON: cells, probes, files and limits."""
    cells = [
        {"cell_type": c.cell_type, "id": c.id, "source": c.source} for c in task.notebook.cells
    ]
    return json.dumps(
        {
            "cells": cells,
            "probes": [asdict(probe) for probe in task.probes],
            "files": packed(task.files),
            "limits": asdict(limits),
        }
    )


def run_of(text: str) -> Run:
    """Return the run that a worker's answer `text` describes."""
    told = json.loads(text)
    return Run(
        outputs={int(index): outputs for index, outputs in told["outputs"].items()},
        values=told["values"],
        stopped={int(index): why for index, why in told["stopped"].items()},
    )


# Everything below is called on the workers.

_own = threading.local()
_parent = WarmParent()  # of this worker; its process starts with the first notebook
_warms: list[Warm] = []


def version_there() -> str:
    """Return the version of this kit that a worker has."""
    return __version__


def run_there(text: str) -> str:
    """Run one notebook on a worker and return its run as JSON; each thread has a warm process."""
    job = json.loads(text)
    limits = Limits(**job["limits"])
    if getattr(_own, "limits", None) != limits:
        _own.warm, _own.limits = Warm(limits, parent=_parent), limits
        _warms.append(_own.warm)
    notebook = nbformat.from_dict({"cells": job["cells"]})
    run = _own.warm.run(
        notebook, [Probe(**probe) for probe in job["probes"]], unpacked(job["files"])
    )
    return json.dumps(asdict(run))


def _close_there() -> None:
    """End a worker's warm processes; the next notebook would make new ones."""
    global _own
    while _warms:
        _warms.pop().close()
    _parent.close()
    _own = threading.local()
