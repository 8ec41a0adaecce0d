"""The process that runs students' cells. It holds no key, no secret and no student's work.

`warm_parent` starts it as `python -m coursekit.classroom.running.warm_process`. It imports the
heavy libraries once and forks a warm process for each core. The warm process builds the cage round
itself and then forks once for each notebook. Job and events go between the runner and that last
fork through two files that the runner hands over. The warm process passes them on unread, so that
the next fork finds nothing of the last one in its memory.
"""

from __future__ import annotations

import array
import contextlib
import gc
import json
import os
import platform
import signal
import socket
import sys
import tempfile
import time
import traceback
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from coursekit.classroom.running import cell_clock
from coursekit.classroom.running.cage import cgroup, locks, start
from coursekit.classroom.running.cage.layers import to_json
from coursekit.classroom.running.extra_files import lay_out, unpacked
from coursekit.classroom.running.limits import Limits
from coursekit.classroom.running.meter import Meter
from coursekit.classroom.running.plain_value import plain
from coursekit.classroom.running.warm_parent import places
from coursekit.classroom.running.watch import Watch

_LONGEST_LINE = 4096
_MOST_FILES = 3
_LAST_ENDS = 1.0  # seconds


def main(arguments: list[str]) -> None:
    """Serve as the warm parent for the socket in `arguments`, or print which layers hold here."""
    if arguments[0] == "layers":
        _, found = start.enter(Path(arguments[1]), "spaces")
        print(json.dumps(to_json(found)), flush=True)
        return
    be_parent(socket.socket(fileno=int(arguments[0])), arguments[1:])


def be_parent(caller: socket.socket, libraries: Sequence[str]) -> None:
    """Import `libraries`, then fork a warm process whenever the caller asks, until it hangs up."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cell_clock.get_ready()
    gc.disable()
    shell = shell_with(libraries)
    gc.collect()
    gc.freeze()
    gc.enable()
    forks: set[int] = set()
    while True:
        message, files = _line(caller)
        forks -= _ended(forks)
        if not message:
            _wait_for(forks)
            return
        if message.get("kill") in forks:  # its pid can't be another's before it is waited for
            os.kill(message["kill"], signal.SIGKILL)
        if "home" not in message:
            _answer(caller, {})
            continue
        pid = os.fork()
        if pid == 0:
            caller.close()
            _serve(Path(message["home"]), message["mode"], shell, *files)
        forks.add(pid)
        for file in files:
            os.close(file)
        _answer(caller, {"pid": pid})


def _ended(forks: set[int]) -> set[int]:
    """Return those of `forks` that have ended."""
    return {pid for pid in forks if os.waitpid(pid, os.WNOHANG)[0]}


def _wait_for(forks: set[int]) -> None:
    """Wait a moment for the ends of `forks`, whose links are being closed now."""
    last = time.monotonic() + _LAST_ENDS
    while (forks := forks - _ended(forks)) and time.monotonic() < last:
        time.sleep(0.005)


def _serve(home: Path, mode: str, shell: Any, link: int, said: int, alive: int) -> None:
    """Serve the runner at `link` and never return; `alive` stays open until all of it has ended."""
    try:
        os.dup2(said, 2)
        os.close(said)
        os.environ.update(places(str(home)))
        os.chdir(home)
        tempfile.tempdir = None
        serve(socket.socket(fileno=link), home, mode, shell, alive)
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(0)


def serve(runner: socket.socket, home: Path, mode: str, shell: Any, alive: int) -> None:
    """Do the runner's jobs until it hangs up."""
    limits = Limits(**_line(runner)[0])
    group = cgroup.open_group(limits.memory, limits.processes) if mode != "open" else None
    cage, layers = start.enter(home, mode, alive)
    if mode != "open" and not layers.isolated:
        _answer(runner, {"layers": to_json(layers)})
        return
    layers = replace(layers, group=group is not None)
    _answer(runner, {"layers": to_json(layers), "group": str(group or "")})
    gc.freeze()
    while True:
        message, files = _line(runner)
        if "stop" in message:
            continue  # it came too late, because that notebook had ended already
        if not message:
            return
        _answer(runner, _run_forked(cage, shell, limits, runner, *files))


