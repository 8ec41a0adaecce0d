"""The processor time that a notebook has taken: its watcher writes it, the runner reads it.

The number stands in a file that both have open. The notebook's own process can't reach that file.
"""

from __future__ import annotations

import os
import struct
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

_NUMBER = struct.Struct("d")


@dataclass(frozen=True)
class Meter:
    """The number in the open file `handle`."""

    handle: int

    def read(self) -> float:
        """Return the seconds that the notebook's processes had taken when last measured."""
        data = os.pread(self.handle, _NUMBER.size, 0)
        return float(_NUMBER.unpack(data)[0]) if len(data) == _NUMBER.size else 0.0

    def write(self, seconds: float) -> None:
        """Note the seconds that the notebook's processes have taken."""
        os.pwrite(self.handle, _NUMBER.pack(seconds), 0)


def taken_by(pid: str) -> float:
    """Return the processor time of a process and of the children that it has waited for."""
    with suppress(OSError, IndexError, ValueError):
        words = Path(f"/proc/{pid}/stat").read_bytes().rpartition(b")")[2].split()
        return sum(int(word) for word in words[11:15]) / os.sysconf("SC_CLK_TCK")
    return 0.0


def taken_by_child(pid: int) -> float:
    """Return the processor time of a child of this process, from its clock instead of /proc."""
    with suppress(OSError):
        return time.clock_gettime(~pid << 3 | 2)  # the number of its clock: linux/posix-timers.h
    return 0.0
