"""What a student could fill in to get marks without a calculation: a table of attacks on the marker.

Each attack fills in a whole sheet, and says the greatest share of a lesson's marks that it may earn
for any one student. `python -m tests.hostile.idle_attacks` prints what was expected and what each
attack got in the course's lessons, and ends with exit code 1 if one of them got more.

The bound of 15 % is a rule of this course; common practice, no source.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.running.plain_value import plain

ROOT = Path(__file__).resolve().parents[2]
SLUGS = exercises.slugs(ROOT)
NOTHING, BY_CHANCE, COPIED = 0.0, 0.15, 0.25


@dataclass(frozen=True)
class Case:
    """One lesson with one student's numbers and right answers."""

    exercise: Exercise
    key: keys.Key
    numbers: Mapping[str, float]
    right: Mapping[str, Any]

    @property
    def boxes(self) -> list[Question]:
        return [q for q in self.exercise.graded if q.kind in ("number", "numbers", "points")]

    def givens(self, question: Question) -> list[float]:
        return [self.numbers[g] for g in question.given] or list(self.numbers.values())


Sheet = dict[str, Any]
Fill = Callable[[Case], Sheet]


@dataclass(frozen=True)
class Attack:
    """How a sheet is filled in, and the greatest share of the marks it may earn one student.

    `worked` tells which answers of the sheet were worked out; their marks do not count.
    """

    fill: Fill
    expected: float
    worked: Callable[[Case], tuple[str, ...]] = lambda case: ()


def shaped(question: Question, numbers: list[Any]) -> Any:
    """Return as many of `numbers` as the question has boxes for, over and over if they run out."""
    if question.kind == "number":
        return numbers[0]
    count = len(question.entries) * (2 if question.kind == "points" else 1)
    return [numbers[i % len(numbers)] for i in range(count)]


def everywhere(*numbers: Any) -> Fill:
    return lambda case: {q.id: shaped(q, list(numbers)) for q in case.boxes}


def raw(value: Any) -> Fill:
    """Fill `value` in as it is, whether a question asks for a list or not, for choices too."""
    return lambda case: {q.id: value for q in case.exercise.graded if q.kind != "written"}


def by_givens(turn: Callable[[list[float]], list[float]]) -> Fill:
    return lambda case: {q.id: shaped(q, turn(case.givens(q))) for q in case.boxes}


def shuffled(seed: int) -> Fill:
    def fill(case: Case) -> Sheet:
        numbers = list(case.numbers.values())
        Random(seed).shuffle(numbers)
        return {q.id: shaped(q, numbers[i:] + numbers[:i]) for i, q in enumerate(case.boxes)}

    return fill


def one_zero_one_given(case: Case) -> Sheet:
    return {q.id: shaped(q, [0.0] if i % 2 else case.givens(q)) for i, q in enumerate(case.boxes)}


def zeros_after_a_given(case: Case) -> Sheet:
    first, *rest = case.boxes
    return {first.id: shaped(first, case.givens(first)), **{q.id: shaped(q, [0.0]) for q in rest}}


def counted(case: Case) -> Sheet:
    return {q.id: shaped(q, [float(i + 1)]) for i, q in enumerate(case.boxes)}


def invented(case: Case) -> Sheet:
    chance = Random(1)
    return {q.id: shaped(q, [chance.uniform(-200, 200) for _ in range(9)]) for q in case.boxes}


def copied(which: int) -> Attack:
    """Return the attack that works one answer out and copies it into all boxes but those before."""

    def source(case: Case) -> Question:
        return case.boxes[which]

    def worked(case: Case) -> tuple[str, ...]:
        id = source(case).id
        return (id, *case.key.answers[id].after)

    def fill(case: Case) -> Sheet:
        answer = case.right[source(case).id]
        numbers = list(answer) if isinstance(answer, tuple) else [answer]
        sheet = {q.id: shaped(q, numbers) for q in case.boxes}
        return sheet | {id: _listed(case.right[id]) for id in worked(case)}

    return Attack(fill, COPIED, worked)


