"""Runs students' notebooks in processes of their own and brings back outputs and plain values."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from nbformat import NotebookNode

from coursekit.classroom.notebooks import Probe
from coursekit.classroom.plain import Plain

RESTARTS = 4


@dataclass(frozen=True)
class Limits:
    """What one notebook may use: seconds a cell and in all, bytes of output, memory and file."""

    cell: float = 10.0
    notebook: float = 60.0
    output: float = 4e6
    memory: float = 4e9
    file: float = 2e7


@dataclass
class Run:
    """What came of a notebook: outputs by cell index, plain values by cell id, stopped cells."""

    outputs: dict[int, list[dict[str, Any]]] = field(default_factory=dict)
    values: dict[str, Plain] = field(default_factory=dict)
    stopped: dict[int, str] = field(default_factory=dict)


class RunnerError(RuntimeError):
    """The process that runs notebooks could not do its work at all."""


class Warm:
    """One warm process; `run` may be called again and again, by one thread at a time."""

    def __init__(self, limits: Limits | None = None) -> None:
        self.limits = limits or Limits()
        self._home = tempfile.TemporaryDirectory(prefix="coursekit-run-")
        self._process: subprocess.Popen[bytes] | None = None

    def run(self, notebook: NotebookNode, probes: Sequence[Probe], files: Mapping[str, str]) -> Run:
        """Return what came of `notebook`, run among `files` (name → text) in an empty folder.

        The value of each probe is read just before its cell runs. A cell that hangs or brings the
        process down is left out, and the rest is run again without it.
        """
        wanted = {p.cell: p.variable for p in probes}
        cells = [
            {"source": cell.source, "variable": wanted.get(cell.id, "")}
            if cell.cell_type == "code"
            else {"source": "", "variable": ""}
            for cell in notebook.cells
        ]
        idle = {i for i, c in enumerate(notebook.cells) if c.cell_type != "code"}
        stopped: dict[int, str] = {}
        for _ in range(RESTARTS + 1):
            job = {
                "cells": cells,
                "files": dict(files),
                "limits": asdict(self.limits),
                "skip": sorted(idle | stopped.keys()),
            }
            answer = self._ask(job)
            run = _read(answer["events"], notebook, stopped)
            culprit = _culprit(answer)
            if culprit is None:
                break
            stopped[culprit] = answer["ended"]
            run.stopped[culprit] = answer["ended"]
        return run

    def _ask(self, job: dict[str, Any]) -> dict[str, Any]:
        process = self._started()
        assert process.stdin and process.stdout
        try:
            process.stdin.write(json.dumps(job).encode() + b"\n")
            process.stdin.flush()
            line = process.stdout.readline()
            return dict(json.loads(line))
        except (OSError, ValueError) as error:
            self.close()
            raise RunnerError(
                "The process that runs notebooks must answer; it went away. Run the command again; "
                "if it happens twice, look at the memory that is free."
            ) from error

    def _started(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self._process = subprocess.Popen(
                [sys.executable, "-I", "-m", "coursekit.classroom.warm"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                cwd=self._home.name,
                env=_environment(self._home.name),
                start_new_session=True,
            )
            assert self._process.stdout
            if not self._process.stdout.readline():
                raise RunnerError(
                    "The process that runs notebooks must start; it did not. Run "
                    "`python -m coursekit.classroom.warm` by hand and read what it says."
                )
        return self._process

    def close(self) -> None:
        """End the process."""
        if self._process:
            for pipe in (self._process.stdin, self._process.stdout):
                if pipe:
                    pipe.close()
            self._process.kill()
            self._process.wait()
            self._process = None
        self._home.cleanup()


@contextmanager
def warm(limits: Limits | None = None) -> Iterator[Warm]:
    """Yield a Warm that is closed at the end."""
    runner = Warm(limits)
    try:
        yield runner
    finally:
        runner.close()


def _environment(home: str) -> dict[str, str]:
    """Return the bare environment of the running process: nothing of the instructor's own."""
    keep = {
        k: v
        for k, v in os.environ.items()
        if k in ("PATH", "LANG", "SYSTEMROOT", "OPENBLAS_CORETYPE")
    }
    threads = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
    return {
        **keep,
        **dict.fromkeys(threads, "1"),
        "HOME": home,
        "IPYTHONDIR": str(Path(home) / "ipython"),
        "MPLCONFIGDIR": str(Path(home) / "matplotlib"),
        "TMPDIR": home,
        "PYTHONIOENCODING": "utf-8",
    }


def _read(
    events: Sequence[dict[str, Any]], notebook: NotebookNode, stopped: Mapping[int, str]
) -> Run:
    run = Run(stopped=dict(stopped))
    for event in events:
        index = event.get("cell")
        if not isinstance(index, int) or not 0 <= index < len(notebook.cells):
            continue
        if event.get("event") == "value" and isinstance(event.get("value"), dict):
            run.values[notebook.cells[index].id] = event["value"]
        elif event.get("event") == "done" and isinstance(event.get("outputs"), list):
            run.outputs[index] = event["outputs"]
    return run


def _culprit(answer: Mapping[str, Any]) -> int | None:
    """Return the index of the cell in which the process was when it had to be ended."""
    if answer["ended"] == "finished":
        return None
    started = [e["cell"] for e in answer["events"] if e.get("event") == "start"]
    done = {e["cell"] for e in answer["events"] if e.get("event") == "done"}
    open_cells = [c for c in started if c not in done]
    return open_cells[-1] if open_cells else None
