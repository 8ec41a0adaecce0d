"""An exercise opened in a class, and what hand-out makes of it: release, bundles, own numbers."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.bank import changed_question, exercises, keys, notebooks, own_numbers
from coursekit.classroom.bank.own_numbers import Drawn
from coursekit.classroom.gradebook import due
from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.handout import release
from coursekit.classroom.register import (
    class_exercise,
    class_questions,
    names,
    proof_cache,
    real_frames,
    stamps,
)
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, Student, write_text

INSTRUCTOR = "instructor"  # the source notebook is solved with the numbers drawn for this name
Progress = Callable[[str], None]


def page_name(slug: str, student: str) -> str:
    """Return the name of a student's answer page, which lies in their bundle."""
    return f"{slug}-{student}.html"


@dataclass(frozen=True)
class Assignment:
    """An exercise opened in a class: both halves of the bank, the class, the course's folder.

    `exercise` is as the class asks it. Own numbers are drawn from it `as_in_course`, so that a
    tolerance or marks that the class changes leave everybody's numbers as they are.
    """

    folder: ClassFolder
    exercise: exercises.Exercise
    key: keys.Key
    root: Path | None = None
    in_course: exercises.Exercise | None = field(default=None, repr=False)
    _drawn: dict[str, Drawn] = field(default_factory=dict, repr=False, compare=False)
    _texts: dict[str, str] = field(default_factory=dict, repr=False, compare=False)

    @property
    def slug(self) -> str:
        """The exercise's slug, which is also the assignment's and the notebook's name."""
        return self.exercise.slug

    @property
    def as_in_course(self) -> exercises.Exercise:
        """The exercise without what the class changes of its questions."""
        return self.in_course or self.exercise

    def numbers(self, student: str) -> dict[str, float]:
        """Return the student's own numbers."""
        return dict(self.drawn(student).numbers)

    def drawn(self, student: str, name: str = "") -> Drawn:
        """Return the student's own numbers, and why they are not of the student's frame if so.

        They are drawn under `name`, an id, or an id and a turn (`id~2`); unless it is given, under
        the name that the class keeps for this exercise.
        """
        name = name or self.folder.drawn_as(student, self.slug)
        turn = real_frames.turn(self.folder, student, self.slug) if self.exercise.frames else 0
        place = f"{name} {turn}" if turn else name
        if place not in self._drawn:
            own = real_frames.facts(self.folder, student, turn) if turn else None
            self._drawn[place] = own_numbers.for_frame(
                self.as_in_course, self.key, self.folder.secret, name, own
            )
        return self._drawn[place]

    def numbers_text(self, student: str) -> str:
        """Return the text of the student's numbers file."""
        if student not in self._texts:
            sheet = notebooks.numbers_sheet(self.exercise, student, self.drawn(student))
            self._texts[student] = sheet
        return self._texts[student]

    def remember(self) -> None:
        """Keep the numbers drawn so far, so that the next command need not draw them again."""
        if self.root and self._drawn != proof_cache.numbers(self.folder, self.slug, self.root):
            proof_cache.keep(self.folder, self.slug, self.root, self._drawn)


def assignment(folder: ClassFolder, slug: str, root: Path) -> Assignment:
    """Return the exercise `slug` of the course at `root`, proved sound, for this class.

    What was proved or drawn before is used again, as long as nothing that it depends on has
    changed.
    """
    exercise = exercises.load(slug, root)
    answers = keys.load(exercise, root)
    drawn = proof_cache.numbers(folder, slug, root)
    if drawn is None:
        own_numbers.prove(exercise, answers)
        drawn = {}
        proof_cache.keep(folder, slug, root, drawn)
    asked = class_exercise.as_asked(folder, exercise)
    work = Assignment(folder, asked, answers, root, exercise, drawn)
    if folder.questions.get(slug) and not proof_cache.is_proved(folder, slug, root):
        take_back = " `coursekit class question {slug} {id} --as-in-course` takes the change back."
        prove_changes(work, take_back)
        proof_cache.keep_proved(folder, slug, root)
    return work


