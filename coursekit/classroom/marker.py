"""Marks plain values against the key. It never runs a student's code.

For each question, in this order: is there a value of the right kind; is it right; did its cell stop;
is it right for the student's own wrong earlier value (carry-forward); is it right in another unit; is
it a known slip, or a mistake of sign; is a list right in part. Carry-forward comes before slips: a later answer that is consistent with an
earlier mistake often equals a slip of its own, and the student has made one mistake, not two. Units
come before slips because their tolerance is scaled with them, hence the narrower.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from coursekit.classroom.bank import Exercise, Question
from coursekit.classroom.key import Key, Slip, Value
from coursekit.classroom.own_numbers import answers
from coursekit.classroom.plain import Plain
from coursekit.classroom.reading import Reading, read

# a value right but for its unit earns this share: the sum was understood, the bench would not forgive
UNIT_CREDIT = 0.5
# unit of a question → (factor from its unit, name of the other unit)
_OTHER_UNITS = {
    "mm": ((1 / 25.4, "inches"), (0.1, "cm"), (0.001, "m")),
    "deg": ((math.pi / 180, "radians"),),
}


@dataclass(frozen=True)
class Mark:
    """What a question earned and why, in words for the student.

    `verdict` is one of: right, carried, slip, unit, sign, part, wrong, unreadable, blank, stopped,
    to-read (a person marks it). `slip` names the slip, for the class's report.
    """

    question: str
    marks: float
    out_of: float
    verdict: str
    reason: str
    hint: str = ""
    slip: str = ""
    given: str = ""


def mark(
    exercise: Exercise,
    key: Key,
    numbers: Mapping[str, float],
    values: Mapping[str, Plain],
    stopped: Mapping[str, str] | None = None,
    written: Mapping[str, bool] | None = None,
) -> list[Mark]:
    """Return one Mark a graded question, in order.

    `numbers` are the student's own, drawn again from the roster's id; `values` maps question id →
    plain value; `stopped` maps the ids of questions whose answer cell had to be stopped → why;
    `written` maps the ids of questions that a person marks → whether anything was written.
    """
    right = answers(exercise, key, numbers)
    own: dict[str, Value] = {}
    marks = []
    for question in exercise.graded:
        if question.kind == "written":
            marks.append(_to_read(question, (written or {}).get(question.id, False)))
            continue
        reading = read(question, values.get(question.id))
        marks.append(
            _one(key, question, numbers, right, own, reading, (stopped or {}).get(question.id, ""))
        )
        own[question.id] = _usable(reading, right[question.id])
    return marks


def _to_read(question: Question, answered: bool) -> Mark:
    if not answered:
        return Mark(question.id, 0.0, question.marks, "blank", "Nothing was written.")
    reason = "Your instructor reads and marks this one."
    return Mark(question.id, 0.0, question.marks, "to-read", reason)


def _usable(reading: Reading, right: Value) -> Value:
    """Return the student's own value for later sums; the right one where there is none to use."""
    if isinstance(reading.value, tuple):
        return (
            right
            if None in reading.value
            else tuple(float(v) for v in reading.value if v is not None)
        )
    return right if reading.value is None else reading.value


def _one(
    key: Key,
    question: Question,
    numbers: Mapping[str, float],
    right: Mapping[str, Value],
    own: Mapping[str, Value],
    reading: Reading,
    stopped: str,
) -> Mark:
    value, answer = reading.value, right[question.id]
    if value is None:
        verdict = "stopped" if stopped else "blank" if reading.blank else "unreadable"
        found = _Found(verdict, 0.0, stopped or reading.why)
    elif same(question, value, answer):
        found = _Found("right", question.marks, "Right.")
    elif stopped:
        found = _Found("stopped", 0.0, stopped)
    elif question.method_marks is not None and _carried(key, question, numbers, right, own, value):
        found = _Found("carried", question.method_marks, _CARRIED, _MEND_EARLIER)
    elif unit := _other_unit(question, value, answer):
        reason = f"Right in {unit}, but {question.unit} were asked."
        hint = "Write the unit beside every number."
        found = _Found("unit", UNIT_CREDIT * question.marks, reason, hint)
    elif slip := _slip(key, question, numbers, right, own, value):
        found = _Found("slip", slip.credit * question.marks, "A known slip.", slip.hint, slip.name)
    else:
        found = _unnamed(question, value, answer)
    marks = min(max(round(found.marks, 4), 0.0), question.marks)
    return Mark(
        question.id, marks, question.marks, found.verdict, found.reason, found.hint, found.slip,
        _shown(question, value),
    )  # fmt: skip


