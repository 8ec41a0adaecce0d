"""The class's bench record: every value that students measured, with its time and source.

It lies in the class folder in `bench/<slug>.csv`, with one line for each reading.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import typed_value
from coursekit.classroom.bench.class_record import ClassRecord
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.former_ids import ids_today


@dataclass(frozen=True)
class Reading:
    """One reading: whose it is, of which line of which lesson, and its value in the line's unit.

    `reading` counts the readings of a line from 1. `typed` is what was typed, and `resolution` is
    the finest division of the `instrument`. `measured` is when it was measured, as written; `by`
    is who typed it, and `source` where it came from. `post` names the sending of the form, so that
    a form that is sent twice counts once. The record sets `number`, which counts the lesson's lines
    from 1, and `when`, the time of recording in UTC.
    """

    student: str
    slug: str
    line: str
    reading: int
    value: float
    unit: str
    typed: str = ""
    instrument: str = ""
    resolution: float = 0.0
    measured: str = ""
    by: str = ""
    source: str = ""
    post: str = ""
    number: int = 0
    when: str = ""

    @property
    def place(self) -> tuple[str, str, int]:
        """Which box of which sheet: student, line, reading."""
        return self.student, self.line, self.reading


READINGS = ClassRecord(Reading, "bench", ("student", "line", "reading"), "value")
readings = READINGS.every
latest = READINGS.latest
slugs = READINGS.slugs
harm = READINGS.harm
erase = READINGS.erase


def record(folder: ClassFolder, some: Iterable[Reading]) -> list[Reading]:
    """Return the readings that were added, as `ClassRecord.record` does.

    Raises ValueError for a value that is not finite; then nothing is added.
    """
    some = list(some)
    for one in some:
        if not isfinite(one.value):
            raise ValueError(f"A reading must be a finite number; got {one.value}. Read it again.")
    return READINGS.record(folder, some)


def line_of(exercise: Exercise, id: str) -> BenchLine:
    """Return the bench line with this id; ValueError if the exercise has none."""
    for line in exercise.bench:
        if line.id == id:
            return line
    known = ", ".join(b.id for b in exercise.bench) or "none"
    raise ValueError(
        f"A reading must be of a line of {exercise.slug}'s bench record; got '{id}'. The lines are "
        f"{known}."
    )


def checked(
    folder: ClassFolder,
    exercise: Exercise,
    student: str,
    line: str,
    reading: int | str,
    text: str,
    *,
    instrument: str = "",
    resolution: str = "",
    measured: str = "",
    by: str = "",
    source: str = "",
    post: str = "",
) -> Reading:
    """Return the reading that was typed as `text`, in the line's unit.

    Parameters
    ----------
    instrument, resolution : str
        Only if another instrument was used than the line's: its name, and its finest division as
        it was typed, a value in the line's unit.
    folder, exercise, student, line, reading, text, measured, by, source, post
        As in `Reading`.

    Raises
    ------
    ValueError
        For a student who is not on the roster, a line or reading that the sheet does not have, and
        everything that `typed_value.value` refuses.
    """
    student = folder.student(ids_today(folder).get(student, student)).id
    found = line_of(exercise, line)
    which = _which(found, reading)
    division = _division(found, resolution)
    return Reading(
        student=student,
        slug=exercise.slug,
        line=found.id,
        reading=which,
        value=typed_value.value(found, text, division),
        unit=found.unit,
        typed=text.strip(),
        instrument=instrument.strip() or found.instrument,
        resolution=division,
        measured=measured,
        by=by,
        source=source,
        post=post,
    )


def _which(line: BenchLine, reading: int | str) -> int:
    text = str(reading).strip() or "1"
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= line.readings):
        many = f"1 to {line.readings}" if line.readings > 1 else "1"
        raise ValueError(
            f"The reading of '{line.say}' must be {many}; got {text[:20]!r}. Count them."
        )
    return int(text)


def _division(line: BenchLine, resolution: str) -> float:
    if not resolution.strip():
        return line.resolution
    free = BenchLine("resolution", "finest division of the instrument", line.unit, "", 1e-6)
    value = typed_value.value(free, resolution)
    if not 1e-6 <= value <= 1e6:
        raise ValueError(
            "The finest division of the instrument must be above 0; got "
            f"{resolution.strip()[:20]!r}. Write it like 0.01."
        )
    return value
