"""Turns what was typed as a bench reading into a number, or refuses it with the reason."""

from __future__ import annotations

from math import floor, isinf

from coursekit.classroom.bank import written_number
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.written_number import LONGEST, UnreadError, WrittenNumber

_HAIR = 1e-6  # of a division: how far decimals can be off when they are kept in binary


def value(line: BenchLine, text: str, resolution: float | None = None) -> float:
    """Return what `text` says as a reading of `line`, in the line's unit.

    The decimals may follow a comma or a point. A bare number is in the line's unit; a length may be
    in mm, cm, m or inches ("0.05 in", "1/16 in"), an angle in degrees and minutes ("72° 30'") or in
    radians.

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


def _read(line: BenchLine, text: str) -> WrittenNumber:
    try:
        return written_number.read(text, line.unit, exponents=False)
    except UnreadError as error:
        if error.trouble in ("too long", "two ways"):
            raise ValueError(
                f"'{line.say}' must have one point or comma, for the decimals; got "
                f"{text[:LONGEST]!r}. Write it like 1234.5."
            ) from None
        raise ValueError(
            f"'{line.say}' must be a number, in {line.unit}; got {text[:LONGEST]!r}. Write it "
            f"like {_shown(_example(line))}."
        ) from None


def _example(line: BenchLine) -> float:
    """Return a value that the line would take."""
    middle = 12.5 if isinf(line.high - line.low) else 0.4 * line.low + 0.6 * line.high
    return round(middle / line.resolution) * line.resolution


def _range(line: BenchLine) -> str:
    low, high = _shown(line.low), _shown(line.high)
    if isinf(line.high):
        return f"at {low} {line.unit} or above"
    if isinf(line.low):
        return f"at {high} {line.unit} or below"
    return f"between {low} and {high} {line.unit}"


def _check_division(line: BenchLine, typed: WrittenNumber, division: float) -> None:
    """Refuse a reading finer than the instrument shows.

    It must be a whole number of divisions. A reading that was typed in another unit than the line's
    need not be, as long as its last digit, or its fraction, is worth half a division or more.
    """
    count = typed.value / division
    if abs(count - round(count)) <= _HAIR * max(1.0, abs(count)):
        return
    say = f"'{line.say}' must be a whole number of divisions of the instrument, "
    say += f"{_shown(division)} {line.unit}; got {_shown(typed.value)} {line.unit}"
    if typed.unit == line.unit:
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
