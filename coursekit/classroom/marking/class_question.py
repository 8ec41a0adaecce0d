"""Changes a question's tolerance or marks for one class, and says what must be done after it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.handout import assignments
from coursekit.classroom.handout.assignments import Assignment, assignment
from coursekit.classroom.handout.release import has_other_marks
from coursekit.classroom.marking import idle
from coursekit.classroom.marking.marked_work import is_by_other_rules
from coursekit.classroom.register import class_exercise, class_questions, proof_cache
from coursekit.classroom.register.class_folder import (
    RECORD,
    ClassError,
    ClassFolder,
    load,
    write_text,
)
from coursekit.classroom.register.class_questions import Change

_IDLE_STUDENTS = 6  # whose idle sheets are marked, as `lesson check` does


@dataclass(frozen=True)
class Asked:
    """A question as the course asks it and as this class does, and what must be done for it.

    `to_do` are sentences: hand out again, mark again.
    """

    course: Question
    here: Question
    to_do: tuple[str, ...] = ()

    @property
    def changed(self) -> bool:
        """Whether this class asks it with another tolerance or other marks."""
        return self.course != self.here


def asked(work: Assignment) -> tuple[Asked, ...]:
    """Return every question of a lesson as the course and as this class asks it."""
    to_do = _to_do(work)
    pairs = zip(work.as_in_course.graded, work.exercise.graded, strict=True)
    return tuple(Asked(course, here, to_do) for course, here in pairs)


def change(
    folder: ClassFolder,
    slug: str,
    question: str,
    root: Path,
    tolerance: str = "",
    marks: float | None = None,
) -> Asked:
    """Ask a question with another tolerance, other marks or both in this class; return it.

    `tolerance` is written as in the course's file: `0.3`, `2 %`, `last digit 0.1`. What is left out
    stays as it is in this class.

    Raises
    ------
    ClassError
        If the question isn't there or would not be sound: what a person gave must stay within the
        marks, sheets without work must not earn too much, no wrong answer may pass and no right one
        be lost. Nothing is changed then.
    """
    known = folder.questions.get(slug, {}).get(question, Change())
    wanted = replace(
        known,
        tolerance=tolerance or known.tolerance,
        marks=known.marks if marks is None else marks,
    )
    return _changed(folder, slug, question, root, wanted)


def as_in_course(folder: ClassFolder, slug: str, question: str, root: Path) -> Asked:
    """Ask a question as the course does again; return it."""
    return _changed(folder, slug, question, root, Change())


def _changed(folder: ClassFolder, slug: str, question: str, root: Path, wanted: Change) -> Asked:
    course = class_exercise.load(replace(folder, questions={}), slug, root)
    there = {q.id: q for q in course.graded}
    if question not in there:
        raise ClassError(
            f"{slug}: a question to change must be one of the lesson's; got '{question}'. There "
            f"are {', '.join(there)}."
        )
    before = there[question]
    here = class_questions.changed(before, wanted, folder.path / class_questions.FILE)
    others = {q: c for q, c in folder.questions.get(slug, {}).items() if q != question}
    some = others if here == before else {**others, question: wanted}
    new = replace(folder, questions={**folder.questions, slug: some})
    _refuse_less_than_was_given(folder, slug, here)
    if some:
        _prove(new, slug, root)
    kept = {s: c for s, c in new.questions.items() if c}
    file = folder.path / class_questions.FILE
    if kept or file.is_file():
        write_text(file, class_questions.text(kept))
    work = assignment(load(folder.path), slug, root)
    return next(one for one in asked(work) if one.here.id == question)


def _prove(folder: ClassFolder, slug: str, root: Path) -> None:
    """Raise ClassError if the lesson would not be sound as this class wants to ask it."""
    plain = assignment(replace(folder, questions={}), slug, root)
    exercise = class_exercise.as_asked(folder, plain.exercise)
    work = replace(plain, folder=folder, exercise=exercise, in_course=plain.exercise)
    assignments.prove_changes(work)
    now = list(idle.too_much(idle.table(exercise, work.key, _IDLE_STUDENTS)))
    if now:  # where the course's own sheets earn as much, the change is not to blame
        most = _most(idle.table(plain.exercise, work.key, _IDLE_STUDENTS))
    for sheet, words in now:
        if sheet.share > most[0] or sheet.luckiest > most[1]:
            raise ClassError(
                f"{slug}: a sheet without work must earn at most {words} for '{sheet.sheet}'. "
                "Choose other marks or a smaller tolerance."
            )
    proof_cache.keep_proved(folder, slug, root)


def _most(found: list[idle.Idle]) -> tuple[float, float]:
    return max(one.share for one in found), max(one.luckiest for one in found)


def _refuse_less_than_was_given(folder: ClassFolder, slug: str, here: Question) -> None:
    with read_only.reading(folder) as book:
        held = reader.questions(book, slug)
    for student, questions in held.items():
        given = questions[here.id].manual if here.id in questions else None
        if given is not None and given > here.marks:
            raise ClassError(
                f"{slug}, question '{here.id}': marks must not be fewer than a person has given; "
                f"{student} has {given:g}, and there would be {here.marks:g}. Take that score back "
                "first, or leave the marks."
            )


def _to_do(work: Assignment) -> tuple[str, ...]:
    folder, slug = work.folder, work.slug
    said = []
    if has_other_marks(folder, work.exercise):
        said.append(
            f"The marks stand in what was handed out: run `coursekit hand-out {slug}` again. "
            "Copies that students have already stay good."
        )
    marked = [s.id for s in folder.students if (folder.autograded(s.id, slug) / RECORD).is_file()]
    if any(is_by_other_rules(folder, student, slug) for student in marked):
        said.append(f"Work that is marked must be marked again: `coursekit mark {slug}`.")
    return tuple(said)
