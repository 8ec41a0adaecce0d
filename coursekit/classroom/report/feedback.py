"""Feedback: one page for each student, which loads nothing from outside and shows no kit code.

A page is made from the marked notebook, the record of its marks and the gradebook, so it also shows
marks and comments that a person has given since. nbgrader's own command makes the same page.
"""

from __future__ import annotations

import importlib.util
import json
import os
import re
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import jinja2
import nbformat
from markupsafe import Markup

from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.lesson_headings import heading
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.bank.notebooks import NUMBERS_FILE, OWN_NUMBERS, grade_id
from coursekit.classroom.gradebook import late_work
from coursekit.classroom.gradebook.nbgrader_settings import course_root
from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import QuestionMarks, Standing, standing
from coursekit.classroom.handout import worksheets
from coursekit.classroom.marking.marked_work import Marked, has_newer_work, recorded
from coursekit.classroom.register import class_exercise, names
from coursekit.classroom.register.class_folder import (
    RECORD,
    ClassError,
    ClassFolder,
    write_bytes,
    write_text,
)
from coursekit.classroom.register.one_piece import LEFT, one_piece
from coursekit.classroom.report import filled_in, made_from, safe_html
from coursekit.classroom.running.page_policy import sha256_source
from coursekit.sheets.text import quantity

Progress = Callable[[str, str], None]
MATHJAX = "tex-svg.js"
_MATHJAX_SET_UP = (
    'window.MathJax = { tex: { inlineMath: [["$", "$"], ["\\\\(", "\\\\)"]] }, options: '
    '{ enableMenu: false, ignoreHtmlClass: "plain", processHtmlClass: "maths" }, '
    'svg: { fontCache: "local" } };'
)


def give_feedback(
    folder: ClassFolder, slug: str, progress: Progress | None = None, root: Path | None = None
) -> list[Path]:
    """Make the feedback page of every student whose work on `slug` is marked; return the pages.

    A page is written only if it has changed. A student who has handed in newer work since gets none
    before that is marked, because the page would be about the older work. `root` is the course's
    folder; if it is not given, it is found from the class folder. A page that fails is left out,
    and `progress` is called with the reason.
    """
    exercise = class_exercise.load(folder, slug, root or course_root(folder))
    late_work.renew(folder, slug)  # a person may have given marks since
    pages = []
    for student in marked_students(folder, slug):
        whys: list[str] = []
        said = "unchanged"
        with one_piece(whys.append):
            refuse_older(folder, slug, student)
            path = folder.feedback(student, slug) / f"{slug}.html"
            text = page(folder, exercise, student, root)
            fresh = write_text(path, text)
            if has_maths(text):
                _put_mathjax(folder, path.with_name(MATHJAX))
            pages.append(path)
            said = "made" if fresh else "unchanged"
        if progress:
            progress(student, LEFT + whys[0] if whys else said)
    return pages


def refuse_older(folder: ClassFolder, slug: str, student: str) -> None:
    """Raise ClassError if newer work of a student on `slug` is there than was marked."""
    if has_newer_work(folder, student, slug):
        name = names.called(folder.students)[student]
        raise ClassError(
            f"Feedback must be about the newest work; {name} has handed in newer work that is not "
            f"marked. Mark first: `coursekit mark {slug}`."
        )


def marked_students(folder: ClassFolder, slug: str) -> list[str]:
    """Return the students whose work on `slug` is marked, in the roster's order."""
    return [s.id for s in folder.students if (folder.autograded(s.id, slug) / RECORD).is_file()]


def page(folder: ClassFolder, exercise: Exercise, student: str, root: Path | None = None) -> str:
    """Return the feedback page of one student as HTML.

    `root` is the course's folder; if it is not given, it is found from the class folder.
    Raises ClassError if the student's work is not marked.
    """
    path = folder.autograded(student, exercise.slug) / f"{exercise.slug}.ipynb"
    numbers = path.with_name(NUMBERS_FILE)
    one = recorded(folder, student, exercise.slug)
    with reading(folder) as book:
        facts = standing(book, exercise.slug, student)
    if one is None or facts is None or not (path.is_file() and numbers.is_file()):
        raise ClassError(
            f"{path}: work must be marked before feedback is made; {student}'s is not. Run "
            f"`coursekit mark {exercise.slug}` first."
        )
    cells = nbformat.read(path, as_version=4).cells
    sections = _sections(exercise, cells, one, facts)
    for section in sections:
        section["read"] = lesson(folder, exercise, section["question"], root or _course(folder))
    return _template().render(
        exercise=exercise,
        name=folder.student(student).name,
        student=student,
        title=folder.title,
        came=facts.came,
        facts=facts,
        out_of=sum(g.out_of for g in facts.questions.values()),
        waits=any(g.waits for g in facts.questions.values()),
        repairs=[safe_html.without_paths(r) for r in one.repairs],
        sections=sections,
        before=[safe_html.cell(c, folder_words(exercise)) for c in _before(cells, exercise)],
        numbers=_numbers(numbers, exercise),
        made_from=made_from.digest(facts, path.with_name(RECORD)),
        origin=filled_in.origin(cells),
        maths=any(safe_html.is_maths(c) for c in cells),
        mathjax=MATHJAX,
        set_up=Markup(_MATHJAX_SET_UP),
        set_up_digest=sha256_source(_MATHJAX_SET_UP),
    )


def folder_words(exercise: Exercise) -> frozenset[str]:
    """Return the ids of cells whose code is the kit's own and is not shown."""
    return frozenset({OWN_NUMBERS, *(q.id for q in exercise.graded if q.kind != "written")})


