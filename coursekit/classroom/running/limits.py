"""What one notebook may use."""

from __future__ import annotations

from dataclasses import dataclass

_WAIT = 10.0  # seconds by the clock that are allowed for each second of processor time
_LONGEST_EXTRA = 600.0  # seconds by the clock that are allowed beyond the processor time


@dataclass(frozen=True)
class Limits:
    """Seconds, bytes and counts that one notebook may use; each must be above zero.

    `cell` and `notebook` are seconds of processor time, so that a cell gets as much done on a busy
    machine as on an idle one; `notebook` includes the restarts after a broken cell. A cell that
    sleeps or waits takes no processor time, so the clock stops it after `longest_wait`. `memory` is
    counted on top of what the libraries take. `file` is the size of one file and `scratch` that of
    all files together; `output` is everything that the cells print and show; `processes` counts
    threads too.
    """

    cell: float = 10.0
    notebook: float = 60.0
    output: float = 8e6
    memory: float = 1.5e9
    file: float = 2e7
    scratch: float = 1e8
    processes: float = 64

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            if not value > 0:
                raise ValueError(f"A limit must be above zero; got {name} = {value}. Raise it.")


def longest_wait(seconds: float) -> float:
    """Return how long, by the clock, something may take that has `seconds` of processor time.

    It is long enough for a working cell to use up its processor time first, even on a machine that
    is busy with other things.

    >>> longest_wait(10.0), longest_wait(3600.0)
    (100.0, 4200.0)
    """
    return min(_WAIT * seconds, seconds + _LONGEST_EXTRA)
