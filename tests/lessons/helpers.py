"""What the tests of several lessons do alike: mark answers, and give them as a student would."""

from __future__ import annotations

from typing import Any

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bank.keys import Key
from coursekit.classroom.marking import marker
from coursekit.classroom.running.plain_value import plain

Numbers = dict[str, float]


def marked(exercise: Exercise, key: Key, n: Numbers, values: dict[str, Any]) -> dict[str, Any]:
    """Return the mark of every question, by its id, for these answers; one left out is blank."""
    marks = marker.mark(exercise, key, n, {id: plain(as_typed(v)) for id, v in values.items()})
    return {m.question: m for m in marks}


def as_typed(value: Any) -> Any:
    """Return a value as it stands in a notebook: several numbers are a list there."""
    return list(value) if isinstance(value, tuple) else value


def all_right(exercise: Exercise, key: Key, n: Numbers) -> dict[str, Any]:
    """Return the right answer to every question, as typed."""
    return {id: as_typed(v) for id, v in own_numbers.answers(exercise, key, n).items()}


def by_machine(exercise: Exercise) -> float:
    """Return the marks of the questions that no person has to read."""
    return sum(q.marks for q in exercise.graded if q.kind != "written")
