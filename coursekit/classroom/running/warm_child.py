"""One warm process as the runner sees it: the link to it, the layers of its cage, and its end."""

from __future__ import annotations

import json
import os
import select
import socket
import tempfile
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path

from coursekit.classroom.running.cage import cgroup
from coursekit.classroom.running.cage.layers import from_json
from coursekit.classroom.running.limits import Limits
from coursekit.classroom.running.warm_parent import (
    RunnerError,
    WarmParent,
    error_output,
    next_message,
)

_START = 600.0  # seconds in which the process must be caged and ready
_FAREWELL = 15.0  # seconds in which it must have ended once its link is closed


class WarmChild:
    """A fork of the warm parent, caged as `mode` says, told its limits and ready for notebooks.

    `link` is the socket to it, and `layers` are those that hold round it. Raises RunnerError if the
    process does not get ready.
    """

    def __init__(self, parent: WarmParent, limits: Limits, mode: str) -> None:
        self._parent = parent
        self._caged = mode != "open"
        self._home = tempfile.TemporaryDirectory(prefix="coursekit-run-")
        self._group = ""
        self.link, theirs = socket.socketpair()
        self._ended, alive = os.pipe()
        home = Path(self._home.name)
        try:
            with theirs, (home / "said").open("wb") as said:
                self._pid = parent.fork(mode, home, theirs.fileno(), said.fileno(), alive)
        except BaseException:
            self._pid = 0
            self.close()
            raise
        finally:
            os.close(alive)
        self._greet(limits)

    def _greet(self, limits: Limits) -> None:
        """Tell the new process its limits and learn which layers hold round it."""
        self.link.settimeout(_START)
        try:
            self.link.sendall(json.dumps(asdict(limits)).encode() + b"\n")
            answer = next_message(self.link)
            self.layers = from_json(answer["layers"])
        except (OSError, ValueError, KeyError, TypeError):
            said = ""
            with suppress(OSError):
                said = error_output(Path(self._home.name))
            self.close()
            raise RunnerError(
                "The process that runs notebooks must be ready for them; it was not. Run "
                "`python -m coursekit.classroom.running.cage.layers` by hand. It said: "
                f"{said or 'nothing'}"
            ) from None
        self.link.settimeout(None)
        self._group = str(answer.get("group", ""))

    def is_alive(self) -> bool:
        """Whether the process, or anything that it started, still runs."""
        return not self._has_ended(0)

    def _has_ended(self, seconds: float) -> bool:
        """Whether it and everything that it has started end within `seconds`."""
        return bool(select.select([self._ended], [], [], seconds)[0])

    def close(self) -> None:
        """End the process and all that it has started."""
        self.link.close()
        if self._pid and not self._has_ended(_FAREWELL if self._caged else 1):
            self._parent.kill(self._pid)
            self._has_ended(_FAREWELL)
        os.close(self._ended)
        if self._group:
            cgroup.close_group(Path(self._group))
        self._home.cleanup()
