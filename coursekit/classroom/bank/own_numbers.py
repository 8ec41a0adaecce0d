"""Every student's own numbers, drawn from the class secret so that they can be drawn again."""

from __future__ import annotations

import hashlib
import hmac
from bisect import bisect
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import cast

from coursekit.classroom.bank import own_frame
from coursekit.classroom.bank.closeness import in_other_units, too_near
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, Question
from coursekit.classroom.bank.keys import Key, Value
from coursekit.sheets.frame_facts import Facts, given

TRIES = 500
TRIES_A_FRAME = 30
TURNS = 40  # frames that are tried for one exercise before its ranges are blamed


class Coincidence(str):
    """Why marking can't tell a mistake by its value in this case; right answers stay right."""


@dataclass(frozen=True)
class Drawn:
    """A student's own numbers of one exercise: quantity name → value.

    `instead` says why they are not of the student's own frame, but of a case drawn for this
    exercise; "" where they are.
    """

    numbers: dict[str, float]
    instead: str = ""


def draw(exercise: Exercise, key: Key, secret: bytes, student: str) -> dict[str, float]:
    """Return the numbers of `student` as `for_frame` draws them, for the frame drawn for them."""
    return for_frame(exercise, key, secret, student).numbers


def for_frame(
    exercise: Exercise,
    key: Key,
    secret: bytes,
    student: str,
    own: Facts | None = None,
) -> Drawn:
    """Return quantity name → value for `student`, always the same for one secret and slug.

    Each value is chosen by an HMAC-SHA-256 (FIPS 198-1), keyed by the secret, of student, slug, try
    and name, so a quantity added later leaves the others as they are. Quantities that the key makes
    follow from the drawn ones and from random numbers seeded in the same way, and are rounded to
    their own ranges. A case that is not sound is drawn again. Raises AuthoringError if no sound
    case is found.

    Quantities of a frame are those of `own`, the student's real frame, or else of the frame drawn
    for `student`. A frame is what it is: where no draw of the other quantities keeps a slip apart
    from the right answer or another slip, the case stands, and marking takes the right answer
    first. Only where the key refuses the frame, or it lacks a number that is asked for, is another
    frame drawn, for this exercise alone.
    """
    lacking = [
        q.fact for q in exercise.quantities if own is not None and q.fact and q.fact not in own
    ]
    why = f"the frame has no {lacking[0]}" if lacking else ""
    if lacking:
        own = None
    for turn in range(TURNS if exercise.frames else 1):
        again = f"\0{exercise.slug}\0{turn}" if turn else ""
        known = own if own is not None and not turn else None
        if known is None:
            known = _facts(exercise, secret, student + again)
        stands: dict[str, float] = {}
        for attempt in range(_tries(exercise)):
            numbers = _case(exercise, key, secret, student + again, attempt, known)
            reason = fault(exercise, key, numbers)
            if not reason:
                return Drawn(numbers, why)
            if isinstance(reason, Coincidence) and exercise.frames:
                stands = stands or numbers
            elif not stands:
                last = reason
        if stands:
            return Drawn(stands, why)
        why = why or last
    raise AuthoringError(
        f"{exercise.source}: the ranges must give sound cases; got none in {TRIES} tries, the last "
        f"because {last}. Widen the ranges or mend the key."
    )


def _facts(exercise: Exercise, secret: bytes, builder: str) -> Facts:
    return own_frame.facts(exercise.frames, secret, builder) if exercise.frames else {}


def _tries(exercise: Exercise) -> int:
    """Return how often the other quantities are drawn before the frame is; once if none are."""
    if not exercise.frames:
        return TRIES
    return TRIES_A_FRAME if any(not q.fact for q in exercise.quantities) else 1


def _once(
    exercise: Exercise, secret: bytes, student: str, attempt: int, known: Facts | None = None
) -> dict[str, float]:
    return {
        q.name: given(known or {}, q.fact)
        if q.fact
        else q.values[_word(secret, student, exercise.slug, str(attempt), q.name) % len(q.values)]
        for q in exercise.quantities
    }


def _case(
    exercise: Exercise,
    key: Key,
    secret: bytes,
    student: str,
    attempt: int,
    known: Facts | None = None,
) -> dict[str, float]:
    """Return one draw, with what the key makes from it rounded to values of its quantity."""
    if known is None:
        known = _facts(exercise, secret, student)
    numbers = _once(exercise, secret, student, attempt, known)
    for names in key.makers:
        seed = _word(secret, student, exercise.slug, str(attempt), "made", *names)
        values = key.made(names, numbers, Random(seed), known)
        numbers |= {n: _nearest(exercise, n, v) for n, v in zip(names, values, strict=True)}
    return numbers


