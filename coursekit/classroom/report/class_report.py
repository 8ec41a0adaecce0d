"""A class's report: a page, a PDF, and tables for a spreadsheet, all from the same facts."""

from __future__ import annotations

from functools import cache
from math import isfinite
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup

from coursekit.classroom.register.class_folder import write_bytes
from coursekit.classroom.report import bench_sentences, plots, report_data
from coursekit.classroom.report.class_facts import (
    Facts,
    LessonFacts,
    LineSpread,
    Talk,
    per_cent,
    shown,
)
from coursekit.classroom.report.item_analysis import Item
from coursekit.classroom.report.overview import LessonState
from coursekit.sheets import page

LEGEND = (
    "Numbers are marks, the late penalty taken off. “owed”: overdue; “in”: handed in, not marked; "
    "“?” after marks: a part waits for you; “late”: came after the due time; –: nothing is there."
)


def write(
    facts: Facts, folder: Path, paper: page.Paper = "a4", *, names: bool = True
) -> list[Path]:
    """Write a report to `folder` and return its files: page, PDF and three tables as CSV."""
    made = {
        "report.html": html(facts, names=names).encode(),
        "report.pdf": pdf(facts, paper, names=names),
        "marks.csv": report_data.table_text(report_data.marks_rows(facts)),
        "questions.csv": report_data.table_text(report_data.question_rows(facts)),
        "bench.csv": report_data.table_text(report_data.bench_rows(facts)),
    }
    for name, data in made.items():
        write_bytes(folder / name, data)
    return [folder / name for name in made]


def html(facts: Facts, *, names: bool = True) -> str:
    """Return the report as one HTML page that needs no other file."""
    return _template().render(
        facts=facts,
        names=names,
        rows=_student_rows(facts),
        legend=LEGEND,
        trust=trust,
        spread_words=spread_words,
        together=lambda lesson: bench_sentences.sentences(lesson.fits, facts.names),
        show_at_bench=_show_at_bench(facts),
        plot=lambda spread: Markup(plots.readings(spread, facts.names)),
    )


@cache
def _template() -> jinja2.Template:
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    env.filters.update(marks=lambda v: f"{v:g}", per_cent=per_cent, number=lambda v: shown(v, 2))
    return env.get_template("report.html.j2")


def _student_rows(facts: Facts) -> list[dict[str, Any]]:
    """Return a row for each student: name, standing in each lesson, share, progress."""
    return [
        {
            "name": name,
            "cells": [_cell(lesson.place, student) for lesson in facts.lessons],
            "share": per_cent(facts.share(student)),
            "progress": Markup(plots.progress(facts, student)),
        }
        for student, name in facts.names.items()
    ]


def _show_at_bench(facts: Facts) -> str:
    marked = [lesson for lesson in facts.lessons if lesson.marks]
    return marked[-1].show_at_bench if marked else ""


def _cell(lesson: LessonState, student: str) -> str:
    """Return in short how a student stands in a lesson."""
    place = lesson.students[student]
    if place.marks is not None:
        return f"{place.marks:.3g}{'?' if place.waits else ''}{' late' if place.late else ''}"
    return "in" if place.taken_in else "owed" if place.overdue else "–"


def trust(lesson: LessonFacts) -> str:
    """Return in a sentence how far the sum of marks can be trusted."""
    found = lesson.analysis.alpha
    if not isfinite(found.value):
        return "Too little is marked to say how far the sum of marks can be trusted."
    return (
        f"Cronbach's alpha of the sum of marks is {found.value:.2f} (between {found.low:.2f} and "
        f"{found.high:.2f} with {100 * found.level:g} % certainty; above 0.8 is good)."
    )


def spread_words(spread: LineSpread) -> str:
    """Return in a sentence or two how well the class read one line of the bench record."""
    count = sum(len(v) for v in spread.values.values())
    unit = spread.line.unit
    said = f"{count} readings of {len(spread.values)} students, {spread.line.instrument}."
    if not isfinite(spread.repeat):
        return f"{said} Nobody read twice, so nothing can be said of how well a reading repeats."
    return (
        f"{said} One student's readings repeat to {shown(spread.repeat, 2)} {unit} (standard "
        f"deviation, {spread.freedom} degrees of freedom), {shown(spread.divisions, 2)} divisions "
        f"of {spread.line.resolution:g} {unit}. Students differ because their frames do."
    )


def pdf(facts: Facts, paper: page.Paper = "a4", *, names: bool = True) -> bytes:
    """Return the report as a PDF."""
    width, height = page.size(paper)
    return page.pdf(
        "report.typ",
        {
            "width": width,
            "height": height,
            "title": facts.title,
            "made": f"{facts.made:%Y-%m-%d %H:%M} UTC",
            "count": len(facts.names),
            "named": names,
            "talk": [_pdf_talk(t) for t in facts.talk],
            "about": facts.talk[0].lesson if facts.talk else "",
            "bench": _show_at_bench(facts),
            "legend": LEGEND,
            "heads": [{"title": x.title, "of": f"of {x.out_of:g}"} for x in facts.lessons],
            "means": [per_cent(x.mean_share) for x in facts.lessons],
            "rows": _student_rows(facts),
            "lessons": [_pdf_lesson(facts, x) for x in facts.lessons],
        },
    )


def _pdf_talk(talk: Talk) -> dict[str, str]:
    read = f" In the lesson: {talk.read}." if talk.read else ""
    return {
        "head": f"{talk.question}, {talk.minutes:g} min",
        "text": f"{talk.count} made the slip “{talk.slip}”. {talk.hint}{read}",
    }


def _pdf_lesson(facts: Facts, lesson: LessonFacts) -> dict[str, Any]:
    titles = lesson.analysis.titles
    return {
        "title": lesson.title,
        "said": f"{len(lesson.marks)} of {len(facts.names)} marked. {trust(lesson)}",
        "items": [_pdf_item(item) for item in lesson.analysis.items],
        "needs": [
            f"{facts.names[n.student]}: {per_cent(n.share)} of the marks; {n.words(titles)}"
            for n in lesson.analysis.needs
            if n.student in facts.names
        ],
        "together": list(bench_sentences.sentences(lesson.fits, facts.names)),
        "bench": [
            {"say": s.line.say, "said": spread_words(s), "plot": plots.readings(s, facts.names)}
            for s in lesson.bench
        ],
    }


def _pdf_item(item: Item) -> list[str]:
    slips = "; ".join(f"{s.students} × {s.name}" for s in item.slips)
    numbers = (f"{item.out_of:g}", per_cent(item.difficulty), shown(item.discrimination, 2))
    return [item.title, *numbers, str(item.blank), slips]
