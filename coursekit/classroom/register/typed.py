"""Sizes of paper and percentages as people write them."""

from __future__ import annotations

import re
from collections.abc import Sequence

PAPERS = ("a4", "us-letter")
_OTHER_NAMES = {"letter": "us-letter", "usletter": "us-letter"}
_PER_CENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:%|per ?cent)?", re.IGNORECASE)


def paper(text: str, papers: Sequence[str] = PAPERS) -> str:
    """Return the size of paper that `text` names, one of `papers`.

    Raises ValueError, "The paper must be one of a4, us-letter; got 'b5'. Name one of them."

    >>> [paper(text) for text in ("A4", "DIN A4", "Letter", "US letter", "us-letter")]
    ['a4', 'a4', 'us-letter', 'us-letter', 'us-letter']
    """
    word = re.sub(r"[\W_]+", "", text.casefold())
    word = re.sub(r"\A(din|iso)", "", word)
    found = _OTHER_NAMES.get(word, word)
    if found not in papers:
        raise ValueError(
            f"The paper must be one of {', '.join(papers)}; got '{text}'. Name one of them."
        )
    return found


def per_cent(text: str, what: str = "The share") -> float:
    """Return a percentage between 0 and 100.

    Raises ValueError, "The share must be between 0 and 100 %; got '120 %'. Write it like 10 %."

    >>> per_cent("10 %"), per_cent("10%"), per_cent("10"), per_cent("7,5 per cent")
    (10.0, 10.0, 10.0, 7.5)
    """
    found = _PER_CENT.fullmatch(text.strip())
    value = float(found[1].replace(",", ".")) if found else -1.0
    if not 0 <= value <= 100:
        raise ValueError(
            f"{what} must be between 0 and 100 %; got '{text.strip()}'. Write it like 10 %."
        )
    return value
