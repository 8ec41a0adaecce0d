"""Reads one question from an exercise's text: lines of `name: value`, a blank line, the text.

marks: 2
unit: mm
tolerance: 0.2

How long is the tube?

What belongs in the notebook alone, because it speaks of Python, stands in a block of its own that
begins with ```notebook; a block that begins with ```paper stands on the worksheet and the answer
page instead. There the words of a quantity stand in place of its name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, cast, get_args

import yaml

from coursekit.classroom.bank.bench_line import AuthoringError
from coursekit.classroom.bank.orders import label
from coursekit.classroom.bank.questions import TAKEN_NAMES, Kind, Question

FRAME = "frame."  # what stands before the name of a number of the student's frame
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def question(id: str, block: str, names: Mapping[str, str], source: str) -> Question:
    """Return the question that `block`, the text below its heading, describes.

    `names` has the exercise's quantities, name → words. Raises AuthoringError for a mistake, naming
    the file and the question.
    """
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
    return checked(
        Question(
            id=id,
            title=str(head.get("title", id)),
            text=_for(text, "notebook"),
            on_paper=in_words(_for(text, "paper"), names),
            kind=kind,
            marks=_number(head.get("marks", 0), "marks", where),
            unit=str(head.get("unit", "")),
            **tolerance(head.get("tolerance", 0), where),
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
            finds=str(head.get("finds", "")).removeprefix(FRAME),
            bare=_yes(head.get("bare", False), where),
        ),
        names,
        where,
    )


_WORDS = ("title", "kind", "unit", "set", "read", "finds")
_NUMBERS = ("marks", "tolerance", "method_marks")
_LISTS = ("given", "entries", "options")
_KEYS = {*_WORDS, *_NUMBERS, *_LISTS, "bare"}


def _yes(said: object, where: str) -> bool:
    if not isinstance(said, bool):
        raise AuthoringError(f"{where}: `bare` must be true or false; got {said!r}. Choose one.")
    return said


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


def tolerance(value: Any, where: str) -> dict[str, Any]:
    """Return the fields that `tolerance: 0.2`, `2 %`, `last digit 0.1` or `one last digit 0.1` set.

    `last digit` allows half a unit of that digit, which is correct rounding; `one last digit`
    allows a whole unit, so an answer may be one step off.
    """
    text = value.strip() if isinstance(value, str) else ""
    if share := _SHARE.fullmatch(text):
        return {"tolerance": float(share[1]) / 100, "relative": True}
    if digit := _LAST_DIGIT.fullmatch(text):
        unit = float(digit[2])
        return {"tolerance": unit if digit[1] == "one " else unit / 2, "digit": unit}
    return {"tolerance": _number(value, "tolerance", where)}


def as_written(tolerance: float, relative: bool, digit: float) -> str:
    """Return a tolerance as an exercise's file has it.

    Examples
    --------
    >>> as_written(0.2, False, 0.0), as_written(0.02, True, 0.0)
    ('0.2', '2 %')
    >>> as_written(0.05, False, 0.1), as_written(0.1, False, 0.1)
    ('last digit 0.1', 'one last digit 0.1')
    """
    if relative:
        return f"{100 * tolerance:g} %"
    if digit and tolerance in (digit, digit / 2):
        return f"{'one ' if tolerance == digit else ''}last digit {digit:g}"
    return f"{tolerance:g}"


def _scaffold(text: str) -> tuple[str, str]:
    """Split a question's text into its prose and the one fenced piece of Python, if any."""
    found = re.search(r"^```python\n(.*?)^```[ \t]*$", text, re.DOTALL | re.MULTILINE)
    if not found:
        return text.strip(), ""
    prose = (text[: found.start()] + text[found.end() :]).strip()
    return prose, found.group(1).strip("\n")


_PLACED = re.compile(r"^```(notebook|paper)[ \t]*\n(.*?)^```[ \t]*$", re.DOTALL | re.MULTILINE)


def _for(text: str, place: str) -> str:
    """Return a question's text without what is meant for another place, `notebook` or `paper`."""
    kept = _PLACED.sub(lambda block: block[2] if block[1] == place else "", text)
    return re.sub(r"\n{3,}", "\n\n", kept).strip()


def in_words(text: str, names: Mapping[str, str]) -> str:
    """Return `text` with the words of a quantity in place of its name.

    Examples
    --------
    >>> in_words("It leans by `lean_deg`.", {"lean_deg": "lean of the tube"})
    'It leans by *lean of the tube*.'
    """
    return re.sub(r"`(\w+)`", lambda m: f"*{names[m[1]]}*" if m[1] in names else m[0], text)


def checked(q: Question, names: Mapping[str, str], where: str) -> Question:
    """Return `q`; AuthoringError if a reader or the marker could not work with it."""
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
    if q.graded and (q.variable in names or q.variable in TAKEN_NAMES):
        raise AuthoringError(
            f"{where}: its variable must not be called as a quantity or a word of Python is, for "
            f"the answer would take its place; got '{q.variable}'. Rename the question."
        )
    if q.graded and "`" in q.on_paper:
        raise AuthoringError(
            f"{where}: on paper and on the answer page a question must have no code; got "
            f"{q.on_paper[q.on_paper.index('`') :][:30]!r}. Put that paragraph between ```notebook "
            "and ```, and what stands there on paper, if anything, between ```paper and ```."
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
