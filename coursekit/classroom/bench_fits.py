"""What a class's bench record says when it is taken together: pulls of tacks, lines of tubes, spread.

Which line of a record is what stands in the exercise's head, as its `role`: no lesson is named here.
Several readings of one thing count as their mean.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan, degrees, hypot, nan, sqrt

import numpy as np

from coursekit import alignment, tacks
from coursekit.classroom import bench
from coursekit.classroom.bank import Exercise
from coursekit.classroom.bench_lines import Reading as Line
from coursekit.classroom.classes import ClassFolder
from coursekit.readings import division_uncertainty

Means = Mapping[tuple[str, str], float]  # student, line → mean of the readings that stand
_FAR = 3.0  # standard deviations off the model from where a reading is worth a second look


@dataclass(frozen=True)
class Spread:
    """How readings of one line scatter. All in the line's unit.

    `repeat`, the standard deviation of one reading when the same student measures the same thing
    again, None where nobody did; `between`, that of the students' true values, what repeating
    explains taken out, None where it cannot be told; `division`, what rounding to the instrument's
    division alone would give; `students` and `readings` counted.
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
    """A student's pull beside the model's, in the fit's unit: after the tacks `at`, in plane or across."""

    student: str
    at: tuple[float, ...]
    way: str
    measured: float
    model: float
    far: bool


@dataclass(frozen=True)
class PullFit:
    """The model of pulls fitted to the class, as `tacks.Model` has it, or `why` there is none.

    `unit` is deg where the distance to the gauge was measured, else that of the gauge.
    """

    unit: str
    records: int
    model: tacks.Model | None
    residuals: tuple[Residual, ...] = ()
    why: str = ""


@dataclass(frozen=True)
class Straightness:
    """A part of one student's frame against the centre plane, at one stage; positive to the drive side.

    `offset` mm and `angle_deg` with standard uncertainties, `angle_deg` None where only an offset
    was measured.
    """

    student: str
    of: str
    stage: str
    offset: float
    offset_uncertainty: float
    angle_deg: float | None = None
    angle_deg_uncertainty: float | None = None


@dataclass(frozen=True)
class Change:
    """What setting did to a part: offset before and after, mm, and whether it came nearer to 0."""

    student: str
    of: str
    before: float
    after: float
    uncertainty: float
    nearer: bool


@dataclass(frozen=True)
class Fits:
    """All that one lesson's record gives."""

    slug: str
    spreads: tuple[Spread, ...]
    pull: PullFit | None
    straight: tuple[Straightness, ...]
    changes: tuple[Change, ...]


def fits(folder: ClassFolder, exercise: Exercise) -> Fits:
    """Return what the class's record of this exercise gives; parts that it has no lines for are empty."""
    stands = list(bench.latest(folder, exercise.slug).values())
    known = {line.id for line in exercise.bench}
    stands = [r for r in stands if r.line in known]
    values: dict[tuple[str, str], list[float]] = {}
    for one in stands:
        values.setdefault((one.student, one.line), []).append(one.value)
    means = {place: float(np.mean(some)) for place, some in values.items()}
    straight = straightness(exercise.bench, means, _counts(values))
    return Fits(
        exercise.slug,
        tuple(s for line in exercise.bench if (s := spread(line, _by_student(values, line.id)))),
        pull_fit(exercise.bench, means),
        straight,
        changes(straight),
    )


def _by_student(values: Mapping[tuple[str, str], list[float]], line: str) -> list[list[float]]:
    return [some for (_, id), some in values.items() if id == line]


def _counts(values: Mapping[tuple[str, str], list[float]]) -> dict[tuple[str, str], int]:
    return {place: len(some) for place, some in values.items()}


