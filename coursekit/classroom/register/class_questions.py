"""What a class changes of the course's questions: `questions.toml` in its folder.

    [miter-angles.first-miter]
    tolerance = "0.3"
    marks = 3

The course's own files stay as they are. `coursekit class question` writes this file, after it has
proved that the question stays sound.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from coursekit.classroom.bank import question_text
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.register.class_toml import quoted
from coursekit.classroom.register.roster import ClassError

FILE = "questions.toml"
LEAST_MARKS, MOST_MARKS, STEP = 0.5, 20.0, 0.5
_HEAD = (
    "# What this class changes of the course's questions, written by `coursekit class question`."
)


@dataclass(frozen=True)
class Change:
    """What a class changes of one question: its tolerance as it is written, its marks."""

    tolerance: str = ""
    marks: float | None = None


Changes = Mapping[str, Mapping[str, Change]]  # slug → question id → what is changed


def read(file: Path) -> dict[str, dict[str, Change]]:
    """Return what the file changes, nothing if it isn't there; ClassError if it can't be read."""
    if not file.is_file():
        return {}
    try:
        found = tomllib.loads(file.read_text(encoding="utf-8-sig"))
        return {s: {q: _change(c) for q, c in some.items()} for s, some in found.items()}
    except (ValueError, AttributeError, TypeError, RecursionError) as error:
        raise ClassError(
            f"{file}: each part must name a lesson and a question, [miter-angles.first-miter], and "
            f'hold `tolerance = "0.3"` or `marks = 3`; got another thing ({error}). Mend it, or '
            "let `coursekit class question` write it."
        ) from None


def _change(found: Any) -> Change:
    if not set(found) <= {"tolerance", "marks"}:
        raise ValueError(", ".join(sorted(found)))
    tolerance, marks = found.get("tolerance", ""), found.get("marks")
    if isinstance(marks, bool) or not isinstance(marks, int | float | None):
        raise ValueError(f"marks {marks!r}")
    if isinstance(tolerance, bool) or not isinstance(tolerance, str | int | float):
        raise ValueError(f"tolerance {tolerance!r}")
    return Change(str(tolerance), None if marks is None else float(marks))


def text(changes: Changes) -> str:
    """Return the text of the file that changes this."""
    parts = [_HEAD]
    for slug, some in sorted(changes.items()):
        for question, change in some.items():
            parts += ["", f"[{slug}.{question}]"]
            if change.tolerance:
                parts.append(f"tolerance = {quoted(change.tolerance)}")
            if change.marks is not None:
                parts.append(f"marks = {change.marks:g}")
    return "\n".join(parts) + "\n"


def digest(some: Mapping[str, Change]) -> str:
    """Return what tells the changes of one lesson from any others; "" where there are none."""
    said = repr(sorted((q, c.tolerance, c.marks) for q, c in some.items()))
    return hashlib.sha256(said.encode()).hexdigest()[:16] if some else ""


def applied(exercise: Exercise, some: Mapping[str, Change], file: Path) -> Exercise:
    """Return the exercise as a class asks it; ClassError for a change that can't be made."""
    if not some:
        return exercise
    if unknown := [id for id in some if id not in {q.id for q in exercise.graded}]:
        raise ClassError(
            f"{file}: a changed question must be one of the lesson's; got '{unknown[0]}' of "
            f"{exercise.slug}. There are {', '.join(q.id for q in exercise.graded)}."
        )
    names = {q.name: q.say for q in exercise.quantities}
    questions = tuple(
        question_text.checked(
            changed(q, some[q.id], file), names, f"{file}, {exercise.slug}, question '{q.id}'"
        )
        if q.id in some
        else q
        for q in exercise.questions
    )
    return replace(exercise, questions=questions)


def changed(question: Question, change: Change, file: Path) -> Question:
    """Return a question as a class asks it. What the method alone earns keeps its share."""
    where = f"{file}, question '{question.id}'"
    if change.tolerance:
        if question.kind not in ("number", "numbers", "points"):
            raise ClassError(
                f"{where}: only numbers have a tolerance; got one for a question of kind "
                f"{question.kind}. Take it out."
            )
        value: Any = change.tolerance
        with suppress(ValueError):
            value = float(value)
        found = question_text.tolerance(value, where)
        found = {"relative": False, **found, "digit": found.get("digit", question.digit)}
        question = replace(question, **found)
    if change.marks is not None:
        if not LEAST_MARKS <= change.marks <= MOST_MARKS or change.marks % STEP:
            raise ClassError(
                f"{where}: marks must lie from {LEAST_MARKS:g} to {MOST_MARKS:g} in steps of "
                f"{STEP:g}; got {change.marks:g}. Choose others."
            )
        method = question.method_marks
        if method is not None:
            method = round(method * change.marks / question.marks, 4)
        question = replace(question, marks=change.marks, method_marks=method)
    return question
