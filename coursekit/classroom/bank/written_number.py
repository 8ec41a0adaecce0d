"""Reads a number as people write it, with or without its unit, and turns it into the unit asked.

This is the one home of that reading: answers and bench readings are both read here. The answer page
reads a box in the same way while it is typed (`answer_page/numbers.js`), and a test holds the two
together.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from coursekit import units

LONGEST = 40  # characters of a number with its unit
_MOST_ZEROS = 400  # of an exponent, more than any float has
# how people write each unit, in lower case
SPELLINGS = {
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "in": ("in", "inch", "inches", '"'),
    "deg": ("deg", "degree", "degrees", "°"),
    "rad": ("rad", "radian", "radians"),
    "N": ("n", "newton", "newtons"),
    "N·m": ("n·m", "nm", "n m", "n*m", "newton metre", "newton metres"),
    "MPa": ("mpa", "n/mm2", "n/mm²"),
    "mm²": ("mm²", "mm2", "mm^2"),
    "mm³": ("mm³", "mm3", "mm^3"),
    "mm⁴": ("mm⁴", "mm4", "mm^4"),
    "g": ("g", "gram", "grams"),
    "°C": ("°c", "c"),
    "%": ("%", "percent", "per cent"),
}
# units of one kind, with the worth of one of each; a number written in one is turned into another
_KINDS = (
    {name: Fraction(str(units.mm(f"1 {name}"))) for name in ("mm", "cm", "m", "in")},
    {"deg": Fraction(1), "rad": Fraction(180 / math.pi)},
)
# other signs that keyboards put in → the ones that a program reads
TYPED = {
    **dict.fromkeys("−–—‐‑‒﹣－", "-"),
    **dict.fromkeys("’‘′ʹ", "'"),
    **dict.fromkeys("”“″ʺ", '"'),
    **dict.fromkeys("º˚", "°"),
    **dict.fromkeys("⁄∕", "/"),
    **{"¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"},
    "''": '"',
}
# ISO 80000-1:2022, 7.3: the decimal sign is a comma or a point; digits are grouped by a small space
# and by nothing else, so that a single comma or point never separates thousands
_WHOLE = r"[1-9]\d{0,2}(?: \d{3})+|\d+"
_NUMBER = re.compile(
    rf"([+-]?) ?((?:(?:{_WHOLE})(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?) ?((?![\d+.,-]).*)",
    re.ASCII,
)
_FRACTION = re.compile(rf"([+-]?) ?(?:({_WHOLE})[ -])?(\d+) ?/ ?(\d+) ?((?![\d+.,-]).*)", re.ASCII)
_ARC = re.compile(
    r"([+-]?) ?(\d+) ?(?:°|deg|degrees?) ?(\d{1,2})(?:([.,]\d+) ?(?:'|min|minutes?)"
    r"| ?(?:'|min|minutes?)(?: ?(\d{1,2}(?:[.,]\d+)?) ?(?:\"|s|sec|seconds?))?)",
    re.ASCII,
)
_TWO_WAYS = re.compile(r"[+-]?\d+(?:[.,']\d+){2,}\D*|[+-]?\d+'\d+\D*", re.ASCII)

Trouble = Literal["too long", "two ways", "no number", "no unit", "other unit", "not finite"]


class UnreadError(ValueError):
    """Says that a text is no number in the unit asked: what the `trouble` is, with which `unit`.

    The trouble is "no unit" for a fraction that has none: 7/8 of what?
    """

    def __init__(self, trouble: Trouble, unit: str = "") -> None:
        super().__init__(trouble)
        self.trouble, self.unit = trouble, unit


@dataclass(frozen=True)
class WrittenNumber:
    """A number in the unit asked, the worth of its last digit or fraction, and its own unit.

    `unit` is the unit that it was written in, by its name in `SPELLINGS`; a bare number is in the
    unit asked.
    """

    value: float
    step: float
    unit: str


def read(text: str, asked: str, exponents: bool = True) -> WrittenNumber:
    """Return the number that `text` says, in the unit `asked`.

    A bare number is in the unit asked. A length may be written in mm, cm, m or inches, an angle in
    degrees, in degrees and minutes (and seconds) or in radians. A fraction, with or without a whole
    number before it, must have its unit.

    Parameters
    ----------
    text : str
        What was typed.
    asked : str
        The unit of the question or of the reading: "mm", "deg", "N·m" …; "" for a bare number.
    exponents : bool
        Whether "1.2e3" is a number.

    Raises
    ------
    UnreadError
        For a text that is no number in the unit asked.

    Examples
    --------
    >>> read("39 7/8 in", "mm")
    WrittenNumber(value=1012.825, step=3.175, unit='in')
    >>> read("1 012,5", "mm").value, read("72° 30'", "deg").value
    (1012.5, 72.5)
    """
    if len(text.strip()) > LONGEST:
        raise UnreadError("too long")
    plain, own = _apart(_plain(text), asked)
    if _TWO_WAYS.fullmatch(plain):
        raise UnreadError("two ways")
    if asked == "deg" and (found := _ARC.fullmatch(plain)):
        return _arc(found)
    if found := _FRACTION.fullmatch(plain):
        return _fraction(found, asked, own)
    found = _NUMBER.fullmatch(plain)
    if not found or ("e" in found[2] and not exponents):
        raise UnreadError("no number")
    if abs(int(found[2].partition("e")[2] or "0")) > _MOST_ZEROS:
        raise UnreadError("not finite")
    unit, one = _unit(found[3], asked)
    amount = Fraction(found[2].replace(" ", "").replace(",", ".").removesuffix("."))
    return _made(found[1], amount * one, _step(found[2]) * one, unit)


def _plain(text: str) -> str:
    """Return a text in lower case, with ASCII's own digits and signs and single spaces."""
    for sign, meant in TYPED.items():
        text = text.replace(sign, meant)
    digits = (str(unicodedata.decimal(c, c)) for c in text)
    return " ".join("".join(digits).lower().split())


