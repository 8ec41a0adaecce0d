"""A key's values and worked solutions as an instructor reads them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import ceil, log10

from coursekit.classroom.bank.closeness import pairs
from coursekit.classroom.bank.exercises import AuthoringError, Question
from coursekit.classroom.bank.keys import Key, Value
from coursekit.sheets import text


def shown(question: Question, value: Value) -> str:
    """Return a key's value as it is printed: one digit finer than the tolerance asks for."""
    if isinstance(value, str):
        return (question.options or {}).get(value, value)
    if isinstance(value, tuple) and question.kind == "points":
        shown_each = tuple(shown(question, v) for v in value)
        return ", ".join(f"({x}; {y})" for x, y in pairs(shown_each))
    if isinstance(value, tuple):
        return ", ".join(shown(question, v) for v in value)
    allowance = question.allowance(value)
    digits = max(0, ceil(-log10(allowance))) + 1 if allowance else 3
    return text.number(round(value, digits))


def worked(key: Key, question: Question, numbers: Mapping[str, float], answer: str) -> str:
    """Return the worked solution with the student's numbers in place of each `{name}`.

    Raises AuthoringError for a name in braces that is neither a quantity nor the answer.
    """
    known = {n: text.number(v) for n, v in numbers.items()} | ({"answer": answer} if answer else {})

    def fill(place: re.Match[str]) -> str:
        if place[1] not in known:
            raise AuthoringError(
                f"solutions/{key.slug}.md, question '{question.id}': a place in braces must name a "
                f"quantity or the answer; got {place[0]}. Mend it."
            )
        return known[place[1]]

    return re.sub(r"\{([a-z][a-z0-9_]*)\}", fill, key.worked.get(question.id, ""))
