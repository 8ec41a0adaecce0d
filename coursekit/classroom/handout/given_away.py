"""What a lesson's numbers would tell of the answers to lessons that are not due yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.gradebook import due
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassFolder


@dataclass(frozen=True)
class Given:
    """A number that one lesson's paper prints, and the question of another that asks for it."""

    say: str
    question: str
    slug: str

    def sentence(self, lesson: str) -> str:
        """Return it in a sentence, with what to call the other lesson."""
        return (
            f"It gives '{self.say}', which '{self.question}' of {lesson} asks for and which is not "
            "due yet."
        )


def given_away(work: Assignment, root: Path) -> list[str]:
    """Return a sentence for each answer to another lesson that this one's paper prints."""
    lessons = (exercises.load(slug, root) for slug in exercises.slugs(root))
    return [one.sentence(one.slug) for one in found(work.folder, work.exercise, lessons)]


def found(folder: ClassFolder, exercise: Exercise, lessons: Iterable[Exercise]) -> Iterator[Given]:
    """Yield each question of another lesson whose answer the paper of `exercise` prints.

    All lessons are about one frame, so what one asks for the next may be given. A lesson that is
    not handed out, or has no due time, counts as not due.
    """
    given = {q.fact: q.say for q in exercise.quantities if q.fact}
    others = {one.slug: one for one in lessons if one.slug != exercise.slug}
    times = due.due_times(folder, others)
    now = datetime.now(UTC).replace(tzinfo=None)
    for slug, other in others.items():
        if slug in times and times[slug] <= now:
            continue
        for question in other.graded:
            if question.finds in given:
                yield Given(given[question.finds], question.title, slug)
