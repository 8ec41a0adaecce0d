"""Proves that a question stays sound with another tolerance.

A tolerance that is too wide would let a wrong answer pass: a slip, another sign, zero, or what a
neighbour with other numbers got. One that is too narrow would fail a right answer that was rounded
as the question asks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coursekit.classroom.bank.closeness import flipped, gaps, same
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.keys import Key, Value
from coursekit.classroom.bank.own_numbers import answers, question_fault

MOST_TIMES = 5.0  # the tolerance may be this many times wider or narrower than the course's
MOST_SHARED = 1 / 3  # share of other students whose right answer may pass for a student's own
_COMPARED = 60  # students whose answers are compared with each other's


def fault(
    exercise: Exercise,
    key: Key,
    before: Question,
    now: Question,
    cases: Sequence[Mapping[str, float]],
) -> str:
    """Return why a question is not sound `now` although it was `before`; "" if it is.

    `cases` are the numbers of all the students that it is proved for.
    """
    if (before.tolerance, before.relative) == (now.tolerance, now.relative):
        return ""
    if now.digit and not now.relative and now.tolerance < now.digit / 2:
        return (
            f"the tolerance must allow rounding to {now.digit:g} {now.unit}, which the question "
            f"asks for; got {now.tolerance:g} {now.unit}. Take {now.digit / 2:g} or more."
        )
    rights = [answers(exercise, key, numbers) for numbers in cases]
    for numbers, right in zip(cases, rights, strict=True):
        if why := _in_one_case(key, before, now, numbers, right):
            return why
    some = [right[now.id] for right in rights[-_COMPARED:]]
    if (shared := _shared(now, some)) > max(MOST_SHARED, _shared(before, some)):
        return (
            "the tolerance must be so narrow that a neighbour's answer does not pass; with it "
            f"{shared:.0%} of the other students' right answers would. Choose a smaller one."
        )
    return ""


def _in_one_case(
    key: Key,
    before: Question,
    now: Question,
    numbers: Mapping[str, float],
    right: Mapping[str, Value],
) -> str:
    answer = right[now.id]
    for (_, was), (_, allowed) in zip(
        gaps(before, answer, answer), gaps(now, answer, answer), strict=True
    ):
        if was and not was / MOST_TIMES <= allowed * (1 + 1e-9) <= was * MOST_TIMES * (1 + 2e-9):
            return (
                f"the tolerance must lie from a fifth to five times the course's, which allows "
                f"{was:g} {now.unit} here; got {allowed:g} {now.unit}. Choose another."
            )
    was_fault = question_fault(key, before, numbers, right)
    if not was_fault and (why := question_fault(key, now, numbers, right)):
        said = why.partition(": ")[2]
        return (
            f"a mistake must stay apart from the right answer; {said}. Choose a smaller tolerance."
        )
    for wrong in _wrong(now, answer):
        if same(now, wrong, answer) and not same(before, wrong, answer):
            return (
                "a wrong sign or zero must not pass; with this tolerance it would for an answer of "
                f"{_shown(answer)} {now.unit}. Choose a smaller one."
            )
    return ""


def _wrong(question: Question, answer: Value) -> list[object]:
    nothing = tuple(0.0 for _ in answer) if isinstance(answer, tuple) else 0.0
    return [*flipped(question, answer), nothing]


def _shown(answer: Value) -> str:
    entries = answer if isinstance(answer, tuple) else (answer,)
    return ", ".join(f"{v:g}" if isinstance(v, float) else str(v) for v in entries)


def _shared(question: Question, found: Sequence[Value]) -> float:
    """Return how often, of two students with different answers, one's passes for the other's."""
    pairs = [(a, b) for i, a in enumerate(found) for b in found[:i] if a != b]
    return sum(same(question, a, b) for a, b in pairs) / len(pairs) if pairs else 0.0
