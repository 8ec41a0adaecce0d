"""Starts and asks the warm parent: the process that has the students' libraries imported.

Every warm process is a fork of it; what it does stands in `warm_process`. It is started early, so
that its imports go on while the caller reads a class and its work. It runs no student's code, and
it ends when whoever started it closes the link or ends. This module imports nothing heavy, and
nothing that a student's process must not know.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

LIBRARIES = frozenset({"matplotlib", "sympy"})  # the heavy ones that the parent can import
_START = 600.0  # seconds in which it must have imported them all
_FAREWELL = 2.0  # seconds in which it must have ended once its link is closed
BACKEND = "module://matplotlib_inline.backend_inline"  # draws into a notebook's outputs
_KEPT = ("LANG", "OPENBLAS_CORETYPE")  # variables taken over from the instructor's environment


class RunnerError(RuntimeError):
    """The process that runs notebooks could not do its work at all."""


class NotIsolatedError(RunnerError):
    """No cage can be built here in which a student's code can read and harm nothing else."""


class WarmParent:
    """The parent process; several threads may use it.

    It imports `libraries`, by default all of LIBRARIES. A notebook can import the others itself,
    which takes longer.
    """

    def __init__(self, libraries: Iterable[str] = LIBRARIES) -> None:
        self._libraries = sorted(libraries)
        self._lock = threading.Lock()
        self._home: tempfile.TemporaryDirectory[str] | None = None
        self._process: subprocess.Popen[bytes] | None = None
        self._link: socket.socket | None = None

    def start(self) -> None:
        """Start the process if it does not run yet, without waiting until it is ready."""
        with self._lock:
            self._started()

    def _started(self) -> socket.socket:
        if self._link and self._process and self._process.poll() is None:
            return self._link
        self._close()
        if sys.platform == "win32":
            from coursekit.classroom.running.cage.layers import WINDOWS

            raise NotIsolatedError(f"Notebooks must run in a fork of a warm process. {WINDOWS}.")
        self._home = tempfile.TemporaryDirectory(prefix="coursekit-warm-")
        self._link, theirs = socket.socketpair()
        with theirs, (Path(self._home.name) / "said").open("wb") as said:
            self._process = subprocess.Popen(
                [
                    *(sys.executable, "-I", "-m", "coursekit.classroom.running.warm_process"),
                    *(str(theirs.fileno()), *self._libraries),
                ],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=said,
                pass_fds=[theirs.fileno()],
                cwd=self._home.name,
                env=_environment(self._home.name),
                start_new_session=True,
            )
        self._link.settimeout(_START)
        return self._link

    def fork(self, mode: str, home: Path, *files: int) -> int:
        """Return the pid of a new fork that serves the runner from `home`, caged as `mode` says.

        `files` are the open files handed over to it: its end of the link to the runner, its error
        output, and one that stays open until it and everything that it has started have ended.
        """
        return int(self._asked({"mode": mode, "home": str(home)}, *files)["pid"])

    def kill(self, pid: int) -> None:
        """Kill the fork `pid`, if it still runs."""
        with suppress(RunnerError):
            self._asked({"kill": pid})

    def _asked(self, request: dict[str, Any], *files: int) -> dict[str, Any]:
        with self._lock:
            link = self._started()
            try:
                socket.send_fds(link, [json.dumps(request).encode() + b"\n"], files)
                return next_message(link)
            except (OSError, ValueError):
                said = self._said()
                self._close()
                raise RunnerError(
                    "The process that runs notebooks must start; it did not. Run "
                    "`python -m coursekit.classroom.running.cage.layers` by hand. It said: "
                    f"{said or 'nothing'}"
                ) from None

    def _said(self) -> str:
        with suppress(OSError):
            if self._home:
                return error_output(Path(self._home.name))
        return ""

    def close(self) -> None:
        """End the process; its forks end by themselves, each when its own link is closed."""
        with self._lock:
            self._close()

    def _close(self) -> None:
        if self._link:
            self._link.close()
            self._link = None
        if self._process:
            with suppress(subprocess.TimeoutExpired):
                self._process.wait(_FAREWELL)
            self._process.kill()
            self._process.wait()
            self._process = None
        if self._home:
            self._home.cleanup()
            self._home = None


def next_message(link: socket.socket) -> dict[str, Any]:
    """Return the next message from the other end of `link`; ValueError if that has closed."""
    text = bytearray()
    while not text.endswith(b"\n"):
        block = link.recv(4096)
        if not block:
            raise ValueError("The other end hung up.")
        text += block
    return dict(json.loads(text))


def error_output(home: Path) -> str:
    """Return the last 500 characters that the process with the folder `home` wrote to stderr."""
    return (home / "said").read_text(errors="replace").strip()[-500:]


def _environment(home: str) -> dict[str, str]:
    """Return a bare environment for the parent process, with hardly any of the instructor's own."""
    keep = {k: v for k, v in os.environ.items() if k in _KEPT}
    threads = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
    return {
        **keep,
        **dict.fromkeys(threads, "1"),
        **places(home),
        "PATH": os.defpath,
        "PYTHONIOENCODING": "utf-8",
        "MPLBACKEND": BACKEND,
    }


def places(home: str) -> dict[str, str]:
    """Return the variables that name the folders a process may write to, all in `home`."""
    return {
        "HOME": home,
        "IPYTHONDIR": f"{home}/.ipython",
        "MPLCONFIGDIR": f"{home}/.matplotlib",
        "TMPDIR": home,
    }
