"""Decides, once a whole sheet has been read, which of its filled-in numbers earn marks.

A sheet here is all of one student's answers to an exercise. An honest student now and then writes a
number that looks filled in: a deviation can be zero, and forgetting a step can lead back to the
given number. So one number alone proves nothing, and the company it keeps, which is the rest of the
sheet, decides.

- A right number earns its marks however it was found, unless the sheet is idle. It is idle if
  at least three of its numbers were filled in and are wrong, and these are at least three times as
  many as those that were not filled in.
- Less than right (a value carried on, a slip, a part, another unit) earns its marks if the sheet
  shows enough work for it: at least as many numbers were worked out as were filled in and are
  wrong. A number was worked out if it was not filled in and the marker can say where it comes from.

The hint of a slip stays in any case. Choices and orders are left out of this, because nobody can
tell a guess from an answer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from coursekit.classroom.bank.exercises import Question


@dataclass(frozen=True)
class Found:
    """What the rules found for one answer; it becomes a `Mark` with the question's own facts."""

    verdict: str
    marks: float
    reason: str
    hint: str = ""
    slip: str = ""


@dataclass(frozen=True)
class Answered:
    """A question, what was read of it, what the rules found, and whether it was filled in."""

    question: Question
    value: object
    found: Found
    filled_in: bool

    @property
    def explained(self) -> bool:
        """Whether it is known where the answer comes from, so that the next may be carried."""
        return self.found.verdict in ("right", "carried", "slip", "sign", "unit") or (
            self.found.verdict == "part" and not self.filled_in
        )


@dataclass(frozen=True)
class Sheet:
    """How the numbers on one student's sheet came about.

    `filled_in` counts those that were filled in and are not right, `others` those that were not
    filled in, and `worked_out` those of the others whose origin the marker can explain.
    """

    filled_in: int
    others: int
    worked_out: int

    @property
    def idle(self) -> bool:
        """Whether nearly all of it was filled in and is wrong."""
        return self.filled_in >= 3 * max(self.others, 1)

    @property
    def shows_work(self) -> bool:
        """Whether each filled-in number has a worked-out one to vouch for it."""
        return self.worked_out >= self.filled_in


def sheet_of(answers: Iterable[Answered]) -> Sheet:
    """Return how many of a sheet's numbers were worked out, and how many only filled in."""
    numbers = [a for a in answers if a.question.kind not in _CHOSEN and a.value is not None]
    others = [a for a in numbers if not a.filled_in]
    return Sheet(
        filled_in=sum(a.filled_in and a.found.verdict != "right" for a in numbers),
        others=len(others),
        worked_out=sum(a.explained for a in others),
    )


_CHOSEN = ("choice", "order")


def paid(sheet: Sheet, answered: Answered) -> Found:
    """Return what was found, without its marks if it was filled in and its company is too poor."""
    found = answered.found
    if not answered.filled_in or not found.marks:
        return found
    if found.verdict == "right":
        return replace(found, verdict="filled-in", marks=0.0, reason=_LUCK) if sheet.idle else found
    if sheet.shows_work:
        return found
    verdict = found.verdict if found.verdict in ("slip", "unit") else "filled-in"
    reason = _FOLLOWS if found.verdict == "carried" else found.reason
    return replace(found, verdict=verdict, marks=0.0, reason=f"{reason} {_NO_COMPANY}")


_LUCK = (
    "This happens to be right. But nearly every number on this sheet is zero, a given number or a "
    "copy of another answer, so it earns no marks. Work the others out and it does."
)
_FOLLOWS = "Right for your own earlier value."
_NO_COMPANY = (
    "But it is also zero, a given number or a copy, and the sheet shows too little work beside it, "
    "so it earns no marks. Work more of the others out and it does."
)
