"""The public half of an exercise: what a student may read.

`exercises/<slug>.md` is a Markdown file. Its head (YAML between two lines of `---`) names the
numbers that are drawn for each student, the templates and the bench record. After it come an
introduction and one `## question-id` a question: lines of `name: value`, a blank line, the text.
"""

from __future__ import annotations

import builtins
import keyword
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal, cast, get_args

import yaml

from coursekit.classroom.bank.bench_line import AuthoringError as AuthoringError
from coursekit.classroom.bank.bench_line import BenchLine, line
from coursekit.classroom.bank.orders import label

Kind = Literal["number", "numbers", "points", "order", "choice", "written"]

_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_NAME = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
_HEADING = re.compile(r"^## +(\S+) *$", re.MULTILINE)
# what Python or the notebook's own first cell needs; no variable may be called so
_TAKEN = {
    *keyword.kwlist, *dir(builtins), "json", "file", "sheet", "given",
    "atan", "cos", "degrees", "pi", "radians", "sin", "sqrt", "tan",
}  # fmt: skip


@dataclass(frozen=True)
class Quantity:
    """A number that every student gets of their own: its name, words, unit and possible values.

    `practice` are the values of the practice cards, none of them among `values`, so that no card
    shows a student the answer to a graded question.
    """

    name: str
    say: str
    unit: str
    values: tuple[float, ...]
    practice: tuple[float, ...] = ()


@dataclass(frozen=True)
class Question:
    """One question as a student reads it.

    `tolerance` is absolute, in `unit`; with `relative` true it is a fraction of the answer; of points
    it is a distance. `digit` is the last digit that was asked for (0.1), 0 where none was.
    `method_marks` are what an answer earns that is right for the student's own wrong earlier
    value. `entries` names the parts of a list of numbers, the points, or the labels to be put in
    order; `options` the choices (id → text), `given` the quantities the question is about,
    `scaffold` code the student completes.
    `read` is the lesson's heading to read again, as it stands in the page's address.
    """

    id: str
    title: str
    text: str
    kind: Kind
    marks: float
    unit: str = ""
    tolerance: float = 0.0
    relative: bool = False
    digit: float = 0.0
    method_marks: float | None = None
    graded: bool = True
    given: tuple[str, ...] = ()
    entries: tuple[str, ...] = ()
    options: Mapping[str, str] | None = None
    scaffold: str = ""
    read: str = ""

    @property
    def variable(self) -> str:
        """Name of the student's variable in the notebook."""
        return self.id.replace("-", "_")

    def allowance(self, answer: float) -> float:
        """How far a value may lie from `answer`, in the question's unit."""
        return abs(answer) * self.tolerance if self.relative else self.tolerance


@dataclass(frozen=True)
class PaperTemplate:
    """A 1:1 wrap template of the worksheet: words, and the quantities it is drawn from."""

    say: str
    diameter: str
    into: str
    angle_deg: str
    offset: str | None = None


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

    @property
    def graded(self) -> tuple[Question, ...]:
        """The questions that carry marks, in order."""
        return tuple(q for q in self.questions if q.graded)

    @property
    def practice(self) -> tuple[Question, ...]:
        """The questions of the practice cards, in order."""
        return tuple(q for q in self.questions if not q.graded)

    @property
    def marks(self) -> float:
        """Marks of the whole exercise."""
        return sum(q.marks for q in self.graded)

    def question(self, id: str) -> Question:
        """Return the question with this id; AuthoringError where there is none."""
        for q in self.questions:
            if q.id == id:
                return q
        raise AuthoringError(
            f"{self.source}: a question must exist before it is answered; got '{id}'. "
            f"The questions are {', '.join(q.id for q in self.questions)}."
        )

    def quantity(self, name: str) -> Quantity:
        """Return the quantity with this name; AuthoringError where there is none."""
        for q in self.quantities:
            if q.name == name:
                return q
        raise AuthoringError(
            f"{self.source}: a quantity must be listed under `numbers`; got '{name}'. "
            f"The quantities are {', '.join(q.name for q in self.quantities)}."
        )


def slugs(root: Path) -> tuple[str, ...]:
    """Return the slugs of all exercises below `root`, sorted."""
    return tuple(sorted(p.stem for p in (root / "exercises").glob("*.md")))


def load(slug: str, root: Path) -> Exercise:
    """Return the public half of `slug` from `root/exercises/<slug>.md`.

    Raises AuthoringError, naming file and question, for every mistake that the text alone shows.
    """
    path = root / "exercises" / f"{slug}.md"
    if not path.is_file():
        there = ", ".join(slugs(root)) or "none"
        raise AuthoringError(
            f"exercises/{slug}.md: the public half of an exercise must be there; got no such file. "
            f"Write it, or use one of: {there}."
        )
    return parse(path.read_text(encoding="utf-8"), slug)


