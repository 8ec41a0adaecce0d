"""What a class's readings say together: their spread, the pull of the tacks, straightness.

The exercise's head says by `role` what each line of the record is, so no lesson is named here. If
one thing was read several times, the mean counts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from math import atan, degrees, nan, sqrt
from typing import Any

import numpy as np

from coursekit import tacks
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import bench_record
from coursekit.classroom.bench.centre_plane import (
    Change,
    Means,
    Straightness,
    changes,
    straightness,
)
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.readings import division_uncertainty

Tell = Callable[[str, str], object]  # whose, and why they are left out

_FAR = 3.0  # a reading this many standard deviations from the model is worth a second look


@dataclass(frozen=True)
class Spread:
    """How the readings of one line scatter, all in the line's unit.

    `repeat` is the standard deviation of one reading when the same student measures the same thing
    again, or None if nobody did. `between` is the standard deviation of the students' true values,
    with the scatter of repeated readings taken out, or None if the readings can't show it.
    `division` is what rounding to the instrument's division alone would give. `students` and
    `readings` are counts.
    """

    line: str
    say: str
    unit: str
    mean: float
    repeat: float | None
    between: float | None
    division: float
    students: int
    readings: int


@dataclass(frozen=True)
class Residual:
    """A student's pull beside the model's, in the fit's unit.

    It was read after the tacks at `at`, in plane or across, as `way` says.
    """

    student: str
    at: tuple[float, ...]
    way: str
    measured: float
    model: float
    far: bool


@dataclass(frozen=True)
class PullFit:
    """The model of pulls fitted to the class's readings (a `tacks.Model`), or `why` there is none.

    `unit` is deg if the lesson also measures the distance to the gauge, else the gauge's own unit.
    """

    unit: str
    records: int
    model: tacks.Model | None
    residuals: tuple[Residual, ...] = ()
    why: str = ""


@dataclass(frozen=True)
class Fits:
    """Everything that is fitted to one lesson's record."""

    slug: str
    spreads: tuple[Spread, ...]
    pull: PullFit | None
    straight: tuple[Straightness, ...]
    changes: tuple[Change, ...]
    left: tuple[str, ...] = ()  # a line for each student or line of the record that is left out

    def as_json(self) -> dict[str, Any]:
        """Return the same as plain mappings and lists."""
        found = asdict(self)
        if not self.left:
            del found["left"]
        return found


def fits(folder: ClassFolder, exercise: Exercise) -> Fits:
    """Return the fits to the class's record of this exercise.

    A fit for which the record has no lines is empty. Readings of students who are no longer on the
    roster are left out. If the readings of a student or of a line cannot be used, they are left out
    too, and `left` says which and why.
    """
    stands = list(bench_record.latest(folder, exercise.slug).values())
    known, people = {line.id for line in exercise.bench}, {s.id for s in folder.students}
    stands = [r for r in stands if r.line in known and r.student in people]
    values: dict[tuple[str, str], list[float]] = {}
    for one in stands:
        values.setdefault((one.student, one.line), []).append(one.value)
    means = {place: float(np.mean(some)) for place, some in values.items()}
    left: list[str] = []

    def tell(whose: str, why: str) -> None:
        left.append(left_line(whose, exercise.slug, why))

    spreads: list[Spread] = []
    for line in exercise.bench:
        with one_piece(partial(tell, line.id)):
            found = spread(line, _by_student(values, line.id))
            spreads += [found] if found else []
    repeat = {s.line: s.repeat for s in spreads if s.repeat is not None}
    straight: list[Straightness] = []
    for student in dict.fromkeys(student for student, _ in means):
        own = {place: mean for place, mean in means.items() if place[0] == student}
        with one_piece(partial(tell, student)):
            straight += straightness(exercise.bench, own, _counts(values), repeat)
    pull = pull_fit(exercise.bench, means, tell)
    parts = tuple(straight)
    told = tuple(dict.fromkeys(left))
    return Fits(exercise.slug, tuple(spreads), pull, parts, changes(parts), told)


