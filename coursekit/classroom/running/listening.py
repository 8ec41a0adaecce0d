"""Listens to a running notebook until it ends or passes one of its limits."""

from __future__ import annotations

import os
import select
import socket
import time
from dataclasses import dataclass
from typing import Any

from coursekit.classroom.running.limits import Limits, longest_wait
from coursekit.classroom.running.meter import Meter

# A cell past its limit first gets a while to be stopped from inside, because the cells after it
# then run on without a restart.
GRACE = 2.0  # seconds of processor time, but never more than the cell's own limit
_SLOW = 1.5  # times the longest wait, because being woken and told takes long on a busy machine
LAST_LINE = b'{"event": "end"}\n'
_SOONEST, _LATEST = 0.1, 0.5  # seconds between two looks at the processor time


@dataclass
class TimeLeft:
    """What a notebook has left, in seconds: `processor` time, and time by the `clock`."""

    processor: float
    clock: float

    @classmethod
    def of(cls, limits: Limits) -> TimeLeft:
        """Return the time of a notebook that has not begun."""
        return cls(limits.notebook, longest_wait(limits.notebook))

    @property
    def is_over(self) -> bool:
        """Whether one of the two has run out."""
        return self.processor <= 0 or self.clock <= 0


def listened(
    link: socket.socket, reader: int, limits: Limits, left: TimeLeft, meter: Meter
) -> tuple[bytes, str]:
    """Return everything that the fork writes until it ends or passes a limit, and which limit.

    The limit is "time" or "output", or "" if the fork ended by itself. Time that passes while the
    machine does something else counts only against the longest wait.
    """
    data = bytearray()
    grace = min(GRACE, limits.cell)
    begun = line_at = time.monotonic()
    line_taken = 0.0  # processor time at the last line
    while True:
        now, taken = time.monotonic(), meter.read()
        room = min(line_taken + limits.cell + grace, left.processor) - taken
        wait = min(line_at + _SLOW * longest_wait(limits.cell), begun + left.clock) - now
        if room <= 0 or wait <= 0:
            return bytes(data), "time"
        look = min(max(room, _SOONEST), _LATEST, wait)
        watched: list[Any] = [reader, link]
        ready = select.select(watched, [], [], look)[0]
        if reader in ready:
            block = os.read(reader, 1 << 16)
            if not block:
                return bytes(data), ""
            data += block
            if b"\n" in block:
                line_at, line_taken = time.monotonic(), meter.read()
            if len(data) > limits.output:
                return bytes(data), "output"
            if data.endswith(LAST_LINE):
                return bytes(data), ""
        elif ready:
            return bytes(data), ""
