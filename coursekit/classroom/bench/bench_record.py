"""The class's bench record: what students measured, every value kept, with its time and source.

It lies in the class folder, `bench/<slug>.csv`, one line a reading, only ever added to: a corrected
reading is one more line, and the last one stands. `ledger` says how it is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Any

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import typed_value
from coursekit.classroom.bench.ledger import Ledger, Row, csv_text
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.former_ids import ids_today

_COLUMNS = (
    "student", "line", "reading", "value", "unit", "typed", "instrument", "resolution", "measured",
    "by", "source", "post",
)  # fmt: skip
_PLACE = ("student", "line", "reading")
_NUMBERS = frozenset({"reading", "value", "resolution"})


@dataclass(frozen=True)
class Reading:
    """One reading: whose, of which lesson's line, the how-manieth, and its value in the line's unit.

    `typed` is what was typed, `resolution` the finest division of the `instrument`; `measured` when
    it was measured, as written; `by` who typed it; `source` where it came from; `post` names the
    posting, so that the same one recorded twice counts once. `number` and `when` (UTC) are set by
    the record; `number` counts the lesson's lines from 1.
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


Place = tuple[str, str, int]


def ledger(folder: ClassFolder, slug: str) -> Ledger:
    """Return the record of one lesson."""
    name = f"{slug}.csv"
    return Ledger(
        folder.path / "bench" / name, folder.made / "bench" / name, _COLUMNS, _NUMBERS
    )  # fmt: skip


