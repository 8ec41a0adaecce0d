"""Stops a cell from inside: after its processor time, or when it has waited for far too long."""

from __future__ import annotations

import signal

from coursekit.classroom.running.limits import longest_wait


class CellTimeout(BaseException):
    """The cell ran longer than it may."""


def _on_alarm(number: int, frame: object) -> None:
    raise CellTimeout("This cell ran too long and was stopped.")


def get_ready() -> None:
    """Make both alarms raise CellTimeout in this process and in its forks."""
    signal.signal(signal.SIGPROF, _on_alarm)
    signal.signal(signal.SIGALRM, _on_alarm)


def start(seconds: float) -> None:
    """Set both alarms: `seconds` of processor time, and by the clock the longest wait for them."""
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, longest_wait(seconds))


def stop() -> None:
    """Switch both alarms off."""
    signal.setitimer(signal.ITIMER_PROF, 0)
    signal.setitimer(signal.ITIMER_REAL, 0)
