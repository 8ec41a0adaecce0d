"""Bench readings of the demo class, all invented, each rounded to its instrument's division."""

from __future__ import annotations

from random import Random

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.expected import expected
from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.bench import bench_record
from coursekit.classroom.demo import bench_values
from coursekit.classroom.demo.bench_values import Own
from coursekit.classroom.handout.assignments import Assignment

_SOURCE = "demo, invented"


def record(work: Assignment) -> list[bench_record.Reading]:
    """Record the demo readings and return those that were added, which are none the second time."""
    made = [one for student in work.folder.students for one in _of_student(work, student.id)]
    return bench_record.record(work.folder, made)


def _of_student(work: Assignment, student: str) -> list[bench_record.Reading]:
    """Return all readings of a student; a line that `bench_values` doesn't know gets none."""
    numbers = work.numbers(student)
    found = answers(work.exercise, work.key, numbers)
    wanted = expected(work.exercise, work.key, numbers)
    own = Own(work.slug, student, numbers, found, wanted)
    return [
        _reading(own, line, value, k)
        for line in work.exercise.bench
        if (value := bench_values.value(own, line.id)) is not None
        for k in range(1, line.readings + 1)
    ]


def _reading(own: Own, line: BenchLine, value: float, k: int) -> bench_record.Reading:
    """Return the `k`-th reading of a line: what is there, give or take the instrument."""
    chance = Random(f"{own.slug}/{own.student}/{line.id}/{k}")
    off = max(-2.0, min(2.0, chance.gauss(0.0, 0.7))) * line.resolution
    read = _rounded(value + off, line)
    return bench_record.Reading(
        own.student,
        own.slug,
        line.id,
        k,
        read,
        line.unit,
        typed=f"{read:g}",
        instrument=line.instrument,
        resolution=line.resolution,
        by=own.student,
        source=_SOURCE,
        post="demo",
    )


def _rounded(value: float, line: BenchLine) -> float:
    """Return the nearest division within the bounds of the line."""
    marked = round(round(value / line.resolution) * line.resolution, 9)
    return min(max(marked, line.low), line.high)
