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
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import bench_record
from coursekit.classroom.register.class_folder import ClassFolder
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

    `offset`, mm, at the place `at` along the part, with its standard uncertainty; for a fitted line
    that is its start, 0, and `angle_deg` says how it leans, else None. `places` are the offsets as
    they were read, (place, offset, standard uncertainty).
    """

    student: str
    of: str
    stage: str
    at: float
    offset: float
    offset_uncertainty: float
    angle_deg: float | None = None
    angle_deg_uncertainty: float | None = None
    places: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class Change:
    """What setting did to a part at the place `at`: offset before and after, mm.

    `uncertainty`, standard, of the change; `verdict`, "nearer" to the centre plane, "further off", or
    "no telling" where the sizes differ by less than two of them.
    """

    student: str
    of: str
    at: float
    before: float
    after: float
    uncertainty: float
    verdict: str


@dataclass(frozen=True)
class Fits:
    """All that one lesson's record gives."""

    slug: str
    spreads: tuple[Spread, ...]
    pull: PullFit | None
    straight: tuple[Straightness, ...]
    changes: tuple[Change, ...]


def fits(folder: ClassFolder, exercise: Exercise) -> Fits:
    """Return what the class's record of this exercise gives; parts that it has no lines for are empty.

    Readings of students who are no longer on the roster are left out.
    """
    stands = list(bench_record.latest(folder, exercise.slug).values())
    known, people = {line.id for line in exercise.bench}, {s.id for s in folder.students}
    stands = [r for r in stands if r.line in known and r.student in people]
    values: dict[tuple[str, str], list[float]] = {}
    for one in stands:
        values.setdefault((one.student, one.line), []).append(one.value)
    means = {place: float(np.mean(some)) for place, some in values.items()}
    spreads = [s for line in exercise.bench if (s := spread(line, _by_student(values, line.id)))]
    repeat = {s.line: s.repeat for s in spreads if s.repeat is not None}
    straight = straightness(exercise.bench, means, _counts(values), repeat)
    return Fits(
        exercise.slug,
        tuple(spreads),
        pull_fit(exercise.bench, means),
        straight,
        changes(straight),
    )


def _by_student(values: Mapping[tuple[str, str], list[float]], line: str) -> list[list[float]]:
    return [some for (_, id), some in values.items() if id == line]


def _counts(values: Mapping[tuple[str, str], list[float]]) -> dict[tuple[str, str], int]:
    return {place: len(some) for place, some in values.items()}


def spread(line: BenchLine, by_student: Sequence[Sequence[float]]) -> Spread | None:
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


def pull_fit(lines: Sequence[BenchLine], means: Means) -> PullFit | None:
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
    lines: Sequence[BenchLine],
    means: Means,
    counts: Mapping[tuple[str, str], int],
    repeat: Mapping[str, float] | None = None,
) -> tuple[Straightness, ...]:
    """Return where each student's parts lie against the centre plane, by reversal.

    Heights read drive side up and down at the same places give a line (`alignment.line`); a part
    read at one place only, or a gauge that gives the offset itself, gives an offset. The uncertainty
    comes from the scatter about the line where there are three places or more, else from `repeat`, line
    → standard deviation of one reading, but not less than the instrument's division allows.
    """
    noise = {b.id: float(division_uncertainty(b.resolution)) for b in lines}
    noise = {id: max(one, (repeat or {}).get(id, 0.0)) for id, one in noise.items()}
    known = {(s, id): noise[id] / sqrt(counts[s, id]) for s, id in means if id in noise}
    parts = list(dict.fromkeys((b.of, b.stage) for b in lines if b.role.startswith("height")))
    found = []
    for student in dict.fromkeys(student for student, _ in means):
        for of, stage in parts:
            if places := _places(student, of, stage, lines, means, known):
                found.append(_line(student, of, stage, places))
        for line in (b for b in lines if b.role == "offset" and (student, b.id) in means):
            at = line.at[0] if line.at else 0.0
            one = (at, means[student, line.id], known[student, line.id])
            found.append(Straightness(student, line.of, line.stage, *one, places=(one,)))
    return tuple(found)


Heights = list[tuple[float, float, float, float]]  # place, up, down, standard uncertainty of one


def _places(
    student: str, of: str, stage: str, lines: Sequence[BenchLine], means: Means, known: Means
) -> Heights:
    """Return the places of a part that were read on both faces, in order."""
    sides: dict[float, dict[str, str]] = {}
    for line in lines:
        here = line.role.startswith("height") and (line.of, line.stage) == (of, stage)
        if here and (student, line.id) in means:
            sides.setdefault(line.at[0], {})[line.role] = line.id
    found = []
    for at, ids in sorted(sides.items()):
        if len(ids) == 2:
            up, down = ((student, ids[f"height drive {side}"]) for side in ("up", "down"))
            found.append((at, means[up], means[down], max(known[up], known[down])))
    return found


def _line(student: str, of: str, stage: str, heights: Heights) -> Straightness:
    """Return a part as a line, or as an offset where it was read at one place."""
    places = tuple((at, (up - down) / 2, one / sqrt(2)) for at, up, down, one in heights)
    if len(places) == 1:
        return Straightness(student, of, stage, *places[0], places=places)
    position, up, down, noise = zip(*heights, strict=True)
    fit = alignment.line(position, up, down, max(noise) if len(places) == 2 else None)
    return Straightness(
        student, of, stage, 0.0, float(fit.offset), float(fit.offset_uncertainty),
        float(fit.angle_deg), float(fit.angle_deg_uncertainty), places,
    )  # fmt: skip


def changes(straight: Sequence[Straightness]) -> tuple[Change, ...]:
    """Return what setting did, at each place of a part that was read before and after."""
    after = {
        (s.student, s.of, at): (offset, one)
        for s in straight
        if s.stage == "after"
        for at, offset, one in s.places
    }
    found = []
    for s in (s for s in straight if s.stage == "before"):
        for at, offset, one in s.places:
            if (s.student, s.of, at) in after:
                now, other = after[s.student, s.of, at]
                both = hypot(one, other)
                verdict = _verdict(abs(offset) - abs(now), both)
                found.append(Change(s.student, s.of, at, offset, now, both, verdict))
    return tuple(found)


def _verdict(gain: float, uncertainty: float) -> str:
    if abs(gain) <= 2 * uncertainty:
        return "no telling"
    return "nearer" if gain > 0 else "further off"
