"""Turns a student's plain value into a number, a list or a word, or says why it is none."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from coursekit.classroom.bank import Question
from coursekit.classroom.plain import Plain

# how a unit may be written by hand, lower case
_SPELLINGS = {
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "in": ("in", "inch", "inches", '"', "''", "″"),
    "deg": ("deg", "degree", "degrees", "°"),
    "rad": ("rad", "radian", "radians"),
    "N": ("n", "newton", "newtons"),
    "MPa": ("mpa", "n/mm2", "n/mm²"),
    "g": ("g", "gram", "grams"),
    "°C": ("°c", "c"),
    "%": ("%", "percent", "per cent"),
}
_NUMBER = re.compile(
    r"^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)\s*([^\d\s].*)?$", re.IGNORECASE
)


@dataclass(frozen=True)
class Reading:
    """What a student handed in: `value` where it can be marked, else None and `why` in words."""

    value: float | tuple[float | None, ...] | str | None
    why: str = ""
    blank: bool = False


def read(question: Question, plain: Plain | None) -> Reading:
    """Return what `plain` says as an answer to `question`."""
    if plain is None:
        return Reading(None, "This cell did not run, so there is no value to mark.", blank=True)
    if plain["is"] == "none":
        return Reading(None, "No answer was given.", blank=True)
    if question.kind == "choice":
        return _read_word(question, plain)
    if question.kind == "numbers":
        return _read_list(question, plain)
    value, why = _read_number(question, plain)
    return Reading(value, why)


def _read_word(question: Question, plain: Plain) -> Reading:
    options = question.options or {}
    choices = ", ".join(f'"{o}"' for o in options)
    if plain["is"] != "text":
        return Reading(None, f"The answer must be one of {choices}, in quotes.")
    word = str(plain["value"]).strip().lower()
    for option in options:
        if word == option.lower():
            return Reading(option)
    return Reading(None, f"The answer must be one of {choices}; got “{word[:30]}”.")


def _read_list(question: Question, plain: Plain) -> Reading:
    wanted = len(question.entries)
    if plain["is"] != "list":
        return Reading(None, f"The answer must be a list of {wanted} numbers in square brackets.")
    items = plain["value"]
    if len(items) != wanted:
        return Reading(None, f"The list must have {wanted} numbers; yours has {len(items)}.")
    values = tuple(_read_number(question, item)[0] for item in items)
    if all(v is None for v in values):
        blank = all(item["is"] == "none" for item in items)
        why = "No answer was given." if blank else "There is no number in the list."
        return Reading(None, why, blank)
    return Reading(values)


def _read_number(question: Question, plain: Plain) -> tuple[float | None, str]:
    """Return the number that `plain` says, in the question's unit, or None and why not."""
    kind = plain["is"]
    if kind in ("float", "int"):
        value = float(plain["value"])
        if math.isfinite(value):
            return value, ""
        return (
            None,
            "The value is not a finite number. Look for a division by zero or a lost value.",
        )
    if kind == "text":
        return _from_text(question, str(plain["value"]))
    return None, {
        "bool": "True and False are not numbers. One = too many gives such a value.",
        "complex": "The value is not a real number: a root of a negative number was taken.",
        "list": "One number was asked, not a list.",
        "none": "No answer was given.",
    }.get(kind, f"The value is not a number but: {plain.get('value', kind)}.")


def _from_text(question: Question, text: str) -> tuple[float | None, str]:
    """Read a number written by hand: `31,5 mm`, `31.5`, `12°`; another unit is told, not turned."""
    found = _NUMBER.match(text.strip())
    if not found:
        return (
            None,
            f"“{text[:30]}” cannot be read as a number. Write it like 31.5, without quotes.",
        )
    value, unit = float(found[1].replace(",", ".")), (found[2] or "").strip().lower()
    if unit and unit not in _SPELLINGS.get(question.unit, (question.unit.lower(),)):
        return (
            None,
            f"The answer must be in {question.unit}; got “{unit[:20]}”. Turn it and leave the unit out.",
        )
    if not math.isfinite(value):
        return None, f"“{text[:30]}” is not a finite number."
    return value, ""
