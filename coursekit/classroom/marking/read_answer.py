"""Turns a student's plain value into a number, a list or a word, or says why it can't be read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coursekit.classroom.bank import written_number
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.orders import ordered
from coursekit.classroom.marking.as_meant import twice_too_many, two_numbers
from coursekit.classroom.running.plain_value import Plain
from coursekit.sheets.text import unit_word


@dataclass(frozen=True)
class ReadAnswer:
    """What a student handed in: a `value` that can be marked, or None and in words `why` not."""

    value: float | tuple[float | None, ...] | tuple[str, ...] | str | None
    why: str = ""
    blank: bool = False


def read(question: Question, plain: Plain | None) -> ReadAnswer:
    """Return what `plain` says as an answer to `question`."""
    if plain is None:
        return ReadAnswer(None, "This cell did not run, so there is no value to mark.", blank=True)
    if plain["is"] == "none":
        return ReadAnswer(None, "No answer was given.", blank=True)
    if question.kind == "choice":
        return _read_word(question, plain)
    if question.kind == "order":
        return _read_order(question, plain)
    if question.kind in ("numbers", "points"):
        return _read_list(question, plain)
    if plain["is"] == "list" and (why := two_numbers(plain["value"])):
        return ReadAnswer(None, why)
    if plain["is"] == "list" and len(plain["value"]) == 1:
        plain = plain["value"][0]  # a list of one number is that number
    value, why = _read_number(question, plain)
    return ReadAnswer(value, why)


def _read_word(question: Question, plain: Plain) -> ReadAnswer:
    options = question.options or {}
    choices = ", ".join(f'"{o}"' for o in options)
    if plain["is"] != "text":
        return ReadAnswer(None, f"The answer must be one of {choices}, in quotes.")
    word = str(plain["value"]).strip().lower()
    for option in options:
        if word == option.lower():
            return ReadAnswer(option)
    return ReadAnswer(None, f"The answer must be one of {choices}; got “{word[:30]}”.")


def _read_order(question: Question, plain: Plain) -> ReadAnswer:
    if plain["is"] != "list":
        return ReadAnswer(
            None, f"The answer must be a list in square brackets of {', '.join(question.entries)}."
        )
    if all(item["is"] == "none" for item in plain["value"]):
        return ReadAnswer(None, "No answer was given.", blank=True)
    try:
        named = [_number_or_word(item) for item in plain["value"]]
        return ReadAnswer(ordered(question.entries, named))
    except ValueError as error:
        return ReadAnswer(None, str(error))


def _number_or_word(item: Plain) -> object:
    """Return one entry of an order: a number, or else its text; None for an empty place."""
    if item["is"] == "none":
        return None
    if item["is"] in ("float", "int"):
        return float(item["value"])
    return item["value"] if item["is"] == "text" else f"{item['is']}"


def _read_list(question: Question, plain: Plain) -> ReadAnswer:
    count = len(question.entries)
    points = question.kind == "points"
    wanted = 2 * count if points else count
    if plain["is"] != "list":
        what = f"{count} points (x, y)" if points else f"{count} numbers"
        return ReadAnswer(None, f"The answer must be a list of {what} in square brackets.")
    items = plain["value"]
    if all(item["is"] == "none" for item in items):
        return ReadAnswer(None, "No answer was given.", blank=True)
    if len(items) != wanted:
        what = f"{count} points, {wanted} numbers in all" if points else f"{wanted} numbers"
        comma = twice_too_many(items, wanted)
        return ReadAnswer(None, f"The list must have {what}; yours has {len(items)}.{comma}")
    values = tuple(_read_number(question, item)[0] for item in items)
    if all(v is None for v in values):
        return ReadAnswer(None, "There is no number in the list.")
    return ReadAnswer(values)


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
        "list": "One number was asked, not a list. Take the one you mean, like value[0].",
        "none": "No answer was given.",
    }.get(kind, f"The value is not a number but: {plain.get('value', kind)}.")


def _from_text(question: Question, text: str) -> tuple[float | None, str]:
    """Read a number written by hand: `31,5 mm`, `1 234.5`, `−12°`, `1 1/4 in`.

    A number in another unit of the same kind is turned into the question's, unless the question
    asks for just that; any other is refused.
    """
    try:
        found = written_number.read(text, question.unit)
        if question.bare and found.unit != question.unit:
            raise written_number.UnreadError("other unit", found.unit)
        return found.value, ""
    except written_number.UnreadError as error:
        return None, _refused(question, f"“{text.strip()[:30]}”", error)


def _refused(question: Question, shown: str, error: written_number.UnreadError) -> str:
    if error.trouble == "two ways":
        return (
            f"{shown} can be read in two ways. Write one point or comma for the decimals and "
            "nothing between the thousands, like 1234.5."
        )
    if error.trouble == "other unit":
        return (
            f"The answer must be in {unit_word(question.unit)}; got “{error.unit[:20]}”. Turn it "
            "and leave the unit out."
        )
    if error.trouble == "not finite":
        return f"{shown} is not a finite number."
    return f"{shown} cannot be read as a number. Write it like 31.5."
