"""The whole report: marks, questions, and every reading as measured minus expected.

It is a page, a PDF, and tables for a spreadsheet, all from the same facts. Lessons and bench lines
are numbered, and the tables have the numbers in their heads, because titles side by side would
print over each other.
"""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import Any

from coursekit.classroom.register import dates
from coursekit.classroom.register.class_folder import write_bytes
from coursekit.classroom.report import bench_sentences, page_words, report_data
from coursekit.classroom.report.class_facts import Facts, LessonFacts, LineSpread, per_cent, shown
from coursekit.classroom.report.class_report import template
from coursekit.classroom.report.item_analysis import Item
from coursekit.classroom.report.overview import LessonState
from coursekit.classroom.report.page_words import off_by, to_division
from coursekit.sheets import page
from coursekit.sheets.text import quantity, unit_after

LEGEND = (
    "Numbers are per cent of the marks, the late penalty taken off. “!”: overdue; “in”: handed in, "
    "not marked; “?”: a part waits for you; “'”: came after the due time; –: nothing is there."
)
BENCH_LEGEND = (
    "Each reading is the mean of a student's readings minus what this student's own numbers say, "
    "or, at a line marked *, minus the middle of the class. Bold: outside. Middle and spread are "
    "the class's; “again” is the standard deviation when one student reads the same thing again."
)


def write(
    facts: Facts, folder: Path, paper: page.Paper = "a4", *, named: bool = True
) -> list[Path]:
    """Write the whole report to `folder` and return its files: page, PDF and three CSV tables."""
    made = {
        "whole-report.html": html(facts, named=named).encode(),
        "whole-report.pdf": pdf(facts, paper, named=named),
        "marks.csv": report_data.table_text(report_data.marks_rows(facts)),
        "questions.csv": report_data.table_text(report_data.question_rows(facts)),
        "bench.csv": report_data.table_text(report_data.bench_rows(facts)),
    }
    for name, data in made.items():
        write_bytes(folder / name, data)
    return [folder / name for name in made]


def html(facts: Facts, *, named: bool = True) -> str:
    """Return the whole report as one HTML page that needs no other file."""
    return template("whole.html.j2").render(**_shown(facts, named))


def pdf(facts: Facts, paper: page.Paper = "a4", *, named: bool = True) -> bytes:
    """Return the whole report as a PDF."""
    width, height = page.size(paper)
    return page.pdf("report_whole.typ", {"width": width, "height": height, **_shown(facts, named)})


def _shown(facts: Facts, named: bool) -> dict[str, Any]:
    """Return what page and PDF show, as texts."""
    students = page_words.counted(len(facts.names), "student")
    lessons = page_words.counted(len(facts.lessons), "lesson")
    return {
        "title": facts.title,
        "made": dates.day(facts.made),
        "about": f"{'For the instructor' if named else 'Without names'}. "
        f"{dates.day(facts.made)}; {students}, {lessons}.",
        "legend": LEGEND,
        "bench_legend": BENCH_LEGEND,
        "heads": [f"{n} {x.title} (of {x.out_of:g})" for n, x in enumerate(facts.lessons, start=1)],
        "rows": [
            {
                "name": name,
                "cells": [_cell(x.place, student) for x in facts.lessons],
                "share": per_cent(facts.share(student)),
            }
            for student, name in facts.names.items()
        ],
        "means": [per_cent(x.mean_share).removesuffix(" %") for x in facts.lessons],
        "lessons": [_lesson(facts, n, x) for n, x in enumerate(facts.lessons, start=1)],
    }


def _cell(lesson: LessonState, student: str) -> str:
    """Return in short how a student stands in a lesson."""
    place = lesson.students[student]
    late = "'" if place.late else ""
    if place.marks is not None:
        share = 100 * place.marks / lesson.out_of if lesson.out_of else 0.0
        return f"{share:.0f}{'?' if place.waits else ''}{late}"
    return f"in{late}" if place.taken_in else "!" if place.overdue else "–"


def _lesson(facts: Facts, number: int, lesson: LessonFacts) -> dict[str, Any]:
    titles = lesson.analysis.titles
    due = f"; due {dates.day(lesson.place.due)}" if lesson.place.due else ""
    return {
        "title": f"{number} {lesson.title}",
        "said": f"{len(lesson.marks)} of {len(facts.names)} marked{due}.",
        "questions": [_item(item) for item in lesson.analysis.items],
        "needs": [
            [facts.names[n.student], f"{per_cent(n.share)} of the marks; {n.words(titles)}"]
            for n in lesson.analysis.needs
            if n.student in facts.names
        ],
        "together": list(bench_sentences.sentences(lesson.fits, facts.names)),
        "lines": [_line(n, spread) for n, spread in enumerate(lesson.bench, start=1)],
        "readings": _readings(facts, lesson),
    }


def _item(item: Item) -> list[str]:
    slips = "; ".join(f"{s.students} × {s.name.replace('-', ' ')}" for s in item.slips)
    numbers = (f"{item.out_of:g}", per_cent(item.difficulty), shown(item.discrimination, 2))
    return [item.title, *numbers, str(item.blank), slips]


def _line(number: int, spread: LineSpread) -> list[str]:
    """Return a bench line: number, what and with what, and how the class lies."""
    line, found = spread.line, spread.measured
    size, unit = line.resolution / 10, line.unit
    middle = "–"
    if found.middle is not None and not found.from_class:
        middle = off_by(found.middle, line.resolution, unit)
    elif found.from_class and found.students:
        first = found.students[0]
        centre = to_division(first.value - first.off, line.resolution)
        middle = f"{centre}{unit_after(unit)}"
    scatter = [
        to_division(v, size) if v is not None and isfinite(v) else "–"
        for v in (found.spread, spread.repeat)
    ]
    what = f"{line.say}; {line.instrument}, {quantity(line.resolution, unit)}"
    return [f"{number}{'*' if found.from_class else ''}", what, middle, *scatter]


def _readings(facts: Facts, lesson: LessonFacts) -> list[dict[str, Any]]:
    """Return a row for each student who read anything: for each line what, and if it is outside."""
    rows = []
    for student, name in facts.names.items():
        found = [
            next((m for m in spread.measured.students if m.student == student), None)
            for spread in lesson.bench
        ]
        cells = [
            ["", False]
            if one is None
            else [off_by(one.off, spread.line.resolution, "").strip(), one.outside]
            if isfinite(one.off)
            else ["?", False]
            for one, spread in zip(found, lesson.bench, strict=True)
        ]
        if any(found):
            rows.append({"name": name, "cells": cells})
    return rows
