"""Marks lessons, and makes the feedback pages of those whose work is marked.

The pages are made for everybody and written where they change, so a marking that was stopped
between the two leaves no page behind.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coursekit.classroom.marking import mark_lessons
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.one_piece import LEFT
from coursekit.desk import words
from coursekit.desk.tasks import Facts, Said, Tell

if TYPE_CHECKING:
    from coursekit.classroom.handout.assignments import Assignment


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Mark the lessons `said["lessons"]`; return what came of each, in that order."""
    marking = _Marking(folder, root, list(said["lessons"]), tell)
    return {"lessons": marking.all()}


class _Marking:
    """The marking of some lessons, with how far it is."""

    def __init__(self, folder: ClassFolder, root: Path, slugs: list[str], tell: Tell) -> None:
        self.folder, self.root, self.slugs, self.tell = folder, root, slugs, tell
        self.names = words.names(folder)
        handed_in = [
            folder.submitted(s.id, slug).is_dir() for slug in slugs for s in folder.students
        ]
        self.done, self.of = 0, 2 * sum(handed_in)  # marking and feedback

    def step(self, title: str, student: str, what: str) -> None:
        self.done = min(self.done + 1, self.of)
        whose = self.names[student] if len(self.slugs) == 1 else f"{title}: {self.names[student]}"
        self.tell(f"{whose}, {what}", self.done, self.of)

    @contextmanager
    def around(self, work: Assignment, students: list[str]) -> Iterator[mark_lessons.Tell]:
        def told(student: str, what: str) -> None:
            self.step(work.exercise.title, student, "left as it is" if _why(what) else what)

        yield told

    def all(self) -> list[Facts]:
        found: dict[str, Facts] = {}

        def failed(slug: str, why: str) -> None:
            found[slug] = {"slug": slug, "failed": why}

        for work, done in mark_lessons.mark_lessons(
            self.folder, self.slugs, self.root, self.around, failed=failed
        ):
            found[work.slug] = self.came(work, done)
        return [found[slug] for slug in self.slugs]

    def came(self, work: Assignment, done: dict[str, str]) -> Facts:
        """Make the feedback pages of a lesson that is marked; return what came of the lesson."""
        from coursekit.classroom.gradebook import read_only, reader
        from coursekit.classroom.report import feedback

        left: dict[str, list[str]] = defaultdict(list)
        for student, what in done.items():
            if why := _why(what):
                left[why].append(student)

        def told(student: str, what: str) -> None:
            self.step(work.exercise.title, student, f"feedback {what}")
            if why := _why(what):
                left[why].append(student)

        feedback.give_feedback(self.folder, work.slug, told, self.root)
        with read_only.reading(self.folder) as book:
            held = reader.standings(book, work.slug)

        def row(student: str, what: str) -> dict[str, Any]:
            one = held.get(student)
            marks = {"marks": one.total, "late": one.late_penalty} if one and one.questions else {}
            return {"id": student, "what": "" if _why(what) else what, **marks}

        return {
            "slug": work.slug,
            "out_of": work.exercise.marks,
            "rows": [row(student, what) for student, what in done.items()],
            "to_read": mark_lessons.answers_to_read(work),
            "left": [{"why": why, "students": who} for why, who in left.items()],
        }


def _why(what: str) -> str:
    """Return why work was left as it is, or "" if it was not."""
    return what.removeprefix(LEFT) if what.startswith(LEFT) else ""
