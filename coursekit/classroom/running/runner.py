"""Runs students' notebooks in caged processes of their own, and brings outputs and values back."""

from __future__ import annotations

import json
import os
import select
import socket
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from nbformat import NotebookNode

from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.running import untrusted
from coursekit.classroom.running.cage.layers import Layers, refusal
from coursekit.classroom.running.extra_files import Files, packed
from coursekit.classroom.running.limits import Limits
from coursekit.classroom.running.listening import LAST_LINE, TimeLeft, listened
from coursekit.classroom.running.meter import Meter
from coursekit.classroom.running.plain_value import Plain
from coursekit.classroom.running.warm_child import WarmChild
from coursekit.classroom.running.warm_parent import (
    NotIsolatedError,
    RunnerError,
    WarmParent,
    next_message,
)

__all__ = ["Limits", "NotIsolatedError", "Run", "RunnerError", "Warm", "warm"]

RESTARTS = 4
GONE = "the process went away"
_STOP = b'{"stop": 1}\n'
_FAREWELL = 120.0  # seconds in which the warm process must have cleaned up and said how it ended


@dataclass
class Run:
    """What came of a notebook: outputs by cell index, plain values by cell id, stopped cells."""

    outputs: dict[int, list[dict[str, Any]]] = field(default_factory=dict)
    values: dict[str, Plain] = field(default_factory=dict)
    stopped: dict[int, str] = field(default_factory=dict)


@dataclass(frozen=True)
class _Attempt:
    """One fork's events, and how it ended: "finished" or the reason why it did not finish."""

    events: list[untrusted.Event]
    ended: str


class Warm:
    """One warm process; `run` may be called again and again, by one thread at a time.

    With `isolate`, which is the default, NotIsolatedError is raised if the machine cannot cage it.
    Without, the notebooks run with all the rights of whoever calls. If `spaces` is False the cage
    is built without namespaces, from Landlock and the filter of kernel calls alone. The process is
    a fork of `parent`, or of a parent of its own if none is given.
    """

    def __init__(
        self,
        limits: Limits | None = None,
        *,
        isolate: bool = True,
        spaces: bool = True,
        parent: WarmParent | None = None,
    ) -> None:
        self.limits = limits or Limits()
        self.isolate = isolate
        self._mode = ("spaces" if spaces else "rules") if isolate else "open"
        self.layers = Layers.none()
        self._parent, self._own_parent = parent or WarmParent(), parent is None
        self._child: WarmChild | None = None
        self._owed = False  # whether the warm process has yet to say how the last fork ended

    def run(self, notebook: NotebookNode, probes: Sequence[Probe], files: Files) -> Run:
        """Return what came of `notebook`, run in a folder that holds only `files` (name → content).

        The value of each probe is read just before its cell runs. A cell that hangs or brings the
        process down is left out, and the rest is run again without it, within the processor time
        that the notebook has in all.
        """
        wanted = {p.cell: p.variable for p in probes}
        cells = [
            {"source": cell.source, "variable": wanted.get(cell.id, "")}
            if cell.cell_type == "code"
            else {"source": "", "variable": ""}
            for cell in notebook.cells
        ]
        idle = {i for i, c in enumerate(notebook.cells) if c.cell_type != "code"}
        run, beside = Run(), packed(files)
        left, lost = TimeLeft.of(self.limits), False
        for _ in range(RESTARTS + 1):
            skip = sorted(idle | run.stopped.keys())
            job = {"cells": cells, "files": beside, "skip": skip}
            attempt = self._attempt(json.dumps(job).encode(), len(cells), left)
            _take_over(run, attempt, notebook)
            if not attempt.events and cells:
                continue  # no cell was even begun, so the notebook is not to blame: try once more
            culprit = _culprit(attempt)
            if culprit is None or culprit in run.stopped:
                return run
            if attempt.ended == GONE and not lost and not left.is_over:
                lost = True  # the machine may have been out of memory, so try once more
                continue
            run.stopped[culprit] = attempt.ended
            if left.is_over:
                return run
        if not attempt.events:
            raise RunnerError(
                f"A notebook's process must begin its first cell; it did not: {attempt.ended}. "
                "Look at the memory and disk that are free and run the command again."
            )
        return run

    def _attempt(self, job: bytes, cells: int, left: TimeLeft) -> _Attempt:
        """Return what one fork told, and take its time off what is `left`.

        If the warm process goes down with it, the next attempt makes a new one.
        """
        with tempfile.TemporaryFile() as file:
            data, ended = self._run_once(job, left, Meter(file.fileno()))
        events = list(untrusted.events(data, cells))
        if ended == "finished" and not (events and events[-1]["event"] == "end"):
            ended = "exit"
        return _Attempt(events, ended)

    def _run_once(self, job: bytes, left: TimeLeft, meter: Meter) -> tuple[bytes, str]:
        """Return the bytes that a fork writes while it runs `job`, and how it ended.

        By the clock, only the time during which it is listened to counts as its own; starting and
        cleaning up do not.
        """
        link = self._started()
        reader, writer = os.pipe()
        farewell: Mapping[str, Any] = {}
        begun = time.monotonic()
        try:
            with tempfile.TemporaryFile() as file:
                file.write(job)
                file.seek(0)
                try:
                    files = [file.fileno(), writer, meter.handle]
                    socket.send_fds(link, [b'{"run": 1}\n'], files)
                finally:
                    os.close(writer)
            data, ended = listened(link, reader, self.limits, left, meter)
            left.clock -= time.monotonic() - begun
            if data.endswith(LAST_LINE):
                link.sendall(_STOP)  # it has no more to say, so nobody waits for its end
                self._owed, ended = True, "finished"
            else:
                farewell = _farewell(link, ended)
                ended = _how(ended, farewell)
                if not farewell:
                    self._end()
        except OSError:
            data, ended = b"", GONE
            self._end()
        finally:
            os.close(reader)
        left.processor -= max(meter.read(), float(farewell.get("taken", 0.0)))
        return data, ended

    def _started(self) -> socket.socket:
        child = self._child
        if child and child.is_alive() and (not self._owed or _farewell(child.link, "finished")):
            self._owed = False
            return child.link
        self._end()
        self._child = WarmChild(self._parent, self.limits, self._mode)
        self.layers = self._child.layers
        if self.isolate and not self.layers.isolated:
            self.close()
            raise NotIsolatedError(refusal(self.layers))
        return self._child.link

    def _end(self) -> None:
        """End the warm process; its parent stays, so that it can fork the next one."""
        if self._child:
            self._child.close()
        self._child, self._owed = None, False

    def close(self) -> None:
        """End the process and everything that it has started."""
        self._end()
        if self._own_parent:
            self._parent.close()


