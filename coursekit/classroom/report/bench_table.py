"""The bench record, and answers on paper, as tables for the screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor, log10

from rich.table import Table

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench.bench_record import Reading
from coursekit.classroom.bench.class_fits import Fits, PullFit
from coursekit.classroom.paper.paper_answers import PaperAnswer
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.sheets.text import quantity, unit_sign


def shown(
    folder: ClassFolder, exercise: Exercise, found: Sequence[Reading], every: bool = False
) -> Table:
    """Return a table with a row for each student or, if `every` is true, for each reading."""
    return _all(exercise, found) if every else _last(folder, exercise, found)


def _table(title: str, caption: str | None = None) -> Table:
    return Table(title=title, title_justify="left", caption=caption, caption_justify="left")


def _last(folder: ClassFolder, exercise: Exercise, found: Sequence[Reading]) -> Table:
    lines = "\n".join(f"{b.id}: {b.say}" for b in exercise.bench)
    table = _table(f"{exercise.title}: bench record", lines)
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
    table = _table(f"{exercise.title}: every reading")
    for name in ("student", "line", "#", "value", "when, UTC"):
        table.add_column(name, no_wrap=True)
    table.add_column("from", overflow="fold")
    for r in found:
        when = r.when[:16].replace("T", " ")
        origin = ", ".join(w for w in (r.by, r.source) if w)
        value = quantity(r.value, r.unit)
        table.add_row(r.student, r.line, str(r.reading), value, when, origin)
    return table


def answers(exercise: Exercise, stands: Mapping[str, Mapping[str, PaperAnswer]]) -> Table:
    """Return a table of answers on paper, with a row for each that stands."""
    table = _table(f"{exercise.title}: answers on paper")
    for name in ("student", "question"):
        table.add_column(name, no_wrap=True)
    table.add_column("answer", overflow="fold")
    for student, some in stands.items():
        for question in exercise.graded:
            if one := some.get(question.id):
                table.add_row(student, question.id, one.answer)
    return table


def fitted(found: Fits) -> list[Table | str]:
    """Return the fits to a class's record as tables, or as a sentence if nothing can be fitted."""
    shown: list[Table | str] = []
    if found.spreads:
        shown.append(_spreads(found))
    if found.pull:
        shown.append(_pull(found.pull))
    if found.straight:
        shown.append(_straight(found))
    if found.changes:
        shown.append(_changes(found))
    return shown or ["Nothing has been recorded for this lesson yet."]


def _spreads(found: Fits) -> Table:
    table = _table(
        "Spread of readings",
        "again: standard deviation of one reading when the same student reads again.\n"
        "students: of the students' own values. rounding: what the division alone would give.",
    )
    for name in ("line", "unit", "mean", "again", "students", "rounding", "read by"):
        table.add_column(name, justify="left" if name in ("line", "unit") else "right")
    for s in found.spreads:
        scatter = map(_short, (s.repeat, s.between, s.division))
        mean = _beside(s.mean, s.division)
        table.add_row(s.line, unit_sign(s.unit), mean, *scatter, f"{s.students}")
    return table


def _beside(value: float, one: float) -> str:
    """Return a value, to the second digit of its uncertainty `one`."""
    digits = max(0, 1 - floor(log10(one))) if one > 0 else 3
    return f"{value:.{digits}f}"


def _short(value: float | None) -> str:
    return "–" if value is None else f"{value:.2g}"


def _pull(fit: PullFit) -> Table | str:
    if fit.model is None:
        return f"Pull of the tacks: no fit. {fit.why}"
    m, unit = fit.model, unit_sign(fit.unit)
    table = _table(
        f"Pull of the tacks, {fit.records} records",
        "A model, not a law: look at a student's readings again before you doubt either.",
    )
    for name in ("what", "value", "standard uncertainty"):
        table.add_column(name, justify="left" if name == "what" else "right")
    table.add_row(f"first pull, {unit}", f"{m.first:.4g}", _short(m.first_uncertainty))
    table.add_row("hold", f"{m.hold:.3f}", _short(m.hold_uncertainty))
    table.add_row(f"scatter about the model, {unit}", _short(m.scatter), "")
    for r in (r for r in fit.residuals if r.far):
        after = ", ".join(f"{a:g}°" for a in r.at)
        said = f"look again: {r.student}, {r.way} after {after}"
        table.add_row(said, f"{r.measured:.3g}", f"model {r.model:.3g}")
    return table


def _straight(found: Fits) -> Table:
    table = _table(
        "Against the centre plane, drive side +",
        "± standard uncertainty. At 0: of the fitted line, where the part begins.",
    )
    for name in ("student", "part", "stage", "at, mm", "offset, mm", "angle, °"):
        table.add_column(name, justify="right" if "," in name else "left")
    for s in found.straight:
        angle = "–"
        if s.angle_deg is not None and s.angle_deg_uncertainty is not None:
            angle = _with(s.angle_deg, s.angle_deg_uncertainty)
        offset = _with(s.offset, s.offset_uncertainty)
        table.add_row(s.student, s.of, s.stage or "–", f"{s.at:g}", offset, angle)
    return table


def _with(value: float, uncertainty: float) -> str:
    sign = "+" if value > 0 else ""
    return f"{sign}{_beside(value, uncertainty)} ± {_beside(uncertainty, uncertainty)}"


def _changes(found: Fits) -> Table:
    table = _table("Before and after setting, mm, drive side +")
    for name in ("student", "part", "at", "before", "after", "change", ""):
        table.add_column(name, justify="right" if name in ("at", "before", "after") else "left")
    for c in found.changes:
        before, after = _beside(c.before, c.uncertainty), _beside(c.after, c.uncertainty)
        change = _with(c.after - c.before, c.uncertainty)
        table.add_row(c.student, c.of, f"{c.at:g}", before, after, change, c.verdict)
    return table