def _listed(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def turned_zeros(case: Case) -> Sheet:
    """Zeros with a hair on them, each a different one."""
    return {q.id: shaped(q, [1e-7 * (i + 1)]) for i, q in enumerate(case.boxes)}


def choices(place: int) -> Fill:
    def fill(case: Case) -> Sheet:
        asked = (q for q in case.exercise.graded if q.kind == "choice")
        return {q.id: list(q.options or ())[place % len(q.options or "?")] for q in asked}

    return fill


def orders(turn: Callable[[tuple[str, ...]], tuple[str, ...]]) -> Fill:
    return lambda case: {
        q.id: list(turn(q.entries)) for q in case.exercise.graded if q.kind == "order"
    }


def both(*fills: Fill) -> Fill:
    return lambda case: {id: value for fill in fills for id, value in fill(case).items()}


AS_PRINTED = orders(lambda entries: entries)
REVERSED = orders(lambda entries: entries[::-1])

# name → attack; what only fills in numbers must earn nothing at all
ATTACKS: dict[str, Attack] = {
    "0 everywhere": Attack(everywhere(0.0), NOTHING),
    "-0.0 everywhere": Attack(everywhere(-0.0), NOTHING),
    "the whole number 0 everywhere": Attack(everywhere(0), NOTHING),
    "1 everywhere": Attack(everywhere(1.0), NOTHING),
    "-1 everywhere": Attack(everywhere(-1.0), NOTHING),
    "1 and -1 by turns": Attack(everywhere(1.0, -1.0), NOTHING),
    # the first of a repeated number copies nothing yet, so where it happens to be right it is paid
    "90 everywhere": Attack(everywhere(90.0), BY_CHANCE),
    "3.14159 everywhere": Attack(everywhere(3.14159), NOTHING),
    "1e9 everywhere": Attack(everywhere(1e9), NOTHING),
    "-1e9 everywhere": Attack(everywhere(-1e9), NOTHING),
    "1e-300 everywhere": Attack(everywhere(1e-300), NOTHING),
    "nearly zero, each a little different": Attack(turned_zeros, BY_CHANCE),
    "nan everywhere": Attack(everywhere(float("nan")), NOTHING),
    "infinity everywhere": Attack(everywhere(float("inf")), NOTHING),
    "'nan' as text": Attack(everywhere("nan"), NOTHING),
    "empty text": Attack(raw(""), NOTHING),
    "a blank": Attack(raw(" "), NOTHING),
    "nothing at all": Attack(raw(None), NOTHING),
    "True": Attack(raw(True), NOTHING),
    "an empty list": Attack(raw([]), NOTHING),
    "units only": Attack(lambda case: {q.id: shaped(q, [q.unit]) for q in case.boxes}, NOTHING),
    "zero with its unit": Attack(
        lambda case: {q.id: shaped(q, [f"0 {q.unit}".strip()]) for q in case.boxes}, NOTHING
    ),
    "given numbers of each question": Attack(by_givens(lambda g: g), NOTHING),
    "given numbers, the last first": Attack(by_givens(lambda g: g[::-1]), NOTHING),
    "given numbers, signs turned": Attack(by_givens(lambda g: [-n for n in g]), NOTHING),
    "given numbers, a thousandth larger": Attack(by_givens(lambda g: [n * 1.001 for n in g]), 0.0),
    "given numbers, rounded": Attack(by_givens(lambda g: [float(f"{n:.3g}") for n in g]), NOTHING),
    "all given numbers shuffled": Attack(shuffled(1), NOTHING),
    "all given numbers shuffled again": Attack(shuffled(2), NOTHING),
    "the largest given number": Attack(by_givens(lambda g: [max(g)]), NOTHING),
    "the smallest given number": Attack(by_givens(lambda g: [min(g)]), NOTHING),
    "a given number and zero by turns": Attack(one_zero_one_given, NOTHING),
    "a given number, then zeros": Attack(zeros_after_a_given, NOTHING),
    "1, 2, 3 and so on": Attack(counted, BY_CHANCE),
    "invented numbers": Attack(invented, BY_CHANCE),
    "the first answer copied": copied(0),
    "the second answer copied": copied(1),
    "the middle answer copied": copied(3),
    "the last answer but one copied": copied(-2),
    "the first of each choice": Attack(choices(0), BY_CHANCE),
    "the second of each choice": Attack(choices(1), BY_CHANCE),
    "the last of each choice": Attack(choices(-1), BY_CHANCE),
    "orders as printed": Attack(AS_PRINTED, BY_CHANCE),
    "orders reversed": Attack(REVERSED, BY_CHANCE),
    "orders begun in the middle": Attack(orders(lambda e: e[len(e) // 2 :] + e[:2]), BY_CHANCE),
    "one step over and over": Attack(orders(lambda e: e[:1] * len(e)), NOTHING),
    "zeros, first choices, orders as printed": Attack(
        both(everywhere(0.0), choices(0), AS_PRINTED), BY_CHANCE
    ),
    "zeros, second choices, orders reversed": Attack(
        both(everywhere(0.0), choices(1), REVERSED), BY_CHANCE
    ),
    "given numbers, third choices, orders as printed": Attack(
        both(by_givens(lambda g: g), choices(2), AS_PRINTED), BY_CHANCE
    ),
}


@cache
def cases(students: int = 4) -> tuple[Case, ...]:
    """Return every lesson with the numbers of so many drawn students."""
    found = []
    for slug in SLUGS:
        exercise = exercises.load(slug, ROOT)
        key = keys.load(exercise, ROOT)
        for i in range(students):
            numbers = own_numbers.draw(exercise, key, b"idle attacks", f"bench-{i + 1:02d}")
            found.append(Case(exercise, key, numbers, own_numbers.answers(exercise, key, numbers)))
    return tuple(found)


def got(attack: Attack, case: Case) -> float:
    """Return the share of a lesson's marks that an attack earns one student."""
    values = {id: plain(value) for id, value in attack.fill(case).items()}
    marks = mark(case.exercise, case.key, case.numbers, values)
    had = attack.worked(case)
    return sum(m.marks for m in marks if m.question not in had) / case.exercise.marks


def worst(attack: Attack) -> tuple[float, str]:
    """Return the greatest share that an attack earns anyone, and in which lesson."""
    return max((got(attack, case), case.exercise.slug) for case in cases())


def main() -> int:
    failed = 0
    print(f"{'attack':50} expected at most    got")
    for name, attack in ATTACKS.items():
        share, slug = worst(attack)
        failed += share > attack.expected
        word = "TOO MUCH" if share > attack.expected else ""
        print(f"{name:50} {attack.expected:16.1%} {share:6.1%}  {slug if share else ''} {word}")
    print(f"{len(ATTACKS)} attacks in {len(SLUGS)} lessons, {failed} got more than expected")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
