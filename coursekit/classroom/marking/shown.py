"""Shows a student's value the way the feedback prints it."""

from __future__ import annotations

from coursekit.classroom.bank.closeness import pairs
from coursekit.classroom.bank.exercises import Question
from coursekit.sheets.text import long_minus, unit_after


def shown(question: Question, value: object) -> str:
    """Return the student's value as the feedback shows it."""
    unit = unit_after(question.unit) if question.unit else ""
    if question.kind == "points" and isinstance(value, tuple):
        ends = [f"({_digits(x)}, {_digits(y)})" for x, y in pairs(value)]
        return ", ".join(ends) + unit
    if isinstance(value, tuple):
        each, after = (unit, "") if unit == "°" else ("", unit)
        return ", ".join(_digits(v, each) for v in value) + after
    if isinstance(value, float):
        return _digits(value, unit)
    return "" if value is None else str(value)


def _digits(value: object, unit: str = "") -> str:
    if isinstance(value, float):
        return long_minus(f"{value:.6g}{unit}")
    return "–" if value is None else str(value)
