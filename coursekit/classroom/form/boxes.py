"""The boxes of a sheet's pages, and what was typed into them, without anything of the network."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.orders import label
from coursekit.classroom.bench import bench_record
from coursekit.classroom.form.pages import Asked, Fields, FormClass, Sheet
from coursekit.classroom.intake import handwriting
from coursekit.classroom.paper import paper_answers
from coursekit.sheets.text import quantity, unit_sign


@dataclass(frozen=True)
class Box:
    """One box to type in: its name and label, what is in it, what is recorded, what is wrong.

    `kind` is number, signed (with a choice of + or − beside it), order, choice or long. Boxes with
    the same `why` are refused together.
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
    asked: Asked | None = None
    original: str = ""
    instrument: str = ""
    division: str = ""

    @property
    def asked_back(self) -> bool:
        """Whether something in it must be mended."""
        return any(box.error for box in self.boxes)


@dataclass
class Posted:
    """What was typed and sent: what can be recorded, and box name → why it is refused."""

    good: list[bench_record.Reading] = field(default_factory=list)
    answers: list[paper_answers.PaperAnswer] = field(default_factory=list)
    errors: dict[str, str] = field(default_factory=dict)


def bench_groups(
    view: FormClass, sheet: Sheet, fields: Fields, errors: Mapping[str, str]
) -> list[Group]:
    """Return the boxes of a sheet's bench record; only refused ones have something in them."""
    known = bench_record.latest(view.folder, sheet.exercise.slug, sheet.student.id)
    groups = []
    for line in sheet.exercise.bench:
        boxes = tuple(
            _reading_box(line, k, fields, errors, known.get((sheet.student.id, line.id, k)))
            for k in range(1, line.readings + 1)
        )
        group = Group(line.id, line.say, _line_hint(line), boxes)
        if group.asked_back:
            instrument, division = (fields.get(f"{k}.{line.id}", "") for k in ("i", "d"))
            group = replace(group, instrument=instrument, division=division)
        groups.append(group)
    return groups


def _line_hint(line: BenchLine) -> str:
    said = f"{line.instrument}, to {quantity(line.resolution, line.unit)}"
    if abs(line.low) < 1e9 and abs(line.high) < 1e9:
        said += f"; between {quantity(line.low, '')} and {quantity(line.high, line.unit)}"
    return said


def _reading_box(
    line: BenchLine,
    k: int,
    fields: Fields,
    errors: Mapping[str, str],
    last: bench_record.Reading | None,
) -> Box:
    name = f"r.{line.id}.{k}"
    error = errors.get(name, "")
    recorded = f"{quantity(last.value, last.unit)}, {_local(last.when)}" if last else ""
    label = f"Reading {k}, {unit_sign(line.unit)}"
    kind = "signed" if line.low < 0 else "number"
    box = Box(name, label, kind, recorded=recorded, why=name)
    return _asked_back(box, fields, error) if error else box


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


def read_bench(view: FormClass, sheet: Sheet, fields: Fields, post: str, source: str) -> Posted:
    """Return what was sent from the bench page; empty boxes are passed over."""
    posted = Posted()
    origin = _origin(fields, post, source)
    for line in sheet.exercise.bench:
        for k in range(1, line.readings + 1):
            name = f"r.{line.id}.{k}"
            if not (text := _signed(fields, name)):
                continue
            how = {
                "instrument": fields.get(f"i.{line.id}", ""),
                "resolution": fields.get(f"d.{line.id}", ""),
            }
            try:
                one = bench_record.checked(
                    view.folder, sheet.exercise, sheet.student.id, line.id, k, text, **how, **origin
                )
                posted.good.append(one)
            except ValueError as error:
                posted.errors[name] = str(error)
    return posted


def _origin(fields: Fields, post: str, source: str) -> dict[str, str]:
    return {"by": fields.get("by", "").strip()[:60], "source": source, "post": post}


def answer_groups(
    view: FormClass,
    sheet: Sheet,
    fields: Fields,
    errors: Mapping[str, str],
    *,
    with_text: bool = False,
) -> list[Group]:
    """Return the boxes of a sheet's questions, with what is recorded or was refused in them.

    Whoever has the worksheet in hand needs no text; a phone gets it, with the student's numbers.
    """
    asked = view.asked(sheet) if with_text else None
    stands = paper_answers.latest(view.folder, sheet.exercise.slug).get(sheet.student.id, {})
    groups = []
    for number, question in enumerate(sheet.exercise.graded, start=1):
        one = stands.get(question.id)
        parts = handwriting.entries(question, one.answer) if one else []
        boxes = [_answer_box(question, i, part) for i, part in enumerate(_padded(question, parts))]
        original = _joined(question, [f"-{b.value}" if b.minus else b.value for b in boxes])
        if error := errors.get(question.id, ""):
            boxes = [_asked_back(box, fields, error) for box in boxes]
        hint = f"in {unit_sign(question.unit)}" if question.unit else ""
        title = f"{number}. {question.title}"
        text = asked[number - 1] if asked else None
        groups.append(Group(question.id, title, hint, tuple(boxes), text, original))
    return groups


def _padded(question: Question, parts: list[str]) -> list[str]:
    return parts + [""] * (len(_labels(question)) - len(parts))


def _joined(question: Question, parts: list[str]) -> str:
    """Return the boxes of an answer as one text, or "" if all are empty."""
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


def read_answers(view: FormClass, sheet: Sheet, fields: Fields, post: str, source: str) -> Posted:
    """Return what was sent from the answers page, but only what differs from what it showed."""
    posted = Posted()
    origin = _origin(fields, post, source)
    for question in sheet.exercise.graded:
        names = [f"a.{question.id}.{i}" for i in range(len(_labels(question)))]
        if not any(name in fields for name in names):
            continue
        text = _joined(question, [_signed(fields, name) for name in names])
        if text == fields.get(f"o.{question.id}", "").replace("\r\n", "\n"):
            continue
        said = text or handwriting.NO_ANSWER
        try:
            one = paper_answers.checked(
                view.folder, sheet.exercise, sheet.student.id, question.id, said, **origin
            )
            posted.answers.append(one)
        except ValueError as error:
            posted.errors[question.id] = str(error)
    return posted