def parse(text: str, slug: str) -> Exercise:
    """Return the Exercise that `text`, the whole of `exercises/<slug>.md`, describes."""
    source = f"exercises/{slug}.md"
    head, body = _split_head(text, source)
    pieces = _HEADING.split(body)
    quantities = tuple(
        _quantity(n, v, source) for n, v in _mapping(head, "numbers", source).items()
    )
    names = {q.name for q in quantities}
    questions = tuple(
        _question(id, block, names, source)
        for id, block in zip(pieces[1::2], pieces[2::2], strict=True)
    )
    _refuse_repeats([q.id for q in questions], source)
    templates = tuple(_template(t, names, source) for t in head.get("templates", ()))
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
            f"{source}: a quantity's name must be small letters, digits and _; got '{name}'. Rename it."
        )
    if name in _TAKEN:
        raise AuthoringError(
            f"{source}: a quantity's name must not be a word of Python or of the notebook's first cell; "
            f"got '{name}'. Rename it."
        )
    if not isinstance(spec, dict) or not {"say", "unit"} <= spec.keys():
        raise AuthoringError(
            f"{source}: quantity '{name}' must have `say` and `unit`; got {spec!r}. Add them."
        )
    values = _values(name, spec, source)
    practice = _values(name, spec["practice"], source) if "practice" in spec else ()
    if both := sorted(set(values) & set(practice)):
        raise AuthoringError(
            f"{source}: quantity '{name}' must have other values on the practice cards than in the "
            f"graded questions; got {', '.join(f'{v:g}' for v in both)} in both. Change `practice`."
        )
    return Quantity(name, str(spec["say"]), str(spec["unit"]), values, practice)


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


def _question(id: str, block: str, names: set[str], source: str) -> Question:
    where = f"{source}, question '{id}'"
    if not _ID.fullmatch(id):
        raise AuthoringError(
            f"{where}: an id must be small letters, digits and -; got '{id}'. Rename it."
        )
    head_text, _, text = block.strip("\n").partition("\n\n")
    try:
        head = yaml.safe_load(head_text)
    except yaml.YAMLError:
        head = None
    if not isinstance(head, dict) or not text.strip():
        raise AuthoringError(
            f"{where}: it must be lines of `name: value`, a blank line, then the text; got "
            f"{block.strip()[:40]!r}. Put the text after a blank line."
        )
    _refuse_unknown(head, where)
    kind = _kind(head, where)
    with_code = kind in ("numbers", "points")
    text, scaffold = _scaffold(text) if with_code else (text.strip(), "")
    return _checked(
        Question(
            id=id,
            title=str(head.get("title", id)),
            text=text,
            kind=kind,
            marks=_number(head.get("marks", 0), "marks", where),
            unit=str(head.get("unit", "")),
            **_tolerance(head.get("tolerance", 0), where),
            method_marks=_number(head["method_marks"], "method_marks", where)
            if "method_marks" in head
            else None,
            graded=head.get("set", "graded") != "practice",
            given=tuple(head.get("given", ())),
            entries=tuple(str(e) for e in head.get("entries", ())),
            options={str(k): str(v) for k, v in head["options"].items()}
            if "options" in head
            else None,
            scaffold=scaffold,
            read=_anchor(head.get("read", ""), where),
        ),
        names,
        where,
    )


_KEYS = {
    "title", "kind", "marks", "unit", "tolerance", "method_marks", "set", "given", "entries",
    "options", "read",
}  # fmt: skip


def _refuse_unknown(head: dict[str, Any], where: str) -> None:
    if unknown := sorted(set(map(str, head)) - _KEYS):
        raise AuthoringError(
            f"{where}: a question's lines must be among {', '.join(sorted(_KEYS))}; got "
            f"{', '.join(unknown)}. Mend the spelling."
        )
    if head.get("set", "graded") not in ("graded", "practice"):
        raise AuthoringError(
            f"{where}: `set` must be graded or practice; got {head['set']!r}. Choose one."
        )


def _kind(head: dict[str, Any], where: str) -> Kind:
    guess = "choice" if "options" in head else "numbers" if "entries" in head else "number"
    kind = head.get("kind", guess)
    if kind not in get_args(Kind):
        raise AuthoringError(
            f"{where}: `kind` must be number, numbers, points, order, choice or written; got "
            f"{kind!r}. Choose one."
        )
    return cast(Kind, kind)


