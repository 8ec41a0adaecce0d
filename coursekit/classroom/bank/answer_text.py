"""The text in which a student's answers travel: saved by the answer page, or sent as a message.

People can read it and programs can't spoil it: every part begins with a line in square brackets,
every box is a line of its own, and nothing depends on spaces, blank lines or the end of a line.

    coursekit answers
    lesson: miter-angles
    student: bench-03
    stamp: 0f3a…
    saved: 2026-12-03 18:22 UTC
    copy: 3
    [mill-setting]
    28,5
    [working of mill-setting]
    90 - 61,5 = 28,5
    [reading of protractor]
    61,5
    61,6
    [end 5f21c0a9]

A question's boxes stand in the order of the sheet; an empty box is a line with "-" alone. A choice
is its option's id, an order one entry a line. Free words keep their lines; a line of theirs that
begins with "[" or with a space has a space before it. The number at the end is the check of all
that stands above it: CRC-32 (ISO 3309) of its letters, digits and signs without any white space,
as UTF-8, in eight hexadecimal digits.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

FIRST = "coursekit answers"
EMPTY = "-"
LARGEST = 200_000  # characters
_HEAD = ("lesson", "student", "stamp", "saved", "copy")
_PART = re.compile(r"\[(?:(working|reading) of )?([a-z0-9_-]{1,80})\]")
_END = re.compile(r"\[end ([0-9a-f]{8})\]")


@dataclass(frozen=True)
class AnswerText:
    """What a student saved, as typed.

    `answers` maps a question's id → its boxes, `working` a question's id → lines of the way there,
    `readings` a bench line's name → readings. `saved` and `copy` are the page's own words on when
    and how many times it was saved. `whole` is whether the end was there, and `as_saved` whether
    the check still fits what stands above it.
    """

    lesson: str
    student: str
    stamp: str
    saved: str = ""
    copy: str = ""
    answers: Mapping[str, Sequence[str]] = field(default_factory=dict)
    working: Mapping[str, Sequence[str]] = field(default_factory=dict)
    readings: Mapping[str, Sequence[str]] = field(default_factory=dict)
    whole: bool = True
    as_saved: bool = True


def written(one: AnswerText) -> str:
    """Return the text of a student's answers, as the answer page writes it."""
    lines = [FIRST, *(f"{name}: {getattr(one, name)}" for name in _HEAD)]
    for start, parts in (
        ("", one.answers),
        ("working of ", one.working),
        ("reading of ", one.readings),
    ):
        for id, body in parts.items():
            lines += [f"[{start}{id}]", *map(_shielded, body)]
    return "\n".join([*lines, f"[end {check(lines)}]", ""])


def read(text: str) -> AnswerText | None:
    """Return the answers that stand anywhere in `text`, or None if there are none.

    Words before and after them, quotation marks of a mail (">") and blank lines do no harm. Of two
    such texts the last counts.
    """
    lines = [_bare(line) for line in text.lstrip("\ufeff")[:LARGEST].splitlines()]
    starts = [i for i, line in enumerate(lines) if line.strip().casefold() == FIRST]
    if not starts:
        return None
    lines = lines[starts[-1] :]
    end = next((i for i, line in enumerate(lines) if _END.fullmatch(line.rstrip())), len(lines))
    above = lines[:end]
    head, parts = _parted(above[1:])
    if not (head.get("lesson") and head.get("student")):
        return None
    whole = end < len(lines)
    said = _END.fullmatch(lines[end].rstrip()) if whole else None
    return AnswerText(
        **{name: head.get(name, "") for name in _HEAD},
        answers=parts[""],
        working=parts["working"],
        readings=parts["reading"],
        whole=whole,
        as_saved=bool(said and said[1] == check(above)),
    )


def check(lines: Sequence[str]) -> str:
    """Return the check of the lines above the end."""
    return f"{zlib.crc32(''.join(''.join(lines).split()).encode()):08x}"


def _bare(line: str) -> str:
    """Return a line without the marks that a mail program puts before quoted lines."""
    return re.sub(r"^(?:> ?)+", "", line)


def _shielded(line: str) -> str:
    return f" {line}" if line.startswith(("[", " ")) else line


def _parted(lines: Sequence[str]) -> tuple[dict[str, str], dict[str, dict[str, list[str]]]]:
    """Return the head, and the parts by their kind ("" is an answer) and name."""
    head: dict[str, str] = {}
    parts: dict[str, dict[str, list[str]]] = {"": {}, "working": {}, "reading": {}}
    body: list[str] | None = None
    for line in lines:
        if found := _PART.fullmatch(line.rstrip()):
            body = parts[found[1] or ""].setdefault(found[2], [])
            body.clear()
        elif body is None:
            name, _, value = line.partition(":")
            if name.strip() in _HEAD:
                head.setdefault(name.strip(), value.strip())
        elif line.strip():
            body.append(line[1:].rstrip() if line.startswith(" ") else line.rstrip())
    return head, parts
