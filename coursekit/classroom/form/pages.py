"""The pages of the bench form, and what a post of one says. No network here."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from coursekit.classroom import bench, handout, paper_answers, worksheets
from coursekit.classroom.bank import Exercise, Question, slugs
from coursekit.classroom.bank import load as load_exercise
from coursekit.classroom.bench_lines import Reading as Line
from coursekit.classroom.classes import ClassFolder, Student
from coursekit.classroom.orders import label
from coursekit.sheets.code import read_code
from coursekit.sheets.text import quantity, unit_sign

HERE = Path(__file__).parent
_LONGEST_FIELD = 3000
Fields = Mapping[str, str]


@dataclass(frozen=True)
class Sheet:
    """The worksheet that a page belongs to; `notice` says where the paper and the class differ."""

    student: Student
    exercise: Exercise
    notice: str = ""


@dataclass(frozen=True)
class Box:
    """One box to type in: name, label, what is in it, what is recorded, and why it was asked back.

    `kind` is number, signed (with a sign beside it), order, choice or long; boxes with the same `why`
    are asked back together.
    """

    name: str
    label: str
    kind: str
    value: str = ""
    minus: bool = False
    recorded: str = ""
    error: str = ""
    options: tuple[tuple[str, str], ...] = ()
    why: str = ""


@dataclass(frozen=True)
class Group:
    """Boxes that belong together: a bench line, or a question."""

    id: str
    title: str
    hint: str
    boxes: tuple[Box, ...]
    original: str = ""
    instrument: str = ""
    division: str = ""

    @property
    def asked_back(self) -> bool:
        """Whether something in it must be mended."""
        return any(box.error for box in self.boxes)


@dataclass
class Posted:
    """What a post said: what can be recorded, and box name → why it is asked back."""

    good: list[bench.Reading] = field(default_factory=list)
    answers: list[paper_answers.Answer] = field(default_factory=list)
    errors: dict[str, str] = field(default_factory=dict)


@dataclass
class Desk:
    """The class and its course, as the form sees them."""

    folder: ClassFolder
    root: Path

    def __post_init__(self) -> None:
        self.exercise = cache(lambda slug: load_exercise(slug, self.root))
        self.work = cache(lambda slug: handout.assignment(self.folder, slug, self.root))

    def lessons(self) -> list[Exercise]:
        """Return the lessons that a sheet can be of."""
        return [self.exercise(slug) for slug in slugs(self.root)]

    def sheet(self, fields: Fields) -> Sheet:
        """Return the sheet that a typed code names, or a student and a lesson that were chosen.

        Raises ValueError, in words for whoever typed it.
        """
        if typed := fields.get("code", "").strip():
            return self._by_code(typed)
        student, slug = fields.get("student", ""), fields.get("lesson", "")
        if not (student and slug):
            raise ValueError(
                "A sheet must be named by the code in its foot, or by student and lesson; got neither. "
                "Type the code, or choose both."
            )
        if slug not in slugs(self.root):
            raise ValueError(f"A sheet must be of a lesson of the course; got '{slug[:40]}'.")
        return Sheet(self._student(student), self.exercise(slug))

    def _student(self, id: str) -> Student:
        for student in self.folder.students:
            if student.id == id:
                return student
        raise ValueError(f"A sheet must be of a student on the roster; got '{id[:40]}'.")

    def _by_code(self, typed: str) -> Sheet:
        code = read_code(_as_printed(typed))
        if code.slug not in slugs(self.root):
            raise ValueError(f"A sheet must be of a lesson of the course; got '{code.slug[:40]}'.")
        sheet = Sheet(self._student(code.student), self.exercise(code.slug))
        work = self.work(code.slug)
        now = worksheets.copy(
            work.exercise, sheet.student.id, sheet.student.name, work.numbers(sheet.student.id)
        ).code(worksheets.body(work.exercise))
        if now.version == code.version:
            return sheet
        return Sheet(
            sheet.student,
            sheet.exercise,
            f"This sheet was printed as version {code.version}; it would now be {now.version}. Numbers or "
            "words of the exercise have changed since. Compare the numbers on it before you type.",
        )


def _as_printed(typed: str) -> str:
    """Return a sheet's code as it is printed, whatever a phone's keyboard made of its letters."""
    parts = [part.strip() for part in typed.strip().split("/")]
    if len(parts) != 4:
        return typed
    student, slug, version, check = parts
    check = check.upper().translate(str.maketrans("OIL", "011"))
    return f"{student}/{slug.lower()}/{version.lower()}/{check}"


def bench_groups(
    desk: Desk, sheet: Sheet, fields: Fields, errors: Mapping[str, str]
) -> list[Group]:
    """Return the boxes of a sheet's bench record; only those asked back have something in them."""
    known = bench.latest(desk.folder, sheet.exercise.slug, sheet.student.id)
    groups = []
    for line in sheet.exercise.bench:
        boxes = tuple(
            _reading_box(line, k, fields, errors, known.get((sheet.student.id, line.id, k)))
            for k in range(1, line.readings + 1)
        )
        kept = any(b.error for b in boxes)
        groups.append(
            Group(
                line.id, line.say, _line_hint(line), boxes,
                instrument=fields.get(f"i.{line.id}", "") if kept else "",
                division=fields.get(f"d.{line.id}", "") if kept else "",
            )
        )  # fmt: skip
    return groups


