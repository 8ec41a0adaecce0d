"""What is printed of an exercise for a class, as files: `worksheets/…` and `answer-key/…`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.handout import printing, worksheets


def write(
    exercise: exercises.Exercise,
    key: keys.Key,
    students: Sequence[tuple[str, str]],
    numbers: Mapping[str, Mapping[str, float]],
    out: Path,
    kinds: Sequence[printing.OfLesson] = ("worksheets", "blank", "key"),
    **how: Any,
) -> printing.Written:
    people = [worksheets.Person(id, name, numbers.get(id, {})) for id, name in students]
    made = printing.plan_exercise(exercise, key, people, kinds, printing.How(**how))
    return printing.write(made, out)
