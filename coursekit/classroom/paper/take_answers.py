"""Takes a file of answers on paper into the record: good rows in, the others back with the reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bench import csv_rows
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.paper.paper_answers import PaperAnswer
from coursekit.classroom.register.class_folder import ClassFolder

_NEEDED = ("student", "question", "answer")
_MAY = ("lesson", "handed in", "by")
_ALSO = {
    "id": "student", "student id": "student", "slug": "lesson", "exercise": "lesson",
    "question id": "question", "no": "question", "value": "answer", "when": "handed in",
    "date": "handed in", "handed_in": "handed in", "typed by": "by",
}  # fmt: skip


@dataclass(frozen=True)
class AnswersTaken:
    """What came of a file: answers added, rows known already, rows not filled in, rows asked back."""

    added: list[PaperAnswer] = field(default_factory=list)
    known: int = 0
    empty: int = 0
    refused: list[csv_rows.Refused] = field(default_factory=list)
    lessons: tuple[str, ...] = ()


def take_in(
    folder: ClassFolder,
    path: Path,
    exercise_of: Callable[[str], Exercise],
    lesson: str = "",
    by: str = "",
) -> AnswersTaken:
    """Return what came of the file at `path`, one row an answer.

    Parameters: `lesson`, slug for rows that name none; `by`, who typed it, for rows that do not say.

    Raises ClassError where the file cannot be read as CSV with the columns student, question and
    answer.
    """
    find = cache(exercise_of)
    seen: dict[tuple[str, str, str], tuple[PaperAnswer, int]] = {}
    refused: list[csv_rows.Refused] = []
    empty = 0
    for row in csv_rows.rows(path, _NEEDED, _MAY, _ALSO):
        if not row.cells["answer"] and not row.trouble:
            empty += 1
            continue
        try:
            one = _answer(folder, row, find, lesson, by, path.name)
            first, line = seen.setdefault((one.slug, one.student, one.question), (one, row.line))
            if first.answer != one.answer:
                raise ValueError(
                    f"An answer must stand in a file once; got '{one.answer[:40]}' here and "
                    f"'{first.answer[:40]}' in line {line}. Keep the right one."
                )
        except ValueError as error:
            refused.append(csv_rows.Refused(row.line, str(error)))
    good = [one for one, _ in seen.values()]
    added = paper_answers.record(folder, good)
    lessons = tuple(dict.fromkeys(one.slug for one in good))
    return AnswersTaken(added, len(good) - len(added), empty, refused, lessons)


def _answer(
    folder: ClassFolder,
    row: csv_rows.Filled,
    find: Callable[[str], Exercise],
    lesson: str,
    by: str,
    name: str,
) -> PaperAnswer:
    if row.trouble:
        raise ValueError(row.trouble)
    slug = row.cells["lesson"] or lesson
    if not slug:
        raise ValueError("A row must name its lesson; got none. Fill the column lesson.")
    return paper_answers.checked(
        folder, find(slug), row.cells["student"], row.cells["question"], row.cells["answer"],
        handed_in=row.cells["handed in"], by=row.cells["by"] or by, source=f"file {name}",
    )  # fmt: skip
