"""A class's record of one sort of entry: a ledger for each lesson, in one folder of the class.

Bench readings and answers on paper are both kept this way. Entries are only ever added. To correct
one, another line with the same place is added, and the last one stands. `ledger` says how the lines
are kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property, partial
from pathlib import Path
from typing import Any, ClassVar, Generic, Protocol, TypeVar, get_type_hints

from coursekit.classroom.bench.csv_cells import lines_of, tidy
from coursekit.classroom.bench.ledger import Ledger, Row
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.former_ids import ids_today

Place = tuple[Any, ...]
_NO_COLUMN = ("slug", "number", "when")  # the file's name, and what the ledger adds by itself


class Entry(Protocol):
    """What can be recorded: a frozen dataclass whose fields are the columns of the file, in order.

    It has a field `post`, which names the sending of the form that the entry came with. The record
    sets `number` and `when`.
    """

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def student(self) -> str:
        """Whose it is."""

    @property
    def slug(self) -> str:
        """Of which lesson."""

    @property
    def place(self) -> Place:
        """Which box of which sheet it fills."""


E = TypeVar("E", bound=Entry)


@dataclass(frozen=True)
class ClassRecord(Generic[E]):
    """The record of entries of the class `entry`, in `folder_name` of the class folder.

    `place` names the columns that say which box an entry fills, `said` the column that holds its
    content, and `long_text` the column, if any, whose text may have several lines. `adds_nothing`
    is called with a new line and the one that stands in its place; if it returns true, the new line
    is not added.
    """

    entry: type[E]
    folder_name: str
    place: tuple[str, ...]
    said: str
    long_text: str = ""
    adds_nothing: Callable[[Row, Row], bool] = lambda row, stands: False

    @cached_property
    def _types(self) -> dict[str, type]:
        """Column → type of its values."""
        types = get_type_hints(self.entry)
        names = (f.name for f in fields(self.entry))
        return {name: types[name] for name in names if name not in _NO_COLUMN}

    def ledger(self, folder: ClassFolder, slug: str) -> Ledger:
        """Return the file of one lesson, with its second copy."""
        path, copy = (at / self.folder_name / f"{slug}.csv" for at in (folder.path, folder.made))
        numbers = frozenset(name for name, kind in self._types.items() if kind is not str)
        return Ledger(path, copy, tuple(self._types), numbers)

    def record(self, folder: ClassFolder, entries: Iterable[E]) -> list[E]:
        """Add the entries and return those that were added, with number and time.

        An entry that the record already has from the same sending of a form is passed over, so a
        form can be sent again after a broken connection. Raises ClassError for a student who is not
        on the roster, and then adds nothing.
        """
        todo: dict[str, list[Row]] = {}
        for one in entries:
            folder.student(one.student)
            todo.setdefault(one.slug, []).append(self._row(one))
        return [
            self._entry(slug, row)
            for slug, new in todo.items()
            for row in self.ledger(folder, slug).add(partial(self._fresh, new))
        ]

    def _fresh(self, new: Iterable[Row], rows: Sequence[Row]) -> list[Row]:
        """Return those of `new` that add something to `rows`."""

        def place(row: Row) -> Place:
            return tuple(row[c] for c in self.place)

        def posting(row: Row) -> Place:
            return (row["post"], *place(row), row[self.said])

        stands = {place(row): row for row in rows}
        known = {posting(row) for row in rows if row["post"]}
        fresh = []
        for row in new:
            if posting(row) in known:
                continue
            if row["post"]:
                known.add(posting(row))
            if place(row) not in stands or not self.adds_nothing(row, stands[place(row)]):
                fresh.append(row)
        return fresh

    def _row(self, one: E) -> Row:
        values = {name: getattr(one, name) for name in self._types}
        return {k: tidy(v) if isinstance(v, str) else f"{v:.15g}" for k, v in values.items()}

    def _entry(self, slug: str, row: Row) -> E:
        found: dict[str, Any] = {name: kind(row[name]) for name, kind in self._types.items()}
        if self.long_text:
            found[self.long_text] = lines_of(row[self.long_text])
        make: Callable[..., E] = self.entry
        return make(slug=slug, number=int(row["number"]), when=row["when"], **found)

    def every(
        self, folder: ClassFolder, slug: str | None = None, student: str | None = None
    ) -> list[E]:
        """Return every entry ever recorded, of one lesson or all, one student or all, oldest first.

        Entries of a student whose id has changed since carry today's id.
        """
        ids = ids_today(folder)
        found = [
            self._entry(one, row | {"student": ids.get(row["student"], row["student"])})
            for one in ([slug] if slug else self.slugs(folder))
            for row in self.ledger(folder, one).read().rows
            if row["student"]  # the lines of a student who was erased are empty
        ]
        return [one for one in found if student in (None, one.student)]

    def latest(self, folder: ClassFolder, slug: str, student: str | None = None) -> dict[Place, E]:
        """Return place → the last entry recorded there, which is the one that stands."""
        return {one.place: one for one in self.every(folder, slug, student)}

    def slugs(self, folder: ClassFolder) -> list[str]:
        """Return the lessons that have a record, sorted."""
        places = (folder.path / self.folder_name, folder.made / self.folder_name)
        names = {path.name for place in places for path in place.glob("*.csv")}
        return sorted(Path(name).stem for name in names if ".changed-" not in name)

    def harm(self, folder: ClassFolder, slug: str | None = None) -> list[str]:
        """Return, in words, what other programs have done to the files of the record."""
        slugs = [slug] if slug else self.slugs(folder)
        return [said for one in slugs for said in self.ledger(folder, one).read().harm]

    def erase(self, folder: ClassFolder, student: str) -> int:
        """Empty all entries of `student` in all lessons, and return how many there were.

        Call it while the student's former ids are still known.
        """
        former = ids_today(folder).items()
        ids = {student} | {old for old, new in former if new == student}
        return sum(self.ledger(folder, slug).erase(ids) for slug in self.slugs(folder))
