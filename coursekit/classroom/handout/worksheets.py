"""What worksheets and the instructor's answer key are set from, made of the exercise bank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, PaperTemplate, Question
from coursekit.classroom.bank.keys import Key, Value
from coursekit.classroom.bank.worked_solutions import shown as shown
from coursekit.classroom.bank.worked_solutions import worked as worked
from coursekit.sheets import answers, drawing, page, text, worksheet
from coursekit.sheets.strip import JOINTS, StripJoint


def body(exercise: Exercise) -> worksheet.Body:
    """Return what the worksheets of every student share: questions, bench record, cautions."""
    return worksheet.Body(
        slug=exercise.slug,
        title=exercise.title,
        intro=exercise.intro_on_paper,
        tasks=tuple(_task(q) for q in exercise.graded),
        bench=tuple(
            worksheet.BenchLine(b.say, b.unit, b.instrument, b.resolution, b.readings)
            for b in exercise.bench
        ),
        cautions=exercise.cautions,
    )


@dataclass(frozen=True)
class Person:
    """A student as a worksheet needs them.

    `note` is a sentence about their numbers, printed above them; `phone_code` lets the student's
    phone in to the bench form.
    """

    id: str
    name: str
    numbers: Mapping[str, float]
    note: str = ""
    phone_code: str = ""


def _task(question: Question) -> worksheet.SheetQuestion:
    asked, entries = question.on_paper, question.entries
    if question.digit:
        asked += f"\n\nGive it to {text.quantity(question.digit, question.unit)}."
    kind = question.kind
    if kind == "order":
        asked += f"\n\nPut in order, each once: {', '.join(entries)}."
    return worksheet.SheetQuestion(
        title=question.title,
        text=asked,
        kind=kind,
        marks=question.marks,
        unit=question.unit,
        given=question.given,
        entries=entries,
        options=tuple((question.options or {}).values()),
    )


def copy(
    exercise: Exercise,
    student: str,
    name: str,
    numbers: Mapping[str, float],
    note: str = "",
    phone_code: str = "",
) -> worksheet.Copy:
    """Return what is one student's own: name, numbers, a note on them, templates, phone code."""
    if missing := [q.name for q in exercise.quantities if q.name not in numbers]:
        raise AuthoringError(
            f"{exercise.source}: a student must have every number of the exercise; {student} has "
            f"no {', '.join(missing)}. Draw the numbers again."
        )
    return worksheet.Copy(
        student,
        name,
        tuple(
            worksheet.OwnNumber(q.name, q.say, numbers[q.name], q.unit) for q in exercise.quantities
        ),
        tuple(_strip(exercise, t, numbers) for t in exercise.templates),
        drawing.of_lesson(exercise.slug, numbers),
        note=note,
        phone_code=phone_code,
    )


def _strip(exercise: Exercise, template: PaperTemplate, numbers: Mapping[str, float]) -> StripJoint:
    joint = template.joint or StripJoint.joint
    if joint not in JOINTS:
        raise AuthoringError(
            f"{exercise.source}: the joint of a template must be one of {', '.join(JOINTS)}; got "
            f"{joint!r}. Name one of them."
        )
    return StripJoint(
        template.say,
        numbers[template.diameter],
        numbers[template.into],
        numbers[template.angle_deg],
        numbers[template.offset] if template.offset else 0.0,
        joint,
    )


def blank(exercise: Exercise) -> worksheet.Copy:
    """Return the copy for the wall: every question, nobody's numbers, no template."""
    quantities = exercise.quantities
    numbers = tuple(worksheet.OwnNumber(q.name, q.say, 0.0, q.unit) for q in quantities)
    return worksheet.Copy("", "", numbers, blank=True)


def answer_key(
    exercise: Exercise,
    key: Key,
    people: Sequence[Person],
    paper: page.Paper = "a4",
    worked_out: bool = False,
) -> bytes:
    """Return the instructor's answer key of a class as a PDF: at a glance, or `worked_out`."""
    return answers.pdf(
        exercise.title,
        [_row(exercise, key, q) for q in exercise.graded],
        [_key_copy(exercise, key, p.id, p.name, p.numbers) for p in people],
        key.notes,
        paper,
        worked_out,
    )


def _row(exercise: Exercise, key: Key, question: Question) -> answers.Row:
    after = key.answers[question.id].after if question.kind != "written" else ()
    built = ", ".join(exercise.question(id).title for id in after)
    own = f"right for own earlier values: {text.number(question.method_marks or 0)}"
    share = question.relative
    allowance = text.quantity(
        question.tolerance * (100 if share else 1), "%" if share else question.unit
    )
    return answers.Row(
        question.title,
        question.marks,
        question.unit,
        allowance if question.tolerance else "",
        f"on top of: {built}; {own}" if built else "",
        tuple(answers.Hint(s.name, s.hint) for s in key.slips.get(question.id, ())),
    )


def _key_copy(
    exercise: Exercise, key: Key, student: str, name: str, numbers: Mapping[str, float]
) -> answers.KeyCopy:
    right = own_numbers.answers(exercise, key, numbers)
    return answers.KeyCopy(
        student,
        name,
        tuple((q.name, numbers[q.name], q.unit) for q in exercise.quantities),
        tuple(_result(key, q, numbers, right) for q in exercise.graded),
    )


def _result(
    key: Key, question: Question, numbers: Mapping[str, float], right: Mapping[str, Value]
) -> answers.Result:
    answer = shown(question, right[question.id]) if question.id in right else ""
    slips = key.slips.get(question.id, ())
    return answers.Result(
        answer or "by hand",
        tuple(shown(question, key.slip_value(s, question, numbers, right)) for s in slips),
        worked(key, question, numbers, answer),
    )
