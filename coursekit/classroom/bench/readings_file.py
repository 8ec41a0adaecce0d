"""Bench readings as CSV files: one to fill in, one to take in, and an export of all readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench.bench_record import READINGS, Reading, checked
from coursekit.classroom.bench.csv_cells import csv_text
from coursekit.classroom.bench.take_file import Cells, FilledFile
from coursekit.classroom.register.class_folder import ClassError, ClassFolder

_WHO = ("student", "name")
_WHICH = ("line", "what", "reading", "value", "unit")
_HOW = ("typed", "instrument", "resolution", "measured")
_BLANK = (*_WHO, "lesson", *_WHICH, "instrument", "measured", "by")
_EXPORT = ("lesson", *_WHO, *_WHICH, *_HOW, "recorded", "by", "source", "stands")
_ALSO = {
    "student": ("id", "student id"),
    "lesson": ("slug", "exercise"),
    "line": ("bench line", "line id"),
    "reading": ("reading no", "no"),
    "resolution": ("division",),
    "measured": ("when", "date"),
    "by": ("typed by", "initials"),
}


def _checked(folder: ClassFolder, exercise: Exercise, cells: Cells) -> Reading:
    text = cells["value"]
    if cells["unit"] and text[-1:].isdigit():
        text += f" {cells['unit']}"
    more = {k: cells[k] for k in ("instrument", "resolution", "measured", "by", "source")}
    student, line, which = (cells[k] for k in READINGS.place)
    return checked(folder, exercise, student, line, which, text, **more)


def _is_known(one: Reading, before: Sequence[Reading]) -> bool:
    """Whether the value stands already; ValueError if it once stood and was corrected since."""
    if before and before[-1].value == one.value and one.measured in ("", before[-1].measured):
        return True
    same = [b for b in before if (b.value, b.measured) == (one.value, one.measured)]
    if any(b.source == one.source for b in same):
        raise ValueError(
            f"A reading that was corrected must not be undone by an old file; {one.typed} came "
            f"from this file before, and {before[-1].value:g} {one.unit} stands since. If the old "
            "value is right after all, say when it was measured, in the column measured."
        )
    return False


READINGS_FILE = FilledFile(
    READINGS,
    called="A reading",
    needed=("student", "line", "value"),
    may=("lesson", "reading", "unit", "instrument", "resolution", "measured", "by", "stands"),
    also=_ALSO,
    checked=_checked,
    shown=lambda one: one.typed,
    is_known=_is_known,
)


def blank(folder: ClassFolder, exercise: Exercise) -> str:
    """Return a CSV for a class to fill in: a row for each reading that each student takes.

    Raises ClassError if the lesson has no bench record.
    """
    if not exercise.bench:
        raise ClassError(
            f"{exercise.source}: a bench record must have a line or more; it has none. Choose "
            "another lesson, or add `bench:` to its head."
        )
    rows = [
        (s.id, s.name, exercise.slug, b.id, b.say, str(k), "", b.unit, b.instrument, "", "")
        for s in folder.students
        for b in exercise.bench
        for k in range(1, b.readings + 1)
    ]
    return csv_text(_BLANK, rows)


def export(folder: ClassFolder, found: Sequence[Reading], exercises: Mapping[str, Exercise]) -> str:
    """Return readings as CSV for a spreadsheet; `stands` says which reading is the latest."""
    last = {(one.slug, *one.place): one.number for one in found}
    names = {s.id: s.name for s in folder.students}
    what = {(e.slug, b.id): b.say for e in exercises.values() for b in e.bench}
    rows = []
    for one in found:
        cells = {name: getattr(one, name, "") for name in _EXPORT} | {
            "lesson": one.slug,
            "name": names.get(one.student, ""),
            "what": what.get((one.slug, one.line), ""),
            "recorded": one.when,
            "stands": "yes" if last[one.slug, *one.place] == one.number else "no",
        }
        rows.append([c if isinstance(c, str) else f"{c:.15g}" for c in cells.values()])
    return csv_text(_EXPORT, rows)
