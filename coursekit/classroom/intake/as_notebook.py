"""A notebook made of answers that came another way: saved by the answer page, or on paper.

It is the release notebook with each answer in its answer cell as a literal, just as the student
wrote it. So one marker, one gradebook and one kind of feedback serve all ways of answering, and a
cell that holds a literal can be marked without being run. Nothing that a student wrote can become
code: an answer is a Python text in quotes, and a step of the way there is one comment line.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import nbformat

from coursekit.classroom.bank.answer_text import EMPTY, AnswerText
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.notebooks import TEXT_STUB, file_text, grade_id
from coursekit.classroom.intake import handwriting
from coursekit.classroom.register.outside_names import shown
from coursekit.classroom.register.stamps import KEY

NOTE = "*Filled in from the answer page. The values in quotes are what was typed into its boxes.*"
FROM = "answer page"
_MOST_STEPS = 50  # lines of the way to one answer
_LONGEST_STEP = 300  # characters


def notebook(
    release: str, answers: Mapping[str, str], note: str, id: str, about: Mapping[str, str]
) -> str:
    """Return the text of the release notebook with `answers`, question → text of its cell.

    `note` is put at its head in a cell named `id`, and `about` into its metadata.
    """
    book = nbformat.reads(release, as_version=4)
    for cell in book.cells:
        question = (grade_id(cell) or "").removesuffix("-answer")
        if question in answers and cell.metadata.nbgrader["solution"]:
            cell.source = answers[question]
    book.cells.insert(0, nbformat.v4.new_markdown_cell(note, id=id))
    book.metadata[KEY] = dict(about)
    return file_text(book)


def of_text(release: str, exercise: Exercise, one: AnswerText, about: Mapping[str, str]) -> str:
    """Return the notebook of what a student saved; a question without an answer is left blank."""
    about = {"from": FROM, **about}
    return notebook(release, cells(exercise, one), NOTE, "from-answer-page", about)


def cells(exercise: Exercise, one: AnswerText) -> dict[str, str]:
    """Return question → the text of its answer cell, for each cell that isn't the release's."""
    found = {q.id: _cell(q, one) for q in exercise.graded}
    return {id: text for id, text in found.items() if text}


def answered(exercise: Exercise, one: AnswerText) -> int:
    """Return how many of the exercise's questions have something in one of their boxes."""
    return sum(any(_filled(one.answers.get(q.id, ()))) for q in exercise.graded)


def strangers(exercise: Exercise, one: AnswerText) -> list[str]:
    """Return the questions of a text that the exercise does not have."""
    known = {q.id for q in exercise.graded}
    return [id for id in dict.fromkeys((*one.answers, *one.working)) if id not in known]


def _cell(question: Question, one: AnswerText) -> str:
    """Return the text of an answer cell; "" leaves the release's, for words that are missing."""
    boxes = _filled(one.answers.get(question.id, ()))
    steps = one.working.get(question.id, ())
    if question.kind == "written":
        said = "\n".join(filter(None, boxes))
        worked = "\n".join(f"worked: {shown(step)}" for step in steps[:_MOST_STEPS])
        return "\n\n".join(filter(None, (said or (worked and TEXT_STUB), worked)))
    return cell_text(question, _laid(question, boxes), f"from the {FROM}", steps)


def _filled(boxes: Sequence[str]) -> list[str]:
    """Return the boxes with "" for those that were left empty."""
    return ["" if is_empty(box) else box.strip() for box in boxes]


def is_empty(box: str) -> bool:
    """Whether a box was left empty; some programs make a longer line of the one for that."""
    return box.strip() in ("", EMPTY, "–", "—", "−")


def _laid(question: Question, boxes: list[str]) -> Sequence[str | None]:
    """Return what stands in each box of the sheet, None for all of them if nothing was answered.

    The answer page writes a line for each box. A text that was written or broken by hand may have
    all of them in one line, or one of them in two; then nothing of it is left out, and the marker
    says what it makes of it.
    """
    wanted = handwriting.count(question)
    if not any(boxes):
        return [None] * wanted
    if wanted == 1 or len(boxes) == 1:
        whole = " ".join(filter(None, boxes))
        try:
            return handwriting.entries(question, whole)
        except ValueError:
            return [whole]
    return boxes


def cell_text(
    question: Question, boxes: Sequence[str | None], origin: str, steps: Sequence[str] = ()
) -> str:
    """Return the text of an answer cell that says exactly what stands in the boxes.

    Numbers go in as they were written, in quotes, because the marker reads `"31,5 mm"` as well.
    `origin` says in a comment where they are from, and `steps` are the way there.
    """
    single = question.kind in ("number", "choice")
    value: Any = boxes[0] if single else [box or None for box in boxes]
    lines = [f"# {origin}", *map(_comment, steps[:_MOST_STEPS])]
    if len(steps) > _MOST_STEPS:
        lines.append(f"# and {len(steps) - _MOST_STEPS} lines more")
    return "\n".join([*lines, f"{question.variable} = {value!r}"])


def _comment(step: str) -> str:
    r"""Return one line of a way as one comment line, whatever stands in it.

    >>> _comment("90 - 61,5\r= 28,5 \\")
    '# worked: 90 - 61,5?= 28,5'
    """
    return f"# worked: {shown(step)[:_LONGEST_STEP]}".rstrip().rstrip("\\").rstrip()