def _number(value: Any, name: str, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e6:
        raise AuthoringError(
            f"{where}: `{name}` must be a number from 0 up; got {value!r}. Mend it."
        )
    return float(value)


def _anchor(value: Any, where: str) -> str:
    if not isinstance(value, str) or (value and not _ID.fullmatch(value)):
        raise AuthoringError(
            f"{where}: `read` must be a heading of the lesson in small letters, digits and -, "
            f"`two-corners`; got {value!r}. Copy it from the page's address."
        )
    return value


_SHARE = re.compile(r"(\d+(?:\.\d+)?) ?%")
_LAST_DIGIT = re.compile(r"(half |one |)last digit (\d+(?:\.\d+)?)")


def _tolerance(value: Any, where: str) -> dict[str, Any]:
    """Return the fields that `tolerance: 0.2`, `2 %`, `last digit 0.1` or `one last digit 0.1` set.

    A last digit allows half a unit of it, which is right rounding, or one, which is one step off.
    """
    text = value.strip() if isinstance(value, str) else ""
    if share := _SHARE.fullmatch(text):
        return {"tolerance": float(share[1]) / 100, "relative": True}
    if digit := _LAST_DIGIT.fullmatch(text):
        unit = float(digit[2])
        return {"tolerance": unit if digit[1] == "one " else unit / 2, "digit": unit}
    return {"tolerance": _number(value, "tolerance", where)}


def _scaffold(text: str) -> tuple[str, str]:
    """Split a question's text into its prose and the one fenced piece of Python, if any."""
    found = re.search(r"^```python\n(.*?)^```[ \t]*$", text, re.DOTALL | re.MULTILINE)
    if not found:
        return text.strip(), ""
    prose = (text[: found.start()] + text[found.end() :]).strip()
    return prose, found.group(1).strip("\n")


def _checked(q: Question, names: set[str], where: str) -> Question:
    """Return `q`; AuthoringError for what a reader or the marker could not work with."""
    if q.kind in ("number", "numbers", "points") and not (q.unit and q.tolerance > 0):
        raise AuthoringError(
            f"{where}: a number must have a `unit` and a `tolerance` above 0; got "
            f"unit {q.unit!r}, tolerance {q.tolerance:g}. Add them."
        )
    if q.graded and q.marks <= 0:
        raise AuthoringError(
            f"{where}: a graded question must carry marks above 0; got {q.marks:g}. Add `marks`."
        )
    if q.kind == "choice" and len(q.options or {}) < 2:
        raise AuthoringError(f"{where}: a choice must offer two options or more. Add `options`.")
    if q.graded and (q.variable in names or q.variable in _TAKEN):
        raise AuthoringError(
            f"{where}: its variable must not be called as a quantity or a word of Python is, for the "
            f"answer would take its place; got '{q.variable}'. Rename the question."
        )
    _check_entries(q, where)
    if q.method_marks is not None and not 0 < q.method_marks <= q.marks:
        raise AuthoringError(
            f"{where}: `method_marks` must lie above 0 and not above `marks`; got "
            f"{q.method_marks:g} of {q.marks:g}. Mend it."
        )
    if unknown := [g for g in q.given if g not in names]:
        raise AuthoringError(
            f"{where}: `given` must name quantities of the head; got {', '.join(unknown)}. "
            f"They are {', '.join(sorted(names))}."
        )
    return q


def _check_entries(q: Question, where: str) -> None:
    fewest = {"numbers": 2, "points": 1, "order": 3}.get(q.kind, 0)
    if len(q.entries) < fewest:
        words = {1: "a point", 2: "two entries", 3: "three entries"}[fewest]
        say = {"numbers": "a list", "points": "a question of points", "order": "an order"}[q.kind]
        raise AuthoringError(f"{where}: {say} must name {words} or more. Add `entries`.")
    if q.kind == "points" and q.relative:
        raise AuthoringError(
            f"{where}: points must have a tolerance in {q.unit}, the distance that is allowed; got "
            f"{q.tolerance:.0%}. Give it in {q.unit}."
        )
    names = [label(entry) if q.kind == "order" else entry for entry in q.entries]
    if twice := [e for e, name in zip(q.entries, names, strict=True) if names.count(name) > 1]:
        raise AuthoringError(
            f"{where}: an entry must stand there once; got {', '.join(twice)}. Rename one."
        )
    if q.kind == "order" and (q.tolerance or q.method_marks is not None):
        raise AuthoringError(
            f"{where}: an order is marked by the key's measure; got a tolerance or method_marks. "
            "Take the line out."
        )


def _refuse_repeats(ids: list[str], source: str, what: str = "question") -> None:
    if repeated := sorted({i for i in ids if ids.count(i) > 1}):
        raise AuthoringError(
            f"{source}, {what} '{repeated[0]}': an id must be used once; got it twice. Rename one."
        )


def _template(spec: Any, names: set[str], source: str) -> PaperTemplate:
    keys = {"say", "diameter", "into", "angle_deg", "offset"}
    if not isinstance(spec, dict) or not keys - {"offset"} <= spec.keys() <= keys:
        raise AuthoringError(
            f"{source}: a template must have say, diameter, into, angle_deg (and may have offset); "
            f"got {spec!r}. Mend it."
        )
    if unknown := [str(v) for k, v in spec.items() if k != "say" and v not in names]:
        raise AuthoringError(
            f"{source}: a template must be drawn from quantities of the head; got "
            f"{', '.join(unknown)}. They are {', '.join(sorted(names))}."
        )
    return PaperTemplate(**spec)
