"""The public half of an exercise: what a student may read.

`exercises/<slug>.md` is a Markdown file. Its head (YAML between two lines of `---`) names the
numbers that are drawn for each student, the templates and the bench record. An introduction
follows, and then each question under a heading `## question-id`: first lines of `name: value`, then
a blank line, then the text.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from coursekit.classroom.bank import lesson_names, own_frame
from coursekit.classroom.bank.bench_line import AuthoringError as AuthoringError
from coursekit.classroom.bank.bench_line import BenchLine, line
from coursekit.classroom.bank.lesson_names import slugs as slugs
from coursekit.classroom.bank.lesson_names import title as title
from coursekit.classroom.bank.question_text import FRAME, in_words, question
from coursekit.classroom.bank.questions import TAKEN_NAMES
from coursekit.classroom.bank.questions import Quantity as Quantity
from coursekit.classroom.bank.questions import Question as Question
from coursekit.classroom.bank.series import spread

_NAME = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
_HEADING = re.compile(r"^## +(\S+) *$", re.MULTILINE)


@dataclass(frozen=True)
class PaperTemplate:
    """A 1:1 wrap template of the worksheet: its caption, its quantities, and which joint it is."""

    say: str
    diameter: str
    into: str
    angle_deg: str
    offset: str | None = None
    joint: str | None = None


@dataclass(frozen=True)
class Exercise:
    """The public half of one lesson's exercise."""

    slug: str
    title: str
    intro: str
    quantities: tuple[Quantity, ...]
    questions: tuple[Question, ...]
    templates: tuple[PaperTemplate, ...] = ()
    bench: tuple[BenchLine, ...] = ()
    cautions: tuple[str, ...] = ()
    source: str = ""
    frames: str = ""  # the text of exercises/frames.toml, where a quantity comes from a frame

    @property
    def graded(self) -> tuple[Question, ...]:
        """The questions that carry marks, in order."""
        return tuple(q for q in self.questions if q.graded)

    @property
    def practice(self) -> tuple[Question, ...]:
        """The questions of the practice cards, in order."""
        return tuple(q for q in self.questions if not q.graded)

    @property
    def intro_on_paper(self) -> str:
        """The introduction with the words of quantities in place of their names."""
        return in_words(self.intro, {q.name: q.say for q in self.quantities})

    @property
    def marks(self) -> float:
        """Marks of the whole exercise."""
        return sum(q.marks for q in self.graded)

    def question(self, id: str) -> Question:
        """Return the question with this id; raises AuthoringError if there is none."""
        for q in self.questions:
            if q.id == id:
                return q
        raise AuthoringError(
            f"{self.source}: a question must exist before it is answered; got '{id}'. "
            f"The questions are {', '.join(q.id for q in self.questions)}."
        )

    def quantity(self, name: str) -> Quantity:
        """Return the quantity with this name; raises AuthoringError if there is none."""
        for q in self.quantities:
            if q.name == name:
                return q
        raise AuthoringError(
            f"{self.source}: a quantity must be listed under `numbers`; got '{name}'. "
            f"The quantities are {', '.join(q.name for q in self.quantities)}."
        )


def load(slug: str, root: Path) -> Exercise:
    """Return the public half of `slug` from `root/exercises/<slug>.md`.

    Raises AuthoringError, naming file and question, for every mistake that the text alone shows.
    """
    path = root / "exercises" / f"{slug}.md"
    if not path.is_file():
        raise lesson_names.unknown(slug, root)
    found = parse(path.read_text(encoding="utf-8"), slug)
    if not any(q.fact for q in found.quantities) and not any(q.finds for q in found.questions):
        return found
    framed = replace(found, frames=own_frame.kinds(root))
    _refuse_unknown_facts(framed)
    return framed


@lru_cache(maxsize=32)
def parse(text: str, slug: str) -> Exercise:
    """Return the Exercise that `text`, the whole of `exercises/<slug>.md`, describes."""
    source = f"exercises/{slug}.md"
    head, body = _split_head(text, source)
    pieces = _HEADING.split(body)
    quantities = tuple(
        _quantity(n, v, source)
        for n, v in spread(_mapping(head, "numbers", source), source).items()
    )
    names = {q.name: q.say for q in quantities}
    questions = tuple(
        question(id, block, names, source)
        for id, block in zip(pieces[1::2], pieces[2::2], strict=True)
    )
    _refuse_repeats([q.id for q in questions], source)
    templates = tuple(_template(t, set(names), source) for t in head.get("templates", ()))
    bench = tuple(line(b, source) for b in head.get("bench", ()))
    _refuse_repeats([b.id for b in bench], source, "bench line")
    return Exercise(
        slug=slug,
        title=str(head.get("title", slug)),
        intro=pieces[0].strip(),
        quantities=quantities,
        questions=questions,
        templates=templates,
        bench=bench,
        cautions=tuple(str(c) for c in head.get("cautions", ())),
        source=source,
    )