def _apart(plain: str, asked: str) -> tuple[str, str]:
    """Take off a unit that begins with a digit, like 64ths, which would be read as a number."""
    ending = f" {asked.lower()}"
    whole = plain.removesuffix(".")
    if not asked[:1].isdigit() or not whole.endswith(ending):
        return plain, ""
    return whole.removesuffix(ending), ending[1:]


def _unit(written: str, asked: str) -> tuple[str, Fraction]:
    """Return the unit that was written, and what one of it is worth in the unit asked."""
    written = written.removesuffix(".")
    if not written:
        return asked, Fraction(1)
    kind = next((kind for kind in _KINDS if asked in kind), {asked: Fraction(1)})
    for name, worth in kind.items():
        if written in SPELLINGS.get(name, (name.lower(),)):
            return name, worth / kind[asked]
    if written[0].isalnum() or written[0] in "°\"'%":
        raise UnreadError("other unit", written)
    raise UnreadError("no number")


def _fraction(found: re.Match[str], asked: str, own: str) -> WrittenNumber:
    sign, whole, top, bottom, behind = found.groups()
    written = behind or own
    if not int(bottom):
        raise UnreadError("no number")
    if not written:
        raise UnreadError("no unit")
    unit, one = _unit(written, asked)
    amount = int((whole or "0").replace(" ", "")) + Fraction(int(top), int(bottom))
    return _made(sign, amount * one, one / int(bottom), unit)


def _arc(found: re.Match[str]) -> WrittenNumber:
    sign, degrees, minutes, tenths, seconds = found.groups()
    minute, second = Fraction(1, 60), Fraction(1, 3600)
    parts = Fraction(f"{minutes}{tenths or ''}".replace(",", "."))
    rest = Fraction((seconds or "0").replace(",", "."))
    if parts >= 60 or rest >= 60:
        raise UnreadError("no number")
    step = _step(seconds) * second if seconds else _step(tenths or "") * minute
    return _made(sign, int(degrees) + parts * minute + rest * second, step, "deg")


def _step(digits: str) -> Fraction:
    """Return the worth of the last digit of a number as it is written."""
    mantissa, _, power = digits.partition("e")
    decimals = len(mantissa.replace(",", ".").partition(".")[2])
    return Fraction(10) ** (int(power or "0") - decimals)


def _made(sign: str, amount: Fraction, step: Fraction, unit: str) -> WrittenNumber:
    try:
        value = float(amount)
        return WrittenNumber(-value if sign == "-" else value, float(step), unit)
    except OverflowError:
        raise UnreadError("not finite") from None
