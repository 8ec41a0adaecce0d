"""The facts of the whole report as plain data: tables for a spreadsheet, and JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from math import isfinite
from typing import Any

from coursekit.classroom.bench.csv_cells import csv_text
from coursekit.classroom.report import overview, page_words
from coursekit.classroom.report.class_facts import Facts, LessonFacts, LineSpread
from coursekit.classroom.report.class_page import ClassPage
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


_BENCH = (
    "student",
    "lesson",
    "line",
    "what",
    "reading",
    "value",
    "unit",
    "expected",
    "mean minus expected",
    "outside",
)


def bench_rows(facts: Facts) -> Rows:
    """Return the bench readings that stand: a row for each reading.

    Where no number of the student's says what to expect, `expected` is the middle of the class.
    """
    rows = [list(_BENCH)]
    for lesson in facts.lessons:
        for spread in lesson.bench:
            line = spread.line
            for one in spread.measured.students:
                known = isfinite(one.off)
                said = [f"{v:.10g}" if known else "" for v in (one.value - one.off, one.off)]
                end = [line.unit, *said, "yes" if one.outside else ""]
                first = [facts.names[one.student], lesson.slug, line.id, line.say]
                rows += [
                    [*first, str(n), f"{v:.10g}", *end] for n, v in enumerate(one.values, start=1)
                ]
    return rows


def as_json(facts: Facts, page: ClassPage) -> str:
    """Return the facts of the whole report and of the class page as JSON."""
    found = {
        "class": facts.title,
        "made": facts.made.isoformat(timespec="seconds") + "Z",
        "students": [
            {"student": name}
            | ({"id": s} if facts.named else {})
            | {"share": _number(facts.share(s))}
            for s, name in facts.names.items()
        ],
        "page": _json_page(page),
        "lessons": [_json_lesson(facts, x) for x in facts.lessons],
    }
    return json.dumps(found, indent=1, ensure_ascii=False)


def _json_page(page: ClassPage) -> dict[str, Any]:
    """Return the parts of the class page; the students are called as in the whole report."""
    told = page_words.told(page)
    return {
        "owing": [asdict(one) | {"due": overview.said(one.due)} for one in page.owing],
        "waiting": [asdict(one) for one in page.waiting],
        "talk_over": [{key: getattr(talk, key) for key in _TALK} for talk in page.talk],
        "help": [asdict(one) for one in page.help],
        "look_again": [asdict(row) for row in told.bench],
    }


_TALK = ("lesson", "question", "slip", "students", "of", "hint", "minutes")


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
        "expected": {facts.names[m.student]: m.expected for m in spread.measured.students},
        "off": {facts.names[m.student]: _number(m.off) for m in spread.measured.students},
        "outside": [facts.names[m.student] for m in spread.measured.outside],
    }


def _number(value: float) -> float | None:
    return value if isfinite(value) else None
