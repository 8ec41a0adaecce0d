"""What one notebook may use."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Seconds, bytes and counts that one notebook may use; each must be above zero.

    `cell` and `notebook` are seconds, restarts after a broken cell included in the latter; `memory`
    counts above what the libraries take; `file` is the size of one file and `scratch` that of all;
    `output` is all that the cells print and show; `processes` counts threads too.
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
