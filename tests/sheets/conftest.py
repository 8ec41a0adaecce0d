"""A class of three with own numbers, and its worksheets on both papers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.sheets import page
from tests.sheets import printed

STUDENTS = [("bench-01", "bench-01"), ("bench-02", "Second Bench"), ("bench-03", "Third Bench")]


@dataclass(frozen=True)
class Made:
    """An exercise, its class of three, and what was made of them."""

    exercise: exercises.Exercise
    key: keys.Key
    numbers: dict[str, dict[str, float]]
    folder: Path

    def pdf(self, paper: str, name: str = "class") -> Path:
        return self.folder / "worksheets" / self.exercise.slug / paper / f"{name}.pdf"


@pytest.fixture(scope="session")
def made(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Made:
    exercise = exercises.load("miter-angles", root)
    key = keys.load(exercise, root)
    numbers = {s: own_numbers.draw(exercise, key, b"sheets", s) for s, _ in STUDENTS}
    base = tmp_path_factory.mktemp("sheets")
    for paper in page.SIZES:
        printed.write(exercise, key, STUDENTS, numbers, base, paper=paper)
    return Made(exercise, key, numbers, base)