@contextmanager
def warm(limits: Limits | None = None, *, isolate: bool = True) -> Iterator[Warm]:
    """Yield a Warm that is closed at the end."""
    runner = Warm(limits, isolate=isolate)
    try:
        yield runner
    finally:
        runner.close()


def _farewell(link: socket.socket, ended: str) -> dict[str, Any]:
    """Return what the warm process says of the fork's end; tell it to end the fork if need be."""
    if not select.select([link], [], [], 0 if ended else 1.0)[0]:
        link.sendall(_STOP)
    link.settimeout(_FAREWELL)
    try:
        return next_message(link)
    except (OSError, ValueError):
        return {}
    finally:
        link.settimeout(None)


def _how(ended: str, farewell: Mapping[str, Any]) -> str:
    """Return why a notebook ended: by our own limit, else the warm process's, else by a signal."""
    if ended:
        return ended
    if not farewell:
        return GONE
    status = int(farewell["status"])
    if farewell["ended"]:
        return str(farewell["ended"])
    return f"signal {os.WTERMSIG(status)}" if os.WIFSIGNALED(status) else "finished"


def _take_over(run: Run, attempt: _Attempt, notebook: NotebookNode) -> None:
    """Add what `attempt` tells to `run`.

    Of several values of a cell in one attempt the first counts, and a later attempt replaces it.
    """
    seen: set[int] = set()
    for event in attempt.events:
        if event["event"] == "value" and event["cell"] not in seen:
            seen.add(event["cell"])
            run.values[notebook.cells[event["cell"]].id] = event["value"]
        elif event["event"] == "done" and event["cell"] not in run.stopped:
            run.outputs[event["cell"]] = event["outputs"]


def _culprit(attempt: _Attempt) -> int | None:
    """Return the index of the cell that was running when the process had to be ended."""
    if attempt.ended == "finished":
        return None
    started = [e["cell"] for e in attempt.events if e["event"] == "start"]
    done = {e["cell"] for e in attempt.events if e["event"] == "done"}
    open_cells = [c for c in started if c not in done]
    return open_cells[-1] if open_cells else None
