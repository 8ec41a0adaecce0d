"""The boxes of an answer that was written by hand: which part of what was typed goes into which."""

from __future__ import annotations

import re

from coursekit.classroom.bank.exercises import Question

NO_ANSWER = "-"


def count(question: Question) -> int:
    """Return how many boxes the sheet has for a question."""
    if question.kind in ("numbers", "points", "order"):
        return len(question.entries) * (2 if question.kind == "points" else 1)
    return 1


def entries(question: Question, text: str) -> list[str]:
    """Return the entries of an answer as it was typed, one for each box, "" for an empty box.

    The entries of a list are separated by semicolons or line breaks; if there are none, by commas
    followed by a space; if there are none of those either, by spaces. A choice is named by its id,
    its words, or its number on the sheet.

    Raises
    ------
    ValueError
        For too many entries, and for an option that is not printed.
    """
    if question.kind == "choice":
        return [_option(question, text)]
    if question.kind not in ("numbers", "points", "order"):
        return [text]
    boxes = count(question)
    parts = [p.strip() for p in _parted(question, text)]
    while len(parts) > boxes and not parts[-1]:
        parts.pop()
    if len(parts) > boxes:
        raise ValueError(
            f"'{question.title}' must have at most {boxes} entries; got {len(parts)} in "
            f"{text[:60]!r}. Part them by semicolons."
        )
    return parts


def _parted(question: Question, text: str) -> list[str]:
    if question.kind == "points" and re.search(r"[()\[\]]", text):  # else a box may be empty
        text = re.sub(r"[()\[\]]+|,\s+", ";", text).strip("; ")
        text = re.sub(r";[\s,;]*;", ";", text)
    for sign in (r"[;\n]", r",\s+"):
        if re.search(sign, text):
            return re.split(sign, text)
    apart = text.split()
    if question.kind == "order":
        whole = not any(" " in entry for entry in question.entries)
    else:
        whole = all(re.match(r"[-+−–]?[.,]?\d", part) for part in apart)  # not of "12 mm"
    return apart if whole and apart else [text]


def _option(question: Question, text: str) -> str:
    options = question.options or {}
    wanted = " ".join(text.casefold().split())
    for number, (id, words) in enumerate(options.items(), start=1):
        if wanted in (id.casefold(), words.casefold(), str(number)):
            return id
    raise ValueError(
        f"'{question.title}' must be answered by one of {', '.join(options)}, or its number on the "
        f"sheet; got '{text[:40]}'. Write {NO_ANSWER} where no box or more than one is ticked."
    )