def _line_hint(line: Line) -> str:
    said = f"{line.instrument}, to {quantity(line.resolution, line.unit)}"
    if abs(line.low) < 1e9 and abs(line.high) < 1e9:
        said += f"; between {quantity(line.low, '')} and {quantity(line.high, line.unit)}"
    return said


def _reading_box(
    line: Line, k: int, fields: Fields, errors: Mapping[str, str], last: bench.Reading | None
) -> Box:
    name = f"r.{line.id}.{k}"
    error = errors.get(name, "")
    recorded = f"{quantity(last.value, last.unit)}, {_local(last.when)}" if last else ""
    return Box(
        name, f"Reading {k}, {unit_sign(line.unit)}", "signed" if line.low < 0 else "number",
        value=fields.get(name, "") if error else "",
        minus=bool(error) and fields.get(f"s.{name}") == "-", recorded=recorded, error=error, why=name,
    )  # fmt: skip


def _local(when: str) -> str:
    """Return a time of the record as this computer's clock shows it, with the day if not today."""
    then = datetime.strptime(when, "%Y-%m-%dT%H:%M:%S%z").astimezone()
    today = then.date() == datetime.now(then.tzinfo).date()
    return f"{then:%H:%M}" if today else f"{then:%d %b %H:%M}"


def _signed(fields: Fields, name: str) -> str:
    """Return what stands in a box, with the sign that was chosen beside it."""
    text = fields.get(name, "").strip()
    minus = fields.get(f"s.{name}") == "-"
    return f"-{text}" if text and minus and text[0] not in "+-−–" else text


def read_bench(desk: Desk, sheet: Sheet, fields: Fields, post: str, source: str) -> Posted:
    """Return what a post of the bench page says; boxes without anything in them say nothing."""
    posted = Posted()
    for line in sheet.exercise.bench:
        for k in range(1, line.readings + 1):
            name = f"r.{line.id}.{k}"
            if not (text := _signed(fields, name)):
                continue
            try:
                posted.good.append(
                    bench.checked(
                        desk.folder, sheet.exercise, sheet.student.id, line.id, k, text,
                        instrument=fields.get(f"i.{line.id}", ""),
                        resolution=fields.get(f"d.{line.id}", ""),
                        by=fields.get("by", "").strip()[:60], source=source, post=post,
                    )
                )  # fmt: skip
            except ValueError as error:
                posted.errors[name] = str(error)
    return posted


