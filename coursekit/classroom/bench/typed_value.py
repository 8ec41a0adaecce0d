"""Turns what was typed as a bench reading into a number, or refuses it with the reason."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import floor, isinf

from coursekit import units
from coursekit.classroom.bank.bench_line import BenchLine

_TYPED = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "″": '"'})
_NUMBER = re.compile(r"([-+]?(?:\d+(?:\.\d*)?|\.\d+))\s*(.*)")
_FRACTION = re.compile(r"[-+]?(?:\d+[ -])?\d+\s*/\s*(\d+)\s*(in|inch|inches|\")")
_ARC = re.compile(r"([-+]?)(\d+)\s*(?:°|deg)\s*(\d{1,2})\s*(?:'|′|min)")
_TWO_WAYS = re.compile(r"[-+]?\d+(?:[.,'’]\d+){2,}\D*")
_DEGREES = ("", "deg", "degree", "degrees", "°")
_LENGTHS = ("mm", "cm", "m", "in", "inch", "inches", '"')
_HAIR = 1e-6  # of a division: how far decimals can be off when they are kept in binary
_LONGEST = 40  # characters


@dataclass(frozen=True)
class _Typed:
    """A number in the line's unit, the worth of its last digit, and if it came in that unit."""

    value: float
    step: float
    own: bool


def value(line: BenchLine, text: str, resolution: float | None = None) -> float:
    """Return what `text` says as a reading of `line`, in the line's unit.

    The decimals may follow a comma or a point. A bare number is in the line's unit; a length may be
    in mm, cm, m or inches ("0.05 in", "1/16 in"), an angle in degrees and minutes ("72° 30'").

    Parameters
    ----------
    line : BenchLine
        What is measured, in which unit, within which bounds.
    text : str
        What was typed.
    resolution : float, optional
        The finest division of the instrument, in the line's unit, if it was not the line's own.

    Raises
    ------
    ValueError
        "'*line*' must be a number, in *unit*; got … Write it like 12.5.", "'*line*' must lie
        between … and … *unit*; got …", or "'*line*' must be a whole number of divisions of the
        instrument, 0.02 mm; got 0.31 mm. The nearest marks are 0.3 and 0.32. …"

    Examples
    --------
    >>> gap = BenchLine("gap", "widest gap", "mm", "feeler gauge", 0.05, low=0.0, high=5.0)
    >>> value(gap, "1,2 mm"), value(gap, "0.05 in"), value(gap, " 0.35")
    (1.2, 1.27, 0.35)
    >>> value(gap, "12")
    Traceback (most recent call last):
    ValueError: 'widest gap' must lie between 0 and 5 mm; got 12 mm. Look at the instrument again,
    and at the unit.
    """
    typed = _read(line, text)
    if not line.low <= typed.value <= line.high:
        raise ValueError(
            f"'{line.say}' must lie {_range(line)}; got {_shown(typed.value)} {line.unit}. Look at "
            "the instrument again, and at the unit."
        )
    _check_division(line, typed, resolution or line.resolution)
    return typed.value


def _read(line: BenchLine, text: str) -> _Typed:
    plain = " ".join(text.translate(_TYPED).lower().split())
    if len(plain) > _LONGEST or _TWO_WAYS.fullmatch(plain):
        raise ValueError(
            f"'{line.say}' must have one point or comma, for the decimals; got "
            f"{text[:_LONGEST]!r}. Write it like 1234.5."
        )
    plain = plain.replace(",", ".")
    typed = _angle(plain) if line.unit == "deg" else None
    if line.unit == "mm":
        typed = _length(plain)
    number = _NUMBER.fullmatch(plain)
    if typed is None and number and number[2] in _own_names(line.unit):
        typed = _Typed(float(number[1]), _step(number[1]), True)
    if typed is None:
        raise ValueError(
            f"'{line.say}' must be a number, in {line.unit}; got {text[:_LONGEST]!r}. Write it "
            f"like {_shown(_example(line))}."
        )
    return typed


def _own_names(unit: str) -> tuple[str, ...]:
    return _DEGREES if unit == "deg" else ("", unit.lower())


def _example(line: BenchLine) -> float:
    """Return a value that the line would take."""
    middle = 12.5 if isinf(line.high - line.low) else 0.4 * line.low + 0.6 * line.high
    return round(middle / line.resolution) * line.resolution


def _angle(plain: str) -> _Typed | None:
    found = _ARC.fullmatch(plain)
    if not found or int(found[3]) > 59:
        return None
    size = int(found[2]) + int(found[3]) / 60
    return _Typed(-size if found[1] == "-" else size, 1 / 60, True)


def _length(plain: str) -> _Typed | None:
    """Return a length in mm, or None if the text is not a length."""
    if found := _FRACTION.fullmatch(plain):
        step = units.INCH / int(found[1]) if int(found[1]) else 0.0
        return _Typed(units.mm(plain), step, False) if step else None
    found = _NUMBER.fullmatch(plain)
    if not found or found[2] not in ("", *_LENGTHS):
        return None
    one = units.mm(f"1 {found[2]}")
    return _Typed(units.mm(plain), _step(found[1]) * one, found[2] in ("", "mm"))


def _step(digits: str) -> float:
    """Return the worth of the last digit of a number as it is written."""
    return 10.0 ** -len(digits.partition(".")[2])


def _range(line: BenchLine) -> str:
    low, high = _shown(line.low), _shown(line.high)
    if isinf(line.high):
        return f"at {low} {line.unit} or above"
    if isinf(line.low):
        return f"at {high} {line.unit} or below"
    return f"between {low} and {high} {line.unit}"


def _check_division(line: BenchLine, typed: _Typed, division: float) -> None:
    """Refuse a reading finer than the instrument shows.

    It must be a whole number of divisions. A reading that was typed in another unit than the line's
    need not be, as long as its last digit, or its fraction, is worth half a division or more.
    """
    count = typed.value / division
    if abs(count - round(count)) <= _HAIR * max(1.0, abs(count)):
        return
    say = f"'{line.say}' must be a whole number of divisions of the instrument, "
    say += f"{_shown(division)} {line.unit}; got {_shown(typed.value)} {line.unit}"
    if typed.own:
        marks = [_shown(k * division) for k in (floor(count), floor(count) + 1)]
        raise ValueError(
            f"{say}. The nearest marks are {marks[0]} and {marks[1]}: write the nearer, or name "
            "the finer instrument."
        )
    if typed.step < division / 2 * (1 - _HAIR):
        raise ValueError(
            f"{say}, typed to {_shown(typed.step)} {line.unit}. Round it to what can be read, or "
            "name the finer instrument."
        )


def _shown(number: float) -> str:
    """Return a number as a reader writes it, without the last digits of binary arithmetic."""
    return str(number) if isinf(number) else f"{round(number, 4):.9g}"
