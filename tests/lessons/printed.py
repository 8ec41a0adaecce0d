"""Numbers that a page prints, held against the kit: digit by digit, in whatever words."""

from __future__ import annotations

import re
from pathlib import Path

from coursekit.book import worked_frame

_FACT = re.compile(r"\{fact\}`([^`]+)`")
_FORM = re.compile(r"\+?#(?:\.(#+))?")
_NUMBER = re.compile(
    r"(?P<number>[+−]?\d+(?:[.,]\d+)*)(?P<unit> ?(?:°C|°|%|mm²|mm|MPa|kg|g|N)(?![^\W\d_]))?"
)
_WORD = re.compile(r"[^\W\d_]{3,}")


class Printed:
    """A page's text as printed, white space made plain.

        What a test gives as `words` is the page's sentence when the test was written. Its numbers, those
        written out and those computed, must follow each other on the page with no other number between;
        of its words half must stand around them, so that an author may mend a sentence. Words without a
    number must stand there as they are.

        >>> page = Printed("At 62° the swing\\nis 28.0°, z is −1.50 mm.")
        >>> page.says("the swing is #.#°, z is #.## mm", 90 - 62, -1.499)
        >>> page.says("then the arm's swing is #.#°", 90 - 62)
        >>> page.says("the swing is #.#°", 90 - 63)
        Traceback (most recent call last):
        AssertionError: the page must print 'the swing is 27.0°'
        >>> page.says("the swing is #.# mm", 90 - 62)
        Traceback (most recent call last):
        AssertionError: the page must print 'the swing is 28.0 mm'
        >>> page.says("the trail gets #.#° longer", 90 - 62)
        Traceback (most recent call last):
        AssertionError: the page must print 'the trail gets 28.0° longer'
        >>> page.says("is −#.#", 1.5)
        Traceback (most recent call last):
        AssertionError: the page must print 'is −1.5'
    """

    def __init__(self, text: str) -> None:
        self.text = " ".join(text.split())
        self.numbers = list(_NUMBER.finditer(self.text))

    @classmethod
    def of(cls, root: Path, slug: str) -> Printed:
        """Return the page of a lesson, with the worked frame's numbers where it names them."""
        text = (root / "course" / f"{slug}.md").read_text(encoding="utf-8")
        known = worked_frame.facts(root)
        return cls(_FACT.sub(lambda name: worked_frame.printed(known, name[1]), text))

    def says(self, words: str, *values: float) -> None:
        """Assert that the page prints `words`, each form like #.## (or +#.#) filled with a value."""
        left = iter(values)
        filled = " ".join(_FORM.sub(lambda form: _filled(form, next(left)), words).split())
        assert not list(left), f"{words!r} has too few forms"
        wanted = list(_NUMBER.finditer(filled))
        if not wanted and filled in self.text:  # a number in words
            return
        for at in range(len(self.numbers) - len(wanted) + 1 if wanted else 0):
            run = self.numbers[at : at + len(wanted)]
            if all(map(_same, wanted, run)) and self._about(filled, run):
                return
        raise AssertionError(f"the page must print {filled!r}")

    def _about(self, filled: str, run: list[re.Match[str]]) -> bool:
        """Whether half the words of `filled` stand around these numbers of the page."""
        told = {w.lower() for w in _WORD.findall(filled)}
        near = self.text[max(0, run[0].start() - len(filled)) : run[-1].end() + len(filled)].lower()
        return 2 * sum(word in near for word in told) >= len(told)


def _same(wanted: re.Match[str], printed: re.Match[str]) -> bool:
    return wanted["number"] == printed["number"] and wanted["unit"] in (None, printed["unit"])


def _filled(form: re.Match[str], value: float) -> str:
    digits = len(form[1] or "")
    rounded = round(float(value), digits) + 0.0  # no −0.0
    sign = "+" if form[0].startswith("+") and rounded else ""
    return f"{rounded:{sign}.{digits}f}".replace("-", "−")
