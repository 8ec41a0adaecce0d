"""The bench record on the screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.markup import escape
from rich.table import Table

from coursekit.classroom.bank import Exercise
from coursekit.classroom.bench import Reading
from coursekit.classroom.classes import ClassFolder
from coursekit.classroom.paper_answers import Answer
from coursekit.sheets.text import quantity


def shown(
    folder: ClassFolder, exercise: Exercise, found: Sequence[Reading], every: bool = False
) -> Table:
    """Return a table: a row a student and a column a bench line, or a row a reading where `every`."""
    return _all(exercise, found) if every else _last(folder, exercise, found)


def _last(folder: ClassFolder, exercise: Exercise, found: Sequence[Reading]) -> Table:
    caption = "\n".join(f"{b.id}: {b.say}" for b in exercise.bench)
    table = Table(
        title=f"{exercise.title}: bench record", title_justify="left", caption=caption,
        caption_justify="left",
    )  # fmt: skip
    table.add_column("student")
    for line in exercise.bench:
        table.add_column(f"{line.id}\n{line.unit}", justify="right", overflow="fold")
    values = {r.place: f"{r.value:g}" for r in found}
    for s in folder.students:
        cells = [
            "  ".join(values.get((s.id, b.id, k), "–") for k in range(1, b.readings + 1))
            for b in exercise.bench
        ]
        table.add_row(s.id, *cells)
    return table


def _all(exercise: Exercise, found: Sequence[Reading]) -> Table:
    table = Table(title=f"{exercise.title}: every reading", title_justify="left")
    for name in ("student", "line", "#", "value", "when, UTC"):
        table.add_column(name, no_wrap=True)
    table.add_column("from", overflow="fold")
    for r in found:
        when = r.when[:16].replace("T", " ")
        origin = escape(", ".join(w for w in (r.by, r.source) if w))
        value = quantity(r.value, r.unit)
        table.add_row(r.student, r.line, str(r.reading), value, when, origin)
    return table


def answers(exercise: Exercise, stands: Mapping[str, Mapping[str, Answer]]) -> Table:
    """Return a table of answers on paper: a row an answer that stands."""
    table = Table(title=f"{exercise.title}: answers on paper", title_justify="left")
    for name in ("student", "question"):
        table.add_column(name, no_wrap=True)
    table.add_column("answer", overflow="fold")
    for student, some in stands.items():
        for question in exercise.graded:
            if one := some.get(question.id):
                table.add_row(student, question.id, escape(one.answer))
    return table
