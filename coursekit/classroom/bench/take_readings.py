"""Takes a file of bench readings into the record: good rows in, the others back with the reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import bench_record, csv_rows
from coursekit.classroom.register.class_folder import ClassFolder

_NEEDED = ("student", "line", "value")
_MAY = ("lesson", "reading", "unit", "instrument", "resolution", "measured", "by", "stands")
_ALSO = {
    "id": "student", "student id": "student", "slug": "lesson", "exercise": "lesson",
    "bench line": "line", "line id": "line", "reading no": "reading", "no": "reading",
    "when": "measured", "date": "measured", "typed by": "by", "initials": "by",
    "division": "resolution",
}  # fmt: skip


@dataclass(frozen=True)
class ReadingsTaken:
    """What came of a file: readings added, rows known already, rows not filled in, rows asked back."""

    added: list[bench_record.Reading] = field(default_factory=list)
    known: int = 0
    empty: int = 0
    refused: list[csv_rows.Refused] = field(default_factory=list)


def take_in(
    folder: ClassFolder,
    path: Path,
    exercise_of: Callable[[str], Exercise],
    lesson: str = "",
    by: str = "",
) -> ReadingsTaken:
    """Return what came of the file at `path`, one row a reading.

    Good rows are recorded even where others are asked back: mend those and take the same file in
    again. A row whose value already stands is known and adds nothing.

    Parameters: `lesson`, slug for rows that name none; `by`, who typed it, for rows that do not say.

    Raises ClassError where the file cannot be read as CSV with the columns student, line and value.
    """
    rows = csv_rows.rows(path, _NEEDED, _MAY, _ALSO)
    find = cache(exercise_of)
    history = cache(lambda slug: _history(folder, slug))
    seen: dict[tuple[str, str, str, int], tuple[bench_record.Reading, int]] = {}
    good: list[bench_record.Reading] = []
    refused: list[csv_rows.Refused] = []
    known = empty = 0
    for row in rows:
        if not row.cells["value"] and not row.trouble:
            empty += 1
            continue
        if row.cells["stands"] == "no":  # an export's row that was corrected later
            known += 1
            continue
        try:
            one = _reading(folder, row, find, lesson, by, path.name)
            first, line = seen.setdefault((one.slug, *one.place), (one, row.line))
            if first.value != one.value:
                raise ValueError(
                    f"A reading must stand in a file once; got {one.typed} here and {first.typed} in "
                    f"line {line}. Keep the right one."
                )
            if line != row.line or _is_known(one, history(one.slug).get(one.place, [])):
                known += 1
            else:
                good.append(one)
        except ValueError as error:
            refused.append(csv_rows.Refused(row.line, str(error)))
    return ReadingsTaken(bench_record.record(folder, good), known, empty, refused)


def _history(
    folder: ClassFolder, slug: str
) -> dict[bench_record.Place, list[bench_record.Reading]]:
    found: dict[bench_record.Place, list[bench_record.Reading]] = {}
    for one in bench_record.readings(folder, slug):
        found.setdefault(one.place, []).append(one)
    return found


def _reading(
    folder: ClassFolder,
    row: csv_rows.Filled,
    find: Callable[[str], Exercise],
    lesson: str,
    by: str,
    name: str,
) -> bench_record.Reading:
    if row.trouble:
        raise ValueError(row.trouble)
    cells = row.cells
    slug = cells["lesson"] or lesson
    if not slug:
        raise ValueError("A row must name its lesson; got none. Fill the column lesson.")
    text = cells["value"]
    if cells["unit"] and text[-1:].isdigit():
        text += f" {cells['unit']}"
    return bench_record.checked(
        folder, find(slug), cells["student"], cells["line"], cells["reading"], text,
        instrument=cells["instrument"], resolution=cells["resolution"],
        measured=cells["measured"], by=cells["by"] or by, source=f"file {name}",
    )  # fmt: skip


def _is_known(one: bench_record.Reading, before: list[bench_record.Reading]) -> bool:
    """Whether the value stands already; ValueError where it stood once and was corrected since."""
    if before and before[-1].value == one.value and one.measured in ("", before[-1].measured):
        return True
    same = [b for b in before if (b.value, b.measured) == (one.value, one.measured)]
    if any(b.source == one.source for b in same):
        raise ValueError(
            f"A reading that was corrected must not be undone by an old file; {one.typed} came from "
            f"this file before, and {before[-1].value:g} {one.unit} stands since. If the old value "
            "is right after all, say when it was measured, in the column measured."
        )
    return False
