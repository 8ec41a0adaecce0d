"""What a question earned, and why."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Mark:
    """What a question earned and why, in words for the student.

    `verdict` is one of: right, carried, slip, unit, sign, part, filled-in, wrong, unreadable,
    blank, stopped, to-read (a person marks it). `slip` names the slip, for the class's report.
    """

    question: str
    marks: float
    out_of: float
    verdict: str
    reason: str
    hint: str = ""
    slip: str = ""
    given: str = ""