def answer_groups(
    desk: Desk, sheet: Sheet, fields: Fields, errors: Mapping[str, str]
) -> list[Group]:
    """Return the boxes of a sheet's questions, with what is recorded, or asked back, in them."""
    stands = paper_answers.latest(desk.folder, sheet.exercise.slug).get(sheet.student.id, {})
    groups = []
    for number, question in enumerate(sheet.exercise.graded, start=1):
        one = stands.get(question.id)
        parts = paper_answers.entries(question, one.answer) if one else []
        boxes = [_answer_box(question, i, part) for i, part in enumerate(_padded(question, parts))]
        original = _joined(question, [f"-{b.value}" if b.minus else b.value for b in boxes])
        if error := errors.get(question.id, ""):
            boxes = [_asked_back(box, fields, error) for box in boxes]
        hint = f"in {unit_sign(question.unit)}" if question.unit else ""
        title = f"{number}. {question.title}"
        groups.append(Group(question.id, title, hint, tuple(boxes), original))
    return groups


def _padded(question: Question, parts: list[str]) -> list[str]:
    return parts + [""] * (len(_labels(question)) - len(parts))


def _joined(question: Question, parts: list[str]) -> str:
    """Return the boxes of an answer as one text, "" where all are empty."""
    if question.kind == "written":
        return parts[0].replace("\r\n", "\n").strip()
    return "; ".join(p.replace(";", ",").strip() for p in parts) if any(parts) else ""


def _labels(question: Question) -> list[str]:
    if question.kind == "points":
        return [f"{e}, {axis}" for e in question.entries for axis in ("x", "y")]
    if question.kind == "numbers":
        return list(question.entries)
    if question.kind == "order":
        return [f"Place {i}" for i in range(1, len(question.entries) + 1)]
    return [{"written": "In the student's words", "choice": "Ticked"}.get(question.kind, "Answer")]


_KINDS = {"choice": "choice", "order": "order", "written": "long"}


def _answer_box(question: Question, i: int, text: str) -> Box:
    kind = _KINDS.get(question.kind, "signed")
    minus = kind == "signed" and text[:1] in ("-", "−", "–") and len(text) > 1
    options = tuple((question.options or {}).items())
    if kind == "order":
        options = tuple((entry, entry) for entry in question.entries)
        text = next((e for e in question.entries if label(e) == label(text)), text)
    text = text.lstrip("-−– ") if minus else text
    name = f"a.{question.id}.{i}"
    words = _labels(question)[i]
    return Box(name, words, kind, text, minus, options=options, why=question.id)


def _asked_back(box: Box, fields: Fields, error: str) -> Box:
    minus = fields.get(f"s.{box.name}") == "-"
    return replace(box, value=fields.get(box.name, ""), minus=minus, error=error)


def read_answers(desk: Desk, sheet: Sheet, fields: Fields, post: str, source: str) -> Posted:
    """Return what a post of the answers page says: only what differs from what the page showed."""
    posted = Posted()
    for question in sheet.exercise.graded:
        names = [f"a.{question.id}.{i}" for i in range(len(_labels(question)))]
        if not any(name in fields for name in names):
            continue
        text = _joined(question, [_signed(fields, name) for name in names])
        if text == fields.get(f"o.{question.id}", "").replace("\r\n", "\n"):
            continue
        try:
            posted.answers.append(
                paper_answers.checked(
                    desk.folder, sheet.exercise, sheet.student.id, question.id,
                    text or paper_answers.NO_ANSWER, by=fields.get("by", "").strip()[:60],
                    source=source, post=post,
                )
            )  # fmt: skip
        except ValueError as error:
            posted.errors[question.id] = str(error)
    return posted


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(HERE / "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip


def render(name: str, **facts: object) -> str:
    """Return the page `name` as HTML; everything in it is text, never markup."""
    return _environment().get_template(f"{name}.html.j2").render(**facts)


@cache
def style() -> str:
    """Return the style sheet of all pages."""
    return (HERE / "form.css").read_text(encoding="utf-8")


def flat(arguments: Mapping[str, list[bytes]]) -> dict[str, str]:
    """Return the fields of a request: name → the last value, as text of bounded length."""
    found = {}
    for name, values in list(arguments.items())[:400]:
        text = values[-1].decode("utf-8", "replace") if values else ""
        found[re.sub(r"[^\w.\-]", "", name)[:120]] = text[:_LONGEST_FIELD]
    return found
