"""Makes a notebook of what the answer page saved, and records the bench readings that are in it."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import bench_record
from coursekit.classroom.gradebook.nbgrader_settings import course_root
from coursekit.classroom.handout import release
from coursekit.classroom.intake import as_notebook, worth
from coursekit.classroom.intake.found_files import SavedText
from coursekit.classroom.intake.worth import Worth
from coursekit.classroom.register import class_exercise, stamps
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.register.outside_names import shown

SOURCE = as_notebook.FROM


@dataclass(frozen=True)
class Saved:
    """Saved answers as they were found, how much of them can be read, and what is odd."""

    said: AnswerText
    words: str
    worth: Worth
    odd: tuple[str, ...] = ()


@dataclass(frozen=True)
class Recorded:
    """How many bench readings were recorded, and sentences about those that were refused."""

    recorded: int
    refused: tuple[str, ...] = ()


@dataclass
class Saver:
    """Makes notebooks of saved answers; each lesson's exercise and release are read once."""

    folder: ClassFolder
    _known: dict[str, tuple[Exercise, str]] = field(default_factory=dict)

    def _lesson(self, slug: str) -> tuple[Exercise, str]:
        if slug not in self._known:
            exercise = class_exercise.load(self.folder, slug, course_root(self.folder))
            self._known[slug] = exercise, release.that_fits(self.folder, exercise).text
        return self._known[slug]

    def made(self, slug: str, one: SavedText) -> tuple[bytes, Saved]:
        """Return the notebook of saved answers; ClassError if the release no longer fits."""
        exercise, text = self._lesson(slug)
        about = {"saved": shown(one.said.saved)[:40], "copy": shown(one.said.copy)[:20]}
        claim = {"student": one.said.student, "exercise": one.said.lesson, "check": one.said.stamp}
        stamp = stamps.read(self.folder, {"metadata": {stamps.KEY: claim}})
        if stamp and stamp.ours:
            about |= claim
        made = as_notebook.of_text(text, exercise, one.said, about)
        odd = [
            f"the lesson has no question '{shown(id)}', so what stands under it is not taken"
            for id in as_notebook.strangers(exercise, one.said)
        ]
        value = worth.of_text(exercise, one.said)
        return made.encode(), Saved(one.said, one.words, value, tuple(odd))

    def record(self, student: str, slug: str, saved: Saved) -> Recorded:
        """Record the readings of saved answers, and return what came of them.

        A reading that says what the student's saved answers said last is passed over, even if
        somebody has corrected it since.
        """
        exercise = self._lesson(slug)[0]
        last = {
            one.place: one.value
            for one in bench_record.readings(self.folder, slug, student)
            if one.source == SOURCE
        }
        post = f"{SOURCE} {zlib.crc32(saved.words.encode('utf-8', 'replace')):08x}"
        good: list[bench_record.Reading] = []
        refused: list[str] = []
        for line, typed in saved.said.readings.items():
            for number, text in enumerate(typed, start=1):
                if as_notebook.is_empty(text):
                    continue
                try:
                    one = bench_record.checked(
                        self.folder, exercise, student, line, number, text, source=SOURCE, post=post
                    )
                except ValueError as error:
                    refused.append(str(error))
                    continue
                if last.get(one.place) != one.value:
                    good.append(one)
        return Recorded(len(bench_record.record(self.folder, good)), tuple(refused))
