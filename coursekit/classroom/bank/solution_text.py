"""Reads one question of `solutions/<slug>.md`: answer and slips, a blank line, how it is worked.

answer: 90 - angle_deg
slip angle-itself (credit 0.25): angle_deg
  You set the angle of the joint itself.

The scale reads zero where tube and cutter stand square …
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from coursekit.classroom.bank.exercises import AuthoringError

_ANSWER = re.compile(r"answer: *(.*)")
_AFTER = re.compile(r"after: *(.*)")
_SLIP = re.compile(r"slip ([a-z][a-z0-9-]*)(?: \(credit ([^)]*)\))?: *(.*)")
_HEAD = re.compile(r"(answer|after|slip)\b.*:")


@dataclass(frozen=True)
class WrittenSlip:
    """A slip as it is written: its name, expression, hint and share of the marks."""

    name: str
    text: str
    hint: str
    credit: float


@dataclass(frozen=True)
class WrittenAnswer:
    """A question as it is written: its answer (or ""), its slips and its worked solution."""

    answer: str
    after: tuple[str, ...]
    slips: tuple[WrittenSlip, ...]
    worked: str


def read(block: str, where: str) -> WrittenAnswer:
    """Return what `block`, the text below a question's heading, says.

    `where` names the file and the question in the text of an AuthoringError.
    """
    text = block.strip()
    if not _HEAD.match(text):
        return WrittenAnswer("", (), (), text)
    head, _, worked = text.partition("\n\n")
    answer, after = "", ""
    slips: list[WrittenSlip] = []
    for line, below in _items(head, where):
        if found := _ANSWER.fullmatch(line):
            if answer:
                raise AuthoringError(f"{where}: it must have one answer; got two. Remove one.")
            answer = " ".join([found[1], *below]).strip()
        elif found := _AFTER.fullmatch(line):
            after = found[1]
        elif found := _SLIP.fullmatch(line):
            slips.append(_slip(found[1], found[2], found[3], " ".join(below), where))
        else:
            raise AuthoringError(
                f"{where}: a line above the blank line must begin with `answer:`, `after:` or "
                f"`slip a-name:`, and a hint must be indented; got {line!r}. Mend it, or put a "
                "blank line before the worked solution."
            )
    builds_on = tuple(id.strip() for id in after.split(",") if id.strip())
    return WrittenAnswer(answer, builds_on, tuple(slips), worked.strip())


def _items(head: str, where: str) -> list[tuple[str, list[str]]]:
    """Return each line that begins at the margin with the indented lines below it."""
    items: list[tuple[str, list[str]]] = []
    for line in head.splitlines():
        if line[:1].isspace() and items:
            items[-1][1].append(line.strip())
        else:
            items.append((line.rstrip(), []))
    return items


def _slip(name: str, credit: str | None, text: str, hint: str, where: str) -> WrittenSlip:
    try:
        share = float(credit or 0)
    except ValueError:
        share = -1.0
    if not text or not hint or not 0 <= share < 1:
        raise AuthoringError(
            f"{where}: slip '{name}' must have an expression, a hint indented below it, and a "
            f"credit from 0 to below 1; got {text!r}, {hint!r}, credit {credit or 0}. Mend it."
        )
    return WrittenSlip(name, text, hint, share)
