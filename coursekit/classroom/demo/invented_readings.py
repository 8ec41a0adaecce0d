"""Bench readings of the demo class, all invented, each rounded to its instrument's division."""

from __future__ import annotations

from math import hypot, isinf, radians, tan
from random import Random

from coursekit import tacks
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bench import bench_record
from coursekit.classroom.handout.assignments import Assignment

FIRST_DEG, HOLD = 0.28, 0.58  # of the demo class's tacks
LEVER = 430.0  # mm
_SOURCE = "demo, invented"


def record(work: Assignment) -> list[bench_record.Reading]:
    """Record the demo readings and return those that were added, which are none the second time."""
    made = [
        _reading(work.slug, student.id, line, k)
        for student in work.folder.students
        for line in work.exercise.bench
        for k in range(1, line.readings + 1)
    ]
    return bench_record.record(work.folder, made)


def _reading(slug: str, student: str, line: BenchLine, k: int) -> bench_record.Reading:
    """Return the `k`-th reading that this student takes of a line."""
    chance = Random(f"{slug}/{student}/{line.id}/{k}")
    value = _rounded(chance.gauss(_true(slug, student, line), line.resolution), line)
    return bench_record.Reading(
        student,
        slug,
        line.id,
        k,
        value,
        line.unit,
        typed=f"{value:g}",
        instrument=line.instrument,
        resolution=line.resolution,
        by=student,
        source=_SOURCE,
        post="demo",
    )


def _true(slug: str, student: str, line: BenchLine) -> float:
    """Return the true value of what this student measures."""
    chance = Random(f"{slug}/{student}/{line.id}")
    if line.role == "lever":
        return LEVER
    if line.role.startswith("pull"):
        own = Random(f"{slug}/{student}").gauss(FIRST_DEG, 0.03)
        tilt = tacks.pull(line.at, own, HOLD)[0 if line.role == "pull in plane" else 1]
        return LEVER * tan(radians(float(tilt))) + chance.gauss(0.0, 0.04)
    if line.role.startswith("height"):
        lean = Random(f"{slug}/{student}/{line.of}").gauss(0.0, 0.3)
        lean *= 0.3 if line.stage == "after" else 1.0
        return lean if line.role == "height drive up" else -lean
    if isinf(line.low) or isinf(line.high):
        return chance.uniform(60, 140) * line.resolution
    if line.low < 0:
        return chance.gauss(0.0, hypot(line.low, line.high) / 30)
    return line.low + (line.high - line.low) * chance.uniform(0.35, 0.65)


def _rounded(value: float, line: BenchLine) -> float:
    """Return the nearest division within the bounds of the line."""
    marked = round(round(value / line.resolution) * line.resolution, 9)
    return min(max(marked, line.low), line.high)
