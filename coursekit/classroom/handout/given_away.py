"""What a lesson's numbers would tell of the answers to lessons that are not due yet."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bank import exercises
from coursekit.classroom.gradebook import due
from coursekit.classroom.handout.assignments import Assignment


def given_away(work: Assignment, root: Path) -> list[str]:
    """Return a sentence for each question of another lesson whose answer this one's paper prints.

    All lessons are about one frame, so what one asks for the next may be given. A lesson that is
    not handed out, or has no due time, counts as not due.
    """
    given = {q.fact: q.say for q in work.exercise.quantities if q.fact}
    times = due.due_times(work.folder, exercises.slugs(root))
    now = datetime.now(UTC).replace(tzinfo=None)
    said = []
    for slug in exercises.slugs(root):
        over = slug in times and times[slug] <= now
        if slug == work.slug or over:
            continue
        for question in exercises.load(slug, root).graded:
            if question.finds in given:
                said.append(
                    f"It gives '{given[question.finds]}', which '{question.title}' of {slug} asks "
                    "for and which is not due yet."
                )
    return said
