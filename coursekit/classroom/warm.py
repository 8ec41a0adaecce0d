"""The process that runs students' cells. It holds no key, no secret and no other student's work.

Started by `runner` as `python -m coursekit.classroom.warm`. It imports the heavy libraries once,
then forks once a notebook: the child runs the cells and writes what happens, one JSON line an
event, down a pipe; the parent stops it when its time is up and answers with the events.
"""

from __future__ import annotations

import contextlib
import json
import os
import resource
import select
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

Event = dict[str, Any]
Job = dict[str, Any]

GRACE = 2.0  # seconds that a cell gets, past its limit, to be stopped from inside


class CellTimeout(BaseException):
    """The cell ran longer than it may."""


def main() -> None:
    """Read jobs, one JSON line each, from standard input until it closes; answer each by a line."""
    answers = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    shell = _shell()
    answers.write(b'{"ready": true}\n')
    for line in sys.stdin.buffer:
        job = json.loads(line)
        answers.write(json.dumps(run_forked(job, shell)).encode() + b"\n")


def run_forked(job: Job, shell: Any) -> dict[str, Any]:
    """Return the events of `job`, run in a fork of this process, and how the fork ended."""
    scratch = Path(tempfile.mkdtemp(prefix="bench-"))
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        _child(job, shell, scratch, writer)
    os.close(writer)
    try:
        return _watch(child, reader, job["limits"])
    finally:
        os.close(reader)
        shutil.rmtree(scratch, ignore_errors=True)


def _watch(child: int, reader: int, limits: dict[str, float]) -> dict[str, Any]:
    """Gather the child's lines until it ends or one of its limits is passed; then end it."""
    text, ended = bytearray(), "finished"
    last_line, start = time.monotonic(), time.monotonic()
    while True:
        now = time.monotonic()
        wait = min(last_line + limits["cell"] + GRACE, start + limits["notebook"]) - now
        if wait <= 0:
            ended = "time"
            break
        if not select.select([reader], [], [], wait)[0]:
            continue
        block = os.read(reader, 1 << 16)
        if not block:
            break
        text += block
        last_line = time.monotonic()
        if len(text) > limits["output"]:
            ended = "output"
            break
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    status = os.waitpid(child, 0)[1]
    events = _events(bytes(text))
    if ended == "finished" and not (events and events[-1].get("event") == "end"):
        signalled = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
        ended = f"signal {signalled}" if signalled else "exit"
    return {"events": events, "ended": ended}


def _events(text: bytes) -> list[Event]:
    events = []
    for line in text.split(b"\n"):
        with contextlib.suppress(ValueError):
            event = json.loads(line)
            if isinstance(event, dict):
                events.append(event)
    return events


def _child(job: Job, shell: Any, scratch: Path, writer: int) -> None:
    """Run the cells of `job`; never return."""
    try:
        os.setsid()
        _limit(job["limits"])
        os.chdir(scratch)
        for name, text in job["files"].items():
            (scratch / name).write_text(text, encoding="utf-8")
        null = os.open(os.devnull, os.O_RDWR)
        for fd in (0, 1, 2):
            os.dup2(null, fd)
        os.environ.update(HOME=str(scratch), TMPDIR=str(scratch))
        _run_cells(job, shell, writer)
    finally:
        os._exit(0)


def _limit(limits: dict[str, float]) -> None:
    for what, value in (
        (resource.RLIMIT_AS, int(limits["memory"])),
        (resource.RLIMIT_FSIZE, int(limits["file"])),
        (resource.RLIMIT_CPU, int(limits["notebook"]) + 2),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(what, (value, value))


def _run_cells(job: Job, shell: Any, writer: int) -> None:
    from coursekit.classroom.plain import plain

    write, dump = os.write, json.dumps  # kept: the names may mean something else later

    def tell(**event: Any) -> None:
        data = dump(event).encode() + b"\n"
        while data:
            data = data[write(writer, data) :]

    signal.signal(signal.SIGALRM, _on_alarm)
    for index, cell in enumerate(job["cells"]):
        if index in job["skip"]:
            continue
        tell(event="start", cell=index)
        if cell["variable"]:
            value = shell.user_ns.get(cell["variable"])
            tell(event="value", cell=index, value=_within(job["limits"]["cell"], plain, value))
        outputs = shell.run(cell["source"], job["limits"]["cell"])
        tell(event="done", cell=index, outputs=outputs)
    tell(event="end")


def _within(seconds: float, function: Any, value: Any) -> Any:
    """Return `function(value)`, or say "other" where it fails or does not end in time."""
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        return function(value)
    except BaseException:
        return {"is": "other", "value": "a value that cannot be read"}
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)


def _on_alarm(number: int, frame: Any) -> None:
    raise CellTimeout("This cell ran too long and was stopped.")


def _shell() -> Any:
    """Return the one IPython shell, with the libraries that students use already imported."""
    import matplotlib

    matplotlib.use("module://matplotlib_inline.backend_inline")
    import matplotlib.pyplot
    import numpy
    import sympy  # noqa: F401

    numpy.seterr(all="warn")
    from coursekit.classroom.warm_shell import make

    return make()


if __name__ == "__main__":
    main()