def line_of(exercise: Exercise, id: str) -> BenchLine:
    """Return the bench line with this id; ValueError where the exercise has none."""
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

    Parameters: `instrument` and `resolution` (text for a value in the line's unit), where another
    instrument was used than the line's; the rest as in `Reading`.

    Raises ValueError for a student who is not on the roster, a line or reading that the sheet does
    not have, and all that `bench_values.value` refuses.
    """
    student = folder.student(ids_today(folder).get(student, student)).id
    found = line_of(exercise, line)
    which = _which(found, reading)
    division = _division(found, resolution)
    value = typed_value.value(found, text, division)
    return Reading(
        student, exercise.slug, found.id, which, value, found.unit, typed=text.strip(),
        instrument=instrument.strip() or found.instrument, resolution=division,
        measured=measured, by=by, source=source, post=post,
    )  # fmt: skip


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
            f"The finest division of the instrument must be above 0; got {resolution.strip()[:20]!r}. "
            "Write it like 0.01."
        )
    return value


def record(folder: ClassFolder, readings: Iterable[Reading]) -> list[Reading]:
    """Return the readings that were added to the record, with number and time.

    One that the record already has from the same posting is passed over, so a posting that was cut
    off can be repeated. Raises ClassError for an unknown student, ValueError for a value that is
    not finite; then nothing is added.
    """
    todo: dict[str, list[Reading]] = {}
    for one in readings:
        folder.student(one.student)
        if not isfinite(one.value):
            raise ValueError(f"A reading must be a finite number; got {one.value}. Read it again.")
        todo.setdefault(one.slug, []).append(one)
    added: list[Reading] = []
    for slug, some in todo.items():

        def new(rows: Sequence[Row], some: list[Reading] = some) -> list[Row]:
            return unknown(rows, map(_row, some), ("post", *_PLACE, "value"))

        added += [_reading(slug, row) for row in ledger(folder, slug).add(new)]
    return added


def unknown(rows: Iterable[Row], new: Iterable[Row], same: tuple[str, ...]) -> list[Row]:
    """Return those of `new` that `rows` do not hold from the same posting, alike in columns `same`."""
    known = {tuple(row[c] for c in same) for row in rows if row["post"]}
    kept = []
    for row in new:
        mark = tuple(row[c] for c in same)
        if mark not in known:
            kept.append(row)
        if row["post"]:
            known.add(mark)
    return kept


def _row(one: Reading) -> Row:
    text = {c: str(getattr(one, c)) for c in _COLUMNS if c not in _NUMBERS}
    return text | {c: f"{getattr(one, c):.15g}" for c in _NUMBERS}


def _reading(slug: str, row: Row) -> Reading:
    text: dict[str, Any] = {c: row[c] for c in _COLUMNS if c not in _NUMBERS}
    return Reading(
        slug=slug, number=int(row["number"]), when=row["when"], reading=int(row["reading"]),
        value=float(row["value"]), resolution=float(row["resolution"]), **text,
    )  # fmt: skip


def readings(
    folder: ClassFolder, slug: str | None = None, student: str | None = None
) -> list[Reading]:
    """Return every reading ever recorded, of one lesson or all, of one student or all, oldest first.

    Readings of a student whose id was changed since carry the id of today.
    """
    found = []
    ids = ids_today(folder)
    for one in [slug] if slug else slugs(folder):
        found += [_reading(one, row) for row in under(ids, ledger(folder, one).read().rows)]
    return [r for r in found if student in (None, r.student)]


def under(ids: Mapping[str, str], rows: Iterable[Row]) -> list[Row]:
    """Return the rows that were not emptied, each under the student's id of today."""
    return [r | {"student": ids.get(r["student"], r["student"])} for r in rows if r["student"]]


def slugs(folder: ClassFolder) -> list[str]:
    """Return the lessons that have a record, sorted."""
    names = {
        p.name for place in (folder.path, folder.made) for p in (place / "bench").glob("*.csv")
    }
    return sorted(Path(n).stem for n in names if ".changed-" not in n)


def latest(folder: ClassFolder, slug: str, student: str | None = None) -> dict[Place, Reading]:
    """Return (student, line, reading) → the reading that stands: the last one recorded."""
    return {one.place: one for one in readings(folder, slug, student)}


def harm(folder: ClassFolder, slug: str | None = None) -> list[str]:
    """Return, in words, what other programs have done to the files of the record."""
    return [
        said
        for one in ([slug] if slug else slugs(folder))
        for said in ledger(folder, one).read().harm
    ]


def erase(folder: ClassFolder, student: str) -> int:
    """Return how many readings of `student` were emptied, in all lessons; for whoever asks to go.

    Call it while the student's former ids are still known.
    """
    return sum(ledger(folder, slug).erase(all_ids(folder, student)) for slug in slugs(folder))


def all_ids(folder: ClassFolder, student: str) -> set[str]:
    """Return the id of a student and every former one."""
    return {student} | {old for old, new in ids_today(folder).items() if new == student}


def blank(folder: ClassFolder, exercise: Exercise) -> str:
    """Return a CSV for a class to fill in: a row for each reading that each student takes.

    Raises ClassError where the lesson has no bench record.
    """
    if not exercise.bench:
        raise ClassError(
            f"{exercise.source}: a bench record must have a line or more; it has none. Choose another "
            "lesson, or add `bench:` to its head."
        )
    rows = [
        (s.id, s.name, exercise.slug, b.id, b.say, str(k), "", b.unit, b.instrument)
        for s in folder.students
        for b in exercise.bench
        for k in range(1, b.readings + 1)
    ]
    header = ("student", "name", "lesson", "line", "what", "reading", "value", "unit", "instrument")
    return csv_text((*header, "measured", "by"), [(*row, "", "") for row in rows])


_EXPORT = (
    "lesson", "student", "name", "line", "what", "reading", "value", "unit", "typed", "instrument",
    "resolution", "measured", "recorded", "by", "source", "stands",
)  # fmt: skip


def export(folder: ClassFolder, found: Sequence[Reading], exercises: Mapping[str, Exercise]) -> str:
    """Return readings as CSV for a spreadsheet; `stands` says which is the last of its place."""
    last = {(one.slug, *one.place): one.number for one in found}
    names = {s.id: s.name for s in folder.students}
    what = {(e.slug, b.id): b.say for e in exercises.values() for b in e.bench}
    return csv_text(
        _EXPORT,
        [
            (
                r.slug, r.student, names.get(r.student, ""), r.line, what.get((r.slug, r.line), ""),
                str(r.reading), f"{r.value:.15g}", r.unit, r.typed, r.instrument,
                f"{r.resolution:.15g}", r.measured, r.when, r.by, r.source,
                "yes" if last[r.slug, *r.place] == r.number else "no",
            )
            for r in found
        ],
    )  # fmt: skip
