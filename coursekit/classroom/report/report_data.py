"""The facts of a report as plain data: tables for a spreadsheet, and JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import fields
from math import isfinite
from typing import Any

from coursekit.classroom.bench.csv_cells import csv_text
from coursekit.classroom.report.class_facts import Facts, LessonFacts, LineSpread, Talk
from coursekit.classroom.report.item_analysis import MOST_SLIPS, Item

Rows = Sequence[Sequence[str]]


def table_text(rows: Rows) -> bytes:
    """Return rows, the first of which is the header, as CSV that spreadsheets open correctly.

    A byte-order mark tells them that it is UTF-8, and what would be a formula has a ' before it.
    """
    return csv_text(rows[0], rows[1:]).encode("utf-8-sig")


def marks_rows(facts: Facts) -> Rows:
    """Return the class's marks: a row for each student, with two columns for each lesson."""
    header = ["student"]
    for lesson in facts.lessons:
        header += [f"{lesson.slug} (of {lesson.out_of:g})", f"{lesson.slug} state"]
    rows = [[*header, "share of what is marked, %"]]
    for student, name in facts.names.items():
        row = [name]
        for lesson in facts.lessons:
            place = lesson.place.students[student]
            late = ", late" if place.late else ""
            row += ["" if place.marks is None else f"{place.marks:.6g}", place.word + late]
        share = facts.share(student)
        rows.append([*row, f"{100 * share:.1f}" if isfinite(share) else ""])
    return rows


_QUESTION = (
    "lesson",
    "question",
    "marks",
    "marked",
    "mean share",
    "item-rest correlation",
    "blank",
)


def question_rows(facts: Facts) -> Rows:
    """Return the item analysis: a row for each question."""
    slips = [name for n in range(1, MOST_SLIPS + 1) for name in (f"slip {n}", "made by")]
    header = [*_QUESTION, *slips]
    rows = [[x.slug, *_item_cells(item)] for x in facts.lessons for item in x.analysis.items]
    return [header, *(row + [""] * (len(header) - len(row)) for row in rows)]


def _item_cells(item: Item) -> list[str]:
    shares = [f"{v:.4g}" if isfinite(v) else "" for v in (item.difficulty, item.discrimination)]
    slips = [text for s in item.slips for text in (s.name, str(s.students))]
    return [item.title, f"{item.out_of:g}", str(item.marked), *shares, str(item.blank), *slips]


def bench_rows(facts: Facts) -> Rows:
    """Return the bench readings that stand: a row for each reading."""
    rows = [["student", "lesson", "line", "what", "reading", "value", "unit"]]
    for lesson in facts.lessons:
        for spread in lesson.bench:
            line = spread.line
            rows += [
                [facts.names[s], lesson.slug, line.id, line.say, str(n), f"{v:.10g}", line.unit]
                for s, values in spread.values.items()
                for n, v in enumerate(values, start=1)
            ]
    return rows


def as_json(facts: Facts) -> str:
    """Return the report's facts as JSON."""
    found = {
        "class": facts.title,
        "made": facts.made.isoformat(timespec="seconds") + "Z",
        "students": [
            {"student": name, "share": _number(facts.share(s))} for s, name in facts.names.items()
        ],
        "talk_over": [{key: getattr(talk, key) for key in _TALK} for talk in facts.talk],
        "lessons": [_json_lesson(facts, x) for x in facts.lessons],
    }
    return json.dumps(found, indent=1, ensure_ascii=False)


_TALK = tuple(f.name for f in fields(Talk) if f.name != "read")


def _json_lesson(facts: Facts, lesson: LessonFacts) -> dict[str, Any]:
    items = lesson.analysis.as_json()
    return {
        "exercise": lesson.slug,
        "out_of": lesson.out_of,
        "marks": {name: lesson.marks.get(s) for s, name in facts.names.items()},
        "alpha": items["alpha"],
        "questions": items["items"],
        "bench": [_json_spread(facts, s) for s in lesson.bench],
    }


def _json_spread(facts: Facts, spread: LineSpread) -> dict[str, Any]:
    return {
        "line": spread.line.id,
        "unit": spread.line.unit,
        "repeat": _number(spread.repeat),
        "freedom": spread.freedom,
        "values": {facts.names[k]: list(v) for k, v in spread.values.items()},
    }


def _number(value: float) -> float | None:
    return value if isfinite(value) else None
