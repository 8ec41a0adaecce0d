"""What every lesson's exercise must have: its public and private half, its paper and its tests.

Each rule yields in words what it finds wrong.
"""

from __future__ import annotations

import importlib.util
import re
from collections.abc import Iterator

from coursekit.book import practice
from coursekit.book.lesson import Lesson
from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.exercises import AuthoringError, Question
from coursekit.classroom.marking import idle
from coursekit.sheets import drawing


def _exercise(lesson: Lesson) -> Iterator[str]:
    marked = [q for q in lesson.exercise.graded if q.kind != "written"]
    wanted: tuple[tuple[str, bool], ...] = (
        ("six marked questions or more", len(marked) >= 6),
        ("a question to reflect on (kind: written)", len(marked) < len(lesson.exercise.graded)),
        (
            "a chain, one answer built on an earlier one",
            any(q.method_marks is not None for q in marked),
        ),
        ("a choice or an order", any(q.kind in ("choice", "order") for q in marked)),
        ("a piece of Python to complete", any("None" in q.scaffold for q in marked)),
        ("six practice questions or more", len(lesson.exercise.practice) >= 6),
    )
    for what, there in wanted:
        if not there:
            yield f"the exercise must have {what}; it has not. Add it to {lesson.exercise.source}."
    for question in lesson.exercise.graded:
        yield from _question(lesson, question)


_OF_THE_NOTEBOOK = re.compile(r"\b(Python|program|notebook|cell|variable|code)\b", re.IGNORECASE)


def _question(lesson: Lesson, question: Question) -> Iterator[str]:
    if question.read not in lesson.page.anchors:
        yield (
            f"question '{question.id}': `read:` must be the anchor of a heading of the page; got "
            f"'{question.read}'. Take the heading that explains it."
        )
    if word := _OF_THE_NOTEBOOK.search(question.on_paper):
        yield (
            f"question '{question.id}': on paper and on the answer page it must not speak of the "
            f"notebook; got '{word[0]}'. Put that paragraph between ```notebook and ```."
        )
    slips = len(lesson.key.slips.get(question.id, ()))
    if question.kind != "written" and slips < 2:
        yield (
            f"question '{question.id}': it must name two slips or more; got {slips}. Add what "
            "students do."
        )


FEW = 6  # students that a check looks at; `lesson check --idle` looks at twenty


def _idle(lesson: Lesson) -> Iterator[str]:
    for sheet, words in idle.too_much(idle.table(lesson.exercise, lesson.key, FEW)):
        yield (
            f"a sheet without work must earn at most {words} for '{sheet.sheet}'. Change the "
            "options, the printed order, the measure or the marks of what it earns."
        )


def _cards(lesson: Lesson) -> Iterator[str]:
    if not [b for b in lesson.page.of("practice") if b.argument == lesson.slug]:
        yield (
            "a page must show its practice cards; got none. Add ```{practice}``` with the "
            "lesson's name."
        )
    try:
        practice.cards(lesson.slug, lesson.root)
    except AuthoringError as error:
        yield str(error)


def _private(lesson: Lesson) -> Iterator[str]:
    notes = lesson.key.notes
    for what, words in (
        ("what students get wrong", "goes wrong"),
        ("what to show at the bench", "bench"),
        ("the timing of three hours", "three hours"),
    ):
        if words not in notes:
            yield (
                f"the notes for the instructor must say {what}; '{words}' not found in "
                f"solutions/{lesson.slug}.md."
            )
    for question in lesson.exercise.graded:
        worked = lesson.key.worked.get(question.id, "")
        if question.kind == "written" and "mark" not in worked:
            yield (
                f"question '{question.id}': a reflective question must say what earns its marks. "
                "Write it in the worked solution."
            )
        elif (
            question.kind not in ("written", "choice")
            and "{answer}" not in worked
            and "`" not in worked
        ):
            yield (
                f"question '{question.id}': the worked solution must end in {{answer}}; it does "
                "not."
            )


# Paper


def _paper(lesson: Lesson) -> Iterator[str]:
    if not lesson.exercise.bench:
        yield "the worksheet must have a bench record; got none. Add `bench:` to the exercise."
    for reading in lesson.exercise.bench:
        if not (reading.instrument and reading.resolution > 0 and reading.readings >= 2):
            yield (
                f"bench record '{reading.id}': it must name instrument and resolution and take "
                "two readings."
            )
    numbers = own_numbers.draw(lesson.exercise, lesson.key, b"lesson rules", "bench-01")
    try:
        drawn = drawing.of_lesson(lesson.slug, numbers)
    except Exception as error:
        yield (
            "the worksheet's drawing must take every student's numbers; got "
            f"{type(error).__name__}: {error}."
        )
        return
    if not drawn and not lesson.exercise.templates:
        yield (
            "the worksheet must show the student's own case; got neither drawing nor template. "
            f"Write coursekit/sheets/drawings/{lesson.slug.replace('-', '_')}.py."
        )
    if any(not d.scale for d in drawn):
        yield "the worksheet's drawing must say its scale; got none."


def _tests(lesson: Lesson) -> Iterator[str]:
    folder = lesson.root / "tests" / "lessons"
    name = f"test_{lesson.slug.replace('-', '_')}.py"
    if folder.is_dir() and not (folder / name).is_file():
        yield f"a lesson must have tests of its own; got no tests/lessons/{name}. Write it."
    figures = f"coursekit.figures.{lesson.slug.replace('-', '_')}"
    if importlib.util.find_spec(figures) is None:
        yield (
            f"a lesson's figures must be a module of their own; got no {figures}. Move them there."
        )


RULES = (_exercise, _idle, _cards, _private, _paper, _tests)
