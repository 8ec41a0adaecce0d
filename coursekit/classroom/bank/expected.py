"""What a reading of the bench record should come to for one student, by the student's own numbers.

It stands in `solutions/<slug>.md` under `## bench`: a line for each bench line whose reading the
student's own frame decides, as an expression of quantities and answers. Where nothing decides it,
the gap of a miter or the minutes at the torch, there is no line.

wrap: wrap_length
depth: max(ordinates) - min(ordinates)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import isfinite
from types import SimpleNamespace
from typing import TYPE_CHECKING

from coursekit.classroom.bank.exercises import AuthoringError, Exercise
from coursekit.classroom.bank.expression_words import Words
from coursekit.classroom.bank.expressions import Expression

if TYPE_CHECKING:
    from coursekit.classroom.bank.answer_key import Key, Value

_LAST = "\0bench"  # stands after every question, so that an expression may name all of them


def read_bench(block: str, exercise: Exercise, words: Words, source: str) -> dict[str, Expression]:
    """Return bench line → expression, from the text under `## bench`.

    Raises AuthoringError for a line of another shape, or of a bench line that is not there or is
    named twice.
    """
    after_all = replace(words, questions=(*words.questions, _LAST))
    lines = [b.id for b in exercise.bench]
    found: dict[str, Expression] = {}
    for text in filter(None, (line.strip() for line in block.splitlines())):
        id, colon, expression = text.partition(":")
        if not colon or id not in lines or id in found:
            raise AuthoringError(
                f"{source}, bench: each line must be `bench-line: expression`, for a line of the "
                f"bench record and once; got {text!r}. The lines are {', '.join(lines) or 'none'}."
            )
        where = f"{source}, bench line '{id}'"
        found[id] = Expression(expression.strip(), _LAST, after_all, where)
    return found


def expected(exercise: Exercise, key: Key, numbers: Mapping[str, float]) -> dict[str, float]:
    """Return bench line → what its reading should come to for `numbers`, in the line's unit.

    Only the answers that it builds on are worked out. Raises AuthoringError where an expression
    gives no number.
    """
    wanted = {id for one in key.bench.values() for id in one.after}
    for question in reversed(exercise.questions):
        if question.id in wanted:
            wanted.update(key.answers[question.id].after)
    answers: dict[str, Value] = {}
    for question in exercise.questions:
        if question.id in wanted:
            answers[question.id] = key.value(question, numbers, answers)
    n = SimpleNamespace(**numbers)
    return {id: _number(one(n, answers), id, key) for id, one in key.bench.items()}


def _number(value: object, id: str, key: Key) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise AuthoringError(
            f"{key.written_in}, bench line '{id}': what is expected must be one finite number; got "
            f"{value!r}. Mend the expression."
        )
    return float(value)
