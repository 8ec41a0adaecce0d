"""Proves that answering nothing earns nothing: marks sheets that nobody had to think for.

An idle sheet is filled in without a calculation. Its numbers are all the same, or copied from the
numbers given, or copied from another answer. Its choices are all the first, or all the second, and
so on, and its orders stand as they are printed, or the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.keys import Key, Value
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.running.plain_value import Plain, plain

MOST = 0.15  # share of a lesson's marks that an idle sheet may earn, by luck and by guessing
CONSTANTS = (0.0, 1.0, -1.0, 10.0, 100.0)
_NUMBERS = ("number", "numbers", "points")
Sheet = dict[str, Value]


@dataclass(frozen=True)
class Idle:
    """What an idle sheet earns, as shares of the lesson's marks.

    `share` is its mean over the students, because a student cannot know beforehand which given
    number happens to be an answer; `luckiest` is the most that one student earned with it.
    """

    sheet: str
    share: float
    luckiest: float


def greatest(exercise: Exercise, key: Key, students: int = 20) -> Idle:
    """Return the idle sheet that earns the most with the numbers of so many drawn students."""
    return max(table(exercise, key, students), key=lambda idle: idle.share)


def table(exercise: Exercise, key: Key, students: int) -> list[Idle]:
    """Return what every idle sheet earns with the numbers of so many drawn students."""
    shares: dict[str, list[float]] = {}
    for i in range(students):
        numbers = own_numbers.draw(exercise, key, b"idle sheets", f"bench-{i + 1:02d}")
        for name, earned in earnings(exercise, key, numbers):
            shares.setdefault(name, []).append(earned / exercise.marks)
    return [Idle(name, sum(all) / students, max(all)) for name, all in shares.items()]


def earnings(
    exercise: Exercise, key: Key, numbers: Mapping[str, float]
) -> Iterator[tuple[str, float]]:
    """Yield the name of each idle sheet and the marks that it earns.

    A choice or an order that no chain touches earns the same whatever the numbers are, so it is
    marked once for each way of guessing.
    """
    chained = {id for question in key.answers for id in _chain(key, question)}
    guesses = []
    for name, chosen in _guesses(exercise):
        inside = {id: value for id, value in chosen.items() if id in chained}
        outside = {id: value for id, value in chosen.items() if id not in chained}
        guesses.append((name, inside, sum(_marks(exercise, key, numbers, outside).values())))
    right = own_numbers.answers(exercise, key, numbers)
    for name, filled, worked in (
        *((name, filled, "") for name, filled in _filled(exercise, key, numbers)),
        *_copied(exercise, right),
    ):
        known: dict[tuple[Value, ...], float] = {}
        for guess, inside, more in guesses:
            picked = tuple(inside.values())
            if picked not in known:
                marks = _marks(exercise, key, numbers, filled | inside)
                known[picked] = sum(m for id, m in marks.items() if id != worked)
            yield f"{name}; {guess}", known[picked] + more


def _chain(key: Key, question: str) -> tuple[str, ...]:
    """Return a question and those it builds on, or nothing where it builds on none."""
    after = key.answers[question].after
    return (question, *after) if after else ()


def _copied(exercise: Exercise, right: Sheet) -> Iterator[tuple[str, Sheet, str]]:
    """Yield sheets on which one right answer is copied into all boxes after it, and which one."""
    questions = _numeric(exercise)
    for i, question in enumerate(questions):
        answer = right[question.id]
        one = answer[0] if isinstance(answer, tuple) else answer
        if isinstance(one, float):
            copies = {q.id: _repeated(q, one) for q in questions[i + 1 :]}
            name = f"the answer of {question.id} copied into all boxes after it"
            yield name, {question.id: answer, **copies}, question.id


def _marks(
    exercise: Exercise, key: Key, numbers: Mapping[str, float], sheet: Sheet
) -> dict[str, float]:
    marks = mark(exercise, key, numbers, {id: _typed(value) for id, value in sheet.items()})
    return {m.question: m.marks for m in marks}


def _typed(value: Value) -> Plain:
    return plain(list(value) if isinstance(value, tuple) else value)


def _numeric(exercise: Exercise) -> list[Question]:
    return [q for q in exercise.graded if q.kind in _NUMBERS]


def _filled(
    exercise: Exercise, key: Key, numbers: Mapping[str, float]
) -> Iterator[tuple[str, Sheet]]:
    """Yield the ways of filling in the boxes for numbers without a calculation, named."""
    for constant in CONSTANTS:
        yield f"{constant:g} in all boxes", _everywhere(exercise, constant)
    for name, given in numbers.items():
        yield f"{name} in all boxes", _everywhere(exercise, given)
    questions = _numeric(exercise)
    for place in range(max((len(q.given) for q in questions), default=0)):
        yield (
            f"given number {place + 1} of each question",
            {
                q.id: _repeated(
                    q, numbers[q.given[min(place, len(q.given) - 1)]] if q.given else 0.0
                )
                for q in questions
            },
        )
    yield (
        "the given numbers of each question in turn",
        {
            q.id: _in_turn(q, [numbers[g] for g in q.given] or list(numbers.values()))
            for q in questions
        },
    )
    zeros = _everywhere(exercise, 0.0)
    built_on = {id for answer in key.answers.values() for id in answer.after}
    for question in (q for q in questions if q.id in built_on):
        for name, given in numbers.items():
            once = {question.id: _repeated(question, given)}
            yield f"zeros, and {name} at {question.id}", zeros | once


def _everywhere(exercise: Exercise, number: float) -> dict[str, Value]:
    return {q.id: _repeated(q, number) for q in _numeric(exercise)}


def _boxes(question: Question) -> int:
    """How many numbers a question asks for; 0 for a single number, which is no list."""
    if question.kind == "number":
        return 0
    return len(question.entries) * (2 if question.kind == "points" else 1)


def _repeated(question: Question, number: float) -> Value:
    return (number,) * _boxes(question) if _boxes(question) else number


def _in_turn(question: Question, givens: list[float]) -> Value:
    boxes = _boxes(question)
    return tuple(givens[i % len(givens)] for i in range(boxes)) if boxes else givens[0]


def _guesses(exercise: Exercise) -> Iterator[tuple[str, dict[str, Value]]]:
    """Yield the ways of guessing choices and orders, named: one place for all, one way for all."""
    choices = [(q, tuple(q.options or ())) for q in exercise.graded if q.kind == "choice"]
    orders = [q for q in exercise.graded if q.kind == "order"]
    for place in range(max((len(options) for _, options in choices), default=1)):
        chosen = {q.id: options[min(place, len(options) - 1)] for q, options in choices}
        for way, step in (("as printed", 1), ("reversed", -1)) if orders else (("", 1),):
            ordered = {q.id: q.entries[::step] for q in orders}
            named = f"option {place + 1} of each choice" + (f", orders {way}" if way else "")
            yield named, {**chosen, **ordered}
