"""Where each student's frame lies against its centre plane, by reversal, and what setting did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt

from coursekit import alignment
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.readings import division_uncertainty

Means = Mapping[tuple[str, str], float]  # (student, line) → mean of the latest readings


@dataclass(frozen=True)
class Straightness:
    """A part of one student's frame against the centre plane, at one stage of the work.

    `offset` is in mm, positive to the drive side, at the place `at` along the part, with its
    standard uncertainty. For a fitted line that place is its start, 0, and `angle_deg` says how it
    leans; for a single offset the angle is None. `places` are the offsets as they were read: place,
    offset, standard uncertainty.
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
    """What setting did to a part at the place `at`: its offset before and after, in mm.

    `uncertainty` is the standard uncertainty of the change. `verdict` is "nearer" to the centre
    plane, "further off", or "no telling" if the sizes of the offsets differ by no more than two of
    these uncertainties.
    """

    student: str
    of: str
    at: float
    before: float
    after: float
    uncertainty: float
    verdict: str


def straightness(
    lines: Sequence[BenchLine],
    means: Means,
    counts: Mapping[tuple[str, str], int],
    repeat: Mapping[str, float] | None = None,
) -> tuple[Straightness, ...]:
    """Return where each student's parts lie against the centre plane, by reversal.

    Heights that were read drive side up and drive side down at the same places give a line
    (`alignment.line`). A part that was read at one place only, or with a gauge that gives the
    offset itself, gives an offset. With three places or more the uncertainty comes from the
    scatter about the line. With fewer it comes from `repeat`, but it is never less than rounding to
    the instrument's division gives.

    Parameters
    ----------
    lines
        The lines of the exercise's bench record.
    means, counts
        Student and line → mean of the readings in the line's unit, and how many there are.
    repeat
        Line → standard deviation of one reading, in the line's unit.
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
    """Return the places of a part that were read with either side up, in order."""
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
    """Return a part as a line, or as an offset if it was read at only one place."""
    places = tuple((at, (up - down) / 2, one / sqrt(2)) for at, up, down, one in heights)
    if len(places) == 1:
        return Straightness(student, of, stage, *places[0], places=places)
    position, up, down, noise = zip(*heights, strict=True)
    fit = alignment.line(position, up, down, max(noise) if len(places) == 2 else None)
    return Straightness(
        student,
        of,
        stage,
        at=0.0,
        offset=float(fit.offset),
        offset_uncertainty=float(fit.offset_uncertainty),
        angle_deg=float(fit.angle_deg),
        angle_deg_uncertainty=float(fit.angle_deg_uncertainty),
        places=places,
    )


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
