"""Draw many students' numbers for each exercise and say how sound they are.

    uv run python -m tests.lessons.draws              10,000 draws an exercise
    uv run python -m tests.lessons.draws 500 tack-order

For each exercise: how many draws had to be made again and why; how many pairs of students have the same
numbers; how near the nearest slip comes to the right answer, or to another slip, in tolerances. Below 2 a
value could be within tolerance of both; such draws are made again. It ends with 1 where a student got an unsound case or none.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations
from math import comb
from pathlib import Path

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.closeness import gaps
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, Question
from coursekit.classroom.bank.keys import Key, Value

ROOT = Path(__file__).resolve().parents[2]
SECRET = b"many draws"
AT_ONCE = 1000


@dataclass
class Tally:
    """What many draws of one exercise came to."""

    students: int = 0
    raw: int = 0
    again: Counter[str] = field(default_factory=Counter)
    nearest: dict[str, tuple[float, str]] = field(default_factory=dict)
    stands: int = (
        0  # students on whose frame a slip can't be told from the right answer or another slip
    )
    why: Counter[str] = field(default_factory=Counter)  # the first such slip of each of them
    unsound: list[str] = field(default_factory=list)
    cases: Counter[tuple[float, ...]] = field(default_factory=Counter)

    @property
    def rate(self) -> float:
        """Share of the raw draws that had to be made again, but for frames on which no draw helps."""
        return 1 - (self.students - self.stands) / self.raw if self.raw else 0.0

    @property
    def shared(self) -> int:
        """Pairs of students who have the same numbers."""
        return sum(comb(times, 2) for times in self.cases.values())


def tally(
    exercise: Exercise, key: Key, students: int, found: Tally | None = None, first: int = 0
) -> Tally:
    """Draw numbers for so many students, as `own_numbers.draw` does, and look at each case afresh.

    `found` goes on counting what earlier students came to; the first of these has the number `first`.
    """
    found = found or Tally()
    for i in range(first, first + students):
        name = f"student-{i}"
        reasons: list[str] = []
        stands: tuple[Mapping[str, float], str] | None = None
        for attempt in range(own_numbers.TRIES):
            numbers = own_numbers._case(exercise, key, SECRET, name, attempt)
            reason = own_numbers.fault(exercise, key, numbers)
            if not reason:
                stands = None
                break
            reasons.append(reason)
            if exercise.frames and isinstance(reason, own_numbers.Coincidence):
                stands = stands or (numbers, reason)
            if stands and attempt + 1 >= own_numbers._tries(exercise):
                break
        else:
            found.unsound.append(f"{name}: no sound case")
            continue
        found.students += 1
        if stands:  # a frame is what it is, and marking takes the right answer first
            numbers = stands[0]
            found.stands += 1
            found.why[stands[1]] += 1
        else:
            found.raw += attempt + 1
            found.again.update(reasons)
            _look(exercise, key, numbers, found)
        found.cases[tuple(numbers.values())] += 1
    return found


def _look(exercise: Exercise, key: Key, numbers: Mapping[str, float], found: Tally) -> None:
    """Note the nearest pair of values of each question; a pair that can't be told apart is unsound."""
    right = own_numbers.answers(exercise, key, numbers)
    for question in exercise.questions:
        if question.kind in ("written", "choice", "order"):
            continue
        values = {"the answer": right[question.id]}
        for slip in key.slips[question.id]:
            values[slip.name] = key.slip_value(slip, question, numbers, right)
        for (a, one), (b, other) in combinations(values.items(), 2):
            apart = _apart(question, one, other)
            if apart < found.nearest.get(question.id, (float("inf"), ""))[0]:
                found.nearest[question.id] = (apart, f"{a} and {b}")
            if apart <= 2:
                found.unsound.append(f"{question.id}: {a} and {b} with {dict(numbers)}")


def _apart(question: Question, one: Value, other: Value) -> float:
    """How many tolerances two values lie apart, in the entry where they differ most."""
    both = zip(gaps(question, one, other), gaps(question, other, one), strict=True)
    return max(2 * gap / (a + b) for (gap, a), (_, b) in both)


def main(arguments: list[str]) -> int:
    """Print a table for each exercise named, or for all; return 1 where anything is unsound."""
    students = int(arguments[0]) if arguments else 10_000
    lessons = [exercises.load(s, ROOT) for s in arguments[1:] or exercises.slugs(ROOT)]
    known = {e.slug: (e, keys.load(e, ROOT)) for e in lessons}
    found = {slug: Tally() for slug in known}
    refused = {}
    for first in range(0, students, AT_ONCE):  # their frames are then still in memory
        for slug, (exercise, key) in known.items():
            try:
                tally(exercise, key, min(AT_ONCE, students - first), found[slug], first)
            except AuthoringError as error:
                refused[slug] = error
    for slug, its in found.items():
        _say(slug, its)
        if slug in refused:
            print(f"  REFUSED {refused[slug]}")
    return int(bool(refused) or any(its.unsound for its in found.values()))


def _say(slug: str, found: Tally) -> None:
    print(f"{slug}: {found.students} students, {found.rate:.2%} of {found.raw} draws made again")
    if found.stands:
        print(f"  {found.stands} have a frame on which a slip can't be told apart, most often:")
        for reason, count in found.why.most_common(3):
            print(f"  {count / found.students:7.3%}  {reason}")
    print(f"  {found.shared} of {comb(found.students, 2)} pairs have the same numbers")
    for reason, count in found.again.most_common(6):
        print(f"  {count / found.raw:7.3%}  {reason}")
    for id, (apart, pair) in sorted(found.nearest.items(), key=lambda item: item[1])[:5]:
        print(f"  {apart:7.1f} tolerances at least between {pair}, {id}")
    for words in found.unsound[:5]:
        print(f"  UNSOUND {words}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