_CARRIED = "Right for your own earlier value, so the method earns its marks; the earlier value is not right."
_MEND_EARLIER = "Mend the earlier answer and this one follows."


@dataclass(frozen=True)
class _Found:
    """What the rules found; `Mark` without the question's own facts."""

    verdict: str
    marks: float
    reason: str
    hint: str = ""
    slip: str = ""


def _unnamed(question: Question, value: object, answer: Value) -> _Found:
    """Return what a value earns that is neither right nor a slip of the key."""
    if isinstance(value, tuple) and isinstance(answer, tuple):
        return _in_part(question, value, answer)
    if isinstance(value, float) and isinstance(answer, float) and _near(question, -value, answer):
        reason = "The size is right, the sign is not."
        return _Found("sign", 0.0, reason, "Which way is positive here?")
    return _Found(
        "wrong",
        0.0,
        "Not right, and no usual slip leads to it.",
        "Work it again from the lesson, or bring it to the bench.",
    )


def _other_unit(question: Question, value: object, answer: Value) -> str:
    """Return the unit in which `value` would be right, or ""."""
    if isinstance(value, float) and isinstance(answer, float):
        for factor, unit in _OTHER_UNITS.get(question.unit, ()):
            if abs(value - answer * factor) <= question.allowance(answer) * factor:
                return unit
    return ""


def _in_part(
    question: Question, value: tuple[float | None, ...], answer: tuple[float, ...]
) -> _Found:
    hits = [v is not None and _near(question, v, a) for v, a in zip(value, answer, strict=True)]
    missed = ", ".join(e for e, hit in zip(question.entries, hits, strict=True) if not hit)
    return _Found(
        "part" if any(hits) else "wrong",
        question.marks * sum(hits) / len(hits),
        f"{sum(hits)} of {len(hits)} are right; look again at {missed}.",
    )


def same(question: Question, value: object, answer: Value) -> bool:
    """Whether `value` equals `answer` within the question's tolerance."""
    if isinstance(value, str) or isinstance(answer, str):
        return value == answer
    if isinstance(value, tuple) and isinstance(answer, tuple):
        return all(
            v is not None and _near(question, v, a) for v, a in zip(value, answer, strict=True)
        )
    return isinstance(value, float) and isinstance(answer, float) and _near(question, value, answer)


def _near(question: Question, value: float, answer: float) -> bool:
    # a hair's breadth for the last binary digit, so that 29.75 against 29.5 ± 0.25 counts
    return abs(value - answer) <= question.allowance(answer) * (1 + 1e-9)


def _carried(
    key: Key,
    question: Question,
    numbers: Mapping[str, float],
    right: Mapping[str, Value],
    own: Mapping[str, Value],
    value: object,
) -> bool:
    """Whether `value` follows from the student's own earlier values, at least one of them wrong."""
    chain = key.answers[question.id].after
    earlier = {**right, **{id: own[id] for id in chain if id in own}}
    if all(earlier[id] == right[id] for id in chain):
        return False
    try:
        return same(question, value, key.value(question, numbers, earlier))
    except ValueError:
        return False  # no sum can be made from such an earlier value


def _slip(
    key: Key,
    question: Question,
    numbers: Mapping[str, float],
    right: Mapping[str, Value],
    own: Mapping[str, Value],
    value: object,
) -> Slip | None:
    """Return the slip that leads to `value`, from right earlier values or from the student's own."""
    for earlier in (right, {**right, **own}):
        for slip in key.slips.get(question.id, ()):
            try:
                led_to = key.slip_value(slip, question, numbers, earlier)
            except ValueError:
                continue  # the student's own earlier value leads nowhere along this slip
            if same(question, value, led_to):
                return slip
    return None


def _shown(question: Question, value: object) -> str:
    """Return the student's value as the feedback shows it."""
    unit = f" {question.unit}" if question.unit else ""
    if isinstance(value, tuple):
        return ", ".join("–" if v is None else f"{v:.4g}" for v in value) + unit
    if isinstance(value, float):
        return f"{value:.6g}{unit}"
    return "" if value is None else str(value)
