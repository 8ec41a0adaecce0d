"""Takes a filled-in file into a record: good rows are recorded, the others refused with the reason.

Bench readings and answers on paper come in the same way. A `FilledFile` says what the files of a
record look like.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Generic, TypeVar

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import csv_rows
from coursekit.classroom.bench.class_record import ClassRecord, E, Place
from coursekit.classroom.register import names
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, write_text

T = TypeVar("T")
Cells = Mapping[str, str]
MARK = "\ufeff"  # tells spreadsheets that a file is UTF-8


@dataclass(frozen=True)
class FilledFile(Generic[E]):
    """What a file of one record looks like, and how a row of it becomes an entry.

    A file must have the columns `needed` and may have those of `may`; `also` maps a column to the
    other names that it may go by. `checked` makes the entry, or refuses the cells with a
    ValueError. `called` and `shown` put an entry into a message. `is_known` is called with an entry
    and the earlier ones at its place, the oldest first, and says whether the entry adds nothing.
    """

    record: ClassRecord[E]
    called: str
    needed: tuple[str, ...]
    may: tuple[str, ...]
    also: Mapping[str, Sequence[str]]
    checked: Callable[[ClassFolder, Exercise, Cells], E]
    shown: Callable[[E], str]
    is_known: Callable[[E, Sequence[E]], bool] | None = None


@dataclass(frozen=True)
class FileTaken(Generic[E]):
    """What came of a file: entries added, rows known already, rows not filled in, rows refused.

    `lessons` are those that the good rows belong to.
    """

    added: list[E] = field(default_factory=list)
    known: int = 0
    empty: int = 0
    refused: list[csv_rows.Refused] = field(default_factory=list)
    lessons: tuple[str, ...] = ()


_FILLED_IN = ("by", "measured", "handed in")  # beside the value itself; a blank has them empty


def write_blank(kind: FilledFile[E], path: Path, text: str) -> None:
    """Write a blank file to `path`, where nothing lies yet or a blank that nobody filled in.

    Raises ClassError, and leaves what is there, if the file is another or is filled in.
    """
    if path.is_dir():
        raise ClassError(f"{path}: the file must have a name; got a folder. Name a file in it.")
    if path.exists() and (what := _what_lies_there(kind, path)):
        raise ClassError(
            f"{path}: a blank must not be written over {what}; it is there. Name another file, or "
            "take this one in first and move it away."
        )
    write_text(path, MARK + text)


def _what_lies_there(kind: FilledFile[E], path: Path) -> str:
    try:
        there = csv_rows.rows(path, kind.needed, kind.may, kind.also)
    except ClassError:
        return "another file"
    columns = {kind.record.said, *(c for c in _FILLED_IN if c in kind.may)}
    filled = any(row.trouble or any(row.cells[c] for c in columns) for row in there)
    return "one that is filled in" if filled else ""


def take_in(
    kind: FilledFile[E],
    folder: ClassFolder,
    path: Path,
    exercise_of: Callable[[str], Exercise],
    lesson: str = "",
    by: str = "",
) -> FileTaken[E]:
    """Return what came of the file at `path`, in which each row is one entry.

    Good rows are recorded even if others are refused; mend those and take the same file in again. A
    row that says what already stands counts as known and adds nothing.

    Parameters
    ----------
    kind : FilledFile
        How the file looks and which record it belongs to.
    folder, path
        The class, and the file.
    exercise_of : callable
        Gives the exercise of a lesson, by whatever name a row calls it.
    lesson : str
        The lesson of rows that name none.
    by : str
        Who typed it, for rows that do not say.

    Raises
    ------
    ClassError
        If the file cannot be read as CSV with the columns that it must have.
    """
    source = f"file {path.name}"
    intake = _Intake(kind, folder, _remembered(exercise_of), lesson, by, source)
    for row in csv_rows.rows(path, kind.needed, kind.may, kind.also):
        intake.take(row)
    added = kind.record.record(folder, intake.good)
    known = intake.known + len(intake.good) - len(added)
    lessons = tuple(dict.fromkeys(place[0] for place in intake.seen))
    return FileTaken(added, known, intake.empty, intake.refused, lessons)


def _remembered(find: Callable[[str], T]) -> Callable[[str], T]:
    """Return `find`, which looks for each text once, be it found or refused: rows are many."""
    found: dict[str, T] = {}
    refused: dict[str, str] = {}

    def look(text: str) -> T:
        if text in refused:
            raise ClassError(refused[text])
        if text not in found:
            try:
                found[text] = find(text)
            except ValueError as error:
                refused[text] = str(error)
                raise
        return found[text]

    return look


@dataclass
class _Intake(Generic[E]):
    """The rows of one file, sorted into good ones to record, known ones, empty and refused ones."""

    kind: FilledFile[E]
    folder: ClassFolder
    exercise_of: Callable[[str], Exercise]
    lesson: str
    by: str
    source: str
    good: list[E] = field(default_factory=list)
    known: int = 0
    empty: int = 0
    refused: list[csv_rows.Refused] = field(default_factory=list)
    seen: dict[Place, tuple[E, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.before = cache(self._before)
        self.student = _remembered(lambda text: names.student(self.folder, text))

    def take(self, row: csv_rows.Filled) -> None:
        if not row.cells[self.kind.record.said] and not row.trouble:
            self.empty += 1
        elif row.cells.get("stands") == "no":  # an export's row that was corrected later
            self.known += 1
        else:
            try:
                self._sort(row.line, self._entry(row))
            except ValueError as error:
                self.refused.append(csv_rows.Refused(row.line, str(error)))

    def _entry(self, row: csv_rows.Filled) -> E:
        if row.trouble:
            raise ValueError(row.trouble)
        slug = row.cells["lesson"] or self.lesson
        if not slug:
            raise ValueError("A row must name its lesson; got none. Fill the column lesson.")
        who = self.student(row.cells["student"]).id
        origin = {"student": who, "by": row.cells["by"] or self.by, "source": self.source}
        return self.kind.checked(self.folder, self.exercise_of(slug), {**row.cells, **origin})

    def _sort(self, line: int, one: E) -> None:
        said = self.kind.record.said
        first, before = self.seen.setdefault((one.slug, *one.place), (one, line))
        if getattr(first, said) != getattr(one, said):
            raise ValueError(
                f"{self.kind.called} must stand in a file once; got {self.kind.shown(one)} here "
                f"and {self.kind.shown(first)} in line {before}. Keep the right one."
            )
        if line != before or self._is_known(one):
            self.known += 1
        else:
            self.good.append(one)

    def _is_known(self, one: E) -> bool:
        ask = self.kind.is_known
        return ask is not None and ask(one, self.before(one.slug).get(one.place, []))

    def _before(self, slug: str) -> dict[Place, list[E]]:
        """Return place → the entries that the record has for it, the oldest first."""
        found: dict[Place, list[E]] = {}
        for one in self.kind.record.every(self.folder, slug):
            found.setdefault(one.place, []).append(one)
        return found