def _nearest(exercise: Exercise, name: str, value: float) -> float:
    """Return the nearest value of the quantity's range; AuthoringError a step beyond its ends."""
    quantity = exercise.quantity(name)
    values = sorted(quantity.values)
    step = (values[-1] - values[0]) / max(len(values) - 1, 1)
    if not values[0] - step <= value <= values[-1] + step:
        raise AuthoringError(
            f"{exercise.source}: quantity '{name}' must reach as far as the key makes it; got "
            f"{value:g} for {values[0]:g} to {values[-1]:g} {quantity.unit}. Widen its range."
        )
    at = bisect(values, value)
    return min(values[max(at - 1, 0) : at + 1], key=lambda v: abs(v - value))


def _word(secret: bytes, *parts: str) -> int:
    message = "\0".join(parts).encode()
    return int.from_bytes(hmac.new(secret, message, hashlib.sha256).digest()[:8], "big")


def answers(exercise: Exercise, key: Key, numbers: Mapping[str, float]) -> dict[str, Value]:
    """Return question id → right answer for `numbers`, in the exercise's order."""
    found: dict[str, Value] = {}
    for question in exercise.questions:
        if question.kind != "written":
            found[question.id] = key.value(question, numbers, found)
    return found


def fault(exercise: Exercise, key: Key, numbers: Mapping[str, float]) -> str:
    """Return why `numbers` do not make a sound case, or "" if they do.

    A case is sound if the key's own conditions hold, if no slip lies so near the right answer or
    another slip that marking could not tell them apart, if none is the right answer in another
    unit, and if no right number lies so near zero that its sign is lost in the tolerance.
    """
    if not key.is_sound(numbers):
        return "the key refuses the case"
    right = answers(exercise, key, numbers)
    faults = (question_fault(key, q, numbers, right) for q in exercise.questions)
    return next(filter(None, faults), "")


def question_fault(
    key: Key, question: Question, numbers: Mapping[str, float], right: Mapping[str, Value]
) -> str:
    """Return why one question is not sound with `numbers`, whose right answers are `right`."""
    if question.kind == "written":
        return ""
    answer = right[question.id]
    if isinstance(answer, float) and answer and too_near(question, answer, -answer):
        return f"question '{question.id}': the right answer's sign is lost in the tolerance"
    known = [("the right answer", answer)]
    for slip in key.slips[question.id]:
        value = key.slip_value(slip, question, numbers, right)
        for name, other in known:
            if too_near(question, value, other):
                return Coincidence(f"question '{question.id}': slip '{slip.name}' equals {name}")
        known.append((f"slip '{slip.name}'", value))
        for unit, turned in in_other_units(question, value) if question.graded else ():
            if too_near(question, turned, answer):
                return Coincidence(
                    f"question '{question.id}': slip '{slip.name}' equals the right answer in "
                    f"{unit}"
                )
    if question.kind == "order" and (why := _misjudged(key, question, numbers, known)):
        return f"question '{question.id}': {why}"
    return ""


def _misjudged(
    key: Key, question: Question, numbers: Mapping[str, float], known: list[tuple[str, Value]]
) -> str:
    """Return which order in `known` the key's measure gets wrong, or "" for none.

    The right answer must earn full marks and a slip less. Turning the entries round and reversing
    them gives other orders, for which the measure must at least give a share.
    """
    entries = question.entries
    turned = [entries[i:] + entries[:i] for i in range(len(entries))]
    for order in (*turned, *(t[::-1] for t in turned)):
        key.share(question, numbers, order)
    for name, value in known:
        share, _ = key.share(question, numbers, cast(tuple[str, ...], value))
        if (name == "the right answer") != (share >= 1):
            return f"{name} earns {share:.0%} by the key's measure"
    return ""


def sound_cases(exercise: Exercise, key: Key, draws: int = 200) -> list[dict[str, float]]:
    """Return those of `draws` invented students' numbers that the key does not refuse."""
    cases = (_case(exercise, key, b"authoring", f"draw-{i}", 0) for i in range(draws))
    return [numbers for numbers in cases if key.is_sound(numbers)]


def prove(exercise: Exercise, key: Key, draws: int = 200) -> None:
    """Raise AuthoringError, naming file and question, if `draws` raw draws show a mistake.

    A mistake is a calculation that fails on a case the key calls sound, a fault (like a slip that
    equals the right answer) in more than a fifth of the draws, or ranges that the key refuses in
    more than 95 % of them.
    """
    faults: dict[str, int] = {}
    for i in range(draws):
        reason = fault(exercise, key, _case(exercise, key, b"authoring", f"draw-{i}", 0))
        faults[reason] = faults.get(reason, 0) + 1
    faults.pop("", None)
    for reason, count in sorted(faults.items()):
        refused = reason == "the key refuses the case"
        if count > (0.95 if refused else 0.2) * draws:
            raise AuthoringError(
                f"{key.source if refused else key.files}, {reason} in {count} of {draws} draws "
                f"from {exercise.source}. Change the slip, the tolerance or the ranges."
            )
