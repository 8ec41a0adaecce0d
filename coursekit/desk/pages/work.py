"""Work: all that is there of one student in one lesson, each thing with where it leads."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import floor, log10
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tornado.web import HTTPError

from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, Question
from coursekit.classroom.bank.expected import expected
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.bank.notebooks import NUMBERS_FILE, TEXT_STUB, grade_id
from coursekit.classroom.bench import bench_record
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.gradebook.reader import QuestionMarks, Standing
from coursekit.classroom.handout.assignments import page_name
from coursekit.classroom.intake import choosing
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.marking import marked_work
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.report import feedback, filled_in, safe_html
from coursekit.desk import intake_words, lesson_choice, opened, words
from coursekit.desk.page import DeskPage
from coursekit.desk.pages.photos import Photo, photos
from coursekit.sheets.text import quantity

_LONGEST = 6_000  # characters of an answer on the page; the feedback page and the file have all


@dataclass(frozen=True)
class Answer:
    """One question: what the student put down, as text, and what it earned, and why.

    `boxes` are labels ("" for none) and texts of answers that were typed into boxes, and `text` is
    what stands in a notebook's cell; `code` says that it is Python.
    """

    title: str
    boxes: tuple[tuple[str, str], ...]
    text: str
    code: bool
    value: str
    marks: str
    reason: str
    hint: str
    comment: str
    waits: bool


@dataclass(frozen=True)
class Version:
    """A version that was handed in; `mark` tells it from others when it is chosen."""

    number: int
    when: str
    source: str
    answers: str
    why: str
    counts: bool
    mark: str


@dataclass(frozen=True)
class Reading:
    """A bench line: what it is of, what was measured, what it should come to, the difference."""

    what: str
    measured: tuple[str, ...]
    expected: str
    off: str


@dataclass(frozen=True)
class Facts:
    """What the page shows of one student's work on one lesson.

    `stands` says in a sentence how it stands, and `trouble` why the files can't be read.
    """

    student: str
    who: str
    lesson: str
    title: str
    stands: str
    marks: str
    trouble: str
    repairs: tuple[str, ...]
    answers: tuple[Answer, ...]
    versions: tuple[Version, ...]
    readings: tuple[Reading, ...]
    numbers: tuple[tuple[str, str], ...]
    files: tuple[tuple[str, str], ...]
    photos: tuple[Photo, ...]

    @property
    def query(self) -> str:
        """What names this work in an address."""
        return urlencode({"student": self.student, "lesson": self.lesson})


def facts(view: FormClass, student: str, slug: str) -> Facts:
    """Return what there is of a student's work on a lesson; AuthoringError if it has a mistake."""
    folder, exercise = view.folder, view.exercise(slug)
    names = words.names(folder)
    whys: list[str] = []
    answers: tuple[Answer, ...] = ()
    held: Standing | None = None
    repairs: tuple[str, ...] = ()
    stands = "It cannot be read."
    with one_piece(whys.append):
        with read_only.reading(folder) as book:
            held = reader.standing(book, slug, student)
        marked = marked_work.recorded(folder, student, slug)
        work = Submission.read(folder, student, slug)
        there = bool(work.data) or any(_inside(folder.submitted(student, slug)))
        if there and work.trouble:
            whys.append(work.trouble)
        cells = work.notebook.cells if there and work.notebook else []
        marks = {m.question: m for m in marked.marks} if marked else {}
        repairs = marked.repairs if marked else ()
        answers = tuple(_answers(exercise, cells, marks, held)) if cells else ()
        newer = bool(marked) and marked_work.has_newer_work(folder, student, slug)
        stands = _stands(there, bool(marked), newer, held)
    numbers = _own_numbers(folder, exercise, student)
    return Facts(
        student,
        names[student],
        slug,
        str(exercise.title),
        stands,
        _total(held) if answers and held and held.questions else "",
        " ".join(dict.fromkeys(whys)),
        repairs,
        answers,
        tuple(_versions(view, student, slug)),
        tuple(_readings(view, exercise, student, numbers)),
        tuple(
            (q.say, quantity(numbers[q.name], q.unit))
            for q in exercise.quantities
            if q.name in numbers
        ),
        tuple(
            (said, name)
            for name, (said, path) in _files(folder, student, slug).items()
            if path.is_file()
        ),
        tuple(photos(folder, student, slug)),
    )


def _inside(place: Path) -> Iterable[Path]:
    return place.iterdir() if place.is_dir() else ()


