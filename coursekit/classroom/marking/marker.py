"""Marks plain values against the key. It never runs a student's code.

It asks of each value, in this order: Is it of the right kind? Is it right? Did its cell stop? Is it
right for the student's own earlier value (carry-forward)? Is it right in another unit? Is it a
known slip, or a mistake of sign? Is a list right in part? An order is marked by the key's measure.

Carry-forward comes before slips, because a later answer that is consistent with an earlier mistake
often equals a slip of its own, and the student has made one mistake, not two. Units come before
slips because their tolerance is scaled with them, which makes it the narrower of the two. Sign
comes before part, because if all signs are wrong, the zeros that are right in spite of it do not
make a list right in part.

Only work earns marks, so a number that was merely filled in earns them only in the company of
numbers that were worked out. This can be decided only when the whole sheet has been read, so it
comes last (see `company`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from coursekit.classroom.bank.closeness import flipped, gaps, hits, in_other_units, same
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.keys import Key, Slip, Value
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.marking.company import Answered, Found, paid, sheet_of
from coursekit.classroom.marking.read_answer import ReadAnswer, read
from coursekit.classroom.marking.shown import shown
from coursekit.classroom.marking.worked_out import filled_in, plausible
from coursekit.classroom.running.plain_value import Plain
from coursekit.sheets.text import unit_word

# The share of the marks for a value that is right except for its unit: the calculation was
# understood, but a tube cut in the wrong unit is scrap.
UNIT_CREDIT = 0.5


@dataclass
class _Case:
    """One student's case: own numbers, right answers, and what has been read and found so far."""

    key: Key
    numbers: Mapping[str, float]
    right: Mapping[str, Value]
    own: dict[str, Value] = field(default_factory=dict)
    written: list[object] = field(default_factory=list)  # values read so far, without blanks
    sure: set[str] = field(default_factory=set)  # questions whose own value is right
    far: set[str] = field(default_factory=set)  # questions whose own value is not plausible

    def filled_in(self, value: object) -> bool:
        """Whether `value` could stand there without any calculation."""
        return filled_in(value, self.numbers.values(), self.written)

    def with_own(self, ids: Iterable[str]) -> dict[str, Value]:
        """Return the right earlier answers, but for `ids` the student's own if there is one."""
        return {**self.right, **{id: self.own[id] for id in ids if id in self.own}}


def mark(
    exercise: Exercise,
    key: Key,
    numbers: Mapping[str, float],
    values: Mapping[str, Plain],
    stopped: Mapping[str, str] | None = None,
    written: Mapping[str, bool] | None = None,
) -> list[Mark]:
    """Return one Mark for each graded question, in order.

    `numbers` are the student's own, drawn again from the roster's id; `values` maps question id →
    plain value; `stopped` maps the ids of questions whose answer cell had to be stopped → why;
    `written` maps the ids of questions that a person marks → whether anything was written.
    """
    case = _Case(key, numbers, answers(exercise, key, numbers))
    done = {
        question.id: _answered(case, question, values, (stopped or {}).get(question.id, ""))
        for question in exercise.graded
        if question.kind != "written"
    }
    sheet = sheet_of(done.values())
    return [
        _as_mark(question, paid(sheet, done[question.id]), done[question.id].value)
        if question.id in done
        else _to_read(question, (written or {}).get(question.id, False))
        for question in exercise.graded
    ]


def _answered(
    case: _Case, question: Question, values: Mapping[str, Plain], stopped: str
) -> Answered:
    """Return what the rules find for one answer, and keep in `case` what later ones build on."""
    reading = read(question, values.get(question.id))
    found, right = _found(case, question, reading, stopped), case.right[question.id]
    answered = Answered(question, reading.value, found, case.filled_in(reading.value))
    if found.verdict == "right":
        case.sure.add(question.id)
    case.own[question.id] = own = _usable(reading, right)
    if not answered.explained and not plausible(question, own, right):
        case.far.add(question.id)
    if reading.value is not None:
        case.written.append(reading.value)
    return answered


def _to_read(question: Question, answered: bool) -> Mark:
    if not answered:
        return Mark(question.id, 0.0, question.marks, "blank", "Nothing was written.")
    return Mark(question.id, 0.0, question.marks, "to-read", _A_PERSON_READS)


_A_PERSON_READS = "Your instructor reads and marks this one."


def _usable(reading: ReadAnswer, right: Value) -> Value:
    """Return the student's own value for later calculations, or the right one if there is none."""
    if reading.value is None or (isinstance(reading.value, tuple) and None in reading.value):
        return right
    return reading.value  # type: ignore[return-value]


def _as_mark(question: Question, found: Found, value: object) -> Mark:
    marks = min(max(round(found.marks, 4), 0.0), question.marks)
    return Mark(
        question=question.id,
        marks=marks,
        out_of=question.marks,
        verdict=found.verdict,
        reason=found.reason,
        hint=found.hint,
        slip=found.slip,
        given=shown(question, value),
    )