def _by_student(values: Mapping[tuple[str, str], list[float]], line: str) -> list[list[float]]:
    return [some for (_, id), some in values.items() if id == line]


def _counts(values: Mapping[tuple[str, str], list[float]]) -> dict[tuple[str, str], int]:
    return {place: len(some) for place, some in values.items()}


def spread(line: BenchLine, by_student: Sequence[Sequence[float]]) -> Spread | None:
    """Return how the readings of a line scatter, or None if there are none.

    This is a one-way analysis of variance: the mean square within students is the square of
    `repeat`; between students it is that plus n₀ times the square of `between`. If the estimate of
    a variance comes out negative, it is given as 0.

    References
    ----------
    ISO 5725-2:1994, 7.4, from memory. Snedecor and Cochran, Statistical Methods, one-way
    classification with unequal samples, from memory.
    """
    groups = [np.asarray(some, dtype=float) for some in by_student if len(some)]
    if not groups:
        return None
    sizes = np.array([g.size for g in groups], dtype=float)
    total, count = sizes.sum(), len(groups)
    mean = float(np.concatenate(groups).mean())
    inside = sum(float(((g - g.mean()) ** 2).sum()) for g in groups)
    freedom = total - count
    repeat = sqrt(inside / freedom) if freedom else None
    between = None
    if repeat is not None and count > 1:
        outside = sum(n * (float(g.mean()) - mean) ** 2 for n, g in zip(sizes, groups, strict=True))
        each = (total - (sizes**2).sum() / total) / (count - 1)
        between = sqrt(max(0.0, (outside / (count - 1) - repeat**2) / each))
    rounding = float(division_uncertainty(line.resolution))
    named = (line.id, line.say, line.unit)
    return Spread(*named, mean, repeat, between, rounding, count, int(total))


def pull_fit(
    lines: Sequence[BenchLine], means: Means, tell: Tell = lambda student, why: None
) -> PullFit | None:
    """Return the model of pulls fitted to the class, or None if no line has the role of a pull.

    A student whose readings give no angle is left out, and `tell` is called with who and why.
    """
    pulls = [b for b in lines if b.role.startswith("pull")]
    if not pulls:
        return None
    levers = [b.id for b in lines if b.role == "lever"]
    unit = "deg" if levers else pulls[0].unit
    found: dict[tuple[str, tuple[float, ...]], list[float]] = {}
    for (student, id), value in means.items():
        for line in (b for b in pulls if b.id == id):
            lever = means.get((student, levers[0])) if levers else 1.0
            if lever is None:
                continue
            with one_piece(partial(tell, student)):
                size = _angle_deg(value, lever) if levers else value
                tilt = found.setdefault((student, line.at), [nan, nan])
                tilt[0 if line.role == "pull in plane" else 1] = size
    records = [(list(at), tilt) for (_, at), tilt in found.items()]
    try:
        model = tacks.fit(records)
    except ValueError as error:
        return PullFit(unit, len(records), None, why=str(error))
    return PullFit(unit, len(records), model, _residuals(found, model))


def _angle_deg(pull: float, lever: float) -> float:
    if lever <= 0:
        raise ClassError(
            f"The distance to the gauge must be above 0; got {lever:g} mm. Record it again."
        )
    return degrees(atan(pull / lever))


def _residuals(
    found: Mapping[tuple[str, tuple[float, ...]], Sequence[float]], model: tacks.Model
) -> tuple[Residual, ...]:
    rows = []
    for (student, at), tilt in found.items():
        angles = np.radians(at)
        sizes = model.first * model.hold ** np.arange(len(at))
        there = (float((sizes * np.cos(angles)).sum()), float((sizes * np.sin(angles)).sum()))
        for way, measured, said in zip(("in plane", "across"), tilt, there, strict=True):
            if measured == measured:
                far = abs(measured - said) > _FAR * model.scatter > 0
                rows.append(Residual(student, at, way, measured, said, far))
    return tuple(rows)