def prove_changes(work: Assignment, cure: str = "") -> None:
    """Raise ClassError if what the class changes of a question makes it unsound.

    It is proved for every student of the class, and for two hundred that are invented. The error
    ends with the `cure`.
    """
    cases = own_numbers.sound_cases(work.as_in_course, work.key)
    cases += [work.numbers(s.id) for s in work.folder.students]
    for before, now in zip(work.as_in_course.graded, work.exercise.graded, strict=True):
        if before != now and (
            why := changed_question.fault(work.exercise, work.key, before, now, cases)
        ):
            raise ClassError(
                f"{work.folder.path / class_questions.FILE}, {work.slug}, question '{now.id}': "
                f"{why}{cure.format(slug=work.slug, id=now.id)}"
            )


def to_show(folder: ClassFolder, slug: str, root: Path) -> Assignment:
    """Return the exercise for pages that only show something of it, at once and not proved.

    To prove it may take half a minute, after the exercise or the kit has changed. Whatever hands
    out or marks takes `assignment`.
    """
    exercise = exercises.load(slug, root)
    known = proof_cache.numbers(folder, slug, root) or {}
    asked = class_exercise.as_asked(folder, exercise)
    return Assignment(folder, asked, keys.load(exercise, root), root, exercise, known)


def for_students(work: Assignment, some: Iterable[str]) -> Assignment:
    """Return the exercise as if the class were these students alone, each named by id or name.

    They come in the roster's order. Raises ClassError for one who is not on the roster.
    """
    wanted = {names.student(work.folder, one).id for one in some}
    students = tuple(s for s in work.folder.students if s.id in wanted)
    return replace(work, folder=replace(work.folder, students=students))


def make_release(work: Assignment) -> release.Release:
    """Return the release of an exercise, made again only if its source has changed.

    The gradebook then holds the exercise, with the due time that the class gives it.
    """
    numbers = work.numbers(INSTRUCTOR)
    right = own_numbers.answers(work.exercise, work.key, numbers)
    source = notebooks.source(work.exercise, right, work.key.worked)
    if work.root:
        note_course(work.folder, work.root)
    made = release.make(work.folder, work.exercise, source, work.numbers_text(INSTRUCTOR))
    due.follow(work.folder, work.slug)
    return made


def released(work: Assignment) -> release.Release:
    """Return the release that hand-out made, and give the gradebook the class's due time.

    Raises ClassError if the release is not there or no longer fits the exercise.
    """
    if work.root:
        note_course(work.folder, work.root)
    found = release.read(work.folder, work.exercise)
    due.follow(work.folder, work.slug)
    return found


def hand_out(work: Assignment, progress: Progress | None = None) -> list[Path]:
    """Make the bundle folders of all students, each with the notebook and own numbers; return them.

    Each notebook's metadata say for whom it was made. A notebook that already lies in a student's
    bundle is replaced by the release, because students work in a copy and never in the bundle.
    """
    made = make_release(work)
    note = work.folder.made / f"{work.slug}.first"
    if not note.is_file():
        write_text(note, f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%S.%f}Z\n")
    notebook = json.loads(made.text)
    bundles = []
    for student in work.folder.students:
        bundles.append(_bundle(work, student, notebook))
        if progress:
            progress(student.id)
    work.remember()
    return bundles


def _bundle(work: Assignment, student: Student, notebook: dict[str, Any]) -> Path:
    """Make a student's bundle, with the stamped release and the numbers; return its folder."""
    folder = work.folder.bundle(student.id, work.slug)
    stamp = stamps.stamp(work.folder, student.id, work.slug)
    copy = {**notebook, "metadata": {**notebook["metadata"], stamps.KEY: stamp}}
    text = json.dumps(copy, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    write_text(folder / f"{work.slug}.ipynb", text)
    write_text(folder / notebooks.NUMBERS_FILE, work.numbers_text(student.id))
    return folder
