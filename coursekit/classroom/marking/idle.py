"""Proves that answering nothing earns nothing: marks sheets that nobody had to think for.

An idle sheet is filled in without a calculation. Its numbers are all the same, or copied from the
numbers given, or copied from another answer. Its choices are all the first, or all the second, and
so on. Its orders stand as they are printed, or reversed.
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
# One answer on a sheet of copies was worked out, so the sheet is not quite idle. If few boxes are
# left, or if that answer stands before the copies, a copy that happens to be right earns its marks.
# On average such a sheet must still keep to MOST.
MOST_COPIED = 0.25
CONSTANTS = (1.0, -1.0, 10.0, 100.0)
_NUDGE = 1.001  # turns a given number into one that looks calculated
_NUMBERS = ("number", "numbers", "points")
Sheet = dict[str, Value]


KINDS = ("zeros", "one number", "given numbers", "zeros and a given number", "copies")


@dataclass(frozen=True)
class Idle:
    """What an idle sheet earns, as shares of the lesson's marks.

    `share` is its mean over the students; `luckiest` is the most that one of them earned with it.
    On a sheet of copies the answer that was worked out does not count, nor do those it builds on.
    """

    kind: str
    sheet: str
    share: float
    luckiest: float

    @property
    def most(self) -> float:
        """The share that one student may earn with it."""
        return MOST_COPIED if self.kind == "copies" else MOST


def too_much(found: list[Idle]) -> Iterator[tuple[Idle, str]]:
    """Yield the sheet that earns too much on average, and the one that does for a single student.

    There is at most one of each, the worst, with words that say how much it earns.
    """
    mean = max(found, key=lambda idle: idle.share)
    if mean.share > MOST:
        yield mean, f"{MOST:.0%} of the marks on average; got {mean.share:.1%}"
    one = max(found, key=lambda idle: idle.luckiest - idle.most)
    if one.luckiest > one.most:
        yield one, f"{one.most:.0%} of the marks for any one student; got {one.luckiest:.1%}"


def table(exercise: Exercise, key: Key, students: int = 20) -> list[Idle]:
    """Return what every idle sheet earns with the numbers drawn for `students` students."""
    shares: dict[tuple[str, str], list[float]] = {}
    for i in range(students):
        numbers = own_numbers.draw(exercise, key, b"idle sheets", f"bench-{i + 1:02d}")
        for kind, name, earned in earnings(exercise, key, numbers):
            shares.setdefault((kind, name), []).append(earned / exercise.marks)
    return [Idle(kind, name, sum(all) / students, max(all)) for (kind, name), all in shares.items()]


def by_kind(found: list[Idle]) -> dict[str, tuple[float, float]]:
    """Return kind of sheet → greatest mean share, and greatest share of one student."""
    return {
        kind: (max(idle.share for idle in alike), max(idle.luckiest for idle in alike))
        for kind in KINDS
        if (alike := [idle for idle in found if idle.kind == kind])
    }


def earnings(
    exercise: Exercise, key: Key, numbers: Mapping[str, float]
) -> Iterator[tuple[str, str, float]]:
    """Yield kind and name of each idle sheet, and the marks that it earns.

    What a guessed choice or order earns does not depend on the numbers beside it, unless a chain of
    answers contains it. So it is marked only once for each way of guessing.
    """
    chained = {id for question in key.answers for id in _chain(key, question)}
    guesses = []
    for name, chosen in _guesses(exercise):
        inside = {id: value for id, value in chosen.items() if id in chained}
        outside = {id: value for id, value in chosen.items() if id not in chained}
        guesses.append((name, inside, sum(_marks(exercise, key, numbers, outside).values())))
    right = own_numbers.answers(exercise, key, numbers)
    for kind, name, filled, worked in (
        *((kind, name, filled, "") for kind, name, filled in _filled(exercise, key, numbers)),
        *(("copies", *copied) for copied in _copied(exercise, right)),
    ):
        known: dict[tuple[Value, ...], float] = {}
        had = (worked, *(key.answers[worked].after if worked else ()))
        for guess, inside, more in guesses:
            picked = tuple(inside.values())
            if picked not in known:
                marks = _marks(exercise, key, numbers, filled | inside)
                known[picked] = sum(m for id, m in marks.items() if id not in had)
            yield kind, f"{name}; {guess}", known[picked] + more


def _chain(key: Key, question: str) -> tuple[str, ...]:
    """Return a question and those it builds on, or nothing if it builds on none."""
    after = key.answers[question].after
    return (question, *after) if after else ()


def _copied(exercise: Exercise, right: Sheet) -> Iterator[tuple[str, Sheet, str]]:
    """Yield sheets on which one right answer is copied into other boxes, and which answer it is."""
    questions = _numeric(exercise)
    for i, question in enumerate(questions):
        answer = right[question.id]
        one = answer[0] if isinstance(answer, tuple) else answer
        if isinstance(one, float):
            copies = {q.id: _repeated(q, one) for q in questions[i + 1 :]}
            name = f"the answer of {question.id} copied into all boxes after it"
            yield name, {question.id: answer, **copies}, question.id
            name = f"the answer of {question.id} copied into all other boxes"
            yield name, {**_everywhere(exercise, one), question.id: answer}, question.id


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
) -> Iterator[tuple[str, str, Sheet]]:
    """Yield kind, name and sheet of each way of filling in numbers without a calculation."""
    zeros = _everywhere(exercise, 0.0)
    yield "zeros", "0 in all boxes", zeros
    for constant in CONSTANTS:
        yield "one number", f"{constant:g} in all boxes", _everywhere(exercise, constant)
    for name, given in numbers.items():
        yield "given numbers", f"{name} in all boxes", _everywhere(exercise, given)
    for name, sheet in _givens(exercise, numbers):
        yield "given numbers", name, sheet
    built_on = {id for answer in key.answers.values() for id in answer.after}
    for question in (q for q in _numeric(exercise) if q.id in built_on):
        for name, given in numbers.items():
            once = {question.id: _repeated(question, given)}
            yield "zeros and a given number", f"zeros, and {name} at {question.id}", zeros | once


def _givens(exercise: Exercise, numbers: Mapping[str, float]) -> Iterator[tuple[str, Sheet]]:
    """Yield sheets on which each question is answered with numbers that it gives."""
    questions = _numeric(exercise)
    given = {q.id: [numbers[g] for g in q.given] or list(numbers.values()) for q in questions}
    for place in range(max((len(q.given) for q in questions), default=0)):
        name = f"given number {place + 1} of each question"
        yield name, {q.id: _repeated(q, (given[q.id] * 9)[place]) for q in questions}
    for name, step, factor in (
        ("the given numbers of each question in turn", 1, 1.0),
        ("the given numbers of each question, the last first", -1, 1.0),
        ("the given numbers of each question, their signs turned", 1, -1.0),
        ("the given numbers of each question, a thousandth larger", 1, _NUDGE),
    ):
        yield (
            name,
            {q.id: _in_turn(q, [factor * n for n in given[q.id][::step]]) for q in questions},
        )


def _everywhere(exercise: Exercise, number: float) -> dict[str, Value]:
    return {q.id: _repeated(q, number) for q in _numeric(exercise)}


def _boxes(question: Question) -> int:
    """Return how many numbers a question's list holds; 0 for a single number without a list."""
    if question.kind == "number":
        return 0
    return len(question.entries) * (2 if question.kind == "points" else 1)


def _repeated(question: Question, number: float) -> Value:
    return (number,) * _boxes(question) if _boxes(question) else number


def _in_turn(question: Question, givens: list[float]) -> Value:
    boxes = _boxes(question)
    return tuple(givens[i % len(givens)] for i in range(boxes)) if boxes else givens[0]


def _guesses(exercise: Exercise) -> Iterator[tuple[str, dict[str, Value]]]:
    """Yield name and answers of each way of guessing: one option for all choices, one order way."""
    choices = [(q, tuple(q.options or ())) for q in exercise.graded if q.kind == "choice"]
    orders = [q for q in exercise.graded if q.kind == "order"]
    for place in range(max((len(options) for _, options in choices), default=1)):
        chosen = {q.id: options[min(place, len(options) - 1)] for q, options in choices}
        for way, step in (("as printed", 1), ("reversed", -1)) if orders else (("", 1),):
            ordered = {q.id: q.entries[::step] for q in orders}
            named = f"option {place + 1} of each choice" + (f", orders {way}" if way else "")
            yield named, {**chosen, **ordered}