def _split_head(text: str, source: str) -> tuple[dict[str, Any], str]:
    parts = re.split(r"^---[ \t]*$", text, maxsplit=2, flags=re.MULTILINE)
    if len(parts) != 3 or parts[0].strip():
        raise AuthoringError(
            f"{source}: the file must begin with a head between two lines of ---; got none. Add it."
        )
    try:
        head = yaml.safe_load(parts[1]) or {}
    except yaml.YAMLError as error:
        raise AuthoringError(
            f"{source}: the head must be YAML; got {error}. Mend that line."
        ) from None
    if not isinstance(head, dict):
        raise AuthoringError(f"{source}: the head must be lines of `name: value`; got {head!r}.")
    return head, parts[2]


def _mapping(head: dict[str, Any], name: str, source: str) -> dict[str, Any]:
    value = head.get(name) or {}
    if not isinstance(value, dict):
        raise AuthoringError(
            f"{source}: `{name}` must be lines of `name: …`; got {value!r}. Indent them."
        )
    return value


def _quantity(name: str, spec: Any, source: str) -> Quantity:
    if not _NAME.fullmatch(str(name)):
        raise AuthoringError(
            f"{source}: a quantity's name must be small letters, digits and _; got '{name}'. "
            "Rename it."
        )
    if name in TAKEN_NAMES:
        raise AuthoringError(
            f"{source}: a quantity's name must not be a word of Python or of the notebook's first "
            f"cell; got '{name}'. Rename it."
        )
    if not isinstance(spec, dict) or not {"say", "unit"} <= spec.keys():
        raise AuthoringError(
            f"{source}: quantity '{name}' must have `say` and `unit`; got {spec!r}. Add them."
        )
    fact = _fact(name, spec, source)
    values = () if fact else _values(name, spec, source)
    practice = _values(name, spec["practice"], source) if "practice" in spec else ()
    if both := sorted(set(values) & set(practice)):
        raise AuthoringError(
            f"{source}: quantity '{name}' must have other values on the practice cards than in the "
            f"graded questions; got {', '.join(f'{v:g}' for v in both)} in both. Change `practice`."
        )
    return Quantity(name, str(spec["say"]), str(spec["unit"]), values, practice, fact)


def _fact(name: str, spec: dict[str, Any], source: str) -> str:
    """Return which number of the frame a quantity is; "" where it is none."""
    where = spec.get("from")
    if not isinstance(where, str):
        return ""
    if not where.startswith(FRAME):
        raise AuthoringError(
            f"{source}: quantity '{name}' must name a number of the frame, like `from: "
            f"{FRAME}down_tube.diameter`; got {where!r}. Mend it."
        )
    return where.removeprefix(FRAME)


def _refuse_unknown_facts(exercise: Exercise) -> None:
    """Refuse names that no number of the frames has which the course draws."""
    asked = [(f"quantity '{q.name}'", q.fact) for q in exercise.quantities if q.fact]
    asked += [(f"question '{q.id}'", q.finds) for q in exercise.questions if q.finds]
    known = own_frame.names(exercise.frames)
    for where, name in asked:
        if name not in known:
            near = difflib.get_close_matches(name, known, 1)
            cure = f"Did you mean {FRAME}{near[0]}?" if near else "Mend it."
            raise AuthoringError(
                f"{exercise.source}, {where}: a number of the frame must be one that frames have; "
                f"got {FRAME + name!r}. {cure}"
            )


def _values(name: str, spec: dict[str, Any] | list[Any], source: str) -> tuple[float, ...]:
    try:
        if isinstance(spec, list) or "from" in spec:
            listed = spec if isinstance(spec, list) else spec["from"]
            values = tuple(float(v) for v in listed)
        else:
            low, high, step = (Decimal(str(spec[k])) for k in ("low", "high", "step"))
            values = tuple(float(low + i * step) for i in range(int((high - low) / step) + 1))
    except (KeyError, TypeError, ValueError, ArithmeticError):
        values = ()
    if not values or len(set(values)) != len(values):
        raise AuthoringError(
            f"{source}: quantity '{name}' must have `from: [a, b, …]` or `low`, `high` and `step`, "
            f"no value twice; got {spec!r}. Mend its range."
        )
    return values


def _refuse_repeats(ids: list[str], source: str, what: str = "question") -> None:
    if repeated := sorted({i for i in ids if ids.count(i) > 1}):
        raise AuthoringError(
            f"{source}, {what} '{repeated[0]}': an id must be used once; got it twice. Rename one."
        )


def _template(spec: Any, names: set[str], source: str) -> PaperTemplate:
    keys = {"say", "diameter", "into", "angle_deg"}
    if not isinstance(spec, dict) or not keys <= spec.keys() <= keys | {"offset", "joint"}:
        raise AuthoringError(
            f"{source}: a template must have say, diameter, into, angle_deg (and may have offset "
            f"and joint); got {spec!r}. Mend it."
        )
    words = {"say", "joint"}
    if unknown := [str(v) for k, v in spec.items() if k not in words and v not in names]:
        raise AuthoringError(
            f"{source}: a template must be drawn from quantities of the head; got "
            f"{', '.join(unknown)}. They are {', '.join(sorted(names))}."
        )
    return PaperTemplate(**spec)
