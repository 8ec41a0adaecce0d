"""Builds the answer page of each student of a class, and writes it into the student's bundle."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from coursekit.classroom.bank import notebooks
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.lesson_headings import heading
from coursekit.classroom.handout import worksheets
from coursekit.classroom.handout.assignments import Assignment, page_name
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import Student, write_text
from coursekit.sheets import text, worksheet
from coursekit.sheets.drawing import Drawing

if TYPE_CHECKING:
    from markdown_it import MarkdownIt

LESSON = "read-the-lesson.html"  # as the zips call the way to the lesson
LARGEST = 300_000  # bytes of a page
_HERE = Path(__file__).parent
_SCRIPTS = ("numbers.js", "calculator.js", "keep.js", "answer_text.js", "page.js")
# what is a student's own stands between these two until it is known; no text of a lesson has them
_OPEN, _CLOSE = "\ue000", "\ue001"
_OWN = re.compile(f"{_OPEN}([^{_CLOSE}]*){_CLOSE}")


@dataclass(frozen=True)
class Box:
    """A box to type in: its name in the page, and what stands before and behind it."""

    id: str
    label: str
    unit: str


def make(
    work: Assignment, *, lesson: bool, progress: Callable[[str], None] | None = None
) -> list[Path]:
    """Write every student's page into their bundle; return the files, in the roster's order.

    `lesson` says whether the lesson's pages go out with it. A page that is there already is written
    only if its bytes change; one under a student's former id is taken away. Call
    `assignments.hand_out` first.
    """
    shared = Shared(work, lesson=lesson)
    made = []
    for student in work.folder.students:
        bundle = work.folder.bundle(student.id, work.slug)
        path = bundle / page_name(work.slug, student.id)
        write_text(path, shared.page(student))
        for other in bundle.glob(page_name(work.slug, "*")):
            if other != path:
                other.unlink()
        made.append(path)
        if progress:
            progress(student.id)
    return made


class Shared:
    """The page of one exercise for one class, with places for what is a student's own."""

    def __init__(self, work: Assignment, *, lesson: bool) -> None:
        self.work = work
        exercise = work.exercise
        sheet = worksheets.body(exercise)
        to_lesson = _to_lesson(work, there=lesson)
        self._page = _template().render(
            own=_own,
            slug=exercise.slug,
            title=exercise.title,
            intro=_html(exercise.intro_on_paper),
            marks=text.number(exercise.marks),
            cautions=exercise.cautions,
            numbers=[(q.say, _own(f"number {q.name}")) for q in exercise.quantities],
            templates=[t.say for t in exercise.templates],
            questions=[
                _question(work, q, task, to_lesson)
                for q, task in zip(exercise.graded, sheet.tasks, strict=True)
            ],
            bench=[
                _reading(line.id, b) for line, b in zip(exercise.bench, sheet.bench, strict=True)
            ],
            style=_style(),
            script=_script(),
            policy=policy(),
        )

    def page(self, student: Student) -> str:
        """Return the whole page of one student."""
        work = self.work
        drawn = work.drawn(student.id)
        note = notebooks.another_frame(drawn)
        copy = worksheets.copy(work.exercise, student.id, student.name, drawn.numbers, note)
        name = text.clean(student.name)
        own = {
            "student": escape(student.id),
            "name": escape(name),
            "who": escape(name if name == student.id else f"{name} ({student.id})"),
            "stamp": stamps.stamp(work.folder, student.id, work.slug)["check"],
            "note": f'<p class="note">{escape(note)}</p>' if note else "",
            "drawings": "".join(map(_figure, copy.drawings)),
        }
        own |= {f"number {n.name}": escape(text.quantity(n.value, n.unit)) for n in copy.numbers}
        return _OWN.sub(lambda place: own[place[1]], self._page)


def _own(what: str) -> str:
    return f"{_OPEN}{what}{_CLOSE}"


def _question(
    work: Assignment, question: Question, task: worksheet.SheetQuestion, to_lesson: str | None
) -> dict[str, Any]:
    """Return what the page shows of one question."""
    given = [work.exercise.quantity(name) for name in task.given]
    marks = f"{text.number(task.marks)} mark{'' if task.marks == 1 else 's'}"
    return {
        "id": question.id,
        "place": _place(question),
        "kind": task.kind,
        "title": task.title,
        "marks": marks,
        "asked": _html(task.text),
        "given": [(q.say, _own(f"number {q.name}")) for q in given],
        "boxes": boxes(question),
        "unit": question.unit,
        "bare": question.bare,
        "entries": task.entries,
        "options": question.options or {},
        "heading": heading(work.root, work.slug, question.read),
        "link": f"{to_lesson}#{question.read}" if to_lesson and question.read else "",
    }


def _place(question: Question) -> str:
    """Return the id of a question's part of the page, which no other part has."""
    return f"q-{question.id}"


def boxes(question: Question) -> list[Box]:
    """Return the boxes of a question that asks for numbers, in the order of the sheet."""
    unit = text.unit_word(question.unit)
    if question.kind == "number":
        labels = ["Value"]
    elif question.kind == "numbers":
        labels = list(question.entries)
    elif question.kind == "points":
        labels = [f"{entry}, {axis}" for entry in question.entries for axis in "xy"]
    else:
        labels = []
    return [Box(f"{_place(question)}.{n}", label, unit) for n, label in enumerate(labels, start=1)]


def _reading(id: str, line: worksheet.BenchLine) -> dict[str, Any]:
    unit = text.unit_word(line.unit)
    return {
        "id": id,
        "say": line.say,
        "with": f"{line.instrument}, to {text.quantity(line.resolution, line.unit)}",
        "unit": line.unit,
        "boxes": [
            Box(f"reading.{id}.{n}", f"Reading {n}", unit) for n in range(1, line.readings + 1)
        ],
    }


def _to_lesson(work: Assignment, *, there: bool) -> str | None:
    """Return where the lesson is, or None where nobody can know."""
    if there:
        return LESSON
    return f"{work.folder.book.rstrip('/')}/{work.slug}.html" if work.folder.book else None


def _figure(drawing: Drawing) -> str:
    """Return a student's drawing as a part of the page; it is read on white, dark scheme or not."""
    svg = drawing.svg.replace("<svg ", f'<svg role="img" aria-label="{escape(drawing.say)}" ', 1)
    return (
        f'<figure><div class="drawing" tabindex="0" role="group" aria-label="Drawing">{svg}</div>'
        f'<figcaption>{escape(drawing.say)}. Only to look at<span class="slide">; slide it '
        "sideways to see all of it</span>. To measure or draw, use your worksheet, printed at "
        f"100 % ({escape(drawing.scale)}).</figcaption></figure>"
    )


def _html(markdown: str) -> str:
    made: str = _parser().render(markdown)
    return made


@cache
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt

    parser = MarkdownIt("commonmark", {"html": False})
    return parser.disable(["image", "link", "autolink", "reference"])


@cache
def _template() -> Any:
    around = Environment(
        loader=FileSystemLoader(_HERE),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return around.get_template("page.html.j2")


@cache
def _style() -> str:
    return (_HERE / "page.css").read_text(encoding="utf-8")


@cache
def _script() -> str:
    return "\n".join((_HERE / name).read_text(encoding="utf-8") for name in _SCRIPTS)


@cache
def policy() -> str:
    """Return the page's Content-Security-Policy: its own style and script, and nothing else."""
    return (
        f"default-src 'none'; style-src {_hash(_style())}; script-src {_hash(_script())}; "
        "connect-src 'none'; base-uri 'none'; form-action 'none'"
    )


def _hash(content: str) -> str:
    return f"'sha256-{b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