def _stands(there: bool, marked: bool, newer: bool, held: Standing | None) -> str:
    """Return in a sentence how the work stands."""
    if not there:
        return "Nothing was handed in."
    when = f"Handed in on {words.when(held.came)}" if held and held.came else "Handed in"
    if not marked:
        return f"{when}, and not marked yet."
    if newer:
        return f"{when}. What stands here now is newer than the marks, so mark it again."
    waits = held and any(q.waits or q.sure is None for q in held.questions.values())
    return f"{when}, and marked.{' Something waits for you to read.' if waits else ''}"


def _total(held: Standing) -> str:
    out_of = sum(q.out_of for q in held.questions.values())
    late = f", {held.late_penalty:g} of it taken off for being late" if held.late_penalty else ""
    return f"{held.total:g} of {out_of:g}{late}"


def _answers(
    exercise: Exercise, cells: list[Any], marks: Mapping[str, Mark], held: Standing | None
) -> Iterable[Answer]:
    texts = {id: str(cell.source) for cell in cells if (id := grade_id(cell))}
    for question in exercise.graded:
        written = question.kind == "written"
        text = texts.get(question.id if written else f"{question.id}-answer", "")
        boxes = None if written else filled_in.lines(question, text)
        given = held.questions.get(question.id) if held else None
        mark = marks.get(question.id)
        yield Answer(
            question.title,
            boxes or (),
            "" if boxes is not None else _shown(question, text),
            not written,
            mark.given if mark else "",
            _earned(question, given),
            _reason(mark, given),
            mark.hint if mark and given and given.manual is None else "",
            _comment(held, question),
            bool(given and given.manual is None and (given.waits or given.sure is None)),
        )


def _shown(question: Question, text: str) -> str:
    said = text.removeprefix(TEXT_STUB).strip() if question.kind == "written" else text.strip()
    if question.scaffold and said == question.scaffold.strip():
        return ""
    return said if len(said) <= _LONGEST else f"{said[:_LONGEST]}\n… and more"


def _earned(question: Question, given: QuestionMarks | None) -> str:
    if given is None or given.sure is None:
        return f"of {question.marks:g}"
    return f"{given.marks:g} of {given.out_of:g}"


def _reason(mark: Mark | None, given: QuestionMarks | None) -> str:
    if given is None:
        return ""
    if given.manual is not None:
        return "Marked by you."
    if given.waits or given.sure is None:
        return "Waits for you to read it."
    return mark.reason if mark else ""


def _comment(held: Standing | None, question: Question) -> str:
    found = (held.comments if held else {}).items()
    said = [text for id, text in found if id.removesuffix("-answer") == question.id]
    return " ".join(text for text in said if text != "No response.")


def _versions(view: FormClass, student: str, slug: str) -> Iterable[Version]:
    titles, names = {slug: words.title(view, slug)}, words.names(view.folder)
    try:
        listed = choosing.versions(view.folder, student, slug)
    except ClassError:
        return  # none was taken in
    for one in reversed(listed):
        said = [f"copy {one.copy}, saved {one.saved}" if one.copy else "", one.by, one.why]
        why = intake_words.people("; ".join(filter(None, said)), titles, names)
        count = words.many(one.answers, "answer")
        when = words.when(one.came)
        source = safe_html.without_paths(one.source)
        yield Version(one.number, when, source, count, why, one.counts, f"{one.came} {one.source}")


def _own_numbers(folder: ClassFolder, exercise: Exercise, student: str) -> dict[str, float]:
    """Return the student's own numbers as they were handed out, none if they are on paper alone.

    To draw them again could take a minute, in which nobody would be served.
    """
    path = folder.bundle(student, exercise.slug) / NUMBERS_FILE
    with one_piece(lambda why: None):
        return {n: float(v) for n, v in json.loads(path.read_text("utf-8"))["numbers"].items()}
    return {}


def _readings(
    view: FormClass, exercise: Exercise, student: str, numbers: Mapping[str, float]
) -> Iterable[Reading]:
    wanted: Mapping[str, float] = {}
    with one_piece(
        lambda why: None
    ):  # a mistake in the key hides no reading; it is not proved here
        if numbers:
            wanted = expected(exercise, keys.load(exercise, view.root), numbers)
    known = bench_record.latest(view.folder, exercise.slug, student)
    for line in exercise.bench:
        some = [one for (_, id, _), one in sorted(known.items()) if id == line.id]
        if not some:
            continue
        values = tuple(quantity(one.value, one.unit) for one in some)
        wish = wanted.get(line.id)
        mean = sum(one.value for one in some) / len(some)
        off = "" if wish is None else _to(line, mean - wish)
        yield Reading(
            line.say,
            values,
            "" if wish is None else _to(line, wish),
            off if not off or off[0] in "-−0" else f"+{off}",
        )


