"""Numbers that a page prints, held against the kit: what is said must stand there, digit by digit."""

from __future__ import annotations

import re
from pathlib import Path

_FORM = re.compile(r"\+?#(?:\.(#+))?")


class Printed:
    """A page's text as printed, white space made plain.

    >>> page = Printed("At 62° the swing\\nis 28.0°, z is −1.50 mm.")
    >>> page.says("the swing is #.#°, z is #.## mm", 90 - 62, -1.499)
    >>> page.says("the swing is #.#°", 90 - 63)
    Traceback (most recent call last):
    AssertionError: the page must print 'the swing is 27.0°'
    >>> page.says("is −#.#", 1.5)
    Traceback (most recent call last):
    AssertionError: the page must print 'is −1.5'
    """

    def __init__(self, text: str) -> None:
        self.text = " ".join(text.split())

    @classmethod
    def of(cls, root: Path, slug: str) -> Printed:
        """Return the page of a lesson."""
        return cls((root / "course" / f"{slug}.md").read_text(encoding="utf-8"))

    def says(self, words: str, *values: float) -> None:
        """Assert that the page prints `words`, each form like #.## (or +#.#) filled with a value."""
        left = iter(values)
        filled = _FORM.sub(lambda form: _filled(form, next(left)), words)
        assert not list(left), f"{words!r} has too few forms"
        if not re.search(_whole(" ".join(filled.split())), self.text):
            raise AssertionError(f"the page must print {filled!r}")


def _whole(words: str) -> str:
    """Return a pattern of the words; a number at either end is the whole one: 28.0 is not in 128.05."""
    before = r"(?<![0-9])(?<![0-9][.,])" if words[0].isdigit() else ""
    after = r"(?![0-9])(?![.,][0-9])" if words[-1].isdigit() else ""
    return before + re.escape(words) + after


def _filled(form: re.Match[str], value: float) -> str:
    digits = len(form[1] or "")
    rounded = round(float(value), digits) + 0.0  # no −0.0
    sign = "+" if form[0].startswith("+") and rounded else ""
    return f"{rounded:{sign}.{digits}f}".replace("-", "−")
