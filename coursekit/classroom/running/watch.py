"""Watches one fork of the warm process to its end, and kills everything that it has started."""

from __future__ import annotations

import contextlib
import os
import select
import shutil
import signal
import socket
import time
from pathlib import Path
from typing import Any

from coursekit.classroom.running.cage.start import Cage
from coursekit.classroom.running.limits import Limits
from coursekit.classroom.running.meter import Meter, taken_by, taken_by_child

_TICK = 0.1  # seconds between measurements of memory, scratch and processor time
_LAST_SWEEP = 10.0  # seconds in which every orphan must be gone
_PAGE = os.sysconf("SC_PAGE_SIZE")


class Watch:
    """The fork `child` while it runs a notebook; the runner may ask for its end."""

    def __init__(
        self,
        child: int,
        runner: socket.socket,
        limits: Limits,
        cage: Cage,
        scratch: Path,
        meter: Meter,
    ) -> None:
        self._child, self._runner, self._limits = child, runner, limits
        self._cage, self._scratch, self._meter = cage, scratch, meter
        self._taken = 0.0
        self._pages = _resident("self")

    def until_it_ends(self) -> dict[str, Any]:
        """Return how the fork ended.

        `status` is its wait status, `ended` is "memory" or "disk" if it was ended for that, and
        `taken` is the processor time that its processes took.
        """
        ended = ""
        handle = os.pidfd_open(self._child) if hasattr(os, "pidfd_open") else -1
        try:
            ended = self._ended_for(handle)
        finally:
            if handle >= 0:
                os.close(handle)
            status = self._swept()
        return {"status": status, "ended": ended, "taken": self._taken}

    def _ended_for(self, handle: int) -> str:
        watched: list[Any] = [self._runner] if handle < 0 else [self._runner, handle]
        while True:
            ready = select.select(watched, [], [], _TICK)[0]
            if handle in ready or self._has_ended():
                return ""
            if self._runner in ready:
                self._runner.recv(4096)  # "stop", or the runner has gone: both end the notebook
                return ""
            pids = self._processes()
            self._note_processor_time(pids)
            if self._memory(pids) > self._limits.memory:
                return "memory"
            if not self._cage.spaces and _size(self._scratch) > self._limits.scratch:
                return "disk"

    def _has_ended(self) -> bool:
        found = os.waitid(os.P_PID, self._child, os.WEXITED | os.WNOHANG | os.WNOWAIT)
        return found is not None

    def _processes(self) -> list[str]:
        """Return the notebook's processes by /proc, or none if /proc is another namespace's."""
        if not self._cage.spaces:
            return [str(self._child)]
        if os.getpid() != 1 or not Path("/proc/1/statm").exists():
            return []
        return [p.name for p in Path("/proc").iterdir() if p.name.isdigit() and p.name != "1"]

    def _memory(self, pids: list[str]) -> int:
        """Return the bytes that the notebook's processes take on top of the warm process's own."""
        return sum(max(_resident(p) - self._pages, 0) for p in pids) * _PAGE

    def _note_processor_time(self, pids: list[str]) -> None:
        """Tell the runner the processor time so far, which never falls when a process ends."""
        taken = sum(map(taken_by, pids)) if pids else taken_by_child(self._child)
        self._taken = max(self._taken, taken)
        self._meter.write(self._taken)

    def _swept(self) -> int:
        """Kill the fork and everything that it started; return the fork's wait status."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._child, signal.SIGKILL)
        with contextlib.suppress(ProcessLookupError):
            os.kill(self._child, signal.SIGKILL)
        _, status, used = os.wait4(self._child, 0)
        self._taken = max(self._taken, used.ru_utime + used.ru_stime)
        last = time.monotonic() + _LAST_SWEEP
        while not self._no_orphan_left() and time.monotonic() < last:
            time.sleep(0.001)
        if not self._cage.spaces:
            shutil.rmtree(self._scratch, ignore_errors=True)
        return status

    def _no_orphan_left(self) -> bool:
        try:
            while os.waitpid(-1, os.WNOHANG)[0]:
                pass
        except ChildProcessError:
            return True
        for pid in _children():
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        return False


def _resident(pid: str) -> int:
    try:
        return int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    except (OSError, IndexError, ValueError):
        return 0


def _children() -> list[int]:
    """Return this process's children; the fourth field of a stat file names the parent."""
    found = []
    for entry in Path("/proc").iterdir():
        with contextlib.suppress(OSError, IndexError):
            if entry.name.isdigit():
                words = (entry / "stat").read_bytes().rpartition(b")")[2].split()
                if int(words[1]) == os.getpid():
                    found.append(int(entry.name))
    return found


def _size(folder: Path) -> int:
    """Return the bytes in `folder` and its folders; what vanishes meanwhile is not counted."""
    total = 0
    for place, folders, names in os.walk(folder):
        for name in (*folders, *names):
            with contextlib.suppress(OSError):
                total += os.lstat(os.path.join(place, name)).st_size  # noqa: PTH118
    return total
