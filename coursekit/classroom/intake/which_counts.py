"""Decides which of the kept versions of a student's work counts.

The versions are gone through in the order in which they came, and each takes the place of the one
before it, unless

- it is unreadable, has no answers, or is cut off, and the one before it is not,
- weaker evidence says that it is this student's work, and the one before it can be read, or
- it is saved answers, and a later copy of them came before it.

The instructor can choose another version. It then counts until work is handed in that would take
its place. The choice lies in `chosen.json` in that version's folder; of two the later counts.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.intake import worth
from coursekit.classroom.intake.owner import AS_YOU_SAY, strength
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.intake.worth import Worth
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, write_text

ORIGIN = "origin.json"
_CHOSEN = "chosen.json"
_SAVED = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d")
A_NEWER_ONE = "a newer one counts"


@dataclass(frozen=True)
class Standing:
    """The version that counts, why each of the others doesn't, and which was chosen.

    `chosen` is the version that the instructor chose, which counts no more if newer work came.
    """

    counts: Path
    why_not: Mapping[Path, str]
    chosen: Path | None = None


@dataclass(frozen=True)
class Version:
    """A version, and what was written down about it when it was taken in."""

    folder: ClassFolder
    slug: str
    path: Path

    @cached_property
    def origin(self) -> dict[str, Any]:
        """Where it came from."""
        return origin(self.path)

    @cached_property
    def evidence(self) -> int:
        """How strong the evidence is that it is this student's."""
        return evidence(self.path)

    @cached_property
    def worth(self) -> Worth:
        """How much of it can be read."""
        said = self.origin
        if str(said.get("level", "")).isdigit() and str(said.get("answers", "")).isdigit():
            return Worth(int(said["level"]), int(said["answers"]), str(said.get("trouble", "")))
        data = read_regular(self.path / f"{self.slug}.ipynb", LARGEST_NOTEBOOK)
        return worth.of_notebook(self.folder, self.slug, data or b"")

    @property
    def copy(self) -> tuple[int, str] | None:
        """The number of the copy of saved answers, and when it was saved; None for other work."""
        if "copy" not in self.origin:
            return None
        return copy_key(str(self.origin["copy"]), str(self.origin.get("saved", "")))


def copy_key(copy: str, saved: str) -> tuple[int, str]:
    """Return by what copies of saved answers are sorted; 0 and "" where it is not known."""
    number = int(copy) if copy.isascii() and copy.isdigit() and len(copy) < 10 else 0
    time = _SAVED.match(saved)
    return number, time[0] if time else ""


def is_older(one: tuple[int, str], other: tuple[int, str]) -> bool:
    """Whether `one` is an older copy than `other`.

    A student who answers on two devices has copies whose numbers and times disagree. Then neither
    is older, and the one that comes later counts.

    >>> is_older((2, "2026-12-03 18:22"), (3, "2026-12-03 18:30"))
    True
    >>> is_older((1, "2026-12-04 08:00"), (3, "2026-12-03 18:30"))
    False
    """
    return one < other and not (one[1] and other[1] and one[1] > other[1])


def origin(version: Path) -> dict[str, Any]:
    """Return what was written down about a version: `source`, `by` and more; empty if lost."""
    return _read(version / ORIGIN)


def evidence(version: Path) -> int:
    """Return how strong the evidence is that a version is this student's."""
    return strength(str(origin(version).get("by", "")))


def _read(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def facts_of(found: Worth, text: AnswerText | None = None) -> dict[str, str]:
    """Return what is written down about a version, besides where it came from."""
    facts = {"level": str(found.level), "answers": str(found.answers), "trouble": found.trouble}
    return facts | ({"copy": text.copy[:20], "saved": text.saved[:40]} if text else {})


def turn_of(version: Path) -> int:
    """Return which version of this work it was when it was taken in, counted from 1."""
    return int(version.name.split("-")[1])


def standing(folder: ClassFolder, slug: str, kept: list[Path]) -> Standing:
    """Return which of the versions `kept`, the oldest first, counts, and why the others don't."""
    all_of_them = [Version(folder, slug, path) for path in kept]
    chosen, known = _choice(kept)
    last = max((i for i, path in enumerate(kept) if turn_of(path) <= known), default=-1)
    counts = all_of_them[kept.index(chosen)] if chosen else all_of_them[0]
    why_not = {p: "another was chosen" for p in kept[: last + 1] if p != chosen}
    for place, one in enumerate(all_of_them):
        if one is counts or place <= last:
            continue
        reason = _against(one, counts, all_of_them[:place], counts.path == chosen)
        if reason:
            why_not[one.path] = reason
        else:
            why_not[counts.path] = A_NEWER_ONE
            counts = one
    return Standing(counts.path, why_not, chosen)


def _against(one: Version, counts: Version, before: list[Version], is_chosen: bool) -> str:
    """Return why `one` does not take the place of the version that counts, or "" if it does."""
    trouble = one.worth.trouble.removesuffix(worth.ASK_AGAIN)
    if one.worth.level == worth.UNREADABLE < counts.worth.level:
        return f"{trouble}, and an earlier one can be read"
    if counts.worth.level > worth.UNREADABLE or one.worth.level == worth.UNREADABLE:
        by = AS_YOU_SAY if is_chosen else str(counts.origin.get("by", ""))
        if one.evidence < strength(by):
            return f"the work that counts is theirs by {by}, which is stronger"
    if one.worth.level < counts.worth.level:
        return f"{trouble}, and the one before it is better"
    for other in before:
        if one.copy and other.copy and is_older(one.copy, other.copy) and not _beats(one, other):
            return f"it is copy {one.copy[0]}, and copy {other.copy[0]} is there already"
    return ""


def _beats(one: Version, other: Version) -> bool:
    """Whether more of `one` can be read, or stronger evidence speaks for it."""
    return one.worth.level > other.worth.level or one.evidence > other.evidence


def _choice(kept: list[Path]) -> tuple[Path | None, int]:
    """Return the chosen version, and the last turn that there was when it was chosen."""
    found = _choices(kept)
    if not found:
        return None, 0
    _, turn, path = max(found)
    return path, turn


def _choices(kept: list[Path]) -> list[tuple[int, int, Path]]:
    """Return the choices that were made: which it was, the last turn at the time, the version."""
    said = [(path, _read(path / _CHOSEN)) for path in kept]
    numbers = [(one.get("choice"), one.get("turn"), path) for path, one in said]
    return [(a, b, path) for a, b, path in numbers if isinstance(a, int) and isinstance(b, int)]


def choose(kept: list[Path], version: Path) -> None:
    """Write down that `version` counts, whatever came before and after it until now."""
    before = [choice for choice, _, _ in _choices(kept)]
    facts = {
        "choice": 1 + max(before, default=0),
        "turn": max(map(turn_of, kept)),
        "when": f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}",
    }
    write_text(version / _CHOSEN, json.dumps(facts, indent=1) + "\n")


def by_number(kept: list[Path], number: int) -> Path:
    """Return the version with a number of the list, counted from 1; ClassError if there is none."""
    if not 1 <= number <= len(kept):
        raise ClassError(
            f"A version must be one of those that are kept, 1 to {len(kept)}; got {number}. Leave "
            "the number out to see them."
        )
    return kept[number - 1]
