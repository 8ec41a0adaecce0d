"""A class's report: a page, a PDF, and tables for a spreadsheet, all from the same facts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from math import isfinite
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup

from coursekit.classroom.bench.csv_cells import csv_text
from coursekit.classroom.register.class_folder import write_bytes
from coursekit.classroom.report import bench_sentences, plots
from coursekit.classroom.report.class_facts import Facts, LessonFacts, LineSpread, per_cent, shown
from coursekit.classroom.report.overview import LessonState
from coursekit.sheets import page

LEGEND = (
    "Numbers are marks, the late penalty taken off. “owed”: overdue; “in”: handed in, not marked; “?” after "
    "marks: a part waits for you; “late”: came after the due time; –: nothing is there."
)


def write(
    facts: Facts, folder: Path, paper: page.Paper = "a4", *, names: bool = True
) -> list[Path]:
    """Return the files of a report, written to `folder`: page, PDF and three tables as CSV."""
    made = {
        "report.html": html(facts, names=names).encode(),
        "report.pdf": pdf(facts, paper, names=names),
        "marks.csv": table_text(marks_rows(facts)),
        "questions.csv": table_text(question_rows(facts)),
        "bench.csv": table_text(bench_rows(facts)),
    }
    for name, data in made.items():
        write_bytes(folder / name, data)
    return [folder / name for name in made]


def html(facts: Facts, *, names: bool = True) -> str:
    """Return the report as one page that needs nothing else."""
    return _template().render(
        facts=facts,
        names=names,
        rows=[
            {
                "name": facts.names[student],
                "cells": [_cell(lesson.place, student) for lesson in facts.lessons],
                "share": per_cent(facts.share(student)),
                "progress": Markup(plots.progress(facts, student)),
            }
            for student in facts.names
        ],
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


def _show_at_bench(facts: Facts) -> str:
    marked = [lesson for lesson in facts.lessons if lesson.marks]
    return marked[-1].show_at_bench if marked else ""


def _cell(lesson: LessonState, student: str) -> str:
    """Return a student's standing in a lesson, short."""
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
        f"{said} One student's readings repeat to {shown(spread.repeat, 2)} {unit} (standard deviation, "
        f"{spread.freedom} degrees of freedom), {shown(spread.divisions, 2)} divisions of {spread.line.resolution:g} "
        f"{unit}. Students differ because their frames do."
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
            "talk": [
                {"head": f"{t.question}, {t.minutes:g} min",
                 "text": f"{t.count} made the slip “{t.slip}”. {t.hint}"
                 + (f" In the lesson: {t.read}." if t.read else "")}
                for t in facts.talk
            ],
            "about": facts.talk[0].lesson if facts.talk else "",
            "bench": _show_at_bench(facts),
            "legend": LEGEND,
            "heads": [{"title": x.title, "of": f"of {x.out_of:g}"} for x in facts.lessons],
            "means": [per_cent(x.mean_share) for x in facts.lessons],
            "rows": [
                {
                    "name": name,
                    "cells": [_cell(x.place, student) for x in facts.lessons],
                    "share": per_cent(facts.share(student)),
                    "progress": plots.progress(facts, student),
                }
                for student, name in facts.names.items()
            ],
            "lessons": [_pdf_lesson(facts, x) for x in facts.lessons],
        },
    )  # fmt: skip


def _pdf_lesson(facts: Facts, lesson: LessonFacts) -> dict[str, Any]:
    return {
        "title": lesson.title,
        "said": f"{len(lesson.marks)} of {len(facts.names)} marked. {trust(lesson)}",
        "items": [
            [i.title, f"{i.out_of:g}", per_cent(i.difficulty), shown(i.discrimination, 2), str(i.blank),
             "; ".join(f"{s.students} × {s.name}" for s in i.slips)]
            for i in lesson.analysis.items
        ],
        "needs": [
            f"{facts.names[n.student]}: {per_cent(n.share)} of the marks; {n.words(lesson.analysis.titles)}"
            for n in lesson.analysis.needs
            if n.student in facts.names
        ],
        "together": list(bench_sentences.sentences(lesson.fits, facts.names)),
        "bench": [
            {"say": s.line.say, "said": spread_words(s), "plot": plots.readings(s, facts.names)}
            for s in lesson.bench
        ],
    }  # fmt: skip


Rows = Sequence[Sequence[str]]


def table_text(rows: Rows) -> bytes:
    """Return rows, the first the header, as CSV that a spreadsheet opens rightly and runs nothing of.

    The mark before it says UTF-8 to spreadsheets; what would be a formula has a ' before it.
    """
    return csv_text(rows[0], rows[1:]).encode("utf-8-sig")


def marks_rows(facts: Facts) -> Rows:
    """Return the class's marks: a row a student, two columns a lesson, the share of all in per cent."""
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


def question_rows(facts: Facts) -> Rows:
    """Return the item analysis: a row a question."""
    rows = [["lesson", "question", "marks", "marked", "mean share", "item-rest correlation", "blank",
             "slip 1", "made by", "slip 2", "made by", "slip 3", "made by"]]  # fmt: skip
    for lesson in facts.lessons:
        for i in lesson.analysis.items:
            numbers = [f"{v:.4g}" if isfinite(v) else "" for v in (i.difficulty, i.discrimination)]
            slips = [text for s in i.slips for text in (s.name, str(s.students))]
            row = [
                lesson.slug,
                i.title,
                f"{i.out_of:g}",
                str(i.marked),
                *numbers,
                str(i.blank),
                *slips,
            ]
            rows.append(row + [""] * (len(rows[0]) - len(row)))
    return rows


def bench_rows(facts: Facts) -> Rows:
    """Return the bench readings that stand: a row a reading."""
    rows = [["student", "lesson", "line", "what", "reading", "value", "unit"]]
    for lesson in facts.lessons:
        for spread in lesson.bench:
            for student, values in spread.values.items():
                for turn, value in enumerate(values, start=1):
                    rows.append([facts.names[student], lesson.slug, spread.line.id, spread.line.say,
                                 str(turn), f"{value:.10g}", spread.line.unit])  # fmt: skip
    return rows


def as_json(facts: Facts) -> str:
    """Return the report's facts as JSON."""
    found = {
        "class": facts.title,
        "made": facts.made.isoformat(timespec="seconds") + "Z",
        "students": [
            {"student": name, "share": _number(facts.share(s))} for s, name in facts.names.items()
        ],
        "talk_over": [
            {"lesson": t.lesson, "question": t.question, "slip": t.slip, "students": t.students,
             "of": t.of, "hint": t.hint, "minutes": t.minutes}
            for t in facts.talk
        ],
        "lessons": [_json_lesson(facts, x) for x in facts.lessons],
    }  # fmt: skip
    return json.dumps(found, indent=1, ensure_ascii=False)


def _json_lesson(facts: Facts, lesson: LessonFacts) -> dict[str, Any]:
    items = lesson.analysis.as_json()
    return {
        "exercise": lesson.slug,
        "out_of": lesson.out_of,
        "marks": {name: lesson.marks.get(s) for s, name in facts.names.items()},
        "alpha": items["alpha"],
        "questions": items["items"],
        "bench": [
            {"line": s.line.id, "unit": s.line.unit, "repeat": _number(s.repeat), "freedom": s.freedom,
             "values": {facts.names[k]: list(v) for k, v in s.values.items()}}
            for s in lesson.bench
        ],
    }  # fmt: skip


def _number(value: float) -> float | None:
    return value if isfinite(value) else None
