"""Bench readings as measured minus expected, and which of them lie outside.

What is expected follows from the student's own numbers (`bank.expected`). Where nothing decides
it, the middle of the class stands in its place. A student's readings of one line count by their
mean.

The rule, for five students or more: a reading is outside if it lies further from the class's middle
than 3.5 times the class's spread. The middle is the median; the spread is 1.4826 times the median
distance from it, but never less than half a division, which rounding alone may add. One or two wild
readings don't move either, which is why a mean and a standard deviation would not do. (Iglewicz and
Hoaglin, How to Detect and Handle Outliers, 1993: a modified z-score above 3.5; from memory.)

A height or a pull of the gauge means nothing without its partner; `class_fits` judges those, and
none is outside by itself.

With fewer students a class has no spread to speak of. A reading is then outside if it misses what
is expected by more than ten divisions: an instrument is chosen so that it divides the tolerance ten
times (the rule of ten; common practice, no source).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isnan, nan, sqrt
from statistics import fmean, median

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.expected import expected
from coursekit.classroom.bank.notebooks import NUMBERS_FILE
from coursekit.classroom.bench import bench_record
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.one_piece import one_piece

ENOUGH = 5  # students whose readings show how the class spreads
FAR = 3.5  # of the class's spreads
DIVISIONS = 10  # that a reading may miss by where there is no class to compare it with
_NORMAL = 1.4826  # standard deviation over the median distance, of a normal distribution
_MEDIAN = 1.2533  # standard error of a median over that of a mean, of a normal distribution


@dataclass(frozen=True)
class Measured:
    """A student's readings of one line; `expected` is None where no number decides it.

    `off` is the mean of the readings minus what is expected. Where nobody's is known, the class's
    middle stands for it; where only this student's isn't, `off` is nan.
    """

    student: str
    values: tuple[float, ...]
    expected: float | None
    off: float
    outside: bool = False

    @property
    def value(self) -> float:
        """Mean of the readings."""
        return fmean(self.values)


@dataclass(frozen=True)
class LineMeasured:
    """A bench line of a class: each student's readings, and how the class lies.

    `middle` is the class's median of measured minus expected, and `spread` its spread about that;
    None with fewer than five students. `from_class` says that nothing but the class's own middle
    says what a reading should come to. `all_off` is true if the class as a whole misses what is
    expected, by more than its spread explains: then the instrument is to blame, or the drawing.
    """

    line: BenchLine
    students: tuple[Measured, ...]
    middle: float | None
    spread: float | None
    from_class: bool
    all_off: bool = False

    @property
    def outside(self) -> tuple[Measured, ...]:
        """The readings that lie outside, the furthest first."""
        middle = self.middle or 0.0
        far = [one for one in self.students if one.outside]
        return tuple(sorted(far, key=lambda one: -abs(one.off - middle)))

    def far(self, one: Measured) -> float:
        """Return how far a reading lies outside, 1 at the bound."""
        if self.spread is None:
            return abs(one.off) / (DIVISIONS * self.line.resolution)
        return abs(one.off - (self.middle or 0.0)) / (FAR * self.spread)


def measured(work: Assignment) -> tuple[LineMeasured, ...]:
    """Return the bench lines of a lesson that have readings, as measured minus expected.

    Own numbers are read from what was handed out. Where they are not there, or are those of an
    earlier edition of the exercise, nothing of that student's is expected.
    """
    people = {s.id for s in work.folder.students}
    values: dict[str, dict[str, list[float]]] = {}
    for place, one in sorted(bench_record.latest(work.folder, work.slug).items()):
        if one.student in people:
            values.setdefault(place[1], {}).setdefault(one.student, []).append(one.value)
    wanted = dict.fromkeys(s for some in values.values() for s in some)
    known = {student: _expected(work, student) for student in wanted}
    return tuple(
        line_measured(
            line,
            {s: tuple(v) for s, v in values[line.id].items()},
            {s: known[s][line.id] for s in values[line.id] if line.id in known[s]},
        )
        for line in work.exercise.bench
        if line.id in values
    )


def _expected(work: Assignment, student: str) -> Mapping[str, float]:
    found: dict[str, float] = {}
    path = work.folder.bundle(student, work.slug) / NUMBERS_FILE
    with one_piece(lambda why: None):
        numbers = json.loads(path.read_text(encoding="utf-8"))["numbers"]
        if work.key.bench and all(q.name in numbers for q in work.exercise.quantities):
            found = expected(work.exercise, work.key, numbers)
    return found


def line_measured(
    line: BenchLine, values: Mapping[str, tuple[float, ...]], known: Mapping[str, float]
) -> LineMeasured:
    """Return one line of the record: `values` are the readings, `known` what is expected."""
    from_class = not known
    middle = median(map(fmean, values.values())) if from_class else nan
    rows = [
        Measured(s, v, known.get(s), fmean(v) - known.get(s, middle)) for s, v in values.items()
    ]
    offs = [one.off for one in rows if not isnan(one.off)]
    if len(offs) < ENOUGH:
        bound = inf if from_class else DIVISIONS * line.resolution
        return LineMeasured(line, _judged(rows, 0.0, bound), None, None, from_class)
    centre = median(offs)
    spread = max(_NORMAL * median(abs(v - centre) for v in offs), line.resolution / 2)
    known_to = FAR * _MEDIAN * spread / sqrt(len(offs))
    all_off = not from_class and abs(centre) > max(known_to, line.resolution)
    alone = from_class and line.role.startswith(("height", "pull"))
    judged = _judged(rows, centre, inf if alone else FAR * spread)
    return LineMeasured(line, judged, centre, spread, from_class, all_off)


def _judged(rows: list[Measured], centre: float, bound: float) -> tuple[Measured, ...]:
    return tuple(
        Measured(m.student, m.values, m.expected, m.off, abs(m.off - centre) > bound) for m in rows
    )
