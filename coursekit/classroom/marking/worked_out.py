"""Tells a number that was worked out from one that was merely filled in.

A number is filled in if it could stand there without any calculation, because it is zero, a given
number, a copy of another answer, or a list of one number over and over. Whether such a number earns
marks is decided in `company`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from coursekit.classroom.bank.closeness import same
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.keys import Value

FACTOR = 10.0  # an earlier value this many times too large or too small may still carry
_ROUNDED = 5e-3  # a copied number may differ by this share, because it may have been rounded
# places by which a decimal point may be shifted; a shift by one place is within FACTOR already
_PLACES = (-6, -5, -4, -3, -2, 2, 3, 4, 5, 6)


def plausible(question: Question, value: Value, right: Value) -> bool:
    """Whether a wrong answer is near enough to the right one for others to be carried from it.

    It is near enough if, whatever its sign, it lies between a tenth of the right answer and ten
    times it, or is right except for a shifted decimal point. In a list, or in points, the largest
    number counts. Zero is never near enough, unless zero is right. An order or a choice always is,
    because it is one of those that the question offers.

    A known slip, a wrong sign and a wrong unit are plausible too, but the marker recognises those
    before it calls this.
    """
    if not _numbers(right):
        return True
    size, wanted = _size(value), _size(right)
    if not wanted:
        return True
    return wanted / FACTOR <= size <= wanted * FACTOR or any(
        same(question, _scaled(value, 10.0**places), right) for places in _PLACES
    )


def filled_in(value: object, givens: Iterable[float], own: Iterable[object]) -> bool:
    """Whether an answer could stand there without any calculation.

    That is so if each of its numbers is zero, one of the student's given numbers, or a number in
    one of the student's own earlier answers, rounded or not and of either sign. It is also so for a
    list of one number over and over.
    """
    found = _numbers(value)
    if len(found) > 1 and len(set(found)) == 1:
        return True
    known = [0.0, *givens, *(n for earlier in own for n in _numbers(earlier))]
    return bool(found) and all(
        any(math.isclose(abs(n), abs(k), rel_tol=_ROUNDED, abs_tol=1e-9) for k in known)
        for n in found
    )


def _numbers(value: object) -> tuple[float, ...]:
    values = value if isinstance(value, tuple) else (value,)
    return tuple(v for v in values if isinstance(v, float))


def _size(value: object) -> float:
    return max(map(abs, _numbers(value)), default=0.0)


def _scaled(value: Value, factor: float) -> object:
    if isinstance(value, tuple):
        return tuple(v * factor if isinstance(v, float) else v for v in value)
    return value * factor if isinstance(value, float) else value
