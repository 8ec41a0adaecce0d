"""Says what take-in says of a file in the words of a page: names, titles and local times.

The command speaks of ids, slugs and its own options, because its reader types them. A page has
buttons for these, so what the command says about options is left out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime

from coursekit.desk import words

WHAT = {
    "taken": "taken in",
    "older": "kept, but another version counts",
    "same": "there already",
    "kept": "kept for you to look at",
    "with": "came with it",
    "passed": "passed over",
    "left": "unclear",
}
_CURES = re.compile(
    r"""
    [.;]\ [Ss]ay\ (?:so|whose|which)\ (?:[a-z ]*?)with\ --[a-z]+(?:\ [\w-]+)?
    | \.\ If\ (?:this\ one\ should\ count|it\ is\ theirs),\ take\ it\ in\ with\ --student\ [\w-]+
    | \.\ If\ this\ one\ should\ count:\ take-in\ --use\ [\w-]+\ [\w-]+\ \d+
    | ,\ kept\ in\ to-look-at/[\w-]+/[\w-]+(?=,)
    """,
    re.VERBOSE,
)
_TIME = re.compile(r"(\d{4}-\d\d-\d\d) (\d\d:\d\d) UTC")
_HAND = (
    ("take in the folder", "drop the folder"),
    ("Take in what lies in it by itself.", "Drop what lies in it by itself."),
    ("and take that in.", "and drop that."),
    ("Take in the one that counts.", "Say which one counts."),
    ("it lay in submitted", "it was there before"),
)


def people(why: str, titles: Mapping[str, str], names: Mapping[str, str]) -> str:
    """Return a reason of take-in as a sentence; `titles` are by slug, `names` by id."""
    said = _TIME.sub(_local, _CURES.sub("", why))
    for command, page in _HAND:
        said = said.replace(command, page)
    if known := {**titles, **names}:
        ids = "|".join(re.escape(id) for id in sorted(known, key=len, reverse=True))
        said = re.sub(rf"(?<![\w./-])({ids})(?![\w/-]|\.\w)", lambda id: known[id[0]], said)
    said = re.sub(r"^by (?=its|the)", "known by ", said)
    said = re.sub(r"(, by )(?=its|the)", ", known by ", said)
    said = re.sub(r"^as you say", "as you said", said)
    if not re.match(r"[a-z]+[A-Z]", said):  # macOS
        said = f"{said[:1].upper()}{said[1:]}"
    return said if not said or said[-1] in ".!?" else f"{said}."


def _local(said: re.Match[str]) -> str:
    return moment(datetime.strptime(f"{said[1]} {said[2]}", "%Y-%m-%d %H:%M"))


def moment(when: datetime) -> str:
    """Return a time in UTC, without a zone, as it is here: the day and the time of the day."""
    return f"{words.day(when)}, {when.replace(tzinfo=UTC).astimezone():%H:%M}"
