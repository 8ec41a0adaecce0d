"""The timestamp file beside handed-in work, which says when it came, read as nbgrader reads it.

It has nothing to do with `register.stamps`, which say whose copy a notebook is.
"""

from __future__ import annotations

import re
import warnings
from datetime import datetime

STAMP_FILE = "timestamp.txt"
# the form in which nbgrader, the demo and taking in write it
_PLAIN = re.compile(r"(\d{4}-\d\d-\d\d) (\d\d:\d\d:\d\d(?:\.\d{6})?) UTC")


def time_of(text: str) -> datetime | None:
    """Return the time that `text` of a timestamp file says, in UTC without zone, or None.

    It is the time that nbgrader finds there, with one exception: nbgrader takes a zone written as
    +0200 after a space for 200 seconds, and here it is a zone.
    """
    text = text.strip()
    try:
        if plain := _PLAIN.fullmatch(text):
            return datetime.fromisoformat(" ".join(plain.groups()))
        return _parsed(re.sub(r" ([+-]\d\d:?\d\d)$", r"\1", text)) if text else None
    except Exception:
        return None


def _parsed(text: str) -> datetime | None:
    from nbgrader.utils import parse_utc  # imported only when needed, because it is slow

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # an unknown zone is read as UTC, as nbgrader does
        when = parse_utc(text)
    return when if isinstance(when, datetime) else None