def _numbers(path: Path, exercise: Exercise) -> list[tuple[str, str, str]]:
    """Return the numbers that the work was marked by: what each is, its name, and its value."""
    numbers = json.loads(path.read_text(encoding="utf-8"))["numbers"]
    return [
        (q.say, q.name, quantity(numbers[q.name], q.unit))
        for q in exercise.quantities
        if q.name in numbers
    ]


def _before(cells: list[Any], exercise: Exercise) -> list[Any]:
    """Return the student's own cells that stand before the first question."""
    first = f"{exercise.graded[0].id}-text"
    own = []
    for cell in cells:
        if grade_id(cell) == first:
            break
        if grade_id(cell) is None and not filled_in.is_note(cell):
            own.append(cell)
    return own


def _sections(
    exercise: Exercise, cells: list[Any], one: Marked, facts: Standing
) -> list[dict[str, Any]]:
    """Return what the page shows of each question, in order."""
    filled = _filled(exercise, cells, one)
    marks = {m.question: m for m in one.marks}
    hidden = folder_words(exercise)
    return [
        {
            "question": question,
            "mark": marks.get(question.id),
            "given": facts.questions[question.id],
            "verdict": _verdict(marks.get(question.id), facts.questions[question.id]),
            "said": _said(marks.get(question.id), facts.questions[question.id]),
            "filled": filled.get(question.id),
            "cells": [
                safe_html.cell(c, hidden)
                for c in _cells_of(cells, exercise, question)
                if question.id not in filled or grade_id(c) is None
            ],
            "comments": [
                safe_html.markdown(text)
                for id, text in facts.comments.items()
                if id.removesuffix("-answer") == question.id and text != "No response."
            ],
        }
        for question in exercise.graded
        if question.id in facts.questions
    ]


def _filled(exercise: Exercise, cells: list[Any], one: Marked) -> dict[str, filled_in.Filled]:
    """Return question → what was filled in; nothing for a notebook that was written as one."""
    if not filled_in.origin(cells):
        return {}
    marks = {m.question: m for m in one.marks}
    tasks = worksheets.body(exercise).tasks
    found = {
        q.id: filled_in.filled(cells, q, task, marks.get(q.id))
        for q, task in zip(exercise.graded, tasks, strict=True)
    }
    return {id: one for id, one in found.items() if one}


def _cells_of(cells: list[Any], exercise: Exercise, question: Question) -> list[Any]:
    """Return the cells from a question's text up to the next question's."""
    starts = {f"{q.id}-text": q.id for q in exercise.graded}
    now, found = "", []
    for cell in cells:
        now = starts.get(grade_id(cell) or "", now)
        if now == question.id:
            found.append(cell)
    return found


_VERDICTS = {
    "right": "right",
    "carried": "right for your earlier value",
    "slip": "a usual slip",
    "unit": "wrong unit",
    "sign": "wrong sign",
    "part": "right in part",
    "filled-in": "filled in",
    "wrong": "not right",
    "unreadable": "can't be read",
    "blank": "blank",
    "stopped": "stopped",
    "to-read": "read by your instructor",
}


def _verdict(mark: Mark | None, given: QuestionMarks) -> str:
    """Return in a few words what came of a question."""
    if given.manual is not None:
        return "marked by your instructor"
    if given.waits:
        return "waits for your instructor"
    return _VERDICTS.get(mark.verdict, mark.verdict) if mark else ""


def _said(mark: Mark | None, given: QuestionMarks) -> str:
    """Return in a sentence what came of a question: the marker's reason, or who marks it."""
    if mark and given.manual is None and not given.waits:
        return safe_html.without_paths(mark.reason)
    words = _verdict(mark, given)
    return f"{words[:1].upper()}{words[1:]}."


def _course(folder: ClassFolder) -> Path | None:
    """Return the course of a class, or None where it is not at hand."""
    with suppress(ClassError):
        return course_root(folder)
    return None


def lesson(
    folder: ClassFolder, exercise: Exercise, question: Question, root: Path | None
) -> dict[str, str]:
    """Return the name of what to read again and, if the class knows the book's address, a link."""
    if not question.read:
        return {}
    link = f"{folder.book.rstrip('/')}/{exercise.slug}.html#{question.read}" if folder.book else ""
    return {"words": heading(root, exercise.slug, question.read), "link": link}


def has_maths(text: str) -> bool:
    """Whether a page asks for MathJax."""
    return f'src="{MATHJAX}"' in text


def mathjax_source() -> Path:
    """Return the path of MathJax, one file of the package `sphinx-mathjax-offline`."""
    spec = importlib.util.find_spec("sphinx-mathjax-offline")
    places = list(spec.submodule_search_locations or ()) if spec else []
    path = Path(places[0]) / "static" / "mathjax" / MATHJAX if places else Path(MATHJAX)
    if not path.is_file():
        raise ClassError(
            "Pages with formulas must have MathJax at home; got no package "
            "sphinx-mathjax-offline. Run `uv sync`."
        )
    return path


def _put_mathjax(folder: ClassFolder, path: Path) -> None:
    """Put MathJax beside a page, as a link to one shared file if the disk has hard links."""
    source, shared = mathjax_source(), folder.made / MATHJAX
    if path.is_file() and path.stat().st_size == source.stat().st_size:
        return
    write_bytes(shared, source.read_bytes())
    path.unlink(missing_ok=True)
    try:
        os.link(shared, path)
    except OSError:
        write_bytes(path, source.read_bytes())


@cache
def _template() -> jinja2.Template:
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    env.filters["marks"] = lambda value: re.sub(r"\.?0+$", "", f"{value:.2f}")
    return env.get_template("feedback.html.j2")