def spread(line: Line, by_student: Sequence[Sequence[float]]) -> Spread | None:
    """Return how the readings of a line scatter, None where there are none.

    One-way analysis of variance: the mean square within students is the square of `repeat`; between
    students it is that plus n₀ times the square of `between` (ISO 5725-2:1994, 7.4, from memory;
    Snedecor and Cochran, Statistical Methods, one-way classification with unequal samples, from
    memory). A negative estimate of a variance is given as 0.
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
    return Spread(
        line.id, line.say, line.unit, mean, repeat, between,
        float(division_uncertainty(line.resolution)), count, int(total),
    )  # fmt: skip


def pull_fit(lines: Sequence[Line], means: Means) -> PullFit | None:
    """Return the fit of the model of pulls over the class, None where no line has such a role."""
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
            size = degrees(atan(value / lever)) if levers else value
            tilt = found.setdefault((student, line.at), [nan, nan])
            tilt[0 if line.role == "pull in plane" else 1] = size
    records = [(list(at), tilt) for (_, at), tilt in found.items()]
    try:
        model = tacks.fit(records)
    except ValueError as error:
        return PullFit(unit, len(records), None, why=str(error))
    return PullFit(unit, len(records), model, _residuals(found, model))


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


def straightness(
    lines: Sequence[Line], means: Means, counts: Mapping[tuple[str, str], int]
) -> tuple[Straightness, ...]:
    """Return where each student's parts lie against the centre plane, by reversal.

    Heights read drive side up and down at the same places give a line (`alignment.line`); a part
    read at one place only, or a gauge that gives the offset itself, gives an offset. With three
    places or more the uncertainty comes from the scatter, else from the instrument's division.
    """
    students = list(dict.fromkeys(student for student, _ in means))
    parts = list(dict.fromkeys((b.of, b.stage) for b in lines if b.role.startswith("height")))
    found = []
    for student in students:
        for of, stage in parts:
            if one := _line(student, of, stage, lines, means, counts):
                found.append(one)
        for line in (b for b in lines if b.role == "offset" and (student, b.id) in means):
            noise = float(division_uncertainty(line.resolution))
            noise /= sqrt(counts[student, line.id])
            found.append(Straightness(student, line.of, line.stage, means[student, line.id], noise))
    return tuple(found)


def _line(
    student: str, of: str, stage: str, lines: Sequence[Line], means: Means,
    counts: Mapping[tuple[str, str], int],
) -> Straightness | None:  # fmt: skip
    """Return one part by the places that were read on both faces, None where there are none."""
    sides: dict[float, dict[str, Line]] = {}
    for line in lines:
        here = line.role.startswith("height") and (line.of, line.stage) == (of, stage)
        if here and (student, line.id) in means:
            sides.setdefault(line.at[0], {})[line.role] = line
    both = {at: s for at, s in sorted(sides.items()) if len(s) == 2}
    if not both:
        return None
    up = [means[student, s["height drive up"].id] for s in both.values()]
    down = [means[student, s["height drive down"].id] for s in both.values()]
    every = [line for s in both.values() for line in s.values()]
    noise = max(
        float(division_uncertainty(b.resolution)) / sqrt(counts[student, b.id]) for b in every
    )
    if len(both) == 1:
        return Straightness(student, of, stage, (up[0] - down[0]) / 2, noise / sqrt(2))
    fit = alignment.line(list(both), up, down, noise if len(both) == 2 else None)
    return Straightness(
        student, of, stage, float(fit.offset), float(fit.offset_uncertainty),
        float(fit.angle_deg), float(fit.angle_deg_uncertainty),
    )  # fmt: skip


def changes(straight: Sequence[Straightness]) -> tuple[Change, ...]:
    """Return what setting did, for each part that was measured before and after."""
    at = {(s.student, s.of, s.stage): s for s in straight}
    found = []
    for (student, of, stage), before in at.items():
        after = at.get((student, of, "after"))
        if stage == "before" and after:
            one = hypot(before.offset_uncertainty, after.offset_uncertainty)
            nearer = abs(after.offset) < abs(before.offset)
            found.append(Change(student, of, before.offset, after.offset, one, nearer))
    return tuple(found)
