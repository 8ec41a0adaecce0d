"""How near two values of one question lie to each other, and whether that is within tolerance.

Numbers are compared by their difference, points by their distance, lists entry by entry. A word or
an order is the same or it is not.
"""

from __future__ import annotations

from math import hypot, inf, pi
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coursekit.classroom.bank.exercises import Question

# unit of a question → (factor from its unit, name of the other unit)
_OTHER_UNITS = {
    "mm": ((1 / 25.4, "inches"), (0.1, "cm"), (0.001, "m")),
    "deg": ((pi / 180, "radians"),),
}
# room for the last binary digit, so that an answer exactly at the edge of its tolerance counts
_HAIR = 1 + 1e-9


def pairs(flat: tuple[object, ...]) -> list[tuple[object, ...]]:
    """Return points laid out flat, x and y by turns, as pairs.

    >>> pairs((0.0, 3.0, 4.0, 5.0))
    [(0.0, 3.0), (4.0, 5.0)]
    """
    return list(zip(flat[::2], flat[1::2], strict=True))


def gaps(question: Question, one: object, other: object) -> list[tuple[float, float]]:
    """Return, entry by entry, how far `one` lies from `other` and how far it may lie.

    Both are values of `question`; an entry missing in `one` (None) is infinitely far. Values of
    different kinds have no entries in common, so they lie one infinite distance apart.
    """
    if isinstance(one, tuple) and isinstance(other, tuple) and len(one) == len(other):
        if question.kind == "points":
            ends = zip(pairs(one), pairs(other), strict=True)
            return [(_distance(p, q), question.tolerance) for p, q in ends]
        entries = zip(one, other, strict=True)
        return [(_difference(a, b), question.allowance(b)) for a, b in entries]
    if isinstance(one, float) and isinstance(other, float):
        return [(abs(one - other), question.allowance(other))]
    return [(inf, 0.0)]


def _difference(a: object, b: object) -> float:
    return abs(a - b) if isinstance(a, float) and isinstance(b, float) else inf


def _distance(p: tuple[object, ...], q: tuple[object, ...]) -> float:
    return hypot(*(_difference(a, b) for a, b in zip(p, q, strict=True)))


def hits(question: Question, value: object, answer: object) -> list[bool]:
    """Return, entry by entry, whether `value` is `answer` within the question's tolerance."""
    if question.kind in ("choice", "order"):
        return [value == answer]
    return [gap <= allowed * _HAIR for gap, allowed in gaps(question, value, answer)]


def same(question: Question, value: object, answer: object) -> bool:
    """Whether `value` is `answer` within the question's tolerance, in every entry."""
    return all(hits(question, value, answer))


def too_near(question: Question, one: object, other: object) -> bool:
    """Whether a value within tolerance of `one` could also be within tolerance of `other`."""
    if question.kind in ("choice", "order"):
        return one == other
    there, back = gaps(question, one, other), gaps(question, other, one)
    return all(gap <= a + b for (gap, a), (_, b) in zip(there, back, strict=True))


def flipped(question: Question, value: object) -> list[object]:
    """Return `value` with its sign changed; of points, also with that of x or y alone changed."""
    if isinstance(value, float):
        return [-value]
    if not isinstance(value, tuple) or not all(isinstance(v, float) for v in value):
        return []
    signs = [(-1.0, -1.0)]
    if question.kind == "points":
        signs += [(-1.0, 1.0), (1.0, -1.0)]
    return [tuple(sign[i % 2] * v for i, v in enumerate(value)) for sign in signs]


def in_other_units(question: Question, value: object) -> list[tuple[str, object]]:
    """Return the other units of the question, and what `value` would be if it stood in them."""
    turned: list[tuple[str, object]] = []
    for factor, unit in _OTHER_UNITS.get(question.unit, ()):
        if isinstance(value, tuple):
            there = tuple(v / factor if isinstance(v, float) else v for v in value)
            turned.append((unit, there))
        elif isinstance(value, float):
            turned.append((unit, value / factor))
    return turned
