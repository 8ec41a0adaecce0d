"""An exercise as a class asks it: the course's, with what the class changes of its questions."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.register import class_questions
from coursekit.classroom.register.class_folder import ClassFolder


def load(folder: ClassFolder, slug: str, root: Path) -> Exercise:
    """Return the exercise `slug` of the course at `root` as this class asks it."""
    return as_asked(folder, exercises.load(slug, root))


def as_asked(folder: ClassFolder, exercise: Exercise) -> Exercise:
    """Return the course's exercise as this class asks it."""
    changes = folder.questions.get(exercise.slug, {})
    return class_questions.applied(exercise, changes, folder.path / class_questions.FILE)
