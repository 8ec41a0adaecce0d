"""Makes source and release of an exercise, and each student's bundle with own numbers."""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import nbformat

from coursekit.classroom.bank import exercises, keys, notebooks, own_numbers
from coursekit.classroom.gradebook import due, opener, read_only, reader
from coursekit.classroom.gradebook.nbgrader_settings import nbgrader_config, note_course
from coursekit.classroom.register import proof_cache, stamps
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, Student, write_text

INSTRUCTOR = "instructor"  # whose numbers the source notebook is solved with
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Assignment:
    """An exercise opened in a class: both halves of the bank, the class, and the course's folder."""

    folder: ClassFolder
    exercise: exercises.Exercise
    key: keys.Key
    root: Path | None = None
    _drawn: dict[str, dict[str, float]] = field(default_factory=dict, repr=False, compare=False)
    _texts: dict[str, str] = field(default_factory=dict, repr=False, compare=False)

    @property
    def slug(self) -> str:
        """The exercise's slug, which is also the assignment's and the notebook's name."""
        return self.exercise.slug

    def numbers(self, student: str) -> dict[str, float]:
        """Return the student's own numbers."""
        return self.numbers_of(self.folder.drawn_as(student, self.slug))

    def numbers_of(self, name: str) -> dict[str, float]:
        """Return the numbers that are drawn under `name`, which is an id, or an id and a turn: `id~2`."""
        if name not in self._drawn:
            drawn = own_numbers.draw(self.exercise, self.key, self.folder.secret, name)
            self._drawn[name] = drawn
        return dict(self._drawn[name])

    def numbers_text(self, student: str) -> str:
        """Return the text of the student's numbers file."""
        if student not in self._texts:
            sheet = notebooks.numbers_sheet(self.exercise, student, self.numbers(student))
            self._texts[student] = sheet
        return self._texts[student]

    def remember(self) -> None:
        """Keep the numbers drawn so far, so that the next command need not draw them again."""
        if self.root and self._drawn != proof_cache.numbers(self.folder, self.slug, self.root):
            proof_cache.keep(self.folder, self.slug, self.root, self._drawn)


def assignment(folder: ClassFolder, slug: str, root: Path) -> Assignment:
    """Return the exercise `slug` of the course at `root`, proved sound, for this class.

    What was proved or drawn before is taken over, as long as nothing that it follows from has changed.
    """
    exercise = exercises.load(slug, root)
    answers = keys.load(exercise, root)
    drawn = proof_cache.numbers(folder, slug, root)
    if drawn is None:
        own_numbers.prove(exercise, answers)
        drawn = {}
        proof_cache.keep(folder, slug, root, drawn)
    return Assignment(folder, exercise, answers, root, drawn)


def make_release(work: Assignment) -> Path:
    """Return the release notebook, made through `nbgrader generate_assignment` if it is not there.

    The source is made again each time; the release only where the source has changed. nbgrader
    empties its release folder before it knows whether it will succeed, so it works in a folder of
    its own, and the release is copied over at the end.
    """
    name = f"{work.slug}.ipynb"
    numbers = work.numbers(INSTRUCTOR)
    right = own_numbers.answers(work.exercise, work.key, numbers)
    text = notebooks.file_text(notebooks.source(work.exercise, right, work.key.worked)).rstrip("\n")
    write_text(work.folder.source(work.slug) / name, text)
    write_text(
        work.folder.source(work.slug) / notebooks.NUMBERS_FILE, work.numbers_text(INSTRUCTOR)
    )
    if work.root:
        note_course(work.folder, work.root)
    release = work.folder.release(work.slug) / name
    stamp = work.folder.made / f"{work.slug}.release"
    digest = hashlib.sha256(text.encode()).hexdigest()
    if not (
        release.is_file()
        and stamp.is_file()
        and stamp.read_text() == digest
        and _known(work, release)
    ):
        write_text(release, _generated(work, name).read_text(encoding="utf-8"))
        write_text(stamp, digest)
    due.follow(work.folder, work.slug)
    return release


def _known(work: Assignment, release: Path) -> bool:
    """Whether the gradebook knows the exercise as it was released."""
    notebook = nbformat.reads(release.read_text(encoding="utf-8"), as_version=4)
    with read_only.reading(work.folder) as book:
        return reader.knows(book, work.slug, notebook)


def _generated(work: Assignment, name: str) -> Path:
    from nbgrader.apps import NbGraderAPI

    opener.found(work.folder)
    made = work.folder.made / "release"
    config = nbgrader_config(work.folder)
    config.CourseDirectory.release_directory = str(made.resolve())
    said: list[str] = []
    logger = logging.getLogger("coursekit.nbgrader")
    logger.handlers, logger.propagate = [_Keep(said)], False
    api = NbGraderAPI(config=config)
    api.log = logger
    result = api.generate_assignment(work.slug, force=True)
    path = made / work.slug / name
    if not result["success"] or not path.is_file():
        detail = result.get("error") or "; ".join(said[-3:])
        raise ClassError(
            f"{work.exercise.source}: the release must be made from the source; nbgrader says: "
            f"{str(detail).strip().splitlines()[-1] if detail else 'nothing'}. If students have handed "
            "work in already, questions can no longer be added or taken away."
        )
    return path


class _Keep(logging.Handler):
    """Keeps what nbgrader says, for the message should it fail."""

    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._said = said

    def emit(self, record: logging.LogRecord) -> None:
        self._said.append(record.getMessage())


def hand_out(work: Assignment, progress: Progress | None = None) -> list[Path]:
    """Return the bundle folders of all students, each with the notebook and own numbers.

    Each notebook's metadata say for whom it was made. A notebook that a student's bundle holds already is replaced by the release: bundles are made,
    work is done in a copy.
    """
    release = make_release(work)
    note = work.folder.made / f"{work.slug}.first"
    if not note.is_file():
        write_text(note, f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%S.%f}Z\n")
    notebook = json.loads(release.read_text(encoding="utf-8"))
    bundles = []
    for student in work.folder.students:
        bundles.append(_bundle(work, student, notebook))
        if progress:
            progress(student.id)
    work.remember()
    return bundles


def _bundle(work: Assignment, student: Student, notebook: dict[str, Any]) -> Path:
    """Return the folder of a student's copy: the release, stamped with whose it is, and the numbers."""
    folder = work.folder.bundle(student.id, work.slug)
    stamp = stamps.stamp(work.folder, student.id, work.slug)
    copy = {**notebook, "metadata": {**notebook["metadata"], stamps.KEY: stamp}}
    text = json.dumps(copy, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    write_text(folder / f"{work.slug}.ipynb", text)
    write_text(folder / notebooks.NUMBERS_FILE, work.numbers_text(student.id))
    return folder
