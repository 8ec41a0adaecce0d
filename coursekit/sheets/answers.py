"""The instructor's answer key: right answers, the values of the slips, worked solutions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from coursekit.sheets import page, text


@dataclass(frozen=True)
class Hint:
    """A slip of a question, by name, and the hint that names it."""

    slip: str
    hint: str


@dataclass(frozen=True)
class Row:
    """A question as the key shows it to every student's copy: title, marks, unit, slips."""

    title: str
    marks: float
    unit: str
    allowance: str
    after: str
    hints: tuple[Hint, ...]


@dataclass(frozen=True)
class Result:
    """The right answer of one question for one student, its slips' values, its worked solution."""

    right: str
    slips: tuple[str, ...]
    worked: str


@dataclass(frozen=True)
class KeyCopy:
    """One student's part of the key; `results` stand in the order of the rows."""

    student: str
    name: str
    numbers: tuple[tuple[str, float, str], ...]
    results: tuple[Result, ...]


def pdf(
    title: str,
    rows: Sequence[Row],
    copies: Sequence[KeyCopy],
    notes: str = "",
    paper: page.Paper = "a4",
    worked_out: bool = False,
) -> bytes:
    """Return the key as a PDF, each page under a banner that says whom it is for.

    It is the class at a glance, students by questions, on a sheet. `worked_out` it is the long
    form: the slips with their hints and the notes, then every student with every solution.
    """
    width, height = page.size(paper)
    return page.pdf(
        "answers.typ",
        {
            "width": height,
            "height": width,
            "margin": page.MARGIN,
            "title": title,
            "worked_out": worked_out,
            "notes": text.pieces(notes),
            "rows": [
                asdict(r) | {"unit": text.unit_sign(r.unit), "marks": text.number(r.marks)}
                for r in rows
            ],
            "copies": [_copy(c) for c in copies],
        },
    )


def _copy(copy: KeyCopy) -> dict[str, object]:
    return {
        "student": text.clean(copy.student),
        "name": text.clean(copy.name),
        "numbers": [
            {"name": name, "value": text.quantity(value, unit)}
            for name, value, unit in copy.numbers
        ],
        "results": [asdict(r) | {"worked": text.pieces(r.worked)} for r in copy.results],
    }