def _to(line: BenchLine, value: float) -> str:
    """Return a value to the last digit that the line's instrument shows."""
    digits = max(0, -floor(log10(line.resolution))) if line.resolution > 0 else 3
    return quantity(round(value, digits) + 0.0, line.unit)


def _files(folder: ClassFolder, student: str, slug: str) -> dict[str, tuple[str, Path]]:
    """Return name → what a file is in words, and where it lies, for each that may be opened."""
    paper = {
        f"worksheet-{n}": (_printed(path, slug), path)
        for n, path in enumerate(paper_places.worksheets_of(folder, student, slug), start=1)
    }
    notebook = folder.submitted(student, slug) / f"{slug}.ipynb"
    return {
        "feedback": ("Feedback page", folder.feedback(student, slug) / f"{slug}.html"),
        **paper,
        "page": ("Answer page", folder.bundle(student, slug) / page_name(slug, student)),
        "notebook": ("Notebook that was handed in", notebook),
    }


def _printed(path: Path, slug: str) -> str:
    """Return what a worksheet is called: with its paper, if it was made for one."""
    how = path.parent.name
    return "Worksheet" if how == slug else f"Worksheet, {paper_places.in_words(how)}"


class Work(DeskPage):
    """The page itself."""

    def get(self) -> None:
        """Show the work, or ask whose."""
        student, slug = (self.fields.get(name, "") for name in ("student", "lesson"))
        view = self.desk.view
        names = words.names(self.desk.folder)
        lessons = lesson_choice.groups(view)
        chosen = {"student": student, "lesson": slug}
        if student in names and slug in exercises.slugs(view.root):
            try:
                found = facts(view, student, slug)
            except AuthoringError as error:
                self.show("told", head="The lesson has a mistake", why=str(error))
                return
            self.show("work", facts=found, names=names, lessons=lessons)
            return
        if student or slug:
            self.set_status(404)
        self.show("work", facts=None, names=names, lessons=lessons, chosen=chosen)


class Use(DeskPage):
    """Lets a version count."""

    def post(self) -> None:
        """Order it."""
        asked = ("student", "lesson", "number", "mark")
        said = {name: self.fields.get(name, "") for name in asked}
        if said["student"] not in words.names(self.desk.folder) or not said["number"].isdecimal():
            raise HTTPError(400)
        where = "/work?" + urlencode({n: said[n] for n in ("student", "lesson")})
        who = f"{self.name(said['student'])}, {self.title(said['lesson'])}"
        self.order("use_version", f"Letting version {said['number']} count: {who}", where, said)


_FEEDBACK_POLICY = (
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline' "
    "'self'; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "sandbox allow-scripts allow-popups"
)


_PDF_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"


class File(DeskPage):
    """One of the files that belong to the work."""

    async def get(self) -> None:
        """Show the feedback page where it can do nothing, or a PDF; let the rest be saved."""
        student, slug = (self.fields.get(name, "") for name in ("student", "lesson"))
        name = self.fields.get("name", "")
        known = student in words.names(self.desk.folder) and slug.replace("-", "").isalnum()
        found = _files(self.desk.folder, student, slug).get(name) if known else None
        data = await asyncio.to_thread(read_regular, found[1], LARGEST_NOTEBOOK) if found else None
        if found is None or data is None:
            raise HTTPError(404)
        path = found[1]
        if name == "feedback":
            self.set_header("Content-Type", "text/html; charset=utf-8")
            self.set_header("Content-Security-Policy", _FEEDBACK_POLICY)
            self.finish(data)
        elif path.suffix == ".pdf" and data.startswith(b"%PDF"):
            self.set_header("Content-Type", "application/pdf")
            self.set_header("Content-Security-Policy", _PDF_POLICY)
            self.set_header("Content-Disposition", "inline")
            self.finish(data)
        else:
            opened.send(self, path.name, data, save=True)


class MathJax(DeskPage):
    """The script that sets formulas on a feedback page; there is nothing of a class in it.

    The page has no rights, so it asks as a stranger would.
    """

    needs_session = False
    needs_class = False

    async def get(self) -> None:
        """Send it."""
        try:
            data = await asyncio.to_thread(feedback.mathjax_source().read_bytes)
        except (ClassError, OSError):
            raise HTTPError(404) from None
        self.set_header("Content-Type", "text/javascript; charset=utf-8")
        self.set_header("Cache-Control", "max-age=86400")
        self.set_header("Cross-Origin-Resource-Policy", "cross-origin")
        self.finish(data)