def _found(case: _Case, question: Question, reading: ReadAnswer, stopped: str) -> Found:
    value, answer = reading.value, case.right[question.id]
    if value is None:
        verdict = "stopped" if stopped else "blank" if reading.blank else "unreadable"
        return Found(verdict, 0.0, stopped or reading.why)
    if same(question, value, answer):
        return Found("right", question.marks, "Right.")
    if question.kind == "order":
        return _judged(case, question, value, stopped)
    if stopped:
        return Found("stopped", 0.0, stopped)
    carried = _carried(case, question, value)
    if carried and carried.marks:
        return carried
    if unit := _other_unit(question, value, answer):
        reason = f"Right in {unit}, but {unit_word(question.unit)} were asked."
        return Found("unit", UNIT_CREDIT * question.marks, reason, _UNIT_HINT)
    if slip := _slip(case, question, value, case.right):
        return _slipped(question, slip)
    if carried:
        return carried
    if slip := _slip(case, question, value, case.with_own(case.own)):
        return _slipped(question, slip)
    return _unnamed(question, value, answer)


def _slipped(question: Question, slip: Slip) -> Found:
    return Found("slip", slip.credit * question.marks, "A usual slip.", slip.hint, slip.name)


_UNIT_HINT = "Write the unit beside every number."


def _judged(case: _Case, question: Question, order: object, stopped: str) -> Found:
    """Return what an order other than the key's earns by the key's measure."""
    try:
        share, why = case.key.share(question, case.numbers, order)  # type: ignore[arg-type]
    except ValueError:
        return Found("to-read", 0.0, _A_PERSON_READS)
    if share >= 1:
        return Found("right", question.marks, f"Right: as good as any order. {why}".strip())
    if stopped:
        return Found("stopped", 0.0, stopped)
    reason = f"This order earns {share:.0%} of the marks. {why}".strip()
    for earlier in (case.right, case.with_own(case.own)):
        if slip := _slip(case, question, order, earlier):
            return Found("slip", share * question.marks, reason, slip.hint, slip.name)
    return Found("part" if share > 0 else "wrong", share * question.marks, reason, _WORK_AGAIN)


_NEAR = 5.0  # an error of up to this many tolerances is put down to rounding on the way
_WORK_AGAIN = "Work it again from the lesson, or bring it to the bench."


def _carried(case: _Case, question: Question, value: object) -> Found | None:
    """Return the marks of a value that follows from the student's own earlier values, else None.

    If all of those are right (rounded, or another order that is as good), nothing is taken off. If
    one of them is not plausible, nothing is earned, and the reason says so.
    """
    chain = case.key.answers[question.id].after
    other = [id for id in chain if id in case.own and case.own[id] != case.right[id]]
    if question.method_marks is None or not other:
        return None
    try:
        led_to = case.key.value(question, case.numbers, case.with_own(chain))
    except ValueError:
        return None  # nothing can be calculated from such an earlier value
    if not same(question, value, led_to):
        return None
    if case.sure.issuperset(other):
        return Found("right", question.marks, "Right, from your own rounded value before it.")
    if case.far.intersection(other):
        return Found("wrong", 0.0, _TOO_FAR, _MEND_EARLIER)
    return Found("carried", question.method_marks, _CARRIED, _MEND_EARLIER)


_CARRIED = (
    "Right for your own earlier value, so the method earns its marks; the earlier value is not "
    "right."
)
_TOO_FAR = (
    "Right for your own earlier value, but that value is zero, or more than ten times too large or "
    "too small, so the method earns no marks from it."
)
_MEND_EARLIER = "Mend the earlier answer and this one follows."


def _other_unit(question: Question, value: object, answer: Value) -> str:
    """Return the other unit in which the whole of `value` would be right, or ""."""
    for unit, turned in in_other_units(question, value):
        if same(question, turned, answer):
            return unit
    return ""


def _slip(
    case: _Case, question: Question, value: object, earlier: Mapping[str, Value]
) -> Slip | None:
    """Return the slip that leads from these earlier values to `value`, else None."""
    for slip in case.key.slips.get(question.id, ()):
        try:
            led_to = case.key.slip_value(slip, question, case.numbers, earlier)
        except ValueError:
            continue  # this slip can't be calculated from the student's own earlier value
        if same(question, value, led_to):
            return slip
    return None


def _unnamed(question: Question, value: object, answer: Value) -> Found:
    """Return what is found of a value that is neither right nor a slip of the key."""
    if any(same(question, turned, answer) for turned in flipped(question, value)):
        reason = "The size is right, the sign is not."
        return Found("sign", 0.0, reason, "Which way is positive here?")
    if isinstance(value, tuple) and len(question.entries) > 1:
        return _in_part(question, value, answer)
    if all(gap <= _NEAR * allowed for gap, allowed in gaps(question, value, answer)):
        reason = "Near, but not near enough."
        return Found("wrong", 0.0, reason, "Keep all digits in between and round at the end.")
    return Found("wrong", 0.0, "Not right, and no usual slip leads to it.", _WORK_AGAIN)


def _in_part(question: Question, value: tuple[object, ...], answer: Value) -> Found:
    right = hits(question, value, answer)
    missed = ", ".join(e for e, hit in zip(question.entries, right, strict=True) if not hit)
    return Found(
        "part" if any(right) else "wrong",
        question.marks * sum(right) / len(right),
        f"{sum(right)} of {len(right)} are right; look again at {missed}.",
    )