def _line(runner: socket.socket) -> tuple[dict[str, Any], list[int]]:
    """Return the runner's next message and the files that came with it; empty when it hangs up."""
    text, ancillary, _, _ = runner.recvmsg(_LONGEST_LINE, socket.CMSG_SPACE(4 * _MOST_FILES))
    files = array.array("i")
    for level, kind, data in ancillary:
        if level == socket.SOL_SOCKET and kind == socket.SCM_RIGHTS:
            files.frombytes(data[: len(data) - len(data) % files.itemsize])
    lines = text.splitlines()
    return (json.loads(lines[-1]) if lines else {}), list(files)


def _answer(runner: socket.socket, facts: dict[str, Any]) -> None:
    runner.sendall(json.dumps(facts).encode() + b"\n")


def _run_forked(
    cage: start.Cage,
    shell: Any,
    limits: Limits,
    runner: socket.socket,
    job: int,
    events: int,
    meter: int,
) -> dict[str, Any]:
    """Run the notebook in file `job` in a fork, and return how that fork ended.

    The fork writes its events to the file `events`; the processor time that it takes goes to
    `meter`.
    """
    scratch = cage.new_scratch()
    child = cage.fork()
    if child == 0:
        _child(cage, shell, limits, scratch, job, events)
    os.close(job)
    os.close(events)
    try:
        return Watch(child, runner, limits, cage, scratch, Meter(meter)).until_it_ends()
    finally:
        os.close(meter)


def _child(
    cage: start.Cage, shell: Any, limits: Limits, scratch: Path, job: int, events: int
) -> None:
    """Run the cells of the job; never return."""
    try:
        os.setsid()
        locks.close_all_but(job, events)
        os.environ.update(places(str(scratch)))
        tempfile.tempdir = None
        _forget_the_machine()
        cage.lock(scratch, limits)
        with os.fdopen(job, "rb") as file:
            work = json.loads(file.read())
        lay_out(unpacked(work.pop("files")), scratch)
        sys.path.insert(0, "")  # so that modules beside it can be imported, as in any notebook
        _run_cells(work, shell, limits.cell, events)
    finally:
        os._exit(0)


def _forget_the_machine() -> None:
    """Remove from this process's memory where the kit lies and what the host is called."""
    sys.argv[:], sys.orig_argv[:] = [""], [""]
    if hasattr(platform, "_uname_cache"):
        platform._uname_cache = None


def _run_cells(job: dict[str, Any], shell: Any, seconds: float, events: int) -> None:
    """Run the cells, and write a line when a cell starts, a value is read or a cell is done."""
    write, dump = os.write, json.dumps  # kept here, because a student's code may replace them

    def tell(**event: Any) -> None:
        data = dump(event).encode() + b"\n"
        while data:
            data = data[write(events, data) :]

    for index, cell in enumerate(job["cells"]):
        if index in job["skip"]:
            continue
        tell(event="start", cell=index)
        if cell["variable"]:
            value = shell.user_ns.get(cell["variable"])
            tell(event="value", cell=index, value=_within(seconds, plain, value))
        outputs = shell.run(cell["source"], seconds)
        tell(event="done", cell=index, outputs=outputs)
    tell(event="end")


def _within(seconds: float, function: Any, value: Any) -> Any:
    """Return `function(value)`, or the plain value "other" if that fails or takes too long."""
    cell_clock.start(seconds)
    try:
        return function(value)
    except BaseException:
        return {"is": "other", "value": "a value that cannot be read"}
    finally:
        cell_clock.stop()


def shell_with(libraries: Sequence[str]) -> Any:
    """Return the one IPython shell, with numpy and `libraries` imported and used once."""
    import numpy as np  # noqa: F401

    from coursekit.classroom.running.cell_shell import make

    if "sympy" in libraries:
        import sympy  # noqa: F401
    shell: Any = make()
    shell.run("1 / 0", 60.0)  # so that no notebook spends time on the first traceback
    if "matplotlib" in libraries:
        _draw_once(shell)
    shell.reset(new_session=True)
    return shell


def _draw_once(shell: Any) -> None:
    """Draw a figure, so that no notebook spends time on the first one."""
    from matplotlib import pyplot

    shell.run(_FIRST_FIGURE, 60.0)
    # saving a figure at a cell's end draws it; this hook would draw it a second time before that
    if draw := getattr(pyplot, "_draw_all_if_interactive", None):
        with contextlib.suppress(ValueError):
            shell.events.unregister("post_execute", draw)
    pyplot.close("all")


_FIRST_FIGURE = """
import matplotlib.pyplot as plt
figure, axes = plt.subplots()
axes.plot([0, 1], label="$x$")
axes.set_title("First figure")
axes.legend();
"""


if __name__ == "__main__":
    main(sys.argv[1:])
