"""Worksheets of a class, and the instructor's answer key, made from the exercise bank."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from coursekit.classroom.bank import notebooks, own_numbers
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, PaperTemplate, Question
from coursekit.classroom.bank.keys import Key, Value
from coursekit.classroom.bank.worked_solutions import shown as shown
from coursekit.classroom.bank.worked_solutions import worked as worked
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import write_bytes
from coursekit.classroom.register.phone_code import phone_code, printed
from coursekit.sheets import answers, drawing, page, text, worksheet
from coursekit.sheets.strip import JOINTS, StripJoint

CLASS_SET, BLANK, LARGE = "class", "blank", "large"
IN_ONE = 30  # students in one file of the class set: to set a page takes some 3 MB of memory
_KEPT = re.compile(rf"{CLASS_SET}(-\d+)?")


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


def make_for_class(
    work: Assignment,
    paper: page.Paper = "a4",
    progress: Callable[[str], None] | None = None,
    large: bool = False,
) -> tuple[list[Path], Path]:
    """Make a class's worksheets and answer key; return the class set's files, and the key."""
    folder = work.folder
    made = make(
        work.exercise,
        work.key,
        [(s.id, s.name) for s in folder.students],
        {s.id: work.numbers(s.id) for s in folder.students},
        folder.path / "worksheets",
        folder.path / "answer-key",
        paper,
        progress,
        large,
        {s.id: notebooks.another_frame(work.drawn(s.id)) for s in folder.students},
        {s.id: printed(phone_code(folder, s.id)) for s in folder.students},
    )
    return [p for p in made if is_class_set(p)], made[-1]


def make_for_each(
    work: Assignment,
    paper: page.Paper = "a4",
    progress: Callable[[str], None] | None = None,
    large: bool = False,
) -> list[Path]:
    """Make each student's own worksheet and nothing for the whole class; return the files."""
    shared = body(work.exercise)
    folder = work.folder.path / "worksheets" / work.slug / (LARGE if large else "")
    made = []
    for student in work.folder.students:
        drawn = work.drawn(student.id)
        code = printed(phone_code(work.folder, student.id))
        note = notebooks.another_frame(drawn)
        own = copy(work.exercise, student.id, student.name, drawn.numbers, note, code)
        made.append(folder / f"{student.id}.pdf")
        write_bytes(made[-1], worksheet.pdf(shared, [own], paper, large))
        if progress:
            progress(made[-1].name)
    return made


def make(
    exercise: Exercise,
    key: Key,
    students: Sequence[tuple[str, str]],
    numbers: Mapping[str, Mapping[str, float]],
    out: Path,
    key_folder: Path,
    paper: page.Paper = "a4",
    progress: Callable[[str], None] | None = None,
    large: bool = False,
    notes: Mapping[str, str] | None = None,
    codes: Mapping[str, str] | None = None,
) -> list[Path]:
    """Return the PDFs made: class set, blank set for the wall, each student's sheet, last the key.

    Worksheets are `out/<slug>/class.pdf`, `blank.pdf` and `<student>.pdf`; in large print they lie
    in the folder `large` there. The key is `key_folder/<slug>.pdf`. A class of more than `IN_ONE`
    students has its set in several files, `class-1.pdf` and so on, in the order of the class. A
    file is written only if its bytes change. `progress` is called with each file's name when it is
    done.

    Parameters
    ----------
    students
        Pairs of id and name, in the order of the class set.
    numbers
        Student id → quantity name → value, as `own_numbers.draw` gives them.
    notes
        Student id → a sentence about their numbers, printed above them.
    codes
        Student id → the code that lets the student's phone in to the bench form.

    Raises
    ------
    ValueError
        A class set must have a student or more; got none. …
        A student's id must be fit for a file of its own; got …
        The answer key must lie apart from the worksheets; got …
    AuthoringError
        …: a student must have every number of the exercise; …
    """
    folder = out / exercise.slug / (LARGE if large else "")
    _refuse(students, folder, key_folder)
    shared = body(exercise)
    notes, codes = notes or {}, codes or {}
    copies = [
        copy(exercise, id, name, numbers.get(id, {}), notes.get(id, ""), codes.get(id, ""))
        for id, name in students
    ]
    made: list[Path] = []

    def write(path: Path, data: bytes) -> None:
        write_bytes(path, data)
        made.append(path)
        if progress:
            progress(path.name)

    def sheets(of: Sequence[worksheet.Copy]) -> bytes:
        return worksheet.pdf(shared, of, paper, large)

    parts = [copies[i : i + IN_ONE] for i in range(0, len(copies), IN_ONE)]
    names = [CLASS_SET] if len(parts) == 1 else [f"{CLASS_SET}-{i + 1}" for i in range(len(parts))]
    for path in folder.glob("*.pdf"):
        if is_class_set(path) and path.stem not in names:
            path.unlink()  # left from when the class was larger or smaller
    wall = sheets([blank(exercise)])  # alone, because it fills the caches that the threads share
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        for part, name in zip(parts, names, strict=True):  # one large file at a time: see IN_ONE
            files = [name, *(one.student for one in part)]
            for file, data in zip(
                files, pool.map(sheets, [part, *([c] for c in part)]), strict=True
            ):
                write(folder / f"{file}.pdf", data)
                if file == names[0]:
                    write(folder / f"{BLANK}.pdf", wall)
    write(key_folder / f"{exercise.slug}.pdf", answer_key(exercise, key, students, numbers, paper))
    return made


def is_class_set(path: Path) -> bool:
    """Return whether the file at `path` holds the worksheets of many students.

    >>> names = ("class.pdf", "class-2.pdf", "classy.pdf", "blank.pdf")
    >>> [is_class_set(Path(name)) for name in names]
    [True, True, False, False]
    """
    return _KEPT.fullmatch(path.stem) is not None


def _refuse(students: Sequence[tuple[str, str]], folder: Path, key_folder: Path) -> None:
    if not students:
        raise ValueError("A class set must have a student or more; got none. Fill the roster.")
    seen = {BLANK}
    for id, _ in students:
        name = id.casefold()
        kept = not id or name in seen or _KEPT.fullmatch(name)
        if kept or any(c in '/\\:*?"<>|' or not c.isprintable() for c in id):
            raise ValueError(
                f"A student's id must be fit for a file of its own; got {id!r}, which is empty, "
                "has a sign that a file cannot have, is there twice or is "
                f"'{CLASS_SET}', '{CLASS_SET}-1' or '{BLANK}'. Change it."
            )
        seen.add(name)
    if key_folder.resolve().is_relative_to(folder.resolve()):
        raise ValueError(
            f"The answer key must lie apart from the worksheets; got {key_folder} inside {folder}. "
            "Name another folder."
        )


def answer_key(
    exercise: Exercise,
    key: Key,
    students: Sequence[tuple[str, str]],
    numbers: Mapping[str, Mapping[str, float]],
    paper: page.Paper = "a4",
) -> bytes:
    """Return the instructor's answer key of a class as a PDF."""
    return answers.pdf(
        exercise.title,
        [_row(exercise, key, q) for q in exercise.graded],
        [_key_copy(exercise, key, id, name, numbers[id]) for id, name in students],
        key.notes,
        paper,
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
